//! Properties of whole looks: neutrality, order, the same table for any number of threads.

use crate::fuzzing::fuzz;
use crate::recipes::{SIZE, check_table, plan};
use lookwright::lut::sample;
use lookwright::maths::CODE10_MAX;
use lookwright::pipeline::Pipeline;
use proptest::prelude::*;
use proptest::sample::select;

/// Encodings whose published constants leave no step: with them, a rise must have no fall at all.
const STEPLESS: &[(&str, &str)] = &[
    ("s-log3", "s-gamut3.cine"),
    ("logc4", "awg4"),
    ("v-log", "v-gamut"),
    ("c-log2", "cinema-gamut"),
    ("log3g10", "redwidegamutrgb"),
    ("acescct", "acescg"),
    ("apple-log", "bt2020"),
];
/// Steps of the ramp of greys: four to a ten-bit code.
const RAMP: i32 = 4092;
/// A monotonic curve in double precision may fall by rounding: a thousandth of what six decimals print.
const ROUNDING: f64 = 5e-10;
/// Where output compression is on, greys that a matrix left unequal by rounding stay within this of each other.
const NEUTRAL: f64 = 1e-9;

/// Blocks that don't tint, of ordinary and odd strength.
fn untinted() -> impl Strategy<Value = String> {
    let tone = (1.0..1.9_f64, 4.5..9.0_f64, 6.0..12.0_f64, 0.0..1.0_f64, 0.0..2.0_f64, 0.04..0.2_f64, 0.0..=1.0_f64);
    let ends = (0.0..0.5_f64, 0.0..0.5_f64, 2e-5..2e-3_f64);
    let other = (-2.0..2.0_f64, 0.0..0.2_f64, 0.0..2.0_f64, 0.0..1.5_f64, 0.3..1.6_f64, 0.7..1.4_f64);
    let names = (
        select(STEPLESS),
        select(vec!["bt1886", "gamma22", "gamma26", "srgb"]),
        select(vec!["bt709", "p3-d65", "bt2020"]),
    );
    let flags = (any::<bool>(), any::<bool>(), select(vec!["bradford", "cat02", "cat16"]));
    (tone, ends, other, names, flags).prop_map(|(tone, ends, other, names, flags)| {
        let ((encoding, gamut), display, display_gamut) = names;
        format!(
            "lookwright = 1\nadaptation = \"{}\"\nlook.name = \"x\"\n[camera]\nencoding = \"{encoding}\"\ngamut = \"{gamut}\"\n\
             [exposure]\nstops = {}\n[diffusion]\nveil = {}\nloss_stops = {}\nbleach = 0.3\n[grade]\nsaturation = {}\n\
             slope = [{3}, {3}, {3}]\n\
             [tone]\ncontrast = {}\nwhite_stops = {}\nblack_stops = {}\nstraight_up = {}\nstraight_down = {}\ngrey = {}\n\
             hue_hold = {}\nwhite_slope = {}\nblack_slope = {}\nblack = {}\n\
             [colour]\nsaturation = {}\n[[colour.band]]\ncentre_deg = 40\nwidth_deg = 60\nshift_deg = 12\nsaturation = {}\n\
             [gamut]\ninput_compress = {}\noutput_compress = {}\n[display]\nencoding = \"{display}\"\ngamut = \"{display_gamut}\"\n",
            flags.2, other.0, other.1, other.5, other.4, tone.0, tone.1, tone.2, tone.3, tone.4, tone.5, tone.6,
            ends.0, ends.1, ends.2, other.3, other.4, flags.0, flags.1,
        )
    })
}

fn built(text: &str) -> Result<Pipeline, TestCaseError> {
    // A curve that is impossible together is refused with a reason, and says nothing of this property.
    match Pipeline::build(&plan(text, &[])) {
        Ok((pipeline, _)) => Ok(pipeline),
        Err(faults) => Err(TestCaseError::reject(format!("{} faults", faults.len()))),
    }
}

#[test]
fn without_a_tint_neutral_stays_neutral_and_rises() {
    fuzz("untinted looks", 120, &untinted(), |text| {
        let pipeline = built(&text)?;
        let mut before = [0.0; 3];
        for step in 0..=RAMP {
            let signal = f64::from(step) / f64::from(RAMP);
            let out = pipeline.evaluate([signal; 3]);
            let code = signal * CODE10_MAX;
            let spread = (out[0] - out[1]).abs().max((out[1] - out[2]).abs());
            prop_assert!(spread <= NEUTRAL, "code {code}: {out:?}, {spread:e} apart, in\n{text}");
            let fall = (0..3).map(|i| before[i] - out[i]).fold(0.0, f64::max);
            prop_assert!(fall <= ROUNDING, "code {code}: falls by {:e} codes, in\n{text}", fall * CODE10_MAX);
            before = out;
        }
        Ok(())
    });
}

#[test]
fn neutral_nodes_print_three_equal_numbers() {
    fuzz("untinted tables", 120, &untinted(), |text| {
        let sampled = sample(&built(&text)?, SIZE);
        check_table(&sampled)?;
        for index in 0..SIZE {
            let [r, g, b] = sampled.table.node(index, index, index).map(|value| format!("{value:.6}"));
            prop_assert!(r == g && g == b, "node {index}: {r} {g} {b}, in\n{text}");
        }
        Ok(())
    });
}

#[test]
fn any_number_of_threads_gives_the_same_bits() {
    fuzz("tables on 1 and 3 threads", 12, &untinted(), |text| {
        let pipeline = built(&text)?;
        let on = |threads: usize| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool of threads");
            pool.install(|| sample(&pipeline, 9)).table
        };
        let bits =
            |table: &lookwright::lut::Table3| table.nodes().iter().flatten().map(|v| v.to_bits()).collect::<Vec<_>>();
        prop_assert_eq!(bits(&on(1)), bits(&on(3)));
        Ok(())
    });
}

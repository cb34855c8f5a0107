//! Adaptation matrices, CIELAB, Oklab and colour differences against published tables and a reference library.

use crate::common::{Row, Worst, csv};
use lookwright::colour::adaptation::Adaptation;
use lookwright::colour::difference::{Lab, ciede2000, delta_e_76, delta_e_itp, lab_to_xyz, xyz_to_lab};
use lookwright::colour::oklab::Oklab;
use lookwright::colour::whites::{Chromaticity, D65};
use lookwright::maths::cbrt;
use nalgebra::{Matrix3, Vector3};
use palette::color_difference::Ciede2000;
use palette::white_point;

/// cat_matrices.csv, absolute per element.
const MATRIX: f64 = 1e-9;

/// ciede2000_sharma.csv: 5e-5 plus rounding, of values printed with four decimals.
const PRINTED_DELTA_E: f64 = 1e-4;

/// delta_e_lab.csv, relative; delta_e_itp.csv, absolute.
const COMPUTED_DELTA_E: f64 = 1e-9;

/// delta_e_itp.csv, of the values quoted from the Recommendation.
const PRINTED_DELTA_E_ITP: f64 = 1e-6;

/// colour_models.csv: Lab, forward.
const LAB: f64 = 1e-7;

/// colour_models.csv: Oklab, forward.
const OKLAB: f64 = 1e-9;

/// colour_models.csv: the inverses, relative.
const INVERSE: f64 = 1e-6;

/// Source: cat_matrices.csv, a reference library; the two other transforms of the file are not offered here.
#[test]
fn adaptation_matrices() {
    let (mut matrices, mut colours) = (Worst::new("adaptation matrices", MATRIX), Worst::new("adapted XYZ", MATRIX));
    for row in csv("cat_matrices.csv").rows() {
        let Some(adaptation) = Adaptation::find(row.text("cat")) else {
            assert!(
                ["vonkries", "xyz"].contains(&row.text("cat")),
                "{}: {} is not known",
                row.place(),
                row.text("cat")
            );
            continue;
        };
        let place = format!("{} → {} {} ({})", row.text("from"), row.text("to"), adaptation.id(), row.place());
        let matrix = adaptation.matrix(row.numbers(["fx", "fy", "fz"]).into(), row.numbers(["tx", "ty", "tz"]).into());
        let expected = row.numbers(["m00", "m01", "m02", "m10", "m11", "m12", "m20", "m21", "m22"]);
        matrices.check_all(&place, matrix.transpose().as_slice(), &expected);
        let white: [f64; 3] = (matrix * Vector3::from(row.numbers(["fx", "fy", "fz"]))).into();
        colours.check_all(&format!("white {place}"), &white, &row.numbers(["tx", "ty", "tz"]));
    }
    matrices.finish();
    colours.finish();
}

/// Source: the definition: a white stays itself, names are found in any spelling, and nothing else is.
#[test]
fn adaptation_names_and_identity() {
    for adaptation in Adaptation::ALL {
        assert_eq!(Adaptation::find(&adaptation.id().to_uppercase()), Some(adaptation), "{}", adaptation.id());
        assert_eq!(adaptation.matrix(D65.to_xyz(), D65.to_xyz()), Matrix3::identity(), "{}", adaptation.id());
        assert!(!adaptation.source().citation.is_empty(), "{}", adaptation.id());
    }
    assert_eq!(Adaptation::find("CAT-16"), Some(Adaptation::Cat16));
    assert_eq!(Adaptation::find("vonkries"), None);
}

fn pair(row: &Row<'_>) -> (Lab, Lab) {
    let [l, a, b] = row.numbers(["l1", "a1", "b1"]);
    let [l2, a2, b2] = row.numbers(["l2", "a2", "b2"]);
    (Lab { l, a, b }, Lab { l: l2, a: a2, b: b2 })
}

/// Source: Sharma, Wu and Dalal (2005), Table 1, all 34 pairs, and a reference library at the same pairs.
#[test]
fn ciede2000_of_the_published_pairs() {
    let mut printed = Worst::new("CIEDE2000, printed", PRINTED_DELTA_E);
    let mut computed = Worst::new("CIEDE2000, reference library", COMPUTED_DELTA_E);
    let mut seen = [false; 35];
    for file in ["ciede2000_sharma.csv", "ciede2000_sharma_even.csv"] {
        for row in csv(file).rows() {
            let number: usize = row.value("pair");
            let place = format!("pair {number}");
            seen[number] = true;
            let (first, second) = pair(&row);
            printed.check(&place, ciede2000(first, second), row.number("de2000"));
            printed.check(&format!("{place} swapped"), ciede2000(second, first), row.number("de2000"));
            // Exactly opposite hues: the library decides by the last bit of an angle, so it is no reference there.
            if number != 14 {
                computed.check_relative(&place, ciede2000(first, second), row.number("colour_science"));
            }
        }
    }
    assert!(seen[1..].iter().all(|seen| *seen), "not all 34 pairs were compared: {seen:?}");
    printed.finish();
    computed.finish();
}

/// Source: delta_e_lab.csv, a reference library; for CIEDE2000 also a second library, palette.
#[test]
fn differences_in_lab() {
    /// palette's mean hue does not subtract 360° where the sum of the hues is 360° or more (the formula does); its turn
    /// of the blue ellipses then differs by up to 30°·exp(−3.4²) = 3e-4° of the angle 2Δθ, under 2e-5 of a difference.
    const PALETTE_RELATIVE: f64 = 2e-5;
    let (mut euclidean, mut modern) =
        (Worst::new("ΔE 1976", COMPUTED_DELTA_E), Worst::new("CIEDE2000, computed pairs", COMPUTED_DELTA_E));
    let mut second_library = Worst::new("CIEDE2000, palette", PALETTE_RELATIVE);
    for row in csv("delta_e_lab.csv").rows() {
        let (first, second) = pair(&row);
        euclidean.check_relative(&row.place(), delta_e_76(first, second), row.number("de76"));
        modern.check_relative(&row.place(), ciede2000(first, second), row.number("de2000"));
        let [one, other] = [first, second].map(|lab| palette::Lab::<white_point::D50, f64>::new(lab.l, lab.a, lab.b));
        second_library.check_relative(&row.place(), ciede2000(first, second), one.difference(other));
    }
    euclidean.finish();
    modern.finish();
    second_library.finish();
}

/// Source: the definition: 0 for equal colours, also black, grey and with a negative zero; the same both ways.
#[test]
fn ciede2000_of_special_colours() {
    let special = [
        [0.0, 0.0, 0.0],
        [50.0, 0.0, -0.0],
        [50.0, -0.0, 0.0],
        [100.0, 0.0, 0.0],
        [50.0, 300.0, -300.0],
        [-5.0, 1.0, 0.0],
    ];
    let special = special.map(|[l, a, b]| Lab { l, a, b });
    for first in special {
        assert_eq!(ciede2000(first, first), 0.0, "{first:?} with itself");
        for second in special {
            let (there, back) = (ciede2000(first, second), ciede2000(second, first));
            assert!(there.is_finite() && there >= 0.0, "{first:?} {second:?}: {there}");
            assert!((there - back).abs() <= 1e-12 * there, "{first:?} {second:?}: {there} there, {back} back");
        }
    }
    assert!(ciede2000(Lab { l: f64::NAN, a: 0.0, b: 0.0 }, special[0]).is_nan(), "NaN in, NaN out");
}

/// Source: delta_e_itp.csv: the examples of ITU-R BT.2124 as a reference library quotes them, and its own results.
#[test]
fn differences_in_itp() {
    let (mut printed, mut computed) =
        (Worst::new("ΔE ITP, printed", PRINTED_DELTA_E_ITP), Worst::new("ΔE ITP, computed", COMPUTED_DELTA_E));
    for row in csv("delta_e_itp.csv").rows() {
        let place = format!("{} ({})", row.text("name"), row.place());
        let difference = delta_e_itp(row.numbers(["i1", "ct1", "cp1"]), row.numbers(["i2", "ct2", "cp2"]));
        printed.check(&place, difference, row.number("printed"));
        computed.check(&place, difference, row.number("computed"));
    }
    printed.finish();
    computed.finish();
}

/// Source: colour_models.csv, CIE 015:2004 through a reference library.
#[test]
fn lab_both_ways() {
    let (mut forward, mut back) = (Worst::new("Lab", LAB), Worst::new("XYZ from Lab", INVERSE));
    let d50 = Chromaticity { x: 0.34570, y: 0.35850 };
    for row in csv("colour_models.csv").rows_where("model", "lab") {
        let white: [f64; 3] = match row.text("parameters") {
            "white=D65" => D65.to_xyz().into(),
            "white=D50" => d50.to_xyz().into(),
            other => panic!("{}: {other}", row.place()),
        };
        let place = format!("{} {}", row.text("parameters"), row.place());
        let Lab { l, a, b } = xyz_to_lab(row.numbers(["in1", "in2", "in3"]), white);
        forward.check_all(&place, &[l, a, b], &row.numbers(["out1", "out2", "out3"]));
        let xyz = lab_to_xyz(Lab { l, a, b }, white);
        for (computed, expected) in xyz.iter().zip(row.numbers(["in1", "in2", "in3"])) {
            back.check_relative(&place, *computed, expected);
        }
    }
    forward.finish();
    back.finish();
}

/// The matrices that Ottosson (2020) prints.
#[rustfmt::skip]
fn published_oklab() -> Oklab {
    let cones = Matrix3::new(
        0.8189330101, 0.3618667424, -0.1288597137,
        0.0329845436, 0.9293118715, 0.0361456387,
        0.0482003018, 0.2643662691, 0.6338517070,
    );
    let lab = Matrix3::new(
        0.2104542553, 0.7936177850, -0.0040720468,
        1.9779984951, -2.4285922050, 0.4505937099,
        0.0259040371, 0.7827717662, -0.8086757660,
    );
    let [lab_to_roots, cones_to_xyz] = [lab, cones].map(|matrix| matrix.try_inverse().expect("a regular matrix"));
    Oklab { xyz_to_cones: cones, roots_to_lab: lab, lab_to_roots, cones_to_xyz }
}

/// Source: colour_models.csv, a reference library. It has the published matrices, so they are put into ours first; how
/// far the exact white moves a colour is bounded in the next test.
#[test]
fn oklab_with_the_published_matrices() {
    let oklab = published_oklab();
    let (mut forward, mut back) = (Worst::new("Oklab", OKLAB), Worst::new("XYZ from Oklab", INVERSE));
    for row in csv("colour_models.csv").rows_where("model", "oklab") {
        let xyz = row.numbers(["in1", "in2", "in3"]);
        let lab = oklab.from_xyz_d65(xyz);
        forward.check_all(&row.place(), &lab, &row.numbers(["out1", "out2", "out3"]));
        for (computed, expected) in oklab.to_xyz_d65(lab).iter().zip(xyz) {
            back.check_relative(&row.place(), *computed, expected);
        }
    }
    forward.finish();
    back.finish();
}

/// The exact white changes each cone value by the factor that the published row is off on D65, its root by a third of
/// it, and L, a, b by no more than the rows of M2 make of that, at roots up to 1.
#[test]
fn oklab_exact_on_white() {
    /// What is left of the chroma of white after rounding in f64: a few times 2.2e-16, through elements up to 2.5.
    const ROUNDING: f64 = 4e-15;
    let (oklab, published) = (Oklab::new(), published_oklab());
    let mut greys = Worst::new("chroma of greys", ROUNDING);
    let mut lightness = Worst::new("lightness of greys", ROUNDING);
    for level in [1.0, 0.5, 0.18, 1e-3, 0.0] {
        let [l, a, b] = oklab.from_xyz_d65((D65.to_xyz() * level).into());
        greys.check_all(&format!("grey {level}"), &[a, b], &[0.0, 0.0]);
        lightness.check(&format!("grey {level}"), l, cbrt(level));
    }
    greys.finish();
    lightness.finish();

    let row_error = (published.xyz_to_cones * D65.to_xyz()).map(|cone| (cone - 1.0).abs()).max();
    assert!(row_error > 1e-6, "the published rows are exact after all ({row_error:e}); then nothing needs this test");
    let largest_row = published.roots_to_lab.map(f64::abs).column_sum().max();
    /// The root of 1 + ε is 1 + ε/3 less ε²/9, far below a hundredth of it.
    const SECOND_ORDER: f64 = 1.01;
    /// Ten digits are printed of M2: its sums are off by less than this.
    const SECOND_MATRIX: f64 = 1e-7;
    let bound = row_error / 3.0 * largest_row * SECOND_ORDER + SECOND_MATRIX;
    let mut moved = Worst::new("Oklab, exact white against published", bound);
    for row in csv("colour_models.csv").rows_where("model", "oklab") {
        let xyz = row.numbers(["in1", "in2", "in3"]);
        let brightest = (published.xyz_to_cones * Vector3::from(xyz)).map(|cone| cbrt(cone.abs())).max();
        let scale = brightest.max(1.0);
        let [exact, plain] = [&oklab, &published].map(|space| space.from_xyz_d65(xyz).map(|value| value / scale));
        moved.check_all(&row.place(), &exact, &plain);
    }
    moved.finish();
}

/// Source: the definition of an inverse; negative cone values keep their sign.
#[test]
fn oklab_round_trip() {
    let oklab = Oklab::new();
    let mut worst = Worst::new("Oklab there and back", 1e-12);
    for red in [-0.2, 0.0, 0.18, 1.0, 4.0] {
        for blue in [-0.1, 0.0, 0.5, 2.0] {
            let xyz = [red, 0.4, blue];
            worst.check_all(&format!("XYZ {xyz:?}"), &oklab.to_xyz_d65(oklab.from_xyz_d65(xyz)), &xyz);
        }
    }
    worst.finish();
}

//! Colour differences of colours whose codes are known.

use crate::common::Worst;
use crate::frames::{BAR, bars, columns, full, legal};
use lookwright::picture::scopes::{LumaCoding, SKIN_DEGREES, Vectorscope};
use lookwright::plan::Levels;

const CODINGS: [LumaCoding; 2] = [LumaCoding::Bt709, LumaCoding::Bt2020];

#[test]
fn each_colour_lies_at_the_codes_of_the_standards() {
    for coding in CODINGS {
        for bar in bars(coding) {
            // Narrow range on the link, whatever the frame's levels.
            for (levels, signal) in [(Levels::Legal, legal(&bar)), (Levels::Full, full(&bar))] {
                let scope = Vectorscope::new(&columns(&[signal]), coding, levels);
                let [cb, cr] = bar.chroma;
                let name = format!("{} {} % of {}, {levels:?}", bar.name, bar.percent, coding.name());
                assert_eq!(scope.counts.at(cb, cr), (BAR[0] * BAR[1]) as u32, "{name}");
                assert_eq!((scope.held, scope.not_a_number), (0, 0), "{name}");
            }
        }
    }
}

#[test]
fn targets_lie_at_the_angles_and_distances_of_the_bars() {
    let mut codes = Worst::new("codes of targets before rounding", 0.5);
    let mut degrees = Worst::new("angles of targets, degrees", 1e-6);
    let mut magnitudes = Worst::new("distances of targets, of 896 codes", 1e-8);
    for coding in CODINGS {
        let bars = bars(coding);
        let targets = Vectorscope::targets(coding);
        assert_eq!(targets.len(), 12);
        for target in targets {
            let own = bars.iter().find(|bar| bar.percent == target.percent && bar.name == target.name).expect("a bar");
            let place = format!("{} {} % of {}", target.name, target.percent, coding.name());
            codes.check_all(&place, &target.codes, &own.chroma.map(|code| code as f64));
            let [cb, cr] = target.codes.map(|code| (code - 512.0) / 896.0);
            let angle = lookwright::maths::atan2(cr, cb).to_degrees().rem_euclid(360.0);
            degrees.check(&place, angle, own.degrees);
            magnitudes.check(&place, (cb * cb + cr * cr).sqrt(), own.magnitude);
        }
    }
    codes.finish();
    degrees.finish();
    magnitudes.finish();
}

/// The I axis of NTSC lies at 33° from R − Y, so at 123° from B − Y, before any reduction of the colour differences; from memory.
#[test]
fn the_skin_line_is_that_of_the_i_axis() {
    assert_eq!(SKIN_DEGREES, 90.0 + 33.0);
}

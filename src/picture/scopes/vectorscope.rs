//! Vectorscope: how often each pair of colour differences stands in a frame.

use super::coding::{LumaCoding, chroma_code};
use super::counts::{Grid, tally};
use super::waveform::{CODES, levels_id};
use crate::maths::Rgb;
use crate::picture::Frame;
use crate::plan::Levels;
use serde::Serialize;

/// The line that skin of every kind lies near, degrees from +C′B towards +C′R: the I axis of NTSC. Common practice, no source; guidance only.
pub const SKIN_DEGREES: f64 = 123.0;

/// Amplitudes of the colour bars that have targets, percent.
const BAR_PERCENT: [u32; 2] = [100, 75];

/// The six colours of the bars.
const BARS: [(&str, Rgb); 6] = [
    ("R", [1.0, 0.0, 0.0]),
    ("Yl", [1.0, 1.0, 0.0]),
    ("G", [0.0, 1.0, 0.0]),
    ("Cy", [0.0, 1.0, 1.0]),
    ("B", [0.0, 0.0, 1.0]),
    ("Mg", [1.0, 0.0, 1.0]),
];

/// Where a colour of the bars lies.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct BarTarget {
    /// R, Yl, G, Cy, B or Mg.
    pub name: &'static str,
    /// Amplitude: 100 or 75.
    pub percent: u32,
    /// Its ten-bit codes C′B and C′R, narrow range, not rounded.
    pub codes: [f64; 2],
}

/// A vectorscope. The counts, `held` among them, and `not_a_number` sum to the number of pixels.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Vectorscope {
    /// The matrix.
    pub coding: LumaCoding,
    /// What the frame's signal was taken for.
    #[serde(serialize_with = "levels_id")]
    pub levels: Levels,
    /// A column for each code 0..1023 of C′B, a row for each of C′R, narrow range: 512 is no colour, 64 and 960 are the ends.
    pub counts: Grid,
    /// Pixels with a code below 0 or above 1023, counted at the nearest.
    pub held: u64,
    /// Pixels of which a sample is not a number, or that are infinite, so that no difference is left.
    pub not_a_number: u64,
}

#[derive(Clone)]
struct Tally {
    counts: Grid,
    held: u64,
    not_a_number: u64,
}

impl Vectorscope {
    /// The vectorscope of a frame. `levels` says what the frame's signal is: its white is code 940 for [`Levels::Legal`], 1023 for
    /// [`Levels::Full`]. The codes of C′B and C′R are narrow range either way, as BT.709 and BT.2020 send them.
    #[must_use]
    pub fn new(frame: &Frame, coding: LumaCoding, levels: Levels) -> Self {
        let empty = || Tally { counts: Grid::new(CODES, CODES), held: 0, not_a_number: 0 };
        let count = |tally: &mut Tally, rgb: Rgb| {
            let differences = coding.differences(rgb.map(|signal| levels.from_signal(signal)));
            if differences.iter().any(|value| value.is_nan()) {
                tally.not_a_number += 1;
                return;
            }
            let codes = differences.map(|difference| (chroma_code(difference) + 0.5).floor());
            let held = codes.map(|code| code.clamp(0.0, CODES as f64 - 1.0));
            tally.held += u64::from(held != codes);
            tally.counts.add(held[0] as usize, held[1] as usize);
        };
        let merge = |a: Tally, b: Tally| Tally {
            counts: a.counts.merge(&b.counts),
            held: a.held + b.held,
            not_a_number: a.not_a_number + b.not_a_number,
        };
        let Tally { counts, held, not_a_number } = tally(frame, empty, count, merge);
        Self { coding, levels, counts, held, not_a_number }
    }

    /// The targets of 100 % and 75 % colour bars in a coding, those of 100 % first.
    #[must_use]
    pub fn targets(coding: LumaCoding) -> Vec<BarTarget> {
        let target = |percent: u32, (name, rgb): (&'static str, Rgb)| {
            let amplitude = f64::from(percent) / 100.0;
            let codes = coding.differences(rgb.map(|value| value * amplitude)).map(chroma_code);
            BarTarget { name, percent, codes }
        };
        BAR_PERCENT.into_iter().flat_map(|percent| BARS.map(|bar| target(percent, bar))).collect()
    }
}

//! Waveform of luma and parade of R, G and B: how often each ten-bit code stands in each column.

use super::coding::{LumaCoding, code10};
use super::counts::{Grid, Sample};
use crate::colour::encodings::Curve;
use crate::maths::{CODE10_MAX, Rgb, linear_from_stops};
use crate::picture::{Frame, Samples};
use crate::plan::Levels;
use rayon::prelude::*;
use serde::{Serialize, Serializer};

/// Ten-bit codes, 0..1023.
pub(super) const CODES: usize = 1024;

/// Columns of a trace that a thread takes at a time: some whole cache lines of the frame's rows.
const COLUMNS_AT_ONCE: usize = 32;

/// What a trace shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum TraceOf {
    /// Luma Y′.
    Luma,
    /// R′.
    Red,
    /// G′.
    Green,
    /// B′.
    Blue,
}

impl TraceOf {
    /// The letter that it is known by.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Luma => "Y′",
            Self::Red => "R",
            Self::Green => "G",
            Self::Blue => "B",
        }
    }

    fn of(self, coding: LumaCoding, rgb: Rgb) -> f64 {
        match self {
            Self::Luma => coding.luma(rgb),
            Self::Red => rgb[0],
            Self::Green => rgb[1],
            Self::Blue => rgb[2],
        }
    }
}

/// One trace. The counts, `held` among them, and `not_a_number` sum to the number of pixels.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Trace {
    /// What it shows.
    pub of: TraceOf,
    /// A row for each code 0..1023; columns from the left of the frame.
    pub counts: Grid,
    /// Pixels below code 0 and above code 1023, counted at 0 and at 1023.
    pub held: [u64; 2],
    /// Pixels that have no code because a sample is not a number.
    pub not_a_number: u64,
}

/// A waveform: one trace of luma, or three of R, G and B.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Waveform {
    /// What luma is made of.
    pub coding: LumaCoding,
    /// What counts as 0 and 100 %.
    #[serde(serialize_with = "levels_id")]
    pub levels: Levels,
    /// The traces, side by side.
    pub traces: Vec<Trace>,
}

pub(super) fn levels_id<S: Serializer>(levels: &Levels, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(levels.id())
}

impl Waveform {
    /// The waveform of luma. `levels` says what the frame's signal is: for [`Levels::Legal`] its codes 64..940 are 0..100 %, for
    /// [`Levels::Full`] 0..1023. The codes are those of the frame in any case. As many columns as the frame, but at most
    /// `most_columns` (1 or more), which then share the frame's evenly.
    #[must_use]
    pub fn luma(frame: &Frame, coding: LumaCoding, levels: Levels, most_columns: usize) -> Self {
        Self::of(frame, coding, levels, most_columns, &[TraceOf::Luma])
    }

    /// The parade of R, G and B, each with up to `most_columns` columns. Otherwise as [`Self::luma`].
    #[must_use]
    pub fn parade(frame: &Frame, levels: Levels, most_columns: usize) -> Self {
        Self::of(frame, LumaCoding::Bt709, levels, most_columns, &[TraceOf::Red, TraceOf::Green, TraceOf::Blue])
    }

    fn of(frame: &Frame, coding: LumaCoding, levels: Levels, most_columns: usize, of: &[TraceOf]) -> Self {
        let columns = frame.width().min(most_columns.max(1));
        let trace = |of: &TraceOf| match frame.samples() {
            Samples::Codes(codes) => trace(frame, codes, columns, *of, coding),
            Samples::Floats(values) => trace(frame, values, columns, *of, coding),
        };
        Self { coding, levels, traces: of.iter().map(trace).collect() }
    }
}

/// Each band of columns is counted alone, so that nothing has to be added up.
fn trace<S: Sample>(frame: &Frame, samples: &[S], columns: usize, of: TraceOf, coding: LumaCoding) -> Trace {
    let mut counts = Grid::new(columns, CODES);
    let bands = counts.column_slices().par_chunks_mut(CODES * COLUMNS_AT_ONCE).enumerate();
    let count = |(index, band): (usize, &mut [u32])| {
        let first = index * COLUMNS_AT_ONCE;
        let (mut held, mut not_a_number) = ([0_u64; 2], 0_u64);
        // The frame's columns [c · width / columns, (c + 1) · width / columns) are those of column c.
        let start = |column: usize| (column * frame.width()).div_ceil(columns);
        let (left, right) = (start(first), start(first + band.len() / CODES));
        let places: Vec<usize> = (left..right).map(|x| (x * columns / frame.width() - first) * CODES).collect();
        let (stride, channels) = (frame.width() * frame.channels(), frame.channels());
        for row in samples.chunks_exact(stride) {
            let pixels = row[left * channels..right * channels].chunks_exact(channels);
            for (pixel, place) in pixels.zip(&places) {
                let signal = of.of(coding, [pixel[0].signal(), pixel[1].signal(), pixel[2].signal()]);
                if signal.is_nan() {
                    not_a_number += 1;
                    continue;
                }
                let code = code10(signal);
                held[0] += u64::from(code < 0);
                held[1] += u64::from(code >= CODES as i64);
                band[place + code.clamp(0, CODES as i64 - 1) as usize] += 1;
            }
        }
        (held, not_a_number)
    };
    let add = |a: ([u64; 2], u64), b: ([u64; 2], u64)| ([a.0[0] + b.0[0], a.0[1] + b.0[1]], a.1 + b.1);
    let (held, not_a_number) = bands.map(count).reduce(|| ([0; 2], 0), add);
    Trace { of, counts, held, not_a_number }
}

/// Where a light lies in a log signal.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LogMark {
    /// Stops from grey.
    pub stops: i32,
    /// Its ten-bit code by the encoding's formula, not rounded.
    pub code: f64,
}

/// Stops either way that are looked at for marks.
const MARKED_STOPS: i32 = 16;

/// Grey and the whole stops around it at their codes, those within 0..1023, for the waveform of a log frame.
#[must_use]
pub fn log_marks(curve: &Curve) -> Vec<LogMark> {
    (-MARKED_STOPS..=MARKED_STOPS)
        .map(|stops| LogMark { stops, code: curve.encode(linear_from_stops(f64::from(stops))) * CODE10_MAX })
        .filter(|mark| (0.0..=CODE10_MAX).contains(&mark.code))
        .collect()
}

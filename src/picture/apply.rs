//! A look applied to a frame: through its table, as a monitor would, or through the exact pipeline.
//!
//! Work is spread over all cores in blocks of pixels; each result depends on its own pixel only and the counts are
//! whole numbers, so the outcome is the same with any number of threads.

use super::{CODE16_MAX, Frame, SampleDepth, Samples, code16};
use crate::lut::fast::FastTable;
use crate::lut::{Interpolation, Table3};
use crate::maths::Rgb;
use rayon::prelude::*;

/// Pixels that a thread takes at a time: large enough to be worth the hand-over, small enough to share out evenly.
const BLOCK_PIXELS: usize = 16_384;

/// Pixels that a function is given at once: enough to work on in vectors, few enough to stay in the nearest cache.
const ROW_PIXELS: usize = 1024;

/// A frame that went through a look, and what had to be clamped on the way.
#[derive(Clone, Debug, PartialEq)]
pub struct Applied {
    /// The result: 16-bit codes from a frame of codes, floats from a frame of floats. Alpha is as it was.
    pub frame: Frame,
    /// Samples of R, G or B that lay outside 0..1, or were not a number (taken as 0), before a table. Codes never are.
    pub clamped_inputs: u64,
    /// Results that no code can hold (outside 0..1, or not a number, which becomes 0). Results as floats are never
    /// clamped.
    pub clamped_outputs: u64,
}

/// What was clamped in a block of pixels.
#[derive(Clone, Copy, Default)]
struct Clamped {
    inputs: u64,
    outputs: u64,
}

impl Clamped {
    fn plus(self, other: Self) -> Self {
        Self { inputs: self.inputs + other.inputs, outputs: self.outputs + other.outputs }
    }
}

/// A frame seen through a table, as a device with this interpolation shows it. The signal 0..1 is the table's input,
/// whatever part of its domain that is; samples outside 0..1 are clamped and counted.
///
/// Frames of codes give 16-bit codes, rounded to the nearest, at most one code from [`Table3::sample`] and exactly on
/// nodes.
///
/// ```
/// use lookwright::lut::{Domain, Interpolation, Table3};
/// use lookwright::picture::{Frame, apply::apply_table};
/// let negative = (0..8).map(|node| [0, 1, 2].map(|axis| f64::from(1 - (node >> axis & 1)))).collect();
/// let table = Table3::new(2, Domain::UNIT, negative).unwrap();
/// let frame = Frame::from_sixteen_bit(1, 1, false, vec![0, 1000, 65_535]).unwrap();
/// let expected = Frame::from_sixteen_bit(1, 1, false, vec![65_535, 64_535, 0]).unwrap();
/// assert_eq!(apply_table(&frame, &table, Interpolation::Tetrahedral).frame, expected);
/// ```
#[must_use]
pub fn apply_table(frame: &Frame, table: &Table3, interpolation: Interpolation) -> Applied {
    let fast = match (frame.depth(), interpolation) {
        (SampleDepth::Eight | SampleDepth::Sixteen, Interpolation::Tetrahedral) => FastTable::new(table),
        _ => None,
    };
    if let (Some(fast), Samples::Codes(codes)) = (fast, frame.samples()) {
        return apply_fast(frame, codes, &fast);
    }
    apply_rows(frame, |row| {
        let clamped = row.iter_mut().map(hold).sum();
        row.iter_mut().for_each(|pixel| *pixel = table.sample(*pixel, interpolation));
        clamped
    })
}

/// Holds a colour to 0..1, what is not a number as 0, and gives how many of its samples that changed.
pub(super) fn hold(pixel: &mut Rgb) -> u64 {
    let held = pixel.map(|value| if value.is_nan() { 0.0 } else { value.clamp(0.0, 1.0) });
    let changed = held.iter().zip(pixel.iter()).filter(|(held, value)| held != value).count();
    *pixel = held;
    changed as u64
}

/// A frame through a function of its colours, a row of pixels at a time: `change` replaces each pixel of the row by its result,
/// and gives how many samples it had to hold to its range first, which is added up in [`Applied::clamped_inputs`]. How many
/// pixels a row has is left open: a result must depend on its own pixel only. Codes reach the function as a signal of 0..1
/// and its results are rounded to the nearest 16-bit code; floats go through as they are.
pub fn apply_rows(frame: &Frame, change: impl Fn(&mut [Rgb]) -> u64 + Sync) -> Applied {
    let channels = frame.channels();
    let (frame, clamped) = match frame.samples() {
        Samples::Codes(codes) => {
            let mut result = codes.clone();
            let clamped = in_rows(&mut result, channels, |code| f64::from(code) / CODE16_MAX, store_code, change);
            (frame.with_codes(result), clamped)
        }
        Samples::Floats(values) => {
            let mut result = values.clone();
            let clamped = in_rows(&mut result, channels, f64::from, store_float, change);
            (frame.with_floats(result), clamped)
        }
    };
    Applied { frame, clamped_inputs: clamped.inputs, clamped_outputs: clamped.outputs }
}

/// The same for a function of one colour.
pub fn apply_function(frame: &Frame, function: impl Fn(Rgb) -> Rgb + Sync) -> Applied {
    apply_rows(frame, |row| {
        row.iter_mut().for_each(|pixel| *pixel = function(*pixel));
        0
    })
}

fn apply_fast(frame: &Frame, codes: &[u16], table: &FastTable) -> Applied {
    let mut result = vec![0; codes.len()];
    let clamped_outputs = if frame.has_alpha() {
        fast_blocks::<4>(codes, &mut result, table)
    } else {
        fast_blocks::<3>(codes, &mut result, table)
    };
    Applied { frame: frame.with_codes(result), clamped_inputs: 0, clamped_outputs }
}

fn fast_blocks<const CHANNELS: usize>(codes: &[u16], result: &mut [u16], table: &FastTable) -> u64 {
    let (pixels, _) = codes.as_chunks::<CHANNELS>();
    let (results, _) = result.as_chunks_mut::<CHANNELS>();
    let blocks = pixels.par_chunks(BLOCK_PIXELS).zip(results.par_chunks_mut(BLOCK_PIXELS));
    blocks.map(|(pixels, results)| table.apply::<CHANNELS>(pixels, results)).sum()
}

fn in_rows<T: Copy + Send>(
    samples: &mut [T],
    channels: usize,
    load: impl Fn(T) -> f64 + Sync,
    store: impl Fn(&mut T, f64) -> bool + Sync,
    change: impl Fn(&mut [Rgb]) -> u64 + Sync,
) -> Clamped {
    let block = |row: &mut Vec<Rgb>, block: &mut [T]| {
        let mut clamped = Clamped::default();
        for part in block.chunks_mut(ROW_PIXELS * channels) {
            row.clear();
            row.extend(part.chunks_exact(channels).map(|pixel| [0, 1, 2].map(|channel| load(pixel[channel]))));
            clamped.inputs += change(row);
            for (pixel, result) in part.chunks_exact_mut(channels).zip(row.iter()) {
                for (sample, value) in pixel.iter_mut().zip(result) {
                    clamped.outputs += u64::from(store(sample, *value));
                }
            }
        }
        clamped
    };
    samples.par_chunks_mut(BLOCK_PIXELS * channels).map_init(Vec::new, block).reduce(Clamped::default, Clamped::plus)
}

/// Whether the value had to be held to what codes can be.
fn store_code(sample: &mut u16, value: f64) -> bool {
    *sample = code16(value);
    !(0.0..=1.0).contains(&value)
}

fn store_float(sample: &mut f32, value: f64) -> bool {
    *sample = value as f32;
    false
}

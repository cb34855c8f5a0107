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
    apply_pixels(frame, |rgb| {
        let clamped = rgb.map(|value| if value.is_nan() { 0.0 } else { value.clamp(0.0, 1.0) });
        let count = [0, 1, 2].map(|channel| u64::from(clamped[channel] != rgb[channel]));
        (table.sample(clamped, interpolation), count[0] + count[1] + count[2])
    })
}

/// A frame through what a device does with a colour: `device` gives the result and how many of the three samples it had to
/// hold to its range first, which is added up in [`Applied::clamped_inputs`]. Otherwise as [`apply_function`].
pub fn apply_device(frame: &Frame, device: impl Fn(Rgb) -> (Rgb, u64) + Sync) -> Applied {
    apply_pixels(frame, device)
}

/// A frame through a function of its colour, such as the exact pipeline, pixel by pixel. Codes reach the function as a
/// signal of 0..1 and its results are rounded to the nearest 16-bit code; floats go through as they are.
pub fn apply_function(frame: &Frame, function: impl Fn(Rgb) -> Rgb + Sync) -> Applied {
    apply_pixels(frame, |rgb| (function(rgb), 0))
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

/// Applies a function that also says how many of its three inputs it clamped.
fn apply_pixels(frame: &Frame, function: impl Fn(Rgb) -> (Rgb, u64) + Sync) -> Applied {
    let channels = frame.channels();
    let (frame, clamped) = match frame.samples() {
        Samples::Codes(codes) => {
            let mut result = codes.clone();
            let clamped = in_blocks(&mut result, channels, |pixel| code_pixel(pixel, &function));
            (frame.with_codes(result), clamped)
        }
        Samples::Floats(values) => {
            let mut result = values.clone();
            let clamped = in_blocks(&mut result, channels, |pixel| float_pixel(pixel, &function));
            (frame.with_floats(result), clamped)
        }
    };
    Applied { frame, clamped_inputs: clamped.inputs, clamped_outputs: clamped.outputs }
}

fn in_blocks<T: Send>(samples: &mut [T], channels: usize, change: impl Fn(&mut [T]) -> Clamped + Sync) -> Clamped {
    let block = |block: &mut [T]| {
        block.chunks_exact_mut(channels).fold(Clamped::default(), |clamped, pixel| clamped.plus(change(pixel)))
    };
    samples.par_chunks_mut(BLOCK_PIXELS * channels).map(block).reduce(Clamped::default, Clamped::plus)
}

fn code_pixel(pixel: &mut [u16], function: impl Fn(Rgb) -> (Rgb, u64)) -> Clamped {
    let (result, inputs) = function([0, 1, 2].map(|channel| f64::from(pixel[channel]) / CODE16_MAX));
    let mut outputs = 0;
    for (sample, value) in pixel.iter_mut().zip(result) {
        outputs += u64::from(!(0.0..=1.0).contains(&value));
        *sample = code16(value);
    }
    Clamped { inputs, outputs }
}

fn float_pixel(pixel: &mut [f32], function: impl Fn(Rgb) -> (Rgb, u64)) -> Clamped {
    let (result, inputs) = function([0, 1, 2].map(|channel| f64::from(pixel[channel])));
    for (sample, value) in pixel.iter_mut().zip(result) {
        *sample = value as f32;
    }
    Clamped { inputs, outputs: 0 }
}

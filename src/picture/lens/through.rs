//! Frames seen through a lens filter: scene light, or a camera's log signal by way of its light.

use super::Lens;
use super::blur::{Light, Spread, add_spread};
use crate::colour::gamuts::Gamut;
use crate::picture::apply::{Applied, apply_function};
use crate::picture::preview::Preview;
use crate::picture::{CODE16_MAX, Frame, SampleDepth, Samples, code16};
use crate::plan::Camera;
use rayon::prelude::*;

/// Pixels that a thread takes at a time.
const BLOCK_PIXELS: usize = 16_384;

/// A frame seen through a lens filter, and what is doubtful about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Seen {
    /// The frame: of the same kind as it came, 16-bit codes from codes. Alpha is as it was.
    pub frame: Frame,
    /// Samples of R, G or B without a finite light. Not a number and minus infinity were taken as no light, infinity as the
    /// brightest finite light of the same channel.
    pub held_samples: u64,
    /// Samples of R, G or B at the end of the codes (signal 1 or above, where the frame has codes): what was brighter there has
    /// lost its light before it came here, and its halo is too weak.
    pub samples_at_end: u64,
}

impl Seen {
    fn untouched(frame: &Frame) -> Self {
        Self { frame: frame.clone(), held_samples: 0, samples_at_end: 0 }
    }
}

impl Lens {
    /// Scene-linear light in the primaries of a gamut → the same behind the lens, in floats. Codes are light of 0..1.
    /// Where the lens changes nothing, the frame comes back as it is.
    #[must_use]
    pub fn on_light(&self, frame: &Frame, gamut: &Gamut) -> Seen {
        if self.is_identity() {
            return Seen::untouched(frame);
        }
        let (light, held_samples) = light_of(frame, |value| value);
        let light = self.through(light, gamut);
        let samples = floats(frame, &light, |value| value);
        Seen { frame: frame.with_floats(samples), held_samples, samples_at_end: at_end(frame) }
    }

    /// A camera's log signal, full range → the same as recorded behind the lens: decoded to light, filtered, encoded again.
    /// Where the lens changes nothing, the frame comes back as it is.
    #[must_use]
    pub fn on_log(&self, frame: &Frame, camera: &Camera) -> Seen {
        if self.is_identity() {
            return Seen::untouched(frame);
        }
        let (light, held_samples) = light_of(frame, |signal| camera.curve.decode(signal));
        let light = self.through(light, camera.gamut);
        let encode = |light: f32| camera.curve.encode(f64::from(light));
        let result = match frame.samples() {
            Samples::Codes(codes) => {
                let mut result = codes.clone();
                each_pixel(&mut result, frame.channels(), &light, |sample, light| *sample = code16(encode(light)));
                frame.with_codes(result)
            }
            Samples::Floats(_) => frame.with_floats(floats(frame, &light, |light| encode(light) as f32)),
        };
        Seen { frame: result, held_samples, samples_at_end: at_end(frame) }
    }

    /// Light through the haze and then through the filter, in one go: both are linear, and haze has no place.
    fn through(&self, light: Light, gamut: &Gamut) -> Light {
        let kept = 1.0 - self.haze.share();
        let mean = light.mean();
        let to_xyz = gamut.to_xyz();
        let luminance = to_xyz[(1, 0)] * mean[0] + to_xyz[(1, 1)] * mean[1] + to_xyz[(1, 2)] * mean[2];
        let haze = mean.map(|mean| self.haze.share() * (mean + self.haze.neutral() * (luminance - mean)));
        let veil = [0, 1, 2].map(|channel| kept * self.filter.veil() * mean[channel] + haze[channel]);
        let in_place = kept * (1.0 - self.filter.spread()).max(0.0);
        let spreads: Vec<Spread> = self
            .filter
            .halos()
            .iter()
            .map(|halo| {
                let sigma = halo.radius * light.height as f64;
                Spread { share: kept * halo.share, variance: [sigma * sigma; 2] }
            })
            .collect();
        let mut sum = light.clone();
        sum.values.par_chunks_mut(BLOCK_PIXELS * 3).for_each(|block| {
            for pixel in block.as_chunks_mut::<3>().0 {
                for (value, veil) in pixel.iter_mut().zip(veil) {
                    *value = (in_place * f64::from(*value) + veil) as f32;
                }
            }
        });
        add_spread(&light, &spreads, &mut sum);
        sum
    }
}

/// The light of a frame, by a function of its signal, and how many samples had to be held.
fn light_of(frame: &Frame, decode: impl Fn(f64) -> f64 + Sync) -> (Light, u64) {
    let channels = frame.channels();
    let mut values = vec![0.0; frame.width() * frame.height() * 3];
    match frame.samples() {
        Samples::Codes(codes) => {
            let decoded: Vec<f32> =
                (0..=u16::MAX).into_par_iter().map(|code| decode(f64::from(code) / CODE16_MAX) as f32).collect();
            fill(&mut values, codes, channels, |code| decoded[usize::from(code)]);
        }
        Samples::Floats(floats) => fill(&mut values, floats, channels, |value| decode(f64::from(value)) as f32),
    }
    let held = values.par_iter().map(|value| u64::from(!value.is_finite())).sum();
    let mut light = Light { width: frame.width(), height: frame.height(), values };
    if held > 0 {
        hold(&mut light);
    }
    (light, held)
}

fn fill<T: Copy + Sync>(light: &mut [f32], samples: &[T], channels: usize, value: impl Fn(T) -> f32 + Sync) {
    let blocks = light.par_chunks_mut(BLOCK_PIXELS * 3).zip(samples.par_chunks(BLOCK_PIXELS * channels));
    blocks.for_each(|(light, samples)| {
        for (light, pixel) in light.as_chunks_mut::<3>().0.iter_mut().zip(samples.chunks_exact(channels)) {
            *light = [value(pixel[0]), value(pixel[1]), value(pixel[2])];
        }
    });
}

/// Gives samples without a finite light one, as [`Seen::held_samples`] says.
fn hold(light: &mut Light) {
    let pixels = light.values.as_chunks_mut::<3>().0;
    let mut brightest = [0.0_f32; 3];
    for pixel in pixels.iter() {
        for (brightest, value) in brightest.iter_mut().zip(pixel) {
            if value.is_finite() {
                *brightest = brightest.max(*value);
            }
        }
    }
    for pixel in pixels {
        for (value, brightest) in pixel.iter_mut().zip(brightest) {
            if !value.is_finite() {
                *value = if *value == f32::INFINITY { brightest } else { 0.0 };
            }
        }
    }
}

/// The samples of a float frame of other light, alpha as it was.
fn floats(frame: &Frame, light: &Light, value: impl Fn(f32) -> f32 + Sync) -> Vec<f32> {
    let mut result = match frame.samples() {
        Samples::Floats(values) => values.clone(),
        Samples::Codes(codes) => codes.iter().map(|&code| (f64::from(code) / CODE16_MAX) as f32).collect(),
    };
    each_pixel(&mut result, frame.channels(), light, |sample, light| *sample = value(light));
    result
}

fn each_pixel<T: Send>(samples: &mut [T], channels: usize, light: &Light, set: impl Fn(&mut T, f32) + Sync) {
    let blocks = samples.par_chunks_mut(BLOCK_PIXELS * channels).zip(light.values.par_chunks(BLOCK_PIXELS * 3));
    blocks.for_each(|(samples, light)| {
        for (pixel, light) in samples.chunks_exact_mut(channels).zip(light.as_chunks::<3>().0) {
            for (sample, light) in pixel.iter_mut().zip(light) {
                set(sample, *light);
            }
        }
    });
}

fn at_end(frame: &Frame) -> u64 {
    match frame.samples() {
        Samples::Codes(codes) => codes
            .chunks_exact(frame.channels())
            .map(|pixel| pixel[..3].iter().map(|&code| u64::from(code == u16::MAX)).sum::<u64>())
            .sum(),
        Samples::Floats(_) => 0,
    }
}

/// A still as a preview shows it, with the lens before the camera.
#[derive(Clone, Debug, PartialEq)]
pub struct Shown {
    /// The picture.
    pub applied: Applied,
    /// As [`Seen::held_samples`].
    pub held_samples: u64,
    /// As [`Seen::samples_at_end`].
    pub samples_at_end: u64,
}

/// A still through a lens and then through a preview, as [`Preview::apply`] takes and gives it. A stand-in comes first and
/// keeps its light above what the encoding holds.
#[must_use]
pub fn show(lens: &Lens, preview: &Preview, camera: &Camera, frame: &Frame) -> Shown {
    if lens.is_identity() {
        return Shown { applied: preview.apply(frame), held_samples: 0, samples_at_end: 0 };
    }
    let Some(stand_in) = &preview.stand_in else {
        let Seen { frame, held_samples, samples_at_end } = lens.on_log(frame, camera);
        return Shown { applied: preview.apply(&frame), held_samples, samples_at_end };
    };
    let light = frame.to_depth(SampleDepth::Float).frame;
    let signal = apply_function(&light, |pixel| stand_in.signal(pixel)).frame;
    let seen = lens.on_log(&signal, camera);
    let recorded = Preview { stand_in: None, ..preview.clone() };
    let mut applied = recorded.apply(&seen.frame);
    if frame.depth() != SampleDepth::Float {
        let rounded = applied.frame.to_depth(SampleDepth::Sixteen);
        applied.clamped_outputs += rounded.clamped_samples;
        applied.frame = rounded.frame;
    }
    Shown { applied, held_samples: seen.held_samples, samples_at_end: at_end(frame) }
}

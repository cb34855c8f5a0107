//! Histogram of scene light in stops from grey, of a frame in a camera's log.

use super::counts::tally;
use crate::colour::adaptation::Adaptation;
use crate::colour::encodings::Curve;
use crate::colour::gamuts;
use crate::maths::{CODE10_MAX, GREY, Rgb, linear_from_stops, rows};
use crate::picture::{CODE16_MAX, Frame, SampleDepth};
use crate::pipeline::camera_to_acescg;
use crate::plan::Camera;
use serde::Serialize;

/// Width of a bin, stops. Bins lie around their stops: that of grey reaches from −1/12 to +1/12.
pub const BIN_STOPS: f64 = 1.0 / 6.0;

/// The farthest bins lie at this many stops below and above grey.
pub const FARTHEST_STOPS: i32 = 10;

/// Bins a stop.
const BINS_PER_STOP: i32 = 6;

/// Number of bins.
pub(super) const BINS: usize = (2 * FARTHEST_STOPS * BINS_PER_STOP + 1) as usize;

/// Light far beyond the end of every camera's signal, stops: what it encodes to is the highest code of the encoding.
const BEYOND_EVERY_SIGNAL_STOPS: f64 = 40.0;

/// The signal at which an encoding ends: full scale, or the highest code of one that holds its codes below.
///
/// No published encoding says where a sensor clips: a caller who knows the camera's own code gives that.
#[must_use]
pub fn clip_signal(curve: &Curve) -> f64 {
    curve.encode(linear_from_stops(BEYOND_EVERY_SIGNAL_STOPS)).min(1.0)
}

/// Counts over stops.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Bins {
    /// Pixels of each bin of [`BIN_STOPS`], the first around −10 stops, the last around +10.
    pub counts: Vec<u64>,
    /// Pixels darker than the first bin, those without light among them.
    pub floor: u64,
    /// Pixels brighter than the last bin that are not at clip.
    pub above: u64,
}

impl Bins {
    fn new() -> Self {
        Self { counts: vec![0; BINS], floor: 0, above: 0 }
    }

    fn add(&mut self, light: f64) {
        // The logarithm is defined for positive numbers; infinite light of no sign, which a float may decode to, is none either.
        if light.is_nan() || light < f64::MIN_POSITIVE {
            self.floor += 1;
            return;
        }
        let stops = rows::log2(light.min(f64::MAX) / GREY);
        let bin = (stops * f64::from(BINS_PER_STOP) + 0.5).floor() as i64 + i64::from(FARTHEST_STOPS * BINS_PER_STOP);
        match usize::try_from(bin) {
            Err(_) => self.floor += 1,
            Ok(bin) if bin < BINS => self.counts[bin] += 1,
            Ok(_) => self.above += 1,
        }
    }

    fn merge(mut self, other: &Self) -> Self {
        for (own, more) in self.counts.iter_mut().zip(&other.counts) {
            *own += more;
        }
        self.floor += other.floor;
        self.above += other.above;
        self
    }

    /// The stops that a bin lies around.
    #[must_use]
    pub fn stops(bin: usize) -> f64 {
        bin as f64 / f64::from(BINS_PER_STOP) - f64::from(FARTHEST_STOPS)
    }

    /// The sum of all.
    #[must_use]
    pub fn sum(&self) -> u64 {
        self.counts.iter().sum::<u64>() + self.floor + self.above
    }
}

/// A histogram in stops. Of either kind of bins, their sum, `clip` and `not_a_number` make the number of pixels.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StopsHistogram {
    /// Name of the encoding that the frame was taken for.
    pub encoding: &'static str,
    /// Pixels of the frame.
    pub pixels: u64,
    /// By luminance (that of ACEScg, as in exposure maps), without the pixels at clip.
    pub luminance: Bins,
    /// By the channel with the most light, without the pixels at clip.
    pub brightest: Bins,
    /// Pixels of which a channel is at clip: their light is not known.
    pub clip: u64,
    /// Pixels at clip in R, G and B.
    pub clipped: [u64; 3],
    /// Pixels of which a sample is not a number.
    pub not_a_number: u64,
}

#[derive(Clone)]
struct Tally {
    luminance: Bins,
    brightest: Bins,
    clip: u64,
    clipped: [u64; 3],
    not_a_number: u64,
}

impl StopsHistogram {
    /// The histogram of a frame in the log of a camera, full range. A channel is at clip from the ten-bit code of `clip_signal` on;
    /// [`clip_signal()`] is where the encoding ends.
    #[must_use]
    pub fn new(frame: &Frame, camera: &Camera, adaptation: Adaptation, clip_signal: f64) -> Self {
        let acescg = camera_to_acescg(camera.gamut, adaptation);
        let weights = gamuts::ACESCG.to_xyz().row(1) * acescg;
        let light = Decoder::new(frame, |signal| camera.curve.decode(signal));
        // Rounded to the nearest, these signals have the code of clip, or more.
        let clip_from = ((clip_signal * CODE10_MAX + 0.5).floor() - 0.5) / CODE10_MAX;
        let count = |tally: &mut Tally, signal: Rgb| {
            if signal.iter().any(|value| value.is_nan()) {
                tally.not_a_number += 1;
                return;
            }
            let at_clip = signal.map(|value| value >= clip_from);
            if at_clip.contains(&true) {
                tally.clip += 1;
                for (sum, at_clip) in tally.clipped.iter_mut().zip(at_clip) {
                    *sum += u64::from(at_clip);
                }
                return;
            }
            let [r, g, b] = light.rgb(signal);
            tally.luminance.add(weights[0] * r + weights[1] * g + weights[2] * b);
            tally.brightest.add(r.max(g).max(b));
        };
        let empty =
            || Tally { luminance: Bins::new(), brightest: Bins::new(), clip: 0, clipped: [0; 3], not_a_number: 0 };
        let merge = |a: Tally, b: Tally| Tally {
            luminance: a.luminance.merge(&b.luminance),
            brightest: a.brightest.merge(&b.brightest),
            clip: a.clip + b.clip,
            clipped: [0, 1, 2].map(|channel| a.clipped[channel] + b.clipped[channel]),
            not_a_number: a.not_a_number + b.not_a_number,
        };
        let Tally { luminance, brightest, clip, clipped, not_a_number } = tally(frame, empty, count, merge);
        let pixels = (frame.width() * frame.height()) as u64;
        let encoding = camera.curve.encoding().name;
        Self { encoding, pixels, luminance, brightest, clip, clipped, not_a_number }
    }

    /// Shares of the pixels at clip in R, G and B, 0..1.
    #[must_use]
    pub fn clipped_shares(&self) -> [f64; 3] {
        self.clipped.map(|count| count as f64 / self.pixels as f64)
    }
}

/// Signal → light of one channel, from a table where the frame has codes.
pub(super) struct Decoder<F> {
    table: Vec<f64>,
    decode: F,
}

impl<F: Fn(f64) -> f64> Decoder<F> {
    pub(super) fn new(frame: &Frame, decode: F) -> Self {
        // A table of all codes costs as much as some ten thousand pixels.
        let worth_it =
            frame.depth() != SampleDepth::Float && frame.width() * frame.height() > usize::from(u16::MAX) / 3;
        let codes = if worth_it { usize::from(u16::MAX) + 1 } else { 0 };
        Self { table: (0..codes).map(|code| decode(code as f64 / CODE16_MAX)).collect(), decode }
    }

    pub(super) fn rgb(&self, signal: Rgb) -> Rgb {
        if self.table.is_empty() {
            return signal.map(&self.decode);
        }
        signal.map(|value| self.table[(value * CODE16_MAX + 0.5) as usize])
    }
}

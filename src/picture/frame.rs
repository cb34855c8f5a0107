//! A still picture in memory: interleaved RGB, with or without alpha, as codes or as floats.

use crate::maths::Rgb;

/// The most pixels that a side of a frame may have. No camera comes near it; a file that claims more is damaged or
/// hostile.
pub const MAX_SIDE: usize = 32_768;

/// The most pixels of a frame: above every still camera, below what would fill an ordinary machine's memory.
pub const MAX_PIXELS: usize = 400_000_000;

/// The highest code of the 16-bit samples that integer frames hold.
pub const CODE16_MAX: f64 = 65_535.0;

/// An 8-bit code times this is the 16-bit code of the same signal: 65535 / 255, exactly.
const EIGHT_TO_SIXTEEN: u16 = 257;

/// How finely the samples of a frame are graded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SampleDepth {
    /// 256 codes. Held in memory as the 16-bit code of the same signal, which is exact both ways.
    Eight,
    /// 65536 codes.
    Sixteen,
    /// 32-bit floating point, not limited to 0..1.
    Float,
}

impl SampleDepth {
    /// What people call it.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Eight => "8-bit",
            Self::Sixteen => "16-bit",
            Self::Float => "float",
        }
    }
}

/// The samples of a frame, row by row from the top left; R, G, B (and alpha) of a pixel stand together.
#[derive(Clone, Debug, PartialEq)]
pub enum Samples {
    /// Codes 0..65535, for a signal of 0..1.
    Codes(Vec<u16>),
    /// The signal itself, or scene light; any value, infinities and NaN included.
    Floats(Vec<f32>),
}

/// A still picture. Alpha, if there is any, is carried and never changed by a look.
///
/// Every frame has at least one pixel, at most [`MAX_SIDE`] a side and at most [`MAX_PIXELS`] in all.
#[derive(Clone, Debug, PartialEq)]
pub struct Frame {
    width: usize,
    height: usize,
    has_alpha: bool,
    depth: SampleDepth,
    samples: Samples,
}

/// A frame at another depth, and how many samples did not fit.
#[derive(Clone, Debug, PartialEq)]
pub struct Converted {
    /// The frame.
    pub frame: Frame,
    /// Samples outside 0..1 or not a number, that a code can't hold and that were brought to the nearest one.
    pub clamped_samples: u64,
}

impl Frame {
    /// A frame of 8-bit codes. `None` if the size is out of bounds or the number of samples is not width × height ×
    /// channels.
    #[must_use]
    pub fn from_eight_bit(width: usize, height: usize, has_alpha: bool, codes: &[u8]) -> Option<Self> {
        let samples = Samples::Codes(codes.iter().map(|&code| u16::from(code) * EIGHT_TO_SIXTEEN).collect());
        Self::new(width, height, has_alpha, SampleDepth::Eight, samples)
    }

    /// A frame of 16-bit codes. `None` if the size is out of bounds or the number of samples is not width × height ×
    /// channels.
    #[must_use]
    pub fn from_sixteen_bit(width: usize, height: usize, has_alpha: bool, codes: Vec<u16>) -> Option<Self> {
        Self::new(width, height, has_alpha, SampleDepth::Sixteen, Samples::Codes(codes))
    }

    /// A frame of floats. `None` if the size is out of bounds or the number of samples is not width × height ×
    /// channels.
    #[must_use]
    pub fn from_floats(width: usize, height: usize, has_alpha: bool, values: Vec<f32>) -> Option<Self> {
        Self::new(width, height, has_alpha, SampleDepth::Float, Samples::Floats(values))
    }

    fn new(width: usize, height: usize, has_alpha: bool, depth: SampleDepth, samples: Samples) -> Option<Self> {
        let pixels = pixel_count(width, height)?;
        let length = match &samples {
            Samples::Codes(codes) => codes.len(),
            Samples::Floats(values) => values.len(),
        };
        let channels = if has_alpha { 4 } else { 3 };
        (length == pixels.checked_mul(channels)?).then_some(Self { width, height, has_alpha, depth, samples })
    }

    /// The same picture with other colour, at 16 bits.
    pub(crate) fn with_codes(&self, codes: Vec<u16>) -> Self {
        Self { depth: SampleDepth::Sixteen, samples: Samples::Codes(codes), ..self.shape() }
    }

    /// The same picture with other colour, as floats.
    pub(crate) fn with_floats(&self, values: Vec<f32>) -> Self {
        Self { depth: SampleDepth::Float, samples: Samples::Floats(values), ..self.shape() }
    }

    fn shape(&self) -> Self {
        Self { samples: Samples::Codes(Vec::new()), ..*self }
    }

    /// Pixels a row.
    #[must_use]
    pub fn width(&self) -> usize {
        self.width
    }

    /// Rows.
    #[must_use]
    pub fn height(&self) -> usize {
        self.height
    }

    /// Whether each pixel carries alpha after R, G and B.
    #[must_use]
    pub fn has_alpha(&self) -> bool {
        self.has_alpha
    }

    /// Samples a pixel: 3, or 4 with alpha.
    #[must_use]
    pub fn channels(&self) -> usize {
        if self.has_alpha { 4 } else { 3 }
    }

    /// How finely the samples are graded.
    #[must_use]
    pub fn depth(&self) -> SampleDepth {
        self.depth
    }

    /// The samples.
    #[must_use]
    pub fn samples(&self) -> &Samples {
        &self.samples
    }

    /// The colour of the pixel at column `x` and row `y` from the top left; codes are given as a signal of 0..1.
    /// `None` outside the picture.
    #[must_use]
    pub fn pixel(&self, x: usize, y: usize) -> Option<Rgb> {
        let first = self.offset(x, y)?;
        Some(match &self.samples {
            Samples::Codes(codes) => [0, 1, 2].map(|channel| f64::from(codes[first + channel]) / CODE16_MAX),
            Samples::Floats(values) => [0, 1, 2].map(|channel| f64::from(values[first + channel])),
        })
    }

    /// The alpha of the pixel at column `x` and row `y`, 1 where the frame has none. `None` outside the picture.
    #[must_use]
    pub fn alpha(&self, x: usize, y: usize) -> Option<f64> {
        let first = self.offset(x, y)?;
        Some(match &self.samples {
            _ if !self.has_alpha => 1.0,
            Samples::Codes(codes) => f64::from(codes[first + 3]) / CODE16_MAX,
            Samples::Floats(values) => f64::from(values[first + 3]),
        })
    }

    fn offset(&self, x: usize, y: usize) -> Option<usize> {
        (x < self.width && y < self.height).then(|| (y * self.width + x) * self.channels())
    }

    /// Whether no pixel lets anything through from behind: no alpha, or alpha 1 everywhere.
    #[must_use]
    pub fn is_opaque(&self) -> bool {
        !self.has_alpha
            || match &self.samples {
                Samples::Codes(codes) => codes.iter().skip(3).step_by(4).all(|&alpha| alpha == u16::MAX),
                Samples::Floats(values) => values.iter().skip(3).step_by(4).all(|&alpha| alpha == 1.0),
            }
    }

    /// The samples of R, G, B or alpha that no code can hold: outside 0..1, or not a number. Always 0 for codes.
    #[must_use]
    pub fn samples_outside_codes(&self) -> u64 {
        match &self.samples {
            Samples::Codes(_) => 0,
            Samples::Floats(values) => values.iter().map(|&value| u64::from(!(0.0..=1.0).contains(&value))).sum(),
        }
    }

    /// The same picture at another depth, rounded to the nearest code. Floats outside 0..1 are clamped and NaN
    /// becomes 0; both are counted.
    #[must_use]
    pub fn to_depth(&self, depth: SampleDepth) -> Converted {
        let clamped_samples = if depth == SampleDepth::Float { 0 } else { self.samples_outside_codes() };
        let samples = match depth {
            SampleDepth::Eight => Samples::Codes(
                self.to_eight_bit_codes().iter().map(|&code| u16::from(code) * EIGHT_TO_SIXTEEN).collect(),
            ),
            SampleDepth::Sixteen => Samples::Codes(match &self.samples {
                Samples::Codes(codes) => codes.clone(),
                Samples::Floats(values) => values.iter().map(|&value| code16(f64::from(value))).collect(),
            }),
            SampleDepth::Float => Samples::Floats(match &self.samples {
                Samples::Codes(codes) => codes.iter().map(|&code| (f64::from(code) / CODE16_MAX) as f32).collect(),
                Samples::Floats(values) => values.clone(),
            }),
        };
        Converted { frame: Self { depth, samples, ..self.shape() }, clamped_samples }
    }

    /// The samples as 8-bit codes, rounded to the nearest; what lies outside 0..1 is clamped.
    #[must_use]
    pub fn to_eight_bit_codes(&self) -> Vec<u8> {
        match &self.samples {
            Samples::Codes(codes) => codes.iter().map(|&code| eight_from_sixteen(code)).collect(),
            Samples::Floats(values) => {
                values.iter().map(|&value| (f64::from(value).clamp(0.0, 1.0) * 255.0 + 0.5) as u8).collect()
            }
        }
    }
}

/// The number of pixels of a frame of this size, if a frame may have it.
#[must_use]
pub fn pixel_count(width: usize, height: usize) -> Option<usize> {
    let sides = 1..=MAX_SIDE;
    (sides.contains(&width) && sides.contains(&height)).then(|| width * height).filter(|&pixels| pixels <= MAX_PIXELS)
}

/// The 16-bit code nearest to a signal. Signals outside 0..1 give the code at the end, NaN gives 0.
#[must_use]
pub fn code16(signal: f64) -> u16 {
    // A cast from float to integer clamps and turns NaN into 0.
    (signal * CODE16_MAX + 0.5) as u16
}

fn eight_from_sixteen(code: u16) -> u8 {
    // 65535 is odd times 255, so no code lies half-way between two 8-bit codes.
    let half = u32::from(EIGHT_TO_SIXTEEN) / 2;
    ((u32::from(code) + half) / u32::from(EIGHT_TO_SIXTEEN)) as u8
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_code_survives_the_change_of_depth() {
        for code in 0..=u8::MAX {
            let sixteen = u16::from(code) * EIGHT_TO_SIXTEEN;
            assert_eq!(eight_from_sixteen(sixteen), code, "8-bit code {code}");
            assert_eq!(code16(f64::from(code) / 255.0), sixteen, "8-bit code {code} as a signal");
        }
        for code in 0..=u16::MAX {
            let signal = f64::from(code) / CODE16_MAX;
            assert_eq!(code16(signal), code, "16-bit code {code}");
            assert_eq!(code16(f64::from(signal as f32)), code, "16-bit code {code} through a 32-bit float");
            let exact = f64::from(code) * 255.0 / CODE16_MAX;
            let error = f64::from(eight_from_sixteen(code)) - exact;
            assert!(error.abs() <= 0.5, "16-bit code {code} became an 8-bit code that is {error} off");
        }
    }

    #[test]
    fn impossible_frames_are_refused() {
        assert!(Frame::from_eight_bit(0, 1, false, &[]).is_none(), "no columns");
        assert!(Frame::from_eight_bit(2, 1, false, &[0; 5]).is_none(), "a sample is missing");
        assert!(Frame::from_eight_bit(1, 1, true, &[0; 3]).is_none(), "alpha is missing");
        assert!(
            Frame::from_floats(MAX_SIDE + 1, 1, false, vec![0.0; 3 * (MAX_SIDE + 1)]).is_none(),
            "a side is too long"
        );
        assert!(pixel_count(MAX_SIDE, MAX_SIDE).is_none(), "too many pixels in all");
        assert!(pixel_count(usize::MAX, usize::MAX).is_none(), "a size that overflows");
    }

    #[test]
    fn floats_that_do_not_fit_a_code_are_counted() {
        let frame = Frame::from_floats(2, 1, false, vec![-0.1, 0.0, 1.0, 1.1, f32::NAN, f32::INFINITY]);
        let converted = frame.expect("two pixels").to_depth(SampleDepth::Sixteen);
        assert_eq!(converted.clamped_samples, 4);
        assert_eq!(converted.frame.samples(), &Samples::Codes(vec![0, 0, 65535, 65535, 0, 65535]));
    }
}

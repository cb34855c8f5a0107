//! One curve with its exposure index chosen, and what can be said about its breaks.

use super::{Encoding, Functions};

/// A jump smaller than this, in linear light and in code value, is rounding of the printed constants and not
/// reported as a step: a thousandth of a 10-bit code. The constants of LogC3, with six decimals, leave up to 8.6e-7.
pub const STEP_THRESHOLD: f64 = 1e-6;

/// One curve: an encoding with its exposure index chosen, where it depends on one.
///
/// Both directions take one component. Decode goes from a code value as a fraction of full scale (10-bit code /
/// 1023) to scene-linear light with 18 % grey at 0.18.
///
/// ```
/// use lookwright::colour::encodings::{Curve, find};
///
/// let curve = Curve::new(find("s-log3").unwrap(), None).unwrap();
/// assert!((curve.decode(420.0 / 1023.0) - 0.18).abs() < 1e-12);
/// assert!((curve.encode(0.18) * 1023.0 - 420.0).abs() < 1e-9);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Curve {
    encoding: &'static Encoding,
    /// 0 where the encoding takes none.
    exposure_index: u32,
}

/// Why an encoding and an exposure index don't make a curve.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CurveFault {
    /// The encoding depends on the exposure index, and none is given.
    #[error("{encoding} depends on the exposure index, and none is given: use one of {}", listed(indices))]
    ExposureIndexMissing {
        /// Name of the encoding.
        encoding: &'static str,
        /// The published indices.
        indices: &'static [u32],
    },
    /// The encoding is not published for that exposure index.
    #[error("{encoding} is not published for exposure index {given}: use one of {}", listed(indices))]
    ExposureIndexUnknown {
        /// Name of the encoding.
        encoding: &'static str,
        /// What was asked for.
        given: u32,
        /// The published indices.
        indices: &'static [u32],
    },
    /// The encoding is one formula for every exposure index.
    #[error("{encoding} does not depend on the exposure index: leave out {given}")]
    ExposureIndexNotUsed {
        /// Name of the encoding.
        encoding: &'static str,
        /// What was asked for.
        given: u32,
    },
}

fn listed(indices: &[u32]) -> String {
    indices.iter().map(u32::to_string).collect::<Vec<_>>().join(", ")
}

/// A place where the published constants leave a jump larger than [`STEP_THRESHOLD`], in one direction or both.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// Code value where decode changes its branch.
    pub code: f64,
    /// Linear light that decode gives just below that code.
    pub linear_below: f64,
    /// Linear light that decode gives just above that code. Less than `linear_below`: decode falls there.
    pub linear_above: f64,
    /// Scene-linear light where encode changes its branch.
    pub linear: f64,
    /// Code value that encode gives just below that light.
    pub code_below: f64,
    /// Code value that encode gives just above that light. Less than `code_below`: encode falls there.
    pub code_above: f64,
}

impl Step {
    fn is_larger_than_rounding(&self) -> bool {
        (self.linear_above - self.linear_below).abs() > STEP_THRESHOLD
            || (self.code_above - self.code_below).abs() > STEP_THRESHOLD
    }
}

impl Curve {
    /// The curve of an encoding.
    ///
    /// # Errors
    /// If the encoding needs an exposure index that is missing or not published, or takes none and one is given.
    pub fn new(encoding: &'static Encoding, exposure_index: Option<u32>) -> Result<Self, CurveFault> {
        let name = encoding.name;
        match (encoding.functions, exposure_index) {
            (Functions::Fixed { .. }, None) => Ok(Self { encoding, exposure_index: 0 }),
            (Functions::Fixed { .. }, Some(given)) => Err(CurveFault::ExposureIndexNotUsed { encoding: name, given }),
            (Functions::ByExposureIndex { indices, .. }, None) => {
                Err(CurveFault::ExposureIndexMissing { encoding: name, indices })
            }
            (Functions::ByExposureIndex { indices, .. }, Some(given)) => {
                if indices.contains(&given) {
                    Ok(Self { encoding, exposure_index: given })
                } else {
                    Err(CurveFault::ExposureIndexUnknown { encoding: name, given, indices })
                }
            }
        }
    }

    /// The encoding.
    #[must_use]
    pub fn encoding(&self) -> &'static Encoding {
        self.encoding
    }

    /// The exposure index, where the encoding depends on one.
    #[must_use]
    pub fn exposure_index(&self) -> Option<u32> {
        matches!(self.encoding.functions, Functions::ByExposureIndex { .. }).then_some(self.exposure_index)
    }

    /// Code value (fraction of full scale) to scene-linear light, grey at 0.18. Finite for codes in −1..2; never
    /// clips. Further out it may overflow to infinity; NaN gives NaN.
    #[must_use]
    pub fn decode(&self, code: f64) -> f64 {
        match self.encoding.functions {
            Functions::Fixed { decode, .. } => decode(code),
            Functions::ByExposureIndex { decode, .. } => decode(self.exposure_index, code),
        }
    }

    /// Scene-linear light, grey at 0.18, to code value (fraction of full scale), not held to 0..1. Where the formula
    /// takes the logarithm of zero or less it gives its limit, minus infinity. NaN gives NaN.
    #[must_use]
    pub fn encode(&self, linear: f64) -> f64 {
        match self.encoding.functions {
            Functions::Fixed { encode, .. } => encode(linear),
            Functions::ByExposureIndex { encode, .. } => encode(self.exposure_index, linear),
        }
    }

    /// Code values where decode changes its branch, ascending; some lie outside 0..1.
    #[must_use]
    pub fn breaks(&self) -> Vec<f64> {
        self.break_pairs().into_iter().map(|(code, _)| code).collect()
    }

    /// Where decode or encode jump at a break by more than [`STEP_THRESHOLD`]: what the published constants leave.
    /// Empty for most curves.
    #[must_use]
    pub fn steps(&self) -> Vec<Step> {
        self.break_pairs()
            .into_iter()
            .map(|(code, linear)| Step {
                code,
                linear_below: self.decode(code.next_down()),
                linear_above: self.decode(code.next_up()),
                linear,
                code_below: self.encode(linear.next_down()),
                code_above: self.encode(linear.next_up()),
            })
            .filter(Step::is_larger_than_rounding)
            .collect()
    }

    fn break_pairs(&self) -> Vec<(f64, f64)> {
        match self.encoding.functions {
            Functions::Fixed { .. } => {
                self.encoding.breaks.iter().copied().zip(self.encoding.cuts.iter().copied()).collect()
            }
            Functions::ByExposureIndex { break_at, .. } => vec![break_at(self.exposure_index)],
        }
    }
}

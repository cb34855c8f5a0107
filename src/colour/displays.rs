//! Display encodings: display-linear light to signal and back.
//!
//! Light is a fraction of the display's peak white, 0..1; signal is 0..1. Light below zero gives the signal of
//! black (the pipeline clamps, and counts, before). Light above 1 follows the formula to signals above 1: nothing is
//! clamped here, so that the caller can count it. NaN stays NaN.

use super::{Grade, Source, canonical_name};
use crate::maths::{Rgb, exp, ln, log2, log10, pow, rows};

/// How a display turns signal into light.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum DisplayEncoding {
    /// ITU-R BT.1886 with white at 1 and black at 0: the power 2.4.
    Bt1886,
    /// The pure power 2.2.
    Gamma22,
    /// The pure power 2.4.
    Gamma24,
    /// The pure power 2.6.
    Gamma26,
    /// IEC 61966-2-1: a line near black, then a power.
    Srgb,
    /// SMPTE ST 2084, the perceptual quantiser; absolute, so it needs the peak.
    Pq,
    /// ITU-R BT.2100 hybrid log-gamma; its system gamma needs the peak. Only for BT.2020 primaries, whose luminance
    /// weights it contains.
    Hlg,
}

impl DisplayEncoding {
    /// All display encodings, in the order of the documentation.
    pub const ALL: [Self; 7] =
        [Self::Bt1886, Self::Gamma22, Self::Gamma24, Self::Gamma26, Self::Srgb, Self::Pq, Self::Hlg];

    /// Canonical id, such as `bt1886`.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Bt1886 => "bt1886",
            Self::Gamma22 => "gamma22",
            Self::Gamma24 => "gamma24",
            Self::Gamma26 => "gamma26",
            Self::Srgb => "srgb",
            Self::Pq => "pq",
            Self::Hlg => "hlg",
        }
    }

    /// Name as its standard writes it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Bt1886 => "BT.1886",
            Self::Gamma22 => "Gamma 2.2",
            Self::Gamma24 => "Gamma 2.4",
            Self::Gamma26 => "Gamma 2.6",
            Self::Srgb => "sRGB",
            Self::Pq => "PQ",
            Self::Hlg => "HLG",
        }
    }

    /// Where the formula comes from.
    #[must_use]
    pub const fn source(self) -> Source {
        let (key, citation) = match self {
            Self::Bt1886 => ("itu-bt1886", "ITU-R (2011), Recommendation BT.1886"),
            Self::Gamma22 => ("itu-bt470", "ITU-R (1998), Recommendation BT.470-6"),
            Self::Gamma24 => ("itu-bt1886", "ITU-R (2011), Recommendation BT.1886, with black at 0"),
            Self::Gamma26 => ("dci-2007", "Digital Cinema Initiatives (2007), Digital Cinema System Specification 1.1"),
            Self::Srgb => ("iec-srgb", "IEC 61966-2-1:1999"),
            Self::Pq => ("smpte-st2084", "SMPTE ST 2084:2014"),
            Self::Hlg => ("itu-bt2100", "ITU-R (2018), Recommendation BT.2100-2"),
        };
        Source { key, citation, grade: Grade::Standard }
    }

    /// The display encoding of that id, compared without case, spaces, hyphens, dots and underscores.
    #[must_use]
    pub fn find(name: &str) -> Option<Self> {
        let wanted = canonical_name(name);
        Self::ALL.into_iter().find(|encoding| canonical_name(encoding.id()) == wanted)
    }

    /// Whether the result depends on the display's peak luminance.
    #[must_use]
    pub const fn needs_peak(self) -> bool {
        matches!(self, Self::Pq | Self::Hlg)
    }
}

/// A display encoding with the peak luminance of its display.
///
/// ```
/// use lookwright::colour::displays::{Display, DisplayEncoding};
///
/// let display = Display::new(DisplayEncoding::Bt1886, 100.0);
/// assert_eq!(display.encode([0.0, 1.0, -0.1]), [0.0, 1.0, 0.0]);
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Display {
    encoding: DisplayEncoding,
    peak_nits: f64,
    system_gamma: f64,
}

impl Display {
    /// A display. `peak_nits` is the luminance of its white in cd/m², above 0; it matters only where
    /// [`DisplayEncoding::needs_peak`]. A peak of 0 or less gives values that are not finite there.
    #[must_use]
    pub fn new(encoding: DisplayEncoding, peak_nits: f64) -> Self {
        let system_gamma = if encoding == DisplayEncoding::Hlg { hlg_system_gamma(peak_nits) } else { 1.0 };
        Self { encoding, peak_nits, system_gamma }
    }

    /// The encoding.
    #[must_use]
    pub fn encoding(&self) -> DisplayEncoding {
        self.encoding
    }

    /// The luminance of white in cd/m².
    #[must_use]
    pub fn peak_nits(&self) -> f64 {
        self.peak_nits
    }

    /// The power of a display whose light is its signal to that power and nothing else.
    #[must_use]
    pub fn power(&self) -> Option<f64> {
        match self.encoding {
            DisplayEncoding::Gamma22 => Some(GAMMA22),
            DisplayEncoding::Bt1886 | DisplayEncoding::Gamma24 => Some(GAMMA24),
            DisplayEncoding::Gamma26 => Some(GAMMA26),
            DisplayEncoding::Srgb | DisplayEncoding::Pq | DisplayEncoding::Hlg => None,
        }
    }

    /// Display-linear light, 1 = peak white, to signal. Light below 0 counts as 0; signals above 1 are returned as
    /// they are (saturated HLG colours reach them within 0..1 of light).
    #[must_use]
    pub fn encode(&self, light: Rgb) -> Rgb {
        let light = light.map(at_least_zero);
        match self.encoding {
            DisplayEncoding::Hlg => hlg_inverse_ootf(light, self.system_gamma).map(hlg_oetf),
            _ => light.map(|light| self.encode_component(light)),
        }
    }

    /// Signal to display-linear light, 1 = peak white. Signals below 0 give no light; signals above 1 follow the
    /// formula. The PQ formula ends at a signal of about 1.99, and gives infinity from there on; that of HLG
    /// overflows above a signal of about 127, where nothing finite is meant.
    #[must_use]
    pub fn decode(&self, signal: Rgb) -> Rgb {
        let signal = signal.map(at_least_zero);
        match self.encoding {
            DisplayEncoding::Hlg => hlg_ootf(signal.map(hlg_oetf_inverse), self.system_gamma),
            _ => signal.map(|signal| self.decode_component(signal)),
        }
    }

    /// One component of all encodings that treat components alone, light not below 0.
    fn encode_component(&self, light: f64) -> f64 {
        match self.encoding {
            DisplayEncoding::Gamma22 => pow(light, 1.0 / GAMMA22),
            DisplayEncoding::Bt1886 | DisplayEncoding::Gamma24 => pow(light, 1.0 / GAMMA24),
            DisplayEncoding::Gamma26 => pow(light, 1.0 / GAMMA26),
            DisplayEncoding::Srgb => srgb_encode(light),
            DisplayEncoding::Pq => pq_encode(light * self.peak_nits),
            DisplayEncoding::Hlg => hlg_oetf(light),
        }
    }

    /// One component of all encodings that treat components alone, signal not below 0.
    fn decode_component(&self, signal: f64) -> f64 {
        match self.encoding {
            DisplayEncoding::Gamma22 => pow(signal, GAMMA22),
            DisplayEncoding::Bt1886 | DisplayEncoding::Gamma24 => pow(signal, GAMMA24),
            DisplayEncoding::Gamma26 => pow(signal, GAMMA26),
            DisplayEncoding::Srgb => srgb_decode(signal),
            DisplayEncoding::Pq => pq_decode(signal) / self.peak_nits,
            DisplayEncoding::Hlg => hlg_oetf_inverse(signal),
        }
    }
}

/// NaN stays NaN, which `f64::max` would hide; −0 becomes 0, so that no file ever says "-0".
fn at_least_zero(value: f64) -> f64 {
    if value <= 0.0 { 0.0 } else { value }
}

// [itu-bt470], [itu-bt1886], [dci-2007].
const GAMMA22: f64 = 2.2;
const GAMMA24: f64 = 2.4;
const GAMMA26: f64 = 2.6;

// [iec-srgb]. The printed breaks leave a step of about 1e-8 in signal.
const SRGB_LINEAR_SLOPE: f64 = 12.92;
const SRGB_OFFSET: f64 = 0.055;
const SRGB_POWER: f64 = 2.4;
const SRGB_LIGHT_BREAK: f64 = 0.003_130_8;
const SRGB_SIGNAL_BREAK: f64 = 0.04045;

fn srgb_encode(light: f64) -> f64 {
    if light <= SRGB_LIGHT_BREAK {
        SRGB_LINEAR_SLOPE * light
    } else {
        (1.0 + SRGB_OFFSET) * pow(light, 1.0 / SRGB_POWER) - SRGB_OFFSET
    }
}

/// A row of sRGB light to signal, within 1e-14 of the same alone; light below 0 is left as it is.
#[multiversion::multiversion(targets("x86_64+avx2"))]
pub(crate) fn srgb_encode_row(row: &mut [f64]) {
    for value in row {
        let light = *value;
        let curved = (1.0 + SRGB_OFFSET) * rows::pow(light, 1.0 / SRGB_POWER) - SRGB_OFFSET;
        let straight = if light < 0.0 { light } else { SRGB_LINEAR_SLOPE * light };
        *value = if light <= SRGB_LIGHT_BREAK { straight } else { curved };
    }
}

fn srgb_decode(signal: f64) -> f64 {
    if signal <= SRGB_SIGNAL_BREAK {
        signal / SRGB_LINEAR_SLOPE
    } else {
        pow((signal + SRGB_OFFSET) / (1.0 + SRGB_OFFSET), SRGB_POWER)
    }
}

// [smpte-st2084], the constants as the fractions of the standard.
const PQ_PEAK_NITS: f64 = 10_000.0;
const PQ_M1: f64 = 2610.0 / 4096.0 / 4.0;
const PQ_M2: f64 = 2523.0 / 4096.0 * 128.0;
const PQ_C1: f64 = 3424.0 / 4096.0;
const PQ_C2: f64 = 2413.0 / 4096.0 * 32.0;
const PQ_C3: f64 = 2392.0 / 4096.0 * 32.0;

/// The ST 2084 signal of a luminance in cd/m². Below 0 as at 0, where it is 7.3e-7 by the formula; 10 000 gives 1, more
/// gives more.
#[must_use]
pub fn pq_encode(nits: f64) -> f64 {
    let power = pow(at_least_zero(nits) / PQ_PEAK_NITS, PQ_M1);
    pow((PQ_C1 + PQ_C2 * power) / (1.0 + PQ_C3 * power), PQ_M2)
}

/// The luminance in cd/m² of an ST 2084 signal. 0 at and below the signal of black; infinity where the formula ends,
/// from a signal of about 1.99 on.
#[must_use]
pub fn pq_decode(signal: f64) -> f64 {
    let power = pow(at_least_zero(signal), 1.0 / PQ_M2);
    let divisor = PQ_C2 - PQ_C3 * power;
    if divisor <= 0.0 {
        return f64::INFINITY;
    }
    PQ_PEAK_NITS * pow(at_least_zero(power - PQ_C1) / divisor, 1.0 / PQ_M1)
}

// [itu-bt2100], table 5; b and c by their definitions.
const HLG_A: f64 = 0.178_832_77;
const HLG_B: f64 = 1.0 - 4.0 * HLG_A;
/// Luminance weights of BT.2020, to the four digits of the recommendation.
const HLG_WEIGHTS: Rgb = [0.2627, 0.6780, 0.0593];

fn hlg_c() -> f64 {
    0.5 - HLG_A * ln(4.0 * HLG_A)
}

/// The BT.2100 HLG opto-electronic transfer function: scene light 0..1 to signal. Below 0 as at 0; above 1 it goes on.
#[must_use]
pub fn hlg_oetf(scene: f64) -> f64 {
    if scene <= 1.0 / 12.0 { (3.0 * at_least_zero(scene)).sqrt() } else { HLG_A * ln(12.0 * scene - HLG_B) + hlg_c() }
}

/// The inverse of [`hlg_oetf`]: signal to scene light. Below 0 as at 0.
#[must_use]
pub fn hlg_oetf_inverse(signal: f64) -> f64 {
    let signal = at_least_zero(signal);
    if signal <= 0.5 { signal * signal / 3.0 } else { (exp((signal - hlg_c()) / HLG_A) + HLG_B) / 12.0 }
}

/// The system gamma of an HLG display whose white has `peak_nits` cd/m²: 1.2 at 1000.
///
/// The logarithmic rule of BT.2100 holds for 400..2000 cd/m²; outside, the extended rule of BT.2390 [itu-bt2390].
#[must_use]
pub fn hlg_system_gamma(peak_nits: f64) -> f64 {
    let ratio = peak_nits / 1000.0;
    if (400.0..=2000.0).contains(&peak_nits) { 1.2 + 0.42 * log10(ratio) } else { 1.2 * pow(1.111, log2(ratio)) }
}

/// Scene light to display light, both 0..1 (BT.2100 OOTF with black at 0).
fn hlg_ootf(scene: Rgb, gamma: f64) -> Rgb {
    scaled_by_luminance(scene, gamma - 1.0)
}

/// Display light to scene light, both 0..1: the inverse of [`hlg_ootf`].
fn hlg_inverse_ootf(display: Rgb, gamma: f64) -> Rgb {
    scaled_by_luminance(display, (1.0 - gamma) / gamma)
}

/// Light times a power of its own luminance; luminance 0 gives 0, whatever the power.
fn scaled_by_luminance(light: Rgb, power: f64) -> Rgb {
    let luminance = HLG_WEIGHTS[0] * light[0] + HLG_WEIGHTS[1] * light[1] + HLG_WEIGHTS[2] * light[2];
    if luminance == 0.0 {
        return [0.0; 3];
    }
    let factor = pow(luminance, power);
    light.map(|component| component * factor)
}

//! Luma, colour differences and ten-bit codes (bibliography: itu-bt709, itu-bt2020).

use crate::colour::gamuts::{self, Gamut};
use crate::maths::{CODE10_MAX, Rgb};
use crate::plan::Levels;
use serde::Serialize;

/// Narrow-range codes of a colour difference: 512 at none, 896 codes from −0.5 to +0.5. BT.709-6, item 3.4 (item from memory): INT[(224 E′ + 128) · 4 + 0.5].
const CHROMA_MIDDLE: f64 = 512.0;
const CHROMA_SPAN: f64 = 896.0;

/// The weights of R′, G′ and B′ in luma Y′, and the colour differences that follow from them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum LumaCoding {
    /// ITU-R BT.709-6: 0.2126, 0.7152, 0.0722.
    Bt709,
    /// ITU-R BT.2020-2, non-constant luminance, and BT.2100: 0.2627, 0.6780, 0.0593.
    Bt2020,
}

impl LumaCoding {
    /// The coding of a display's signal: that of BT.2020 for BT.2020 primaries, else that of BT.709.
    ///
    /// The standards of P3 give it no luma: links to P3 monitors carry the BT.709 matrix (common practice, no source).
    #[must_use]
    pub fn of_gamut(gamut: &Gamut) -> Self {
        if gamut.id == gamuts::BT2020.id { Self::Bt2020 } else { Self::Bt709 }
    }

    /// Name as its standard writes it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Bt709 => "BT.709",
            Self::Bt2020 => "BT.2020",
        }
    }

    /// Weights of R′, G′ and B′ in luma, to the digits that the recommendation prints.
    #[must_use]
    pub const fn weights(self) -> Rgb {
        match self {
            Self::Bt709 => [0.2126, 0.7152, 0.0722],
            Self::Bt2020 => [0.2627, 0.6780, 0.0593],
        }
    }

    /// Luma of R′G′B′, on their own scale.
    #[must_use]
    pub fn luma(self, [r, g, b]: Rgb) -> f64 {
        let [red, green, blue] = self.weights();
        red * r + green * g + blue * b
    }

    /// Colour differences [E′CB, E′CR] of R′G′B′ whose white is 1: −0.5..0.5 for 0..1. The divisors are 2 (1 − weight), as both
    /// recommendations print them: 1.8556 and 1.5748, 1.8814 and 1.4746.
    #[must_use]
    pub fn differences(self, rgb: Rgb) -> [f64; 2] {
        let [red, _, blue] = self.weights();
        let luma = self.luma(rgb);
        [(rgb[2] - luma) / (2.0 * (1.0 - blue)), (rgb[0] - luma) / (2.0 * (1.0 - red))]
    }
}

/// The ten-bit code nearest to a signal (fraction of full scale), not held to 0..1023. NaN gives 0.
#[must_use]
pub fn code10(signal: f64) -> i64 {
    (signal * CODE10_MAX + 0.5).floor() as i64
}

/// The narrow-range ten-bit code of a colour difference, not rounded.
pub(super) fn chroma_code(difference: f64) -> f64 {
    CHROMA_SPAN * difference + CHROMA_MIDDLE
}

/// Percent of a ten-bit code: of 64..940 for legal levels, of 0..1023 for full.
pub(super) fn percent(levels: Levels, code: f64) -> f64 {
    100.0 * levels.from_signal(code / CODE10_MAX)
}

/// The ten-bit code of a percentage, not rounded.
pub(super) fn code_of_percent(levels: Levels, percent: f64) -> f64 {
    CODE10_MAX * levels.to_signal(percent / 100.0)
}

//! Colour profiles of displays, in the form of the International Color Consortium (ICC.1): written, and recognised.
//!
//! A profile says what the numbers of a picture mean on a display: primaries, white, and a curve. It changes no number.

mod described;
mod write;

pub(crate) use described::one_line;
pub use described::{Described, MAX_PROFILE_BYTES, describe};

use crate::colour::displays::DisplayEncoding;
use crate::colour::gamuts::{self, Gamut};
use crate::plan::Plan;

/// The profile of a display: what its signal means. Two profiles are equal if they say the same in the same name.
#[derive(Clone, Copy, Debug)]
pub struct Profile {
    gamut: &'static Gamut,
    encoding: DisplayEncoding,
}

impl Profile {
    /// sRGB: BT.709 primaries, D65, the curve of IEC 61966-2-1.
    pub const SRGB: Self = Self { gamut: &gamuts::SRGB, encoding: DisplayEncoding::Srgb };
    /// Display P3: P3 primaries, D65, the curve of sRGB.
    pub const DISPLAY_P3: Self = Self { gamut: &gamuts::DISPLAY_P3, encoding: DisplayEncoding::Srgb };
    /// A video display: BT.709 primaries, D65, the power 2.4.
    pub const BT709_GAMMA24: Self = Self { gamut: &gamuts::BT709, encoding: DisplayEncoding::Gamma24 };
    /// A cinema display set to D65: P3 primaries, the power 2.6.
    pub const P3_D65_GAMMA26: Self = Self { gamut: &gamuts::P3_D65, encoding: DisplayEncoding::Gamma26 };
    /// P3 primaries, D65, the power 2.2.
    pub const P3_D65_GAMMA22: Self = Self { gamut: &gamuts::P3_D65, encoding: DisplayEncoding::Gamma22 };

    /// The profile of a display with these primaries and this encoding.
    ///
    /// `None` for PQ and HLG: their light is absolute, or depends on all three channels, and a profile of primaries and a curve
    /// can't say that.
    #[must_use]
    pub fn new(gamut: &'static Gamut, encoding: DisplayEncoding) -> Option<Self> {
        use DisplayEncoding::{Bt1886, Gamma22, Gamma24, Gamma26, Hlg, Pq, Srgb};
        match encoding {
            Pq | Hlg => None,
            Bt1886 | Gamma22 | Gamma24 | Gamma26 | Srgb => Some(Self { gamut, encoding }),
        }
    }

    /// The profile of the display that a plan is made for; `None` as [`Self::new`].
    #[must_use]
    pub fn of_plan(plan: &Plan) -> Option<Self> {
        Self::new(plan.display.gamut, plan.display.encoding)
    }

    /// Primaries and white.
    #[must_use]
    pub fn gamut(&self) -> &'static Gamut {
        self.gamut
    }

    /// Signal to light.
    #[must_use]
    pub fn encoding(&self) -> DisplayEncoding {
        self.encoding
    }

    /// What the profile calls itself, ASCII: `sRGB`, `Display P3`, or the names of primaries and curve.
    #[must_use]
    pub fn name(&self) -> String {
        match (self.gamut.id, self.encoding) {
            ("srgb" | "display-p3", DisplayEncoding::Srgb) => self.gamut.name.to_owned(),
            ("srgb", encoding) => format!("BT.709, {}", encoding.name()),
            (_, encoding) => format!("{}, {}", self.gamut.name, encoding.name()),
        }
    }

    /// The bytes of the profile: ICC.1 version 4.3, display class, matrix and parametric curve. Always the same bytes: the date is
    /// fixed, and nothing is signed.
    #[must_use]
    pub fn bytes(&self) -> Vec<u8> {
        write::bytes(self)
    }
}

impl PartialEq for Profile {
    fn eq(&self, other: &Self) -> bool {
        self.gamut.id == other.gamut.id && self.encoding == other.encoding
    }
}

impl Eq for Profile {}

//! What colours look like to people whose eyes lack one kind of cone.

use super::{Grade, Source};
use crate::maths::Rgb;

/// Vision with two kinds of cones instead of three.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Vision {
    /// Without the long-wave cones: about one man in a hundred.
    Protan,
    /// Without the middle-wave cones: about one man in a hundred; weaker forms are the most frequent of all.
    Deutan,
    /// Without the short-wave cones: rare.
    Tritan,
}

impl Vision {
    /// All three.
    pub const ALL: [Self; 3] = [Self::Protan, Self::Deutan, Self::Tritan];

    /// Its name in documents.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Protan => "protan",
            Self::Deutan => "deutan",
            Self::Tritan => "tritan",
        }
    }

    /// The matrix for linear light in BT.709 primaries, at full severity: row by row as published.
    #[must_use]
    pub const fn matrix(self) -> [[f64; 3]; 3] {
        match self {
            Self::Protan => [
                [0.152_286, 1.052_583, -0.204_868],
                [0.114_503, 0.786_281, 0.099_216],
                [-0.003_882, -0.048_116, 1.051_998],
            ],
            Self::Deutan => [
                [0.367_322, 0.860_646, -0.227_968],
                [0.280_085, 0.672_501, 0.047_413],
                [-0.011_820, 0.042_940, 0.968_881],
            ],
            Self::Tritan => [
                [1.255_528, -0.076_749, -0.178_779],
                [-0.078_411, 0.930_809, 0.147_602],
                [0.004_733, 0.691_367, 0.303_900],
            ],
        }
    }

    /// What of linear sRGB light (IEC 61966-2-1, 0..1) such an eye sees, as light that a trichromat sees alike, held to 0..1 as a screen
    /// does. Greys stay what they are to 1e-6, the last printed decimal.
    #[must_use]
    pub fn seen(self, light: Rgb) -> Rgb {
        self.matrix().map(|[r, g, b]| (r * light[0] + g * light[1] + b * light[2]).clamp(0.0, 1.0))
    }

    /// Where the matrices were published.
    #[must_use]
    pub const fn source() -> Source {
        Source {
            key: "machado-2009",
            citation: "Machado, Oliveira and Fernandes (2009), A Physiologically-based Model for Simulation of Color Vision \
                       Deficiency, IEEE Trans. Vis. Comput. Graph. 15(6)",
            grade: Grade::Standard,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn greys_stay_grey() {
        for vision in Vision::ALL {
            for grey in [0.0, 0.18, 1.0] {
                for channel in vision.seen([grey; 3]) {
                    assert!((channel - grey).abs() <= 1.5e-6, "{}: {grey} becomes {channel}", vision.id());
                }
            }
        }
    }
}

//! Chromatic adaptation: what a colour becomes when the white changes.
//!
//! All three are full von Kries adaptations, a gain on each cone value, in three published cone spaces.

use super::source::{Grade, Source, canonical_name};
use nalgebra::{Matrix3, Vector3};

/// A published chromatic adaptation transform.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Adaptation {
    /// The sharpened transform that colour management uses.
    #[default]
    Bradford,
    /// The transform of CIECAM02.
    Cat02,
    /// The transform of CAM16.
    Cat16,
}

static BRADFORD: Source = Source {
    key: "icc-2010",
    citation: "ICC.1:2010, Image technology colour management, annex on chromatic adaptation; after Lam (1985)",
    grade: Grade::Standard,
};

static CAT02: Source = Source {
    key: "cie-159-2004",
    citation: "CIE 159:2004, A colour appearance model for colour management systems: CIECAM02",
    grade: Grade::Standard,
};

static CAT16: Source = Source {
    key: "li-2017",
    citation: "Li et al. (2017), Comprehensive color solutions: CAM16, CAT16, and CAM16-UCS, Color Res. Appl. 42(6)",
    grade: Grade::Standard,
};

impl Adaptation {
    /// Every transform, the default first.
    pub const ALL: [Self; 3] = [Self::Bradford, Self::Cat02, Self::Cat16];

    /// The name in a recipe.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::Bradford => "bradford",
            Self::Cat02 => "cat02",
            Self::Cat16 => "cat16",
        }
    }

    /// The transform of that name, in any spelling that [`canonical_name`] makes one.
    #[must_use]
    pub fn find(name: &str) -> Option<Self> {
        let wanted = canonical_name(name);
        Self::ALL.into_iter().find(|adaptation| adaptation.id() == wanted)
    }

    /// Where the matrix was published.
    #[must_use]
    pub fn source(self) -> Source {
        match self {
            Self::Bradford => BRADFORD,
            Self::Cat02 => CAT02,
            Self::Cat16 => CAT16,
        }
    }

    /// XYZ → cone values, as published.
    #[must_use]
    #[rustfmt::skip]
    pub fn cone_matrix(self) -> Matrix3<f64> {
        match self {
            Self::Bradford => Matrix3::new(
                0.8951, 0.2664, -0.1614,
                -0.7502, 1.7135, 0.0367,
                0.0389, -0.0685, 1.0296,
            ),
            Self::Cat02 => Matrix3::new(
                0.7328, 0.4296, -0.1624,
                -0.7036, 1.6975, 0.0061,
                0.0030, 0.0136, 0.9834,
            ),
            Self::Cat16 => Matrix3::new(
                0.401288, 0.650173, -0.051461,
                -0.250268, 1.204414, 0.045854,
                -0.002079, 0.048952, 0.953127,
            ),
        }
    }

    /// XYZ under one white → XYZ under another, full adaptation. Both whites as XYZ with Y = 1.
    ///
    /// From a white to itself it is the identity, exactly. A white with a cone value of 0 gives a matrix that is not
    /// finite; no light has one.
    #[must_use]
    pub fn matrix(self, from_white_xyz: Vector3<f64>, to_white_xyz: Vector3<f64>) -> Matrix3<f64> {
        if from_white_xyz == to_white_xyz {
            return Matrix3::identity();
        }
        let cones = self.cone_matrix();
        let gains = (cones * to_white_xyz).component_div(&(cones * from_white_xyz));
        inverse(&cones) * Matrix3::from_diagonal(&gains) * cones
    }
}

/// The inverse by cofactors; not finite for a singular matrix. The three cone matrices are far from singular.
pub(super) fn inverse(matrix: &Matrix3<f64>) -> Matrix3<f64> {
    let [first, second, third] = [0, 1, 2].map(|row| matrix.row(row).transpose());
    let columns = [second.cross(&third), third.cross(&first), first.cross(&second)];
    Matrix3::from_columns(&columns) / first.dot(&columns[0])
}

//! The colours that a look is judged by: the 24-patch test chart, and skin from light to dark.

use super::adaptation::Adaptation;
use super::difference::{Lab, lab_to_xyz};
use crate::maths::Rgb;
use nalgebra::{Matrix3, Vector3};

/// XYZ of the white that the patches are given under: D50 as the profile connection space of ICC.1:2010 prints it.
pub const CHART_WHITE: Rgb = [0.9642, 1.0, 0.8249];

/// What a patch stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PatchKind {
    /// A patch of the 24-patch test chart.
    Chart,
    /// A published skin colour.
    Skin,
}

/// A reflecting colour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Patch {
    /// Number on the chart, or place among the skins, from 1.
    pub number: usize,
    /// Name, unique in its table.
    pub name: &'static str,
    /// XYZ under [`CHART_WHITE`], Y of a perfect reflector = 1.
    pub xyz_d50: Rgb,
    /// What it stands for.
    pub kind: PatchKind,
}

const fn chart(number: usize, name: &'static str, lab: [f64; 3]) -> Patch {
    patch(number, name, lab, PatchKind::Chart)
}

const fn skin(number: usize, name: &'static str, lab: [f64; 3]) -> Patch {
    patch(number, name, lab, PatchKind::Skin)
}

const fn patch(number: usize, name: &'static str, [l, a, b]: [f64; 3], kind: PatchKind) -> Patch {
    Patch { number, name, xyz_d50: lab_to_xyz(Lab { l, a, b }, CHART_WHITE), kind }
}

/// The 24-patch chart as made after November 2014, row by row; 1 and 2 are skins, 19 to 24 the greys.
///
/// Source: X-Rite (2016), New color specifications for ColorChecker SG and Classic Charts: CIELAB under D50, 2°.
pub static CHART: [Patch; 24] = [
    chart(1, "dark skin", [37.54, 14.37, 14.92]),
    chart(2, "light skin", [64.66, 19.27, 17.50]),
    chart(3, "blue sky", [49.32, -3.82, -22.54]),
    chart(4, "foliage", [43.46, -12.74, 22.72]),
    chart(5, "blue flower", [54.94, 9.61, -24.79]),
    chart(6, "bluish green", [70.48, -32.26, -0.37]),
    chart(7, "orange", [62.73, 35.83, 56.50]),
    chart(8, "purplish blue", [39.43, 10.75, -45.17]),
    chart(9, "moderate red", [50.57, 48.64, 16.67]),
    chart(10, "purple", [30.10, 22.54, -20.87]),
    chart(11, "yellow green", [71.77, -24.13, 58.19]),
    chart(12, "orange yellow", [71.51, 18.24, 67.37]),
    chart(13, "blue", [28.37, 15.42, -49.80]),
    chart(14, "green", [54.38, -39.72, 32.27]),
    chart(15, "red", [42.43, 51.05, 28.62]),
    chart(16, "yellow", [81.80, 2.67, 80.41]),
    chart(17, "magenta", [50.63, 51.28, -14.12]),
    chart(18, "cyan", [49.57, -29.71, -28.32]),
    chart(19, "white", [95.19, -1.03, 2.93]),
    chart(20, "neutral 8", [81.29, -0.57, 0.44]),
    chart(21, "neutral 6.5", [66.89, -0.75, -0.06]),
    chart(22, "neutral 5", [50.76, -0.13, 0.14]),
    chart(23, "neutral 3.5", [35.63, -0.46, -0.48]),
    chart(24, "black", [20.64, 0.07, -0.46]),
];

/// Skins from light to dark, as CIELAB under D50; the chart's own two are patches 1 and 2 of [`CHART`].
///
/// The names are the classes of the individual typology angle, atan((L* − 50)/b*), of Chardon et al. (1991). Sources:
/// - 1: CIE 13.3-1995, test colour sample 13, and 2: JIS Z 8726, test colour sample 15 (documents from memory),
///   computed here from the spectra that colour-science 0.4.7 holds, under D50.
/// - 3: Han et al. (2006), Skin color of Koreans: statistical evaluation of affecting factors, Skin Res. Technol.
///   12(3): the mean of 600 persons and 12 places of the body.
/// - 4 to 8: Proposed shade guide for human facial skin, IADR General Session, Miami (2009), abstract 120461: the
///   centres of five clusters of 120 faces, nose tip and upper lip, hence the redness.
///
/// The abstracts of 3 to 8 don't name the illuminant; the values are taken relative to the white of the chart.
pub static SKINS: [Patch; 8] = [
    skin(1, "light skin, colour rendering sample 13", [80.77, 13.69, 21.83]),
    skin(2, "light skin, colour rendering sample 15", [64.40, 16.93, 16.46]),
    skin(3, "intermediate skin, mean of 600 persons", [61.75, 9.56, 17.08]),
    skin(4, "brown skin, face cluster 1", [52.5, 17.0, 18.9]),
    skin(5, "brown skin, face cluster 3", [49.4, 22.0, 12.3]),
    skin(6, "dark skin, face cluster 4", [41.5, 25.5, 13.3]),
    skin(7, "dark skin, face cluster 2", [37.7, 17.2, 14.7]),
    skin(8, "dark skin, face cluster 5", [26.7, 14.6, 14.7]),
];

/// Linear RGB of a patch in a gamut, a perfect reflector = 1: [`CHART_WHITE`] is adapted to `gamut_white`.
///
/// `gamut_from_xyz` is the gamut's XYZ → RGB matrix, `gamut_white` its white as XYZ with Y = 1. Nothing is clipped:
/// patch 18, cyan, has a negative red in BT.709.
#[must_use]
pub fn to_linear(
    patch: &Patch,
    gamut_from_xyz: &Matrix3<f64>,
    gamut_white: Vector3<f64>,
    adaptation: Adaptation,
) -> Rgb {
    let adapted = adaptation.matrix(Vector3::from(CHART_WHITE), gamut_white) * Vector3::from(patch.xyz_d50);
    (gamut_from_xyz * adapted).into()
}

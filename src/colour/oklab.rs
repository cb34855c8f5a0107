//! Oklab, made exact on white.
//!
//! Source: Ottosson, B. (2020), A perceptual color space for image processing. The published matrices are rounded, so
//! that the white of D65 gets a chroma of about 1e-4. Here each row of the first matrix is divided by its product with
//! the XYZ of D65 (0.3127, 0.3290); in the second the first row is divided by its sum, and the third element of the
//! other two replaced so that the row sums to 0. Greys then have no chroma, to the last digits.

use super::adaptation::inverse;
use super::whites::D65;
use crate::maths::{Rgb, cbrt};
use nalgebra::{Matrix3, Vector3};

/// XYZ (D65) → cone values, as published.
#[rustfmt::skip]
const PUBLISHED_CONES: [[f64; 3]; 3] = [
    [0.8189330101, 0.3618667424, -0.1288597137],
    [0.0329845436, 0.9293118715, 0.0361456387],
    [0.0482003018, 0.2643662691, 0.6338517070],
];

/// Cube roots of the cone values → L, a, b, as published.
#[rustfmt::skip]
const PUBLISHED_LAB: [[f64; 3]; 3] = [
    [0.2104542553, 0.7936177850, -0.0040720468],
    [1.9779984951, -2.4285922050, 0.4505937099],
    [0.0259040371, 0.7827717662, -0.8086757660],
];

/// The matrices of the space and their inverses, in f64; a pipeline may fold the outer ones with its own.
///
/// L is 1 for the white of D65 with Y = 1 and 0 for black; a and b are 0 for greys, and about ±0.4 for the most
/// saturated colours. Nothing is clipped: negative cone values keep their sign through the cube root.
#[derive(Clone, Debug, PartialEq)]
pub struct Oklab {
    /// XYZ (D65, Y of white = 1) → cone values.
    pub xyz_to_cones: Matrix3<f64>,
    /// Cube roots of the cone values → L, a, b.
    pub roots_to_lab: Matrix3<f64>,
    /// L, a, b → cube roots of the cone values.
    pub lab_to_roots: Matrix3<f64>,
    /// Cone values → XYZ (D65).
    pub cones_to_xyz: Matrix3<f64>,
}

impl Default for Oklab {
    fn default() -> Self {
        Self::new()
    }
}

impl Oklab {
    /// The matrices, from the published ones.
    #[must_use]
    pub fn new() -> Self {
        let mut cones = matrix(PUBLISHED_CONES);
        let white = cones * D65.to_xyz();
        for row in 0..3 {
            for column in 0..3 {
                cones[(row, column)] /= white[row];
            }
        }
        let mut lab = matrix(PUBLISHED_LAB);
        let sum = lab[(0, 0)] + lab[(0, 1)] + lab[(0, 2)];
        for column in 0..3 {
            lab[(0, column)] /= sum;
        }
        for row in 1..3 {
            lab[(row, 2)] = -(lab[(row, 0)] + lab[(row, 1)]);
        }
        Self { xyz_to_cones: cones, roots_to_lab: lab, lab_to_roots: inverse(&lab), cones_to_xyz: inverse(&cones) }
    }

    /// L, a, b of XYZ under D65, Y of white = 1.
    #[must_use]
    pub fn from_xyz_d65(&self, xyz: Rgb) -> Rgb {
        (self.roots_to_lab * (self.xyz_to_cones * Vector3::from(xyz)).map(cbrt)).into()
    }

    /// XYZ under D65, Y of white = 1, of L, a, b: the inverse of [`Oklab::from_xyz_d65`].
    #[must_use]
    pub fn to_xyz_d65(&self, lab: Rgb) -> Rgb {
        (self.cones_to_xyz * (self.lab_to_roots * Vector3::from(lab)).map(|root| root * root * root)).into()
    }
}

fn matrix(rows: [[f64; 3]; 3]) -> Matrix3<f64> {
    Matrix3::from_fn(|row, column| rows[row][column])
}
/// Names of the hues every 30 degrees from 0. Common practice, no source.
const HUE_NAMES: [&str; 12] =
    ["pink", "red", "orange", "yellow", "yellow-green", "green", "teal", "cyan", "azure", "blue", "violet", "magenta"];

/// What an Oklab hue in degrees is called: the nearest of twelve names.
#[must_use]
pub fn hue_name(degrees: f64) -> &'static str {
    let place = ((degrees / 30.0).round() as i64).rem_euclid(HUE_NAMES.len() as i64);
    HUE_NAMES[place as usize]
}

#[cfg(test)]
mod tests {
    #[test]
    fn hues_have_the_name_that_is_nearest() {
        let names = [0.0, 14.0, 16.0, 29.2, 142.5, 264.1, 350.0, -40.0].map(super::hue_name);
        assert_eq!(names, ["pink", "pink", "red", "red", "green", "blue", "pink", "magenta"]);
    }
}

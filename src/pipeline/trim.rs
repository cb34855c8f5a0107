//! Trim: brings one camera to another by stops, a 3×3 matrix and root-polynomial terms.
//!
//! Root terms after Finlayson, Mackiewicz and Hurlbert 2015 (bibliography: finlayson-2015): √(rg), √(rb), √(gb) scale
//! with exposure as the channels do, so the correction holds at every exposure.

use super::fault::Fault;
use crate::diagnostics::codes;
use crate::maths::{Rgb, exp2};
use crate::plan::Trim;
use nalgebra::Matrix3;

/// Rows must sum to 1 so that neutrals stay neutral; printed trims carry six decimals.
const ROW_SUM_TOLERANCE: f64 = 1e-6;

/// A trim with root terms.
#[derive(Clone, Debug)]
pub struct RootTrim {
    scale: f64,
    matrix: [[f64; 3]; 3],
    root: [[f64; 3]; 3],
}

impl RootTrim {
    pub(super) fn new(trim: &Trim) -> Self {
        Self { scale: exp2(trim.stops), matrix: trim.matrix, root: trim.root }
    }

    /// Linear ACEScg in and out.
    #[must_use]
    pub fn apply(&self, x: Rgb) -> Rgb {
        let q = [signed_root(x[0], x[1]), signed_root(x[0], x[2]), signed_root(x[1], x[2])];
        let row = |i: usize| {
            let (t, r) = (self.matrix[i], self.root[i]);
            let linear = t[0] * x[0] + t[1] * x[1] + t[2] * x[2];
            self.scale * (linear + (r[0] * q[0] + r[1] * q[1] + r[2] * q[2]))
        };
        [row(0), row(1), row(2)]
    }
}

/// √(ab) with the sign of the pair, 0 where the signs differ.
fn signed_root(a: f64, b: f64) -> f64 {
    if a > 0.0 && b > 0.0 {
        (a * b).sqrt()
    } else if a < 0.0 && b < 0.0 {
        -(a * b).sqrt()
    } else {
        0.0
    }
}

/// 2^stops · matrix.
pub(super) fn linear_part(trim: &Trim) -> Matrix3<f64> {
    Matrix3::from_fn(|row, column| trim.matrix[row][column]) * exp2(trim.stops)
}

pub(crate) fn check(trim: &Trim) -> Vec<Fault> {
    let mut faults = Vec::new();
    for row in 0..3 {
        let sum: f64 = trim.matrix[row].iter().sum::<f64>() + trim.root[row].iter().sum::<f64>();
        if (sum - 1.0).abs() > ROW_SUM_TOLERANCE {
            let (parameter, rows) = if trim.root == [[0.0; 3]; 3] {
                ("trim.matrix", format!("row {} of the trim matrix sums", row + 1))
            } else {
                ("trim.matrix", format!("row {} of the trim's matrix and root together sums", row + 1))
            };
            let message = format!("{rows} to {sum}, so that a neutral would not stay neutral");
            let label = format!("expected a sum of 1 (to {ROW_SUM_TOLERANCE:e}), found {sum}");
            let fault = Fault::error(&codes::TRIM_ROW_SUM, parameter, message, label);
            faults.push(fault.help("divide the row by its sum, and put the overall gain into `trim.stops`"));
        }
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn root_terms_follow_exposure() {
        let trim = Trim {
            stops: 0.25,
            matrix: [[0.9, 0.1, -0.05], [0.03, 0.95, 0.0], [-0.02, -0.08, 1.0]],
            root: [[0.04, 0.01, 0.0], [0.0, 0.0, 0.02], [0.03, 0.02, 0.05]],
        };
        let block = RootTrim::new(&trim);
        let base = block.apply([0.3, 0.2, 0.1]);
        let brighter = block.apply([1.2, 0.8, 0.4]);
        for channel in 0..3 {
            assert!((brighter[channel] - 4.0 * base[channel]).abs() < 1e-15, "channel {channel}");
        }
    }

    #[test]
    fn roots_keep_their_sign_and_vanish_between_signs() {
        assert_eq!(signed_root(4.0, 9.0), 6.0);
        assert_eq!(signed_root(-4.0, -9.0), -6.0);
        assert_eq!(signed_root(-4.0, 9.0), 0.0);
        assert_eq!(signed_root(0.0, 9.0), 0.0);
    }
}

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
    pub(crate) fn new(trim: &Trim) -> Self {
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

impl RootTrim {
    /// What a small change of each channel (column) changes of each channel of the result (row).
    fn slopes(&self, x: Rgb) -> Matrix3<f64> {
        const PAIRS: [(usize, usize); 3] = [(0, 1), (0, 2), (1, 2)];
        Matrix3::from_fn(|row, column| {
            let roots = PAIRS.iter().enumerate().filter(|(_, (a, b))| *a == column || *b == column);
            // d√(ab)/da = √(ab)/2a, also with the sign of the pair.
            let slope = |(place, (a, b)): (usize, &(usize, usize))| match signed_root(x[*a], x[*b]) {
                0.0 => 0.0,
                root => self.root[row][place] * 0.5 * root / x[column],
            };
            self.scale * (self.matrix[row][column] + roots.map(slope).sum::<f64>())
        })
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

/// How far what an undone trim makes again may lie from what was asked for, as a part of its largest channel: Newton's
/// steps end a few roundings (1e-16) from the answer, and nothing near 1e-10 is seen.
const UNDONE: f64 = 1e-10;

/// A matrix whose determinant is less than this part of what its rows could span turns several lights into one.
const FLAT: f64 = 1e-9;

/// Newton's steps double the right digits with each; more than this many don't help.
const STEPS: usize = 60;

/// The light that a trim turns into `y`, linear ACEScg: exactly for a matrix, by Newton's steps with root terms. `None` where
/// none was found that the trim turns into `y`.
pub(crate) fn undo(trim: &Trim, y: Rgb) -> Option<Rgb> {
    let block = RootTrim::new(trim);
    let largest = |rgb: Rgb| rgb.into_iter().fold(0.0, |most: f64, value| most.max(value.abs()));
    let residual = |x: Rgb| -> Rgb {
        let again = block.apply(x);
        [0, 1, 2].map(|i| again[i] - y[i])
    };
    let by_matrix = linear_part(trim).try_inverse().map(|inverse| super::transform(&inverse, y));
    let starts = [by_matrix, Some(y.map(|value| value / block.scale))];
    starts.into_iter().flatten().find_map(|start| {
        let mut x = start;
        for _ in 0..STEPS {
            let (off, left) = (residual(x), largest(residual(x)));
            let slopes = block.slopes(x);
            let span: f64 = slopes.row_iter().map(|row| row.norm()).product();
            if slopes.determinant().abs() <= FLAT * span {
                return None;
            }
            if left <= UNDONE * largest(y) {
                return Some(x);
            }
            let step = super::transform(&slopes.try_inverse()?, off);
            // Half of a step, and half of that, until it helps: a root bends most where a channel nears 0.
            let shares = std::iter::successors(Some(1.0), |share| Some(share / 2.0)).take(STEPS);
            x = shares
                .map(|share: f64| [0, 1, 2].map(|i| x[i] - share * step[i]))
                .find(|next| largest(residual(*next)) < left)?;
        }
        None
    })
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
    fn what_is_undone_comes_back() {
        let matrix = [[0.9, 0.15, -0.05], [0.03, 0.97, 0.0], [-0.02, -0.08, 1.1]];
        let linear = Trim { stops: -0.4, matrix, root: [[0.0; 3]; 3] };
        let root = [[0.04, 0.01, 0.0], [0.0, 0.0, 0.02], [0.03, 0.02, 0.05]];
        for trim in [linear, Trim { root, ..linear }] {
            let block = RootTrim::new(&trim);
            for x in [[0.18; 3], [3.0, 0.02, 0.4], [0.0; 3], [1e-4, 7.0, 0.1], [0.5, -0.03, 0.2], [-0.1, -0.2, -0.3]] {
                let found = undo(&trim, block.apply(x)).unwrap_or_else(|| panic!("{x:?} was not found"));
                let again = block.apply(found);
                for channel in 0..3 {
                    let expected = block.apply(x)[channel];
                    assert!((again[channel] - expected).abs() <= 1e-9, "{x:?}: {again:?}");
                    assert!((found[channel] - x[channel]).abs() <= 1e-8, "{x:?}: {found:?}");
                }
            }
        }
    }

    #[test]
    fn a_trim_that_loses_a_colour_is_not_undone() {
        let flat = Trim { matrix: [[0.2, 0.3, 0.5]; 3], ..Trim::IDENTITY };
        assert_eq!(undo(&flat, [0.1, 0.2, 0.3]), None);
        assert_eq!(undo(&flat, [0.18; 3]), None, "many lights make this grey");
        // A strong root term is undone all the same.
        let root = [[0.8, 0.0, 0.0], [0.0; 3], [0.0; 3]];
        let bent = Trim { matrix: [[0.2, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]], root, ..Trim::IDENTITY };
        let found = undo(&bent, [0.5, 0.2, 0.1]).expect("a light with √r from 0.2 r + 0.8 √(0.2 r) = 0.5");
        assert!((0.2 * found[0] + 0.8 * (0.2 * found[0]).sqrt() - 0.5).abs() < 1e-9, "{found:?}");
    }

    #[test]
    fn roots_keep_their_sign_and_vanish_between_signs() {
        assert_eq!(signed_root(4.0, 9.0), 6.0);
        assert_eq!(signed_root(-4.0, -9.0), -6.0);
        assert_eq!(signed_root(-4.0, 9.0), 0.0);
        assert_eq!(signed_root(0.0, 9.0), 0.0);
    }
}

//! White: the cast that a shifted light gives to a neutral, as one matrix on ACEScg.

use super::fault::Fault;
use crate::colour::adaptation::Adaptation;
use crate::colour::gamuts::{self, xy_to_xyz};
use crate::colour::whites::{planckian, shifted_white};
use crate::diagnostics::codes;
use crate::plan::Tint;
use nalgebra::{Matrix3, Vector3};

/// The matrix of a tint on linear ACEScg: G = A⁻¹ · M⁻¹ · diag(M·W1 / M·W0) · M · A, scaled so that a neutral keeps its
/// luminance. W0 is the Planckian white at the reference, W1 the same light behind the ideal filter and moved off the
/// locus, M the cone matrix, A ACEScg → XYZ.
///
/// # Errors
/// A neutral that gets a channel at or below 0: no light looks like that. `parameter` is the table it is said of.
pub fn tint_matrix(tint: &Tint, adaptation: Adaptation, parameter: &str) -> Result<Matrix3<f64>, Fault> {
    let reference = planckian(tint.reference_kelvin);
    let shifted = shifted_white(tint.reference_kelvin, tint.warmer_mired, tint.greener_duv);
    let impossible = |found: String| {
        let message = format!(
            "{parameter}: {} mired and {} Duv from {} K is a colour that no light has",
            tint.warmer_mired, tint.greener_duv, tint.reference_kelvin
        );
        Fault::error(&codes::TINT_IMPOSSIBLE, parameter, message, found)
            .help("reduce the shift, or see it from another `reference_kelvin`")
    };
    if !(shifted.y > 0.0 && shifted.x > 0.0 && shifted.x + shifted.y < 1.0) {
        return Err(impossible(format!("its chromaticity would be x {:.4}, y {:.4}", shifted.x, shifted.y)));
    }
    let cones = adaptation.cone_matrix();
    let to_xyz = gamuts::ACESCG.to_xyz();
    let from = cones * xy_to_xyz([reference.x, reference.y]);
    let to = cones * xy_to_xyz([shifted.x, shifted.y]);
    let gains = Matrix3::from_diagonal(&to.component_div(&from));
    let (Some(cones_inverse), from_xyz) = (cones.try_inverse(), gamuts::ACESCG.from_xyz()) else {
        return Err(impossible("its cone matrix has no inverse".to_owned()));
    };
    let matrix = from_xyz * cones_inverse * gains * cones * to_xyz;
    let neutral = matrix * Vector3::repeat(1.0);
    let luminance = (to_xyz * neutral)[1];
    let neutral = neutral / luminance;
    // Written so that NaN fails too.
    if !(luminance > 0.0 && neutral.iter().all(|channel| *channel > 0.0)) {
        return Err(impossible(format!(
            "a neutral would become R {:.3} G {:.3} B {:.3}",
            neutral[0], neutral[1], neutral[2]
        )));
    }
    Ok(matrix / luminance)
}

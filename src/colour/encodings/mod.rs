//! Log encodings of cameras and of interchange, one file per published encoding.
//!
//! Every curve goes between a code value `V`, a fraction of full scale (10-bit code / 1023), and scene-linear
//! light with 18 % grey at 0.18. The constants stand in the form in which their source prints them, and
//! encode and decode mirror each other as published, also where the published constants leave a step at a
//! break: [`Curve::steps`] reports it.
//!
//! Decoding never clips: outside 0..1 it follows the formula's own branches. Encoding follows the formula
//! too; where a logarithm has no value it returns the limit, minus infinity. NaN gives NaN.

mod curve;
mod levels;
mod shapes;

pub mod acescc;
pub mod acescct;
pub mod acesproxy;
pub mod apple_log;
pub mod bmd_film_gen5;
pub mod c_log;
pub mod c_log2;
pub mod c_log3;
pub mod cineon;
pub mod d_log;
pub mod f_log;
pub mod f_log2;
pub mod l_log;
pub mod linear;
pub mod log3g10;
pub mod log3g12;
pub mod logc3;
pub mod logc4;
pub mod mi_log;
pub mod n_log;
pub mod p_log;
pub mod panalog;
pub mod protune;
pub mod redlog;
pub mod redlogfilm;
pub mod s_log;
pub mod s_log3;
pub mod t_log;
pub mod v_log;
pub mod viper_log;

use super::{Source, canonical_name};
pub use curve::{Curve, CurveFault, STEP_THRESHOLD, Step};

/// The two directions of a curve.
#[derive(Clone, Copy)]
pub enum Functions {
    /// One formula for all cameras.
    Fixed {
        /// Scene-linear light to code value.
        encode: fn(f64) -> f64,
        /// Code value to scene-linear light.
        decode: fn(f64) -> f64,
    },
    /// The formula depends on the exposure index, one of `indices`. With any other index the functions give NaN;
    /// [`Curve::new`] keeps that from happening.
    ByExposureIndex {
        /// The published exposure indices, ascending.
        indices: &'static [u32],
        /// Exposure index and scene-linear light to code value.
        encode: fn(u32, f64) -> f64,
        /// Exposure index and code value to scene-linear light.
        decode: fn(u32, f64) -> f64,
        /// Where decode (a code value) and encode (a linear value) change their branch for an exposure index.
        break_at: fn(u32) -> (f64, f64),
    },
}

/// One published encoding.
pub struct Encoding {
    /// Canonical id, such as `s-log3`.
    pub id: &'static str,
    /// Name as its publisher writes it, such as `S-Log3`.
    pub name: &'static str,
    /// Who published it.
    pub publisher: &'static str,
    /// Where the formula comes from.
    pub source: Source,
    /// Canonical ids of the gamuts that belong to it; empty where none is published.
    pub gamuts: &'static [&'static str],
    /// The curve in both directions.
    pub functions: Functions,
    /// Code values (fractions of full scale) where decode changes its branch, ascending. Empty where the curve
    /// depends on the exposure index: use [`Curve::breaks`], which knows both kinds.
    pub breaks: &'static [f64],
    /// Scene-linear values where encode changes its branch, one for each of `breaks`.
    pub cuts: &'static [f64],
    /// Oddities of the published formula, one or two sentences; empty if there are none.
    pub note: &'static str,
}

impl std::fmt::Debug for Encoding {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(formatter, "Encoding({})", self.id)
    }
}

/// Two encodings are equal if they bear the same id.
impl PartialEq for Encoding {
    fn eq(&self, other: &Self) -> bool {
        self.id == other.id
    }
}

impl Eq for Encoding {}

/// All encodings, in the order of the documentation. An id that ends in `-v1` or `-v2` is an earlier revision.
pub static ENCODINGS: &[&Encoding] = &[
    &logc3::LOGC3,
    &logc4::LOGC4,
    &s_log::S_LOG,
    &s_log::S_LOG2,
    &s_log3::S_LOG3,
    &v_log::V_LOG,
    &f_log::F_LOG,
    &f_log2::F_LOG2,
    &c_log::C_LOG,
    &c_log2::C_LOG2,
    &c_log3::C_LOG3,
    &c_log::C_LOG_V1,
    &c_log2::C_LOG2_V1,
    &c_log3::C_LOG3_V1,
    &n_log::N_LOG,
    &d_log::D_LOG,
    &l_log::L_LOG,
    &mi_log::MI_LOG,
    &t_log::T_LOG,
    &log3g10::LOG3G10,
    &log3g10::LOG3G10_V1,
    &log3g10::LOG3G10_V2,
    &log3g12::LOG3G12,
    &redlog::REDLOG,
    &redlogfilm::REDLOGFILM,
    &bmd_film_gen5::BMD_FILM_GEN5,
    &apple_log::APPLE_LOG,
    &protune::PROTUNE,
    &panalog::PANALOG,
    &p_log::P_LOG,
    &viper_log::VIPER_LOG,
    &cineon::CINEON,
    &acescc::ACESCC,
    &acescct::ACESCCT,
    &acesproxy::ACESPROXY10,
    &acesproxy::ACESPROXY12,
    &linear::LINEAR,
];

/// The encoding of that id, compared without case, spaces, hyphens, dots and underscores.
///
/// ```
/// assert_eq!(lookwright::colour::encodings::find("slog3").unwrap().id, "s-log3");
/// ```
#[must_use]
pub fn find(name: &str) -> Option<&'static Encoding> {
    let wanted = canonical_name(name);
    ENCODINGS.iter().copied().find(|encoding| canonical_name(encoding.id) == wanted)
}

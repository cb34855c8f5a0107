//! Narrow range for the curves whose document counts in fractions of it.

/// 10-bit code of black and the number of codes from black to white in narrow range (SMPTE: 64..940).
const BLACK: f64 = 64.0;
const SPAN: f64 = 876.0;
const FULL: f64 = 1023.0;

/// The fraction of full scale at which a fraction of narrow range lies.
pub(super) const fn from_narrow(fraction: f64) -> f64 {
    (SPAN * fraction + BLACK) / FULL
}

/// The fraction of narrow range at which a fraction of full scale lies.
pub(super) const fn to_narrow(code: f64) -> f64 {
    (FULL * code - BLACK) / SPAN
}

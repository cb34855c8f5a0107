//! LogC3, for linear scene exposure, by exposure index [arri-logc3].

use super::{Encoding, Functions};
use crate::colour::{Grade, Source};
use crate::maths::{exp10, log10};

/// One row of the paper's table.
struct Row {
    exposure_index: u32,
    cut: f64,
    a: f64,
    b: f64,
    c: f64,
    d: f64,
    e: f64,
    f: f64,
}

// [arri-logc3], table of the curve parameters for the scene exposure factor. `e * cut + f` is computed, as the paper does.
#[rustfmt::skip]
static TABLE: [Row; 11] = [
    Row { exposure_index: 160, cut: 0.005561, a: 5.555556, b: 0.080216, c: 0.269036, d: 0.381991, e: 5.842037, f: 0.092778 },
    Row { exposure_index: 200, cut: 0.006208, a: 5.555556, b: 0.076621, c: 0.266007, d: 0.382478, e: 5.776265, f: 0.092782 },
    Row { exposure_index: 250, cut: 0.006871, a: 5.555556, b: 0.072941, c: 0.262978, d: 0.382966, e: 5.710494, f: 0.092786 },
    Row { exposure_index: 320, cut: 0.007622, a: 5.555556, b: 0.068768, c: 0.259627, d: 0.383508, e: 5.637732, f: 0.092791 },
    Row { exposure_index: 400, cut: 0.008318, a: 5.555556, b: 0.064901, c: 0.256598, d: 0.383999, e: 5.571960, f: 0.092795 },
    Row { exposure_index: 500, cut: 0.009031, a: 5.555556, b: 0.060939, c: 0.253569, d: 0.384493, e: 5.506188, f: 0.092800 },
    Row { exposure_index: 640, cut: 0.00984, a: 5.555556, b: 0.056443, c: 0.250219, d: 0.385040, e: 5.433426, f: 0.092805 },
    Row { exposure_index: 800, cut: 0.010591, a: 5.555556, b: 0.052272, c: 0.247190, d: 0.385537, e: 5.367655, f: 0.092809 },
    Row { exposure_index: 1000, cut: 0.011361, a: 5.555556, b: 0.047996, c: 0.244161, d: 0.386036, e: 5.301883, f: 0.092814 },
    Row { exposure_index: 1280, cut: 0.012235, a: 5.555556, b: 0.043137, c: 0.240810, d: 0.386590, e: 5.229121, f: 0.092819 },
    Row { exposure_index: 1600, cut: 0.013047, a: 5.555556, b: 0.038625, c: 0.237781, d: 0.387093, e: 5.163350, f: 0.092824 },
];

/// The exposure indices of the table.
static INDICES: [u32; 11] = [160, 200, 250, 320, 400, 500, 640, 800, 1000, 1280, 1600];

/// LogC3. Published for exposure indices 160 to 1600.
pub static LOGC3: Encoding = Encoding {
    id: "logc3",
    name: "LogC3",
    publisher: "ARRI",
    source: Source {
        key: "arri-logc3",
        citation: "ARRI (2012), ALEXA - Log C Curve - Usage in VFX",
        grade: Grade::Maker,
    },
    gamuts: &["awg3"],
    functions: Functions::ByExposureIndex { indices: &INDICES, encode, decode, break_at },
    breaks: &[],
    cuts: &[],
    note: "The six decimals of the printed constants let the branches meet only to about 1e-6 of full scale. \
           Exposure indices above 1600 need the paper's highlight table and are not covered.",
};

fn row(exposure_index: u32) -> Option<&'static Row> {
    TABLE.iter().find(|row| row.exposure_index == exposure_index)
}

fn encode(exposure_index: u32, linear: f64) -> f64 {
    let Some(Row { cut, a, b, c, d, e, f, .. }) = row(exposure_index) else { return f64::NAN };
    if linear > *cut { c * log10(a * linear + b) + d } else { e * linear + f }
}

fn decode(exposure_index: u32, code: f64) -> f64 {
    let Some(Row { cut, a, b, c, d, e, f, .. }) = row(exposure_index) else { return f64::NAN };
    if code > e * cut + f { (exp10((code - d) / c) - b) / a } else { (code - f) / e }
}

fn break_at(exposure_index: u32) -> (f64, f64) {
    row(exposure_index).map_or((f64::NAN, f64::NAN), |row| (row.e * row.cut + row.f, row.cut))
}

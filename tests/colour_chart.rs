//! The test chart and the skins against published coordinates and spectral sums.

mod common;

use common::{Csv, Row, Worst, csv};
use lookwright::colour::adaptation::Adaptation;
use lookwright::colour::chart::{CHART, CHART_WHITE, PatchKind, SKINS, to_linear};
use lookwright::colour::difference::{Lab, xyz_to_lab};
use lookwright::colour::observer::{CIE_1931_2_DEGREE, FIRST_NANOMETRE, SAMPLES, Spectrum};
use lookwright::colour::whites::{Chromaticity, D65, daylight_spectrum, filtered_planckian_spectrum};
use nalgebra::{Matrix3, Vector3};

/// chart_xyY.csv.
const CHART_EXACT: f64 = 1e-9;

/// chart_spectral_xyz.csv, for the same sums.
const SPECTRAL: f64 = 1e-7;

/// chart_greys.csv.
const GREYS: f64 = 1e-6;

const AFTER_2014: &str = "ColorChecker24 - After November 2014";

/// XYZ → linear BT.709 from the primaries of ITU-R BT.709-6, white D65, by the method of SMPTE RP 177:1993.
fn bt709_from_xyz() -> Matrix3<f64> {
    let primaries = [(0.64, 0.33), (0.30, 0.60), (0.15, 0.06)].map(|(x, y)| Chromaticity { x, y }.to_xyz());
    let columns = Matrix3::from_columns(&primaries);
    let gains = columns.try_inverse().expect("three primaries") * D65.to_xyz();
    (columns * Matrix3::from_diagonal(&gains)).try_inverse().expect("a gamut")
}

/// Source: chart_xyY.csv: X-Rite (2016) through a reference library.
#[test]
fn chart_as_published() {
    let (mut xyz, mut rgb) = (Worst::new("chart XYZ", CHART_EXACT), Worst::new("chart BT.709", CHART_EXACT));
    let matrix = bt709_from_xyz();
    let table = csv("chart_xyY.csv");
    for (row, patch) in table.rows_where("chart", AFTER_2014).zip(&CHART) {
        let place = format!("{} {}", patch.number, patch.name);
        assert_eq!((row.value::<usize>("no"), row.text("patch")), (patch.number, patch.name), "{}", row.place());
        assert_eq!(patch.kind, PatchKind::Chart, "{place}");
        xyz.check_all(&place, &patch.xyz_d50, &row.numbers(["X", "Y", "Z"]));
        let linear = to_linear(patch, &matrix, D65.to_xyz(), Adaptation::Bradford);
        rgb.check_all(&place, &linear, &row.numbers(["r709", "g709", "b709"]));
    }
    assert_eq!(table.rows_where("chart", AFTER_2014).count(), CHART.len(), "patches of the chart");
    xyz.finish();
    rgb.finish();
}

/// The reflectance of a column at every nanometre, linearly interpolated, 0 outside the table.
fn interpolated(table: &Csv, column: &str) -> (Spectrum, [bool; SAMPLES]) {
    let known: Vec<(f64, f64)> = table.rows().map(|row| (row.number("nm"), row.number(column))).collect();
    let (mut values, mut inside) = ([0.0; SAMPLES], [false; SAMPLES]);
    for index in 0..SAMPLES {
        let wavelength = (FIRST_NANOMETRE + index) as f64;
        if let Some([low, high]) = known.array_windows().find(|[low, high]| low.0 <= wavelength && wavelength <= high.0) {
            let fraction = (wavelength - low.0) / (high.0 - low.0);
            values[index] = low.1 * (1.0 - fraction) + high.1 * fraction;
            inside[index] = true;
        }
    }
    (values, inside)
}

/// XYZ of a reflectance and of the perfect reflector under a light, Y of the latter = 1, where the reflectance is known.
fn reflected(light: &Spectrum, (reflectance, inside): &(Spectrum, [bool; SAMPLES])) -> (Vector3<f64>, Vector3<f64>) {
    let (mut colour, mut white) = (Vector3::zeros(), Vector3::zeros());
    for index in (0..SAMPLES).filter(|index| inside[*index]) {
        let weighted = Vector3::from(CIE_1931_2_DEGREE[index]) * light[index];
        colour += weighted * reflectance[index];
        white += weighted;
    }
    (colour / white.y, white / white.y)
}

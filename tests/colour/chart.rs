//! The test chart and the skins against published coordinates and spectral sums.

use crate::common::{Csv, Row, Worst, csv};
use lookwright::colour::adaptation::Adaptation;
use lookwright::colour::chart::{CHART, CHART_WHITE, PatchKind, SKINS, to_linear};
use lookwright::colour::difference::{Lab, xyz_to_lab};
use lookwright::colour::observer::{CIE_1931_2_DEGREE, FIRST_NANOMETRE, SAMPLES, Spectrum};
use lookwright::colour::whites::{Chromaticity, D65, daylight_spectrum, filtered_planckian_spectrum};
use lookwright::maths::{atan2, hypot};
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
        let around = known.windows(2).find(|pair| pair[0].0 <= wavelength && wavelength <= pair[1].0);
        if let Some(&[low, high]) = around {
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

fn place(row: &Row<'_>) -> String {
    format!("{} under {} ({})", row.text("patch"), row.text("light"), row.place())
}

/// The light of a row: the CIE's table of D65, or a black body of 3200 K from the library.
fn light(name: &str) -> Spectrum {
    match name {
        "d65" => interpolated(&csv("illuminant_spectra.csv"), "d65").0,
        "planck_3200" => filtered_planckian_spectrum(3200.0, 0.0),
        other => panic!("an unknown light, {other}"),
    }
}

/// Source: chart_spectral_xyz.csv: measured reflectances (BabelColor 2012), summed independently.
#[test]
fn chart_by_spectral_sums() {
    let (mut colours, mut whites) = (Worst::new("spectral XYZ", SPECTRAL), Worst::new("spectral whites", SPECTRAL));
    let reflectances = csv("chart_reflectance.csv");
    for row in csv("chart_spectral_xyz.csv").rows() {
        let column = row.text("patch").replace(' ', "_");
        let (colour, white) = reflected(&light(row.text("light")), &interpolated(&reflectances, &column));
        colours.check_all(&place(&row), colour.as_slice(), &row.numbers(["x", "y", "z"]));
        whites.check_all(&place(&row), white.as_slice(), &row.numbers(["wx", "wy", "wz"]));
    }
    colours.finish();
    whites.finish();
}

/// CIE 1976 u′v′: u as in 1960, v′ = 1.5 v.
fn uv_prime(xyz: Vector3<f64>) -> [f64; 2] {
    let [u, v] = Chromaticity::from_xyz(xyz).to_uv();
    [u, 1.5 * v]
}

/// Source: chart_greys.csv: computed from the spectral sums of the file above with a reference library's Lab.
#[test]
fn greys_of_the_chart() {
    let (mut distances, mut chromas) = (Worst::new("u′v′ of greys", GREYS), Worst::new("chroma of greys", GREYS));
    let sums = csv("chart_spectral_xyz.csv");
    for row in csv("chart_greys.csv").rows() {
        let spectral = sums
            .rows_where("patch", row.text("patch"))
            .find(|sum| sum.text("light") == row.text("light"))
            .unwrap_or_else(|| panic!("no sums for {}", place(&row)));
        let (xyz, white) = (spectral.numbers(["x", "y", "z"]), spectral.numbers(["wx", "wy", "wz"]));
        let (grey, neutral) = (uv_prime(xyz.into()), uv_prime(white.into()));
        let expected = row.numbers(["Y", "du", "dv"]);
        distances.check_all(&place(&row), &[xyz[1], grey[0] - neutral[0], grey[1] - neutral[1]], &expected);
        let Lab { a, b, .. } = xyz_to_lab(xyz, white);
        chromas.check(&place(&row), hypot(a, b), row.number("chroma_ab"));
    }
    distances.finish();
    chromas.finish();
}

/// Source: CIE tables of D65 and D50 against the method that made them, at the colour temperatures that CIE 015 names:
/// 6500 and 5000 K times 1.4388/1.438.
#[test]
fn daylight_spectra_are_the_tabulated_illuminants() {
    /// The tables print four to six digits of values near 100, those at odd fives rounded once more.
    const TABULATED: f64 = 1e-3;
    for (column, nominal) in [("d65", 6500.0), ("d50", 5000.0)] {
        let mut worst = Worst::new(column, TABULATED);
        let computed = daylight_spectrum(nominal * 1.4388 / 1.4380);
        for row in csv("illuminant_spectra.csv").rows() {
            let wavelength: usize = row.value("nm");
            worst.check(&format!("{wavelength} nm"), computed[wavelength - FIRST_NANOMETRE], row.number(column));
        }
        worst.finish();
    }
}

/// Source: CIE 13.3-1995 and JIS Z 8726 spectra under the CIE's D50, for the two skins that are computed from them.
#[test]
fn skins_of_the_colour_rendering_samples() {
    /// Half of the second decimal, to which the library holds them.
    const ROUNDED: f64 = 0.005 + 1e-9;
    let mut worst = Worst::new("Lab of skins", ROUNDED);
    let light = interpolated(&csv("illuminant_spectra.csv"), "d50").0;
    for (column, skin) in [("tcs13", &SKINS[0]), ("tcs15", &SKINS[1])] {
        let (colour, white) = reflected(&light, &interpolated(&csv("skin_reflectance.csv"), column));
        let spectral = xyz_to_lab(colour.into(), white.into());
        let held = xyz_to_lab(skin.xyz_d50, CHART_WHITE);
        worst.check_all(skin.name, &[held.l, held.a, held.b], &[spectral.l, spectral.a, spectral.b]);
    }
    worst.finish();
}

/// Source: the classes of the individual typology angle (Chardon et al. 1991): light 41°–55°, intermediate 28°–41°,
/// brown −30°–10°, dark below −30°.
#[test]
fn skins_run_from_light_to_dark() {
    for (index, skin) in SKINS.iter().enumerate() {
        let Lab { l, b, .. } = xyz_to_lab(skin.xyz_d50, CHART_WHITE);
        let angle = atan2(l - 50.0, b).to_degrees();
        let class = match angle {
            41.0..55.0 => "light",
            28.0..41.0 => "intermediate",
            -30.0..10.0 => "brown",
            ..-30.0 => "dark",
            _ => "of another class",
        };
        assert!(skin.name.starts_with(class), "{}: {angle:.1}° is {class}", skin.name);
        assert_eq!((skin.number, skin.kind), (index + 1, PatchKind::Skin), "{}", skin.name);
    }
    for pair in SKINS.windows(2) {
        assert!(pair[0].xyz_d50[1] > pair[1].xyz_d50[1], "{} is not lighter than {}", pair[0].name, pair[1].name);
    }
}

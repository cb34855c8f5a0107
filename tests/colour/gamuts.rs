//! The gamuts against matrices that a reference library derived from the same published chromaticities (colour-science
//! 0.4.7, its file in `tests/data`), against the matrices that makers print, and against their own properties.

use crate::reference::rows;
use lookwright::colour::gamuts::{self, GAMUTS, Gamut};
use nalgebra::{Matrix3, Vector3};

/// Reference id → our id.
const NAMES: &[(&str, &str)] = &[
    ("aces2065_1", "aces2065-1"),
    ("acescg", "acescg"),
    ("arri_wide_gamut_3", "awg3"),
    ("arri_wide_gamut_4", "awg4"),
    ("blackmagic_wide_gamut", "blackmagic-wide-gamut"),
    ("bt2020", "bt2020"),
    ("bt709", "bt709"),
    ("cinema_gamut", "cinema-gamut"),
    ("dci_p3", "p3-dci"),
    ("display_p3", "display-p3"),
    ("dji_d_gamut", "d-gamut"),
    ("f_gamut", "f-gamut"),
    ("f_gamut_c", "f-gamut-c"),
    ("n_gamut", "n-gamut"),
    ("p3_d65", "p3-d65"),
    ("protune_native", "protune-native"),
    ("redwidegamutrgb", "redwidegamutrgb"),
    ("s_gamut", "s-gamut"),
    ("s_gamut3", "s-gamut3"),
    ("s_gamut3_cine", "s-gamut3.cine"),
    ("srgb", "srgb"),
    ("v_gamut", "v-gamut"),
    ("venice_s_gamut3", "venice-s-gamut3"),
    ("venice_s_gamut3_cine", "venice-s-gamut3.cine"),
];

/// Stated in the reference files, per element.
const TOLERANCE: f64 = 1e-9;

/// The published cone matrices: Lam (1985) as printed by Lindbloom; CIE 159:2004; Li et al. (2017). From memory; the
/// reference file, computed with the same ones, confirms them.
const BRADFORD: [f64; 9] = [0.8951, 0.2664, -0.1614, -0.7502, 1.7135, 0.0367, 0.0389, -0.0685, 1.0296];
const CAT02: [f64; 9] = [0.7328, 0.4296, -0.1624, -0.7036, 1.6975, 0.0061, 0.0030, 0.0136, 0.9834];
const CAT16: [f64; 9] = [0.401288, 0.650173, -0.051461, -0.250268, 1.204414, 0.045854, -0.002079, 0.048952, 0.953127];

fn gamut(reference_id: &str) -> &'static Gamut {
    let (_, id) = NAMES.iter().find(|(id, _)| *id == reference_id).unwrap_or_else(|| panic!("{reference_id}"));
    gamuts::find(id).unwrap_or_else(|| panic!("no gamut {id}"))
}

fn entries() -> Vec<toml::Table> {
    let text = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/gamuts.toml")).unwrap();
    let table: toml::Table = text.parse().unwrap();
    table["gamut"].as_array().unwrap().iter().map(|gamut| gamut.as_table().unwrap().clone()).collect()
}

fn floats(value: &toml::Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|number| number.as_float().unwrap()).collect()
}

fn matrix(value: &toml::Value) -> Option<Matrix3<f64>> {
    let elements: Vec<f64> = value.as_array().unwrap().iter().flat_map(floats).collect();
    (!elements.is_empty()).then(|| Matrix3::from_row_slice(&elements))
}

fn largest(matrix: &Matrix3<f64>) -> f64 {
    // NaN must not hide behind `max`.
    assert!(matrix.iter().all(|element| element.is_finite()), "{matrix}");
    matrix.iter().fold(0.0, |worst, element| element.abs().max(worst))
}

#[test]
fn chromaticities_and_matrices_are_those_of_the_reference_library() {
    let (mut worst, mut checked) = (0.0_f64, 0);
    for entry in entries() {
        let id = entry["id"].as_str().unwrap();
        let ours = gamut(id);
        for (what, here) in [("red", ours.red), ("green", ours.green), ("blue", ours.blue), ("white", ours.white)] {
            let there = floats(&entry[what]);
            // The file prints 15 digits.
            assert!(
                (here[0] - there[0]).abs() < 1e-14 && (here[1] - there[1]).abs() < 1e-14,
                "{id}: {what} {here:?} {there:?}"
            );
        }
        for (what, here) in [("rgb_to_xyz", ours.to_xyz()), ("xyz_to_rgb", ours.from_xyz())] {
            let off = largest(&(here - matrix(&entry[what]).unwrap()));
            assert!(off <= TOLERANCE, "{id}: {what} is off by {off:e}");
            worst = worst.max(off);
        }
        checked += 1;
    }
    println!("gamuts: {checked} gamuts, worst element off by {worst:e}");
    assert_eq!(checked, GAMUTS.len());
}

/// Where a maker prints a matrix, it is ours but for the printed rounding, which the file states.
#[test]
fn printed_matrices_differ_only_by_their_rounding() {
    let mut checked = 0;
    for entry in entries() {
        let id = entry["id"].as_str().unwrap();
        let Some(printed) = matrix(&entry["published_rgb_to_xyz"]) else { continue };
        let stated = entry["published_minus_derived_max"].as_float().unwrap();
        let off = largest(&(gamut(id).to_xyz() - printed));
        assert!((off - stated).abs() <= 1e-14, "{id}: {off:e} from the printed matrix, stated {stated:e}");
        checked += 1;
    }
    assert!(checked >= 8, "only {checked} printed matrices were read");
}

#[test]
fn colours_go_to_the_xyz_of_the_reference_library() {
    let (mut worst, mut checked) = (0.0_f64, 0);
    for row in rows("gamut_rgb_to_xyz.csv") {
        let id = row.text("gamut");
        let rgb = Vector3::new(row.number("r"), row.number("g"), row.number("b"));
        let expected = Vector3::new(row.number("x"), row.number("y"), row.number("z"));
        let difference = gamut(id).to_xyz() * rgb - expected;
        let off = difference.iter().fold(0.0, |worst: f64, element| worst.max(element.abs()));
        assert!(difference.iter().all(|element| element.abs() <= TOLERANCE), "{id}: {rgb:?} is off by {off:e}");
        worst = worst.max(off);
        checked += 1;
    }
    println!("gamut_rgb_to_xyz: {checked} colours, worst element off by {worst:e}");
    assert!(checked >= 7 * GAMUTS.len(), "only {checked} rows were read");
}

fn adaptation(transform: &str, from: Vector3<f64>, to: Vector3<f64>) -> Matrix3<f64> {
    let cones = match transform {
        "none" => return Matrix3::identity(),
        "bradford" => Matrix3::from_row_slice(&BRADFORD),
        "cat02" => Matrix3::from_row_slice(&CAT02),
        "cat16" => Matrix3::from_row_slice(&CAT16),
        other => panic!("unknown transform {other}"),
    };
    let gains = (cones * to).component_div(&(cones * from));
    cones.try_inverse().unwrap() * Matrix3::from_diagonal(&gains) * cones
}

#[test]
fn conversions_between_gamuts_are_those_of_the_reference_library() {
    let (mut worst, mut checked) = (0.0_f64, 0);
    for row in rows("gamut_to_gamut.csv") {
        let (from, to, transform) = (gamut(row.text("from")), gamut(row.text("to")), row.text("cat"));
        let ours = to.from_xyz() * adaptation(transform, from.white_xyz(), to.white_xyz()) * from.to_xyz();
        let expected = Matrix3::from_fn(|line, column| row.number(&format!("m{line}{column}")));
        let off = largest(&(ours - expected));
        assert!(off <= TOLERANCE, "{} to {} by {transform}: off by {off:e}", from.id, to.id);
        worst = worst.max(off);
        checked += 1;
    }
    println!("gamut_to_gamut: {checked} matrices, worst element off by {worst:e}");
    assert_eq!(checked, 44);
}

#[test]
fn equal_components_are_the_white_and_the_inverse_inverts() {
    // Rounding of a 3×3 solve with elements of a few units.
    const ROUNDING: f64 = 1e-14;
    for gamut in GAMUTS {
        let white = gamut.to_xyz() * Vector3::repeat(1.0) - gamut.white_xyz();
        assert!(white.iter().all(|element| element.abs() < ROUNDING), "{}: white is off by {white:?}", gamut.id);
        let identity = largest(&(gamut.from_xyz() * gamut.to_xyz() - Matrix3::identity()));
        assert!(identity < ROUNDING, "{}: there and back is off by {identity:e}", gamut.id);
    }
}

/// BT.709 prints the luminance weights 0.2126, 0.7152, 0.0722, BT.2020 0.2627, 0.6780, 0.0593.
#[test]
fn luminance_weights_are_the_printed_ones() {
    for (gamut, printed) in [("bt709", [0.2126, 0.7152, 0.0722]), ("bt2020", [0.2627, 0.6780, 0.0593])] {
        let weights = gamuts::find(gamut).unwrap().to_xyz().row(1).into_owned();
        for (ours, printed) in weights.iter().zip(printed) {
            assert!((ours - printed).abs() <= 0.5e-4, "{gamut}: {ours}, printed {printed}");
        }
    }
}

/// Rounding may leave a determinant that is not quite 0; then the elements are too large to be taken for a matrix.
#[test]
fn primaries_on_one_line_do_no_harm() {
    let flat = Gamut { green: [0.4, 0.33], blue: [0.2, 0.33], ..gamuts::BT709 };
    let single = Gamut { green: gamuts::BT709.red, blue: gamuts::BT709.red, ..gamuts::BT709 };
    for gamut in [flat, single] {
        let matrix = gamut.to_xyz();
        assert!(matrix.iter().any(|element| element.is_nan() || element.abs() > 1e9), "{matrix}");
    }
}

/// The ids that the project documents, in its order.
#[test]
fn every_documented_gamut_exists() {
    let ids: Vec<&str> = GAMUTS.iter().map(|gamut| gamut.id).collect();
    let expected = "awg3 awg4 s-gamut s-gamut3 s-gamut3.cine venice-s-gamut3 venice-s-gamut3.cine v-gamut f-gamut \
                    f-gamut-c cinema-gamut n-gamut d-gamut redwidegamutrgb blackmagic-wide-gamut protune-native acescg \
                    aces2065-1 bt709 srgb bt2020 p3-d65 p3-dci display-p3";
    assert_eq!(ids, expected.split_whitespace().collect::<Vec<_>>());
    for gamut in GAMUTS {
        assert_eq!(gamuts::find(&gamut.id.to_uppercase()).map(|found| found.id), Some(gamut.id));
    }
}

//! Chromaticities of lights that are known.

use crate::common::{Worst, csv};
use crate::frames::{camera, columns};
use lookwright::colour::adaptation::Adaptation;
use lookwright::colour::displays::{Display, DisplayEncoding};
use lookwright::colour::gamuts::{self, Gamut};
use lookwright::picture::Frame;
use lookwright::picture::scopes::{ChromaticityDiagram, Density, PixelLight, TriangleOf};
use lookwright::plan::DisplayTarget;

fn monitor(encoding: DisplayEncoding, gamut: &'static Gamut) -> DisplayTarget {
    DisplayTarget { encoding, gamut, peak_nits: 1000.0 }
}

/// The middle of the one bin with pixels.
fn only_place(density: &Density) -> [f64; 2] {
    let size = [density.counts.columns(), density.counts.rows()];
    let places: Vec<[usize; 2]> = (0..size[0])
        .flat_map(|column| (0..size[1]).map(move |row| [column, row]))
        .filter(|[column, row]| density.counts.at(*column, *row) > 0)
        .collect();
    assert_eq!(places.len(), 1, "{places:?}");
    [density.across, density.up].map(|[from, to]| to - from).iter().enumerate().fold(
        [0.0; 2],
        |mut place, (axis, span)| {
            let from = [density.across, density.up][axis][0];
            place[axis] = from + span * (places[0][axis] as f64 + 0.5) / size[axis] as f64;
            place
        },
    )
}

/// Half a bin of 0.0025, and the rounding of 16-bit codes.
const HALF_A_BIN: f64 = 0.001_25 + 1e-4;

#[test]
fn primaries_and_white_of_displays_have_their_published_chromaticities() {
    let mut worst = Worst::new("chromaticities of display primaries", HALF_A_BIN);
    let any_camera = camera("s-log3", None, "s-gamut3.cine");
    for (encoding, gamut) in [
        (DisplayEncoding::Bt1886, &gamuts::BT709),
        (DisplayEncoding::Gamma26, &gamuts::P3_D65),
        (DisplayEncoding::Pq, &gamuts::BT2020),
        (DisplayEncoding::Hlg, &gamuts::BT2020),
    ] {
        let target = monitor(encoding, gamut);
        let primaries = [
            ([0.8, 0.0, 0.0], gamut.red),
            ([0.0, 0.8, 0.0], gamut.green),
            ([0.0, 0.0, 0.8], gamut.blue),
            ([0.6, 0.6, 0.6], [0.3127, 0.3290]),
        ];
        for (signal, expected) in primaries {
            // A small frame is decoded directly, a large one by a table.
            for frame in [columns(&[signal]), columns(&[signal; 200])] {
                let diagram = ChromaticityDiagram::new(&any_camera, &target);
                let density = diagram.with_pixels(&frame, PixelLight::Display(&target)).density.expect("pixels");
                worst.check_all(&format!("{encoding:?} {signal:?}"), &only_place(&density), &expected);
                assert_eq!(density.counts.sum(), (frame.width() * frame.height()) as u64);
            }
        }
    }
    worst.finish();
}

#[test]
fn grey_of_a_camera_is_the_white_of_its_gamut() {
    for (encoding, index, gamut) in [("s-log3", None, "s-gamut3.cine"), ("acescct", None, "acescg")] {
        let camera = camera(encoding, index, gamut);
        let frame = columns(&[[camera.curve.encode(0.18); 3]]);
        let target = monitor(DisplayEncoding::Bt1886, &gamuts::BT709);
        let density =
            ChromaticityDiagram::new(&camera, &target).with_pixels(&frame, PixelLight::Scene(&camera)).density;
        let place = only_place(&density.expect("pixels"));
        for axis in 0..2 {
            assert!((place[axis] - camera.gamut.white[axis]).abs() < HALF_A_BIN, "{encoding}: {place:?}");
        }
    }
}

#[test]
fn pixels_without_colour_are_counted_apart() {
    let target = monitor(DisplayEncoding::Bt1886, &gamuts::BT709);
    let camera = camera("s-log3", None, "s-gamut3.cine");
    let values = vec![0.0, 0.0, 0.0, f32::NAN, 0.5, 0.5, 0.5, 0.5, 0.5, 9.0, 9.0, 9.0];
    let frame = Frame::from_floats(2, 2, false, values).expect("four pixels");
    let density = ChromaticityDiagram::new(&camera, &target)
        .with_pixels(&frame, PixelLight::Display(&target))
        .density
        .expect("pixels");
    assert_eq!((density.dark, density.outside, density.not_a_number, density.counts.sum()), (1, 0, 1, 2));
}

/// A camera that records BT.709 light as it is, and a look that encodes it for a BT.709 display: what lies within the display's
/// gamut is shown as it was. The scene's chromaticities are those of the chart's table after adaptation.
#[test]
fn patches_that_a_plain_conversion_can_show_stay_where_they_are() {
    let camera = camera("linear", None, "bt709");
    let target = monitor(DisplayEncoding::Gamma22, &gamuts::BT709);
    let display = Display::new(target.encoding, target.peak_nits);
    let diagram =
        ChromaticityDiagram::new(&camera, &target)
            .with_patches(&camera, &target, Adaptation::Bradford, |signal| display.encode(signal));
    assert_eq!(diagram.patches.len(), 24);
    let mut scene = Worst::new("chromaticities of patches (chart_xyY.csv)", 1e-4);
    let mut shown = Worst::new("patches before and after a plain conversion", 1e-9);
    let table = csv("chart_xyY.csv");
    for row in table.rows_where("chart", "ColorChecker24 - After November 2014") {
        let patch = diagram.patches[row.value::<usize>("no") - 1];
        let linear = nalgebra::Vector3::from(row.numbers(["r709", "g709", "b709"]));
        let xyz = gamuts::BT709.to_xyz() * linear;
        let sum = xyz.sum();
        scene.check_all(patch.name, &patch.scene, &[xyz.x / sum, xyz.y / sum]);
        if linear.min() >= 0.0 {
            shown.check_all(patch.name, &patch.shown.expect("light"), &patch.scene);
        } else {
            assert_eq!(patch.name, "cyan", "the one patch outside BT.709");
            assert!(patch.shown.expect("light")[0] > patch.scene[0] + 1e-3, "{patch:?}");
        }
    }
    scene.finish();
    shown.finish();
}

#[test]
fn triangles_are_those_of_camera_and_monitor() {
    let camera = camera("logc4", None, "awg4");
    let diagram = ChromaticityDiagram::new(&camera, &monitor(DisplayEncoding::Pq, &gamuts::P3_D65));
    let [own, monitor] = diagram.triangles[..] else { panic!("two triangles") };
    assert_eq!((own.of, own.corners[0]), (TriangleOf::Camera, gamuts::AWG4.red));
    assert_eq!((monitor.of, monitor.corners[2]), (TriangleOf::Monitor, gamuts::P3_D65.blue));
}

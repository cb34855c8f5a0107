//! The pictures: sizes, traces at their rows, gamuts at their places, and text that can be read.

use crate::frames::{BAR, Bar, bars, camera, columns, legal, photograph};
use lookwright::colour::adaptation::Adaptation;
use lookwright::colour::displays::{Display, DisplayEncoding};
use lookwright::colour::gamuts;
use lookwright::formats::image::{WriteOptions, write};
use lookwright::picture::camera_chart::camera_chart;
use lookwright::picture::chart_frame::ChartKind;
use lookwright::picture::scopes::{
    ChromaticityDiagram, LumaCoding, PictureSize, PixelLight, Plot, ScopePicture, StopsHistogram, Vectorscope,
    Waveform, clip_signal, log_marks,
};
use lookwright::picture::{Frame, Samples};
use lookwright::plan::{Camera, DisplayTarget, Levels};
use lookwright::report::{chromaticity_svg, histogram_svg};
use std::path::PathBuf;

const SIZES: [[usize; 2]; 5] = [[320, 180], [640, 360], [1280, 720], [1920, 1080], [500, 900]];

/// Inks of what is looked for, sRGB: full strength, since all bars have the same number of pixels.
const LUMA: [u8; 3] = [216, 228, 222];
const PARADE: [[u8; 3]; 3] = [[255, 104, 88], [118, 222, 140], [104, 158, 255]];
const CAMERA: [u8; 3] = [118, 222, 140];
const MONITOR: [u8; 3] = [245, 181, 78];

fn size([width, height]: [usize; 2]) -> PictureSize {
    PictureSize::new(width, height).expect("a possible size")
}

fn pixel(picture: &ScopePicture, x: usize, y: usize) -> [u8; 3] {
    picture.frame.pixel(x, y).expect("inside").map(|signal| (signal * 255.0).round() as u8)
}

/// Rows of a plot's column in which the picture has an ink.
fn rows_of(picture: &ScopePicture, plot: &Plot, x: usize, ink: [u8; 3]) -> Vec<usize> {
    (plot.y..plot.y + plot.height).filter(|y| pixel(picture, x, *y) == ink).collect()
}

/// The middle of a ten-bit code in a plot of codes 0..1023 that is `height` rows high, in rows from its top.
fn code_row(plot: &Plot, code: f64) -> f64 {
    plot.y as f64 + (1023.5 - code) / 1024.0 * plot.height as f64
}

fn bars_of(percent: u32) -> (Vec<Bar>, Frame) {
    let bars: Vec<Bar> = bars(LumaCoding::Bt709).into_iter().filter(|bar| bar.percent == percent).collect();
    let frame = columns(&bars.iter().map(legal).collect::<Vec<_>>());
    (bars, frame)
}

/// A code's row in pixels: the picture's rows are at most this far from it, half a row and half a code.
fn tolerance(plot: &Plot) -> f64 {
    0.5 + plot.height as f64 / 2048.0 + 1e-9
}

fn is_at(rows: &[usize], expected: f64, tolerance: f64) -> bool {
    !rows.is_empty() && rows.iter().all(|row| (*row as f64 + 0.5 - expected).abs() <= tolerance)
}

#[test]
fn traces_of_colour_bars_lie_at_the_rows_of_their_codes() {
    for percent in [100, 75] {
        let (bars, frame) = bars_of(percent);
        for sides in SIZES {
            let luma = Waveform::luma(&frame, LumaCoding::Bt709, Levels::Legal, sides[0]).picture(size(sides), &[]);
            let parade = Waveform::parade(&frame, Levels::Legal, sides[0]).picture(size(sides), &[]);
            assert_eq!((luma.plots.len(), parade.plots.len()), (1, 3));
            for (index, bar) in bars.iter().enumerate() {
                let what = format!("{} {percent} % at {sides:?}", bar.name);
                let column = |plot: &Plot| plot.x + (2 * index + 1) * plot.width / (2 * bars.len());
                let plot = &luma.plots[0];
                let rows = rows_of(&luma, plot, column(plot), LUMA);
                assert!(is_at(&rows, code_row(plot, bar.y as f64), tolerance(plot)), "luma of {what}: {rows:?}");
                for ((plot, ink), code) in parade.plots.iter().zip(PARADE).zip(bar.rgb) {
                    let rows = rows_of(&parade, plot, column(plot), ink);
                    assert!(is_at(&rows, code_row(plot, code), tolerance(plot)), "{} of {what}: {rows:?}", plot.name);
                }
            }
        }
    }
}

#[test]
fn bars_lie_on_their_targets_in_the_vectorscope() {
    for percent in [100, 75] {
        let (bars, frame) = bars_of(percent);
        let scope = Vectorscope::new(&frame, LumaCoding::Bt709, Levels::Legal);
        for sides in SIZES {
            let picture = scope.picture(size(sides));
            let [plot] = &picture.plots[..] else { panic!("one plot") };
            assert_eq!(plot.width, plot.height, "one scale for both");
            for bar in bars.iter().filter(|bar| bar.magnitude > 0.0) {
                // 896 codes from −0.5 to +0.5; the plot shows 1200 around 512.
                let angle = bar.degrees.to_radians();
                let reach = bar.magnitude * 896.0 / 1200.0 * plot.width as f64;
                let expected = [
                    plot.x as f64 + plot.width as f64 / 2.0 + reach * lookwright::maths::cos(angle),
                    plot.y as f64 + plot.height as f64 / 2.0 - reach * lookwright::maths::sin(angle),
                ];
                // Every bar has as many pixels, black and white together twice as many: the light of bars is all but full.
                let lit = |x: usize, y: usize| pixel(&picture, x, y).iter().all(|code| *code > 180);
                let near = (plot.x..plot.x + plot.width)
                    .flat_map(|x| (plot.y..plot.y + plot.height).map(move |y| (x, y)))
                    .filter(|(x, y)| {
                        let away = [*x as f64 + 0.5 - expected[0], *y as f64 + 0.5 - expected[1]];
                        away.iter().all(|distance| distance.abs() <= 1.5) && lit(*x, *y)
                    });
                assert!(near.count() > 0, "{} {percent} % at {sides:?}: nothing near {expected:?}", bar.name);
            }
        }
    }
}

fn monitor() -> DisplayTarget {
    DisplayTarget { encoding: DisplayEncoding::Bt1886, gamut: &gamuts::BT709, peak_nits: 100.0 }
}

/// A look for pictures: the middle seven stops of the camera's light on the monitor.
fn look(camera: &Camera) -> impl Fn([f64; 3]) -> [f64; 3] + Sync {
    let display = Display::new(DisplayEncoding::Bt1886, 100.0);
    let to_display = gamuts::BT709.from_xyz() * camera.gamut.to_xyz();
    let curve = camera.curve;
    move |signal| {
        let light: [f64; 3] = (to_display * nalgebra::Vector3::from(signal.map(|code| curve.decode(code)))).into();
        display.encode(light.map(|light| (light / (light.abs() + 0.6)).clamp(0.0, 1.0)))
    }
}

fn diagram(camera: &Camera) -> ChromaticityDiagram {
    ChromaticityDiagram::new(camera, &monitor()).with_patches(camera, &monitor(), Adaptation::default(), look(camera))
}

/// Whether there is an ink at most a pixel and a half around a place.
fn ink_near(picture: &ScopePicture, [x, y]: [f64; 2], ink: [u8; 3]) -> bool {
    let near = |at: f64| (at - 1.5).floor().max(0.0) as usize..=(at + 1.5).floor() as usize;
    let close = |own: [u8; 3]| own.iter().zip(ink).all(|(own, ink)| own.abs_diff(ink) < 40);
    near(x).any(|x| near(y).any(|y| picture.frame.pixel(x, y).is_some() && close(pixel(picture, x, y))))
}

/// Corners of the triangles, and D65, at the pixels of their published chromaticities.
#[test]
fn gamuts_and_white_lie_at_their_chromaticities() {
    let camera = camera("s-log3", None, "s-gamut3.cine");
    for sides in SIZES {
        let picture = ChromaticityDiagram::new(&camera, &monitor()).picture(size(sides));
        let [plot] = &picture.plots[..] else { panic!("one plot") };
        let scale =
            [plot.width as f64 / (plot.across[1] - plot.across[0]), plot.height as f64 / (plot.up[1] - plot.up[0])];
        assert!((scale[0] / scale[1] - 1.0).abs() < 0.02, "{sides:?}: one scale for x and y, {scale:?}");
        let place = |[x, y]: [f64; 2]| {
            [plot.x as f64 + (x - plot.across[0]) * scale[0], plot.y as f64 + (plot.up[1] - y) * scale[1]]
        };
        // S-Gamut3.Cine: 0.766 0.275, 0.225 0.800, 0.089 −0.087; BT.709: 0.64 0.33, 0.30 0.60, 0.15 0.06; D65 0.3127 0.3290.
        for corner in [[0.766, 0.275], [0.225, 0.800], [0.089, -0.087]] {
            assert!(ink_near(&picture, place(corner), CAMERA), "camera {corner:?} at {sides:?}");
        }
        for corner in [[0.64, 0.33], [0.30, 0.60], [0.15, 0.06]] {
            // Dashes may end before a corner: somewhere on the last tenth of a side there is ink.
            let towards = |share: f64| [0, 1].map(|axis| corner[axis] + share * ([0.36, 0.33][axis] - corner[axis]));
            let sides_of = [[0.64, 0.33], [0.30, 0.60], [0.15, 0.06]].into_iter().filter(|other| *other != corner);
            let on_side = sides_of.flat_map(|other| {
                (0..=20).map(move |step| {
                    [0, 1].map(|axis| corner[axis] + f64::from(step) / 200.0 * (other[axis] - corner[axis]))
                })
            });
            assert!(
                on_side.into_iter().any(|at| ink_near(&picture, place(at), MONITOR)),
                "monitor {corner:?} at {sides:?}"
            );
            assert!(!ink_near(&picture, place(towards(-0.15)), MONITOR), "nothing beyond {corner:?} at {sides:?}");
        }
        assert!(ink_near(&picture, place([0.3127, 0.3290]), [234, 236, 240]), "D65 at {sides:?}");
    }
}

#[test]
fn sizes_are_kept_and_small_ones_refused() {
    assert!(PictureSize::new(319, 180).is_none() && PictureSize::new(320, 179).is_none());
    assert!(PictureSize::new(40_000, 400).is_none() && PictureSize::new(30_000, 30_000).is_none());
    let camera = camera("s-log3", None, "s-gamut3.cine");
    let frame = photograph(&camera, 64, 36);
    for [width, height] in [[320, 180], [333, 1001], [2400, 200]] {
        for picture in everything(&frame, &camera, [width, height]) {
            assert_eq!((picture.1.frame.width(), picture.1.frame.height()), (width, height), "{}", picture.0);
            assert!(matches!(picture.1.frame.samples(), Samples::Codes(_)));
        }
    }
}

/// Each scope of a log frame and, where that makes sense, of the monitor's picture of it.
fn everything(log: &Frame, camera: &Camera, sides: [usize; 2]) -> Vec<(&'static str, ScopePicture)> {
    let shown = lookwright::picture::apply::apply_function(log, look(camera)).frame;
    let (coding, size) = (LumaCoding::Bt709, size(sides));
    let marks = log_marks(&camera.curve);
    let histogram = StopsHistogram::new(log, camera, Adaptation::default(), clip_signal(&camera.curve));
    vec![
        ("log-waveform", Waveform::luma(log, coding, Levels::Full, sides[0]).picture(size, &marks)),
        ("log-parade", Waveform::parade(log, Levels::Full, sides[0]).picture(size, &marks)),
        ("waveform", Waveform::luma(&shown, coding, Levels::Full, sides[0]).picture(size, &[])),
        ("parade", Waveform::parade(&shown, Levels::Full, sides[0]).picture(size, &[])),
        ("vectorscope", Vectorscope::new(&shown, coding, Levels::Full).picture(size)),
        ("histogram", histogram.picture(size)),
        ("chromaticity", diagram(camera).picture(size)),
        ("chromaticity-pixels", diagram(camera).with_pixels(log, PixelLight::Scene(camera)).picture(size)),
    ]
}

fn leave(name: &str) -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("scopes");
    std::fs::create_dir_all(&folder).expect("a folder");
    folder.join(name)
}

/// Leaves the pictures to be looked at, and holds that the same frame makes the same picture.
#[test]
fn pictures_are_written_and_the_same_each_time() {
    let camera = camera("s-log3", None, "s-gamut3.cine");
    let chart = camera_chart(ChartKind::Sheet, &camera, Adaptation::default(), [1280, 720]).expect("a chart").frame;
    let stills = [("chart", chart), ("photograph", photograph(&camera, 960, 540))];
    for (still, frame) in &stills {
        for sides in [[320, 180], [1280, 720], [1920, 1080]] {
            let pictures = everything(frame, &camera, sides);
            for ((name, picture), (_, again)) in pictures.iter().zip(everything(frame, &camera, sides)) {
                assert!(*picture == again, "{name} of {still} at {sides:?}");
                let path = leave(&format!("{still}-{name}-{}.png", sides[0]));
                write(&path, &picture.frame, &WriteOptions::default()).expect("a file");
            }
        }
    }
    let (_, bars) = bars_of(75);
    for (name, picture) in [
        (
            "bars-waveform",
            Waveform::luma(&bars, LumaCoding::Bt709, Levels::Legal, 1280).picture(size([1280, 720]), &[]),
        ),
        ("bars-parade", Waveform::parade(&bars, Levels::Legal, 1280).picture(size([640, 360]), &[])),
        ("bars-vectorscope", Vectorscope::new(&bars, LumaCoding::Bt709, Levels::Legal).picture(size([640, 360]))),
    ] {
        write(&leave(&format!("{name}.png")), &picture.frame, &WriteOptions::default()).expect("a file");
    }
    assert_eq!(bars.width() * bars.height(), 8 * BAR[0] * BAR[1]);
}

/// A page's SVG: no colour but the text's own, nothing that loads, and the names of what is shown.
#[test]
fn svg_takes_the_ink_of_its_page() {
    let camera = camera("logc4", None, "awg4");
    let frame = photograph(&camera, 480, 270);
    let histogram = StopsHistogram::new(&frame, &camera, Adaptation::default(), 1.0);
    let drawings = [
        (
            "histogram",
            histogram_svg(&histogram, size([800, 320])),
            vec!["grey", "floor", "clip", "luminance", "at clip: R"],
        ),
        (
            "chromaticity",
            chromaticity_svg(&diagram(&camera), size([800, 480])),
            vec!["ARRI Wide Gamut 4", "BT.709", "D65", "dark skin, scene", "K"],
        ),
    ];
    for (name, svg, words) in &drawings {
        assert!(svg.starts_with("<svg class=\"scope\" viewBox=\"0 0 800 ") && svg.ends_with("</svg>"), "{name}");
        for forbidden in ["#", "rgb(", "style", "script", "href", "NaN", "inf\""] {
            assert!(!svg.contains(forbidden), "{name}: {forbidden}");
        }
        for word in words {
            assert!(svg.contains(word), "{name}: {word}");
        }
        for element in ["line", "text", "circle", "rect", "title"] {
            assert_eq!(
                svg.matches(&format!("<{element}")).count(),
                svg.matches(&format!("</{element}>")).count(),
                "{name}"
            );
        }
        assert!(svg.len() < 150_000, "{name}: {} bytes", svg.len());
    }
    let both: String = drawings.iter().map(|(_, svg, _)| svg.as_str()).collect();
    let page = format!(
        "<!DOCTYPE html><body style='margin:0;font-family:sans-serif'><div style='background:#fff;color:#1e1c18;width:800px'>{both}</div>\
         <div style='background:#161513;color:#ebe7de;width:800px'>{both}</div></body>"
    );
    std::fs::write(leave("svg.html"), page).expect("a page");
}

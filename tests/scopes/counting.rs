//! Every pixel is counted once, whatever it is and whoever counts.

use crate::frames::{camera, photograph, scattered};
use lookwright::colour::adaptation::Adaptation;
use lookwright::colour::displays::DisplayEncoding;
use lookwright::colour::gamuts;
use lookwright::picture::Frame;
use lookwright::picture::scopes::{ChromaticityDiagram, LumaCoding, PixelLight, StopsHistogram, Vectorscope, Waveform};
use lookwright::plan::{Camera, DisplayTarget, Levels};

const MONITOR: DisplayTarget =
    DisplayTarget { encoding: DisplayEncoding::Bt1886, gamut: &gamuts::BT709, peak_nits: 100.0 };

struct All {
    luma: Waveform,
    parade: Waveform,
    vectors: Vectorscope,
    histogram: StopsHistogram,
    chromaticities: ChromaticityDiagram,
}

fn all(frame: &Frame, camera: &Camera, levels: Levels, columns: usize) -> All {
    All {
        luma: Waveform::luma(frame, LumaCoding::Bt709, levels, columns),
        parade: Waveform::parade(frame, levels, columns / 3),
        vectors: Vectorscope::new(frame, LumaCoding::Bt709, levels),
        histogram: StopsHistogram::new(frame, camera, Adaptation::default(), 1.0),
        chromaticities: ChromaticityDiagram::new(camera, &MONITOR).with_pixels(frame, PixelLight::Display(&MONITOR)),
    }
}

/// The scopes as text: what would be written.
fn written(scopes: &All) -> [String; 5] {
    let text = |value: serde_json::Result<String>| value.expect("a document");
    [
        text(serde_json::to_string(&scopes.luma)),
        text(serde_json::to_string(&scopes.parade)),
        text(serde_json::to_string(&scopes.vectors)),
        text(serde_json::to_string(&scopes.histogram)),
        text(serde_json::to_string(&scopes.chromaticities)),
    ]
}

fn sums_hold(scopes: &All, pixels: u64, what: &str) {
    for trace in scopes.luma.traces.iter().chain(&scopes.parade.traces) {
        assert_eq!(trace.counts.sum() + trace.not_a_number, pixels, "{what}: {:?}", trace.of);
    }
    assert_eq!(scopes.vectors.counts.sum() + scopes.vectors.not_a_number, pixels, "{what}: vectorscope");
    let histogram = &scopes.histogram;
    for bins in [&histogram.luminance, &histogram.brightest] {
        assert_eq!(bins.sum() + histogram.clip + histogram.not_a_number, pixels, "{what}: histogram");
    }
    let density = scopes.chromaticities.density.as_ref().expect("pixels");
    let sum = density.counts.sum() + density.dark + density.outside + density.not_a_number;
    assert_eq!(sum, pixels, "{what}: chromaticities");
}

/// Noise from −0.3 to 1.4 with some samples that are no numbers or infinite, and alpha of any kind.
fn wild(width: usize, height: usize, has_alpha: bool, seed: u64) -> Frame {
    let mut next = scattered(seed);
    let samples = width * height * if has_alpha { 4 } else { 3 };
    let value = |place: f64| match place {
        0.99.. => f32::NAN,
        0.98.. => f32::INFINITY,
        0.97.. => f32::NEG_INFINITY,
        _ => (place * 1.7 - 0.3) as f32,
    };
    let values = (0..samples).map(|_| value(next())).collect();
    Frame::from_floats(width, height, has_alpha, values).expect("noise")
}

#[test]
fn counts_sum_to_the_pixels() {
    let camera = camera("s-log3", None, "s-gamut3.cine");
    for (width, height) in [(1, 1), (7, 3), (331, 97), (64, 1), (1, 200)] {
        for has_alpha in [false, true] {
            for levels in Levels::ALL {
                for columns in [1, 33, 4096] {
                    let frame = wild(width, height, has_alpha, (width * height) as u64);
                    let what = format!("{width} × {height}, alpha {has_alpha}, {levels:?}, {columns} columns");
                    sums_hold(&all(&frame, &camera, levels, columns), (width * height) as u64, &what);
                }
            }
        }
    }
}

#[test]
fn what_is_no_number_or_out_of_range_is_told() {
    let camera = camera("s-log3", None, "s-gamut3.cine");
    let values = vec![f32::NAN, 0.5, 0.5, -0.1, -0.1, -0.1, 1.2, 1.2, 1.2, 0.5, 0.5, 0.5];
    let frame = Frame::from_floats(4, 1, false, values).expect("four pixels");
    let scopes = all(&frame, &camera, Levels::Full, 4096);
    assert_eq!((scopes.luma.traces[0].held, scopes.luma.traces[0].not_a_number), ([1, 1], 1));
    let held: Vec<_> = scopes.parade.traces.iter().map(|trace| (trace.held, trace.not_a_number)).collect();
    assert_eq!(held, [([1, 1], 1), ([1, 1], 0), ([1, 1], 0)]);
    assert_eq!((scopes.vectors.not_a_number, scopes.histogram.not_a_number), (1, 1));
}

#[test]
fn alpha_changes_nothing() {
    let camera = camera("s-log3", None, "s-gamut3.cine");
    let plain = wild(90, 50, false, 3);
    let samples: Vec<f32> = (0..50)
        .flat_map(|y| (0..90).map(move |x| (x, y)))
        .flat_map(|(x, y)| {
            let [r, g, b] = plain.pixel(x, y).expect("inside").map(|value| value as f32);
            [r, g, b, [0.0, 1.0, 0.3, f32::NAN][(x + y) % 4]]
        })
        .collect();
    let with_alpha = Frame::from_floats(90, 50, true, samples).expect("the same");
    let [plain, with_alpha] = [&plain, &with_alpha].map(|frame| written(&all(frame, &camera, Levels::Full, 40)));
    assert_eq!(plain, with_alpha);
}

#[test]
fn the_number_of_threads_changes_nothing() {
    let camera = camera("logc4", None, "awg4");
    for frame in [photograph(&camera, 403, 227), wild(403, 227, true, 11)] {
        let with_threads = |threads: usize| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
            pool.install(|| written(&all(&frame, &camera, Levels::Full, 403)))
        };
        let one = with_threads(1);
        for threads in [2, 7] {
            assert!(with_threads(threads) == one, "{threads} threads count otherwise than one");
        }
    }
}

/// The written form holds the counts, without those of 0.
#[test]
fn counts_are_written_as_column_row_and_count() {
    let frame = Frame::from_eight_bit(2, 1, false, &[0, 0, 0, 255, 255, 255]).expect("two pixels");
    let waveform = Waveform::luma(&frame, LumaCoding::Bt709, Levels::Full, 2);
    let document = serde_json::to_value(&waveform).expect("a document");
    let trace = &document["traces"][0];
    assert_eq!(trace["counts"]["counts"], serde_json::json!([[0, 0, 1], [1, 1023, 1]]));
    assert_eq!(
        (&document["levels"], &document["coding"], &trace["of"]),
        (&"full".into(), &"bt709".into(), &"luma".into())
    );
}

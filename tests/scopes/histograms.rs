//! Bins of light that is known, encoded by the reference library.

use crate::common::csv;
use crate::frames::camera;
use lookwright::colour::adaptation::Adaptation;
use lookwright::maths::{exp2, log2};
use lookwright::picture::Frame;
use lookwright::picture::scopes::{BIN_STOPS, Bins, FARTHEST_STOPS, StopsHistogram, clip_signal};
use lookwright::plan::Camera;

/// Reference ids of `log_encode.csv`, our ids, exposure indices and gamuts.
const CURVES: [(&str, &str, Option<u32>, &str); 6] = [
    ("slog3", "s-log3", None, "s-gamut3.cine"),
    ("vlog", "v-log", None, "v-gamut"),
    ("logc3_ei800", "logc3", Some(800), "awg3"),
    ("logc4", "logc4", None, "awg4"),
    ("acescct", "acescct", None, "acescg"),
    ("flog2", "f-log2", None, "f-gamut"),
];

fn greys(signals: &[f64]) -> Frame {
    let values: Vec<f32> = signals.iter().flat_map(|signal| [*signal as f32; 3]).collect();
    Frame::from_floats(signals.len(), 1, false, values).expect("a row")
}

fn histogram(frame: &Frame, camera: &Camera) -> StopsHistogram {
    StopsHistogram::new(frame, camera, Adaptation::default(), clip_signal(&camera.curve))
}

/// Each code of the reference library lies in the bin of the light that it was computed from.
#[test]
fn greys_lie_in_the_bins_of_their_light() {
    for (reference, encoding, index, gamut) in CURVES {
        let camera = camera(encoding, index, gamut);
        let table = csv("log_encode.csv");
        let mut checked = 0;
        for row in table.rows_where("curve", reference) {
            let (linear, code) = (row.number("linear"), row.number("code"));
            let bins = log2(linear / 0.18) / BIN_STOPS;
            // A light on the edge of two bins may fall to either; 32-bit floats carry the signal.
            let on_edge = ((bins - bins.floor()) - 0.5).abs() < 1e-3;
            if linear <= 0.0 || on_edge || !(0.0..=0.9995).contains(&code) {
                continue;
            }
            let histogram = histogram(&greys(&[code]), &camera);
            let expected = bins.round() as i64 + i64::from(FARTHEST_STOPS) * 6;
            for bins in [&histogram.luminance, &histogram.brightest] {
                let place = format!("{} of {encoding}, linear {linear}: {histogram:?}", row.place());
                match expected {
                    ..0 => assert_eq!(bins.floor, 1, "{place}"),
                    0..121 => assert_eq!(bins.counts[expected as usize], 1, "{place}"),
                    121.. => assert_eq!(bins.above, 1, "{place}"),
                }
                assert_eq!(bins.sum(), 1, "{place}");
            }
            checked += 1;
        }
        assert!(checked >= 10, "{encoding}: only {checked} codes were checked");
    }
}

/// A frame with one pixel in every bin that the encoding holds.
#[test]
fn a_wedge_in_sixths_of_stops_has_one_pixel_in_each_bin() {
    let camera = camera("logc4", None, "awg4");
    let stops: Vec<f64> = (0..121).map(Bins::stops).collect();
    assert_eq!((stops[0], stops[60], stops[120]), (-10.0, 0.0, 10.0));
    let frame = greys(&stops.iter().map(|stops| camera.curve.encode(0.18 * exp2(*stops))).collect::<Vec<_>>());
    let histogram = histogram(&frame, &camera);
    assert_eq!(histogram.luminance.counts, vec![1; 121]);
    assert_eq!(histogram.brightest.counts, vec![1; 121]);
    assert_eq!((histogram.clip, histogram.luminance.floor, histogram.luminance.above), (0, 0, 0));
}

#[test]
fn pixels_at_clip_and_without_light_stand_apart() {
    let camera = camera("s-log3", None, "s-gamut3.cine");
    let code = |code: f64| (code / 1023.0) as f32;
    let pixels = [
        [1.0, 1.0, 1.0],                          // at clip in all
        [1.0, code(420.0), code(420.0)],          // in R
        [code(420.0), code(1022.6), code(420.0)], // in G: its ten-bit code is 1023
        [code(1022.4); 3],                        // not quite
        [code(95.0), code(95.0), code(95.0)],     // black
        [0.0, 0.0, 0.0],                          // below black
        [f32::NAN, 0.5, 0.5],
        [code(420.0), code(420.0), code(420.0)], // grey
    ];
    let frame = Frame::from_floats(4, 2, false, pixels.as_flattened().to_vec()).expect("eight pixels");
    let histogram = histogram(&frame, &camera);
    assert_eq!((histogram.pixels, histogram.clip, histogram.clipped), (8, 3, [2, 2, 1]));
    assert_eq!(histogram.clipped_shares(), [0.25, 0.25, 0.125]);
    assert_eq!((histogram.luminance.floor, histogram.luminance.counts[60], histogram.not_a_number), (2, 1, 1));
    assert_eq!(histogram.luminance.sum() + histogram.clip + histogram.not_a_number, 8);
    // A camera whose sensor ends at code 900.
    let early = StopsHistogram::new(&frame, &camera, Adaptation::default(), 900.0 / 1023.0);
    assert_eq!((early.clip, early.clipped), (4, [3, 3, 2]));
}

#[test]
fn the_clip_of_an_encoding_is_its_highest_code() {
    assert_eq!(clip_signal(&camera("s-log3", None, "s-gamut3.cine").curve), 1.0);
    // S-2013-001: ACESproxy's codes end at 940.
    let proxy = clip_signal(&camera("acesproxy10", None, "acescg").curve);
    assert!((proxy * 1023.0 - 940.0).abs() < 1e-9, "{proxy}");
}

/// Red light of 1 in ACEScg has the luminance 0.2722 (S-2014-004, the first weight of AP1).
#[test]
fn colours_are_counted_by_luminance_and_by_their_brightest_channel() {
    let camera = camera("linear", None, "acescg");
    // Half as much, so that it is not at clip.
    let frame = Frame::from_floats(1, 1, false, vec![0.5, 0.0, 0.0]).expect("a pixel");
    let histogram = histogram(&frame, &camera);
    // log2(0.5 / 0.18) = 1.474 stops, 8.8 sixths; log2(0.1361 / 0.18) = -0.403 stops, -2.4 sixths.
    assert_eq!(histogram.brightest.counts[60 + 9], 1, "{histogram:?}");
    assert_eq!(histogram.luminance.counts[60 - 2], 1, "{histogram:?}");
}

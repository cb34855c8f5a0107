//! Test frames: what stands in them, and where.

use crate::{codes, refusal};
use lookwright::maths::{Rgb, linear_from_stops, log10};
use lookwright::picture::chart_frame::{ChartFrame, ChartKind, render, sidecar};
use std::collections::HashSet;

/// The width and height of most frames here.
const SIZE: (usize, usize) = (1920, 1080);

/// S-Log3, Sony Corporation, "Technical Summary for S-Gamut3.Cine/S-Log3 and S-Gamut3/S-Log3", V1.00.
fn s_log3(linear: Rgb) -> Rgb {
    linear.map(|x| {
        if x >= 0.01125 {
            (420.0 + log10((x + 0.01) / (0.18 + 0.01)) * 261.5) / 1023.0
        } else {
            (x * (171.2102946929 - 95.0) / 0.01125 + 95.0) / 1023.0
        }
    })
}

/// Made up: only names, places and exposures matter here.
fn patches() -> Vec<(String, Rgb)> {
    let light = |index: usize| [index as f64 * 0.03, 0.5 - index as f64 * 0.015, 0.04 + index as f64 * 0.01];
    (0..24).map(|index| (format!("patch {index}"), light(index))).collect()
}

fn chart(kind: ChartKind, (width, height): (usize, usize)) -> ChartFrame {
    let drawn = render(kind, &s_log3, &patches(), width, height);
    drawn.unwrap_or_else(|faults| panic!("{}: {}", kind.id(), faults[0].message))
}

fn kinds() -> impl Iterator<Item = ChartKind> {
    ChartKind::ALL.iter().copied().chain([ChartKind::PatchesAt(-1.5)])
}

#[test]
fn every_field_is_flat_in_the_frame_and_apart_from_the_others() {
    for kind in kinds() {
        for (width, height) in [kind.smallest_size(), SIZE, (1998, 1080), (1300, 2000)] {
            let chart = chart(kind, (width, height));
            let what = format!("{} at {width} × {height}", kind.id());
            assert_eq!((chart.frame.width(), chart.frame.height()), (width, height), "{what}");
            let mut taken = vec![false; width * height];
            for field in &chart.fields {
                let what = format!("{what}: {}", field.name);
                assert!(field.width >= 4 && field.height >= 4, "{what} is {} × {}", field.width, field.height);
                assert!(field.x + field.width <= width && field.y + field.height <= height, "{what} leaves the frame");
                let expected = field.signal.map(|signal| (signal * 65_535.0 + 0.5).floor() as u16);
                for y in field.y..field.y + field.height {
                    let row = y * width + field.x;
                    let columns = row..row + field.width;
                    assert!(!taken[columns.clone()].contains(&true), "{what} lies on another field in row {y}");
                    taken[columns.clone()].fill(true);
                    let pixels = &codes(&chart.frame)[3 * columns.start..3 * columns.end];
                    assert!(
                        pixels.chunks(3).all(|pixel| pixel == expected),
                        "{what}, row {y}: not {expected:?} all over"
                    );
                }
            }
        }
    }
}

#[test]
fn fields_have_the_light_the_signal_and_a_name_of_their_own() {
    for kind in kinds() {
        let chart = chart(kind, SIZE);
        let mut names = HashSet::new();
        for field in &chart.fields {
            let what = format!("{}: {}", kind.id(), field.name);
            assert!(names.insert(&field.name), "{what}: twice");
            let encoded = s_log3(field.linear);
            let clamped = encoded.map(|signal| signal.clamp(0.0, 1.0));
            assert_eq!((field.signal, field.clipped), (clamped, clamped != encoded), "{what}");
            assert_eq!(field.code10, field.signal.map(|signal| (signal * 1023.0).round() as u16), "{what}");
        }
    }
}

/// Ten-bit codes that Sony's document prints for S-Log3: 0 % 95, 18 % 420, 90 % 598 (as a third party quotes its
/// table).
#[test]
fn published_codes_stand_in_the_grey_scale() {
    let chart = chart(ChartKind::GreyScale, SIZE);
    for (name, code) in [("no light", 95), ("18 %", 420), ("90 %", 598), ("grey 0", 420), ("grey 0 falling", 420)] {
        let field = chart.fields.iter().find(|field| field.name == name);
        let field = field.unwrap_or_else(|| panic!("no field “{name}”"));
        assert_eq!(field.code10, [code; 3], "{name}");
    }
    // The surround is grey too.
    assert_eq!(codes(&chart.frame)[0], (s_log3([0.18; 3])[0] * 65_535.0).round() as u16);
}

#[test]
fn the_grey_scale_has_half_stops_both_ways_and_continuous_ramps() {
    let chart = chart(ChartKind::GreyScale, SIZE);
    let steps: Vec<f64> = (-16..=16).map(|half| f64::from(half) / 2.0).collect();
    let greys = || chart.fields.iter().filter(|field| field.name.starts_with("grey"));
    let falling: Vec<_> = greys().filter(|field| field.name.ends_with("falling")).collect();
    let rising: Vec<_> = greys().filter(|field| !field.name.ends_with("falling")).collect();
    assert_eq!(rising.iter().map(|field| field.stops).collect::<Vec<_>>(), steps);
    assert_eq!(falling.iter().rev().map(|field| field.stops).collect::<Vec<_>>(), steps);
    for field in rising.iter().chain(&falling) {
        // Stops are log2 of linear over 0.18, by definition.
        assert_eq!(field.linear, [linear_from_stops(field.stops); 3], "{}", field.name);
    }
    let row = |y: usize| -> Vec<u16> {
        let (first, last) = (rising[0].x, rising[32].x + rising[32].width);
        (first..last).map(|x| codes(&chart.frame)[3 * (y * SIZE.0 + x)]).collect()
    };
    let (up, down) = (row(SIZE.1 * 12 / 100), row(SIZE.1 * 88 / 100));
    assert!(up.is_sorted() && up.iter().collect::<HashSet<_>>().len() > 1000, "the upper ramp rises in fine steps");
    assert!(down.iter().rev().is_sorted(), "the lower ramp falls");
    // At this size a step has an odd number of columns, and the middle one of the ramp has the light of the step.
    assert_eq!(rising[10].width % 2, 1);
    let middle = rising[10].x + rising[10].width / 2;
    assert_eq!(up[middle - rising[0].x], codes(&chart.frame)[3 * ((rising[10].y + 1) * SIZE.0 + middle)]);
}

#[test]
fn patches_stand_in_reading_order_at_seven_exposures() {
    let chart = chart(ChartKind::Patches, SIZE);
    let shown: Vec<_> = chart.fields.iter().filter(|field| field.name.starts_with("patch")).collect();
    assert_eq!(shown.len(), 7 * 24);
    for (index, field) in shown.iter().enumerate() {
        let (name, light) = &patches()[index % 24];
        let stops = (index / 24) as f64 - 3.0;
        assert_eq!(field.stops, stops, "{}", field.name);
        let expected = light.map(|value| value * linear_from_stops(stops) / 0.18);
        for (found, expected) in field.linear.iter().zip(expected) {
            // Two roundings each.
            let error = (found - expected).abs();
            assert!(error <= 4.0 * f64::EPSILON * expected.abs(), "{} of {name}: {error}", field.name);
        }
        if index % 24 > 0 {
            let before = shown[index - 1];
            let new_row = index % 6 == 0;
            let follows = if new_row { field.y > before.y } else { field.x > before.x && field.y == before.y };
            assert!(follows, "{} doesn't follow {}", field.name, before.name);
        }
    }
}

#[test]
fn hues_lie_in_the_camera_gamut_at_the_level_of_grey() {
    let chart = chart(ChartKind::HueSweep, SIZE);
    assert_eq!(chart.fields.len(), 24 * 4);
    for field in &chart.fields {
        let mean = field.linear.iter().sum::<f64>() / 3.0;
        // Three roundings of a value near 0.18.
        assert!((mean - 0.18).abs() < 1e-15, "{}: mean {mean}", field.name);
        assert!(field.linear.iter().all(|&value| value >= 0.0), "{}: {:?}", field.name, field.linear);
    }
}

#[test]
fn light_that_the_encoding_cannot_hold_is_marked() {
    // S-Log3 reaches code 1023 at 0.19 · 10^(603 / 261.5) − 0.01 = 38.42, 7.74 stops, by Sony's formula.
    let chart = chart(ChartKind::GreyScale, SIZE);
    for field in &chart.fields {
        assert_eq!(field.clipped, field.stops > 7.74, "{}", field.name);
    }
    let broken = |_: Rgb| [f64::NAN, f64::INFINITY, f64::NEG_INFINITY];
    let chart = render(ChartKind::Sheet, &broken, &patches(), 1280, 720).expect("a frame, whatever the encoding gives");
    assert!(chart.fields.iter().all(|field| field.clipped && field.signal == [0.0, 1.0, 0.0]));
}

#[test]
fn the_sidecar_has_a_line_for_each_field() {
    let chart = chart(ChartKind::GreyScale, SIZE);
    let text = sidecar(&chart);
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines.len(), chart.fields.len() + 1);
    let columns = lines[0].split(',').count();
    assert!(lines.iter().all(|line| line.split(',').count() == columns), "every line has {columns} cells");
    let grey = lines.iter().find(|line| line.starts_with("grey 0,")).expect("the step at grey");
    assert!(grey.starts_with("grey 0,0,"), "{grey}");
    let (linear, signal) = ("0.180000000,0.180000000,0.180000000", "0.410557185,0.410557185,0.410557185");
    assert!(grey.ends_with(&format!(",{linear},{signal},420,420,420,no")), "{grey}");
}

#[test]
fn what_cannot_be_drawn_is_said() {
    let draw = |kind, patches: &[(String, Rgb)], width, height| render(kind, &s_log3, patches, width, height);
    let (code, text) = refusal(draw(ChartKind::Sheet, &patches(), 640, 360), "a small sheet");
    assert!(code == "LW0506" && text.contains("at least 1280 × 720"), "{code} {text}");
    let (_, text) = refusal(draw(ChartKind::GreyScale, &[], 40_000, 1000), "a wide frame");
    assert!(text.contains("too large") && text.contains("32768"), "{text}");
    let (_, text) = refusal(draw(ChartKind::Patches, &[], 1920, 1080), "no patches");
    assert!(text.contains("0 patches"), "{text}");
    let (_, text) = refusal(draw(ChartKind::PatchesAt(f64::NAN), &patches(), 1920, 1080), "no exposure");
    assert!(text.contains("-12 to +12"), "{text}");
    let odd = [("foam".to_owned(), [0.1, f64::NAN, 0.1])];
    let (_, text) = refusal(draw(ChartKind::Patches, &odd, 1920, 1080), "a patch that is no number");
    assert!(text.contains("foam"), "{text}");
    assert!(draw(ChartKind::GreyScale, &[], 1920, 1080).is_ok(), "a grey scale needs no patches");
    let many: Vec<_> = (0..240).map(|index| (format!("p{index}"), [0.1; 3])).collect();
    assert!(draw(ChartKind::Patches, &many, 640, 360).is_ok(), "the most patches in the smallest frame");
}

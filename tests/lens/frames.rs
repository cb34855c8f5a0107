//! Frames through grades: what they keep, what they leave alone, and what becomes of samples that are no light.

use crate::{GRADES, floats, frame, gaussian, grade, mean, noise};
use lookwright::colour::encodings::Curve;
use lookwright::colour::encodings::{logc4::LOGC4, s_log3::S_LOG3};
use lookwright::colour::gamuts::{ACESCG, S_GAMUT3_CINE};
use lookwright::maths::GREY;
use lookwright::picture::lens::{Halo, Haze, Lens, LensFilter};
use lookwright::picture::{CODE16_MAX, Frame, SampleDepth, Samples};
use lookwright::plan::Camera;

/// What the contract promises of each channel's mean.
const ENERGY: f64 = 1e-6;

fn camera() -> Camera {
    Camera { curve: Curve::new(&S_LOG3, None).expect("it has one curve"), gamut: &S_GAMUT3_CINE }
}

/// Contents that make losing light easy: points at corners and edges, 16 stops between neighbours, noise about none.
fn contents(width: usize, height: usize) -> Vec<(&'static str, Frame)> {
    let corner = move |x: usize, y: usize| (x == 0 || x + 1 == width) && (y == 0 || y + 1 == height);
    let light = |on: bool| if on { 9000.0 } else { 0.001 };
    vec![
        ("one level", frame(width, height, |_, _, channel| [0.18, 0.017, 3.3][channel])),
        ("noise", frame(width, height, |x, y, channel| noise((y * width + x) * 3 + channel))),
        ("corners", frame(width, height, |x, y, _| light(corner(x, y)))),
        ("an edge", frame(width, height, |x, _, _| light(x == 0))),
        ("a ramp", frame(width, height, |x, y, _| (x + 2 * y + 1) as f64)),
        ("chequers", frame(width, height, |x, y, _| light((x / 5 + y / 3).is_multiple_of(2)))),
        ("noise about none", frame(width, height, |x, y, channel| noise((y * width + x) * 3 + channel) - 0.4)),
    ]
}

#[test]
fn each_channels_mean_stays() {
    let haze = Haze::new(0.3, 0.0).expect("possible");
    for (width, height) in [(1, 1), (1, 57), (57, 1), (2, 2), (7, 5), (97, 61), (320, 180), (33, 401)] {
        for (what, picture) in contents(width, height) {
            let lenses = GRADES.map(grade).into_iter().chain([Lens { haze, ..grade("1") }]);
            for lens in lenses.chain([0.002, 0.03, 0.5].map(|radius| gaussian(radius, 1))) {
                let seen = lens.on_light(&picture, &ACESCG).frame;
                for channel in 0..3 {
                    let (before, after) = (mean(&picture, channel), mean(&seen, channel));
                    let error = (after / before - 1.0).abs();
                    let name = lens.filter.name();
                    assert!(error < ENERGY, "{width} × {height}, {what}, {name}: {before} became {after}");
                }
            }
        }
    }
}

#[test]
fn light_that_is_even_stays_even() {
    let even = frame(50, 40, |_, _, channel| [0.2, 0.4, 0.6][channel]);
    for name in GRADES {
        let seen = grade(name).on_light(&even, &ACESCG).frame;
        for (found, wanted) in floats(&seen).iter().zip(floats(&even)) {
            assert!((found / wanted - 1.0).abs() < 1e-6, "{name}: {wanted} became {found}");
        }
    }
}

#[test]
fn a_lens_without_a_filter_changes_no_bit() {
    let zero = LensFilter::new("zero", &[Halo { share: 0.0, radius: 0.1 }], 0.0).expect("possible");
    let zero = Lens { filter: zero, haze: Haze::new(0.0, 1.0).expect("possible") };
    let odd = [0.1, f32::NAN, -0.0, f32::INFINITY, 1e-45, -3.0];
    let floats_in = Frame::from_floats(2, 1, false, odd.to_vec()).expect("a frame");
    let codes = Frame::from_eight_bit(2, 1, true, &[0, 7, 255, 9, 1, 2, 3, 4]).expect("a frame");
    for lens in [Lens::default(), zero] {
        assert!(lens.is_identity() && lens.label().is_none());
        for seen in [lens.on_light(&floats_in, &ACESCG), lens.on_log(&floats_in, &camera())] {
            let bits = |frame: &Frame| floats(frame).iter().map(|value| value.to_bits()).collect::<Vec<_>>();
            assert_eq!(bits(&seen.frame), bits(&floats_in));
        }
        assert_eq!(lens.on_log(&codes, &camera()).frame, codes);
    }
}

fn flipped(frame: &Frame, across: bool, down: bool) -> Frame {
    crate::frame(frame.width(), frame.height(), |x, y, channel| {
        let x = if across { frame.width() - 1 - x } else { x };
        let y = if down { frame.height() - 1 - y } else { y };
        frame.pixel(x, y).expect("in the frame")[channel]
    })
}

#[test]
fn a_flipped_picture_has_flipped_halos() {
    let picture = frame(121, 83, |x, y, channel| if noise(y * 121 + x) > 0.995 { 500.0 } else { noise(x + channel) });
    let lens = grade("1");
    let seen = lens.on_light(&picture, &ACESCG).frame;
    for (across, down) in [(true, false), (false, true), (true, true)] {
        let other = lens.on_light(&flipped(&picture, across, down), &ACESCG).frame;
        for (a, b) in floats(&flipped(&seen, across, down)).iter().zip(floats(&other)) {
            // Sums run the other way round: a few steps of 32 bits.
            assert!((a - b).abs() <= 1e-6 * a.abs(), "across {across}, down {down}: {a} and {b}");
        }
    }
}

#[test]
fn any_number_of_threads_gives_the_same_bits() {
    let picture = frame(333, 217, |x, y, channel| noise((y * 333 + x) * 3 + channel) * 40.0);
    let lens = Lens { haze: Haze::new(0.1, 0.5).expect("possible"), ..grade("1/2") };
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        pool.install(|| (lens.on_light(&picture, &ACESCG), lens.on_log(&picture, &camera())))
    };
    let alone = with(1);
    for threads in [2, 3, 7] {
        assert!(with(threads) == alone, "{threads} threads give another picture");
    }
}

#[test]
fn samples_without_light_are_held_and_counted() {
    let mut values = vec![0.18_f32; 40 * 30 * 3];
    values[0] = f32::NAN;
    values[301] = f32::INFINITY;
    values[602] = f32::NEG_INFINITY;
    values[604] = 50.0;
    let odd = Frame::from_floats(40, 30, false, values.clone()).expect("a frame");
    (values[0], values[301], values[602]) = (0.0, 50.0, 0.0);
    let held = Frame::from_floats(40, 30, false, values).expect("a frame");
    let seen = grade("1").on_light(&odd, &ACESCG);
    assert_eq!(seen.held_samples, 3);
    assert_eq!(seen.frame, grade("1").on_light(&held, &ACESCG).frame);
    assert!(floats(&seen.frame).iter().all(|value| value.is_finite()));
    let nothing = Frame::from_floats(1, 1, false, vec![f32::INFINITY; 3]).expect("a frame");
    assert_eq!(floats(&grade("1").on_light(&nothing, &ACESCG).frame), [0.0; 3], "no finite light to be like");
}

/// Noise about black is light as much as any other: it is spread as it is, and what a neighbour gives can be below none.
#[test]
fn light_below_none_is_kept() {
    let dip = frame(41, 41, |x, y, _| if (x, y) == (20, 20) { -1.0 } else { 0.0 });
    let seen = gaussian(2.0, 41).on_light(&dip, &ACESCG);
    let centre = seen.frame.pixel(20, 20).expect("in the frame")[1];
    assert!((centre + 1.0 / (8.0 * std::f64::consts::PI)).abs() < 1e-6, "found {centre}");
    assert_eq!(seen.held_samples, 0);
}

/// Log frames: decoded, filtered as light, encoded. Codes come back as 16-bit codes, alpha as it was.
#[test]
fn a_log_frame_is_filtered_as_light() {
    let curve = Curve::new(&LOGC4, None).expect("it has one curve");
    let camera = Camera { curve, gamut: &ACESCG };
    let light = frame(60, 40, |x, y, channel| if x / 6 == 4 && y > 20 { 12.0 } else { 0.01 * (channel + 1) as f64 });
    let log: Vec<f32> = floats(&light).iter().map(|&light| curve.encode(f64::from(light)) as f32).collect();
    let log = Frame::from_floats(60, 40, false, log).expect("a frame");
    let lens = Lens { haze: Haze::new(0.05, 1.0).expect("possible"), ..grade("1/2") };
    let wanted = lens.on_light(&light, &ACESCG).frame;
    let found = lens.on_log(&log, &camera).frame;
    for (found, wanted) in floats(&found).iter().zip(floats(&wanted)) {
        let back = curve.decode(f64::from(*found));
        assert!((back / f64::from(*wanted) - 1.0).abs() < 1e-5, "{wanted} came as {back}");
    }
    let codes = log.to_depth(SampleDepth::Sixteen).frame;
    let Samples::Codes(wanted) = found.to_depth(SampleDepth::Sixteen).frame.samples().clone() else { panic!("codes") };
    let seen = lens.on_log(&codes, &camera).frame;
    let Samples::Codes(found) = seen.samples() else { panic!("codes") };
    // Codes in and out are rounded once each.
    assert!(found.iter().zip(&wanted).all(|(a, b)| a.abs_diff(*b) <= 2), "codes and floats disagree");
    assert_eq!(seen.depth(), SampleDepth::Sixteen);
}

#[test]
fn alpha_stays_and_codes_at_the_end_are_counted() {
    let bytes: Vec<u8> =
        (0..30 * 20).flat_map(|pixel| [if pixel == 99 { 255 } else { 90 }, 80, 70, pixel as u8]).collect();
    let codes = Frame::from_eight_bit(30, 20, true, &bytes).expect("a frame");
    let seen = grade("1/4").on_log(&codes, &camera());
    assert_eq!((seen.samples_at_end, seen.held_samples), (1, 0));
    for y in 0..20 {
        assert!((0..30).all(|x| seen.frame.alpha(x, y) == codes.alpha(x, y)), "row {y}");
    }
    assert_eq!(codes.alpha(5, 0), Some(f64::from(5 * 257) / CODE16_MAX));
}

#[test]
fn haze_is_the_mean_from_its_own_colour_to_neutral() {
    let picture = frame(64, 36, |x, _, channel| if x < 32 { GREY / 64.0 } else { [0.3, 0.2, 0.1][channel] });
    let to_xyz = ACESCG.to_xyz();
    let means = [0, 1, 2].map(|channel| mean(&picture, channel));
    let luminance: f64 = (0..3).map(|channel| to_xyz[(1, channel)] * means[channel]).sum();
    for (neutral, wanted) in [(0.0, means), (1.0, [luminance; 3])] {
        let haze = Haze::new(0.25, neutral).expect("possible");
        let seen = Lens { haze, ..Lens::default() }.on_light(&picture, &ACESCG).frame;
        for (x, channel) in (0..64).flat_map(|x| [0, 1, 2].map(|channel| (x, channel))) {
            let before = picture.pixel(x, 9).expect("in the frame")[channel];
            let after = seen.pixel(x, 9).expect("in the frame")[channel];
            let error = after - (0.75 * before + 0.25 * wanted[channel]);
            assert!(error.abs() < 1e-7, "neutral {neutral}, column {x}, channel {channel}: {error:+.1e} off");
        }
    }
}

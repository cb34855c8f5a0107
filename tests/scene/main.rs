//! The test scene measured: its range and what has detail in it, its chart, its skins, and that it is the same everywhere.

mod command;
mod frames;

use frames::{SIZE, camera, chroma, luminance, mean, middle, scene, stops};
use lookwright::colour::adaptation::Adaptation;
use lookwright::colour::chart::{CHART, SKINS, to_linear};
use lookwright::colour::gamuts::ACESCG;
use lookwright::maths::{GREY, Rgb, exp2};
use lookwright::picture::scene::{SMALLEST_SIZE, camera_scene, recorded_by};
use lookwright::picture::{CODE16_MAX, Samples};
use sha2::{Digest, Sha256};

/// What the scene promises of itself: `docs/seeing.md`.
const DEEPEST: f64 = -7.0;
const BRIGHTEST: f64 = 6.0;
const RANGE: f64 = 14.0;

/// A square has detail where its parts differ by this share of their mean: more than the rendering's own noise (see
/// `flat_grey_has_no_detail`), less than any texture of the scene.
const DETAIL: f64 = 0.05;

/// The mean of a patch to its published reflectance. They are equal by construction; this is what 32-bit floats need, and
/// four orders below what was asked.
const PATCH: f64 = 1e-6;

/// The scene's small frame as bytes. Source: this program itself: it proves nothing about being right, only about being the
/// same with any number of threads, in debug and release builds, on every machine. Print the new one where the scene was
/// changed on purpose.
const SMALL_FRAME_SHA256: &str = "edcd3a93ba21f2e2c6090543b82acddb76a3d6bffb41066d32a5d03b567624ae";

/// Squares of the frame with detail: stops of their mean, for all.
fn squares_with_detail() -> Vec<f64> {
    let (side, parts) = (8, 4);
    let mut found = Vec::new();
    for y in (0..SIZE[1] - side).step_by(side) {
        for x in (0..SIZE[0] - side).step_by(side) {
            let part = |index: usize| {
                let (column, row) = (index % parts, index / parts);
                luminance(mean(scene(), [x + column * side / parts, y + row * side / parts], [side / parts; 2]))
            };
            let values: Vec<f64> = (0..parts * parts).map(part).collect();
            let middle = values.iter().sum::<f64>() / values.len() as f64;
            let variance =
                values.iter().map(|value| (value - middle) * (value - middle)).sum::<f64>() / values.len() as f64;
            // The darkest part must be light, not the edge of nothing.
            if variance.sqrt() > DETAIL * middle && values.iter().all(|&value| value > 0.2 * middle) {
                found.push(stops(middle));
            }
        }
    }
    found.sort_by(f64::total_cmp);
    found
}

#[test]
fn the_range_from_the_deepest_to_the_brightest_detail() {
    let squares = squares_with_detail();
    // Ten squares at either end, so that no single odd one makes the range.
    let (deepest, brightest) = (squares[9], squares[squares.len() - 10]);
    println!("{} squares with detail: {deepest:+.2} to {brightest:+.2} stops", squares.len());
    assert!(deepest <= DEEPEST, "the deepest detail lies at {deepest:+.2} stops");
    assert!(brightest >= BRIGHTEST, "the brightest detail lies at {brightest:+.2} stops");
    assert!(brightest - deepest >= RANGE, "{:.2} stops in all", brightest - deepest);
}

#[test]
fn flat_grey_has_no_detail() {
    let recorded =
        recorded_by(scene(), &camera("s-log3", "s-gamut3.cine"), Adaptation::Bradford, 0.0).expect("a frame");
    let card = recorded.fields.iter().find(|field| field.name == "grey card").expect("the card");
    for y in card.y..card.y + card.height {
        for x in card.x..card.x + card.width {
            let light = scene().pixel(x, y).expect("inside");
            assert!(light.iter().all(|value| (value - GREY).abs() < 1e-7), "{light:?} at {x}, {y}");
        }
    }
    // The lit side of the ball: smooth, and near the card that faces the key.
    let ball = luminance(mean(scene(), middle([0.332, 0.790], 3), [7, 7]));
    assert!((-1.0..=0.2).contains(&stops(ball)), "the ball's key side lies at {:+.2} stops", stops(ball));
}

#[test]
fn patches_have_their_published_reflectances() {
    let cameras = [camera("s-log3", "s-gamut3.cine"), camera("v-log", "v-gamut")];
    for (camera, over) in cameras.iter().zip([0.0, -1.5]) {
        let recorded = recorded_by(scene(), camera, Adaptation::Bradford, over).expect("a frame");
        assert_eq!(recorded.fields.len(), CHART.len() + 1);
        for (patch, field) in CHART.iter().zip(&recorded.fields) {
            assert_eq!(field.name, patch.name);
            let expected = to_linear(patch, &ACESCG.from_xyz(), ACESCG.white_xyz(), Adaptation::Bradford);
            let (place, size) = ([field.x, field.y], [field.width, field.height]);
            let found = mean(scene(), place, size);
            let own = to_linear(patch, &camera.gamut.from_xyz(), camera.gamut.white_xyz(), Adaptation::Bradford);
            let code = mean(&recorded.frame, place, size);
            for channel in 0..3 {
                let error = (found[channel] / expected[channel] - 1.0).abs();
                assert!(error < PATCH, "{}: {found:?}, published {expected:?}", patch.name);
                // The recorded field: the camera's own curve of the same light, rounded to 16 bits.
                let signal = camera.curve.encode(own[channel] * exp2(over));
                let off = (code[channel] - signal).abs() * CODE16_MAX;
                assert!(off <= 0.51, "{}: channel {channel} is {off:.2} codes off", patch.name);
                assert!((field.signal[channel] - signal).abs() < 1e-9, "{}: {:?}", patch.name, field.signal);
            }
        }
    }
}

#[test]
fn skins_stand_in_order() {
    // The side of each forehead or cheek that the key reaches, from the lightest skin to the deepest.
    let places = [[0.412, 0.350], [0.157, 0.330], [0.548, 0.300], [0.660, 0.320]];
    let seen = places.map(|place| mean(scene(), middle(place, 2), [5, 5]));
    let skins: [Rgb; 4] =
        [0, 2, 3, 7].map(|skin| to_linear(&SKINS[skin], &ACESCG.from_xyz(), ACESCG.white_xyz(), Adaptation::Bradford));
    // Each stands in light of its own, so that their brightness has no order; their colours do, from the least to the most red.
    let (seen, own) = (seen.map(chroma), skins.map(chroma));
    for first in 0..4 {
        for second in 0..4 {
            let order = |of: &[[f64; 2]; 4]| of[first][0].total_cmp(&of[second][0]);
            assert_eq!(order(&seen), order(&own), "skins {first} and {second}: {seen:?}, their own {own:?}");
        }
    }
    for (seen, own) in seen.iter().zip(own) {
        // The windows' light reaches all of them a little, and none becomes redder than under the key alone.
        let bluer = own[0] - seen[0];
        assert!((0.0..0.05).contains(&bluer), "{seen:?} for {own:?}");
    }
}

#[test]
fn the_same_pixels_with_any_number_of_threads() {
    let size = [SMALLEST_SIZE.0, SMALLEST_SIZE.1];
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        let frame = pool.install(|| lookwright::picture::scene::scene(size)).expect("a small frame");
        let Samples::Floats(values) = frame.samples() else { panic!("scene light is floats") };
        values.iter().flat_map(|value| value.to_bits().to_le_bytes()).collect::<Vec<u8>>()
    };
    let (one, two) = (with(1), with(2));
    assert!(one == two, "two threads give other pixels than one");
    let hash: String = Sha256::digest(&one).iter().map(|byte| format!("{byte:02x}")).collect();
    assert_eq!(hash, SMALL_FRAME_SHA256, "the scene has changed");
}

#[test]
fn what_can_not_be_rendered_says_why() {
    let camera = camera("v-log", "v-gamut");
    for (size, over, said) in [
        ([319, 180], 0.0, "at least 320 × 180"),
        ([320, 179], 0.0, "at least 320 × 180"),
        ([40_000, 400], 0.0, "32768 pixels a side"),
        ([320, 180], 12.5, "-12 to +12"),
        ([320, 180], f64::NAN, "-12 to +12"),
    ] {
        let faults = camera_scene(&camera, Adaptation::Bradford, size, over).expect_err("impossible");
        let help = faults[0].help.join(" ");
        assert!(faults[0].code.id == "LW0506" && help.contains(said), "{size:?}, {over}: {help}");
    }
}

#[test]
fn other_shapes_of_frames_show_the_chart_too() {
    for size in [[640, 200], [320, 320]] {
        let recorded = camera_scene(&camera("v-log", "v-gamut"), Adaptation::Bradford, size, 0.0).expect("a frame");
        assert_eq!(recorded.fields.len(), CHART.len() + 1, "{size:?}");
        let white = recorded.fields.iter().find(|field| field.name == "white").expect("the white patch");
        let found = mean(&recorded.frame, [white.x, white.y], [white.width, white.height]);
        for channel in 0..3 {
            assert!(
                (found[channel] - white.signal[channel]).abs() < 1e-5,
                "{size:?}: {found:?} not {:?}",
                white.signal
            );
        }
    }
}

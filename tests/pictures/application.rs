//! A look applied to frames: the fast way against the definition in `f64`.

use crate::{codes, floats};
use lookwright::lut::{Domain, Interpolation, Table3};
use lookwright::picture::apply::{apply_function, apply_table};
use lookwright::picture::{Frame, SampleDepth};
use proptest::prelude::*;

/// The goal: nearest rounding may fall to either side where the exact value lies close to a half.
const MOST_CODES_OFF: u16 = 1;

/// How close to a half: 1/128 code of the nodes, and four roundings of a 24-bit blend.
const NEAR_A_HALF: f64 = 0.04;

fn scattered(seed: u64) -> impl FnMut() -> u64 {
    let mut state = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1;
    move || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        state
    }
}

/// A table of noise, the hardest there is: neighbouring nodes have nothing in common.
fn noise_table(size: usize, seed: u64, least: f64, span: f64) -> Table3 {
    let mut next = scattered(seed);
    let mut value = move || least + span * (next() >> 11) as f64 / (1u64 << 53) as f64;
    let nodes = (0..size * size * size).map(|_| [value(), value(), value()]).collect();
    Table3::new(size, Domain::UNIT, nodes).expect("a table")
}

/// Noise, in rows of 100 pixels.
fn noise_frame(pixels: usize, has_alpha: bool, seed: u64) -> Frame {
    let mut next = scattered(seed);
    let samples = pixels * if has_alpha { 4 } else { 3 };
    let codes = (0..samples).map(|_| next() as u16).collect();
    Frame::from_sixteen_bit(100, pixels / 100, has_alpha, codes).expect("whole rows")
}

/// Indices of all nodes, red fastest.
fn each_node(size: usize) -> impl Iterator<Item = [usize; 3]> {
    (0..size * size * size).map(move |index| [index % size, index / size % size, index / size / size])
}

fn signal(pixel: &[u16]) -> [f64; 3] {
    [0, 1, 2].map(|channel| f64::from(pixel[channel]) / 65_535.0)
}

/// Tetrahedral interpolation written out by its six cases, in `f64` (the common textbook form, from memory):
/// independent of the fast path and of the table's own sampling.
fn six_tetrahedra(table: &Table3, rgb: [f64; 3]) -> [f64; 3] {
    let cells = table.size() - 1;
    let place = rgb.map(|value| value.clamp(0.0, 1.0) * cells as f64);
    let low = place.map(|value| (value as usize).min(cells - 1));
    let [r, g, b] = [0, 1, 2].map(|axis| place[axis] - low[axis] as f64);
    let corner = |x: usize, y: usize, z: usize| table.node(low[0] + x, low[1] + y, low[2] + z);
    let (black, white) = (corner(0, 0, 0), corner(1, 1, 1));
    let (first, second, [large, middle, small]) = if r > g {
        if g > b {
            (corner(1, 0, 0), corner(1, 1, 0), [r, g, b])
        } else if r > b {
            (corner(1, 0, 0), corner(1, 0, 1), [r, b, g])
        } else {
            (corner(0, 0, 1), corner(1, 0, 1), [b, r, g])
        }
    } else if b > g {
        (corner(0, 0, 1), corner(0, 1, 1), [b, g, r])
    } else if b > r {
        (corner(0, 1, 0), corner(0, 1, 1), [g, b, r])
    } else {
        (corner(0, 1, 0), corner(1, 1, 0), [g, r, b])
    };
    [0, 1, 2].map(|c| {
        (1.0 - large) * black[c] + (large - middle) * first[c] + (middle - small) * second[c] + small * white[c]
    })
}

/// Compares a result with the reference; gives the number of samples that differ.
fn compare(table: &Table3, frame: &Frame, result: &Frame, what: &str) -> usize {
    let channels = frame.channels();
    let mut different = 0;
    for (index, (input, output)) in codes(frame).chunks(channels).zip(codes(result).chunks(channels)).enumerate() {
        let exact = six_tetrahedra(table, signal(input));
        for channel in 0..3 {
            let exact = exact[channel].clamp(0.0, 1.0) * 65_535.0;
            let found = output[channel];
            let off = found.abs_diff((exact + 0.5).floor() as u16);
            let place = format!("{what}, pixel {index} {input:?}, channel {channel}: {found}, exactly {exact}");
            assert!(off <= MOST_CODES_OFF, "{place}: {off} codes off");
            if off > 0 {
                assert!((exact.fract() - 0.5).abs() <= NEAR_A_HALF, "{place}: not near a half");
                different += 1;
            }
        }
        assert_eq!(input[3..], output[3..], "{what}, pixel {index}: alpha changed");
    }
    different
}

#[test]
fn fast_application_agrees_with_the_definition() {
    for size in [2, 3, 17, 33, 64, 65, 129] {
        for has_alpha in [false, true] {
            let table = noise_table(size, size as u64, 0.0, 1.0);
            let frame = noise_frame(40_000, has_alpha, 7 + size as u64);
            let applied = apply_table(&frame, &table, Interpolation::Tetrahedral);
            let different = compare(&table, &frame, &applied.frame, &format!("{size} points, alpha {has_alpha}"));
            assert_eq!((applied.clamped_inputs, applied.clamped_outputs), (0, 0), "{size} points");
            // A node is cut by 1/256 code on average, which takes that part of the values across a half: 469 of 120000.
            assert!(different < 120_000 / 256, "{size} points: {different} of 120000 samples are a code off");
        }
    }
}

#[test]
fn equal_channels_and_ends_agree_with_the_definition() {
    let table = noise_table(33, 5, 0.0, 1.0);
    let greys = (0..=u16::MAX).flat_map(|code| [code; 3]);
    let pairs = (0..=u16::MAX).flat_map(|code| [code, code, u16::MAX - code]);
    let ends = (0..=u16::MAX).flat_map(|code| [0, code, u16::MAX]);
    let samples: Vec<u16> = greys.chain(pairs).chain(ends).collect();
    let frame = Frame::from_sixteen_bit(1024, 192, false, samples).expect("a frame");
    compare(&table, &frame, &apply_table(&frame, &table, Interpolation::Tetrahedral).frame, "greys, pairs and ends");
}

/// 65535 is 3 · 5 · 17 · 257, so that tables of 2, 4, 6, 16, 18, 52, 86 … points have all their nodes on 16-bit codes.
#[test]
fn nodes_are_exact() {
    for size in [2usize, 4, 6, 16, 18, 52, 86] {
        let table = noise_table(size, 3, 0.0, 1.0);
        let step = 65_535 / (size - 1);
        let samples = each_node(size).flatten().map(|index| (index * step) as u16).collect();
        let frame = Frame::from_sixteen_bit(size * size, size, false, samples).expect("a frame");
        let applied = apply_table(&frame, &table, Interpolation::Tetrahedral);
        for (index, (found, node)) in codes(&applied.frame).chunks(3).zip(table.nodes()).enumerate() {
            let expected = node.map(|value| (value * 65_535.0 + 0.5).floor() as u16);
            assert_eq!(found, expected, "node {index} of {size} points a side");
        }
    }
}

#[test]
fn the_identity_changes_no_code() {
    for size in [2, 17, 33, 65] {
        let last = (size - 1) as f64;
        let nodes = each_node(size).map(|node| node.map(|index| index as f64 / last)).collect();
        let table = Table3::new(size, Domain::UNIT, nodes).expect("a table");
        let frame = noise_frame(65_500, false, 11);
        let applied = apply_table(&frame, &table, Interpolation::Tetrahedral);
        assert_eq!(codes(&applied.frame), codes(&frame), "{size} points");
    }
}

#[test]
fn results_outside_the_codes_are_clamped_and_counted() {
    for (least, span) in [(-0.5, 2.0), (-3.0, 6.0)] {
        let table = noise_table(9, 4, least, span);
        let frame = noise_frame(20_000, false, 8);
        let applied = apply_table(&frame, &table, Interpolation::Tetrahedral);
        compare(&table, &frame, &applied.frame, &format!("nodes from {least}"));
        let exact: Vec<f64> = codes(&frame).chunks(3).flat_map(|rgb| six_tetrahedra(&table, signal(rgb))).collect();
        // Results within 0.04 code of an end may fall to either side of it.
        let outside = |margin: f64| {
            let margin = margin / 65_535.0;
            exact.iter().filter(|value| **value < -margin || **value > 1.0 + margin).count() as u64
        };
        let (fewest, most, counted) = (outside(NEAR_A_HALF), outside(-NEAR_A_HALF), applied.clamped_outputs);
        assert!(fewest > 1000 && (fewest..=most).contains(&counted), "{counted} counted, {fewest} to {most} outside");
    }
}

#[test]
fn other_tables_and_depths_follow_the_tables_own_sampling() {
    let frame = noise_frame(2000, true, 2);
    let unit = noise_table(5, 1, 0.0, 1.0);
    let domain = Domain { min: [-0.5, 0.0, 0.25], max: [1.5, 1.0, 0.5] };
    let other = Table3::new(5, domain, unit.nodes().to_vec()).expect("a table");
    for (table, interpolation) in
        [(&unit, Interpolation::Trilinear), (&other, Interpolation::Tetrahedral), (&other, Interpolation::Trilinear)]
    {
        let applied = apply_table(&frame, table, interpolation);
        for (input, output) in codes(&frame).chunks(4).zip(codes(&applied.frame).chunks(4)) {
            let exact = table.sample(signal(input), interpolation);
            let expected = exact.map(|value| (value * 65_535.0 + 0.5).floor() as u16);
            assert_eq!(output[..3], expected, "{interpolation:?}, pixel {input:?}");
            assert_eq!(output[3], input[3], "alpha of pixel {input:?}");
        }
    }
    let eight = Frame::from_eight_bit(1, 1, false, &[0, 128, 255]).expect("a frame");
    let applied = apply_table(&eight, &unit, Interpolation::Tetrahedral);
    assert_eq!(applied.frame.depth(), SampleDepth::Sixteen, "a look needs more steps than 8 bits have");
}

#[test]
fn floats_are_clamped_before_a_table_and_counted() {
    let values = vec![-1.0, 0.25, 2.0, f32::NAN, f32::INFINITY, 1.0];
    let frame = Frame::from_floats(2, 1, false, values).expect("a frame");
    let table = noise_table(9, 6, -2.0, 4.0);
    let applied = apply_table(&frame, &table, Interpolation::Tetrahedral);
    assert_eq!((applied.clamped_inputs, applied.clamped_outputs), (4, 0));
    let expected = [[0.0, 0.25, 1.0], [0.0, 1.0, 1.0]].map(|rgb| table.sample(rgb, Interpolation::Tetrahedral));
    for (found, exact) in floats(&applied.frame).iter().zip(expected.iter().flatten()) {
        assert_eq!(*found, *exact as f32);
    }
}

#[test]
fn a_function_sees_the_signal_and_is_rounded_to_the_nearest() {
    let frame = noise_frame(50_000, true, 9);
    let same = apply_function(&frame, |rgb| rgb);
    assert_eq!((&same.frame, same.clamped_outputs), (&frame, 0));
    let applied = apply_function(&frame, |[r, g, b]| [b * 2.0, r - 2.0, if g < 0.5 { f64::NAN } else { g }]);
    let mut outside = 0;
    for (input, output) in codes(&frame).chunks(4).zip(codes(&applied.frame).chunks(4)) {
        let not_a_number = input[1] < 32_768;
        outside += u64::from(input[2] > 32_767) + 1 + u64::from(not_a_number);
        let expected = [input[2].saturating_mul(2), 0, if not_a_number { 0 } else { input[1] }, input[3]];
        assert_eq!(output, expected, "pixel {input:?}");
    }
    assert_eq!(applied.clamped_outputs, outside);
}

#[test]
fn the_number_of_threads_changes_nothing() {
    let frame = noise_frame(100_000, false, 3);
    let table = noise_table(17, 2, -0.2, 1.4);
    let with_threads = |count| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(count).build().expect("a pool");
        pool.install(|| apply_table(&frame, &table, Interpolation::Tetrahedral))
    };
    assert_eq!(with_threads(1), with_threads(5));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]
    #[test]
    fn any_size_agrees_with_the_definition(size in 2usize..40, seed: u64, has_alpha: bool) {
        let table = noise_table(size, seed, 0.0, 1.0);
        let frame = noise_frame(500, has_alpha, seed ^ 1);
        let applied = apply_table(&frame, &table, Interpolation::Tetrahedral);
        compare(&table, &frame, &applied.frame, &format!("{size} points"));
    }
}

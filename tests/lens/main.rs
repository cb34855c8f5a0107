//! What hangs before the camera, on stills: energy, the shape of the blur, grades, haze, labels.

#[path = "../common/mod.rs"]
mod common;

mod blur;
mod frames;
mod labels;
mod words;

use lookwright::picture::lens::{Halo, Haze, Lens, LensFilter};
use lookwright::picture::{Frame, Samples};

const GRADES: [&str; 5] = ["1/8", "1/4", "1/2", "1", "2"];

fn grade(name: &str) -> Lens {
    Lens { filter: LensFilter::grade(name).expect("a grade"), haze: Haze::default() }
}

/// A lens whose one halo takes all the light, with σ in pixels.
fn gaussian(sigma: f64, height: usize) -> Lens {
    let halo = Halo { share: 1.0, radius: sigma / height as f64 };
    Lens { filter: LensFilter::new("one", &[halo], 0.0).expect("possible"), haze: Haze::default() }
}

fn floats(frame: &Frame) -> &[f32] {
    match frame.samples() {
        Samples::Floats(values) => values,
        Samples::Codes(_) => panic!("expected floats, found codes"),
    }
}

/// A frame of scene light from a function of column, row and channel.
fn frame(width: usize, height: usize, light: impl Fn(usize, usize, usize) -> f64) -> Frame {
    let place = |index: usize| light(index / 3 % width, index / 3 / width, index % 3) as f32;
    Frame::from_floats(width, height, false, (0..width * height * 3).map(place).collect()).expect("a frame")
}

/// Mean of a channel.
fn mean(frame: &Frame, channel: usize) -> f64 {
    let values: Vec<f64> = floats(frame).iter().skip(channel).step_by(3).map(|&value| f64::from(value)).collect();
    values.iter().sum::<f64>() / values.len() as f64
}

/// Numbers 0..1 that look random and are the same each time.
fn noise(seed: usize) -> f64 {
    let mut state = (seed as u64).wrapping_add(1).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    state = (state ^ (state >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    state = (state ^ (state >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    ((state ^ (state >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
}

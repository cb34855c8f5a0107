//! The scene, rendered once for all tests, and means over its pixels.

use lookwright::colour::encodings::{self, Curve};
use lookwright::colour::gamuts::{self, ACESCG};
use lookwright::colour::whites::Chromaticity;
use lookwright::maths::{Rgb, stops_from_grey};
use lookwright::picture::Frame;
use lookwright::plan::Camera;
use nalgebra::Vector3;
use std::sync::OnceLock;

/// Small, but large enough for every texture to be seen.
pub const SIZE: [usize; 2] = [640, 360];

/// The scene in ACEScg.
pub fn scene() -> &'static Frame {
    static SCENE: OnceLock<Frame> = OnceLock::new();
    SCENE.get_or_init(|| lookwright::picture::scene::scene(SIZE).expect("a possible size"))
}

pub fn camera(encoding: &str, gamut: &str) -> Camera {
    let encoding = encodings::find(encoding).expect("a known encoding");
    Camera {
        curve: Curve::new(encoding, None).expect("no index needed"),
        gamut: gamuts::find(gamut).expect("a known gamut"),
    }
}

/// The mean of a rectangle of pixels.
pub fn mean(frame: &Frame, [x, y]: [usize; 2], [width, height]: [usize; 2]) -> Rgb {
    let mut sum = [0.0; 3];
    for row in y..y + height {
        for column in x..x + width {
            let pixel = frame.pixel(column, row).expect("inside the frame");
            for channel in 0..3 {
                sum[channel] += pixel[channel];
            }
        }
    }
    sum.map(|total| total / (width * height) as f64)
}

/// The upper left corner of a square of `2 · reach + 1` pixels around a place given as shares of the frame.
pub fn middle([across, down]: [f64; 2], reach: usize) -> [usize; 2] {
    [(across * SIZE[0] as f64) as usize - reach, (down * SIZE[1] as f64) as usize - reach]
}

/// Y of ACEScg.
pub fn luminance(light: Rgb) -> f64 {
    (ACESCG.to_xyz() * Vector3::from(light)).y
}

pub fn stops(luminance: f64) -> f64 {
    stops_from_grey(luminance)
}

/// x and y.
pub fn chroma(light: Rgb) -> [f64; 2] {
    let found = Chromaticity::from_xyz(ACESCG.to_xyz() * Vector3::from(light));
    [found.x, found.y]
}

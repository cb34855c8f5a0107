//! Frames whose scopes are known, and one that looks like a photograph.

use crate::common::{Row, csv};
use lookwright::colour::encodings::{Curve, find};
use lookwright::colour::gamuts;
use lookwright::picture::Frame;
use lookwright::picture::scopes::LumaCoding;
use lookwright::plan::Camera;

/// Pixels of a bar across and down.
pub const BAR: [usize; 2] = [16, 9];

/// A colour of `bars_ycbcr.csv`.
pub struct Bar {
    pub name: String,
    pub percent: u32,
    /// Ten-bit narrow-range codes.
    pub rgb: [f64; 3],
    pub y: usize,
    pub chroma: [usize; 2],
    pub degrees: f64,
    pub magnitude: f64,
}

/// The colours of a coding; `percent` 0 are those that are no bars.
pub fn bars(coding: LumaCoding) -> Vec<Bar> {
    let table = csv("bars_ycbcr.csv");
    let bar = |row: Row| Bar {
        name: row.text("name").to_owned(),
        percent: row.value("percent"),
        rgb: row.numbers(["r", "g", "b"]),
        y: row.value("y"),
        chroma: [row.value("cb"), row.value("cr")],
        degrees: row.number("degrees"),
        magnitude: row.number("magnitude"),
    };
    table.rows_where("coding", coding.name()).map(bar).collect()
}

/// A frame with a column of [`BAR`] pixels for each signal (fractions of full scale), as 16-bit codes.
pub fn columns(signals: &[[f64; 3]]) -> Frame {
    let code = |signal: f64| (signal * 65_535.0).round() as u16;
    let row: Vec<u16> = signals.iter().flat_map(|signal| signal.map(code).repeat(BAR[0])).collect();
    Frame::from_sixteen_bit(signals.len() * BAR[0], BAR[1], false, row.repeat(BAR[1])).expect("bars")
}

/// The bars as a signal with legal levels, and as one with full levels.
pub fn legal(bar: &Bar) -> [f64; 3] {
    bar.rgb.map(|code| code / 1023.0)
}

pub fn full(bar: &Bar) -> [f64; 3] {
    bar.rgb.map(|code| (code - 64.0) / 876.0)
}

/// Numbers without a pattern, 0..1.
pub fn scattered(seed: u64) -> impl FnMut() -> f64 {
    let mut state = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1;
    move || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// A camera of this test.
pub fn camera(encoding: &str, exposure_index: Option<u32>, gamut: &str) -> Camera {
    let curve = Curve::new(find(encoding).expect(encoding), exposure_index).expect(encoding);
    Camera { curve, gamut: gamuts::find(gamut).expect(gamut) }
}

/// Something like a photograph, in a camera's log: a sky that fades, water with glints, a face's oval, a lamp beyond clip, noise.
pub fn photograph(camera: &Camera, width: usize, height: usize) -> Frame {
    let mut noise = scattered(7);
    let mut codes = Vec::with_capacity(width * height * 3);
    for row in 0..height {
        for column in 0..width {
            let (x, y) = (column as f64 / width as f64, row as f64 / height as f64);
            let from = |cx: f64, cy: f64| ((x - cx) * 1.78 * (x - cx) * 1.78 + (y - cy) * (y - cy)).sqrt();
            let mut light = if y < 0.45 {
                let fade = 0.25 + 1.6 * y;
                [0.30 * fade, 0.42 * fade, 0.75 * fade]
            } else {
                let wave = if noise() > 0.985 { 6.0 } else { 0.6 + noise() };
                [0.020 * wave, 0.034 * wave, 0.045 * wave]
            };
            if from(0.35, 0.55) < 0.22 {
                let shade = 1.3 - x;
                light = [0.42 * shade, 0.25 * shade, 0.17 * shade];
            }
            if (0.62..0.8).contains(&x) && (0.5..0.9).contains(&y) {
                light = [0.35 * (1.1 - y), 0.03, 0.02];
            }
            let lamp = from(0.8, 0.25);
            if lamp < 0.05 {
                light = [90.0, 70.0, 40.0];
            } else if lamp < 0.2 {
                let glow = (0.2 - lamp) * 8.0;
                light = [light[0] + glow, light[1] + 0.7 * glow, light[2] + 0.3 * glow];
            }
            for value in light {
                let grain = (noise() + noise() - 1.0) * 0.02;
                codes.push(((camera.curve.encode(value * (1.0 + grain)).clamp(0.0, 1.0)) * 65_535.0).round() as u16);
            }
        }
    }
    Frame::from_sixteen_bit(width, height, false, codes).expect("a photograph")
}

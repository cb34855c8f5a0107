//! The look of `tests/data/looks/tone-only.toml` written the plain way, with std's mathematical functions: the measure
//! for what our own, deterministic functions cost. The equations are those of `docs/look-maths.md`.

#![allow(clippy::disallowed_methods, reason = "the peer is std's mathematics")]

use lookwright::colour::adaptation::Adaptation;
use lookwright::colour::gamuts;
use lookwright::pipeline::{camera_to_acescg, transform};
use nalgebra::Matrix3;

type Rgb = [f64; 3];

/// S-Log3, decode (the maker's formula).
fn decode(code: f64) -> f64 {
    if code >= 171.2102946929 / 1023.0 {
        10f64.powf((code * 1023.0 - 420.0) / 261.5) * (0.18 + 0.01) - 0.01
    } else {
        (code * 1023.0 - 95.0) * 0.01125 / (171.2102946929 - 95.0)
    }
}

/// ACES Reference Gamut Compression.
struct InputCompression {
    scale: Rgb,
}

const LIMIT: Rgb = [1.147, 1.264, 1.312];
const THRESHOLD: Rgb = [0.815, 0.803, 0.880];
const POWER: f64 = 1.2;

impl InputCompression {
    fn new() -> Self {
        let scale = [0, 1, 2].map(|i| {
            let (l, t) = (LIMIT[i], THRESHOLD[i]);
            (l - t) / (((1.0 - t) / (l - t)).powf(-POWER) - 1.0).powf(1.0 / POWER)
        });
        Self { scale }
    }

    fn apply(&self, x: Rgb) -> Rgb {
        let a = x[0].max(x[1]).max(x[2]);
        if a == 0.0 {
            return [0.0; 3];
        }
        [0, 1, 2].map(|i| {
            let d = (a - x[i]) / a.abs();
            if d < THRESHOLD[i] {
                return x[i];
            }
            let n = (d - THRESHOLD[i]) / self.scale[i];
            a - (THRESHOLD[i] + self.scale[i] * n / (1.0 + n.powf(POWER)).powf(1.0 / POWER)) * a.abs()
        })
    }
}

/// The tone curve with the defaults of the language.
struct Tone {
    flare: f64,
    span: f64,
    kappa: f64,
    grey: f64,
    rise: f64,
    fall: f64,
}

const CONTRAST: f64 = 1.35;
const WHITE_STOPS: f64 = 6.0;
const BLACK_STOPS: f64 = 8.0;
const STRAIGHT_UP: f64 = 0.5;
const STRAIGHT_DOWN: f64 = 1.0;
const BLACK: f64 = 0.0005;

fn rational_quadratic(u: f64, length: f64, height: f64) -> f64 {
    let (xi, sigma) = (u / length, height / length);
    let bend = xi * (1.0 - xi);
    height * (sigma * xi * xi + CONTRAST * bend) / (sigma + (CONTRAST - 2.0 * sigma) * bend)
}

impl Tone {
    fn new() -> Self {
        let flare = 0.18 * (-BLACK_STOPS).exp2() / (1.0 - (-BLACK_STOPS).exp2());
        let span = ((0.18 * WHITE_STOPS.exp2() + flare) / (0.18 + flare)).log2();
        let kappa = BLACK.powf(1.0 / 2.4);
        let grey = (0.10f64.powf(1.0 / 2.4) * (1.0 - kappa) + kappa).powf(2.4);
        Self { flare, span, kappa, grey, rise: (1.0 / grey).log2(), fall: (grey / BLACK).log2() }
    }

    fn apply(&self, x: f64) -> f64 {
        let s = if x > 0.0 { ((x + self.flare) / (0.18 + self.flare)).log2() } else { -BLACK_STOPS };
        if s <= -BLACK_STOPS {
            return 0.0;
        }
        if s >= self.span {
            return 1.0;
        }
        let half = |distance: f64, straight: f64, span: f64, total: f64| {
            let line = CONTRAST * straight;
            if distance <= straight {
                CONTRAST * distance
            } else {
                line + rational_quadratic(distance - straight, span - straight, total - line)
            }
        };
        let e = if s >= 0.0 {
            half(s, STRAIGHT_UP, self.span, self.rise)
        } else {
            -half(-s, STRAIGHT_DOWN, BLACK_STOPS, self.fall)
        };
        let v = ((self.grey * e.exp2()).powf(1.0 / 2.4) - self.kappa) / (1.0 - self.kappa);
        v.max(0.0).powf(2.4)
    }
}

/// Compression into the display's gamut with the defaults of the language.
fn compress_output(rgb: Rgb, luminance: Rgb) -> Rgb {
    let knee = |r: f64| {
        if r < 0.9 {
            return r;
        }
        let z = (r - 0.9) / 0.1;
        0.9 + 0.1 * z / (1.0 + z.powf(1.2)).powf(1.0 / 1.2)
    };
    let a = rgb[0].max(rgb[1]).max(rgb[2]);
    if a == 0.0 {
        return [0.0; 3];
    }
    let inside = rgb.map(|c| a - knee((a - c) / a.abs()) * a.abs());
    let y = (luminance[0] * inside[0] + luminance[1] * inside[1] + luminance[2] * inside[2]).clamp(0.0, 1.0);
    if y == 1.0 {
        return [1.0; 3];
    }
    let rho = (inside[0].max(inside[1]).max(inside[2]) - y) / (1.0 - y);
    if rho > 0.9 { inside.map(|c| y + knee(rho) / rho * (c - y)) } else { inside }
}

/// The table, red fastest.
pub fn table(size: usize) -> Vec<Rgb> {
    let found = |name| gamuts::find(name).expect("a gamut of the language");
    let (camera, display) = (found("s-gamut3.cine"), found("bt709"));
    let to_ap1 = camera_to_acescg(camera, Adaptation::Bradford);
    let to_display = display_from_acescg(camera, display, &to_ap1);
    let row = display.to_xyz().row(1).into_owned();
    let (compression, tone) = (InputCompression::new(), Tone::new());
    let axis: Vec<f64> = (0..size).map(|index| decode(index as f64 / (size - 1) as f64)).collect();
    let mut nodes = Vec::with_capacity(size * size * size);
    for &b in &axis {
        for &g in &axis {
            for &r in &axis {
                let scene = compression.apply(transform(&to_ap1, [r, g, b]));
                let shown = transform(&to_display, scene.map(|x| tone.apply(x)));
                let shown = compress_output(shown, [row[0], row[1], row[2]]);
                nodes.push(shown.map(|c| if c.abs() < 1e-12 { 0.0 } else { c.clamp(0.0, 1.0).powf(1.0 / 2.4) }));
            }
        }
    }
    nodes
}

/// ACEScg → display, by way of the camera's gamut: both have the white D65, so that nothing is adapted between them.
fn display_from_acescg(camera: &gamuts::Gamut, display: &gamuts::Gamut, to_ap1: &Matrix3<f64>) -> Matrix3<f64> {
    let back = to_ap1.try_inverse().expect("gamut matrices can be inverted");
    display.from_xyz() * camera.to_xyz() * back
}

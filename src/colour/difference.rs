//! CIELAB and colour differences.

use crate::maths::{Rgb, atan2, cbrt, cos, exp, sin};
use core::f64::consts::PI;

/// A colour in CIELAB.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lab {
    /// Lightness L*, 0 black to 100 white.
    pub l: f64,
    /// a*, > 0 reddish, < 0 greenish.
    pub a: f64,
    /// b*, > 0 yellowish, < 0 bluish.
    pub b: f64,
}

/// Where the cube root of CIELAB gives way to a straight line. Source: CIE 015:2004, section 8.2.1 (from memory).
const LINEAR_BELOW: f64 = (24.0 / 116.0) * (24.0 / 116.0) * (24.0 / 116.0);

/// Slope of that line.
const LINEAR_SLOPE: f64 = 841.0 / 108.0;

/// Value of that line at 0.
const LINEAR_OFFSET: f64 = 16.0 / 116.0;

/// 25⁷, against which CIEDE2000 weighs chroma.
const TWENTY_FIVE_TO_THE_SEVENTH: f64 = 6_103_515_625.0;

/// CIELAB of XYZ, seen under `white`, both to the same scale.
///
/// Negative values follow the straight line below black. A white with a component of 0 gives values that are not
/// finite. Source: CIE 015:2004, Colorimetry.
#[must_use]
pub fn xyz_to_lab(xyz: Rgb, white: Rgb) -> Lab {
    let [x, y, z] = [0, 1, 2].map(|channel| {
        let ratio = xyz[channel] / white[channel];
        if ratio > LINEAR_BELOW { cbrt(ratio) } else { LINEAR_SLOPE * ratio + LINEAR_OFFSET }
    });
    Lab { l: 116.0 * y - 16.0, a: 500.0 * (x - y), b: 200.0 * (y - z) }
}

/// XYZ of CIELAB seen under `white`, to the scale of `white`: the inverse of [`xyz_to_lab`].
#[must_use]
pub const fn lab_to_xyz(lab: Lab, white: Rgb) -> Rgb {
    let y = (lab.l + 16.0) / 116.0;
    let x = y + lab.a / 500.0;
    let z = y - lab.b / 200.0;
    [white[0] * lab_ratio(x), white[1] * lab_ratio(y), white[2] * lab_ratio(z)]
}

const fn lab_ratio(root: f64) -> f64 {
    if root > 24.0 / 116.0 { root * root * root } else { (root - LINEAR_OFFSET) / LINEAR_SLOPE }
}

/// CIE 1976 colour difference: the distance in CIELAB. Source: CIE 015:2004.
#[must_use]
pub fn delta_e_76(a: Lab, b: Lab) -> f64 {
    let (dl, da, db) = (a.l - b.l, a.a - b.a, a.b - b.b);
    (dl * dl + da * da + db * db).sqrt()
}

/// CIEDE2000 colour difference with all parametric factors 1. Symmetric; 0 only for equal colours; NaN in, NaN out.
///
/// Source: Sharma, Wu and Dalal (2005), The CIEDE2000 color-difference formula: Implementation notes, supplementary
/// test data, and mathematical observations, Color Res. Appl. 30(1); the formula of CIE 142-2001. Where two hues lie
/// exactly opposite, the decision which way the mean goes is taken from the cross product, not from rounded angles.
#[must_use]
pub fn ciede2000(first: Lab, second: Lab) -> f64 {
    let mean_chroma = (chroma(first.a, first.b) + chroma(second.a, second.b)) / 2.0;
    let stretch = 1.0 + 0.5 * (1.0 - chroma_weight(mean_chroma));
    let (a1, a2) = (first.a * stretch, second.a * stretch);
    let (c1, c2) = (chroma(a1, first.b), chroma(a2, second.b));
    let (hue_difference, mean_hue) = hues([a1, first.b, c1], [a2, second.b, c2]);

    let lightness = second.l - first.l;
    let chroma_step = c2 - c1;
    let hue_step = 2.0 * (c1 * c2).sqrt() * sin(radians(hue_difference / 2.0));

    let from_middle = (first.l + second.l) / 2.0 - 50.0;
    let square = from_middle * from_middle;
    let mean_c = (c1 + c2) / 2.0;
    let lightness_weight = 1.0 + 0.015 * square / (20.0 + square).sqrt();
    let chroma_scale = 1.0 + 0.045 * mean_c;
    let hue_scale = 1.0 + 0.015 * mean_c * hue_factor(mean_hue);

    let l = lightness / lightness_weight;
    let c = chroma_step / chroma_scale;
    let h = hue_step / hue_scale;
    let sum = l * l + c * c + h * h + rotation(mean_hue, mean_c) * c * h;
    // The rotation is never below −2, so only rounding can bring the sum below 0.
    if sum < 0.0 { 0.0 } else { sum.sqrt() }
}

fn chroma(a: f64, b: f64) -> f64 {
    (a * a + b * b).sqrt()
}

fn radians(degrees: f64) -> f64 {
    degrees * (PI / 180.0)
}

/// √(C⁷ / (C⁷ + 25⁷)).
fn chroma_weight(chroma: f64) -> f64 {
    let cube = chroma * chroma * chroma;
    let seventh = cube * cube * chroma;
    (seventh / (seventh + TWENTY_FIVE_TO_THE_SEVENTH)).sqrt()
}

/// Hue difference (−180..180) and mean hue (0..360) in degrees, of two colours given as a′, b and C′.
fn hues(first: [f64; 3], second: [f64; 3]) -> (f64, f64) {
    let hue = |[a, b, chroma]: [f64; 3]| {
        let degrees = if chroma == 0.0 { 0.0 } else { atan2(b, a) * (180.0 / PI) };
        if degrees < 0.0 { degrees + 360.0 } else { degrees }
    };
    let (h1, h2) = (hue(first), hue(second));
    if first[2] == 0.0 || second[2] == 0.0 {
        return (0.0, h1 + h2);
    }
    let difference = h2 - h1;
    let cross = first[0] * second[1] - second[0] * first[1];
    // The sine of the difference has the sign of the cross product: within half a circle the two signs agree.
    if difference * cross >= 0.0 {
        return (difference, (h1 + h2) / 2.0);
    }
    let wrapped = if difference > 0.0 { difference - 360.0 } else { difference + 360.0 };
    let turn = if h1 + h2 < 360.0 { 360.0 } else { -360.0 };
    (wrapped, (h1 + h2 + turn) / 2.0)
}

/// T of the formula.
fn hue_factor(hue: f64) -> f64 {
    1.0 - 0.17 * cos(radians(hue - 30.0)) + 0.24 * cos(radians(2.0 * hue)) + 0.32 * cos(radians(3.0 * hue + 6.0))
        - 0.20 * cos(radians(4.0 * hue - 63.0))
}

/// R_T of the formula: turns the ellipses of blue.
fn rotation(hue: f64, chroma: f64) -> f64 {
    let from_blue = (hue - 275.0) / 25.0;
    let angle = 30.0 * exp(-(from_blue * from_blue));
    -2.0 * chroma_weight(chroma) * sin(radians(2.0 * angle))
}

/// ΔE ITP between two colours as I, C_T, C_P: 720 √(ΔI² + (ΔC_T/2)² + ΔC_P²); 1 is about just noticeable.
///
/// Source: Recommendation ITU-R BT.2124-0 (2019). The components are those of ITU-R BT.2100, of absolute light.
#[must_use]
pub fn delta_e_itp(first: Rgb, second: Rgb) -> f64 {
    let (i, t, p) = (first[0] - second[0], 0.5 * (first[1] - second[1]), first[2] - second[2]);
    720.0 * (i * i + t * t + p * p).sqrt()
}

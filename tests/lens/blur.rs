//! The blur against the Gaussian itself.

use crate::{common, floats, frame, gaussian};
use lookwright::colour::gamuts::ACESCG;
use lookwright::maths::exp;
use lookwright::picture::Frame;
use std::f64::consts::PI;

/// Worst error of a point's image, of its peak, where the Gaussian is a sum of pixels: samples beyond five σ are left out
/// (4e-6), and light is held in 32 bits.
const NEAR_ERROR: f64 = 5e-6;

/// The same on coarser grids: what cubic splines can't hold of a Gaussian whose σ is three cells (measured 3.4e-4).
const FAR_ERROR: f64 = 6e-4;

/// The same for an edge: what a sum over pixels differs from an integral, after their width is taken into account, is 1.3e-5 at
/// σ 2 and falls with its fourth power (computed from the two formulas).
const EDGE_ERROR: f64 = 1.5e-5;

/// σ in pixels, on both sides of the change to coarser grids, to a quarter of a picture of 480 rows.
const SIGMAS: [f64; 10] = [1.0, 1.7, 3.0, 4.0, 4.01, 5.5, 9.6, 17.0, 40.0, 120.0];

fn blurred(picture: &Frame, sigma: f64) -> Frame {
    let seen = gaussian(sigma, picture.height()).on_light(picture, &ACESCG);
    assert_eq!(seen.held_samples, 0);
    seen.frame
}

/// A point of light in the dark, blurred: the values of one channel, and the side.
fn point(sigma: f64, off_centre: [usize; 2]) -> (Vec<f64>, usize, [usize; 2]) {
    let side = ((11.0 * sigma) as usize).max(31) | 1;
    let at = off_centre.map(|off| side / 2 + off);
    let dark = frame(side, side, |x, y, _| f64::from(u8::from([x, y] == at)));
    let values = floats(&blurred(&dark, sigma)).iter().step_by(3).map(|&value| f64::from(value)).collect();
    (values, side, at)
}

#[test]
fn a_point_becomes_a_gaussian() {
    for (index, &sigma) in SIGMAS.iter().enumerate() {
        let (values, side, at) = point(sigma, [index % 3, index % 2]);
        let peak = 1.0 / (2.0 * PI * sigma * sigma);
        let tolerance = if sigma <= 4.0 { NEAR_ERROR } else { FAR_ERROR };
        let (mut worst, mut variance) = (0.0_f64, [0.0; 2]);
        for (pixel, value) in values.iter().enumerate() {
            let [x, y] = [(pixel % side) as f64 - at[0] as f64, (pixel / side) as f64 - at[1] as f64];
            let wanted = peak * exp(-(x * x + y * y) / (2.0 * sigma * sigma));
            worst = worst.max((value - wanted).abs() / peak);
            variance = [variance[0] + value * x * x, variance[1] + value * y * y];
        }
        assert!(worst < tolerance, "σ {sigma}: {worst:.2e} of the peak off");
        // Five and a half σ to the edge on each side; what is mirrored from there is far below this.
        for variance in variance {
            let error = variance / (sigma * sigma) - 1.0;
            assert!(error.abs() < 2e-3, "σ {sigma}: the variance is {error:+.2e} off");
        }
    }
}

/// Below one pixel a Gaussian can't be told from its samples, and what counts is how far it carries.
#[test]
fn narrow_blurs_have_their_variance() {
    for sigma in [0.05, 0.3, 0.5, 0.7, 0.9] {
        let (values, side, at) = point(sigma, [0, 0]);
        let across = |pixel: usize| ((pixel % side) as f64 - at[0] as f64) * ((pixel % side) as f64 - at[0] as f64);
        let variance: f64 = values.iter().enumerate().map(|(pixel, value)| value * across(pixel)).sum();
        let error = variance / (sigma * sigma) - 1.0;
        assert!(error.abs() < 1e-3, "σ {sigma}: the variance is {error:+.2e} off");
    }
}

/// No light below none, none that rises again on the way out, and the same in every direction.
#[test]
fn a_point_has_no_rings_and_no_corners() {
    for sigma in SIGMAS {
        let (values, side, at) = point(sigma, [0, 0]);
        assert!(values.iter().all(|value| *value >= 0.0), "σ {sigma}: light below none");
        let peak = values[at[1] * side + at[0]];
        for y in 0..side {
            let row = &values[y * side..(y + 1) * side];
            let rises = row[..=at[0]].windows(2).all(|pair| pair[1] >= pair[0] - 1e-6 * peak);
            let falls = row[at[0]..].windows(2).all(|pair| pair[1] <= pair[0] + 1e-6 * peak);
            assert!(rises && falls, "σ {sigma}: a ring in row {y}");
        }
        // Equally far from the point, on the axis and beside it: (5, 0) and (3, 4), scaled to σ.
        let step = ((sigma / 5.0).ceil() as usize).max(1);
        let at_offset = |x: usize, y: usize| values[(at[1] + y) * side + at[0] + x];
        let (axis, slanted) = (at_offset(5 * step, 0), at_offset(3 * step, 4 * step));
        let tolerance = if sigma <= 4.0 { NEAR_ERROR } else { FAR_ERROR };
        assert!((axis - slanted).abs() < tolerance * peak, "σ {sigma}: {axis} on the axis, {slanted} beside it");
    }
}

/// A Gaussian on one axis of a picture that is mirrored again and again, as a plain sum: from pixel `from` to all of `length`.
fn mirrored_again_and_again(from: usize, length: usize, sigma: f64) -> Vec<f64> {
    let mut light = vec![0.0; length];
    let reach = (8.0 * sigma).ceil() as isize;
    let weight = |step: isize| exp(-((step * step) as f64) / (2.0 * sigma * sigma));
    let sum: f64 = (-reach..=reach).map(weight).sum();
    for step in -reach..=reach {
        let mut place = from as isize + step;
        while place < 0 || place >= length as isize {
            place = if place < 0 { -1 - place } else { 2 * length as isize - 1 - place };
        }
        light[place as usize] += weight(step) / sum;
    }
    light
}

/// Pictures that a halo leaves several times over: down to grids of one cell.
#[test]
fn pictures_narrower_than_a_halo_are_right_too() {
    for (width, height) in [(2, 40), (3, 41), (5, 40), (9, 40), (14, 31), (40, 9), (200, 24)] {
        for sigma in [1.3, 4.2, 0.25 * height as f64, 0.5 * height as f64] {
            if sigma > 0.5 * height as f64 {
                continue;
            }
            let at = [width / 3, 1];
            let seen = blurred(&frame(width, height, |x, y, _| f64::from(u8::from([x, y] == at))), sigma);
            let across = mirrored_again_and_again(at[0], width, sigma);
            let down = mirrored_again_and_again(at[1], height, sigma);
            let peak = across.iter().fold(0.0_f64, |most, light| most.max(*light))
                * down.iter().fold(0.0_f64, |most, light| most.max(*light));
            for (y, x) in (0..height).flat_map(|y| (0..width).map(move |x| (y, x))) {
                let (found, wanted) = (seen.pixel(x, y).expect("in the frame")[2], across[x] * down[y]);
                let error = (found - wanted) / peak;
                assert!(
                    error.abs() < FAR_ERROR,
                    "{width} × {height}, σ {sigma}, ({x}, {y}): {error:+.1e} of the peak off"
                );
            }
        }
    }
}

#[test]
fn an_edge_follows_the_error_function() {
    for row in common::csv("lens_edge.csv").rows() {
        let (sigma, distance, wanted) = (row.number("sigma"), row.number("distance"), row.number("light"));
        let half = (6.0 * sigma).ceil() as usize;
        let tolerance = if sigma <= 4.0 { EDGE_ERROR } else { FAR_ERROR };
        let pixel = (half as f64 + distance).floor() as usize;
        // A Gaussian of this σ across, on a picture as low as its radius allows; and down.
        let upright = frame(2 * half, (2.0 * sigma).ceil() as usize, |x, _, _| f64::from(u8::from(x >= half)));
        let level = frame(3, 2 * half, |_, y, _| f64::from(u8::from(y >= half)));
        let found = [floats(&blurred(&upright, sigma))[pixel * 3], floats(&blurred(&level, sigma))[pixel * 9]];
        for found in found {
            let error = f64::from(found) - wanted;
            assert!(error.abs() < tolerance, "{}: found {found}, {error:+.2e}", row.place());
        }
    }
}

/// Bright points at the edges lose nothing: what would leave the picture comes back mirrored.
#[test]
fn an_edge_of_the_picture_is_a_mirror() {
    let (sigma, side) = (12.0, 96);
    let doubled = frame(2 * side, side, |x, y, _| f64::from(u8::from(y == 40 && (x == side - 3 || x == side + 2))));
    let cut = frame(side, side, |x, y, _| f64::from(u8::from(y == 40 && x == 2)));
    let (whole, half) = (blurred(&doubled, sigma), blurred(&cut, sigma));
    for y in 0..side {
        for x in 0..side {
            let (a, b) = (whole.pixel(side + x, y).expect("in the frame"), half.pixel(x, y).expect("in the frame"));
            assert!((a[0] - b[0]).abs() < FAR_ERROR / (2.0 * PI * sigma * sigma), "({x}, {y}): {} and {}", a[0], b[0]);
        }
    }
}

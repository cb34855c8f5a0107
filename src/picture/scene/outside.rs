//! What the window shows: evening sky with a low sun behind cloud, the sea with its glitter, a headland, the deck's rail
//! and a sodium lamp.

use super::noise::{cloudy, noise};
use super::palette::Palette;
use super::shapes::Ray;
use super::vector::{V3, smooth, v3};
use crate::maths::exp;

/// Where the sun stands: aside and above the horizon, for one metre ahead.
const SUN: [f64; 2] = [-0.024, 0.0275];

/// The lamp on the deck: its place, metres.
const LAMP: V3 = v3(-1.95, 1.99, 8.6);

/// The rail stands here.
const RAIL: f64 = 8.6;

/// Light from outside along a ray that has left the room.
pub(super) fn outside(palette: &Palette, ray: &Ray) -> V3 {
    if ray.along.z <= 0.0 {
        return palette.window * 1.5;
    }
    if let Some(light) = deck(palette, ray) {
        return light;
    }
    let (across, up) = (ray.along.x / ray.along.z, ray.along.y / ray.along.z);
    let shore = 0.0035 + 0.011 * smooth(-0.02, 0.12, across) * (0.35 + cloudy(across * 18.0, 3.0, 0.0, 5));
    if up > 0.0 && up < shore && across > -0.02 {
        return headland(palette, across, up);
    }
    if up >= 0.0 { sky(palette, across, up) } else { sea(palette, across, up) }
}

fn sky(palette: &Palette, across: f64, up: f64) -> V3 {
    let (dx, dy) = (across - SUN[0], up - SUN[1]);
    let away = (dx * dx * 0.55 + dy * dy * 2.2).sqrt();
    let high = smooth(0.0, 0.17, up);
    let blue = palette.window.mix(palette.zenith, high) * (0.32 - 0.15 * high);
    let glow = palette.sun * (2.4 * exp(-away * 20.0)) + palette.glow * (0.62 * exp(-up * 22.0) * exp(-dx.abs() * 3.0));
    let clear = blue * (1.0 - 0.75 * exp(-away * 9.0)) + glow;
    // Banks of cloud, drawn out along the horizon.
    let bank = cloudy(across * 6.5 + 3.0, up * 34.0 + 1.5, 0.3, 5);
    let wisp = cloudy(across * 14.0, up * 90.0, 4.2, 4);
    let cover = smooth(0.44, 0.64, bank + 0.16 * (wisp - 0.5) + 0.05 * smooth(0.0, 0.05, up) - 0.05);
    let thick = smooth(0.50, 0.78, bank);
    let lining = exp(-away * 13.0) * cover * (1.0 - cover) * 4.0;
    let body = palette.zenith * (0.21 - 0.13 * thick) + palette.glow * (0.42 * exp(-away * 7.0) * (1.0 - 0.5 * thick));
    let mut light = clear.mix(body, cover * 0.92) + palette.sun * (8.0 * lining);
    let disc = smooth(0.0082, 0.0070, (dx * dx + dy * dy).sqrt());
    // Thin cloud and haze around it shine: 7.5 stops over grey at its rim, 6 at four times its width.
    light += palette.sun * (42.0 * exp(-away * 40.0) * exp(-2.0 * cover));
    // 9.6 stops over grey where nothing hides it.
    light += palette.sun * (140.0 * disc * exp(-3.4 * cover - 1.2 * thick));
    light
}

fn sea(palette: &Palette, across: f64, up: f64) -> V3 {
    // The place on the water, for an eye 9 m above it.
    let far = 9.0 / -up;
    let (x, z) = (across * far, far);
    let size = smooth(1500.0, 60.0, far);
    let wave = |lift: f64| cloudy(x * 0.10 + lift, z * 0.055, lift, 4) - 0.5;
    let (slope_x, slope_z) = (wave(0.0) * 0.30 * (0.3 + size), wave(9.0) * 0.16 * (0.3 + size));
    let mirrored = [across + slope_x, (-up + slope_z + 0.018).abs() + 0.004];
    let grazing = (-up + slope_z * 0.5).clamp(0.01, 1.0);
    let fresnel = 0.06 + 0.80 * exp(-grazing * 5.0);
    let shine = sky(palette, mirrored[0].clamp(-0.6, 0.6), mirrored[1].min(0.2));
    // Glitter: facets that happen to send the sun this way, in a path below it.
    let path = exp(-(across - SUN[0]) * (across - SUN[0]) / (0.0011 + 0.02 * -up));
    let facet = noise(x * 0.55, z * 0.20, 2.0) * noise(x * 1.7 + 5.0, z * 0.6, 8.0);
    let glitter = palette.sun * (13.0 * path * smooth(0.30, 0.58, facet) * exp(up * 5.0));
    palette.window * v3(0.05, 0.075, 0.06)
        + shine * (fresnel * 0.62)
        + glitter
        + palette.sun * (0.7 * path * exp(up * 9.0))
}

fn headland(palette: &Palette, across: f64, up: f64) -> V3 {
    let slope = cloudy(across * 60.0, up * 260.0, 1.0, 4);
    let mut light = palette.zenith * v3(1.2, 0.8, 0.45) * (0.05 + 0.06 * slope);
    // The town's lamps along the water.
    let place = across * 420.0;
    let street = noise(place.floor() * 7.7 + 0.5, 0.5, 0.5);
    let dot = (place - place.floor() - 0.5).abs() / 420.0;
    let height = (up - 0.0022 - 0.003 * street).abs();
    if street > 0.52 && across > 0.0 {
        light += palette.bulb * (8.0 * smooth(0.0011, 0.0004, dot.max(height)));
    }
    light
}

/// A part of the deck: the lamp's glass, with how far from its middle, or what is painted, with how much it is turned to the
/// sky and its lightness.
enum Part {
    Lens(f64),
    Painted(f64, f64),
}

/// Whether a ray that leaves the room meets the rail, the post or the lamp.
pub(super) fn is_deck(ray: &Ray) -> bool {
    part_of_deck(on_deck(ray)).is_some()
}

/// Where a ray passes the rail.
fn on_deck(ray: &Ray) -> V3 {
    ray.at((RAIL - ray.from.z) / ray.along.z)
}

/// The light of the rail, the lamp's post and the lamp.
fn deck(palette: &Palette, ray: &Ray) -> Option<V3> {
    let point = on_deck(ray);
    let from_lamp = point - LAMP;
    let near = from_lamp.dot(from_lamp) + 0.02;
    part_of_deck(point).map(|part| match part {
        // Brightest in the middle; 5.5 to 7.5 stops over grey.
        Part::Lens(away) => palette.sodium * (8.0 + 26.0 * (1.0 - away * away) * (1.0 - away * away)),
        Part::Painted(side, base) => {
            palette.window * (base * 0.45 * (0.25 + 0.75 * side))
                + palette.sodium * (0.10 * (0.35 + 0.65 * side) / (near + 0.1))
        }
    })
}

fn part_of_deck(point: V3) -> Option<Part> {
    let from_lamp = point - LAMP;
    let lens = v3(from_lamp.x / 0.062, (from_lamp.y + 0.02) / 0.085, 0.0).length();
    if lens < 1.0 {
        return Some(Part::Lens(lens));
    }
    let hood = v3(from_lamp.x / 0.11, (from_lamp.y - 0.075) / 0.045, 0.0).length();
    if hood < 1.0 && from_lamp.y > 0.05 {
        return Some(Part::Painted(1.0 - hood, 0.10));
    }
    // A rod of that half width at that offset: how much its side looks at the sky.
    let rod = |offset: f64, half: f64| (offset.abs() < half).then(|| (1.0 - (offset / half) * (offset / half)).sqrt());
    if let Some(side) = rod(point.x - LAMP.x - 0.15, 0.035).filter(|_| point.y < LAMP.y + 0.10) {
        return Some(Part::Painted(side, 0.12));
    }
    if let Some(side) = rod(point.y - LAMP.y - 0.085, 0.018).filter(|_| (0.0..0.16).contains(&from_lamp.x)) {
        return Some(Part::Painted(side, 0.12));
    }
    for (height, half) in [(1.105, 0.030), (0.96, 0.014), (0.83, 0.014)] {
        if let Some(side) = rod(point.y - height, half) {
            return Some(Part::Painted(side, 0.42));
        }
    }
    let stanchion = point.x - (point.x / 0.9).round() * 0.9;
    if point.y < 1.105
        && let Some(side) = rod(stanchion, 0.020)
    {
        return Some(Part::Painted(side, 0.30));
    }
    (point.y < 0.70).then_some(Part::Painted(0.2, 0.10))
}

//! The three lights of the room: a warm key from the right, the cool window on the left, and the window behind.

use super::palette::Palette;
use super::vector::{V3, v3};

/// Where the key is measured: among the busts. A card that faces it there has the light that grey is counted from.
const METERED: V3 = v3(0.05, 1.25, 2.85);

/// A rectangle that shines to one side.
#[derive(Clone, Copy, Debug)]
pub(super) struct Light {
    pub centre: V3,
    pub across: V3,
    pub up: V3,
    facing: V3,
    area: f64,
    /// The middles of its four quarters.
    points: [V3; 4],
    /// Colour and strength: on a white surface at one point, when multiplied by [`Light::form`].
    pub colour: V3,
    /// Half its width, for the width of its highlight.
    pub spread: f64,
}

/// Key, left window, back window.
pub(super) type Lights = [Light; 3];

/// The lights, in the order of what is stored of each pixel.
pub(super) fn lights(palette: &Palette) -> Lights {
    let centre = v3(2.45, 2.30, 0.75);
    let facing = (METERED - centre).unit();
    let [across, up] = facing.sides();
    let mut key = Light::new(centre, [across * 0.42, up * 0.42], facing, V3::ONE, 0.42);
    key.colour = V3::ONE * (1.0 / key.form(METERED, -facing));
    let size = [v3(0.0, 0.0, 1.5), v3(0.0, 0.55, 0.0)];
    let left = Light::new(v3(-2.58, 1.55, 2.3), size, v3(1.0, 0.0, 0.0), palette.window * 1.45, 0.9);
    let size = [v3(1.33, 0.0, 0.0), v3(0.0, 0.48, 0.0)];
    let evening = palette.window * 1.3 + palette.sun * 1.4;
    let back = Light::new(v3(-0.97, 1.50, 5.98), size, v3(0.0, 0.0, -1.0), evening, 0.8);
    [key, left, back]
}

impl Light {
    fn new(centre: V3, [across, up]: [V3; 2], facing: V3, colour: V3, spread: f64) -> Self {
        let quarter = |u: f64, v: f64| centre + across * u + up * v;
        let points = [quarter(-0.5, -0.5), quarter(0.5, -0.5), quarter(-0.5, 0.5), quarter(0.5, 0.5)];
        let area = 4.0 * across.length() * up.length();
        Self { centre, across, up, facing, area, points, colour, spread }
    }

    /// A point of the light, of coordinates 0..1.
    pub fn point(&self, [u, v]: [f64; 2]) -> V3 {
        self.centre + self.across * (2.0 * u - 1.0) + self.up * (2.0 * v - 1.0)
    }

    /// A point of a light that is a fifth wider: where all of it is seen, or none, so is the light itself.
    pub fn point_around(&self, [u, v]: [f64; 2]) -> V3 {
        self.point([0.5 + 1.2 * (u - 0.5), 0.5 + 1.2 * (v - 0.5)])
    }

    /// The share of the light of an endless white sky that reaches a surface, unhindered: the mean of four points.
    pub fn form(&self, point: V3, normal: V3) -> f64 {
        self.ways(point).iter().map(|(way, _)| way.dot(normal).max(0.0)).sum()
    }

    /// Whether any of it could reach a surface, even a little round its edge.
    pub fn reaches(&self, point: V3, normal: V3) -> bool {
        self.points.iter().any(|&corner| {
            let way = corner - point;
            way.dot(self.facing) < 0.0 && way.dot(normal) > -0.3 * way.length()
        })
    }

    /// The ways to its four quarters, each times the share of an endless sky's light that it sends on a surface which faces
    /// it, and that share.
    #[inline]
    pub fn ways(&self, point: V3) -> [(V3, f64); 4] {
        self.points.map(|corner| {
            let way = corner - point;
            let square = way.dot(way);
            let there = -way.dot(self.facing);
            if there <= 0.0 {
                return (V3::ZERO, 0.0);
            }
            // No nearer than its quarters are wide: four points stand for the whole.
            let held = square.max(self.area * 0.08);
            let share = there * self.area / (4.0 * std::f64::consts::PI * held * held);
            (way * share, square.sqrt() * share)
        })
    }

    /// What a glossy surface sends along `to_eye`, for a light of that colour: a microfacet lobe, widened by the light's size.
    pub fn highlight(&self, point: V3, normal: V3, to_eye: V3, [gloss, rough]: [f64; 2]) -> f64 {
        let way = self.nearest_to(point, -to_eye.mirrored(normal)) - point;
        let distance = way.length();
        let direction = way * (1.0 / distance);
        if gloss <= 0.0 {
            return 0.0;
        }
        let half = (direction + to_eye).unit();
        let (nl, nv) = (normal.dot(direction), normal.dot(to_eye).max(0.05));
        let there = -direction.dot(self.facing);
        if nl <= 0.0 || there <= 0.0 {
            return 0.0;
        }
        let nh = normal.dot(half);
        let wide = (rough * rough + 0.25 * self.spread / distance).min(1.0);
        // The lobe is widened for the size of the light, but keeps its energy. Source: microfacets by Walter et al. (2007),
        // GGX; the widening is this project's own.
        let square = wide * wide;
        let under = nh * nh * (square - 1.0) + 1.0;
        let lobe = square / (std::f64::consts::PI * under * under);
        let facing = 1.0 - half.dot(to_eye).clamp(0.0, 1.0);
        let square_facing = facing * facing;
        let fresnel = gloss + (1.0 - gloss) * square_facing * square_facing * facing;
        let k = rough * 0.5;
        let shadowing = (nl / (nl * (1.0 - k) + k)) * (nv / (nv * (1.0 - k) + k));
        let held = distance * distance + 0.35 * self.area;
        lobe * fresnel * shadowing / (4.0 * nv) * there * self.area / held
    }

    /// The point of the light that lies nearest to a ray.
    fn nearest_to(&self, from: V3, along: V3) -> V3 {
        let slope = along.dot(self.facing);
        if slope >= -1e-3 {
            return self.centre;
        }
        let on_plane = from + along * ((self.centre - from).dot(self.facing) / slope);
        let aside = on_plane - self.centre;
        let held = |axis: V3| (aside.dot(axis) / axis.dot(axis)).clamp(-0.8, 0.8);
        self.centre + self.across * held(self.across) + self.up * held(self.up)
    }
}

//! Solids given by their distance, as heads and folds of cloth are: walked along a ray with the help of a grid of distances.

use super::material::Material;
use super::shapes::{Bounds, Ray};
use super::vector::{V3, v3};
use rayon::prelude::*;

/// Something that knows how far a point is from its surface, or less; below zero inside.
pub(super) trait Solid: Send + Sync {
    fn distance(&self, point: V3) -> f64;
    /// What the surface is made of at a point on it.
    fn material(&self, point: V3) -> Material;
}

/// A solid in its place, turned about the vertical.
pub(super) struct Placed {
    solid: Box<dyn Solid>,
    at: V3,
    sine: f64,
    cosine: f64,
    /// In the solid's own coordinates.
    bounds: Bounds,
    cell: f64,
    per_cell: f64,
    count: [usize; 3],
    grid: Vec<f32>,
}

/// A surface is met at this distance, metres: a fifth of what a pixel covers; the rest of the way is gone in one step.
const TOUCH: f64 = 4e-4;

/// Closer than this share of the grid's pitch the distance itself is asked for.
const CLOSE: f64 = 0.6;

/// No shorter steps by the grid alone, as a share of its pitch.
const LEAST_STEP: f64 = 0.6;

/// Steps after which a ray has missed; grazing rays need most.
const STEPS: usize = 90;

impl Placed {
    /// `cell` is the grid's pitch in metres: details finer than it cast no shadow of their own.
    pub fn new(solid: Box<dyn Solid>, at: V3, [sine, cosine]: [f64; 2], bounds: Bounds, cell: f64) -> Self {
        let size = bounds.high - bounds.low;
        let count = [size.x, size.y, size.z].map(|side| (side / cell).ceil() as usize + 1);
        let grid = grid_of(solid.as_ref(), &bounds, cell, count);
        Self { solid, at, sine, cosine, bounds, cell, per_cell: 1.0 / cell, count, grid }
    }

    fn turned_in(&self, v: V3) -> V3 {
        v3(self.cosine * v.x - self.sine * v.z, v.y, self.sine * v.x + self.cosine * v.z)
    }

    fn turned_out(&self, v: V3) -> V3 {
        v3(self.cosine * v.x + self.sine * v.z, v.y, self.cosine * v.z - self.sine * v.x)
    }

    /// A point of the scene in the solid's own coordinates.
    pub fn own(&self, point: V3) -> V3 {
        self.turned_in(point - self.at)
    }

    fn own_ray(&self, ray: &Ray) -> Ray {
        Ray::new(self.own(ray.from), self.turned_in(ray.along))
    }

    /// The box around it in the scene.
    pub fn outer_bounds(&self) -> Bounds {
        let Bounds { low, high } = self.bounds;
        let corners = [(low.x, low.z), (low.x, high.z), (high.x, low.z), (high.x, high.z)];
        let mut whole: Option<Bounds> = None;
        for (x, z) in corners {
            let [below, above] = [low.y, high.y].map(|y| self.turned_out(v3(x, y, z)) + self.at);
            let edge = Bounds { low: below, high: above };
            whole = Some(whole.map_or(edge, |so_far| so_far.joined(edge)));
        }
        whole.unwrap_or(self.bounds)
    }

    /// The distance between the points of the grid.
    #[inline]
    fn rough(&self, point: V3) -> f64 {
        let place = (point - self.bounds.low) * self.per_cell;
        let [nx, ny, nz] = self.count;
        let corner = |value: f64, count: usize| (value as i32).clamp(0, count as i32 - 2);
        let (x, y, z) = (corner(place.x, nx), corner(place.y, ny), corner(place.z, nz));
        let share = |value: f64, whole: i32| (value - f64::from(whole)) as f32;
        let (u, v, w) = (share(place.x, x), share(place.y, y), share(place.z, z));
        let first = (z as usize * ny + y as usize) * nx + x as usize;
        let row = |index: usize| {
            let pair = &self.grid[index..index + 2];
            pair[0] + (pair[1] - pair[0]) * u
        };
        let sheet = |index: usize| {
            let (from, to) = (row(index), row(index + nx));
            from + (to - from) * v
        };
        let (from, to) = (sheet(first), sheet(first + nx * ny));
        f64::from(from + (to - from) * w)
    }

    /// Whether the ray meets it in `near..far`, by the grid alone.
    pub fn blocks(&self, ray: &Ray, near: f64, far: f64) -> bool {
        let own = self.own_ray(ray);
        let Some((mut place, far)) = self.bounds.clip(&own, near, far) else { return false };
        for _ in 0..STEPS {
            let distance = self.rough(own.at(place));
            if distance < 0.0 {
                return true;
            }
            place += distance.max(self.cell * LEAST_STEP);
            if place > far {
                return false;
            }
        }
        false
    }

    /// The first place where the ray meets it in `near..far`, the normal and the material.
    pub fn meet(&self, ray: &Ray, near: f64, far: f64) -> Option<(f64, V3, Material)> {
        let own = self.own_ray(ray);
        let (mut place, far) = self.bounds.clip(&own, near, far)?;
        let first = place;
        for _ in 0..STEPS {
            let point = own.at(place);
            let mut distance = self.rough(point);
            if distance < self.cell * CLOSE {
                distance = self.solid.distance(point);
                // The grid may have led a little too far: then the way back is as long as the distance says.
                if distance.abs() < TOUCH || (distance < 0.0 && place <= first) {
                    let material = self.solid.material(point);
                    return Some((place + distance, self.turned_out(self.normal(point, distance)), material));
                }
            }
            place = (place + distance * 0.95).max(first);
            if place > far {
                return None;
            }
        }
        None
    }

    /// The same by the grid alone, for light that is thrown back.
    pub fn meet_roughly(&self, ray: &Ray, near: f64, far: f64) -> Option<(f64, V3, Material)> {
        let own = self.own_ray(ray);
        let (mut place, far) = self.bounds.clip(&own, near, far)?;
        for _ in 0..STEPS {
            let point = own.at(place);
            let distance = self.rough(point);
            if distance < 0.0 {
                let normal = gradient(point, self.cell * 0.5, |point| self.rough(point));
                return Some((place, self.turned_out(normal), self.solid.material(point)));
            }
            place += distance.max(self.cell * LEAST_STEP);
            if place > far {
                return None;
            }
        }
        None
    }

    /// From the distance here and three near by.
    fn normal(&self, point: V3, here: f64) -> V3 {
        const REACH: f64 = 6e-4;
        let slope = |x: f64, y: f64, z: f64| self.solid.distance(point + v3(x, y, z)) - here;
        v3(slope(REACH, 0.0, 0.0), slope(0.0, REACH, 0.0), slope(0.0, 0.0, REACH)).unit()
    }
}

/// The way out, from four distances at the corners of a tetrahedron.
fn gradient(point: V3, reach: f64, distance: impl Fn(V3) -> f64) -> V3 {
    let corners = [v3(1.0, -1.0, -1.0), v3(-1.0, -1.0, 1.0), v3(-1.0, 1.0, -1.0), v3(1.0, 1.0, 1.0)];
    let mut sum = V3::ZERO;
    for corner in corners {
        sum += corner * distance(point + corner * reach);
    }
    sum.unit()
}

/// Distances at the points of a grid. Far from the surface only every second one is asked for, and those between are means:
/// any part of a surface lies within √3 cells of such a point, so that none is missed.
fn grid_of(solid: &dyn Solid, bounds: &Bounds, cell: f64, count: [usize; 3]) -> Vec<f32> {
    const NEAR: f32 = 1.75;
    let near = NEAR * cell as f32;
    let at = |x: usize, y: usize, z: usize| solid.distance(bounds.low + v3(x as f64, y as f64, z as f64) * cell) as f32;
    let coarse = count.map(|side| (side - 1).div_ceil(2) + 1);
    let known: Vec<f32> = (0..coarse[2])
        .into_par_iter()
        .flat_map_iter(|z| (0..coarse[1]).flat_map(move |y| (0..coarse[0]).map(move |x| at(x * 2, y * 2, z * 2))))
        .collect();
    let known = &known;
    let value = move |x: usize, y: usize, z: usize| {
        // The two coarse points on either side, or one twice.
        let ([x0, y0, z0], [x1, y1, z1]) = ([x / 2, y / 2, z / 2], [x.div_ceil(2), y.div_ceil(2), z.div_ceil(2)]);
        let corner = |x: usize, y: usize, z: usize| known[(z * coarse[1] + y) * coarse[0] + x];
        if [x0, y0, z0] == [x1, y1, z1] {
            return corner(x0, y0, z0);
        }
        let mut sum = 0.0;
        for (x, y, z) in [
            (x0, y0, z0),
            (x1, y0, z0),
            (x0, y1, z0),
            (x1, y1, z0),
            (x0, y0, z1),
            (x1, y0, z1),
            (x0, y1, z1),
            (x1, y1, z1),
        ] {
            let distance = corner(x, y, z);
            if distance.abs() < near {
                return at(x0 + x1, y0 + y1, z0 + z1);
            }
            sum += distance;
        }
        sum * 0.125
    };
    (0..count[2])
        .into_par_iter()
        .flat_map_iter(|z| (0..count[1]).flat_map(move |y| (0..count[0]).map(move |x| value(x, y, z))))
        .collect()
}

/// The smaller of two distances, with a fillet of about `width` where they meet.
pub(super) fn joined(a: f64, b: f64, width: f64) -> f64 {
    let near = (width - (a - b).abs()).max(0.0) / width;
    a.min(b) - near * near * width * 0.25
}

/// The larger of two distances, with a rounded edge.
pub(super) fn cut(a: f64, b: f64, width: f64) -> f64 {
    -joined(-a, -b, width)
}

/// About the distance to an ellipsoid.
pub(super) fn ellipsoid(point: V3, centre: V3, radii: V3) -> f64 {
    let from = point - centre;
    let scaled = v3(from.x / radii.x, from.y / radii.y, from.z / radii.z);
    let steep = v3(scaled.x / radii.x, scaled.y / radii.y, scaled.z / radii.z);
    let (near, slope) = (scaled.length(), steep.length());
    if slope > 0.0 { near * (near - 1.0) / slope } else { -radii.x.min(radii.y).min(radii.z) }
}

/// The distance to a rod with round ends, thicker at one of them.
pub(super) fn rod(point: V3, from: V3, to: V3, [first, last]: [f64; 2]) -> f64 {
    let (axis, aside) = (to - from, point - from);
    let share = (aside.dot(axis) / axis.dot(axis)).clamp(0.0, 1.0);
    (aside - axis * share).length() - (first + (last - first) * share)
}

/// The distance to a ring that lies in the plane z = 0 around the origin.
pub(super) fn ring(point: V3, radius: f64, thick: f64) -> f64 {
    let around = (point.x * point.x + point.y * point.y).sqrt() - radius;
    (around * around + point.z * point.z).sqrt() - thick
}

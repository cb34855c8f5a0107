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
    count: [usize; 3],
    grid: Vec<f32>,
}

/// A surface is met at this distance, metres: a tenth of what a pixel covers.
const TOUCH: f64 = 2e-4;

/// Steps after which a ray has missed; grazing rays need most.
const STEPS: usize = 90;

impl Placed {
    /// `cell` is the grid's pitch in metres: details finer than it cast no shadow of their own.
    pub fn new(solid: Box<dyn Solid>, at: V3, [sine, cosine]: [f64; 2], bounds: Bounds, cell: f64) -> Self {
        let size = bounds.high - bounds.low;
        let count = [size.x, size.y, size.z].map(|side| (side / cell).ceil() as usize + 1);
        let grid = (0..count[2])
            .into_par_iter()
            .flat_map_iter(|z| {
                let solid = &solid;
                (0..count[1]).flat_map(move |y| {
                    (0..count[0])
                        .map(move |x| solid.distance(bounds.low + v3(x as f64, y as f64, z as f64) * cell) as f32)
                })
            })
            .collect();
        Self { solid, at, sine, cosine, bounds, cell, count, grid }
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
        let place = (point - self.bounds.low) * (1.0 / self.cell);
        let corner = |value: f64, count: usize| (value.max(0.0) as usize).min(count - 2);
        let [nx, ny, nz] = self.count;
        let (x, y, z) = (corner(place.x, nx), corner(place.y, ny), corner(place.z, nz));
        let (u, v, w) = (place.x - x as f64, place.y - y as f64, place.z - z as f64);
        let first = (z * ny + y) * nx + x;
        let row = |index: usize| {
            let (from, to) = (f64::from(self.grid[index]), f64::from(self.grid[index + 1]));
            from + (to - from) * u
        };
        let sheet = |index: usize| {
            let (from, to) = (row(index), row(index + nx));
            from + (to - from) * v
        };
        let (from, to) = (sheet(first), sheet(first + nx * ny));
        from + (to - from) * w
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
            place += distance.max(self.cell * 0.35);
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
        for _ in 0..STEPS {
            let point = own.at(place);
            let mut distance = self.rough(point);
            if distance < self.cell {
                distance = self.solid.distance(point);
                if distance < TOUCH {
                    return Some((place, self.turned_out(self.normal(point)), self.solid.material(point)));
                }
            }
            place += distance * 0.9;
            if place > far {
                return None;
            }
        }
        None
    }

    /// From four distances at the corners of a tetrahedron.
    fn normal(&self, point: V3) -> V3 {
        const REACH: f64 = 8e-4;
        let corners = [v3(1.0, -1.0, -1.0), v3(-1.0, -1.0, 1.0), v3(-1.0, 1.0, -1.0), v3(1.0, 1.0, 1.0)];
        let mut sum = V3::ZERO;
        for corner in corners {
            sum += corner * self.solid.distance(point + corner * REACH);
        }
        sum.unit()
    }
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

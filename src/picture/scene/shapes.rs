//! Shapes with a formula for where a ray meets them, and boxes around groups of them.

use super::vector::{V3, v3};

/// A ray: a point and a direction of length 1.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ray {
    pub from: V3,
    pub along: V3,
    /// One over each component of the direction: boxes are asked often.
    reciprocal: V3,
}

impl Ray {
    #[inline]
    pub fn new(from: V3, along: V3) -> Self {
        Self { from, along, reciprocal: v3(1.0 / along.x, 1.0 / along.y, 1.0 / along.z) }
    }

    #[inline]
    pub fn at(&self, distance: f64) -> V3 {
        self.from + self.along * distance
    }
}

/// A box along the axes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bounds {
    pub low: V3,
    pub high: V3,
}

impl Bounds {
    /// From and to where the ray is inside, within `near..far`.
    #[inline]
    pub fn clip(&self, ray: &Ray, near: f64, far: f64) -> Option<(f64, f64)> {
        let (mut near, mut far) = (near, far);
        let axes = [
            (ray.from.x, ray.reciprocal.x, self.low.x, self.high.x),
            (ray.from.y, ray.reciprocal.y, self.low.y, self.high.y),
            (ray.from.z, ray.reciprocal.z, self.low.z, self.high.z),
        ];
        for (from, reciprocal, low, high) in axes {
            // A direction of 0 gives infinities of the right sign; on the very edge NaN, which min and max leave out.
            let (first, second) = ((low - from) * reciprocal, (high - from) * reciprocal);
            near = near.max(first.min(second));
            far = far.min(first.max(second));
        }
        (near < far).then_some((near, far))
    }

    pub fn joined(self, other: Self) -> Self {
        let (a, b) = (self.low, other.low);
        Self { low: v3(a.x.min(b.x), a.y.min(b.y), a.z.min(b.z)), high: self.high.max(other.high) }
    }
}

/// A shape with a formula.
#[derive(Clone, Copy, Debug)]
pub(super) enum Shape {
    Sphere {
        centre: V3,
        radius: f64,
    },
    Block {
        low: V3,
        high: V3,
    },
    /// Upright, with a radius at the foot and one at the head; with a lid and a bottom, or open as a lampshade is.
    Cone {
        foot: V3,
        height: f64,
        below: f64,
        above: f64,
        open: bool,
    },
    /// A rod with round ends.
    Rod {
        from: V3,
        to: V3,
        radius: f64,
    },
}

impl Shape {
    /// The box around it.
    pub fn bounds(&self) -> Bounds {
        match *self {
            Self::Sphere { centre, radius } => {
                Bounds { low: centre - V3::ONE * radius, high: centre + V3::ONE * radius }
            }
            Self::Block { low, high } => Bounds { low, high },
            Self::Cone { foot, height, below, above, .. } => {
                let widest = below.max(above);
                Bounds { low: foot - v3(widest, 0.0, widest), high: foot + v3(widest, height, widest) }
            }
            Self::Rod { from, to, radius } => {
                let around = |end: V3| Bounds { low: end - V3::ONE * radius, high: end + V3::ONE * radius };
                around(from).joined(around(to))
            }
        }
    }

    /// The distance to the first place in `near..far` where the ray meets the shape, and the normal outwards.
    pub fn meet(&self, ray: &Ray, near: f64, far: f64) -> Option<(f64, V3)> {
        match *self {
            Self::Sphere { centre, radius } => sphere(ray, centre, radius, near, far),
            Self::Block { low, high } => block(ray, &Bounds { low, high }, near, far),
            Self::Cone { foot, height, below, above, open } => {
                let side = cone_side(ray, foot, height, [below, above], near, far);
                if open {
                    return side;
                }
                let lids = [(foot.y + height, above, 1.0), (foot.y, below, -1.0)];
                let lids = lids.into_iter().filter_map(|(y, radius, up)| {
                    let distance = (y - ray.from.y) / ray.along.y;
                    let aside = ray.at(distance) - foot;
                    let inside = aside.x * aside.x + aside.z * aside.z < radius * radius;
                    (inside && distance > near && distance < far).then_some((distance, v3(0.0, up, 0.0)))
                });
                lids.chain(side).min_by(|a, b| a.0.total_cmp(&b.0))
            }
            Self::Rod { from, to, radius } => rod(ray, from, to, radius, near, far),
        }
    }
}

impl Shape {
    /// Whether a ray from outside meets it.
    pub fn blocks(&self, ray: &Ray, near: f64, far: f64) -> bool {
        match *self {
            Self::Block { low, high } => Bounds { low, high }.clip(ray, near, far).is_some(),
            _ => self.meet(ray, near, far).is_some(),
        }
    }
}

/// The nearer root in `near..far` of a·t² + 2·b·t + c = 0 that `fits`.
#[inline]
fn first_root([a, b, c]: [f64; 3], near: f64, far: f64, fits: impl Fn(f64) -> bool) -> Option<f64> {
    let under = b * b - a * c;
    if under < 0.0 {
        return None;
    }
    let half = under.sqrt();
    let (one, two) = ((-b - half) / a, (-b + half) / a);
    let good = |&root: &f64| root > near && root < far && fits(root);
    [one.min(two), one.max(two)].into_iter().find(good)
}

fn sphere(ray: &Ray, centre: V3, radius: f64, near: f64, far: f64) -> Option<(f64, V3)> {
    let from = ray.from - centre;
    let distance = first_root([1.0, from.dot(ray.along), from.dot(from) - radius * radius], near, far, |_| true)?;
    Some((distance, (ray.at(distance) - centre) * (1.0 / radius)))
}

fn block(ray: &Ray, bounds: &Bounds, near: f64, far: f64) -> Option<(f64, V3)> {
    let (enter, leave) = bounds.clip(ray, f64::NEG_INFINITY, far)?;
    let distance = if enter > near { enter } else { leave };
    if !(distance > near && distance < far) {
        return None;
    }
    let (point, middle) = (ray.at(distance), (bounds.low + bounds.high) * 0.5);
    let (aside, half) = (point - middle, (bounds.high - bounds.low) * 0.5);
    let gaps = [half.x - aside.x.abs(), half.y - aside.y.abs(), half.z - aside.z.abs()];
    let normal = if gaps[0] <= gaps[1] && gaps[0] <= gaps[2] {
        v3(aside.x.signum(), 0.0, 0.0)
    } else if gaps[1] <= gaps[2] {
        v3(0.0, aside.y.signum(), 0.0)
    } else {
        v3(0.0, 0.0, aside.z.signum())
    };
    Some((distance, normal))
}

fn cone_side(ray: &Ray, foot: V3, height: f64, [below, above]: [f64; 2], near: f64, far: f64) -> Option<(f64, V3)> {
    let (from, slope) = (ray.from - foot, (above - below) / height);
    let (radius, growth) = (below + slope * from.y, slope * ray.along.y);
    let a = ray.along.x * ray.along.x + ray.along.z * ray.along.z - growth * growth;
    let b = from.x * ray.along.x + from.z * ray.along.z - radius * growth;
    let c = from.x * from.x + from.z * from.z - radius * radius;
    let inside = |distance: f64| (0.0..=height).contains(&(from.y + ray.along.y * distance));
    let distance = first_root([a, b, c], near, far, inside)?;
    let point = ray.at(distance) - foot;
    let out = v3(point.x, 0.0, point.z).unit();
    Some((distance, (out - v3(0.0, slope, 0.0)).unit()))
}

fn rod(ray: &Ray, from: V3, to: V3, radius: f64, near: f64, far: f64) -> Option<(f64, V3)> {
    let (axis, aside) = (to - from, ray.from - from);
    let (length, along, across) = (axis.dot(axis), axis.dot(ray.along), axis.dot(aside));
    let a = length - along * along;
    let b = length * aside.dot(ray.along) - across * along;
    let c = length * aside.dot(aside) - across * across - radius * radius * length;
    let inside = |distance: f64| (0.0..=length).contains(&(across + along * distance));
    let side = first_root([a, b, c], near, far, inside).map(|distance| {
        let point = ray.at(distance) - from;
        (distance, (point - axis * (point.dot(axis) / length)) * (1.0 / radius))
    });
    let ends = [sphere(ray, from, radius, near, far), sphere(ray, to, radius, near, far)];
    ends.into_iter().flatten().chain(side).min_by(|a, b| a.0.total_cmp(&b.0))
}

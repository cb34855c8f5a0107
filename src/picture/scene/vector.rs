//! Points, directions and colours of the scene: three components, with plain arithmetic in a fixed order.

use crate::maths::Rgb;
use std::ops::{Add, AddAssign, Mul, Neg, Sub};

/// Three components: a place or direction in metres, or a colour in ACEScg.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct V3 {
    pub x: f64,
    pub y: f64,
    pub z: f64,
}

/// The vector of three components.
pub(super) const fn v3(x: f64, y: f64, z: f64) -> V3 {
    V3 { x, y, z }
}

impl V3 {
    pub const ZERO: Self = v3(0.0, 0.0, 0.0);
    pub const ONE: Self = v3(1.0, 1.0, 1.0);

    #[inline]
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y + self.z * other.z
    }

    pub fn cross(self, other: Self) -> Self {
        v3(
            self.y * other.z - self.z * other.y,
            self.z * other.x - self.x * other.z,
            self.x * other.y - self.y * other.x,
        )
    }

    #[inline]
    pub fn length(self) -> f64 {
        self.dot(self).sqrt()
    }

    /// The direction; zero stays zero.
    #[inline]
    pub fn unit(self) -> Self {
        let length = self.length();
        if length > 0.0 { self * (1.0 / length) } else { self }
    }

    pub fn max(self, other: Self) -> Self {
        v3(self.x.max(other.x), self.y.max(other.y), self.z.max(other.z))
    }

    pub fn mix(self, other: Self, share: f64) -> Self {
        self * (1.0 - share) + other * share
    }

    /// The direction in which a mirror with this normal sends light that travels along `self`.
    #[inline]
    pub fn mirrored(self, normal: Self) -> Self {
        self - normal * (2.0 * self.dot(normal))
    }

    /// Two directions that stand at right angles on this one and on each other.
    pub fn sides(self) -> [Self; 2] {
        let aside = if self.x.abs() > 0.7 { v3(0.0, 1.0, 0.0) } else { v3(1.0, 0.0, 0.0) };
        let first = self.cross(aside).unit();
        [first, self.cross(first)]
    }
}

impl From<Rgb> for V3 {
    fn from([x, y, z]: Rgb) -> Self {
        v3(x, y, z)
    }
}

impl From<V3> for Rgb {
    fn from(vector: V3) -> Self {
        [vector.x, vector.y, vector.z]
    }
}

impl Add for V3 {
    type Output = Self;
    #[inline]
    fn add(self, other: Self) -> Self {
        v3(self.x + other.x, self.y + other.y, self.z + other.z)
    }
}

impl AddAssign for V3 {
    #[inline]
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Sub for V3 {
    type Output = Self;
    #[inline]
    fn sub(self, other: Self) -> Self {
        v3(self.x - other.x, self.y - other.y, self.z - other.z)
    }
}

impl Mul<f64> for V3 {
    type Output = Self;
    #[inline]
    fn mul(self, factor: f64) -> Self {
        v3(self.x * factor, self.y * factor, self.z * factor)
    }
}

impl Mul for V3 {
    type Output = Self;
    #[inline]
    fn mul(self, other: Self) -> Self {
        v3(self.x * other.x, self.y * other.y, self.z * other.z)
    }
}

impl Neg for V3 {
    type Output = Self;
    fn neg(self) -> Self {
        v3(-self.x, -self.y, -self.z)
    }
}

/// The largest whole number that is not above.
#[inline]
pub(super) fn floor(value: f64) -> i64 {
    let whole = value as i64;
    whole - i64::from(value < whole as f64)
}

/// The sine for textures and folds: Taylor's series to the eleventh power within a quarter turn, right to 1e-7.
#[inline]
pub(super) fn sine(angle: f64) -> f64 {
    let half_turns = floor(angle * std::f64::consts::FRAC_1_PI + 0.5);
    let x = angle - half_turns as f64 * std::f64::consts::PI;
    let square = x * x;
    let high = 1.0 / 362_880.0 - square * (1.0 / 39_916_800.0);
    let low = 1.0 / 120.0 - square * (1.0 / 5040.0 - square * high);
    let value = x - x * square * (1.0 / 6.0 - square * low);
    if half_turns & 1 == 0 { value } else { -value }
}

/// The cosine, as [`sine`].
#[inline]
pub(super) fn cosine(angle: f64) -> f64 {
    sine(angle + std::f64::consts::FRAC_PI_2)
}

/// 0 below `low`, 1 above `high`, and a smooth way between.
pub(super) fn smooth(low: f64, high: f64, value: f64) -> f64 {
    let share = ((value - low) / (high - low)).clamp(0.0, 1.0);
    share * share * (3.0 - 2.0 * share)
}

//! Mannequin busts: a head with closed eyes, neck and shoulders in a plain garment, as distances.
//!
//! Proportions are this project's own, by eye: a head of 23 cm. Faces look along −z; the origin is the middle of the head.

use super::material::Material;
use super::shapes::Bounds;
use super::solid::{Solid, cut, ellipsoid, joined, rod};
use super::vector::{V3, sine, smooth, v3};

/// What a head wears.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Top {
    /// Short hair.
    Short,
    /// Hair to the nape, with a knot at the back.
    Knot,
    /// A knitted cap with a turned-up rim.
    Cap,
    /// Nothing.
    Bare,
}

/// One bust.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bust {
    pub skin: Material,
    pub garment: Material,
    pub hair: Material,
    pub top: Top,
    /// Width of the jaw and cheeks, 1 for the middle.
    pub broad: f64,
    /// Height of the collar over the neck's foot, metres.
    pub collar: f64,
}

/// Below this the head is too far away to matter, above that the shoulders, metres.
const LOW: f64 = -0.185;
const HIGH: f64 = -0.045;

/// The box around a bust, in its own coordinates.
pub(super) const BUST_BOUNDS: Bounds = Bounds { low: v3(-0.25, -0.64, -0.135), high: v3(0.25, 0.152, 0.19) };

impl Bust {
    fn head(&self, p: V3) -> f64 {
        let side = v3(p.x.abs(), p.y, p.z);
        let broad = self.broad;
        let mut d = ellipsoid(p, v3(0.0, 0.034, 0.014), v3(0.075, 0.085, 0.096));
        d = joined(d, ellipsoid(p, v3(0.0, -0.032, -0.026), v3(0.060 * broad, 0.088, 0.064)), 0.035);
        // Jaw, chin, cheekbones and brow. What is too far away to matter is left out here and below: heads are asked often.
        d = joined(d, ellipsoid(side, v3(0.038 * broad, -0.068, -0.008), v3(0.017, 0.026, 0.032)), 0.035);
        if p.z > 0.0 {
            return if side.x > 0.055 { joined(d, ear(side), 0.006) } else { d };
        }
        d = joined(d, ellipsoid(p, v3(0.0, -0.107, -0.062), v3(0.022 * broad, 0.015, 0.019)), 0.034);
        d = joined(d, ellipsoid(side, v3(0.043 * broad, -0.021, -0.056), v3(0.020, 0.015, 0.020)), 0.03);
        let to_eye = side - v3(0.027, 0.012, -0.080);
        if to_eye.dot(to_eye) < 0.07 * 0.07 {
            d = self.eye(side, d);
        }
        if p.z < -0.05 && side.x < 0.06 && p.y < 0.06 {
            if p.y > -0.085 {
                d = joined(d, self.nose(p, side), 0.012);
            }
            if p.y < -0.03 {
                d = self.mouth(p, d);
            }
        }
        if side.x > 0.055 { joined(d, ear(side), 0.006) } else { d }
    }

    /// The brow, and an eye that is closed.
    fn eye(&self, side: V3, head: f64) -> f64 {
        let mut d = joined(head, rod(side, v3(0.006, 0.026, -0.078), v3(0.042, 0.030, -0.066), [0.010, 0.008]), 0.022);
        // Sockets, and lids over round eyes.
        let socket = ellipsoid(side, v3(0.031, 0.006, -0.094), v3(0.021, 0.014, 0.022));
        d = cut(d, -socket, 0.018);
        let lid = ellipsoid(side, v3(0.031, 0.003, -0.0665), v3(0.0165, 0.0125, 0.0130));
        d = joined(d, lid, 0.004);
        // The line between the lids, lower in the middle.
        let aside = side.x - 0.031;
        let lashes = v3(aside, side.y + 0.0045 - 16.0 * aside * aside, side.z + 0.080);
        cut(d, -ellipsoid(lashes, V3::ZERO, v3(0.0155, 0.0011, 0.0100)), 0.002)
    }

    fn nose(&self, p: V3, side: V3) -> f64 {
        let ridge = rod(p, v3(0.0, 0.014, -0.082), v3(0.0, -0.030, -0.104), [0.0065, 0.0095]);
        let tip = ellipsoid(p, v3(0.0, -0.033, -0.103), v3(0.0105, 0.0095, 0.0105));
        let wing = ellipsoid(side, v3(0.0120 * self.broad, -0.037, -0.091), v3(0.0075, 0.0075, 0.0105));
        joined(joined(ridge, tip, 0.010), wing, 0.008)
    }

    fn mouth(&self, p: V3, head: f64) -> f64 {
        let bow = v3(p.x, p.y - 0.10 * (p.x * p.x) / 0.024, p.z);
        let upper = ellipsoid(bow, v3(0.0, -0.0635, -0.0835), v3(0.0225, 0.0062, 0.0105));
        let lower = ellipsoid(p, v3(0.0, -0.0740, -0.0825), v3(0.0185, 0.0070, 0.0110));
        let lips = joined(joined(head, upper, 0.007), lower, 0.006);
        // The line between the lips.
        let line = ellipsoid(bow, v3(0.0, -0.0690, -0.0975), v3(0.0230, 0.0012, 0.0090));
        cut(lips, -line, 0.003)
    }

    fn neck(&self, p: V3) -> f64 {
        let side = v3(p.x.abs(), p.y, p.z);
        let neck = rod(p, v3(0.0, -0.07, 0.028), v3(0.0, -0.22, 0.046), [0.046, 0.053]);
        // The muscle from behind the ear to the collarbone.
        let cord = rod(side, v3(0.052, -0.062, 0.022), v3(0.014, -0.205, -0.004), [0.011, 0.009]);
        joined(neck, cord, 0.02)
    }

    fn body(&self, p: V3) -> f64 {
        if p.y > HIGH {
            return p.y + 0.10;
        }
        let side = v3(p.x.abs(), p.y, p.z);
        let slope = rod(side, v3(0.02, -0.165, 0.060), v3(0.160, -0.258, 0.052), [0.046, 0.050]);
        let chest = ellipsoid(p, v3(0.0, -0.44, 0.046), v3(0.156, 0.230, 0.104));
        let arm = rod(side, v3(0.172, -0.272, 0.052), v3(0.192, -0.66, 0.046), [0.050, 0.046]);
        joined(joined(slope, chest, 0.05), arm, 0.014)
    }

    /// The collarbones.
    fn bones(&self, p: V3) -> f64 {
        let side = v3(p.x.abs(), p.y, p.z);
        rod(side, v3(0.016, -0.222, -0.022), v3(0.130, -0.220, 0.020), [0.008, 0.007])
    }

    fn uncovered(&self, p: V3, body: f64) -> f64 {
        let head = if p.y < LOW { -0.125 - p.y } else { self.head(p) };
        let upper = joined(head, self.neck(p), 0.03);
        if p.y > HIGH {
            return upper.min(body);
        }
        joined(joined(upper, body, 0.045), self.bones(p), 0.016)
    }

    /// The body, a little thicker, up to a round neckline.
    fn cloth(&self, p: V3, body: f64) -> f64 {
        if p.y > HIGH {
            return f64::INFINITY;
        }
        let wave = 0.0013 * sine(p.y * 42.0 + p.x * 30.0) * smooth(-0.24, -0.36, p.y);
        let neckline = p.y + 0.205 - self.collar - 0.55 * p.z.min(0.06) + 0.10 * p.x.abs();
        let rim = {
            let away = neckline.abs();
            let around = (body - 0.012).abs();
            (away * away * 0.8 + around * around).sqrt() - 0.0065
        };
        cut(body - 0.012 - wave, neckline, 0.006).min(rim)
    }

    fn on_top(&self, p: V3) -> f64 {
        if p.y < LOW {
            return f64::INFINITY;
        }
        let skull = ellipsoid(p, v3(0.0, 0.034, 0.014), v3(0.075, 0.085, 0.096));
        match self.top {
            Top::Bare => f64::INFINITY,
            Top::Short => {
                let line = -((p.y - 0.078) * 0.66 + (p.z + 0.068) * 0.75) + 0.25 * (p.x.abs() - 0.05).max(0.0);
                let strands = 0.0012 * sine(p.x * 420.0 + 60.0 * p.y + 3.0 * sine(p.z * 90.0));
                cut(skull - 0.011 - strands, line, 0.012)
            }
            Top::Knot => {
                let line = -((p.y - 0.086) * 0.62 + (p.z + 0.062) * 0.78) + 0.10 * (p.x.abs() - 0.03).max(0.0);
                let strands = 0.0012 * sine(p.x * 330.0 + 40.0 * p.z);
                let back = ellipsoid(p, v3(0.0, 0.02, 0.03), v3(0.080, 0.092, 0.090));
                let knot = ellipsoid(p, v3(0.0, 0.095, 0.105), v3(0.042, 0.038, 0.036)) - strands;
                joined(cut(joined(skull - 0.012, back, 0.03) - strands, line, 0.012), knot, 0.010)
            }
            Top::Cap => {
                let tilt = p.y - 0.052 + 0.16 * (p.z - 0.01);
                let crown = ellipsoid(p, v3(0.0, 0.040, 0.016), v3(0.080, 0.094, 0.100)) - 0.006;
                let rim = cut(crown - 0.007, (tilt - 0.018).abs() - 0.019, 0.008);
                cut(crown, -tilt, 0.006).min(rim)
            }
        }
    }
}

fn ear(side: V3) -> f64 {
    // Leaning back a little, with a hollow.
    let p = v3(side.x, side.y * 0.97 + side.z * 0.22, side.z * 0.97 - side.y * 0.22);
    let shell = ellipsoid(p, v3(0.0755, -0.004, 0.014), v3(0.0095, 0.031, 0.019));
    let hollow = ellipsoid(p, v3(0.0860, 0.000, 0.010), v3(0.0070, 0.018, 0.010));
    cut(shell, -hollow, 0.006)
}

impl Solid for Bust {
    fn distance(&self, p: V3) -> f64 {
        let body = self.body(p);
        let skin = self.uncovered(p, body);
        // Cloth lies over the shoulders only; far above them it can't be the nearest.
        let cloth = self.cloth(p, joined(body, self.neck(p), 0.045));
        skin.min(cloth).min(self.on_top(p))
    }

    fn material(&self, p: V3) -> Material {
        let body = self.body(p);
        let skin = self.uncovered(p, body);
        let (cloth, top) = (self.cloth(p, joined(body, self.neck(p), 0.045)), self.on_top(p));
        if top < skin && top < cloth {
            self.hair
        } else if cloth < skin {
            self.garment
        } else {
            self.skin
        }
    }
}

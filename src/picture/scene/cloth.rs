//! Things that hang and lie: a pleated curtain, a blanket over the table's edge, a coil of rope, a life ring.

use super::material::Material;
use super::solid::{Solid, joined, ring};
use super::vector::{V3, cosine, sine, smooth, v3};
use crate::maths::atan2;

/// A curtain in pleats, 0.5 m wide and 1.3 m long, gathered by a band.
pub(super) struct Curtain;

impl Curtain {
    /// Half-way between front and back of the cloth, along z.
    fn middle(p: V3) -> f64 {
        let gather = 0.55 + 0.45 * smooth(0.0, 0.45, (p.y + 0.22).abs());
        let across = p.x / gather;
        let swing = 0.25 * sine(p.y * 3.1) + 0.12 * sine(p.y * 7.3 + across * 9.0);
        let pleat = sine(across * 62.0 + swing * 2.4 + 0.9 * sine(across * 17.0));
        0.026 * gather * (pleat + 0.28 * sine(across * 124.0 + 1.3 + swing))
    }
}

impl Solid for Curtain {
    fn distance(&self, p: V3) -> f64 {
        let gather = 0.55 + 0.45 * smooth(0.0, 0.45, (p.y + 0.22).abs());
        // A pleat is steep: the gap along z is about twice the distance.
        let sheet = ((p.z - Self::middle(p)).abs() - 0.005) * 0.42;
        sheet.max(p.x.abs() - 0.235 * gather).max(p.y.abs() - 0.66)
    }

    fn material(&self, _: V3) -> Material {
        Material::Curtain
    }
}

/// A wool blanket thrown over the front edge of a table: the origin is on the edge, −z hangs down towards the camera.
pub(super) struct Blanket;

impl Blanket {
    fn lift(p: V3) -> f64 {
        let wrinkle = 0.016 * sine(p.x * 21.0 + 1.8 * sine(p.z * 14.0)) + 0.010 * sine(p.x * 9.0 - p.z * 23.0 + 0.7);
        0.016 + (wrinkle + 0.012 * sine(p.z * 31.0 + p.x * 13.0)).max(-0.012)
    }

    fn out(p: V3) -> f64 {
        let fall = smooth(0.02, -0.30, p.y);
        let fold = sine(p.x * 31.0 + 0.8 * sine(p.x * 11.0) + p.y * 2.0);
        0.018 + fall * (0.034 + 0.034 * fold) + 0.004 * sine(p.y * 40.0 + p.x * 25.0)
    }
}

impl Solid for Blanket {
    fn distance(&self, p: V3) -> f64 {
        // The solid of table and cloth together, rounded over the edge.
        let above = (p.y - Self::lift(p)) * 0.8;
        let front = (-p.z - Self::out(p)) * 0.6;
        let round = 0.05;
        let corner = v3((above + round).max(0.0), (front + round).max(0.0), 0.0).length();
        let whole = corner - round + (above.max(front) + round).min(0.0);
        let hem = 0.012 * sine(p.z * 17.0) + 0.010 * sine(p.y * 21.0);
        whole.max(p.x.abs() - 0.235 - hem).max(p.z - 0.40 - 0.02 * sine(p.x * 13.0)).max(-0.42 - p.y)
    }

    fn material(&self, _: V3) -> Material {
        Material::Blanket
    }
}

/// A coil of laid rope hung on a hook, in the plane z = 0, with a lashing at the top.
pub(super) struct Coil;

impl Solid for Coil {
    fn distance(&self, p: V3) -> f64 {
        let mut nearest = f64::INFINITY;
        let rings = [(0.150, 0.0, 0.0), (0.138, 0.016, -0.022), (0.162, -0.012, 0.020), (0.128, 0.004, 0.026)];
        for (radius, aside, ahead) in rings {
            let q = v3(p.x - aside * 0.6, (p.y + aside) * 0.86, p.z - ahead);
            // What is too far away to matter: angles are dear.
            let away = (q.x * q.x + q.y * q.y).sqrt() - radius;
            let rough = (away * away + q.z * q.z).sqrt() - 0.022;
            if rough > 0.012 {
                nearest = nearest.min(rough * 0.8);
                continue;
            }
            let angle = atan2(q.y, q.x);
            let around = away - 0.006 * sine(angle * 3.0 + aside * 200.0);
            let turn = atan2(q.z, around);
            let strand = 0.0022 * cosine(3.0 * turn + angle * 42.0);
            let thick = (around * around + q.z * q.z).sqrt() - 0.0135 - strand;
            nearest = nearest.min(thick * 0.8);
        }
        let lashing = v3(p.x * 0.8, p.y - 0.165, p.z);
        let band = ring(v3(lashing.z, lashing.y, lashing.x), 0.036, 0.018 + 0.003 * sine(p.x * 260.0));
        joined(nearest, band, 0.006)
    }

    fn material(&self, _: V3) -> Material {
        Material::Rope
    }
}

/// A life ring in the plane z = 0, 0.42 m across with its line.
pub(super) struct LifeRing;

impl Solid for LifeRing {
    fn distance(&self, p: V3) -> f64 {
        let flat = v3(p.x, p.y, p.z * 1.15);
        let body = ring(flat, 0.150, 0.044) * 0.9;
        // A grab line that bows out between four bands.
        let angle = atan2(p.y, p.x);
        let bow = 0.199 + 0.009 * cosine(angle * 4.0 + std::f64::consts::PI).abs();
        body.min(ring(v3(p.x, p.y, p.z + 0.008), bow, 0.006))
    }

    fn material(&self, p: V3) -> Material {
        let around = (p.x * p.x + p.y * p.y).sqrt();
        if around > 0.1955 {
            return Material::Rope;
        }
        let (x, y) = ((p.x + p.y).abs(), (p.x - p.y).abs());
        if x.min(y) < 0.050 { Material::RingBand } else { Material::RingBody }
    }
}

//! The light that leaves a point towards the eye.

use super::material::{CARD, Material};
use super::noise::square_point;
use super::outside::outside;
use super::set::{BULB, LINE, WAVE_STEPS, wave};
use super::shapes::Ray;
use super::vector::{V3, smooth, v3};
use super::world::{Hit, World};
use crate::maths::{GREY, cos, sin};

/// What reaches a point: how much of each light is not hindered (0..1), and the light from everything else.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Lit {
    pub seen: [f64; 3],
    pub around: V3,
}

/// Sample points of the key, each window, and the surroundings: in every pixel. Sixteen neighbours share theirs.
const SAMPLES: [usize; 3] = [2, 2, 1];
const AROUND: usize = 2;

/// Light that a surface sends to itself begins this far away, metres.
const LIFT: f64 = 0.004;

/// What a ray from the eye meets behind glass, and the glass.
pub(super) struct Sight {
    pub hit: Hit,
    /// What glass lets through.
    pub through: V3,
    /// What it mirrors.
    pub added: V3,
}

impl World {
    /// Looks through glass to what stands behind. `mirrors`: whether the glass's own reflections are wanted.
    pub fn sight(&self, ray: &Ray, mirrors: bool) -> Sight {
        let (mut through, mut added) = (V3::ONE, V3::ZERO);
        let mut ray = *ray;
        loop {
            let hit = self.meet(&ray, 1e-4);
            if !hit.material.is_clear() {
                return Sight { hit, through, added };
            }
            let facing = 1.0 - hit.normal.dot(-ray.along).clamp(0.0, 1.0);
            let fresnel = 0.07 + 0.93 * facing * facing * facing * facing * facing;
            if mirrors {
                let mirrored = Ray::new(hit.point + hit.normal * LIFT, ray.along.mirrored(hit.normal));
                added += through * self.glimpse(&mirrored) * fresnel;
            }
            let tint = if hit.material == Material::Drink { v3(0.80, 0.46, 0.13) } else { v3(0.95, 0.97, 0.96) };
            through = through * tint * (1.0 - fresnel);
            // Thick glass bends what is behind it.
            ray = Ray::new(hit.point, (ray.along - hit.normal * (0.10 * facing)).unit());
        }
    }

    /// What reaches a point, by the sample points of one of sixteen sets.
    pub fn lit(&self, hit: &Hit, set: usize, more: usize) -> Lit {
        if hit.material.is_light() || matches!(hit.material, Material::Reference(_) | Material::Chrome) {
            return Lit::default();
        }
        let from = hit.point + hit.normal * LIFT;
        let mut seen = [0.0; 3];
        for (which, light) in self.lights.iter().enumerate() {
            let count = SAMPLES[which] * more;
            if light.form(hit.point, hit.normal, 0.3) == 0.0 {
                continue;
            }
            let clear = (0..count).filter(|sample| {
                let to = light.point(square_point(set * count + sample));
                (to - from).dot(hit.normal) > -0.2 && !self.blocked(from, to)
            });
            seen[which] = clear.count() as f64 / count as f64;
        }
        let [first, second] = hit.normal.sides();
        let mut around = V3::ZERO;
        let count = AROUND * more;
        for sample in 0..count {
            let [u, v] = square_point(set * count + sample + 7);
            let (radius, angle) = (u.sqrt(), v * std::f64::consts::TAU);
            let along = first * (radius * cos(angle)) + second * (radius * sin(angle)) + hit.normal * (1.0 - u).sqrt();
            around += self.thrown_back(&Ray::new(from, along));
        }
        Lit { seen, around: around * (1.0 / count as f64) }
    }

    /// Light from surfaces around: what they throw back of the lights, without shadows, or the mean of the room.
    fn thrown_back(&self, ray: &Ray) -> V3 {
        let hit = self.meet(ray, 1e-4);
        let palette = &self.palette;
        match hit.material {
            // They are lights of their own.
            material if material.is_light() => V3::ZERO,
            material => {
                let deep = in_niche(hit.point);
                let key = self.lights[0].form(hit.point, hit.normal, 0.0) * if deep { 0.0 } else { 0.50 };
                let low = smooth(0.1, 1.1, hit.point.y) * if deep { 0.22 } else { 1.0 };
                let window = self.lights[1].form(hit.point, hit.normal, 0.0) * 0.45 + 0.012;
                let light = self.lights[0].colour * key
                    + self.lights[1].colour * (window * low)
                    + v3(1.06, 0.99, 0.88) * (0.034 * low);
                material.plain(palette) * light
            }
        }
    }

    /// What shines by itself.
    fn shining(&self, material: Material, ray: &Ray, hit: &Hit) -> V3 {
        let palette = &self.palette;
        let facing = hit.normal.dot(-ray.along).clamp(0.0, 1.0);
        match material {
            Material::TubeMagenta => palette.magenta * (0.35 + 0.40 * facing),
            Material::TubeCyan => palette.cyan * (0.40 + 0.55 * facing),
            // 6 to 8 stops over grey.
            Material::Bulb => palette.bulb * (10.0 + 28.0 * facing * facing * facing),
            Material::Lamp => self.lights[0].colour * (0.35 + 0.65 * facing),
            Material::LeftWindow => self.lights[1].colour * (1.0 + 1.6 * smooth(1.3, 2.0, hit.point.y)),
            _ => outside(palette, ray),
        }
    }

    /// The light that leaves a point towards the eye.
    pub fn colour(&self, ray: &Ray, hit: &Hit, lit: &Lit, mirrors: bool) -> V3 {
        let palette = &self.palette;
        match hit.material {
            material if material.is_light() => return self.shining(material, ray, hit),
            Material::Reference(CARD) => return V3::ONE * GREY,
            Material::Reference(place) => return palette.chart[place],
            Material::Chrome if mirrors => {
                let mirrored = Ray::new(hit.point + hit.normal * LIFT, ray.along.mirrored(hit.normal));
                return self.glimpse(&mirrored) * v3(0.86, 0.87, 0.89);
            }
            _ => {}
        }
        let look = hit.material.look(palette, hit.point, hit.normal);
        let to_eye = -ray.along;
        let (mut diffuse, mut shine) = (lit.around, V3::ZERO);
        for (light, seen) in self.lights.iter().zip(lit.seen) {
            if seen > 0.0 {
                diffuse += light.colour * light.form_soft(hit.point, look.normal, look.soft) * seen;
                if hit.material != Material::Table {
                    let lobe = light.highlight(hit.point, look.normal, to_eye, [look.gloss, look.rough]);
                    shine += light.colour * (lobe * seen);
                }
            }
        }
        diffuse += self.small_lights(hit.point, look.normal);
        let mut colour = look.albedo * diffuse + shine;
        if hit.material == Material::Table && mirrors {
            let facing = 1.0 - look.normal.dot(to_eye).clamp(0.0, 1.0);
            let fresnel = look.gloss + (1.0 - look.gloss) * facing * facing * facing * facing * facing;
            let mirrored = Ray::new(hit.point + hit.normal * LIFT, ray.along.mirrored(hit.normal));
            colour += self.glimpse(&mirrored) * (fresnel * 0.45);
        }
        colour
    }

    /// The tubes and the bulb, near by: without shadows.
    fn small_lights(&self, point: V3, normal: V3) -> V3 {
        let palette = &self.palette;
        let reach = |from: V3| {
            let way = from - point;
            let square = way.dot(way) + 0.002;
            (way.dot(normal) / square.sqrt()).max(0.0) / square
        };
        let mut sum = V3::ZERO;
        if point.z < 4.02 && (point - wave(WAVE_STEPS / 2)).length() < 1.6 {
            for place in 0..6 {
                let share = (place as f64 + 0.5) / 6.0;
                let from = LINE[0].mix(LINE[1], share);
                sum += palette.cyan * (0.0022 * reach(from));
                sum += palette.magenta * (0.0032 * reach(wave(place * 6 + 3)));
            }
        }
        // The shade lets the bulb shine down only.
        let below = smooth(-0.25, -0.55, (point - BULB).unit().y);
        sum + palette.bulb * (0.035 * below * reach(BULB) * if in_niche(point) { 0.0 } else { 1.0 })
    }

    /// What a mirror shows: the scene with simpler light.
    fn glimpse(&self, ray: &Ray) -> V3 {
        let Sight { hit, through, .. } = self.sight(ray, false);
        let from = hit.point + hit.normal * LIFT;
        let dark = if in_niche(hit.point) { 0.02 } else { 1.0 };
        let key = !hit.material.is_light() && !self.blocked(from, self.lights[0].centre);
        let lit = Lit {
            seen: [f64::from(key), 0.75 * dark, 0.75 * dark],
            around: (self.palette.window * 0.02 + V3::ONE * 0.05) * dark,
        };
        through * self.colour(ray, &hit, &lit, false)
    }
}

/// Inside the locker, or behind the partition.
fn in_niche(point: V3) -> bool {
    point.x > 0.79 && point.z > 4.02 && point.z < 5.9
}

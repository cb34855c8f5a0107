//! The light that leaves a point towards the eye.

use super::arriving::{Arriving, LOCKER, below_the_shade};
use super::material::{CARD, Material};
use super::noise::square_point;
use super::outside::outside;
use super::set::{BULB, LOCKER_LAMP, WAVE_STEPS, wave};
use super::shapes::Ray;
use super::vector::{V3, cosine, sine, smooth, v3};
use super::world::{Hit, World};
use crate::maths::GREY;

/// Where the lights stand in [`Lit::seen`]: the key and the two windows, the tubes, the pendant's bulb, the locker's lamp.
pub(super) const KEY: usize = 0;
pub(super) const TUBES_SEEN: usize = 3;
pub(super) const BULB_SEEN: usize = 4;
pub(super) const LOCKER_SEEN: usize = 5;

/// What reaches a point: how much of each light is not hindered (0..1), and the light from everything else.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Lit {
    pub seen: [f64; 6],
    pub around: V3,
}

impl Lit {
    pub fn add(&mut self, other: &Self) {
        for (total, seen) in self.seen.iter_mut().zip(other.seen) {
            *total += seen;
        }
        self.around += other.around;
    }

    pub fn times(&self, factor: f64) -> Self {
        Self { seen: self.seen.map(|seen| seen * factor), around: self.around * factor }
    }
}

/// So many walls of glass are looked through; there are four in a row at most.
const MOST_PANES: usize = 16;

/// Rays to the key, each window, and the surroundings: from every place where light is gathered.
/// Sixteen neighbours share theirs.
const RAYS: [usize; 3] = [2, 2, 1];
const AROUND: usize = 3;

/// Light that a surface sends to itself begins this far away, metres.
const LIFT: f64 = 0.004;

/// Reflectance of the table's varnish, straight on.
const VARNISH: f64 = 0.05;

/// Tubes farther away than this send nothing that is seen, metres.
const TUBES_REACH: f64 = 2.6;

/// What a ray from the eye meets behind glass, and the glass.
pub(super) struct Sight {
    pub hit: Hit,
    /// What glass lets through.
    pub through: V3,
    /// What it mirrors.
    pub added: V3,
}

impl Sight {
    /// Without glass.
    pub fn plain(hit: Hit) -> Self {
        Self { hit, through: V3::ONE, added: V3::ZERO }
    }
}

impl World {
    /// Looks through glass to what stands behind. `mirrors`: whether the glass's own reflections are wanted.
    pub fn sight(&self, ray: &Ray, mirrors: bool) -> Sight {
        let (mut through, mut added) = (V3::ONE, V3::ZERO);
        let mut ray = *ray;
        let mut panes = 0;
        loop {
            let hit = self.meet(&ray, 1e-4, true);
            panes += 1;
            if panes > MOST_PANES || !hit.material.is_clear() {
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

    /// What reaches a point, by the rays of one of the sets.
    pub fn lit(&self, hit: &Hit, set: usize, more: usize) -> Lit {
        if !hit.material.is_lit() {
            return Lit::default();
        }
        let mut lit = Lit::default();
        for (which, rays) in RAYS.into_iter().enumerate() {
            // The key's are to tell where its shadow has an edge, which has rays of its own.
            lit.seen[which] = self.seen_of(which, hit, set, rays * more, which == KEY);
        }
        self.small_seen(hit, set, more, &mut lit.seen);
        let from = hit.point + hit.normal * LIFT;
        let [first, second] = hit.normal.sides();
        let count = AROUND * more;
        for sample in 0..count {
            let [u, v] = square_point(set * count + sample + 7);
            let (radius, angle) = (u.sqrt(), v * std::f64::consts::TAU);
            let along =
                first * (radius * cosine(angle)) + second * (radius * sine(angle)) + hit.normal * (1.0 - u).sqrt();
            lit.around += self.thrown_back(&Ray::new(from, along));
        }
        lit.around = lit.around * (1.0 / count as f64);
        lit
    }

    /// How much of the key is seen.
    pub fn seen_of_key(&self, hit: &Hit, set: usize, rays: usize) -> f64 {
        self.seen_of(KEY, hit, set, rays, false)
    }

    fn seen_of(&self, which: usize, hit: &Hit, set: usize, rays: usize, wider: bool) -> f64 {
        let light = &self.lights[which];
        // The flag keeps the key from the locker altogether.
        if !light.reaches(hit.point, hit.normal) || (which == KEY && in_niche(hit.point)) {
            return 0.0;
        }
        let from = hit.point + hit.normal * LIFT;
        let clear = (0..rays).filter(|ray| {
            let place = square_point(set * rays + ray);
            let to = if wider { light.point_around(place) } else { light.point(place) };
            (to - from).dot(hit.normal) > -0.2 && !self.blocked(from, to)
        });
        clear.count() as f64 / rays as f64
    }

    /// How much is seen of the tubes, the bulb and the locker's lamp.
    fn small_seen(&self, hit: &Hit, set: usize, more: usize, seen: &mut [f64; 6]) {
        let from = hit.point + hit.normal * LIFT;
        let clear = |to: V3| (to - from).dot(hit.normal) > -0.02 && !self.blocked(from, to);
        let share = 1.0 / more as f64;
        for ray in 0..more {
            let [u, v] = square_point(set * more + ray);
            let [away, aside] = [u - 0.5, v - 0.5];
            if hit.point.z < 4.02 {
                // Along the wave: the line runs close under it.
                let place = wave((v * WAVE_STEPS as f64) as usize);
                let near = smooth(TUBES_REACH, 1.5, (place - hit.point).length());
                if near > 0.0 && clear(place) {
                    seen[TUBES_SEEN] += near * share;
                }
            }
            let bulb = BULB + v3(away, 0.0, aside) * 0.06;
            if below_the_shade(hit.point) > 0.0 && clear(bulb) {
                seen[BULB_SEEN] += share;
            }
            if in_niche(hit.point) && clear(LOCKER_LAMP + v3(away * 0.16, 0.0, aside * 0.08)) {
                seen[LOCKER_SEEN] += share;
            }
        }
    }

    /// Light from surfaces around: what they throw back of the lights, of the key with its shadow, or the mean of the room.
    fn thrown_back(&self, ray: &Ray) -> V3 {
        let hit = self.meet(ray, 1e-4, false);
        let palette = &self.palette;
        if hit.material.is_light() {
            // They are lights of their own.
            return V3::ZERO;
        }
        let (key, left) = (&self.lights[KEY], &self.lights[1]);
        let reflectance = hit.material.plain(palette);
        let window = left.form(hit.point, hit.normal);
        if in_niche(hit.point) {
            let way = LOCKER_LAMP - hit.point;
            let square = way.dot(way) + 0.02;
            let lamp = (way.dot(hit.normal) / square.sqrt()).max(0.0) / square;
            return reflectance
                * (palette.bulb * (LOCKER * lamp)
                    + (left.colour * ((window * 0.45 + 0.012) * 0.30) + v3(1.06, 0.99, 0.88) * 0.0075)
                        * smooth(0.25, 1.45, hit.point.y));
        }
        let mut light = v3(1.06, 0.99, 0.88) * 0.034 + left.colour * (window * 0.45 + 0.012);
        light = light * smooth(0.1, 1.1, hit.point.y);
        let straight = key.form(hit.point, hit.normal);
        if straight > 0.02 && !self.blocked(hit.point + hit.normal * LIFT, key.centre) {
            light += key.colour * straight;
        }
        reflectance * light
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
    pub fn colour(&self, ray: &Ray, hit: &Hit, arriving: &Arriving, mirrors: bool) -> V3 {
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
        let mut shine = V3::ZERO;
        if hit.material != Material::Table && look.gloss > 0.0 {
            for (light, seen) in self.lights.iter().zip(arriving.seen) {
                if seen > 0.0 {
                    let lobe = light.highlight(hit.point, look.normal, to_eye, [look.gloss, look.rough]);
                    shine += light.colour * (lobe * seen);
                }
            }
        }
        let diffuse = arriving.diffuse(look.normal, look.soft);
        let mut colour = look.albedo * diffuse + shine;
        if hit.material == Material::Table && mirrors {
            colour += self.varnish(ray, hit);
        }
        colour
    }

    /// What the table's varnish mirrors.
    pub fn varnish(&self, ray: &Ray, hit: &Hit) -> V3 {
        let facing = 1.0 - hit.normal.dot(-ray.along).clamp(0.0, 1.0);
        let fresnel = VARNISH + (1.0 - VARNISH) * facing * facing * facing * facing * facing;
        let mirrored = Ray::new(hit.point + hit.normal * LIFT, ray.along.mirrored(hit.normal));
        self.glimpse(&mirrored) * (fresnel * 0.45)
    }

    /// What a mirror shows: the scene with simpler light.
    fn glimpse(&self, ray: &Ray) -> V3 {
        let Sight { hit, through, .. } = self.sight(ray, false);
        let from = hit.point + hit.normal * LIFT;
        let dark = if in_niche(hit.point) { 0.02 } else { 1.0 };
        let key = hit.material.is_lit() && !in_niche(hit.point) && !self.blocked(from, self.lights[0].centre);
        let lit = Lit {
            seen: [f64::from(key), 0.75 * dark, 0.75 * dark, dark, dark, 0.0],
            around: (self.palette.window * 0.02 + V3::ONE * 0.05) * dark,
        };
        through * self.colour(ray, &hit, &Arriving::new(self, &hit, &lit), false)
    }
}

/// Inside the locker, or behind the partition.
pub(super) fn in_niche(point: V3) -> bool {
    point.x > 0.90 && point.z > 4.02 && point.z < 5.9
}

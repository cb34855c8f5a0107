//! Light that arrives at a point, before it is known which way the surface there is turned: worked out once for all looks at
//! a pixel.

use super::set::{BULB, LINE, LOCKER_LAMP, WAVE_STEPS, wave};
use super::shade::{BULB_SEEN, KEY, LOCKER_SEEN, Lit, TUBES_SEEN, in_niche};
use super::vector::{V3, smooth, v3};
use super::world::{Hit, World};

/// One beam: the way to a part of a light, times the strength with which it arrives.
#[derive(Clone, Copy)]
struct Beam {
    way: V3,
    /// The length of `way`.
    strength: f64,
    colour: V3,
}

/// The most beams: four for each of three large lights, three for each tube, the bulb, the locker's lamp.
const MOST: usize = 20;

/// The light at a point.
pub(super) struct Arriving {
    beams: [Beam; MOST],
    count: usize,
    around: V3,
    /// How much of the large lights is seen.
    pub seen: [f64; 3],
}

/// Steps along the tubes that stand for the whole.
const TUBE_PARTS: usize = 3;

/// How bright the small lights are, on a surface at a distance of a metre: this project's own choice.
const CYAN: f64 = 0.0044;
const MAGENTA: f64 = 0.0064;
const PENDANT: f64 = 0.035;
pub(super) const LOCKER: f64 = 0.085;

impl Arriving {
    /// What arrives at a point, for a simpler look at it or for the eye.
    pub fn new(world: &World, hit: &Hit, lit: &Lit) -> Self {
        let nothing = Beam { way: V3::ZERO, strength: 0.0, colour: V3::ZERO };
        let seen = [lit.seen[KEY], lit.seen[KEY + 1], lit.seen[KEY + 2]];
        let mut all = Self { beams: [nothing; MOST], count: 0, around: lit.around, seen };
        if !hit.material.is_lit() {
            return all;
        }
        for (light, seen) in world.lights.iter().zip(seen) {
            if seen > 0.0 {
                for (way, strength) in light.ways(hit.point) {
                    if strength > 0.0 {
                        all.push(Beam { way, strength, colour: light.colour * seen });
                    }
                }
            }
        }
        all.add_small(world, hit.point, lit);
        all
    }

    fn push(&mut self, beam: Beam) {
        if let Some(place) = self.beams.get_mut(self.count) {
            *place = beam;
            self.count += 1;
        }
    }

    fn add_point(&mut self, point: V3, from: V3, colour: V3) {
        let way = from - point;
        let square = way.dot(way) + 0.002;
        let strength = 1.0 / square;
        self.push(Beam { way: way * (strength / square.sqrt()), strength, colour });
    }

    /// The tubes, the bulb and the locker's lamp.
    fn add_small(&mut self, world: &World, point: V3, lit: &Lit) {
        let palette = &world.palette;
        if lit.seen[TUBES_SEEN] > 0.0 {
            for place in 0..TUBE_PARTS {
                let share = (place as f64 + 0.5) / TUBE_PARTS as f64;
                let step = place * (WAVE_STEPS / TUBE_PARTS) + WAVE_STEPS / TUBE_PARTS / 2;
                self.add_point(point, LINE[0].mix(LINE[1], share), palette.cyan * (CYAN * lit.seen[TUBES_SEEN]));
                self.add_point(point, wave(step), palette.magenta * (MAGENTA * lit.seen[TUBES_SEEN]));
            }
        }
        if lit.seen[BULB_SEEN] > 0.0 {
            let below = below_the_shade(point);
            self.add_point(point, BULB, palette.bulb * (PENDANT * below * lit.seen[BULB_SEEN]));
        }
        if lit.seen[LOCKER_SEEN] > 0.0 {
            self.add_point(point, LOCKER_LAMP, palette.bulb * (LOCKER * lit.seen[LOCKER_SEEN]));
        }
    }

    /// On a surface turned this way; `soft` lets light reach round the edge, red farthest, as in skin.
    pub fn diffuse(&self, normal: V3, soft: V3) -> V3 {
        let mut sum = self.around;
        let scale = v3(1.0 / (1.0 + soft.x), 1.0 / (1.0 + soft.y), 1.0 / (1.0 + soft.z));
        for beam in &self.beams[..self.count] {
            let reach = (V3::ONE * beam.way.dot(normal) + soft * beam.strength).max(V3::ZERO);
            sum += beam.colour * reach * scale;
        }
        sum
    }
}

/// The shade lets the bulb shine down only.
pub(super) fn below_the_shade(point: V3) -> f64 {
    if in_niche(point) { 0.0 } else { smooth(-0.25, -0.55, (point - BULB).unit().y) }
}

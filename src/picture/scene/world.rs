//! The room around the set, and what a ray meets.

use super::lights::{Lights, lights};
use super::material::Material;
use super::outside::is_deck;
use super::palette::Palette;
use super::set::{Group, Thing, board_material, groups};
use super::shapes::Ray;
use super::vector::{V3, v3};

/// The room: left, right, floor, ceiling, the wall behind the camera, and the wall with the windows.
const LEFT: f64 = -2.6;
const RIGHT: f64 = 2.9;
const CEILING: f64 = 2.45;
const BEHIND: f64 = -2.5;
pub(super) const BACK: f64 = 6.0;

/// How deep the windows sit in the wall.
const DEPTH: f64 = 0.11;

/// Nothing is farther.
const FAR: f64 = 100.0;

/// Where a ray met something.
#[derive(Clone, Copy, Debug)]
pub(super) struct Hit {
    pub distance: f64,
    pub point: V3,
    /// Towards where the ray came from.
    pub normal: V3,
    pub material: Material,
    /// Which thing it is, so that light is shared between pixels of one thing only.
    pub thing: u32,
}

/// The whole scene.
pub(super) struct World {
    pub palette: Palette,
    pub lights: Lights,
    groups: Vec<Group>,
}

impl World {
    pub fn new() -> Self {
        let palette = Palette::new();
        Self { lights: lights(&palette), palette, groups: groups() }
    }

    /// What a ray meets first, at least `near` away; `fine`: as the eye sees it, and not as light that is thrown back needs it.
    pub fn meet(&self, ray: &Ray, near: f64, fine: bool) -> Hit {
        self.meet_among(0..self.groups.len(), ray, near, fine)
    }

    /// Of the room and some of the groups, by their numbers.
    fn meet_among(&self, among: impl Iterator<Item = usize>, ray: &Ray, near: f64, fine: bool) -> Hit {
        let mut nearest = room(ray);
        for number in among {
            let group = &self.groups[number];
            if group.bounds.clip(ray, near, nearest.distance).is_none() {
                continue;
            }
            for (place, thing) in group.things.iter().enumerate() {
                let found = match thing {
                    Thing::Shape(shape, material) => {
                        shape.meet(ray, near, nearest.distance).map(|(distance, normal)| (distance, normal, *material))
                    }
                    Thing::Solid(solid) if fine => solid.meet(ray, near, nearest.distance),
                    Thing::Solid(solid) => solid.meet_roughly(ray, near, nearest.distance),
                };
                if let Some((distance, normal, material)) = found {
                    let thing = (number as u32 + 1) * 256 + place as u32;
                    nearest = Hit { distance, normal, material, thing, point: ray.at(distance) };
                }
            }
        }
        if nearest.normal.dot(ray.along) > 0.0 {
            nearest.normal = -nearest.normal;
        }
        if nearest.material == Material::Board && nearest.normal.z < -0.5 {
            nearest.material = board_material(nearest.point);
        }
        if nearest.material == Material::Table && nearest.normal.y < 0.5 {
            nearest.material = Material::TableEdge;
        }
        nearest
    }

    /// What a ray from the eye meets of the room and of the groups of those hits.
    pub fn meet_of<'a>(&self, seen: impl Iterator<Item = &'a Hit>, ray: &Ray) -> Hit {
        let mut wanted = 0u64;
        for hit in seen {
            if let Some(number) = (hit.thing / 256).checked_sub(1) {
                wanted |= 1 << number;
            }
        }
        let among = (0..self.groups.len()).filter(|number| wanted >> number & 1 == 1);
        self.meet_among(among, ray, 1e-4, true)
    }

    /// What a ray meets of one thing that is known to be seen there, not nearer than that; for things whose outline is dear.
    pub fn meet_again(&self, seen: &Hit, ray: &Ray, near: f64) -> Option<Hit> {
        let group = self.groups.get((seen.thing / 256).checked_sub(1)? as usize)?;
        let Thing::Solid(solid) = group.things.get(seen.thing as usize % 256)? else { return None };
        let (distance, normal, material) = solid.meet(ray, near, FAR)?;
        let normal = if normal.dot(ray.along) > 0.0 { -normal } else { normal };
        Some(Hit { distance, normal, material, thing: seen.thing, point: ray.at(distance) })
    }

    /// Whether anything stands between two points.
    pub fn blocked(&self, from: V3, to: V3) -> bool {
        let way = to - from;
        let far = way.length();
        let ray = Ray::new(from, way * (1.0 / far));
        self.groups.iter().filter(|group| group.shadows).any(|group| {
            group.bounds.clip(&ray, 0.0, far).is_some()
                && group.things.iter().any(|thing| match thing {
                    Thing::Shape(shape, _) => shape.blocks(&ray, 1e-4, far),
                    Thing::Solid(solid) => solid.blocks(&ray, 0.0, far),
                })
        })
    }
}

/// How far a point of the back wall is outside its windows; below zero in one.
fn outside_windows(x: f64, y: f64) -> f64 {
    let pane = |left: f64, right: f64| {
        let (low, high, round) = (1.02, 1.98, 0.11);
        let dx = ((x - (left + right) * 0.5).abs() - (right - left) * 0.5 + round).max(0.0);
        let dy = ((y - (low + high) * 0.5).abs() - (high - low) * 0.5 + round).max(0.0);
        (dx * dx + dy * dy).sqrt() - round
    };
    pane(-2.30, -1.00).min(pane(-0.84, 0.36))
}

/// The walls, floor and ceiling; all rays start inside.
fn room(ray: &Ray) -> Hit {
    let planes = [
        ((LEFT - ray.from.x) / ray.along.x, v3(1.0, 0.0, 0.0), Material::SideWall),
        ((RIGHT - ray.from.x) / ray.along.x, v3(-1.0, 0.0, 0.0), Material::SideWall),
        (-ray.from.y / ray.along.y, v3(0.0, 1.0, 0.0), Material::Floor),
        ((CEILING - ray.from.y) / ray.along.y, v3(0.0, -1.0, 0.0), Material::Ceiling),
        ((BEHIND - ray.from.z) / ray.along.z, v3(0.0, 0.0, 1.0), Material::SideWall),
        ((BACK - ray.from.z) / ray.along.z, v3(0.0, 0.0, -1.0), Material::BackWall),
    ];
    let mut hit = Hit { distance: FAR, point: ray.at(FAR), normal: -ray.along, material: Material::Outside, thing: 1 };
    for (place, (distance, normal, material)) in planes.into_iter().enumerate() {
        if normal.dot(ray.along) < 0.0 && distance > 0.0 && distance < hit.distance {
            hit = Hit { distance, point: ray.at(distance), normal, material, thing: place as u32 + 2 };
        }
    }
    if hit.material == Material::BackWall {
        window(ray, hit)
    } else if hit.thing == 2 && (1.0..2.1).contains(&hit.point.y) && (0.8..3.8).contains(&hit.point.z) {
        Hit { material: Material::LeftWindow, ..hit }
    } else {
        hit
    }
}

/// The back wall, or what stands behind one of its windows: the reveal, or the world outside.
fn window(ray: &Ray, wall: Hit) -> Hit {
    let edge = outside_windows(wall.point.x, wall.point.y);
    if edge > 0.0 {
        // A rim of metal round each pane.
        let rim = edge < 0.028;
        return if rim { Hit { material: Material::Steel, thing: 20, ..wall } } else { wall };
    }
    let through = wall.distance + DEPTH / ray.along.z;
    let leaving = ray.at(through);
    if outside_windows(leaving.x, leaving.y) < 0.0 {
        let (material, thing) = if is_deck(ray) { (Material::Deck, 22) } else { (Material::Outside, 1) };
        return Hit { distance: through, point: leaving, material, thing, ..wall };
    }
    // Halving finds where the ray runs into the reveal.
    let (mut clear, mut stopped) = (wall.distance, through);
    for _ in 0..14 {
        let middle = (clear + stopped) * 0.5;
        let point = ray.at(middle);
        if outside_windows(point.x, point.y) < 0.0 { clear = middle } else { stopped = middle }
    }
    let point = ray.at(clear);
    let slope =
        |dx: f64, dy: f64| outside_windows(point.x + dx, point.y + dy) - outside_windows(point.x - dx, point.y - dy);
    let normal = -v3(slope(1e-3, 0.0), slope(0.0, 1e-3), 0.0).unit();
    Hit { distance: clear, point, normal, material: Material::Reveal, thing: 21 }
}

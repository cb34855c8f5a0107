//! The set: the lounge of a car ferry at dusk. Metres; x to the right, y up from the floor, z away from the camera.

use super::bust::{BUST_BOUNDS, Bust, Top};
use super::cloth::{Blanket, Coil, Curtain, LifeRing};
use super::material::{CARD, Material};
use super::shapes::{Bounds, Shape};
use super::solid::{Placed, Solid};
use super::vector::{V3, v3};
use crate::maths::{cos, sin};

/// One thing of the set.
pub(super) enum Thing {
    Shape(Shape, Material),
    Solid(Placed),
}

/// Things that stand together, and the box around them.
pub(super) struct Group {
    pub bounds: Bounds,
    pub things: Vec<Thing>,
    /// Whether they hinder light.
    pub shadows: bool,
}

/// The height of the table's top.
const TABLE: f64 = 0.86;

/// The chart's board: left edge, lower edge, and distance.
pub(super) const BOARD: V3 = v3(-0.735, 0.905, 2.10);

/// Its size.
pub(super) const BOARD_SIZE: [f64; 2] = [0.285, 0.252];

/// From one patch to the next, and the side of a patch.
const PITCH: f64 = 0.0445;
const PATCH: f64 = 0.0385;

/// Left and lower edge, width and height of a reference field on the board's plane, in metres of the scene.
pub(super) fn reference_field(place: usize) -> [f64; 4] {
    let left = BOARD.x + (BOARD_SIZE[0] - 6.0 * PITCH) * 0.5 + (PITCH - PATCH) * 0.5;
    let above = BOARD.y + BOARD_SIZE[1] - 0.012;
    if place == CARD {
        return [left, BOARD.y + 0.010, 6.0 * PITCH - (PITCH - PATCH), 0.047];
    }
    let (column, row) = ((place % 6) as f64, (place / 6) as f64);
    [left + column * PITCH, above - (row + 1.0) * PITCH + (PITCH - PATCH) * 0.5, PATCH, PATCH]
}

/// What stands at a point of the board's face.
pub(super) fn board_material(point: V3) -> Material {
    let inside = |place: &usize| {
        let [x, y, width, height] = reference_field(*place);
        (x..x + width).contains(&point.x) && (y..y + height).contains(&point.y)
    };
    (0..=CARD).find(inside).map_or(Material::Black, Material::Reference)
}

/// Everything but the room's own walls.
pub(super) fn groups() -> Vec<Group> {
    let mut all = vec![
        table(),
        group(vec![block([-0.735, 0.905, 2.10], [-0.45, 1.157, 2.108], Material::Board)], false),
        on_table(),
        glassware(),
        niche_walls(),
        niche_things(),
        neon(),
        seats(),
        pendant(),
        lamp(),
        flag(),
    ];
    all.extend(busts());
    let bounds = Bounds { low: v3(-0.26, -0.67, -0.06), high: v3(0.26, 0.67, 0.06) };
    all.push(solid(Curtain, v3(-1.90, 1.42, 5.72), 0.0, bounds, 0.011));
    let bounds = Bounds { low: v3(-0.26, -0.43, -0.10), high: v3(0.26, 0.06, 0.43) };
    all.push(solid(Blanket, v3(0.40, TABLE, 1.90), 0.0, bounds, 0.011));
    let bounds = Bounds { low: v3(-0.22, -0.22, -0.055), high: v3(0.22, 0.22, 0.055) };
    all.push(solid(LifeRing, v3(0.615, 1.925, 5.93), 0.0, bounds, 0.011));
    all
}

fn group(things: Vec<Thing>, shadows: bool) -> Group {
    let bounds = things
        .iter()
        .map(|thing| match thing {
            Thing::Shape(shape, _) => shape.bounds(),
            Thing::Solid(solid) => solid.outer_bounds(),
        })
        .reduce(Bounds::joined)
        .unwrap_or(Bounds { low: V3::ZERO, high: V3::ZERO });
    Group { bounds, things, shadows }
}

fn block(low: [f64; 3], high: [f64; 3], material: Material) -> Thing {
    Thing::Shape(Shape::Block { low: low.into(), high: high.into() }, material)
}

fn ball(centre: [f64; 3], radius: f64, material: Material) -> Thing {
    Thing::Shape(Shape::Sphere { centre: centre.into(), radius }, material)
}

fn cone(foot: [f64; 3], height: f64, [below, above]: [f64; 2], open: bool, material: Material) -> Thing {
    Thing::Shape(Shape::Cone { foot: foot.into(), height, below, above, open }, material)
}

fn rod(from: [f64; 3], to: [f64; 3], radius: f64, material: Material) -> Thing {
    Thing::Shape(Shape::Rod { from: from.into(), to: to.into(), radius }, material)
}

fn solid(solid: impl Solid + 'static, at: V3, turn: f64, bounds: Bounds, cell: f64) -> Group {
    let placed = Placed::new(Box::new(solid), at, [sin(turn), cos(turn)], bounds, cell);
    group(vec![Thing::Solid(placed)], true)
}

fn table() -> Group {
    // Its front edge lies below the frame.
    let top = block([-1.30, TABLE - 0.035, 1.86], [0.68, TABLE, 2.50], Material::Table);
    let leg = cone([-0.3, 0.0, 2.2], TABLE - 0.04, [0.05, 0.05], false, Material::Steel);
    group(vec![top, leg], true)
}

fn on_table() -> Group {
    let foot = |x: f64| block([x, TABLE, 2.112], [x + 0.012, 0.94, 2.14], Material::Steel);
    let mat = block([-0.40, TABLE, 2.00], [0.13, TABLE + 0.004, 2.36], Material::Mat);
    let saucer = cone([0.245, TABLE, 2.33], 0.010, [0.040, 0.072], false, Material::Ceramic);
    let cup = cone([0.245, TABLE + 0.010, 2.33], 0.066, [0.028, 0.043], true, Material::Ceramic);
    let coffee = cone([0.245, TABLE + 0.055, 2.33], 0.004, [0.038, 0.039], false, Material::HairDark);
    let handle = rod([0.290, TABLE + 0.028, 2.33], [0.304, TABLE + 0.055, 2.33], 0.006, Material::Ceramic);
    let things = vec![
        foot(-0.70),
        foot(-0.50),
        mat,
        saucer,
        cup,
        coffee,
        handle,
        ball([-0.285, TABLE + 0.004 + 0.078, 2.17], 0.078, Material::Grey),
        ball([-0.085, TABLE + 0.004 + 0.070, 2.12], 0.070, Material::Chrome),
    ];
    group(things, true)
}

fn glassware() -> Group {
    let (x, z) = (0.075, 2.22);
    let wall = cone([x, TABLE + 0.004, z], 0.125, [0.031, 0.037], true, Material::Glass);
    let drink = cone([x, TABLE + 0.016, z], 0.062, [0.0285, 0.031], false, Material::Drink);
    group(vec![wall, drink], false)
}

/// A partition on the right with a dark locker in it, open to the room.
fn niche_walls() -> Group {
    let (front, back, left, right, low, high) = (4.0, 4.75, 0.93, 1.78, 0.30, 1.60);
    let panel = Material::Panel;
    let things = vec![
        block([0.84, 0.0, front], [left, 2.45, front + 0.10], panel),
        block([right, 0.0, front], [2.90, 2.45, front + 0.10], panel),
        block([left, high, front], [right, 2.45, front + 0.10], panel),
        block([left, 0.0, front], [right, low, front + 0.10], panel),
        block([left - 0.04, low, front + 0.10], [left, high, back], Material::Niche),
        block([right, low, front + 0.10], [right + 0.04, high, back], Material::Niche),
        block([left, high, front + 0.10], [right, high + 0.04, back], Material::Niche),
        block([left, low - 0.04, front + 0.10], [right, low, back], Material::Niche),
        block([left - 0.04, low - 0.04, back], [right + 0.04, high + 0.04, back + 0.04], Material::Niche),
        block([0.84, 0.0, front + 0.10], [0.88, 2.45, 6.0], Material::Bulkhead),
    ];
    group(things, true)
}

fn niche_things() -> Group {
    let bounds = Bounds { low: v3(-0.21, -0.23, -0.06), high: v3(0.21, 0.23, 0.06) };
    let coil = Placed::new(Box::new(Coil), v3(1.33, 1.33, 4.60), [sin(0.25), cos(0.25)], bounds, 0.008);
    let crate_at =
        |x: f64, y: f64, z: f64, side: f64| block([x, y, z], [x + side, y + 0.30, z + side], Material::Crate);
    let things = vec![
        Thing::Solid(coil),
        rod([1.33, 1.51, 4.75], [1.33, 1.51, 4.58], 0.010, Material::Steel),
        crate_at(0.97, 0.30, 4.34, 0.36),
        crate_at(1.00, 0.60, 4.38, 0.32),
        crate_at(1.36, 0.30, 4.26, 0.36),
        cone([1.45, 0.60, 4.42], 0.24, [0.085, 0.125], true, Material::Bucket),
        cone([1.45, 0.825, 4.42], 0.016, [0.129, 0.129], true, Material::Steel),
        rod([1.325, 0.835, 4.42], [1.39, 0.72, 4.295], 0.006, Material::Steel),
        rod([1.39, 0.72, 4.295], [1.53, 0.72, 4.30], 0.006, Material::Steel),
        rod([1.53, 0.72, 4.30], [1.575, 0.835, 4.42], 0.006, Material::Steel),
    ];
    group(things, true)
}

/// Where the tubes run: a wave over a line.
pub(super) fn wave(step: usize) -> V3 {
    let place = step as f64 / WAVE_STEPS as f64;
    v3(0.95 + 0.43 * place, 1.765 + 0.034 * sin(place * 5.0 * std::f64::consts::PI), 3.955)
}

/// Pieces of the wave.
pub(super) const WAVE_STEPS: usize = 36;

/// The line under the wave: its ends.
pub(super) const LINE: [V3; 2] = [v3(0.95, 1.690, 3.955), v3(1.38, 1.690, 3.955)];

fn neon() -> Group {
    let mut things: Vec<_> = (0..WAVE_STEPS)
        .map(|step| rod(wave(step).into(), wave(step + 1).into(), 0.0085, Material::TubeMagenta))
        .collect();
    things.push(rod(LINE[0].into(), LINE[1].into(), 0.0070, Material::TubeCyan));
    for x in [0.98, 1.165, 1.35] {
        things.push(rod([x, 1.690, 4.0], [x, 1.690, 3.962], 0.010, Material::Black));
    }
    group(things, false)
}

fn seats() -> Group {
    let mut things = Vec::new();
    for (place, x) in [-2.15, -1.42, -0.69, 0.04].into_iter().enumerate() {
        let lean = 0.01 * place as f64;
        things.push(block([x, 0.35, 5.05 + lean], [x + 0.64, 0.98, 5.17 + lean], Material::Seat));
        things.push(rod([x + 0.05, 0.99, 5.11 + lean], [x + 0.59, 0.99, 5.11 + lean], 0.060, Material::Seat));
    }
    // A bench behind the two in front hides where the busts behind it end.
    things.push(block([-1.62, 0.30, 3.02], [0.60, 0.93, 3.10], Material::Seat));
    things.push(rod([-1.60, 0.935, 3.06], [0.58, 0.935, 3.06], 0.048, Material::Seat));
    group(things, true)
}

/// A caged lamp under the locker's ceiling, out of sight.
pub(super) const LOCKER_LAMP: V3 = v3(1.12, 1.575, 4.30);

/// The bulb of the pendant lamp.
pub(super) const BULB: V3 = v3(-0.545, 1.755, 3.45);

fn pendant() -> Group {
    let V3 { x, y, z } = BULB;
    let things = vec![
        cone([x, y - 0.015, z], 0.11, [0.135, 0.030], true, Material::Shade),
        ball([x, y + 0.005, z], 0.034, Material::Bulb),
        rod([x, y + 0.10, z], [x, 2.45, z], 0.006, Material::Black),
    ];
    group(things, false)
}

fn lamp() -> Group {
    // The key itself, where mirrors see it.
    let things = vec![ball([2.45, 2.30, 0.75], 0.36, Material::Lamp)];
    group(things, false)
}

/// A black flag out of the frame: it keeps the key from the locker's front.
fn flag() -> Group {
    group(vec![block([1.46, 0.90, 2.50], [2.26, 1.95, 2.51], Material::Black)], true)
}

fn busts() -> Vec<Group> {
    let cast = [
        (
            Bust {
                skin: Material::Skin(0),
                garment: Material::KnitNavy,
                hair: Material::HairBrown,
                top: Top::Knot,
                broad: 0.95,
                collar: 0.015,
            },
            v3(-0.225, 1.315, 2.78),
            -0.38,
        ),
        (
            Bust {
                skin: Material::Skin(3),
                garment: Material::ClothWhite,
                hair: Material::HairDark,
                top: Top::Short,
                broad: 1.05,
                collar: 0.045,
            },
            v3(0.335, 1.345, 2.80),
            0.12,
        ),
        (
            Bust {
                skin: Material::Skin(1),
                garment: Material::KnitOchre,
                hair: Material::CapRed,
                top: Top::Cap,
                broad: 1.08,
                collar: 0.05,
            },
            v3(-0.86, 1.425, 3.35),
            -0.30,
        ),
        (
            Bust {
                skin: Material::Skin(2),
                garment: Material::ClothSage,
                hair: Material::HairDark,
                top: Top::Bare,
                broad: 1.0,
                collar: 0.02,
            },
            v3(0.105, 1.40, 3.65),
            0.15,
        ),
    ];
    cast.into_iter().map(|(bust, at, turn)| solid(bust, at, turn, BUST_BOUNDS, 0.012)).collect()
}

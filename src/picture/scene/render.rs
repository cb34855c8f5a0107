//! From the scene to a frame: light is gathered once a pixel and shared among neighbours on the same surface; surfaces are
//! looked at four times a pixel.

use super::material::Material;
use super::noise::pattern;
use super::shade::{Lit, Sight};
use super::shapes::Ray;
use super::vector::{V3, v3};
use super::world::{Hit, World};
use rayon::prelude::*;

/// The eye.
const EYE: V3 = v3(0.0, 1.36, 0.0);

/// Half the width of what is seen, for one metre ahead, in a frame of 16:9.
const HALF_WIDTH: f64 = 0.364;

/// The middle of the frame lies so much below the horizon: a shifted lens, so that what is upright stays so.
const SHIFT: f64 = -0.058;

/// Where in a pixel it is looked at.
const LOOKS: [[f64; 2]; 4] = [[0.375, 0.125], [0.875, 0.375], [0.125, 0.625], [0.625, 0.875]];

/// Rows that are worked on at a time.
const STRIP: usize = 24;

/// Light is shared among 4 × 4 pixels: these before the pixel and those behind.
const BEFORE: usize = 1;
const BEHIND: usize = 2;

/// Which ray belongs to a place in the frame.
#[derive(Clone, Copy, Debug)]
pub(super) struct Lens {
    width: f64,
    height: f64,
    half_width: f64,
    half_height: f64,
}

impl Lens {
    /// Frames wider than 16:9 show more at the sides, others more above and below.
    pub fn new(width: usize, height: usize) -> Self {
        let (width, height) = (width as f64, height as f64);
        let half_height = (HALF_WIDTH * 9.0 / 16.0).max(HALF_WIDTH * height / width);
        Self { width, height, half_width: half_height * width / height, half_height }
    }

    fn ray(&self, x: f64, y: f64) -> Ray {
        let across = (2.0 * x / self.width - 1.0) * self.half_width;
        let up = SHIFT + (1.0 - 2.0 * y / self.height) * self.half_height;
        Ray::new(EYE, v3(across, up, 1.0).unit())
    }

    /// Where a point of the scene is seen, in pixels from the top left.
    pub fn place(&self, point: V3) -> [f64; 2] {
        let seen = (point - EYE) * (1.0 / (point.z - EYE.z));
        let x = (seen.x / self.half_width + 1.0) * 0.5 * self.width;
        let y = (1.0 - (seen.y - SHIFT) / self.half_height) * 0.5 * self.height;
        [x, y]
    }
}

/// What the middle of a pixel shows.
#[derive(Clone, Copy)]
struct Cell {
    hit: Hit,
    lit: Lit,
    /// Seen through glass, or in a mirror.
    bent: bool,
}

impl Cell {
    /// Whether light at this place is light at that one too.
    fn fits(&self, other: &Hit) -> bool {
        self.hit.thing == other.thing
            && self.hit.normal.dot(other.normal) > 0.80
            && (self.hit.point - other.point).dot(other.normal).abs() < 0.012
    }
}

/// Scene light of every pixel, row by row.
pub(super) fn render(world: &World, width: usize, height: usize) -> Vec<f32> {
    let lens = Lens::new(width, height);
    let mut pixels = vec![0.0; width * height * 3];
    pixels.par_chunks_mut(width * 3 * STRIP).enumerate().for_each(|(strip, rows)| {
        let first = strip * STRIP;
        let last = first + rows.len() / (width * 3);
        let cells = Cells::gather(world, &lens, width, first.saturating_sub(BEFORE), (last + BEHIND).min(height));
        for (row, line) in rows.chunks_exact_mut(width * 3).enumerate() {
            let shared: Vec<Lit> = (0..width).map(|x| cells.shared(x, first + row)).collect();
            for (x, pixel) in line.chunks_exact_mut(3).enumerate() {
                let light = cells.pixel(world, &lens, &shared, x, first + row);
                for (sample, value) in pixel.iter_mut().zip([light.x, light.y, light.z]) {
                    *sample = value as f32;
                }
            }
        }
    });
    pixels
}

/// The middles of the pixels of some rows.
struct Cells {
    width: usize,
    first: usize,
    last: usize,
    cells: Vec<Cell>,
}

impl Cells {
    fn gather(world: &World, lens: &Lens, width: usize, first: usize, last: usize) -> Self {
        let mut cells = Vec::with_capacity(width * (last - first));
        for y in first..last {
            for x in 0..width {
                let Sight { hit, through, .. } = world.sight(&lens.ray(x as f64 + 0.5, y as f64 + 0.5), false);
                let bent = through != V3::ONE || hit.material == Material::Chrome;
                cells.push(Cell { hit, lit: world.lit(&hit, pattern(x, y), 1), bent });
            }
        }
        Self { width, first, last, cells }
    }

    fn row(&self, y: usize) -> &[Cell] {
        &self.cells[(y - self.first) * self.width..][..self.width]
    }

    /// The light at a pixel's middle: the mean of those of the 4 × 4 pixels around it that show the same surface.
    fn shared(&self, x: usize, y: usize) -> Lit {
        let middle = &self.row(y)[x];
        let (mut sum, mut count) = (Lit::default(), 0.0);
        if middle.hit.material.is_light() {
            return sum;
        }
        for row in y.saturating_sub(BEFORE).max(self.first)..(y + BEHIND + 1).min(self.last) {
            for cell in &self.row(row)[x.saturating_sub(BEFORE)..(x + BEHIND + 1).min(self.width)] {
                if cell.fits(&middle.hit) {
                    for (total, seen) in sum.seen.iter_mut().zip(cell.lit.seen) {
                        *total += seen;
                    }
                    sum.around += cell.lit.around;
                    count += 1.0;
                }
            }
        }
        Lit { seen: sum.seen.map(|total| total / count), around: sum.around * (1.0 / count) }
    }

    /// Whether a pixel and all around it show the same smooth piece of a surface, so that it is flat enough within a pixel.
    fn is_plain(&self, x: usize, y: usize) -> bool {
        let middle = &self.row(y)[x];
        let inside = x > 0 && x + 1 < self.width && y > self.first && y + 1 < self.last;
        let alike = |cell: &Cell| {
            !cell.bent
                && cell.hit.thing == middle.hit.thing
                && cell.hit.material == middle.hit.material
                && cell.hit.normal.dot(middle.hit.normal) > 0.95
        };
        inside && (y - 1..=y + 1).all(|row| self.row(row)[x - 1..=x + 1].iter().all(alike))
    }

    /// What a ray meets close to a plain pixel's middle: its plane, with the normal between those of the neighbours.
    fn beside(&self, ray: &Ray, [x, y]: [usize; 2], [dx, dy]: [f64; 2]) -> Hit {
        let middle = self.row(y)[x].hit;
        let aside = (self.row(y)[x + 1].hit.normal - self.row(y)[x - 1].hit.normal) * ((dx - 0.5) * 0.5);
        let below = (self.row(y + 1)[x].hit.normal - self.row(y - 1)[x].hit.normal) * ((dy - 0.5) * 0.5);
        let distance = (middle.point - ray.from).dot(middle.normal) / ray.along.dot(middle.normal);
        let normal = (middle.normal + aside + below).unit();
        Hit { distance, point: ray.at(distance), normal, ..middle }
    }

    fn pixel(&self, world: &World, lens: &Lens, shared: &[Lit], x: usize, y: usize) -> V3 {
        let plain = self.is_plain(x, y);
        let mut sum = V3::ZERO;
        for [dx, dy] in LOOKS {
            let ray = lens.ray(x as f64 + dx, y as f64 + dy);
            if plain {
                let hit = self.beside(&ray, [x, y], [dx, dy]);
                sum += world.colour(&ray, &hit, &shared[x], true);
                continue;
            }
            let Sight { hit, through, added } = world.sight(&ray, true);
            let beside = if dx < 0.5 { x.saturating_sub(1) } else { (x + 1).min(self.width - 1) };
            let known = [x, beside].into_iter().find(|&place| self.row(y)[place].fits(&hit));
            let lit = known.map_or_else(|| world.lit(&hit, pattern(x, y), 2), |place| shared[place]);
            sum += through * world.colour(&ray, &hit, &lit, true) + added;
        }
        sum * (1.0 / LOOKS.len() as f64)
    }
}

//! From the scene to a frame. Light is gathered at every second pixel of every second row and shared among neighbours on the
//! same surface; where the key's shadow has its soft edge, each pixel gathers more. Surfaces are looked at four times a pixel.

use super::arriving::Arriving;
use super::material::Material;
use super::noise::{pattern, wide_pattern};
use super::shade::{KEY, Lit, Sight};
use super::shapes::Ray;
use super::vector::{V3, v3};
use super::world::{Hit, World};
use rayon::prelude::*;
use std::ops::Range;

/// The eye.
const EYE: V3 = v3(0.0, 1.36, 0.0);

/// Half the width of what is seen, for one metre ahead, in a frame of 16:9.
const HALF_WIDTH: f64 = 0.364;

/// The middle of the frame lies so much below the horizon: a shifted lens, so that what is upright stays so.
const SHIFT: f64 = -0.058;

/// Where in a pixel it is looked at; on a plain piece of a surface without fine texture the first two are enough.
const LOOKS: [[f64; 2]; 4] = [[0.375, 0.125], [0.625, 0.875], [0.875, 0.375], [0.125, 0.625]];

/// Rows that are held in memory at a time.
const BAND: usize = 384;

/// Light is gathered once in so many pixels, either way, and shared over 4 × 4 such places.
const PITCH: usize = 2;

/// Rows before and behind a band whose surfaces are needed.
const BEFORE: usize = 10;
const BEHIND: usize = 16;

/// Rays to the key for each pixel in the soft edge of its shadow, besides what was gathered. 4 × 4 neighbours share theirs, or
/// 8 × 8 in frames at least so wide: a soft edge is wider there, and would show its steps.
const EDGE_RAYS: usize = 4;
const LARGE: usize = 1200;

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
    /// Seen through glass, or in a mirror.
    bent: bool,
}

impl Cell {
    /// What a ray meets in the middle of two and two others, if they show one flat piece of a surface.
    fn between(ray: &Ray, [one, two]: [&Self; 2], others: [&Self; 2]) -> Option<Self> {
        let alike = |other: &Self| {
            !other.bent
                && other.hit.thing == one.hit.thing
                && other.hit.material == one.hit.material
                && other.hit.normal.dot(one.hit.normal) > 0.985
                && (other.hit.point - one.hit.point).dot(one.hit.normal).abs() < 0.004
        };
        if one.bent || !alike(two) || !others.into_iter().all(alike) {
            return None;
        }
        let normal = (one.hit.normal + two.hit.normal).unit();
        let middle = (one.hit.point + two.hit.point) * 0.5;
        let distance = (middle - ray.from).dot(normal) / ray.along.dot(normal);
        (distance > 0.0 && distance < 50.0)
            .then(|| Self { hit: Hit { distance, point: ray.at(distance), normal, ..one.hit }, bent: false })
    }
}

/// Whether light at one place is light at the other too.
fn fits(one: &Hit, other: &Hit) -> bool {
    one.thing == other.thing
        && one.normal.dot(other.normal) > 0.80
        && (one.point - other.point).dot(other.normal).abs() < 0.012
}

/// The light of a pixel.
#[derive(Clone, Copy, Default)]
struct Shared {
    lit: Lit,
    /// In the soft edge of the key's shadow.
    edge: bool,
}

/// Scene light of every pixel, row by row.
pub(super) fn render(world: &World, width: usize, height: usize) -> Vec<f32> {
    let lens = Lens::new(width, height);
    let mut pixels = vec![0.0; width * height * 3];
    for (number, rows) in pixels.chunks_mut(width * 3 * BAND).enumerate() {
        let first = number * BAND;
        let last = first + rows.len() / (width * 3);
        let mut band = Band::see(world, &lens, [width, height], first..last);
        band.gather(world);
        band.share(world, first..last);
        rows.par_chunks_mut(width * 3).enumerate().for_each(|(row, line)| {
            for (x, pixel) in line.chunks_exact_mut(3).enumerate() {
                let light = band.pixel(world, &lens, x, first + row);
                for (sample, value) in pixel.iter_mut().zip([light.x, light.y, light.z]) {
                    *sample = value as f32;
                }
            }
        });
    }
    pixels
}

/// A table of that width over those rows, filled by all threads.
fn filled<T: Send>(width: usize, rows: Range<usize>, value: impl Fn(usize, usize) -> T + Sync) -> Vec<T> {
    let places = rows.start * width..rows.end * width;
    places.into_par_iter().with_min_len(width).map(|place| value(place % width, place / width)).collect()
}

/// Some rows of the frame: what they show, and the light there.
struct Band {
    width: usize,
    rows: Range<usize>,
    cells: Vec<Cell>,
    /// Light at every [`PITCH`]-th pixel.
    gathered: Vec<Lit>,
    gathered_width: usize,
    /// The first row of places where light is gathered.
    gathered_first: usize,
    /// Light of each pixel, from a row before the band on.
    shared: Vec<Shared>,
    shared_rows: Range<usize>,
}

impl Band {
    /// What the middles of all pixels show, and those of rows around.
    fn see(world: &World, lens: &Lens, [width, height]: [usize; 2], wanted: Range<usize>) -> Self {
        let rows = wanted.start.saturating_sub(BEFORE)..(wanted.end + BEHIND).min(height);
        let trace = |x: usize, y: usize| {
            let Sight { hit, through, .. } = world.sight(&lens.ray(x as f64 + 0.5, y as f64 + 0.5), false);
            Cell { hit, bent: through != V3::ONE || hit.material == Material::Chrome }
        };
        // Every second pixel of every second row first; what lies between four that show one flat piece is on it too.
        let (some_width, some_rows) = (width.div_ceil(2), rows.start.div_ceil(2)..rows.end.div_ceil(2));
        let some = filled(some_width, some_rows.clone(), |x, y| trace(x * 2, y * 2));
        let known = |x: usize, y: usize| {
            (x < some_width && some_rows.contains(&y)).then(|| &some[(y - some_rows.start) * some_width + x])
        };
        let cells = filled(width, rows.clone(), |x, y| {
            let (left, right, above, below) = (x / 2, x.div_ceil(2), y / 2, y.div_ceil(2));
            match [known(left, above), known(right, below), known(right, above), known(left, below)] {
                [Some(cell), ..] if left == right && above == below => *cell,
                [Some(one), Some(two), Some(three), Some(four)] => {
                    let ray = lens.ray(x as f64 + 0.5, y as f64 + 0.5);
                    Cell::between(&ray, [one, two], [three, four]).unwrap_or_else(|| trace(x, y))
                }
                _ => trace(x, y),
            }
        });
        let (gathered_width, gathered_first) = (width.div_ceil(PITCH), rows.start.div_ceil(PITCH));
        let (gathered, shared) = (Vec::new(), Vec::new());
        Self { width, rows, cells, gathered, gathered_width, gathered_first, shared, shared_rows: 0..0 }
    }

    fn row(&self, y: usize) -> &[Cell] {
        &self.cells[(y - self.rows.start) * self.width..][..self.width]
    }

    /// Places where light is gathered, from the first to behind the last row of them.
    fn gathered_rows(&self) -> Range<usize> {
        self.gathered_first..self.rows.end.div_ceil(PITCH)
    }

    fn gather(&mut self, world: &World) {
        let size = (self.gathered_width, self.gathered_rows());
        let place = |across: usize, down: usize| &self.row(down * PITCH)[across * PITCH].hit;
        let gathered =
            filled(size.0, size.1.clone(), |across, down| world.lit(place(across, down), pattern(across, down), 1));
        self.gathered = gathered;
        // Once more than each pixel does: what comes from large lights and from all around has no sharp edges, and few rays.
        let smooth = filled(size.0, size.1, |across, down| {
            let key = self.gathered_row(down)[across].seen[KEY];
            let place = &self.row(down * PITCH)[across * PITCH].hit;
            let mut lit = self.around(place, [across, down]).unwrap_or_default();
            lit.seen[KEY] = key;
            lit
        });
        self.gathered = smooth;
    }

    /// The mean of what was gathered at the 4 × 4 places around one that show the same surface, if any does.
    fn around(&self, hit: &Hit, [across, down]: [usize; 2]) -> Option<Lit> {
        if !hit.material.is_lit() {
            return None;
        }
        let (mut sum, mut count) = (Lit::default(), 0.0);
        let rows = self.gathered_rows();
        for line in down.saturating_sub(1).max(rows.start)..(down + 3).min(rows.end) {
            let (cells, lights) = (self.row(line * PITCH), self.gathered_row(line));
            for place in across.saturating_sub(1)..(across + 3).min(self.gathered_width) {
                if fits(&cells[place * PITCH].hit, hit) {
                    sum.add(&lights[place]);
                    count += 1.0;
                }
            }
        }
        (count > 0.0).then(|| sum.times(1.0 / count))
    }

    fn share(&mut self, world: &World, wanted: Range<usize>) {
        let [before, behind] = self.sharing();
        let rows = wanted.start.saturating_sub(before)..(wanted.end + behind).min(self.rows.end);
        self.shared = filled(self.width, rows.clone(), |x, y| self.nearby(world, x, y));
        self.shared_rows = rows;
    }

    /// The light at a pixel's middle: the mean over the 4 × 4 places around it that show the same surface.
    fn nearby(&self, world: &World, x: usize, y: usize) -> Shared {
        let hit = &self.row(y)[x].hit;
        if !hit.material.is_lit() {
            return Shared::default();
        }
        let Some(mut lit) = self.around(hit, [x / PITCH, y / PITCH]) else {
            return Shared { lit: world.lit(hit, pattern(x, y), 2), edge: false };
        };
        let edge = lit.seen[KEY] > 0.0 && lit.seen[KEY] < 1.0;
        if edge {
            let set = if self.width < LARGE { pattern(x, y) } else { wide_pattern(x, y) };
            lit.seen[KEY] = world.seen_of_key(hit, set, EDGE_RAYS);
        }
        Shared { lit, edge }
    }

    fn gathered_row(&self, line: usize) -> &[Lit] {
        &self.gathered[(line - self.gathered_first) * self.gathered_width..][..self.gathered_width]
    }

    fn shared_row(&self, y: usize) -> &[Shared] {
        &self.shared[(y - self.shared_rows.start) * self.width..][..self.width]
    }

    /// With how many pixels before and behind a pixel shares its rays to the key.
    fn sharing(&self) -> [usize; 2] {
        if self.width < LARGE { [1, 2] } else { [3, 4] }
    }

    /// The light of a pixel; in the edge of the key's shadow with the rays of those around.
    fn light(&self, x: usize, y: usize) -> Lit {
        let Shared { mut lit, edge } = self.shared_row(y)[x];
        if edge {
            let hit = &self.row(y)[x].hit;
            let ([before, behind], mut seen, mut count) = (self.sharing(), 0.0, 0.0);
            for row in y.saturating_sub(before).max(self.shared_rows.start)..(y + behind + 1).min(self.shared_rows.end)
            {
                let (cells, lights) = (self.row(row), self.shared_row(row));
                for place in x.saturating_sub(before)..(x + behind + 1).min(self.width) {
                    if fits(&cells[place].hit, hit) {
                        seen += lights[place].lit.seen[KEY];
                        count += 1.0;
                    }
                }
            }
            lit.seen[KEY] = seen / count;
        }
        lit
    }

    /// Whether a pixel and all around it show the same smooth piece of a surface, so that it is flat enough within a pixel.
    fn is_plain(&self, x: usize, y: usize) -> bool {
        let middle = &self.row(y)[x];
        let inside = x > 0 && x + 1 < self.width && y > self.rows.start && y + 1 < self.rows.end;
        let alike = |cell: &Cell| {
            !cell.bent
                && cell.hit.thing == middle.hit.thing
                && cell.hit.material == middle.hit.material
                && cell.hit.normal.dot(middle.hit.normal) > 0.92
        };
        inside && (y - 1..=y + 1).all(|row| self.row(row)[x - 1..=x + 1].iter().all(alike))
    }

    /// A pixel and its neighbours, those that there are.
    fn around_pixel(&self, x: usize, y: usize) -> impl Iterator<Item = &Cell> {
        let rows = y.saturating_sub(1).max(self.rows.start)..(y + 2).min(self.rows.end);
        rows.flat_map(move |row| &self.row(row)[x.saturating_sub(1)..(x + 2).min(self.width)])
    }

    /// Whether a pixel and all around it are seen without glass or mirrors.
    fn is_clear(&self, x: usize, y: usize) -> bool {
        self.around_pixel(x, y).all(|cell| !cell.bent)
    }

    /// Whether a pixel and all around it show the same thing, though turned or made otherwise, and how near it begins at least.
    fn is_alone(&self, x: usize, y: usize) -> Option<f64> {
        let middle = &self.row(y)[x];
        if x == 0 || x + 1 >= self.width || y <= self.rows.start || y + 1 >= self.rows.end {
            return None;
        }
        let mut nearest = middle.hit.distance;
        for row in y - 1..=y + 1 {
            for cell in &self.row(row)[x - 1..=x + 1] {
                if cell.bent || cell.hit.thing != middle.hit.thing {
                    return None;
                }
                nearest = nearest.min(cell.hit.distance);
            }
        }
        Some(nearest - 0.03)
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

    /// The light at a place within a pixel, where the pixel's middle or one of the three next to that place shows the same.
    fn known(&self, hit: &Hit, [x, y]: [usize; 2], [dx, dy]: [f64; 2]) -> Option<Lit> {
        if !hit.material.is_lit() {
            return Some(Lit::default());
        }
        let across = if dx < 0.5 { x.saturating_sub(1) } else { (x + 1).min(self.width - 1) };
        let down = if dy < 0.5 { y.saturating_sub(1) } else { y + 1 };
        let down = down.clamp(self.shared_rows.start, self.shared_rows.end - 1);
        let places = [[x, y], [across, y], [x, down], [across, down]];
        places.into_iter().find(|&[x, y]| fits(&self.row(y)[x].hit, hit)).map(|[x, y]| self.light(x, y))
    }

    fn pixel(&self, world: &World, lens: &Lens, x: usize, y: usize) -> V3 {
        let middle = &self.row(y)[x].hit;
        let mut sum = V3::ZERO;
        if self.is_plain(x, y) {
            let looks = if middle.material.is_fine() { &LOOKS[..] } else { &LOOKS[..2] };
            let arriving = Arriving::new(world, middle, &self.light(x, y));
            for &[dx, dy] in looks {
                let ray = lens.ray(x as f64 + dx, y as f64 + dy);
                sum += world.colour(&ray, &self.beside(&ray, [x, y], [dx, dy]), &arriving, false);
            }
            sum = sum * (1.0 / looks.len() as f64);
            if middle.material == Material::Table {
                sum += world.varnish(&lens.ray(x as f64 + 0.5, y as f64 + 0.5), middle);
            }
            return sum;
        }
        let (alone, clear) = (self.is_alone(x, y), self.is_clear(x, y));
        let looks = if alone.is_some() && !middle.material.is_fine() { &LOOKS[..2] } else { &LOOKS[..] };
        for &[dx, dy] in looks {
            let ray = lens.ray(x as f64 + dx, y as f64 + dy);
            let again = alone.and_then(|near| world.meet_again(middle, &ray, near));
            let Sight { hit, through, added } = match again {
                Some(hit) => Sight::plain(hit),
                None if clear => Sight::plain(world.meet_of(self.around_pixel(x, y).map(|cell| &cell.hit), &ray)),
                None => world.sight(&ray, true),
            };
            let lit = self.known(&hit, [x, y], [dx, dy]).unwrap_or_else(|| world.lit(&hit, pattern(x, y), 2));
            let arriving = Arriving::new(world, &hit, &lit);
            sum += through * world.colour(&ray, &hit, &arriving, true) + added;
        }
        sum * (1.0 / looks.len() as f64)
    }
}

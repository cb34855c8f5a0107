//! Light spread by Gaussians, of half a pixel to a good part of the picture.
//!
//! Narrow ones are weighted sums of pixels. Wide ones are done on a coarser grid, still wider ones on a still coarser grid from
//! there, and all come back together. Each row is computed alone and its sums run in one order, so that the result is the same
//! for any number of threads; light is held in 32 bits and summed in 64.

use super::kernel::{Resampling, gaussian, mirrored};
use rayon::prelude::*;

/// Up to this σ, in pixels, a Gaussian is a sum of pixels. This project's own choice: from here on the coarser grid is faster.
const NEAR_SIGMA: f64 = 4.0;

/// σ of the narrowest Gaussian of a coarser grid, in its cells. This project's own choice: with less, what a coarse grid can't
/// hold of a Gaussian would show (the worst error against a true one stands in `docs/seeing.md`).
const COARSE_SIGMA: f64 = 3.0;

/// Samples of a row that are worked on at a time, so that they stay in the nearest memory.
const STRIP: usize = 1536;

/// Scene light: rows of interleaved R, G, B.
#[derive(Clone, Debug)]
pub(super) struct Light {
    pub width: usize,
    pub height: usize,
    pub values: Vec<f32>,
}

impl Light {
    fn none(width: usize, height: usize) -> Self {
        Self { width, height, values: vec![0.0; width * height * 3] }
    }

    fn row(&self, y: usize) -> &[f32] {
        &self.values[y * self.width * 3..(y + 1) * self.width * 3]
    }

    /// The mean of each channel, summed row by row from the top.
    pub fn mean(&self) -> [f64; 3] {
        let rows: Vec<[f64; 3]> = self.values.par_chunks(self.width * 3).map(row_sum).collect();
        let sum = rows.iter().fold([0.0; 3], |sum, row| [sum[0] + row[0], sum[1] + row[1], sum[2] + row[2]]);
        sum.map(|sum| sum / (self.width as f64 * self.height as f64))
    }
}

fn row_sum(row: &[f32]) -> [f64; 3] {
    let add = |sum: [f64; 3], pixel: &[f32; 3]| [0, 1, 2].map(|channel| sum[channel] + f64::from(pixel[channel]));
    row.as_chunks::<3>().0.iter().fold([0.0; 3], add)
}

/// One Gaussian: its share of the light, and its variance across and down in pixels² of the grid that it is done on.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spread {
    pub share: f64,
    pub variance: [f64; 2],
}

impl Spread {
    /// The larger σ of the axes along which the picture is more than one pixel long; along the others there is nowhere to go.
    fn sigma(&self, light: &Light) -> f64 {
        let along = |length: usize, variance: f64| if length > 1 { variance.sqrt() } else { 0.0 };
        along(light.width, self.variance[0]).max(along(light.height, self.variance[1]))
    }
}

/// Adds the light of each Gaussian to `sum`, which has the size of `light`.
pub(super) fn add_spread(light: &Light, spreads: &[Spread], sum: &mut Light) {
    let (near, far): (Vec<Spread>, Vec<Spread>) = spreads.iter().partition(|spread| spread.sigma(light) <= NEAR_SIGMA);
    for spread in near {
        add_near(light, spread, sum);
    }
    let Some(narrowest) = far.iter().map(|spread| spread.sigma(light)).min_by(f64::total_cmp) else { return };
    let cells = |pixels: usize| ((pixels as f64 * COARSE_SIGMA / narrowest) as usize).max(1);
    let across = Resampling::new(light.width, cells(light.width));
    let down = Resampling::new(light.height, cells(light.height));
    let coarse_spreads: Vec<Spread> = far
        .iter()
        .map(|spread| {
            let variance = [across.left_to_do(spread.variance[0]), down.left_to_do(spread.variance[1])];
            Spread { variance, ..*spread }
        })
        .collect();
    let coarse = shrunk(light, &across, &down);
    let mut coarse_sum = Light::none(coarse.width, coarse.height);
    add_spread(&coarse, &coarse_spreads, &mut coarse_sum);
    drop(coarse);
    add_enlarged(&coarse_sum, &across, &down, sum);
}

/// Room for a row in the making, kept from one to the next.
#[derive(Default)]
struct Room {
    row: Vec<f64>,
    padded: Vec<f64>,
}

/// A Gaussian as weighted sums, first down and then across.
fn add_near(light: &Light, spread: Spread, sum: &mut Light) {
    let [across, down] = spread.variance.map(gaussian);
    sum.values.par_chunks_mut(light.width * 3).enumerate().for_each_init(Room::default, |room, (y, row)| {
        room.row.clear();
        room.row.resize(row.len(), 0.0);
        for start in (0..row.len()).step_by(STRIP) {
            let strip = start..(start + STRIP).min(row.len());
            let target = &mut room.row[strip.clone()];
            add_one(target, &light.row(y)[strip.clone()], down[0]);
            for (step, &weight) in down.iter().enumerate().skip(1) {
                let [above, below] = [y as isize - step as isize, (y + step) as isize];
                let [above, below] = [above, below].map(|place| light.row(mirrored(place, light.height)));
                add_two(target, &above[strip.clone()], &below[strip.clone()], weight);
            }
        }
        across_row(room, &across, spread.share, row);
    });
}

/// Weighted sums along a row, times `share`, added to `sum`.
fn across_row(room: &mut Room, weights: &[f64], share: f64, sum: &mut [f32]) {
    let Room { row, padded } = room;
    let (reach, pixels) = (weights.len() - 1, row.len() / 3);
    padded.clear();
    for place in -(reach as isize)..(pixels + reach) as isize {
        let first = mirrored(place, pixels) * 3;
        padded.extend_from_slice(&row[first..first + 3]);
    }
    for start in (0..row.len()).step_by(STRIP) {
        let length = STRIP.min(row.len() - start);
        let target = &mut row[start..start + length];
        target.fill(0.0);
        let from = |pixel: usize| &padded[start + pixel * 3..start + pixel * 3 + length];
        add_wide_one(target, from(reach), weights[0]);
        for (step, &weight) in weights.iter().enumerate().skip(1) {
            add_wide_two(target, from(reach - step), from(reach + step), weight);
        }
        put(&mut sum[start..start + length], target, share);
    }
}

/// The light on a coarser grid.
fn shrunk(light: &Light, across: &Resampling, down: &Resampling) -> Light {
    let (width, height) = (across.from_pixels.len(), down.from_pixels.len());
    let mut coarse = Light::none(width, height);
    coarse.values.par_chunks_mut(width * 3).zip(&down.from_pixels).for_each_init(Room::default, |room, (row, rows)| {
        room.row.clear();
        room.row.resize(light.width * 3, 0.0);
        for start in (0..room.row.len()).step_by(STRIP) {
            let strip = start..(start + STRIP).min(room.row.len());
            for &(y, weight) in rows {
                add_one(&mut room.row[strip.clone()], &light.row(y)[strip.clone()], weight);
            }
        }
        for (cell, pixels) in row.as_chunks_mut::<3>().0.iter_mut().zip(&across.from_pixels) {
            let mut sum = [0.0; 3];
            for &(x, weight) in pixels {
                let pixel = &room.row[x * 3..x * 3 + 3];
                sum = [sum[0] + weight * pixel[0], sum[1] + weight * pixel[1], sum[2] + weight * pixel[2]];
            }
            *cell = sum.map(|sum| sum as f32);
        }
    });
    coarse
}

/// Brings light back from a coarser grid and adds it to `sum`.
fn add_enlarged(coarse: &Light, across: &Resampling, down: &Resampling, sum: &mut Light) {
    let width = sum.width * 3;
    sum.values.par_chunks_mut(width).zip(&down.from_cells).for_each_init(Room::default, |room, (row, rows)| {
        room.row.clear();
        room.row.resize(coarse.width * 3, 0.0);
        for &(y, weight) in rows {
            add_one(&mut room.row, coarse.row(y), weight);
        }
        for (pixel, cells) in row.as_chunks_mut::<3>().0.iter_mut().zip(&across.from_cells) {
            let mut sum = pixel.map(f64::from);
            for &(cell, weight) in cells {
                let light = &room.row[cell * 3..cell * 3 + 3];
                sum = [sum[0] + weight * light[0], sum[1] + weight * light[1], sum[2] + weight * light[2]];
            }
            *pixel = sum.map(|sum| sum as f32);
        }
    });
}

/// A row times a weight, added.
#[multiversion::multiversion(targets("x86_64+avx2"))]
fn add_one(sum: &mut [f64], row: &[f32], weight: f64) {
    for (sum, value) in sum.iter_mut().zip(row) {
        *sum += weight * f64::from(*value);
    }
}

/// Two rows that lie equally far away, times their weight, added.
#[multiversion::multiversion(targets("x86_64+avx2"))]
fn add_two(sum: &mut [f64], first: &[f32], second: &[f32], weight: f64) {
    for ((sum, first), second) in sum.iter_mut().zip(first).zip(second) {
        *sum += weight * (f64::from(*first) + f64::from(*second));
    }
}

#[multiversion::multiversion(targets("x86_64+avx2"))]
fn add_wide_one(sum: &mut [f64], row: &[f64], weight: f64) {
    for (sum, value) in sum.iter_mut().zip(row) {
        *sum += weight * value;
    }
}

#[multiversion::multiversion(targets("x86_64+avx2"))]
fn add_wide_two(sum: &mut [f64], first: &[f64], second: &[f64], weight: f64) {
    for ((sum, first), second) in sum.iter_mut().zip(first).zip(second) {
        *sum += weight * (first + second);
    }
}

/// A finished row times `share`, added to what is there.
#[multiversion::multiversion(targets("x86_64+avx2"))]
fn put(sum: &mut [f32], row: &[f64], share: f64) {
    for (sum, value) in sum.iter_mut().zip(row) {
        *sum = (f64::from(*sum) + share * value) as f32;
    }
}

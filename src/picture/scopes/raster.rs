//! A drawing as pixels.

use super::ScopePicture;
use super::drawing::{Drawing, Ink, Plot, Shape};
use crate::picture::Frame;
use crate::picture::lettering::{Lettering, Weight};

/// The ground around the plots, sRGB.
const GROUND: [u8; 3] = [17, 18, 21];

/// How much of the ground covers the data behind a label.
const PLATE: f64 = 0.7;

impl Ink {
    /// Its colour, sRGB: this project's own choice. Traces of R, G and B differ in lightness too, and are named by letters.
    fn colour(self) -> [u8; 3] {
        match self {
            Self::Plot => [8, 9, 11],
            Self::Faint => [43, 46, 52],
            Self::Line => [82, 88, 98],
            Self::Strong => [152, 158, 168],
            Self::Quiet => [176, 181, 190],
            Self::Letters => [234, 236, 240],
            Self::Mark => [245, 181, 78],
            Self::Luma => [216, 228, 222],
            Self::Red => [255, 104, 88],
            Self::Green => [118, 222, 140],
            Self::Blue => [104, 158, 255],
        }
    }
}

struct Board {
    width: usize,
    height: usize,
    pixels: Vec<[u8; 3]>,
}

/// The picture of a drawing.
pub(super) fn rasterise(drawing: &Drawing, plots: Vec<Plot>) -> ScopePicture {
    let (width, height) = (drawing.width, drawing.height);
    let mut board = Board { width, height, pixels: vec![GROUND; width * height] };
    for shape in &drawing.shapes {
        board.draw(shape, drawing.letters);
    }
    let codes = board.pixels.as_flattened();
    let frame = Frame::from_eight_bit(width, height, false, codes).expect("the size of a scope's picture was checked");
    ScopePicture { frame, plots }
}

impl Board {
    fn draw(&mut self, shape: &Shape, letters: f64) {
        match shape {
            Shape::Line { from, to, width, dash, ink } => self.line(*from, *to, *width, *dash, ink.colour()),
            Shape::Bar { left_top, size, ink } => self.bar(*left_top, *size, 1.0, ink.colour()),
            Shape::Dot { centre, radius, filled, ink, .. } => self.dot(*centre, *radius, *filled, ink.colour()),
            Shape::Text { left_top: [left, top], width, text, bold, plate, ink, .. } => {
                if *plate {
                    self.bar([left - 1.0, top + letters * 0.08], [width + 2.0, letters * 0.84], PLATE, GROUND);
                }
                let weight = if *bold { Weight::Bold } else { Weight::Regular };
                let colour = ink.colour();
                Lettering::new(letters as f32, weight)
                    .draw(text, [*left as f32, *top as f32], |x, y, ink| self.blend(x, y, f64::from(ink), colour));
            }
            Shape::Lit { plot, strength, ink } => {
                for (row, lights) in strength.chunks_exact(plot.width).enumerate() {
                    for (column, light) in lights.iter().enumerate().filter(|(_, light)| **light > 0.0) {
                        self.blend(plot.x + column, plot.y + row, f64::from(*light), ink.colour());
                    }
                }
            }
        }
    }

    fn blend(&mut self, x: usize, y: usize, share: f64, colour: [u8; 3]) {
        if x >= self.width || y >= self.height {
            return;
        }
        let pixel = &mut self.pixels[y * self.width + x];
        for (own, new) in pixel.iter_mut().zip(colour) {
            *own = (f64::from(*own) + (f64::from(new) - f64::from(*own)) * share + 0.5) as u8;
        }
    }

    /// Calls `share` for the middle of each pixel of a box and blends by what it gives, 0..1.
    fn cover(&mut self, [left, top, right, bottom]: [f64; 4], colour: [u8; 3], share: impl Fn(f64, f64) -> f64) {
        let columns = left.max(0.0) as usize..(right.ceil().max(0.0) as usize).min(self.width);
        for y in top.max(0.0) as usize..(bottom.ceil().max(0.0) as usize).min(self.height) {
            for x in columns.clone() {
                let share = share(x as f64 + 0.5, y as f64 + 0.5);
                if share > 0.0 {
                    self.blend(x, y, share.min(1.0), colour);
                }
            }
        }
    }

    fn bar(&mut self, [left, top]: [f64; 2], [width, height]: [f64; 2], strength: f64, colour: [u8; 3]) {
        let overlap =
            |middle: f64, from: f64, size: f64| ((middle + 0.5).min(from + size) - (middle - 0.5).max(from)).max(0.0);
        let share = |x: f64, y: f64| strength * overlap(x, left, width) * overlap(y, top, height);
        self.cover([left, top, left + width, top + height], colour, share);
    }

    fn dot(&mut self, [x0, y0]: [f64; 2], radius: f64, filled: bool, colour: [u8; 3]) {
        let reach = radius + 1.5;
        self.cover([x0 - reach, y0 - reach, x0 + reach, y0 + reach], colour, |x, y| {
            let distance = ((x - x0) * (x - x0) + (y - y0) * (y - y0)).sqrt();
            if filled { radius + 0.5 - distance } else { 1.2 - (distance - radius).abs() }
        });
    }

    fn line(&mut self, from: [f64; 2], to: [f64; 2], width: f64, dash: f64, colour: [u8; 3]) {
        let [from, to] = crisp(from, to, width);
        let way = [to[0] - from[0], to[1] - from[1]];
        let length = (way[0] * way[0] + way[1] * way[1]).sqrt();
        if length == 0.0 {
            return;
        }
        let along = [way[0] / length, way[1] / length];
        // In pieces, so that a long slanting line doesn't ask about every pixel of the box around it.
        let pieces = (length / 16.0).ceil().max(1.0) as usize;
        for piece in 0..pieces {
            let [begin, end] = [piece, piece + 1].map(|piece| length * piece as f64 / pieces as f64);
            let ends = [begin, end].map(|at| [from[0] + along[0] * at, from[1] + along[1] * at]);
            let reach = width / 2.0 + 1.0;
            let span = |axis: usize| [ends[0][axis].min(ends[1][axis]), ends[0][axis].max(ends[1][axis])];
            let ([left, right], [top, bottom]) = (span(0), span(1));
            let last = piece + 1 == pieces;
            self.cover([left - reach, top - reach, right + reach, bottom + reach], colour, |x, y| {
                let at = (x - from[0]) * along[0] + (y - from[1]) * along[1];
                let away = ((x - from[0]) * along[1] - (y - from[1]) * along[0]).abs();
                let here = at >= begin && (at < end || last && at <= end);
                let drawn = dash <= 0.0 || ((at / dash) as u64).is_multiple_of(2);
                if here && drawn { width / 2.0 + 0.5 - away } else { 0.0 }
            });
        }
    }
}

/// Level and upright lines fill whole rows or columns of pixels, so that they aren't smeared over two.
fn crisp(mut from: [f64; 2], mut to: [f64; 2], width: f64) -> [[f64; 2]; 2] {
    for axis in 0..2 {
        if from[axis] == to[axis] {
            let half = width.round().max(1.0) / 2.0;
            let place = (from[axis] - half + 1e-9).round() + half;
            (from[axis], to[axis]) = (place, place);
        }
    }
    [from, to]
}

//! What a scope's picture consists of: lines, bars, dots, texts and lit fields, before it becomes pixels or SVG.

use super::PictureSize;
use super::counts::Grid;
use crate::maths::ln;
use crate::picture::lettering::{Lettering, Weight};
use rayon::prelude::*;
use serde::Serialize;

/// A field of a scope's picture with data in it, in pixels from the left top corner of the picture.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Plot {
    /// What it shows, such as `Y′` or `R`.
    pub name: String,
    /// Left edge.
    pub x: usize,
    /// Upper edge.
    pub y: usize,
    /// Pixels across.
    pub width: usize,
    /// Pixels down.
    pub height: usize,
    /// Values at the left and at the right edge.
    pub across: [f64; 2],
    /// Values at the lower and at the upper edge.
    pub up: [f64; 2],
}

impl Plot {
    /// Where a pair of values lies in the picture, in pixels from its left top corner; pixel 0 reaches from 0 to 1.
    #[must_use]
    pub fn place(&self, [across, up]: [f64; 2]) -> [f64; 2] {
        let share = |value: f64, [from, to]: [f64; 2]| (value - from) / (to - from);
        [
            self.x as f64 + share(across, self.across) * self.width as f64,
            self.y as f64 + (1.0 - share(up, self.up)) * self.height as f64,
        ]
    }

    pub(super) fn right(&self) -> f64 {
        (self.x + self.width) as f64
    }

    pub(super) fn bottom(&self) -> f64 {
        (self.y + self.height) as f64
    }
}

/// What something is drawn with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Ink {
    /// Behind the data.
    Plot,
    /// Lines that only lead the eye.
    Faint,
    /// Lines of the graticule.
    Line,
    /// Lines that matter.
    Strong,
    /// Figures.
    Quiet,
    /// What is read first.
    Letters,
    /// Marks for exposure.
    Mark,
    /// Traces.
    Luma,
    Red,
    Green,
    Blue,
}

/// A piece of a drawing; places are in pixels from the left top corner.
#[derive(Clone, Debug)]
pub(crate) enum Shape {
    /// A line, broken every `dash` pixels where that is above 0.
    Line { from: [f64; 2], to: [f64; 2], width: f64, dash: f64, ink: Ink },
    /// A filled rectangle.
    Bar { left_top: [f64; 2], size: [f64; 2], ink: Ink },
    /// A circle, filled or not, and what it stands for.
    Dot { centre: [f64; 2], radius: f64, filled: bool, ink: Ink, meaning: String },
    /// A line of text, as wide as the letters of pictures make it. `plate`: darkened behind, because data may lie there.
    Text { left_top: [f64; 2], width: f64, align: Align, text: String, bold: bool, plate: bool, ink: Ink },
    /// Counts of a plot as light, 0..1, row by row from above.
    Lit { plot: Plot, strength: Vec<f32>, ink: Ink },
}

/// What a text's place is the place of; its middle line in any case.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Align {
    Left,
    Centre,
    Right,
}

/// What stands before an entry of a legend.
#[derive(Clone, Copy, Debug)]
pub(super) enum Key {
    Nothing,
    Line { width: f64, dash: f64, ink: Ink },
    Square { half: f64, ink: Ink },
    Dots,
    Cross,
    Bar { ink: Ink },
}

/// A drawing in the making.
#[derive(Clone, Debug)]
pub(crate) struct Drawing {
    pub width: usize,
    pub height: usize,
    /// Height of a line of text.
    pub letters: f64,
    pub shapes: Vec<Shape>,
    /// Boxes (left, top, right, bottom) that no further text may touch.
    taken: Vec<[f64; 4]>,
}

/// Lines of text in a picture are at least this high, pixels: smaller letters of the typeface are no letters.
pub(super) const LEAST_LETTERS: f64 = 11.0;

/// Lines of text in a drawing for a page whose column is so many units wide: about the letters of the text around it; this project's own choice.
const PAGE_LETTERS: f64 = 15.0;
const PAGE_COLUMN: f64 = 640.0;

/// The least height of a line of text in a drawing for a page, which is as wide as the page's column.
pub(crate) fn page_letters(size: PictureSize) -> f64 {
    (PAGE_LETTERS * size.width() as f64 / PAGE_COLUMN).clamp(LEAST_LETTERS, PAGE_LETTERS)
}

/// Lines of text that a picture is high, and their height in its width; this project's own choice.
const LINES: f64 = 38.0;
const LETTERS_ACROSS: f64 = 66.0;

/// Shares of a line's height between which letters have ink; those with descenders reach its end.
const INK_FROM: f64 = 0.1;
const INK_TO: f64 = 0.85;
const DESCENDERS: &str = "gjpqy,;()";

/// How bright a single pixel is in a lit field, 0..1.
const SINGLE: f64 = 0.3;

/// How bright its neighbours are in a field with halos, as a share.
const HALO: f32 = 0.5;

impl Drawing {
    /// An empty drawing whose lines of text are at least so many pixels high.
    pub(super) fn new(size: PictureSize, least_letters: f64) -> Self {
        let (width, height) = (size.width(), size.height());
        let letters = (height as f64 / LINES).min(width as f64 / LETTERS_ACROSS).max(least_letters).floor();
        Self { width, height, letters, shapes: Vec::new(), taken: Vec::new() }
    }

    /// Pixels of a thin line: one for each thousand rows or so.
    pub(super) fn hair(&self) -> f64 {
        (self.letters / 14.0).floor().max(1.0)
    }

    pub(super) fn lettering(&self, bold: bool) -> Lettering {
        Lettering::new(self.letters as f32, if bold { Weight::Bold } else { Weight::Regular })
    }

    pub(super) fn text_width(&self, text: &str) -> f64 {
        f64::from(self.lettering(false).width(text))
    }

    /// The size of a plot of that shape (width by height) with its left top corner at `left`, `top`, and where its legend begins: beside
    /// or below it, whichever leaves the larger plot. `legend` is the legend's room in heights of a line.
    pub(super) fn plot_with_legend(
        &self,
        [left, top]: [f64; 2],
        shape: f64,
        legend: [f64; 2],
    ) -> ([usize; 2], [f64; 2]) {
        let axis = self.letters * 1.3;
        let room = [self.width as f64 - left - self.letters, self.height as f64 - top - axis];
        let fitted = |width: f64, height: f64| height.min(width / shape).max(1.0).floor();
        let beside = fitted(room[0] - legend[0] * self.letters, room[1]);
        let below = fitted(room[0], room[1] - legend[1] * self.letters);
        let height = beside.max(below);
        let width = (height * shape).floor();
        let corner = if below > beside {
            [self.letters * 0.6, top + height + axis + self.letters * 0.3]
        } else {
            [left + width + self.letters, top]
        };
        ([width as usize, height as usize], corner)
    }

    /// A plot's ground.
    pub(super) fn ground(&mut self, plot: &Plot) {
        let (left_top, size) = ([plot.x as f64, plot.y as f64], [plot.width as f64, plot.height as f64]);
        self.shapes.push(Shape::Bar { left_top, size, ink: Ink::Plot });
    }

    pub(super) fn bar(&mut self, left_top: [f64; 2], size: [f64; 2], ink: Ink) {
        self.shapes.push(Shape::Bar { left_top, size, ink });
    }

    pub(super) fn line(&mut self, from: [f64; 2], to: [f64; 2], width: f64, ink: Ink) {
        self.dashed(from, to, width, 0.0, ink);
    }

    pub(super) fn dashed(&mut self, from: [f64; 2], to: [f64; 2], width: f64, dash: f64, ink: Ink) {
        self.shapes.push(Shape::Line { from, to, width, dash, ink });
    }

    /// The part of a line that lies in a plot.
    pub(super) fn line_within(&mut self, plot: &Plot, [from, to]: [[f64; 2]; 2], width: f64, dash: f64, ink: Ink) {
        let (mut begin, mut end) = (0.0_f64, 1.0_f64);
        let edges = [[plot.x as f64, plot.right()], [plot.y as f64, plot.bottom()]];
        for axis in 0..2 {
            let way = to[axis] - from[axis];
            let [low, high] = edges[axis];
            if way == 0.0 {
                if !(low..=high).contains(&from[axis]) {
                    return;
                }
                continue;
            }
            let crossings = [(low - from[axis]) / way, (high - from[axis]) / way];
            begin = begin.max(crossings[0].min(crossings[1]));
            end = end.min(crossings[0].max(crossings[1]));
        }
        if begin < end {
            let at = |share: f64| [0, 1].map(|axis| from[axis] + share * (to[axis] - from[axis]));
            self.dashed(at(begin), at(end), width, dash, ink);
        }
    }

    pub(super) fn square(&mut self, [x, y]: [f64; 2], half: f64, ink: Ink) {
        let corners = [[x - half, y - half], [x + half, y - half], [x + half, y + half], [x - half, y + half]];
        for side in 0..4 {
            self.line(corners[side], corners[(side + 1) % 4], self.hair(), ink);
        }
    }

    pub(super) fn dot(&mut self, centre: [f64; 2], radius: f64, filled: bool, ink: Ink, meaning: String) {
        self.shapes.push(Shape::Dot { centre, radius, filled, ink, meaning });
    }

    pub(super) fn cross(&mut self, [x, y]: [f64; 2], half: f64, ink: Ink) {
        let width = 1.5 * self.hair();
        self.line([x - half, y], [x + half, y], width, ink);
        self.line([x, y - half], [x, y + half], width, ink);
    }

    /// The counts that lie in a plot, each pixel of the picture lit by the logarithm of what it covers. `halo`: pixels around it glow, so
    /// that a single dot is seen.
    pub(super) fn lit(&mut self, plot: &Plot, grid: &Grid, extent: [[f64; 2]; 2], ink: Ink, halo: bool) {
        let sharp = strengths(plot, grid, extent);
        let strength = if halo { with_halo(plot, &sharp) } else { sharp };
        self.shapes.push(Shape::Lit { plot: plot.clone(), strength, ink });
    }

    /// Keeps texts out of a box around a place.
    pub(super) fn reserve(&mut self, [x, y]: [f64; 2], half: f64) {
        self.taken.push([x - half, y - half, x + half, y + half]);
    }

    /// Keeps texts off a line.
    pub(super) fn reserve_line(&mut self, from: [f64; 2], to: [f64; 2]) {
        let way = [to[0] - from[0], to[1] - from[1]];
        let steps = ((way[0].abs() + way[1].abs()) / 2.0).ceil().max(1.0) as usize;
        for step in 0..=steps {
            let share = step as f64 / steps as f64;
            self.reserve([from[0] + way[0] * share, from[1] + way[1] * share], 1.0);
        }
    }

    /// A text, if its place is free and in the picture; whether it is there.
    pub(super) fn text(&mut self, text: &str, place: [f64; 2], align: Align, ink: Ink) -> bool {
        self.put(text, place, align, (false, false), ink)
    }

    /// The same in front of data.
    pub(super) fn label(&mut self, text: &str, place: [f64; 2], align: Align, ink: Ink) -> bool {
        self.put(text, place, align, (false, true), ink)
    }

    fn put(&mut self, text: &str, [x, y]: [f64; 2], align: Align, (bold, plate): (bool, bool), ink: Ink) -> bool {
        let width = f64::from(self.lettering(bold).width(text)).ceil();
        let left = match align {
            Align::Left => x,
            Align::Centre => x - width / 2.0,
            Align::Right => x - width,
        }
        .round();
        let top = (y - self.letters / 2.0).round();
        let low = if text.contains(|letter| DESCENDERS.contains(letter)) { 1.0 } else { INK_TO };
        let own = [left - 1.0, top + INK_FROM * self.letters, left + width + 1.0, top + low * self.letters];
        let inside = left >= 0.0
            && top + INK_FROM * self.letters >= 0.0
            && left + width <= self.width as f64
            && own[3] <= self.height as f64;
        let free = self
            .taken
            .iter()
            .all(|box_| own[0] >= box_[2] || box_[0] >= own[2] || own[1] >= box_[3] || box_[1] >= own[3]);
        if inside && free && !text.is_empty() {
            self.taken.push(own);
            self.shapes.push(Shape::Text {
                left_top: [left, top],
                width,
                align,
                text: text.to_owned(),
                bold,
                plate,
                ink,
            });
        }
        inside && free
    }

    /// The title and, as far as there is room, what else is to be known; the row below them.
    pub(super) fn caption(&mut self, title: &str, details: &[String]) -> usize {
        let (left, y) = (self.letters * 0.6, self.letters * 0.85);
        self.put(title, [left, y], Align::Left, (true, false), Ink::Letters);
        let after = left + f64::from(self.lettering(true).width(title)) + self.letters * 0.8;
        let room = self.width as f64 - after - self.letters * 0.6;
        // Whole details rather than the beginning of one, and at least some of the first.
        let mut said =
            details.first().map(|first| self.lettering(false).fitted(first, room as f32)).unwrap_or_default();
        for count in 2..=details.len() {
            let more = details[..count].join(" · ");
            if self.text_width(&more) <= room {
                said = more;
            }
        }
        self.text(&said, [after, y], Align::Left, Ink::Quiet);
        (self.letters * 2.0) as usize
    }

    /// A legend in the column from `left` to the right edge of the picture, entries from `top` down as long as there is room.
    pub(super) fn legend(&mut self, [left, top]: [f64; 2], entries: &[(Key, String)]) {
        let (key, pitch) = (self.letters * 1.5, self.letters * 1.25);
        let room = self.width as f64 - left - self.letters * 0.5;
        let mut y = top + self.letters * 0.6;
        for (kind, text) in entries {
            if y + self.letters * 0.6 > self.height as f64 {
                return;
            }
            let indent = if matches!(kind, Key::Nothing) { 0.0 } else { key + self.letters * 0.4 };
            self.key(*kind, left, y, key);
            let fitted = self.lettering(false).fitted(text, (room - indent) as f32);
            self.text(&fitted, [left + indent, y], Align::Left, Ink::Quiet);
            y += pitch;
        }
    }

    fn key(&mut self, kind: Key, left: f64, y: f64, width: f64) {
        let middle = [left + width / 2.0, y];
        let radius = self.letters * 0.2;
        match kind {
            Key::Nothing => {}
            Key::Line { width: thick, dash, ink } => self.dashed([left, y], [left + width, y], thick, dash, ink),
            Key::Square { half, ink } => self.square(middle, half, ink),
            Key::Cross => self.cross(middle, self.letters * 0.3, Ink::Letters),
            Key::Bar { ink } => self.bar([left, y - radius], [width, 2.0 * radius], ink),
            Key::Dots => {
                self.line([left + radius, y], [left + width - radius, y], self.hair(), Ink::Line);
                self.dot([left + radius, y], radius, false, Ink::Letters, String::new());
                self.dot([left + width - radius, y], radius, true, Ink::Mark, String::new());
            }
        }
    }
}

/// The bins of a grid that each pixel covers along one axis, from the lowest value up: each bin once where bins are finer than pixels,
/// else the bin that the pixel begins in.
fn spans(pixels: usize, [from, to]: [f64; 2], bins: usize, [first, last]: [f64; 2]) -> Vec<std::ops::Range<usize>> {
    let edge = |pixel: usize| {
        let value = from + (to - from) * pixel as f64 / pixels as f64;
        (((value - first) / (last - first)) * bins as f64 + 1e-9).floor()
    };
    let held = |bin: f64| bin.clamp(0.0, bins as f64) as usize;
    (0..pixels)
        .map(|pixel| {
            let (low, high) = (edge(pixel), edge(pixel + 1));
            held(low)..held(high.max(low + 1.0))
        })
        .collect()
}

fn with_halo(plot: &Plot, sharp: &[f32]) -> Vec<f32> {
    let (width, height) = (plot.width, plot.height);
    let row = |y: usize| {
        (0..width).map(move |x| {
            let near = (y.saturating_sub(1)..=(y + 1).min(height - 1))
                .flat_map(|y| (x.saturating_sub(1)..=(x + 1).min(width - 1)).map(move |x| y * width + x));
            let brightest = near.map(|place| sharp[place]).fold(0.0, f32::max);
            sharp[y * width + x].max(HALO * brightest)
        })
    };
    (0..height).into_par_iter().flat_map_iter(row).collect()
}

fn strengths(plot: &Plot, grid: &Grid, [across, up]: [[f64; 2]; 2]) -> Vec<f32> {
    let columns = spans(plot.width, plot.across, grid.columns(), across);
    let rows = spans(plot.height, plot.up, grid.rows(), up);
    let sums: Vec<u64> = rows
        .par_iter()
        .rev()
        .flat_map_iter(|rows| {
            let sum = |columns: &std::ops::Range<usize>| {
                let covered = columns.clone().flat_map(|column| rows.clone().map(move |row| (column, row)));
                covered.map(|(column, row)| u64::from(grid.at(column, row))).sum::<u64>()
            };
            columns.iter().map(sum).collect::<Vec<_>>()
        })
        .collect();
    let most = sums.iter().copied().max().unwrap_or(0);
    let scale = if most > 1 { (1.0 - SINGLE) / ln(most as f64) } else { 0.0 };
    let strength = |sum: &u64| if *sum == 0 { 0.0 } else { (SINGLE + scale * ln(*sum as f64)) as f32 };
    sums.par_iter().map(strength).collect()
}

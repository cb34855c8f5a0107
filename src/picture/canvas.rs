//! What test frames are drawn on: scene light goes in, encoded codes come out, and flat fields are remembered.

use super::chart_frame::{Field, code10};
use super::code16;
use super::lettering::{Lettering, Weight};
use crate::maths::{GREY, Rgb};
use rayon::prelude::*;

/// How much brighter than the surround labels and ticks are, as a signal: readable, and no highlight.
const LABEL_CONTRAST: f64 = 0.25;

/// A rectangle, in pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Area {
    pub x: usize,
    pub y: usize,
    pub width: usize,
    pub height: usize,
}

impl Area {
    /// The same columns, between two fractions of the height.
    pub fn rows(self, from: f64, to: f64) -> Self {
        let edge = |fraction: f64| (self.height as f64 * fraction) as usize;
        Self { y: self.y + edge(from), height: edge(to).saturating_sub(edge(from)), ..self }
    }

    /// The cell at a column and row of an even grid.
    pub fn cell(self, columns: usize, rows: usize, column: usize, row: usize) -> Self {
        let (left, right) = (self.width * column / columns, self.width * (column + 1) / columns);
        let (top, bottom) = (self.height * row / rows, self.height * (row + 1) / rows);
        Self { x: self.x + left, y: self.y + top, width: right - left, height: bottom - top }
    }

    /// The same without a margin on every side.
    pub fn without_margin(self, margin: usize) -> Self {
        Self {
            x: self.x + margin,
            y: self.y + margin,
            width: self.width.saturating_sub(2 * margin),
            height: self.height.saturating_sub(2 * margin),
        }
    }

    /// Equal columns with whole widths in the middle of the area: the left edge of the first, and the width.
    pub fn columns(self, count: usize) -> (usize, usize) {
        let width = self.width / count;
        (self.x + (self.width - width * count) / 2, width)
    }
}

/// A frame in the making.
pub(super) struct Canvas<'a> {
    width: usize,
    encode: &'a (dyn Fn(Rgb) -> Rgb + Sync),
    codes: Vec<u16>,
    fields: Vec<Field>,
    label: [u16; 3],
}

impl<'a> Canvas<'a> {
    /// A frame of 18 % grey.
    pub fn new(width: usize, height: usize, encode: &'a (dyn Fn(Rgb) -> Rgb + Sync)) -> Self {
        let surround = encode([GREY; 3]);
        let codes = surround.map(code16).repeat(width * height);
        let label = surround.map(|signal| code16((signal + LABEL_CONTRAST).min(1.0)));
        Self { width, encode, codes, fields: Vec::new(), label }
    }

    /// The codes and the fields.
    pub fn finish(self) -> (Vec<u16>, Vec<Field>) {
        (self.codes, self.fields)
    }

    /// One colour all over an area.
    pub fn fill(&mut self, area: Area, linear: Rgb) {
        let code = (self.encode)(linear).map(code16);
        for row in self.rows(area) {
            for pixel in row.as_chunks_mut::<3>().0 {
                *pixel = code;
            }
        }
    }

    /// One colour all over an area, remembered as a field.
    pub fn field(&mut self, area: Area, name: String, stops: f64, linear: Rgb) {
        self.fill(area, linear);
        let encoded = (self.encode)(linear);
        let signal = encoded.map(|value| if value.is_nan() { 0.0 } else { value.clamp(0.0, 1.0) });
        let Area { x, y, width, height } = area;
        let (code10, clipped) = (signal.map(code10), signal != encoded);
        self.fields.push(Field { name, stops, x, y, width, height, linear, signal, code10, clipped });
    }

    /// A colour for each pixel, from its place in the area: columns and rows from 0.
    pub fn paint(&mut self, area: Area, light: impl Fn(usize, usize) -> Rgb + Sync) {
        let encode = self.encode;
        let rows: Vec<&mut [u16]> = self.rows(area).collect();
        rows.into_par_iter().enumerate().for_each(|(y, row)| {
            for (x, pixel) in row.as_chunks_mut::<3>().0.iter_mut().enumerate() {
                *pixel = encode(light(x, y)).map(code16);
            }
        });
    }

    /// A text in the signal domain, its digits centred on a column and `top` their upper edge. What would leave the frame is left out.
    pub fn label(&mut self, text: &str, centre: usize, top: usize, letters: Letters) {
        let (ink, width) = (self.label, self.width);
        // A minus is as wide as a plus, a hyphen is not.
        let text = text.replace('-', "−");
        let line = letters.line();
        let left = centre as f32 - line.width(&text) / 2.0;
        let codes = &mut self.codes;
        line.draw(&text, [left, top as f32 - letters.above()], |x, y, coverage| {
            let Some(pixel) = codes.get_mut((y * width + x) * 3..(y * width + x) * 3 + 3).filter(|_| x < width) else {
                return;
            };
            for (code, ink) in pixel.iter_mut().zip(ink) {
                let there = f32::from(*code);
                *code = (there + coverage * (f32::from(ink) - there)).round() as u16;
            }
        });
    }

    /// A small mark in the colour of labels.
    pub fn mark(&mut self, area: Area) {
        let code = self.label;
        for row in self.rows(area) {
            for pixel in row.as_chunks_mut::<3>().0 {
                *pixel = code;
            }
        }
    }

    /// The pixels of an area, row by row, without what lies outside the frame.
    fn rows(&mut self, area: Area) -> impl Iterator<Item = &mut [u16]> {
        let (left, right) = (area.x.min(self.width), (area.x + area.width).min(self.width));
        let rows = self.codes.chunks_exact_mut(self.width * 3).skip(area.y).take(area.height);
        rows.map(move |row| &mut row[left * 3..right * 3])
    }
}

/// Pixels of a tick's width for an area of this height.
pub(super) fn tick_width(height: usize) -> usize {
    (height / 400).max(1)
}

/// The least height of digits that can be read, pixels.
const SMALLEST_DIGITS: usize = 7;

/// The height of DejaVu Sans's digits, of a line from its lowest descender to its highest ascender, and what lies above them; from the
/// typeface's own table (1493, and 1901 above and 483 below the baseline).
const DIGITS_OF_LINE: f32 = 1493.0 / (1901.0 + 483.0);
const ABOVE_OF_LINE: f32 = (1901.0 - 1493.0) / (1901.0 + 483.0);

/// Letters of labels, by the height of their digits in pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Letters {
    pub digits: usize,
}

impl Letters {
    /// Letters for an area of this height: a fiftieth of it, this project's own choice.
    pub fn of(height: usize) -> Self {
        Self { digits: (height / 50).max(SMALLEST_DIGITS) }
    }

    fn line(self) -> Lettering {
        Lettering::new(self.digits as f32 / DIGITS_OF_LINE, Weight::Regular)
    }

    /// From the top of a line to the top of its digits.
    fn above(self) -> f32 {
        (self.digits as f32 / DIGITS_OF_LINE * ABOVE_OF_LINE).round()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_lies_outside_the_frame_is_left_out() {
        let encode = |light: Rgb| light;
        let mut canvas = Canvas::new(4, 3, &encode);
        canvas.label("+8", 0, 2, Letters { digits: 7 });
        canvas.label("+8", 4, 0, Letters { digits: 7 });
        canvas.fill(Area { x: 3, y: 2, width: 9, height: 9 }, [1.0; 3]);
        canvas.fill(Area { x: 9, y: 9, width: 1, height: 1 }, [1.0; 3]);
        let (codes, _) = canvas.finish();
        let white = codes.chunks_exact(3).filter(|pixel| *pixel == [u16::MAX; 3]).count();
        assert_eq!((codes.len(), white), (4 * 3 * 3, 1), "one pixel of the area lies in the frame");
    }
}

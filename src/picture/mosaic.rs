//! Contact sheets: pictures for a computer screen in rows and columns, small, with captions.

use super::lettering::{Lettering, Weight};
use super::{Frame, SampleDepth, Samples};
use crate::colour::displays::{Display, DisplayEncoding};
use image::imageops::{FilterType, resize};
use image::{ImageBuffer, Rgb as Pixel};

/// Ground of a sheet, signal: dark, so that pictures are judged against nothing brighter. This project's own choice.
const GROUND: u8 = 26;

/// Letters, signal.
const INK: u8 = 222;

/// Quieter letters.
const QUIET: u8 = 158;

/// Pixels of a sheet across, at most: what large screens show and any program opens.
const WIDEST: usize = 3840;

/// Pixels of a picture across, at least and at most.
const CELL: [usize; 2] = [240, 960];

/// Rows of a sheet that are told apart on one page.
pub const ROWS: usize = 8;

/// Gaps and letters as parts of a cell's width.
const GAP: f64 = 0.03;
const CAPTION: f64 = 0.052;

/// Letters are never smaller than this, pixels.
const SMALLEST: f32 = 13.0;

/// What stands on a sheet.
#[derive(Clone, Debug, Default)]
pub struct Mosaic {
    /// Over everything.
    pub title: String,
    /// A line below the title, empty for none.
    pub subtitle: String,
    /// Names of the columns.
    pub columns: Vec<String>,
    /// Rows: a name, and a picture for each column.
    pub rows: Vec<(String, Vec<Frame>)>,
    /// Lines at the foot.
    pub notes: Vec<String>,
}

/// Pixels across of each picture on a sheet of that many columns.
#[must_use]
pub fn cell_width(columns: usize) -> usize {
    let room = (WIDEST as f64 / (columns.max(1) as f64 * (1.0 + GAP) + GAP)) as usize;
    room.clamp(CELL[0], CELL[1])
}

/// A picture for an sRGB screen, at most `width` × `height` pixels, of 8 bits; averaged in light, so that fine detail keeps its brightness. Alpha
/// is left out. A smaller one stays as it is.
#[must_use]
pub fn scaled(frame: &Frame, width: usize, height: usize) -> Frame {
    let scale = (width as f64 / frame.width() as f64).min(height as f64 / frame.height() as f64).min(1.0);
    let side = |pixels: usize| ((pixels as f64 * scale).round() as usize).max(1);
    let (across, down) = (side(frame.width()), side(frame.height()));
    let screen = Display::new(DisplayEncoding::Srgb, 100.0);
    // The light of every 16-bit code: a picture has more pixels than that.
    let light: Vec<f32> =
        (0..=u16::MAX).map(|code| screen.decode([f64::from(code) / super::CODE16_MAX; 3])[0] as f32).collect();
    let codes = frame.to_depth(SampleDepth::Sixteen).frame;
    let Samples::Codes(samples) = codes.samples() else { return frame.clone() };
    let pixels: Vec<f32> = samples
        .chunks_exact(frame.channels())
        .flat_map(|pixel| [0, 1, 2].map(|channel| light[usize::from(pixel[channel])]))
        .collect();
    let Some(whole) = ImageBuffer::<Pixel<f32>, _>::from_raw(frame.width() as u32, frame.height() as u32, pixels)
    else {
        return frame.clone();
    };
    let small = if scale < 1.0 { resize(&whole, across as u32, down as u32, FilterType::Triangle) } else { whole };
    let signal = |light: f32| (screen.encode([f64::from(light); 3])[0].clamp(0.0, 1.0) * 255.0 + 0.5) as u8;
    let bytes: Vec<u8> = small.into_raw().into_iter().map(signal).collect();
    Frame::from_eight_bit(across, down, false, &bytes).unwrap_or(codes)
}

/// A sheet in the making.
struct Page {
    width: usize,
    height: usize,
    bytes: Vec<u8>,
}

impl Page {
    fn put(&mut self, frame: &Frame, left: usize, top: usize) {
        let bytes = frame.to_eight_bit_codes();
        for (row, line) in bytes.chunks_exact(frame.width() * frame.channels()).enumerate() {
            for (column, pixel) in line.chunks_exact(frame.channels()).enumerate() {
                if left + column < self.width && top + row < self.height {
                    let at = ((top + row) * self.width + left + column) * 3;
                    self.bytes[at..at + 3].copy_from_slice(&pixel[..3]);
                }
            }
        }
    }

    fn write(&mut self, letters: Lettering, text: &str, [left, top]: [f32; 2], ink: u8) {
        let (width, height, bytes) = (self.width, self.height, &mut self.bytes);
        letters.draw(text, [left, top], |x, y, coverage| {
            if x < width && y < height {
                let at = (y * width + x) * 3;
                for value in &mut bytes[at..at + 3] {
                    *value = (f32::from(*value) + (f32::from(ink) - f32::from(*value)) * coverage).round() as u8;
                }
            }
        });
    }
}

impl Mosaic {
    /// The sheet, 8 bits. `None` where nothing is on it, or it would be too large for a frame.
    #[must_use]
    pub fn frame(&self) -> Option<Frame> {
        let cells = || self.rows.iter().flat_map(|(_, cells)| cells);
        let wide = cells().map(Frame::width).max()?;
        let columns = self.rows.iter().map(|(_, cells)| cells.len()).max()?;
        let gap = ((wide as f64 * GAP) as usize).max(6);
        let caption = ((wide as f64 * CAPTION) as f32).clamp(SMALLEST, 30.0);
        let [title, body, strong] = [(1.6, Weight::Bold), (1.0, Weight::Regular), (1.0, Weight::Bold)]
            .map(|(size, weight)| Lettering::new(caption * size, weight));
        let line = |letters: Lettering| (letters.height * 1.25).ceil() as usize;
        let width = columns * (wide + gap) + gap;
        let head = gap
            + line(title)
            + if self.subtitle.is_empty() { 0 } else { line(body) }
            + if self.columns.is_empty() { 0 } else { gap / 2 + line(strong) };
        let row_heights: Vec<usize> =
            self.rows.iter().map(|(_, cells)| cells.iter().map(Frame::height).max().unwrap_or(0)).collect();
        let of_row = |height: usize| height + line(body) + gap;
        let notes: Vec<String> =
            self.notes.iter().flat_map(|note| body.broken(note, (width - 2 * gap) as f32)).collect();
        let height =
            head + row_heights.iter().map(|height| of_row(*height)).sum::<usize>() + notes.len() * line(body) + gap;
        super::pixel_count(width, height)?;
        let mut page = Page { width, height, bytes: vec![GROUND; width * height * 3] };
        let room = (width - 2 * gap) as f32;
        let mut top = gap;
        page.write(title, &title.fitted(&self.title, room), [gap as f32, top as f32], INK);
        top += line(title);
        if !self.subtitle.is_empty() {
            page.write(body, &body.fitted(&self.subtitle, room), [gap as f32, top as f32], QUIET);
        }
        let left = |column: usize| gap + column * (wide + gap);
        for (column, name) in self.columns.iter().enumerate() {
            let name = strong.fitted(name, wide as f32);
            page.write(strong, &name, [left(column) as f32, (head - line(strong)) as f32], INK);
        }
        let mut top = head;
        for ((name, cells), height) in self.rows.iter().zip(&row_heights) {
            for (column, cell) in cells.iter().enumerate() {
                page.put(cell, left(column), top);
            }
            page.write(body, &body.fitted(name, room), [gap as f32, (top + height + 2) as f32], QUIET);
            top += of_row(*height);
        }
        for note in notes {
            page.write(body, &note, [gap as f32, top as f32], QUIET);
            top += line(body);
        }
        Frame::from_eight_bit(width, height, false, &page.bytes)
    }
}

/// Labels along the lower edge of a picture, one in the middle of each of as many equal parts, on a dark strip. The picture keeps its size and depth.
#[must_use]
pub fn labelled(frame: &Frame, labels: &[&str]) -> Frame {
    let (width, height) = (frame.width(), frame.height());
    let letters = Lettering::new((height as f32 * 0.026).clamp(SMALLEST, 60.0), Weight::Regular);
    let strip = (letters.height * 1.5).ceil() as usize;
    if labels.is_empty() || strip >= height {
        return frame.clone();
    }
    let part = width / labels.len();
    let mut page = Page { width, height: strip, bytes: vec![GROUND; width * strip * 3] };
    for (place, label) in labels.iter().enumerate() {
        let label = letters.fitted(label, part as f32 * 0.95);
        let left = (place * part) as f32 + (part as f32 - letters.width(&label)) / 2.0;
        page.write(letters, &label, [left.max(0.0), letters.height * 0.22], INK);
    }
    let channels = frame.channels();
    let first = (height - strip) * width;
    match frame.samples() {
        Samples::Codes(codes) => {
            let mut codes = codes.clone();
            for (place, pixel) in page.bytes.chunks_exact(3).enumerate() {
                for (channel, value) in pixel.iter().enumerate() {
                    codes[(first + place) * channels + channel] = u16::from(*value) * 257;
                }
            }
            if frame.depth() == SampleDepth::Eight {
                return frame.with_codes(codes).to_depth(SampleDepth::Eight).frame;
            }
            frame.with_codes(codes)
        }
        Samples::Floats(values) => {
            let mut values = values.clone();
            for (place, pixel) in page.bytes.chunks_exact(3).enumerate() {
                for (channel, value) in pixel.iter().enumerate() {
                    values[(first + place) * channels + channel] = f32::from(*value) / 255.0;
                }
            }
            frame.with_floats(values)
        }
    }
}

/// One picture out of several of one size and depth: each shows its own of as many upright parts, with a thin line between. `None` where
/// they are not alike, or there is none.
#[must_use]
pub fn side_by_side(frames: &[Frame]) -> Option<Frame> {
    let first = frames.first()?;
    let (width, channels) = (first.width(), first.channels());
    let alike = |frame: &Frame| {
        (frame.width(), frame.height(), frame.channels()) == (width, first.height(), channels)
            && std::mem::discriminant(frame.samples()) == std::mem::discriminant(first.samples())
    };
    if !frames.iter().all(alike) {
        return None;
    }
    let seam = (width / 960).max(1);
    let part = |column: usize| (column * frames.len() / width).min(frames.len() - 1);
    let is_seam = |column: usize| column + seam < width && part(column) != part(column + seam);
    let mixed = |place: usize| {
        let column = place / channels % width;
        (part(column), is_seam(column) && place % channels < 3)
    };
    let samples: Vec<&Samples> = frames.iter().map(Frame::samples).collect();
    Some(match first.samples() {
        Samples::Codes(codes) => {
            let pick = |place: usize| match (samples[mixed(place).0], mixed(place).1) {
                (Samples::Codes(codes), false) => codes[place],
                _ => u16::from(INK) * 257,
            };
            first.with_codes((0..codes.len()).map(pick).collect())
        }
        Samples::Floats(values) => {
            let pick = |place: usize| match (samples[mixed(place).0], mixed(place).1) {
                (Samples::Floats(values), false) => values[place],
                _ => f32::from(INK) / 255.0,
            };
            first.with_floats((0..values.len()).map(pick).collect())
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn flat(width: usize, height: usize, code: u8) -> Frame {
        Frame::from_eight_bit(width, height, false, &vec![code; width * height * 3]).expect("a frame")
    }

    #[test]
    fn fine_detail_keeps_its_light() {
        // A board of black and white has half the light of white: sRGB 188 of 255, by IEC 61966-2-1.
        let bytes: Vec<u8> =
            (0..64 * 64).flat_map(|place| [if (place / 64 + place) % 2 == 0 { 0 } else { 255 }; 3]).collect();
        let board = Frame::from_eight_bit(64, 64, false, &bytes).expect("a frame");
        let small = scaled(&board, 16, 16);
        assert_eq!((small.width(), small.height()), (16, 16));
        let middle = small.pixel(8, 8).expect("inside")[0] * 255.0;
        assert!((middle - 188.0).abs() <= 2.0, "{middle}");
        let same = scaled(&flat(10, 5, 77), 100, 100);
        assert_eq!(same, flat(10, 5, 77), "nothing is made larger, and a flat picture stays");
    }

    #[test]
    fn every_cell_stands_in_its_place() {
        let rows = vec![
            ("one".to_owned(), vec![flat(300, 100, 100), flat(300, 100, 150)]),
            ("two".to_owned(), vec![flat(300, 100, 200), flat(300, 100, 250)]),
        ];
        let columns = vec!["left".to_owned(), "right".to_owned()];
        let mosaic = Mosaic {
            title: "Tidewater".to_owned(),
            columns,
            rows,
            notes: vec!["a note".to_owned()],
            ..Mosaic::default()
        };
        let sheet = mosaic.frame().expect("a sheet");
        let count = |code: u8| sheet.to_eight_bit_codes().chunks_exact(3).filter(|pixel| **pixel == [code; 3]).count();
        for code in [100, 150, 200, 250] {
            assert!(count(code) >= 300 * 100, "all of the picture of {code} is there: {}", count(code));
        }
        let bytes = sheet.to_eight_bit_codes();
        let lit = |rows: std::ops::Range<usize>| {
            bytes[rows.start * sheet.width() * 3..rows.end * sheet.width() * 3]
                .iter()
                .filter(|value| **value > 90)
                .count()
        };
        assert!(lit(0..20) > 60, "a title");
        assert!(lit(sheet.height() - 20..sheet.height()) > 20, "a note");
        assert!(Mosaic::default().frame().is_none());
    }

    #[test]
    fn parts_come_from_their_pictures() {
        let joined = side_by_side(&[flat(90, 10, 10), flat(90, 10, 20), flat(90, 10, 30)]).expect("alike");
        let at = |x: usize| (joined.pixel(x, 5).expect("inside")[0] * 255.0).round();
        assert_eq!([at(3), at(45), at(80)], [10.0, 20.0, 30.0]);
        assert_eq!(at(29), f64::from(INK), "a line between");
        assert!(side_by_side(&[flat(9, 9, 1), flat(8, 9, 1)]).is_none() && side_by_side(&[]).is_none());
    }

    #[test]
    fn labels_change_the_lowest_rows_only() {
        let frame = flat(640, 360, 120);
        let told = labelled(&frame, &["log", "plain conversion", "Dusk car deck"]);
        assert_eq!((told.width(), told.height()), (640, 360));
        let changed =
            |from: usize, to: usize| (from..to).any(|y| (0..640).any(|x| told.pixel(x, y) != frame.pixel(x, y)));
        assert!(!changed(0, 330) && changed(340, 360));
    }
}

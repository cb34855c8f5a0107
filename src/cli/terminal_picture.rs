//! Pictures in the terminal: half-block characters, two pixels of 24-bit colour each.

use lookwright::picture::Frame;
use lookwright::picture::mosaic::scaled;
use std::fmt::Write as _;

/// The most that a picture is higher than wide.
const TALLEST: f64 = 1.5;

/// Columns between two pictures, and before the first.
const GAP: usize = 2;

/// The least width of a picture in which anything is to be seen (this project's own choice).
const NARROWEST: usize = 16;

/// Pictures beside each other, each below its caption; in several bands where `columns` hold only a part of them.
pub fn beside(pictures: &[(&str, &Frame)], columns: usize) -> String {
    let room = |count: usize| (columns / count).saturating_sub(GAP);
    let most = (1..=pictures.len()).rev().find(|count| room(*count) >= NARROWEST).unwrap_or(1);
    // As many in the last band as in the others, if that can be.
    let each = pictures.len().div_ceil(pictures.len().div_ceil(most).max(1)).max(1);
    let width = room(each).max(1);
    let mut text = String::new();
    for band in pictures.chunks(each) {
        let small: Vec<Frame> =
            band.iter().map(|(_, frame)| scaled(frame, width, (width as f64 * TALLEST) as usize)).collect();
        let codes: Vec<Vec<u8>> = small.iter().map(Frame::to_eight_bit_codes).collect();
        if band.iter().any(|(caption, _)| !caption.is_empty()) {
            let captions: String = band.iter().map(|(caption, _)| padded(caption, width)).collect();
            let _ = writeln!(text, "{}", captions.trim_end());
        }
        let lines = small.iter().map(|frame| frame.height().div_ceil(2)).max().unwrap_or(0);
        for line in 0..lines {
            for (place, frame) in small.iter().enumerate() {
                let _ = write!(text, "{:GAP$}", "");
                push_line(&mut text, frame, &codes[place], line);
                // Blanks behind the last one would wrap in a terminal that is made narrower.
                if place + 1 < small.len() {
                    let _ = write!(text, "{:1$}", "", width - frame.width().min(width));
                }
            }
            text.push('\n');
        }
    }
    text
}

/// A caption in its column, cut where it is too long.
fn padded(caption: &str, width: usize) -> String {
    let long = caption.chars().count() > width;
    let cut: String = caption.chars().take(if long { width.saturating_sub(1) } else { width }).collect();
    let cut = if long { format!("{cut}…") } else { cut };
    format!("{:GAP$}{cut:width$}", "")
}

/// Two rows of pixels as one line of characters; blanks where the picture has ended.
fn push_line(text: &mut String, frame: &Frame, codes: &[u8], line: usize) {
    let pixel = |x: usize, y: usize| {
        let at = (y * frame.width() + x) * frame.channels();
        (y < frame.height()).then(|| [codes[at], codes[at + 1], codes[at + 2]])
    };
    let mut before = None;
    for x in 0..frame.width() {
        let (upper, lower) = (pixel(x, 2 * line), pixel(x, 2 * line + 1));
        let Some([r, g, b]) = upper else {
            text.push(' ');
            continue;
        };
        if before != Some((upper, lower)) {
            let ground = lower.map_or("49".to_owned(), |[r, g, b]| format!("48;2;{r};{g};{b}"));
            let _ = write!(text, "\u{1b}[38;2;{r};{g};{b};{ground}m");
            before = Some((upper, lower));
        }
        text.push('▀');
    }
    if before.is_some() {
        text.push_str("\u{1b}[0m");
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn frame(width: usize, height: usize, codes: &[u8]) -> Frame {
        Frame::from_eight_bit(width, height, false, codes).expect("a frame")
    }

    #[test]
    fn two_rows_of_pixels_are_one_line_and_an_odd_one_has_no_ground() {
        let picture = frame(2, 3, &[255, 0, 0, 255, 0, 0, 0, 0, 255, 0, 0, 255, 1, 2, 3, 4, 5, 6]);
        let shown = beside(&[("", &picture)], 80);
        let expected =
            "  \u{1b}[38;2;255;0;0;48;2;0;0;255m▀▀\u{1b}[0m\n  \u{1b}[38;2;1;2;3;49m▀\u{1b}[38;2;4;5;6;49m▀\u{1b}[0m\n";
        assert_eq!(shown, expected);
    }

    /// Columns of a line, escapes left out.
    fn columns(line: &str) -> usize {
        let mut parts = line.split('\u{1b}');
        let first = parts.next().unwrap_or_default().chars().count();
        first + parts.filter_map(|part| part.split_once('m')).map(|part| part.1.chars().count()).sum::<usize>()
    }

    #[test]
    fn pictures_keep_to_the_columns_and_to_their_shape() {
        let wide = frame(320, 180, &[90; 320 * 180 * 3]);
        for (count, width, bands) in [(1, 80, 1), (2, 80, 1), (5, 80, 2), (7, 40, 4), (1, 10, 1)] {
            let pictures = vec![("a look of a name that is rather long for its place", &wide); count];
            let shown = beside(&pictures, width);
            assert!(shown.lines().all(|line| columns(line) <= width), "{count} in {width}\n{shown}");
            assert_eq!(
                shown.matches('…').count(),
                if width == 80 && count == 1 { 0 } else { count },
                "{count} in {width}"
            );
            let captions = shown.lines().filter(|line| line.contains("a look") || line.contains('…'));
            assert_eq!(captions.count(), bands, "{count} in {width}\n{shown}");
        }
        let shown = beside(&[("", &wide)], 82);
        // 80 × 45 pixels.
        assert_eq!(shown.lines().count(), 23);
    }
}

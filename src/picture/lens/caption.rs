//! A line of text burnt into the bottom edge of a picture.

use crate::picture::lettering::{Lettering, Weight};
use crate::picture::{CODE16_MAX, Frame, SampleDepth, Samples, code16};

/// Letters' height for a picture's height: small beside the picture, and readable on a page. This project's own choice.
const OF_HEIGHT: f32 = 1.0 / 38.0;

/// The smallest letters that can be read, pixels. This project's own choice.
const LEAST: f32 = 9.0;

/// The most of a picture that a label may cover. This project's own choice.
const MOST_COVERED: f32 = 1.0 / 3.0;

/// How much of the picture's signal is left behind the letters.
const BEHIND: f64 = 0.2;

/// Signal of the letters: 203 cd/m² on a PQ display (ITU-R BT.2408), and a light grey on all others.
const LETTERS: f64 = 0.58;

/// A label that fits: its letters and its lines.
struct Set {
    letters: Lettering,
    lines: Vec<String>,
}

impl Set {
    /// The space about and between the lines.
    fn margin(&self) -> f32 {
        (self.letters.height * 0.3).ceil()
    }

    fn height(&self) -> f32 {
        self.letters.height * self.lines.len() as f32 + 2.0 * self.margin()
    }
}

/// The picture with a text over its bottom edge, on as many lines as it needs, letters sized to the picture. `None` where the
/// picture is too small for a text that can be read: the caller says it elsewhere.
///
/// The picture is a display's signal; in the strip behind the letters it is held to 0..1. Depth and alpha stay.
#[must_use]
pub fn burnt(frame: &Frame, text: &str) -> Option<Frame> {
    let set = fitted(text, frame.width() as f32, frame.height() as f32)?;
    let top = frame.height() - (set.height() as usize).min(frame.height());
    let mut coverage = vec![0.0_f32; frame.width() * (frame.height() - top)];
    for (number, line) in set.lines.iter().enumerate() {
        let at = [2.0 * set.margin(), set.margin() + number as f32 * set.letters.height];
        set.letters.draw(line, at, |x, y, ink| {
            if x < frame.width()
                && let Some(covered) = coverage.get_mut(y * frame.width() + x)
            {
                *covered = covered.max(ink);
            }
        });
    }
    let channels = frame.channels();
    let first = top * frame.width() * channels;
    let written = |signal: f64, ink: f32| {
        let behind = if signal.is_nan() { 0.0 } else { signal.clamp(0.0, 1.0) * BEHIND };
        behind + f64::from(ink) * (LETTERS - behind)
    };
    Some(match frame.samples() {
        Samples::Codes(codes) => {
            let mut codes = codes.clone();
            for (pixel, &ink) in codes[first..].chunks_exact_mut(channels).zip(&coverage) {
                pixel[..3].iter_mut().for_each(|code| *code = code16(written(f64::from(*code) / CODE16_MAX, ink)));
            }
            let written = frame.with_codes(codes);
            if frame.depth() == SampleDepth::Eight { written.to_depth(SampleDepth::Eight).frame } else { written }
        }
        Samples::Floats(values) => {
            let mut values = values.clone();
            for (pixel, &ink) in values[first..].chunks_exact_mut(channels).zip(&coverage) {
                pixel[..3].iter_mut().for_each(|value| *value = written(f64::from(*value), ink) as f32);
            }
            frame.with_floats(values)
        }
    })
}

/// The largest letters in which the whole text fits.
fn fitted(text: &str, width: f32, height: f32) -> Option<Set> {
    let mut size = (height * OF_HEIGHT).max(LEAST);
    while size >= LEAST {
        let letters = Lettering::new(size, Weight::Regular);
        let mut set = Set { letters, lines: Vec::new() };
        if let Some(lines) = broken(text, &letters, width - 4.0 * set.margin()) {
            set.lines = lines;
            if set.height() <= height * MOST_COVERED {
                return Some(set);
            }
        }
        size -= 1.0;
    }
    None
}

/// A text broken into lines at its spaces; `None` where a word is too wide.
fn broken(text: &str, letters: &Lettering, width: f32) -> Option<Vec<String>> {
    let fits = text.split_whitespace().all(|word| letters.width(word) <= width);
    (fits && !text.trim().is_empty()).then(|| letters.broken(text, width))
}

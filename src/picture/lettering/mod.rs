//! Text in pictures: captions, labels and legends, smooth at any size.
//!
//! The typeface is DejaVu Sans, in the program itself, so that a picture is the same on every machine. Its licence stands beside it.

use ab_glyph::{Font, FontRef, Glyph, PxScale, ScaleFont, point};
use std::sync::LazyLock;

/// How heavy the letters are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weight {
    /// For captions.
    Regular,
    /// For what is read first.
    Bold,
}

/// What stands for a character that the typeface lacks.
const UNKNOWN: char = '□';

/// A typeface that is part of the program; a test reads both.
fn typeface(bytes: &'static [u8]) -> Option<FontRef<'static>> {
    FontRef::try_from_slice(bytes).ok()
}

static REGULAR: LazyLock<Option<FontRef<'static>>> = LazyLock::new(|| typeface(include_bytes!("DejaVuSans.ttf")));
static BOLD: LazyLock<Option<FontRef<'static>>> = LazyLock::new(|| typeface(include_bytes!("DejaVuSans-Bold.ttf")));

impl Weight {
    fn font(self) -> Option<&'static FontRef<'static>> {
        match self {
            Self::Regular => REGULAR.as_ref(),
            Self::Bold => BOLD.as_ref(),
        }
    }
}

/// Letters of one size and weight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lettering {
    /// Height of a line in pixels, from the lowest descender to the highest ascender.
    pub height: f32,
    /// Weight.
    pub weight: Weight,
}

impl Lettering {
    /// Letters of that height in pixels.
    #[must_use]
    pub const fn new(height: f32, weight: Weight) -> Self {
        Self { height, weight }
    }

    /// Width of a text in pixels.
    #[must_use]
    pub fn width(&self, text: &str) -> f32 {
        self.set(text).1
    }

    /// The text, or as much of its beginning as is at most `width` pixels wide, with an ellipsis.
    #[must_use]
    pub fn fitted(&self, text: &str, width: f32) -> String {
        if self.width(text) <= width {
            return text.to_owned();
        }
        let ends: Vec<usize> = text.char_indices().map(|(at, _)| at).collect();
        let cut = |end: usize| format!("{}…", text[..end].trim_end());
        let most = ends.partition_point(|end| self.width(&cut(*end)) <= width);
        if most == 0 { String::new() } else { cut(ends[most - 1]) }
    }

    /// The text in lines that are at most `width` pixels wide, broken between words; a word that alone is wider ends in an ellipsis.
    #[must_use]
    pub fn broken(&self, text: &str, width: f32) -> Vec<String> {
        let mut found: Vec<String> = Vec::new();
        for word in text.split_whitespace() {
            let joined = found.last().map(|line| format!("{line} {word}")).filter(|line| self.width(line) <= width);
            match (joined, found.last_mut()) {
                (Some(joined), Some(line)) => *line = joined,
                _ => found.push(self.fitted(word, width)),
            }
        }
        found
    }

    /// Calls `ink` with column, row and coverage (0..1) of every pixel that the text touches, its line's left top corner at `left`, `top` in
    /// pixels. Pixels left of or above the picture are left out; those beyond its other sides are the caller's to leave out.
    pub fn draw(&self, text: &str, [left, top]: [f32; 2], mut ink: impl FnMut(usize, usize, f32)) {
        let Some(font) = self.weight.font() else { return };
        for glyph in self.set(text).0 {
            let Some(outline) = font.outline_glyph(glyph) else { continue };
            let bounds = outline.px_bounds();
            let (x0, y0) = ((bounds.min.x + left.floor()) as i64, (bounds.min.y + top.floor()) as i64);
            outline.draw(|x, y, coverage| {
                let (x, y) = (x0 + i64::from(x), y0 + i64::from(y));
                if coverage > 0.0
                    && let (Ok(x), Ok(y)) = (usize::try_from(x), usize::try_from(y))
                {
                    ink(x, y, coverage.min(1.0));
                }
            });
        }
    }

    /// The glyphs of a line, each at its place, and the width of all.
    fn set(&self, text: &str) -> (Vec<Glyph>, f32) {
        let Some(font) = self.weight.font() else { return (Vec::new(), 0.0) };
        let scaled = font.as_scaled(PxScale::from(self.height));
        let mut glyphs: Vec<Glyph> = Vec::new();
        let mut x = 0.0;
        for character in text.chars().filter(|character| !character.is_control()) {
            let known = font.glyph_id(character);
            let id = if known.0 == 0 { font.glyph_id(UNKNOWN) } else { known };
            if let Some(before) = glyphs.last() {
                x += scaled.kern(before.id, id);
            }
            glyphs.push(id.with_scale_and_position(self.height, point(x, scaled.ascent())));
            x += scaled.h_advance(id);
        }
        (glyphs, x)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_weights_are_there_and_letters_have_their_widths() {
        for weight in [Weight::Regular, Weight::Bold] {
            let letters = Lettering::new(20.0, weight);
            assert!(letters.width("m") > letters.width("i") && letters.width("i") > 1.0, "{weight:?}");
            assert!((letters.width("ferry ferry") - 2.0 * letters.width("ferry") - letters.width(" ")).abs() < 1.0);
            assert_eq!(letters.width(""), 0.0);
            // A face in one's language, a unit, a sign.
            for character in "äßéŁДΔσ−±°½×≤→₂µ".chars() {
                let alone = character.to_string();
                assert!(letters.width(&alone) > 2.0, "{character}");
            }
        }
    }

    #[test]
    fn letters_leave_ink_in_their_line_only() {
        let letters = Lettering::new(24.0, Weight::Regular);
        let (mut sum, mut low, mut high, mut right) = (0.0, usize::MAX, 0, 0);
        letters.draw("Ågjq|", [10.4, 100.0], |x, y, coverage| {
            assert!((0.0..=1.0).contains(&coverage));
            sum += coverage;
            (low, high, right) = (low.min(y), high.max(y), right.max(x));
        });
        assert!(sum > 50.0 && low >= 99 && high <= 125, "{sum} from {low} to {high}");
        assert!(right as f32 <= 11.0 + letters.width("Ågjq|") + 1.0);
        letters.draw("left of the picture", [-40.0, -12.0], |x, y, _| assert!(x < 400 && y < 24));
    }

    #[test]
    fn what_is_too_wide_ends_in_an_ellipsis() {
        let letters = Lettering::new(16.0, Weight::Bold);
        let long = "deck and dialogue, second angle";
        let cut = letters.fitted(long, 100.0);
        assert!(cut.ends_with('…') && cut.starts_with("deck") && letters.width(&cut) <= 100.0, "{cut}");
        assert_eq!(letters.fitted(long, 4000.0), long);
        assert_eq!(letters.fitted(long, 1.0), "");
    }

    /// Characters that the typeface lacks are seen to be there.
    #[test]
    fn unknown_characters_are_boxes() {
        let letters = Lettering::new(16.0, Weight::Regular);
        assert_eq!(letters.width("船"), letters.width("□"));
        let mut dots = 0;
        letters.draw("船", [0.0, 0.0], |_, _, _| dots += 1);
        assert!(dots > 10);
    }
}

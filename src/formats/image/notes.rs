//! What a picture file says beside its picture: who made it, when, with what, and words.

use super::directories::Exif;
use crate::formats::icc::Profile;
use std::fmt;

/// The most bytes of one item: an Exif value, a text, an XMP packet. A file may claim what it likes; more is left out with a warning.
pub(super) const MAX_ITEM_BYTES: usize = 1 << 20;

/// The most bytes of all that one file says beside its picture.
pub(super) const MAX_NOTE_BYTES: usize = 4 << 20;

/// The most texts and comments of a file.
pub(super) const MAX_TEXTS: usize = 200;

/// The longest description, characters; what is longer is cut.
pub const MAX_DESCRIPTION: usize = 2000;

/// The name of the program that stands in the files it writes.
pub(super) const SOFTWARE: &str = concat!("lookwright ", env!("CARGO_PKG_VERSION"));

/// A text with its keyword, as PNG files hold them (ISO/IEC 15948, section 11.3.4).
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Text {
    /// What it is about, Latin-1, 1 to 79 characters.
    pub keyword: String,
    /// The text.
    pub text: String,
    /// The language (RFC 3066); empty if it is not said.
    pub language: String,
    /// The keyword in that language; empty if there is none.
    pub translated_keyword: String,
    /// Whether it stood in the file as Unicode.
    pub unicode: bool,
}

/// What pixels are counted by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Per {
    /// Inches.
    Inch,
    /// Centimetres.
    Centimetre,
    /// Nothing: the two numbers say the shape of a pixel alone.
    Nothing,
}

/// How densely the picture is meant to be printed, or what shape its pixels have.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Resolution {
    /// Pixels across, above 0.
    pub across: f64,
    /// Pixels down, above 0.
    pub down: f64,
    /// For each of what.
    pub per: Per,
}

/// The most pixels for each unit that are believed: a thousandth of what a 32-bit number can say (this project's own choice).
const MAX_DENSITY: f64 = 4e6;

/// The least that is believed, which is what a PNG can say: a pixel for each metre, or 1 in a shape, to the nearest.
const LEAST: [(Per, f64); 3] = [(Per::Inch, 0.025), (Per::Centimetre, 0.01), (Per::Nothing, 0.5)];

impl Resolution {
    /// `None` if a number is no density.
    pub(super) fn new(across: f64, down: f64, per: Per) -> Option<Self> {
        let least = LEAST.into_iter().find_map(|(unit, least)| (unit == per).then_some(least))?;
        let sound = |value: f64| (least..=MAX_DENSITY).contains(&value);
        (sound(across) && sound(down)).then_some(Self { across, down, per })
    }

    /// Of the same picture, turned by a quarter.
    pub(super) fn turned(self) -> Self {
        Self { across: self.down, down: self.across, ..self }
    }

    /// The same for each inch or centimetre; as it is where nothing is counted.
    pub(super) fn by(self, per: Per) -> Self {
        let factor = match (self.per, per) {
            (Per::Inch, Per::Centimetre) => 1.0 / 2.54,
            (Per::Centimetre, Per::Inch) => 2.54,
            _ => return self,
        };
        Self { across: self.across * factor, down: self.down * factor, per }
    }
}

/// What a file says beside its picture, as far as it is kept.
///
/// Not kept: thumbnails (they show the picture before), makers' own Exif data (its inner places would be wrong elsewhere), profiles
/// and other declarations of colour (they belong to the numbers that were), edit histories of other programs.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Metadata {
    /// Exif, and the describing tags of a TIFF.
    pub exif: Option<Exif>,
    /// An XMP packet (ISO 16684-1), as text.
    pub xmp: Option<String>,
    /// Texts of a PNG.
    pub texts: Vec<Text>,
    /// Comments of a JPEG.
    pub comments: Vec<String>,
    /// Resolution.
    pub resolution: Option<Resolution>,
}

impl Metadata {
    /// Whether there is nothing.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// The same about a picture that was turned upright: see [`Exif::settled`], and the orientation in the XMP packet.
    pub(super) fn settled(&self, size: [usize; 2], profile: Option<Profile>) -> Self {
        let is_srgb = profile == Some(Profile::SRGB);
        Self {
            exif: self.exif.as_ref().map(|exif| exif.settled(size, is_srgb)),
            xmp: self.xmp.as_deref().map(upright),
            ..self.clone()
        }
    }
}

/// An XMP packet that says orientation 1 where it said another: an attribute `tiff:Orientation="6"`, or an element.
fn upright(packet: &str) -> String {
    const NAME: &str = "tiff:Orientation";
    let mut result = String::with_capacity(packet.len());
    let mut rest = packet;
    while let Some(found) = rest.find(NAME) {
        let (before, after) = rest.split_at(found + NAME.len());
        result.push_str(before);
        let lead = after.len() - after.trim_start_matches([' ', '\t', '\r', '\n', '=', '"', '\'', '>']).len();
        let digits = after[lead..].bytes().take_while(u8::is_ascii_digit).count();
        result.push_str(&after[..lead]);
        if lead > 0 && digits > 0 {
            result.push('1');
        } else {
            result.push_str(&after[lead..lead + digits]);
        }
        rest = &after[lead + digits..];
    }
    result.push_str(rest);
    result
}

/// What goes into a file beside its picture.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Notes {
    /// What the still said that the picture was made from.
    pub metadata: Metadata,
    /// What was done to it, on one line: `through the look "Dusk"`. With it the name of this program is written. Control
    /// characters become spaces, and what is longer than [`MAX_DESCRIPTION`] is cut.
    pub description: Option<String>,
}

/// What a caller may want to tell about a file, without anything being wrong with its picture.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Warning {
    /// It holds several pictures, of which the first was read; how many, if the file says it.
    SeveralPictures(Option<u32>),
    /// Something that it says beside the picture was left out.
    LeftOut {
        /// What: "Exif", "XMP", "a text", …
        what: &'static str,
        /// Why, fit to stand behind a colon.
        why: String,
    },
}

impl Warning {
    pub(super) fn left_out(what: &'static str, why: impl Into<String>) -> Self {
        Self::LeftOut { what, why: why.into() }
    }
}

impl fmt::Display for Warning {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::SeveralPictures(Some(count)) => write!(out, "it holds {count} pictures; the first counts"),
            Self::SeveralPictures(None) => write!(out, "it holds several pictures; the first counts"),
            Self::LeftOut { what, why } => write!(out, "{what} is left out: {why}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn orientation_in_a_packet_is_put_right_and_nothing_else() {
        let packet = "<x tiff:Orientation=\"6\" a='6'><tiff:Orientation>8</tiff:Orientation> tiff:Orientation";
        assert_eq!(
            upright(packet),
            "<x tiff:Orientation=\"1\" a='6'><tiff:Orientation>1</tiff:Orientation> tiff:Orientation"
        );
        assert_eq!(upright("tiff:Orientations9"), "tiff:Orientations9");
        assert_eq!(upright("é tiff:Orientation = '3' é"), "é tiff:Orientation = '1' é");
    }

    #[test]
    fn resolution_changes_its_unit_and_refuses_nonsense() {
        let inch = Resolution::new(300.0, 72.0, Per::Inch).expect("a density");
        let there = inch.by(Per::Centimetre);
        assert!((there.across - 118.110_236).abs() < 1e-6);
        assert!((there.by(Per::Inch).down - 72.0).abs() < 1e-9);
        for wrong in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e12] {
            assert!(Resolution::new(wrong, 1.0, Per::Inch).is_none(), "{wrong}");
        }
    }
}

//! What stands beside the picture in PNG and JPEG files: the bytes of chunks and segments, and their place in a written file.

use super::directories::{Entry, RESOLUTION_ACROSS, RESOLUTION_DOWN, RESOLUTION_UNIT};
use super::gather::{EXIF, XMP};
use super::gather_jpeg::{EXIF_MARK, PROFILE_MARK, XMP_MARK};
use super::gather_png::{XMP_KEYWORD, crc32};
use super::notes::{MAX_DESCRIPTION, Metadata, Notes, Per, Resolution, SOFTWARE, Text, Warning};
use crate::formats::icc::{Profile, one_line};
use image::codecs::jpeg::{PixelDensity, PixelDensityUnit};
use miniz_oxide::deflate::compress_to_vec_zlib;

/// What is put into a file: of the still, already about the new picture, and of this program.
pub(super) struct Put {
    pub metadata: Metadata,
    pub profile: Option<Profile>,
    /// The description on one line, not empty.
    pub description: Option<String>,
    /// What the format could not hold.
    pub warnings: Vec<Warning>,
}

impl Put {
    pub(super) fn new(notes: &Notes, profile: Option<Profile>, size: [usize; 2]) -> Self {
        let description = notes.description.as_deref().map(|words| one_line(words, MAX_DESCRIPTION));
        Self {
            metadata: notes.metadata.settled(size, profile),
            profile,
            description: description.filter(|words| !words.is_empty()),
            warnings: Vec::new(),
        }
    }

    pub(super) fn leave_out(&mut self, what: &'static str, why: &str) {
        self.warnings.push(Warning::left_out(what, why));
    }

    /// Texts of a PNG and comments of a JPEG where neither has a place of its own: what the text is about, and the text. Another program's
    /// name is left out where this one puts its own.
    pub(super) fn plain_texts(&self) -> Vec<String> {
        let said = |text: &&Text| self.description.is_none() || text.keyword != "Software";
        let words = |text: &Text| match text.keyword.as_str() {
            "Comment" | "Description" => text.text.clone(),
            keyword => format!("{keyword}: {}", text.text),
        };
        let texts = self.metadata.texts.iter().filter(said).map(words);
        texts.chain(self.metadata.comments.iter().cloned()).filter(|words| !words.trim().is_empty()).collect()
    }

    /// Exif as a file of its own, with the resolution that belongs to it.
    fn exif(&self) -> Option<Vec<u8>> {
        let exif = self.metadata.exif.as_ref()?;
        Some(exif.bytes(&self.metadata.resolution.map(resolution_entries).unwrap_or_default()))
    }
}

/// Whether `words` stand among the lines of a text already: what was done to a picture is not said again each time.
pub(super) fn says(text: &str, words: &str) -> bool {
    let lines = |text: &str| text.lines().map(str::trim_end).collect::<Vec<_>>().join("\n");
    format!("\n{}\n", lines(text)).contains(&format!("\n{}\n", lines(words)))
}

/// Pixels as a whole number for each unit, in 1/10000 where that has a fraction.
pub(super) fn resolution_entries(resolution: Resolution) -> Vec<Entry> {
    let unit = match resolution.per {
        Per::Nothing => 1,
        Per::Inch => 2,
        Per::Centimetre => 3,
    };
    let fraction = |tag, value: f64| {
        let below = if value.fract() == 0.0 || value > 4e5 { 1 } else { 10_000 };
        Entry::rational(tag, (value * f64::from(below)).round() as u32, below)
    };
    vec![
        fraction(RESOLUTION_ACROSS, resolution.across),
        fraction(RESOLUTION_DOWN, resolution.down),
        Entry::short(RESOLUTION_UNIT, unit),
    ]
}

/// Puts bytes into a file at a place, which moves what is behind it once.
pub(super) fn insert(file: &mut Vec<u8>, at: usize, bytes: Vec<u8>) {
    if !bytes.is_empty() {
        file.splice(at..at, bytes);
    }
}

/// Where chunks may stand in a PNG: behind its signature and its header chunk, which has 13 bytes.
pub(super) const PNG_PLACE: usize = 8 + 4 + 4 + 13 + 4;

/// The chunks of a PNG.
pub(super) fn png_chunks(put: &mut Put) -> Vec<u8> {
    let mut chunks = Vec::new();
    if let Some(profile) = put.profile {
        let name = profile.name();
        let packed = compress_to_vec_zlib(&profile.bytes(), 9);
        append_chunk(&mut chunks, b"iCCP", &[name.as_bytes(), &[0, 0], &packed]);
    }
    if let Some(resolution) = put.metadata.resolution {
        let scaled = resolution.by(Per::Centimetre);
        let (metres, factor) = if scaled.per == Per::Nothing { (0, 1.0) } else { (1, 100.0) };
        let [across, down] = [scaled.across, scaled.down].map(|value| ((value * factor).round() as u32).to_be_bytes());
        append_chunk(&mut chunks, b"pHYs", &[&across, &down, &[metres]]);
    }
    if let Some(exif) = put.exif() {
        append_chunk(&mut chunks, b"eXIf", &[&exif]);
    }
    if let Some(packet) = put.metadata.xmp.take() {
        append_text(&mut chunks, &unicode(XMP_KEYWORD, packet));
    }
    // The program that wrote the file is this one now.
    let ours = put.description.take();
    for text in put.metadata.texts.iter().filter(|text| ours.is_none() || text.keyword != "Software") {
        append_text(&mut chunks, text);
    }
    if !put.metadata.comments.is_empty() {
        put.metadata.comments.iter().for_each(|comment| append_text(&mut chunks, &unicode("Comment", comment.clone())));
    }
    if let Some(description) = ours {
        let described = |text: &&Text| text.keyword == "Description";
        if !put.metadata.texts.iter().filter(described).any(|text| says(&text.text, &description)) {
            append_text(&mut chunks, &unicode("Description", description));
        }
        append_text(&mut chunks, &unicode("Software", SOFTWARE.to_owned()));
    }
    chunks
}

fn unicode(keyword: &str, text: String) -> Text {
    Text { keyword: keyword.to_owned(), text, unicode: true, ..Text::default() }
}

fn append_chunk(file: &mut Vec<u8>, kind: &[u8; 4], parts: &[&[u8]]) {
    let data = parts.concat();
    file.extend((data.len() as u32).to_be_bytes());
    file.extend(kind);
    file.extend(&data);
    file.extend(crc32(&[kind, &data]).to_be_bytes());
}

fn append_text(file: &mut Vec<u8>, text: &Text) {
    // The keyword is Latin-1 by the way it was read, or ASCII.
    let keyword = latin1(&text.keyword).unwrap_or_default();
    match latin1(&text.text) {
        Some(plain) if !text.unicode => append_chunk(file, b"tEXt", &[&keyword, &[0], &plain]),
        _ => append_chunk(
            file,
            b"iTXt",
            &[
                &keyword,
                &[0, 0, 0],
                text.language.as_bytes(),
                &[0],
                text.translated_keyword.as_bytes(),
                &[0],
                text.text.as_bytes(),
            ],
        ),
    }
}

fn latin1(text: &str) -> Option<Vec<u8>> {
    text.chars().map(|c| u8::try_from(c).ok()).collect()
}

/// The longest data of a segment.
const MAX_SEGMENT: usize = 65_533;

/// Where segments may stand in a JPEG: behind the start of the image and the JFIF segment, if that follows.
pub(super) fn jpeg_place(file: &[u8]) -> usize {
    match file {
        [0xff, 0xd8, 0xff, 0xe0, high, low, ..] => 4 + usize::from(u16::from_be_bytes([*high, *low])),
        _ => 2,
    }
}

/// The segments of a JPEG.
pub(super) fn jpeg_segments(put: &mut Put) -> Vec<u8> {
    let mut segments = Vec::new();
    if let Some(exif) = put.exif()
        && !append_segment(&mut segments, 0xe1, &[EXIF_MARK, &exif])
    {
        put.leave_out(EXIF, "it is too large for a JPEG");
    }
    if let Some(packet) = put.metadata.xmp.take()
        && !append_segment(&mut segments, 0xe1, &[XMP_MARK, packet.as_bytes()])
    {
        put.leave_out(XMP, "it is too large for a JPEG");
    }
    if let Some(profile) = put.profile {
        append_segment(&mut segments, 0xe2, &[PROFILE_MARK, &[1, 1], &profile.bytes()]);
    }
    let mut comments = put.plain_texts();
    if let Some(ours) = put.description.take().filter(|ours| !comments.iter().any(|comment| says(comment, ours))) {
        comments.push(ours);
    }
    for comment in &comments {
        // Cut where a character ends.
        let end = (0..=comment.len().min(MAX_SEGMENT)).rev().find(|end| comment.is_char_boundary(*end)).unwrap_or(0);
        if end < comment.len() {
            put.leave_out("the end of a text", "it is too long for a JPEG");
        }
        append_segment(&mut segments, 0xfe, &[&comment.as_bytes()[..end]]);
    }
    segments
}

/// False if the data are too long for a segment; nothing is appended then.
fn append_segment(file: &mut Vec<u8>, marker: u8, parts: &[&[u8]]) -> bool {
    let data = parts.concat();
    if data.len() > MAX_SEGMENT {
        return false;
    }
    file.extend([0xff, marker]);
    file.extend((data.len() as u16 + 2).to_be_bytes());
    file.extend(data);
    true
}

/// The resolution as JFIF holds it; square pixels where it can't.
pub(super) fn jpeg_density(resolution: Option<Resolution>) -> PixelDensity {
    let told =
        resolution.map(|resolution| if resolution.per == Per::Centimetre { whole(resolution) } else { resolution });
    let code = |value: f64| (1.0..=65_535.0).contains(&value.round()).then(|| value.round() as u16);
    let codes = told.and_then(|told| Some((code(told.across)?, code(told.down)?, told.per)));
    match codes {
        Some((across, down, Per::Inch)) => PixelDensity { density: (across, down), unit: PixelDensityUnit::Inches },
        Some((across, down, Per::Centimetre)) => {
            PixelDensity { density: (across, down), unit: PixelDensityUnit::Centimeters }
        }
        Some((across, down, Per::Nothing)) => {
            PixelDensity { density: (across, down), unit: PixelDensityUnit::PixelAspectRatio }
        }
        None => PixelDensity { density: (1, 1), unit: PixelDensityUnit::PixelAspectRatio },
    }
}

/// By inches, unless the number for each centimetre is whole: that of a PNG of 300 for each inch is 118.11.
fn whole(resolution: Resolution) -> Resolution {
    let is_whole = |value: f64| (value - value.round()).abs() < 1e-9;
    if is_whole(resolution.across) && is_whole(resolution.down) { resolution } else { resolution.by(Per::Inch) }
}

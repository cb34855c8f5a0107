//! What a file says beside its picture, gathered within bounds. What is broken is left out with a warning; nothing here fails.

use super::contents::PictureFormat;
use super::declared::{Declared, DeclaredBy};
use super::directories::{self, Directories, Exif};
use super::exr_header::Header;
use super::notes::{MAX_ITEM_BYTES, MAX_NOTE_BYTES, MAX_TEXTS, Metadata, Per, Resolution, Warning};
use super::{gather_jpeg, gather_png};
use crate::formats::icc::MAX_PROFILE_BYTES;
use std::io::{BufRead, Cursor, Read, Seek};

/// What was gathered.
#[derive(Debug, Default)]
pub(super) struct Gathered {
    pub metadata: Metadata,
    pub declared: Option<Declared>,
    pub warnings: Vec<Warning>,
    /// What is still taken, and of profiles.
    left: usize,
    profile_left: usize,
}

/// How many warnings of one file are kept; a hostile one could give thousands.
const MAX_WARNINGS: usize = 20;

impl Gathered {
    fn new() -> Self {
        Self { left: MAX_NOTE_BYTES, profile_left: MAX_PROFILE_BYTES, ..Self::default() }
    }

    pub(super) fn warn(&mut self, warning: Warning) {
        if self.warnings.len() < MAX_WARNINGS && !self.warnings.contains(&warning) {
            self.warnings.push(warning);
        }
    }

    /// Whether an item of this length is taken; if not, that is said.
    pub(super) fn takes(&mut self, what: &'static str, length: usize) -> bool {
        let (left, most) = match what {
            PROFILE => (&mut self.profile_left, MAX_PROFILE_BYTES),
            _ => (&mut self.left, MAX_ITEM_BYTES),
        };
        let fits = length <= most.min(*left);
        if fits {
            *left -= length;
        } else {
            self.warn(Warning::left_out(what, format!("it has {length} bytes, more than are taken")));
        }
        fits
    }

    /// How many bytes are still taken, profiles apart.
    pub(super) fn left(&self) -> usize {
        self.left
    }

    /// Counts bytes that cost time and are not kept.
    pub(super) fn spend(&mut self, length: usize) {
        self.left = self.left.saturating_sub(length);
    }

    /// Whether another text or comment is taken.
    pub(super) fn takes_text(&mut self, what: &'static str) -> bool {
        let fits = self.metadata.texts.len() + self.metadata.comments.len() < MAX_TEXTS;
        if !fits {
            self.warn(Warning::left_out(what, format!("there are more than {MAX_TEXTS}")));
        }
        fits
    }

    /// A declaration, unless a stronger one is there.
    pub(super) fn declare(&mut self, declared: Declared) {
        let strength = |by: DeclaredBy| match by {
            DeclaredBy::CodePoints => 4,
            DeclaredBy::Profile => 3,
            DeclaredBy::SrgbChunk => 2,
            DeclaredBy::GammaOrChromaticities => 1,
            DeclaredBy::Exif => 0,
        };
        if self.declared.as_ref().is_none_or(|known| strength(known.by) < strength(declared.by)) {
            self.declared = Some(declared);
        }
    }

    /// An XMP packet; only the first counts.
    pub(super) fn xmp(&mut self, packet: Vec<u8>) {
        match String::from_utf8(packet) {
            Ok(packet) if self.metadata.xmp.is_none() => {
                self.metadata.xmp = Some(packet.trim_matches('\0').to_owned()).filter(|packet| !packet.is_empty());
            }
            Ok(_) => self.warn(Warning::left_out(XMP, "there is a second packet")),
            Err(_) => self.warn(Warning::left_out(XMP, "it is not UTF-8")),
        }
    }

    /// Exif as a file of its own.
    pub(super) fn exif(&mut self, file: &[u8]) {
        if self.metadata.exif.is_some() {
            return self.warn(Warning::left_out(EXIF, "it stands there twice"));
        }
        let length = file.len() as u64;
        let mut reader = Cursor::new(file);
        let opened = Directories::open(&mut reader, 0, length);
        let read = opened.and_then(|(mut directories, place)| {
            let first = directories.read(place, wanted_of_exif)?;
            Some((Exif::gather(&mut directories, place, &first), first))
        });
        match read {
            None => self.warn(Warning::left_out(EXIF, "it is damaged")),
            Some(((exif, broken), first)) => {
                self.take_exif(exif, broken);
                if self.metadata.resolution.is_none() {
                    self.metadata.resolution = resolution(&first.entries);
                }
            }
        }
    }

    fn take_exif(&mut self, exif: Exif, broken: Option<&'static str>) {
        if let Some(why) = broken {
            self.warn(Warning::left_out("a part of Exif", why));
        }
        if exif.colour_space() == Some(1) {
            self.declare(Declared::srgb(DeclaredBy::Exif));
        }
        self.metadata.exif = Some(exif).filter(|exif| !exif.is_empty());
    }

    /// The tags of a TIFF.
    fn tiff<R: Read + Seek>(&mut self, reader: &mut R, file_bytes: u64) {
        let wanted = |tag| wanted_of_exif(tag) || matches!(tag, directories::XMP | directories::ICC);
        let Some((mut directories, place)) = Directories::open(reader, 0, file_bytes) else { return };
        let Some(mut first) = directories.read(place, wanted) else {
            return self.warn(Warning::left_out("what its tags say", "the directory is too large or damaged"));
        };
        let (exif, broken) = Exif::gather(&mut directories, place, &first);
        self.take_exif(exif, broken);
        self.metadata.resolution = resolution(&first.entries);
        if first.next != 0 {
            self.warn(Warning::SeveralPictures(None));
        }
        for entry in first.entries.drain(..) {
            match entry.tag {
                directories::XMP => self.xmp(entry.data),
                directories::ICC => self.declare(Declared::of_profile(&entry.data)),
                _ => {}
            }
        }
    }

    /// What an OpenEXR header said.
    fn exr(&mut self, header: &Header) {
        if header.is_multipart {
            self.warn(Warning::SeveralPictures(None));
        }
        if let Some([red, green, blue, white]) = header.chromaticities {
            self.declare(Declared::of_numbers(None, Some([white, red, green, blue])));
        }
    }

    /// What follows from the picture having been turned upright.
    fn turn(&mut self) {
        let turned = self.metadata.exif.as_ref().and_then(Exif::orientation);
        if matches!(turned, Some(5..=8)) {
            self.metadata.resolution = self.metadata.resolution.map(Resolution::turned);
        }
    }
}

/// What warnings call things.
pub(super) const EXIF: &str = "Exif";
pub(super) const XMP: &str = "XMP";
pub(super) const PROFILE: &str = "the name of its profile";

fn wanted_of_exif(tag: u16) -> bool {
    use directories::{RESOLUTION_ACROSS, RESOLUTION_DOWN, RESOLUTION_UNIT};
    Exif::wants(tag) || matches!(tag, RESOLUTION_ACROSS | RESOLUTION_DOWN | RESOLUTION_UNIT)
}

/// The resolution that TIFF tags say; inches are meant where they don't say it (TIFF 6.0, tag 296).
fn resolution(entries: &[directories::Entry]) -> Option<Resolution> {
    let entry = |tag| entries.iter().find(|entry| entry.tag == tag);
    let across = entry(directories::RESOLUTION_ACROSS)?.fraction()?;
    let down = entry(directories::RESOLUTION_DOWN)?.fraction()?;
    let per = match entry(directories::RESOLUTION_UNIT).and_then(directories::Entry::number) {
        Some(1) => Per::Nothing,
        Some(3) => Per::Centimetre,
        _ => Per::Inch,
    };
    Resolution::new(across, down, per)
}

/// Gathers from a file that was found to be a picture. An error of reading ends it: what was found by then is what counts.
pub(super) fn gather<R: BufRead + Seek>(
    format: PictureFormat,
    reader: &mut R,
    file_bytes: u64,
    exr: Option<&Header>,
) -> Gathered {
    let mut gathered = Gathered::new();
    let read = match format {
        PictureFormat::Png => gather_png::walk(&mut gathered, reader, file_bytes),
        PictureFormat::Jpeg => gather_jpeg::walk(&mut gathered, reader),
        PictureFormat::Tiff => {
            gathered.tiff(reader, file_bytes);
            Ok(())
        }
        PictureFormat::OpenExr => {
            exr.into_iter().for_each(|header| gathered.exr(header));
            Ok(())
        }
    };
    if read.is_err() {
        gathered.warn(Warning::left_out("what stands at its end", "the file ends early"));
    }
    gathered.turn();
    gathered
}

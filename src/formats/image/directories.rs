//! Directories of tagged values, as TIFF 6.0 section 2 lays them out, and Exif (CIPA DC-008) inside other files with them.
//!
//! Only what describes a picture is taken out, from three directories at most: the first, that of Exif, that of GPS. Links are never
//! followed further, so that no file can lead in circles. Values are held in little-endian order, whatever the file's.

use super::notes::{MAX_ITEM_BYTES, MAX_NOTE_BYTES};
use crate::formats::icc::{MAX_PROFILE_BYTES, one_line};
use std::io::{Read, Seek, SeekFrom};

/// The most entries of a directory that is taken seriously; a camera writes fewer than a hundred.
const MAX_ENTRIES: u64 = 1000;

/// Tags of the first directory that lead to the others, and the one that says how the picture is turned.
pub(super) const EXIF_POINTER: u16 = 34_665;
pub(super) const GPS_POINTER: u16 = 34_853;
pub(super) const ORIENTATION: u16 = 274;

/// Other tags by their names in TIFF 6.0 and CIPA DC-008.
pub(super) const DESCRIPTION: u16 = 270;
pub(super) const MAKE: u16 = 271;
pub(super) const MODEL: u16 = 272;
pub(super) const SOFTWARE: u16 = 305;
pub(super) const RESOLUTION_ACROSS: u16 = 282;
pub(super) const RESOLUTION_DOWN: u16 = 283;
pub(super) const RESOLUTION_UNIT: u16 = 296;
pub(super) const XMP: u16 = 700;
pub(super) const ICC: u16 = 34_675;
pub(super) const EXPOSURE_TIME: u16 = 33_434;
pub(super) const F_NUMBER: u16 = 33_437;
pub(super) const COLOUR_SPACE: u16 = 40_961;
pub(super) const PIXELS_ACROSS: u16 = 40_962;
pub(super) const PIXELS_DOWN: u16 = 40_963;

/// What the first directory says about a picture and not about its data: title, maker, model, orientation, software, date, artist,
/// rating, copyright, and the same as wide text.
const DESCRIBING: [u16; 14] =
    [DESCRIPTION, MAKE, MODEL, ORIENTATION, SOFTWARE, 306, 315, 18_246, 18_249, 33_432, 40_091, 40_092, 40_093, 40_094];

/// Of the directory of Exif: a maker's own data, whose inner places would be wrong in another file, and a pointer.
const NOT_MOVABLE: [u16; 2] = [37_500, 40_965];

/// Types of values.
pub(super) const BYTE: u16 = 1;
pub(super) const ASCII: u16 = 2;
pub(super) const SHORT: u16 = 3;
pub(super) const LONG: u16 = 4;
pub(super) const RATIONAL: u16 = 5;
pub(super) const UNDEFINED: u16 = 7;

/// A tagged value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Entry {
    pub tag: u16,
    pub kind: u16,
    /// Whole values of the kind, little-endian.
    pub data: Vec<u8>,
}

impl Entry {
    pub(super) fn short(tag: u16, value: u16) -> Self {
        Self { tag, kind: SHORT, data: value.to_le_bytes().to_vec() }
    }

    pub(super) fn long(tag: u16, value: u32) -> Self {
        Self { tag, kind: LONG, data: value.to_le_bytes().to_vec() }
    }

    pub(super) fn rational(tag: u16, above: u32, below: u32) -> Self {
        Self { tag, kind: RATIONAL, data: [above.to_le_bytes(), below.to_le_bytes()].concat() }
    }

    /// A text of ASCII, with the zero that ends it.
    pub(super) fn ascii(tag: u16, text: &str) -> Self {
        Self { tag, kind: ASCII, data: [text.as_bytes(), &[0]].concat() }
    }

    /// How many values of its kind.
    pub(super) fn count(&self) -> u32 {
        (self.data.len() / value_bytes(self.kind).unwrap_or(1)) as u32
    }

    /// The first value, if it is a whole number.
    pub(super) fn number(&self) -> Option<u32> {
        match (self.kind, self.data.as_slice()) {
            (BYTE, [value, ..]) => Some(u32::from(*value)),
            (SHORT, [low, high, ..]) => Some(u32::from(u16::from_le_bytes([*low, *high]))),
            (LONG, data) => data.first_chunk().map(|value| u32::from_le_bytes(*value)),
            _ => None,
        }
    }

    /// The first value, if it is a fraction.
    pub(super) fn fraction(&self) -> Option<f64> {
        let above = u32::from_le_bytes(*self.data.first_chunk()?);
        let below = u32::from_le_bytes(*self.data.get(4..)?.first_chunk()?);
        (self.kind == RATIONAL && below != 0).then(|| f64::from(above) / f64::from(below))
    }

    /// The text without the zero at its end.
    pub(super) fn text(&self) -> Option<String> {
        let text = self.data.split(|byte| *byte == 0).next()?;
        (self.kind == ASCII).then(|| String::from_utf8_lossy(text).trim().to_owned())
    }
}

/// Bytes of a value of a type, and of the numbers that it consists of; `None` for types that are not known.
pub(super) fn value_bytes(kind: u16) -> Option<usize> {
    match kind {
        BYTE | ASCII | 6 | UNDEFINED | 129 => Some(1),
        SHORT | 8 => Some(2),
        LONG | 9 | 11 | 13 => Some(4),
        RATIONAL | 10 | 12 | 16..=18 => Some(8),
        _ => None,
    }
}

fn unit_bytes(kind: u16) -> usize {
    if matches!(kind, RATIONAL | 10) { 4 } else { value_bytes(kind).unwrap_or(1) }
}

/// Little-endian values in big-endian order, or back.
pub(super) fn swap(kind: u16, data: &mut [u8]) {
    data.chunks_exact_mut(unit_bytes(kind)).for_each(<[u8]>::reverse);
}

/// A reader of directories.
pub(super) struct Directories<'a, R> {
    reader: &'a mut R,
    /// Where places count from, in the reader.
    start: u64,
    /// How many bytes there are from there on.
    length: u64,
    little: bool,
    /// The variant with places of 8 bytes.
    big: bool,
    /// What may still be taken.
    left: usize,
}

/// What a directory holds, and where the next one is; 0 if there is none.
pub(super) struct Directory {
    pub entries: Vec<Entry>,
    pub next: u64,
    /// Why entries are missing, if some are.
    pub broken: Option<&'static str>,
}

impl<'a, R: Read + Seek> Directories<'a, R> {
    /// Reads the header of `length` bytes that begin at `start`: the order of bytes, and the place of the first directory.
    pub(super) fn open(reader: &'a mut R, start: u64, length: u64) -> Option<(Self, u64)> {
        let mut header = [0; 4];
        reader.seek(SeekFrom::Start(start)).ok()?;
        reader.read_exact(&mut header).ok()?;
        let (little, big) = match &header {
            b"II*\0" => (true, false),
            b"MM\0*" => (false, false),
            b"II+\0" => (true, true),
            b"MM\0+" => (false, true),
            _ => return None,
        };
        let mut directories = Self { reader, start, length, little, big, left: MAX_NOTE_BYTES };
        let first = if big { directories.at(8, 8) } else { directories.at(4, 4) }?;
        Some((directories, first))
    }

    /// The bytes at a place, if they are all there.
    fn bytes(&mut self, place: u64, count: usize) -> Option<Vec<u8>> {
        if place.checked_add(count as u64)? > self.length {
            return None;
        }
        self.reader.seek(SeekFrom::Start(self.start.checked_add(place)?)).ok()?;
        let mut bytes = vec![0; count];
        self.reader.read_exact(&mut bytes).ok()?;
        Some(bytes)
    }

    fn at(&mut self, place: u64, count: usize) -> Option<u64> {
        let bytes = self.bytes(place, count)?;
        Some(self.whole(&bytes))
    }

    fn whole(&self, bytes: &[u8]) -> u64 {
        let push = |sum, byte: &u8| sum << 8 | u64::from(*byte);
        if self.little { bytes.iter().rev().fold(0, push) } else { bytes.iter().fold(0, push) }
    }

    /// Reads the directory at a place: those entries that `wanted` takes, each tag once. `None` if there is no directory.
    pub(super) fn read(&mut self, place: u64, wanted: impl Fn(u16) -> bool) -> Option<Directory> {
        let (count_bytes, entry_bytes, place_bytes) = if self.big { (8, 20, 8) } else { (2, 12, 4) };
        let count = self.at(place, count_bytes)?;
        if count == 0 || count > MAX_ENTRIES {
            return None;
        }
        let table_at = place + count_bytes as u64;
        let table = self.bytes(table_at, count as usize * entry_bytes)?;
        let mut directory = Directory { entries: Vec::new(), next: 0, broken: None };
        for entry in table.chunks_exact(entry_bytes) {
            let tag = self.whole(&entry[..2]) as u16;
            if !wanted(tag) || directory.entries.iter().any(|known| known.tag == tag) {
                continue;
            }
            match self.entry(tag, entry, place_bytes) {
                Ok(entry) => directory.entries.push(entry),
                Err(why) => directory.broken = Some(why),
            }
        }
        // Pictures without the last link are common enough; they count as the only one.
        directory.next = self.at(table_at + table.len() as u64, place_bytes).unwrap_or(0);
        Some(directory)
    }

    fn entry(&mut self, tag: u16, entry: &[u8], place_bytes: usize) -> Result<Entry, &'static str> {
        let kind = self.whole(&entry[2..4]) as u16;
        let size = value_bytes(kind).ok_or("a value is of no known type")?;
        let (count, field) = entry[4..].split_at(place_bytes);
        let length = usize::try_from(self.whole(count)).ok().and_then(|count| count.checked_mul(size));
        let most = if tag == ICC { MAX_PROFILE_BYTES } else { MAX_ITEM_BYTES.min(self.left) };
        let length = length.filter(|length| *length <= most).ok_or("a value is too large")?;
        let mut data = if length <= place_bytes {
            field[..length].to_vec()
        } else {
            let place = self.whole(field);
            self.bytes(place, length).ok_or("a value lies outside the file")?
        };
        self.left = self.left.saturating_sub(length);
        if !self.little {
            swap(kind, &mut data);
        }
        Ok(Entry { tag, kind, data })
    }
}

/// What cameras and programs write about a picture (CIPA DC-008, "Exif"): when, with what, how.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Exif {
    pub(super) main: Vec<Entry>,
    pub(super) camera: Vec<Entry>,
    pub(super) gps: Vec<Entry>,
}

/// A pointer's value, of any type that pointers are written in.
fn pointer(entries: &[Entry], tag: u16) -> Option<u64> {
    let entry = entries.iter().find(|entry| entry.tag == tag)?;
    match (entry.kind, entry.data.as_slice()) {
        (LONG | 13, data) => data.first_chunk().map(|place| u64::from(u32::from_le_bytes(*place))),
        (16 | 18, data) => data.first_chunk().map(|place| u64::from_le_bytes(*place)),
        _ => None,
    }
}

impl Exif {
    /// Takes what describes the picture from the first directory and the two that it leads to. The reason is why something is
    /// missing.
    pub(super) fn gather<R: Read + Seek>(
        directories: &mut Directories<'_, R>,
        first_at: u64,
        first: &Directory,
    ) -> (Self, Option<&'static str>) {
        let mut broken = first.broken;
        let main = first.entries.iter().filter(|entry| DESCRIBING.contains(&entry.tag)).cloned().collect();
        let mut exif = Self { main, ..Self::default() };
        let places = [EXIF_POINTER, GPS_POINTER].map(|tag| pointer(&first.entries, tag));
        for (index, place) in places.iter().enumerate() {
            let Some(place) = *place else { continue };
            if place == first_at || (index == 1 && places[0] == Some(place)) {
                broken = broken.or(Some("its directories lead to each other"));
                continue;
            }
            let Some(found) = directories.read(place, |tag| !NOT_MOVABLE.contains(&tag)) else {
                broken = broken.or(Some("a directory is missing"));
                continue;
            };
            broken = broken.or(found.broken);
            *(if index == 0 { &mut exif.camera } else { &mut exif.gps }) = found.entries;
        }
        (exif, broken)
    }

    /// Whether a tag of the first directory is wanted for [`Self::gather`].
    pub(super) fn wants(tag: u16) -> bool {
        DESCRIBING.contains(&tag) || matches!(tag, EXIF_POINTER | GPS_POINTER)
    }

    /// Whether nothing is said.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.main.is_empty() && self.camera.is_empty() && self.gps.is_empty()
    }

    /// Maker and model of the camera, on one line; `None` if neither is said.
    #[must_use]
    pub fn camera_name(&self) -> Option<String> {
        let parts: Vec<String> = [MAKE, MODEL].iter().filter_map(|tag| self.main_entry(*tag)?.text()).collect();
        Some(one_line(&parts.join(" "), 80)).filter(|name| !name.is_empty())
    }

    /// Whether a camera wrote an exposure time or an aperture.
    #[must_use]
    pub fn has_exposure(&self) -> bool {
        self.camera.iter().any(|entry| matches!(entry.tag, EXPOSURE_TIME | F_NUMBER))
    }

    /// The colour space that Exif declares: 1 for sRGB, 65535 for none in particular.
    #[must_use]
    pub fn colour_space(&self) -> Option<u32> {
        self.camera.iter().find(|entry| entry.tag == COLOUR_SPACE)?.number()
    }

    /// How the picture is to be turned for showing, 1..8 (TIFF 6.0, tag 274).
    #[must_use]
    pub fn orientation(&self) -> Option<u32> {
        self.main_entry(ORIENTATION)?.number()
    }

    pub(super) fn main_entry(&self, tag: u16) -> Option<&Entry> {
        self.main.iter().find(|entry| entry.tag == tag)
    }

    /// The same about a picture that stands upright, has this size and means sRGB or not: what was said of either is put right,
    /// what was not said stays unsaid.
    pub(super) fn settled(&self, size: [usize; 2], is_srgb: bool) -> Self {
        let mut settled = self.clone();
        let space = if is_srgb { 1 } else { 65_535 };
        for entry in settled.main.iter_mut().chain(&mut settled.camera) {
            match entry.tag {
                ORIENTATION => *entry = Entry::short(ORIENTATION, 1),
                PIXELS_ACROSS => *entry = Entry::long(PIXELS_ACROSS, size[0] as u32),
                PIXELS_DOWN => *entry = Entry::long(PIXELS_DOWN, size[1] as u32),
                COLOUR_SPACE => *entry = Entry::short(COLOUR_SPACE, space),
                _ => {}
            }
        }
        settled
    }

    /// A file of its own, as it stands in PNG and JPEG files: header, then the directories, each with its values behind it.
    /// `more` goes to the first directory.
    pub(super) fn bytes(&self, more: &[Entry]) -> Vec<u8> {
        let mut file = b"II*\0\x08\0\0\0".to_vec();
        let mut main = self.main.clone();
        main.retain(|entry| more.iter().all(|other| other.tag != entry.tag));
        main.extend(more.iter().cloned());
        let subs = [(EXIF_POINTER, &self.camera), (GPS_POINTER, &self.gps)];
        let used: Vec<_> = subs.into_iter().filter(|(_, entries)| !entries.is_empty()).collect();
        main.extend(used.iter().map(|(tag, _)| Entry::long(*tag, 0)));
        let mut place = 8 + directory_bytes(&main);
        for (tag, entries) in &used {
            if let Some(entry) = main.iter_mut().find(|entry| entry.tag == *tag) {
                *entry = Entry::long(*tag, place as u32);
            }
            place += directory_bytes(entries);
        }
        append_directory(&mut file, &main);
        used.iter().for_each(|(_, entries)| append_directory(&mut file, entries));
        file
    }
}

/// Bytes of a directory with the values behind it.
fn directory_bytes(entries: &[Entry]) -> usize {
    let values = entries.iter().map(|entry| entry.data.len()).filter(|length| *length > 4);
    2 + 12 * entries.len() + 4 + values.map(|length| length.next_multiple_of(2)).sum::<usize>()
}

fn append_directory(file: &mut Vec<u8>, entries: &[Entry]) {
    let mut sorted: Vec<&Entry> = entries.iter().collect();
    sorted.sort_by_key(|entry| entry.tag);
    let mut values = Vec::new();
    let values_at = file.len() + 2 + 12 * sorted.len() + 4;
    file.extend((sorted.len() as u16).to_le_bytes());
    for entry in sorted {
        file.extend(entry.tag.to_le_bytes());
        file.extend(entry.kind.to_le_bytes());
        file.extend(entry.count().to_le_bytes());
        if entry.data.len() <= 4 {
            let mut field = entry.data.clone();
            field.resize(4, 0);
            file.extend(field);
        } else {
            file.extend(((values_at + values.len()) as u32).to_le_bytes());
            values.extend(&entry.data);
            values.resize(values.len().next_multiple_of(2), 0);
        }
    }
    file.extend([0; 4]);
    file.extend(values);
}

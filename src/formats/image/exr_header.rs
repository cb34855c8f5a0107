//! A look at the header of an OpenEXR file before its decoder sees it.
//!
//! The decoder allocates whole lines and tiles by what the header says, and works on threads of its own whose failure
//! would end the program. So sizes are checked here first, and only those kinds of compression are let through whose
//! decoding stands up to damaged data. Layout: "OpenEXR File Layout", Academy Software Foundation, openexr.com.

use crate::picture::pixel_count;
use std::io::{BufRead, Read, Seek};

/// What was found, fit to stand in a message.
pub(super) enum Fault {
    /// The header contradicts the format or itself.
    Damaged(String),
    /// It is sound, but this kind is not read.
    Unsupported(String),
    /// A width and height larger than a frame may have.
    TooLarge(u64, u64),
}

/// What the headers say beside the layout.
#[derive(Debug, Default)]
pub(super) struct Header {
    /// Whether there are several parts, of which the first readable one counts.
    pub is_multipart: bool,
    /// x and y of red, green, blue and white, if the first header that has them is sound.
    pub chromaticities: Option<[[f64; 2]; 4]>,
}

/// Flags of the version field: deep data, and several parts with a header each.
const DEEP: u32 = 1 << 11;
const MULTIPART: u32 = 1 << 12;

/// The longest name of an attribute or a type, with the long-names flag.
const MAX_NAME_BYTES: u64 = 255;

/// Many render layers have a few hundred channels; each costs memory in every line.
const MAX_CHANNEL_LIST_BYTES: u32 = 64 << 10;

/// Parts of a file, each with a header.
const MAX_PARTS: usize = 256;

/// The largest tile, pixels. The usual side is 64.
const MAX_TILE_PIXELS: u64 = 1 << 22;

/// Numbers of the compressions in the file, with their names: those that are read, and those that are not. Damaged B44
/// data make its decoder fail; the DWA kinds it doesn't know.
const READ_COMPRESSIONS: [u8; 6] = [0, 1, 2, 3, 4, 5];
const OTHER_COMPRESSIONS: [(u8, &str); 4] = [(6, "B44"), (7, "B44A"), (8, "DWAA"), (9, "DWAB")];

/// Checks every header of a file, read from its first byte.
pub(super) fn check<R: BufRead + Seek>(reader: &mut R) -> Result<Header, Fault> {
    let mut start = [0; 8];
    fill(reader, &mut start)?;
    let flags = u32::from_le_bytes([start[4], start[5], start[6], start[7]]);
    if flags & DEEP != 0 {
        return Err(Fault::Unsupported("it holds deep data".to_owned()));
    }
    let mut header = Header { is_multipart: flags & MULTIPART != 0, chromaticities: None };
    for _ in 0..MAX_PARTS {
        if !check_header(reader, &mut header)? || !header.is_multipart {
            return Ok(header);
        }
    }
    Err(Fault::Unsupported(format!("it has more than {MAX_PARTS} parts")))
}

/// Checks one header; false if it is the empty one that ends a file's headers.
fn check_header<R: BufRead + Seek>(reader: &mut R, header: &mut Header) -> Result<bool, Fault> {
    let mut attributes = 0;
    loop {
        let name = text(reader)?;
        if name.is_empty() {
            return Ok(attributes > 0);
        }
        attributes += 1;
        // The type of the value; its name says enough.
        text(reader)?;
        let mut length = [0; 4];
        fill(reader, &mut length)?;
        let length = u32::from_le_bytes(length);
        match name.as_slice() {
            b"dataWindow" | b"displayWindow" => check_window(&value::<16, R>(reader, length)?)?,
            b"tiles" => check_tiles(&value::<9, R>(reader, length)?)?,
            b"compression" => check_compression(value::<1, R>(reader, length)?[0])?,
            b"chromaticities" if length == 32 => {
                let found = chromaticities(&value::<32, R>(reader, length)?);
                header.chromaticities = header.chromaticities.or(found);
            }
            b"channels" if length > MAX_CHANNEL_LIST_BYTES => {
                return Err(Fault::Unsupported("it has too many channels".to_owned()));
            }
            _ => reader.seek_relative(i64::from(length)).map_err(|_| ends_early())?,
        }
    }
}

/// Four pairs of numbers, if all are finite.
fn chromaticities(bytes: &[u8; 32]) -> Option<[[f64; 2]; 4]> {
    let (numbers, _) = bytes.as_chunks::<4>();
    let number = |index: usize| f64::from(f32::from_le_bytes(numbers[index]));
    let pairs = [0, 2, 4, 6].map(|index| [number(index), number(index + 1)]);
    pairs.as_flattened().iter().all(|number| number.is_finite()).then_some(pairs)
}

/// A window: the least and greatest column and row, both included.
fn check_window(bytes: &[u8; 16]) -> Result<(), Fault> {
    let (numbers, _) = bytes.as_chunks::<4>();
    let edge = |index: usize| i64::from(i32::from_le_bytes(numbers[index]));
    let (width, height) = (edge(2) - edge(0) + 1, edge(3) - edge(1) + 1);
    if width < 1 || height < 1 {
        return Err(Fault::Damaged(format!("it claims a size of {width} × {height} pixels")));
    }
    let (width, height) = (width.unsigned_abs(), height.unsigned_abs());
    match (usize::try_from(width), usize::try_from(height)) {
        (Ok(columns), Ok(rows)) if pixel_count(columns, rows).is_some() => Ok(()),
        _ => Err(Fault::TooLarge(width, height)),
    }
}

/// The size of a tile, across and down, and a byte about smaller copies.
fn check_tiles(bytes: &[u8; 9]) -> Result<(), Fault> {
    let (sizes, _) = bytes.as_chunks::<4>();
    let [width, height] = [sizes[0], sizes[1]].map(|size| u64::from(u32::from_le_bytes(size)));
    match width * height {
        0 => Err(Fault::Damaged("it claims tiles without pixels".to_owned())),
        1..=MAX_TILE_PIXELS => Ok(()),
        _ => Err(Fault::Unsupported(format!("its tiles have {width} × {height} pixels"))),
    }
}

fn check_compression(number: u8) -> Result<(), Fault> {
    if READ_COMPRESSIONS.contains(&number) {
        return Ok(());
    }
    let known = OTHER_COMPRESSIONS.iter().find(|(other, _)| *other == number);
    Err(match known {
        Some((_, name)) => Fault::Unsupported(format!("it is compressed as {name}; ZIP, PIZ, PXR24 and RLE are read")),
        None => Fault::Damaged(format!("it claims a compression with the number {number}")),
    })
}

/// The value of an attribute that must have this many bytes.
fn value<const BYTES: usize, R: BufRead>(reader: &mut R, length: u32) -> Result<[u8; BYTES], Fault> {
    if length as usize != BYTES {
        return Err(Fault::Damaged(format!("an attribute has {length} bytes where {BYTES} are due")));
    }
    let mut bytes = [0; BYTES];
    fill(reader, &mut bytes)?;
    Ok(bytes)
}

/// A text that ends with a zero byte.
fn text<R: BufRead>(reader: &mut R) -> Result<Vec<u8>, Fault> {
    let mut bytes = Vec::new();
    reader.by_ref().take(MAX_NAME_BYTES + 1).read_until(0, &mut bytes).map_err(|_| ends_early())?;
    match bytes.pop() {
        Some(0) => Ok(bytes),
        Some(_) if bytes.len() as u64 == MAX_NAME_BYTES => {
            Err(Fault::Damaged("a name in its header has no end".to_owned()))
        }
        _ => Err(ends_early()),
    }
}

fn fill<R: BufRead>(reader: &mut R, bytes: &mut [u8]) -> Result<(), Fault> {
    reader.read_exact(bytes).map_err(|_| ends_early())
}

fn ends_early() -> Fault {
    Fault::Damaged("it ends inside its header".to_owned())
}

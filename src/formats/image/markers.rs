//! What PNG and JPEG files say between their data, looked at before their decoders see them.

use std::io::{BufRead, ErrorKind, Read, Seek};

/// What stands before the data of a PNG.
pub(super) struct PngBeginning {
    /// Width and height that the header claims.
    pub sides: [u32; 2],
    /// The length of the palette, if there is one.
    pub palette_bytes: Option<u32>,
}

/// Reads the chunks of a PNG from behind its signature up to its first data (ISO/IEC 15948, section 5.3). The decoder
/// makes room for a line before it tells the size, and trusts the length of the palette.
pub(super) fn png_beginning<R: BufRead + Seek>(reader: &mut R) -> std::io::Result<PngBeginning> {
    const CHECKSUM_BYTES: i64 = 4;
    let mut found = PngBeginning { sides: [0; 2], palette_bytes: None };
    loop {
        let [length, kind] = read_words(reader)?;
        let length = u32::from_be_bytes(length);
        let mut skip = i64::from(length) + CHECKSUM_BYTES;
        match &kind {
            b"IDAT" | b"IEND" => return Ok(found),
            b"IHDR" => {
                found.sides = read_words(reader)?.map(u32::from_be_bytes);
                skip = (skip - 8).max(0);
            }
            // The worst of several, of which only one may be.
            b"PLTE" if found.palette_bytes.is_none_or(|bytes| bytes % 3 == 0) => found.palette_bytes = Some(length),
            _ => {}
        }
        reader.seek_relative(skip)?;
    }
}

fn read_words<R: Read>(reader: &mut R) -> std::io::Result<[[u8; 4]; 2]> {
    let mut words = [[0; 4]; 2];
    reader.read_exact(words.as_flattened_mut())?;
    Ok(words)
}

/// Whether a JPEG, read from behind its start-of-image marker, has an end-of-image marker after its data. Segments are
/// stepped over by their lengths, so that the end of an embedded thumbnail doesn't count (ISO/IEC 10918-1, annex B).
pub(super) fn jpeg_is_complete<R: BufRead + Seek>(reader: &mut R) -> std::io::Result<bool> {
    const END_OF_IMAGE: u8 = 0xd9;
    const START_OF_SCAN: u8 = 0xda;
    loop {
        match next_jpeg_marker(reader)? {
            None => return Ok(false),
            Some(END_OF_IMAGE) => return Ok(true),
            // Inside a scan: stuffed bytes and restart markers; TEM and a second start of image have no length either.
            Some(0x00 | 0x01 | 0xd0..=0xd8) => {}
            Some(marker) => {
                let mut length = [0; 2];
                if let Err(error) = reader.read_exact(&mut length) {
                    return if error.kind() == ErrorKind::UnexpectedEof { Ok(false) } else { Err(error) };
                }
                let rest = i64::from(u16::from_be_bytes(length)).saturating_sub(2).max(0);
                if marker != START_OF_SCAN {
                    reader.seek_relative(rest)?;
                }
            }
        }
    }
}

/// The byte behind the next 0xff that is not itself 0xff, or `None` at the end of the file.
fn next_jpeg_marker<R: BufRead>(reader: &mut R) -> std::io::Result<Option<u8>> {
    reader.skip_until(0xff)?;
    loop {
        let Some(&byte) = reader.fill_buf()?.first() else { return Ok(None) };
        reader.consume(1);
        if byte != 0xff {
            return Ok(Some(byte));
        }
    }
}

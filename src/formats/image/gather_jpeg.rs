//! The segments of a JPEG before its data (ISO/IEC 10918-1, annex B; ISO/IEC 10918-5, JFIF; CIPA DC-008; XMP specification, part 3).

use super::declared::Declared;
use super::gather::{EXIF, Gathered, PROFILE, XMP};
use super::notes::{Per, Resolution, Warning};
use std::io::{BufRead, Seek, SeekFrom};

/// What the segments begin with that hold Exif, XMP, the rest of a large XMP, and a piece of a profile.
pub(super) const EXIF_MARK: &[u8] = b"Exif\0\0";
pub(super) const XMP_MARK: &[u8] = b"http://ns.adobe.com/xap/1.0/\0";
const MORE_XMP_MARK: &[u8] = b"http://ns.adobe.com/xmp/extension/\0";
pub(super) const PROFILE_MARK: &[u8] = b"ICC_PROFILE\0";
const JFIF_MARK: &[u8] = b"JFIF\0";

const COMMENT: &str = "a comment";

/// Steps over the segments from behind the start of the image to its first data.
pub(super) fn walk<R: BufRead + Seek>(gathered: &mut Gathered, reader: &mut R) -> std::io::Result<()> {
    const START_OF_SCAN: u8 = 0xda;
    const END_OF_IMAGE: u8 = 0xd9;
    reader.seek(SeekFrom::Start(2))?;
    let mut pieces = Vec::new();
    loop {
        let mut byte = [0];
        reader.skip_until(0xff)?;
        reader.read_exact(&mut byte)?;
        while byte[0] == 0xff {
            reader.read_exact(&mut byte)?;
        }
        match byte[0] {
            START_OF_SCAN | END_OF_IMAGE => break,
            0x00 | 0x01 | 0xd0..=0xd8 => {}
            marker => {
                let mut length = [0; 2];
                reader.read_exact(&mut length)?;
                let mut data = vec![0; usize::from(u16::from_be_bytes(length)).saturating_sub(2)];
                reader.read_exact(&mut data)?;
                take(gathered, &mut pieces, marker, &data);
            }
        }
    }
    take_profile(gathered, pieces);
    Ok(())
}

/// A piece of a profile, with its number.
type Piece = (u8, Vec<u8>);

fn take(gathered: &mut Gathered, pieces: &mut Vec<Piece>, marker: u8, data: &[u8]) {
    match marker {
        0xe0 => data.strip_prefix(JFIF_MARK).into_iter().for_each(|rest| take_density(gathered, rest)),
        0xe1 => {
            if let Some(exif) = data.strip_prefix(EXIF_MARK) {
                if gathered.takes(EXIF, exif.len()) {
                    gathered.exif(exif);
                }
            } else if let Some(xmp) = data.strip_prefix(XMP_MARK) {
                if gathered.takes(XMP, xmp.len()) {
                    gathered.xmp(xmp.to_vec());
                }
            } else if data.starts_with(MORE_XMP_MARK) {
                gathered.warn(Warning::left_out("a part of XMP", "it stands in segments of its own"));
            }
        }
        0xe2 => {
            if let Some([number, _, piece @ ..]) = data.strip_prefix(PROFILE_MARK)
                && gathered.takes(PROFILE, piece.len())
            {
                pieces.push((*number, piece.to_vec()));
            }
        }
        0xfe if gathered.takes(COMMENT, data.len()) && gathered.takes_text(COMMENT) => {
            // No character set is laid down; what is no UTF-8 is taken for Latin-1.
            let latin1 = || data.iter().map(|byte| char::from(*byte)).collect();
            let comment = std::str::from_utf8(data).map_or_else(|_| latin1(), str::to_owned);
            gathered.metadata.comments.push(comment.replace('\0', ""));
        }
        _ => {}
    }
}

/// Version, unit, pixels across and down.
fn take_density(gathered: &mut Gathered, data: &[u8]) {
    let [_, _, unit, a, b, c, d, ..] = data else { return };
    let per = match unit {
        1 => Per::Inch,
        2 => Per::Centimetre,
        _ => Per::Nothing,
    };
    let [across, down] = [[*a, *b], [*c, *d]].map(|pair| f64::from(u16::from_be_bytes(pair)));
    // That pixels are square goes without saying.
    let told = Resolution::new(across, down, per).filter(|density| density.per != Per::Nothing || across != down);
    gathered.metadata.resolution = told.or(gathered.metadata.resolution);
}

fn take_profile(gathered: &mut Gathered, mut pieces: Vec<Piece>) {
    if pieces.is_empty() {
        return;
    }
    pieces.sort_by_key(|piece| piece.0);
    let profile: Vec<u8> = pieces.into_iter().flat_map(|piece| piece.1).collect();
    gathered.declare(Declared::of_profile(&profile));
}

//! The chunks of a PNG that are no picture data (ISO/IEC 15948, section 11.3; eXIf, cICP and acTL from its third edition).

use super::declared::{Declared, DeclaredBy};
use super::gather::{EXIF, Gathered, PROFILE};
use super::notes::{MAX_ITEM_BYTES, Per, Resolution, Text, Warning};
use crate::formats::icc::MAX_PROFILE_BYTES;
use miniz_oxide::inflate::decompress_to_vec_zlib_with_limit;
use std::io::{BufRead, Seek, SeekFrom};

/// The keyword under which XMP stands in a PNG (XMP specification, part 3).
pub(super) const XMP_KEYWORD: &str = "XML:com.adobe.xmp";

/// Beginning of keywords under which some programs hide Exif, IPTC and profiles as hexadecimal text: what they say of orientation
/// and colour would be wrong.
const RAW_PROFILE: &str = "Raw profile type";

/// Declarations of which one alone does not say what counts.
#[derive(Default)]
struct Numbers {
    /// Whether there was a profile; only the first is looked at.
    profile: bool,
    gamma: Option<f64>,
    chromaticities: Option<[[f64; 2]; 4]>,
}

/// Steps over the chunks from behind the signature to the end.
pub(super) fn walk<R: BufRead + Seek>(gathered: &mut Gathered, reader: &mut R, file_bytes: u64) -> std::io::Result<()> {
    const CHECKSUM_BYTES: u64 = 4;
    let mut at = reader.seek(SeekFrom::Start(8))?;
    let mut numbers = Numbers::default();
    loop {
        let mut head = [0; 8];
        reader.read_exact(&mut head)?;
        let ([length, kind], _) = head.as_chunks::<4>() else { return Ok(()) };
        let length = u32::from_be_bytes(*length);
        at += 8 + u64::from(length) + CHECKSUM_BYTES;
        if kind == b"IEND" || at > file_bytes {
            break;
        }
        match name(kind) {
            Some(what) if gathered.takes(what, length as usize) => {
                let mut data = vec![0; length as usize];
                let mut checksum = [0; 4];
                reader.read_exact(&mut data)?;
                reader.read_exact(&mut checksum)?;
                if u32::from_be_bytes(checksum) == crc32(&[kind, &data]) {
                    take(gathered, &mut numbers, *kind, &data);
                } else {
                    gathered.warn(Warning::left_out(what, "its checksum is wrong"));
                }
            }
            _ => reader.seek_relative(i64::from(length) + CHECKSUM_BYTES as i64)?,
        }
    }
    if numbers.gamma.is_some() || numbers.chromaticities.is_some() {
        gathered.declare(Declared::of_numbers(numbers.gamma, numbers.chromaticities));
    }
    Ok(())
}

/// What warnings call a chunk that is looked at.
fn name(kind: &[u8; 4]) -> Option<&'static str> {
    Some(match kind {
        b"tEXt" | b"zTXt" | b"iTXt" => TEXT,
        b"eXIf" => EXIF,
        b"iCCP" => PROFILE,
        b"pHYs" => RESOLUTION,
        b"sRGB" | b"gAMA" | b"cHRM" | b"cICP" => "a declaration of colour",
        b"acTL" => "the number of its pictures",
        _ => return None,
    })
}

const TEXT: &str = "a text";
const RESOLUTION: &str = "the resolution";

fn take(gathered: &mut Gathered, numbers: &mut Numbers, kind: [u8; 4], data: &[u8]) {
    let word = |index: usize| data.as_chunks::<4>().0.get(index).map(|word| u32::from_be_bytes(*word));
    match &kind {
        b"tEXt" | b"zTXt" | b"iTXt" => take_text(gathered, kind, data),
        b"eXIf" => gathered.exif(data),
        b"iCCP" if !numbers.profile => {
            numbers.profile = true;
            take_profile(gathered, data);
        }
        b"pHYs" => {
            // Pixels for each metre, or of no unit.
            let (per, scale) = if data.get(8) == Some(&1) { (Per::Centimetre, 0.01) } else { (Per::Nothing, 1.0) };
            let density = word(0)
                .zip(word(1))
                .and_then(|(across, down)| Resolution::new(f64::from(across) * scale, f64::from(down) * scale, per));
            match density {
                Some(density) => gathered.metadata.resolution = Some(density),
                None => gathered.warn(Warning::left_out(RESOLUTION, "it is none")),
            }
        }
        b"sRGB" => gathered.declare(Declared::srgb(DeclaredBy::SrgbChunk)),
        b"gAMA" => numbers.gamma = word(0).filter(|gamma| *gamma > 0).map(|gamma| f64::from(gamma) / 1e5),
        b"cHRM" => {
            let values: Vec<f64> = (0..8).filter_map(word).map(|value| f64::from(value) / 1e5).collect();
            if let (pairs, []) = values.as_chunks::<2>()
                && let Ok(four) = <[[f64; 2]; 4]>::try_from(pairs)
            {
                numbers.chromaticities = Some(four);
            }
        }
        b"cICP" => {
            if let [primaries, transfer, ..] = data {
                gathered.declare(Declared::of_code_points(*primaries, *transfer));
            }
        }
        b"acTL" if word(0) != Some(1) => gathered.warn(Warning::SeveralPictures(word(0))),
        _ => {}
    }
}

fn take_profile(gathered: &mut Gathered, data: &[u8]) {
    // A name, the number of the compression, the profile.
    let packed = split_at_zero(data).and_then(|(_, rest)| rest.get(1..));
    match packed.map(|packed| decompress_to_vec_zlib_with_limit(packed, MAX_PROFILE_BYTES)) {
        Some(Ok(profile)) => gathered.declare(Declared::of_profile(&profile)),
        _ => gathered.warn(Warning::left_out(PROFILE, "the profile is damaged or too large")),
    }
}

fn split_at_zero(bytes: &[u8]) -> Option<(&[u8], &[u8])> {
    let zero = bytes.iter().position(|byte| *byte == 0)?;
    Some((&bytes[..zero], &bytes[zero + 1..]))
}

fn take_text(gathered: &mut Gathered, kind: [u8; 4], data: &[u8]) {
    if !gathered.takes_text(TEXT) {
        return;
    }
    let parsed = match &kind {
        b"tEXt" => plain_text(data),
        b"zTXt" => packed_text(gathered, data),
        _ => unicode_text(gathered, data),
    };
    match parsed {
        None => gathered.warn(Warning::left_out(TEXT, "it is damaged or too large")),
        Some(text) if text.keyword == XMP_KEYWORD => gathered.xmp(text.text.into_bytes()),
        Some(text) if text.keyword.starts_with(RAW_PROFILE) => {
            gathered.warn(Warning::left_out("metadata as hexadecimal text", "it may contradict the new picture"));
        }
        Some(text) => gathered.metadata.texts.push(text),
    }
}

/// A keyword, if it is one: 1 to 79 printable characters of Latin-1.
fn keyword(bytes: &[u8]) -> Option<String> {
    let printable = |byte: &u8| matches!(byte, 32..=126 | 161..=255);
    ((1..=79).contains(&bytes.len()) && bytes.iter().all(printable)).then(|| latin1(bytes))
}

fn latin1(bytes: &[u8]) -> String {
    bytes.iter().filter(|byte| **byte != 0).map(|byte| char::from(*byte)).collect()
}

fn plain_text(data: &[u8]) -> Option<Text> {
    let (name, text) = split_at_zero(data)?;
    Some(Text { keyword: keyword(name)?, text: latin1(text), ..Text::default() })
}

fn packed_text(gathered: &mut Gathered, data: &[u8]) -> Option<Text> {
    let (name, packed) = split_at_zero(data)?;
    let text = latin1(&unpack(gathered, packed.get(1..)?)?);
    Some(Text { keyword: keyword(name)?, text, ..Text::default() })
}

fn unicode_text(gathered: &mut Gathered, data: &[u8]) -> Option<Text> {
    let (name, rest) = split_at_zero(data)?;
    let (&packed, rest) = rest.split_first()?;
    let (language, rest) = split_at_zero(rest.get(1..)?)?;
    let (translated, text) = split_at_zero(rest)?;
    let text = if packed == 1 { unpack(gathered, text)? } else { text.to_vec() };
    let clean = |bytes: Vec<u8>| String::from_utf8(bytes).ok().map(|text| text.replace('\0', ""));
    Some(Text {
        keyword: keyword(name)?,
        text: clean(text)?,
        language: clean(language.to_vec()).filter(|language| language.is_ascii())?,
        translated_keyword: clean(translated.to_vec())?,
        unicode: true,
    })
}

/// What deflate made smaller, counted against what is taken in all.
fn unpack(gathered: &mut Gathered, packed: &[u8]) -> Option<Vec<u8>> {
    // What would not be taken is not unpacked: many small chunks that unpack to much cost time otherwise.
    match decompress_to_vec_zlib_with_limit(packed, gathered.left().min(MAX_ITEM_BYTES)) {
        Ok(text) => gathered.takes(TEXT, text.len()).then_some(text),
        Err(error) => {
            gathered.spend(error.output.len());
            None
        }
    }
}

/// What one byte does to the checksum.
const CRC_TABLE: [u32; 256] = {
    let mut table = [0; 256];
    let mut index = 0;
    while index < 256 {
        let mut crc = index as u32;
        let mut bit = 0;
        while bit < 8 {
            crc = if crc & 1 == 1 { 0xedb8_8320 ^ (crc >> 1) } else { crc >> 1 };
            bit += 1;
        }
        table[index] = crc;
        index += 1;
    }
    table
};

/// The checksum of a chunk over its kind and data (ISO/IEC 15948, annex D).
pub(super) fn crc32(parts: &[&[u8]]) -> u32 {
    let bytes = parts.iter().flat_map(|part| part.iter());
    !bytes.fold(u32::MAX, |crc, byte| CRC_TABLE[(crc as u8 ^ byte) as usize] ^ (crc >> 8))
}

#[cfg(test)]
mod tests {
    /// The checksum that every PNG ends with.
    #[test]
    fn the_checksum_of_the_end_chunk() {
        assert_eq!(super::crc32(&[b"IEND", b""]), 0xae42_6082);
    }
}

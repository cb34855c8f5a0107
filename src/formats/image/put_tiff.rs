//! A TIFF with what stands beside its picture: tags of the first directory, and the directories of Exif and GPS.

use super::directories::{BYTE, DESCRIPTION, EXIF_POINTER, Entry, GPS_POINTER, ICC, SOFTWARE, UNDEFINED, XMP, swap};
use super::notes;
use super::put::{Put, resolution_entries, says};
use crate::picture::{Frame, SampleDepth, Samples};
use deunicode::deunicode;
use std::io::{Seek, Write};
use tiff::encoder::colortype::{ColorType, RGB8, RGB16, RGB32Float, RGBA8, RGBA16, RGBA32Float};
use tiff::encoder::{DirectoryEncoder, TiffEncoder, TiffKind, TiffValue};
use tiff::tags::{Tag, Type};
use tiff::{Directory, TiffResult};

/// Writes a frame at a depth, uncompressed in one or more strips, its directory behind them.
pub(super) fn write<W: Write + Seek>(file: W, frame: &Frame, depth: SampleDepth, put: &Put) -> TiffResult<()> {
    let alpha = frame.has_alpha();
    match (depth, frame.samples()) {
        (SampleDepth::Eight, _) => {
            let codes = frame.to_eight_bit_codes();
            if alpha {
                pixels::<RGBA8, W>(file, frame, &codes, put)
            } else {
                pixels::<RGB8, W>(file, frame, &codes, put)
            }
        }
        (SampleDepth::Sixteen, Samples::Codes(codes)) => {
            if alpha {
                pixels::<RGBA16, W>(file, frame, codes, put)
            } else {
                pixels::<RGB16, W>(file, frame, codes, put)
            }
        }
        (SampleDepth::Float, Samples::Floats(values)) if alpha => pixels::<RGBA32Float, W>(file, frame, values, put),
        (SampleDepth::Float, Samples::Floats(values)) => pixels::<RGB32Float, W>(file, frame, values, put),
        (SampleDepth::Sixteen | SampleDepth::Float, _) => write(file, &frame.to_depth(depth).frame, depth, put),
    }
}

fn pixels<C: ColorType, W: Write + Seek>(file: W, frame: &Frame, samples: &[C::Inner], put: &Put) -> TiffResult<()>
where
    [C::Inner]: TiffValue,
{
    let mut encoder = TiffEncoder::new(file)?;
    let mut entries = entries(put);
    if let Some(exif) = &put.metadata.exif {
        for (tag, sub) in [(EXIF_POINTER, &exif.camera), (GPS_POINTER, &exif.gps)] {
            if !sub.is_empty() {
                let mut directory = encoder.extra_directory()?;
                append(&mut directory, sub)?;
                entries.push(Entry::long(tag, directory.finish_with_offsets()?.offset));
            }
        }
    }
    let mut picture = encoder.new_image::<C>(frame.width() as u32, frame.height() as u32)?;
    append(picture.encoder(), &entries)?;
    picture.write_data(samples)
}

/// The tags of the first directory.
fn entries(put: &Put) -> Vec<Entry> {
    let mut entries = put.metadata.exif.as_ref().map(|exif| exif.main.clone()).unwrap_or_default();
    let theirs = entries.iter().find(|entry| entry.tag == DESCRIPTION).and_then(Entry::text).unwrap_or_default();
    let mut told = theirs.clone();
    // Baseline readers know ASCII alone here.
    for words in put.plain_texts().iter().chain(&put.description).map(|words| deunicode(words)) {
        if told.is_empty() {
            told = words;
        } else if !says(&told, &words) {
            told = format!("{told}\n{words}");
        }
    }
    if told != theirs {
        replace(&mut entries, Entry::ascii(DESCRIPTION, &told));
    }
    if put.description.is_some() {
        replace(&mut entries, Entry::ascii(SOFTWARE, notes::SOFTWARE));
    }
    // The encoder itself writes a resolution of none.
    if let Some(resolution) = put.metadata.resolution {
        resolution_entries(resolution).into_iter().for_each(|entry| replace(&mut entries, entry));
    }
    if let Some(packet) = &put.metadata.xmp {
        replace(&mut entries, Entry { tag: XMP, kind: BYTE, data: packet.clone().into_bytes() });
    }
    if let Some(profile) = put.profile {
        replace(&mut entries, Entry { tag: ICC, kind: UNDEFINED, data: profile.bytes() });
    }
    entries
}

fn replace(entries: &mut Vec<Entry>, entry: Entry) {
    entries.retain(|known| known.tag != entry.tag);
    entries.push(entry);
}

fn append<W: Write + Seek, K: TiffKind>(
    directory: &mut DirectoryEncoder<'_, W, K>,
    entries: &[Entry],
) -> TiffResult<()> {
    let mut added = Directory::empty();
    for entry in entries.iter().filter(|entry| !entry.data.is_empty()) {
        let mut data = entry.data.clone();
        // The encoder writes in the order of the machine.
        if cfg!(target_endian = "big") {
            swap(entry.kind, &mut data);
        }
        // UTF-8 (129, of Exif 3) stands as ASCII, as it did before that type.
        let kind = Type::from_u16(entry.kind).unwrap_or(Type::ASCII);
        added.extend([(Tag::from_u16_exhaustive(entry.tag), directory.write_entry_bytes(kind, &data)?)]);
    }
    directory.extend_from(&added);
    Ok(())
}

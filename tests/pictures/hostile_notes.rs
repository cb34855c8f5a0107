//! Damaged and hostile metadata: the picture comes out all the same, within bounds, and what is missing is said.

use crate::builders::{flat_jpeg, stored_zlib};
use crate::notes::{camera_exif, frame, full_jpeg, full_png, png_with, still};
use lookwright::formats::icc::Profile;
use lookwright::formats::image::{
    Notes, PictureFormat, Still, WriteOptions, encode_still, read_bytes, read_still_bytes,
};
use lookwright::picture::SampleDepth;
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::Index;

fn told(still: &Still) -> String {
    still.warnings.iter().map(|warning| format!("{warning}\n")).collect()
}

fn png_with_exif(exif: &[u8]) -> Still {
    still(&png_with(&[(b"eXIf", exif)]))
}

#[test]
fn broken_exif_is_left_out_with_a_warning() {
    let whole = camera_exif(1);
    for (broken, part) in [
        (b"II*\0".to_vec(), "Exif is left out: it is damaged"),
        (b"nonsense".to_vec(), "Exif is left out: it is damaged"),
        (whole[..60].to_vec(), "Exif is left out: it is damaged"),
        (whole[..124].to_vec(), "a directory is missing"),
        (whole[..205].to_vec(), "a value lies outside the file"),
    ] {
        let still = png_with_exif(&broken);
        assert!(told(&still).contains(part), "{part}: {}", told(&still));
    }
    // A thousand directories' worth of entries.
    let mut many = b"MM\0*\0\0\0\x08\xff\xff".to_vec();
    many.resize(800_000, 0);
    assert!(told(&png_with_exif(&many)).contains("it is damaged"));
    // A value of 4 GB.
    let mut large = whole.clone();
    large[10 + 4..10 + 8].copy_from_slice(&[0xff; 4]);
    let still = png_with_exif(&large);
    assert!(told(&still).contains("a value is too large"), "{}", told(&still));
    assert_eq!(still.metadata.exif.expect("the rest").orientation(), Some(1));
    // A type that nobody knows.
    let mut odd = whole;
    odd[10 + 2..10 + 4].copy_from_slice(&[0x40, 0]);
    assert!(told(&png_with_exif(&odd)).contains("no known type"));
}

#[test]
fn directories_that_lead_in_circles_end() {
    let pointer = |index: usize| 10 + 12 * index + 8;
    for (index, place) in [(5, 8u32), (6, 8), (6, 124)] {
        let mut exif = camera_exif(1);
        exif[pointer(index)..pointer(index) + 4].copy_from_slice(&place.to_be_bytes());
        let still = png_with_exif(&exif);
        assert!(told(&still).contains("its directories lead to each other"), "{index}: {}", told(&still));
    }
    // The same in a TIFF: its own first directory as that of Exif.
    let notes = Notes { metadata: still(&full_jpeg()).metadata, description: None };
    let encoded =
        encode_still(PictureFormat::Tiff, &frame(false, SampleDepth::Eight), &WriteOptions::default(), &notes);
    let mut tiff = encoded.expect("written").bytes;
    let first = u32::from_le_bytes([tiff[4], tiff[5], tiff[6], tiff[7]]);
    let entry = tiff[first as usize..].windows(4).position(|four| four == [0x69, 0x87, 4, 0]).expect("a pointer");
    tiff[first as usize + entry + 8..][..4].copy_from_slice(&first.to_le_bytes());
    assert!(told(&still(&tiff)).contains("its directories lead to each other"));
}

#[test]
fn texts_are_bounded() {
    // Sixty chunks of 60 kB that hold what they say are 3.6 MB; of a hundred only the first 4 MB are taken.
    let large = [b"Title\0".as_slice(), &[b'a'; 60_000]].concat();
    let chunks: Vec<(&[u8; 4], &[u8])> = vec![(b"tEXt", large.as_slice()); 100];
    let taken = still(&png_with(&chunks));
    let kept: usize = taken.metadata.texts.iter().map(|text| text.text.len()).sum();
    assert!(kept > 3 << 20 && kept <= 4 << 20, "{kept}");
    assert!(told(&taken).contains("more than are taken"));
    let many: Vec<(&[u8; 4], &[u8])> = vec![(b"tEXt", b"Title\0x".as_slice()); 3000];
    let taken = still(&png_with(&many));
    assert_eq!(taken.metadata.texts.len(), 200);
    assert_eq!(taken.warnings.len(), 1, "said once");
    // 64 kB of zeros that say to unpack to 60 MB: a fixed block of deflate with matches of 258 bytes.
    let bomb = [b"Title\0\0".as_slice(), &deflate_bomb(30_000)].concat();
    let taken = still(&png_with(&[(b"zTXt", &bomb)]));
    assert!(taken.metadata.texts.is_empty() && told(&taken).contains("damaged or too large"));
    // Ten that unpack to a megabyte each and then turn out to be damaged cost what ten texts of a megabyte cost: by the fifth,
    // nothing is taken any more, so that a file of thousands ends soon.
    let bomb = [b"Title\0\0".as_slice(), &deflate_bomb(4000)].concat();
    let mut chunks: Vec<(&[u8; 4], &[u8])> = vec![(b"zTXt", bomb.as_slice()); 10];
    chunks.push((b"tEXt", b"Title\0x"));
    let taken = still(&png_with(&chunks));
    assert!(taken.metadata.texts.is_empty() && told(&taken).contains("more than are taken"), "{}", told(&taken));
    // Of several profiles the first alone is unpacked.
    let good = [b"any\0\0".as_slice(), &stored_zlib(&Profile::SRGB.bytes())].concat();
    let declared =
        still(&png_with(&[(b"iCCP", &[b"any\0\0".as_slice(), &deflate_bomb(4000)].concat()), (b"iCCP", &good)]));
    assert!(declared.profile.is_none(), "{:?}", declared.profile);
}

/// A zlib stream of one literal and very many matches of 258 bytes at distance 1, in a block of fixed codes (RFC 1951, 3.2.6).
fn deflate_bomb(matches: usize) -> Vec<u8> {
    let mut bits: Vec<bool> = vec![true, true, false];
    // The literal 0: eight bits, 0x30.
    bits.extend([false, false, true, true, false, false, false, false]);
    for _ in 0..matches {
        // Length 258 is code 285, 11000101; distance 1 is code 0, 00000.
        bits.extend([true, true, false, false, false, true, false, true, false, false, false, false, false]);
    }
    let bytes = bits.chunks(8).map(|byte| byte.iter().rev().fold(0u8, |sum, bit| sum << 1 | u8::from(*bit)));
    [0x78, 0x01].into_iter().chain(bytes).collect()
}

#[test]
fn broken_chunks_are_left_out_with_a_warning() {
    for (kind, data, part) in [
        (b"iCCP", b"name\0\0damaged".as_slice(), "the name of its profile is left out"),
        (b"tEXt", b"no zero at all".as_slice(), "a text is left out"),
        (b"iTXt", b"Title\0\x01\0\0\0not deflate".as_slice(), "a text is left out"),
        (b"iTXt", b"Title\0\0\0\0\0\xff\xfe".as_slice(), "a text is left out"),
        (b"zTXt", b"Title\0".as_slice(), "a text is left out"),
        (b"pHYs", &[0; 9], "the resolution is left out"),
        (b"iTXt", b"XML:com.adobe.xmp\0\0\0\0\0\xff".as_slice(), "a text is left out"),
        (b"zTXt", b"Raw profile type exif\0\0x".as_slice(), "a text is left out"),
        (b"tEXt", b"Raw profile type exif\0 45".as_slice(), "metadata as hexadecimal text"),
    ] {
        let still = still(&png_with(&[(kind, data)]));
        assert!(told(&still).contains(part), "{part}: {}", told(&still));
        assert!(still.metadata.is_empty(), "{:?}", still.metadata);
    }
    // A wrong checksum, which the decoder itself forgives in such chunks.
    let mut png = png_with(&[(b"tEXt", b"Title\0pier")]);
    let at = png.windows(4).position(|four| four == b"pier").expect("the text");
    png[at] = b'b';
    if let Ok(still) = read_still_bytes("changed", &png) {
        assert!(told(&still).contains("checksum") && still.metadata.is_empty());
    }
}

#[test]
fn broken_segments_are_left_out_with_a_warning() {
    let xmp = [b"http://ns.adobe.com/xap/1.0/\0".as_slice(), b"\xff"].concat();
    let more = [b"http://ns.adobe.com/xmp/extension/\0".as_slice(), &[b'x'; 80]].concat();
    for (marker, data, part) in [
        (0xe1, xmp.as_slice(), "XMP is left out: it is not UTF-8"),
        (0xe1, more.as_slice(), "a part of XMP is left out"),
    ] {
        let still = still(&flat_jpeg(1, &[&[9]], &[(marker, data)]));
        assert!(told(&still).contains(part), "{}", told(&still));
    }
    // Pieces of a profile without their first.
    let piece = [b"ICC_PROFILE\0\x02\x02".as_slice(), &Profile::SRGB.bytes()[200..]].concat();
    let declared = still(&flat_jpeg(1, &[&[9]], &[(0xe2, &piece)])).profile.expect("a profile of some kind");
    assert_eq!((declared.name.as_str(), declared.encoding), ("a profile without a name", None));
    // 300 segments of 60 kB.
    let comment = vec![b'c'; 60_000];
    let segments: Vec<(u8, &[u8])> = vec![(0xfe, comment.as_slice()); 300];
    let taken = still(&flat_jpeg(1, &[&[9]], &segments));
    assert!(taken.metadata.comments.iter().map(String::len).sum::<usize>() <= 4 << 20);
}

fn rich_files() -> Vec<Vec<u8>> {
    let notes = Notes { metadata: still(&full_jpeg()).metadata, description: Some("Dusk".to_owned()) };
    let options = WriteOptions { profile: Some(Profile::DISPLAY_P3), ..WriteOptions::default() };
    let frame = frame(false, SampleDepth::Eight);
    let written = PictureFormat::ALL.iter().map(|format| encode_still(*format, &frame, &options, &notes));
    written.map(|encoded| encoded.expect("written").bytes).chain([full_png(), full_jpeg()]).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// Whatever is damaged: a picture that can be read is read with its notes too, and they stay within bounds.
    #[test]
    fn damaged_notes_are_never_fatal(
        file in any::<Index>(),
        changes in vec((any::<Index>(), any::<u8>()), 1..10),
        cut in proptest::option::weighted(0.2, any::<Index>()),
    ) {
        let files = rich_files();
        let mut bytes = files[file.index(files.len())].clone();
        for (place, value) in changes {
            let region = bytes.len().min(2500);
            // The notes of a TIFF stand at both ends.
            let at = place.index(2 * region);
            let length = bytes.len();
            bytes[if at < region { at } else { length + at - 2 * region }] = value;
        }
        if let Some(cut) = cut {
            bytes.truncate(cut.index(bytes.len()));
        }
        match (read_bytes("plain", &bytes), read_still_bytes("plain", &bytes)) {
            (Ok(frame), Ok(still)) => {
                // Damaged floats may be NaN, which equals nothing.
                prop_assert_eq!((still.frame.width(), still.frame.height()), (frame.width(), frame.height()));
                let notes = Notes { metadata: still.metadata, description: None };
                for format in [PictureFormat::Png, PictureFormat::Jpeg, PictureFormat::Tiff] {
                    let opaque = crate::notes::frame(false, SampleDepth::Eight);
                    let written = encode_still(format, &opaque, &WriteOptions::default(), &notes).expect("written");
                    let back = read_still_bytes("again", &written.bytes).expect("a picture");
                    prop_assert_eq!(&back.frame.width(), &opaque.width());
                    prop_assert!(back.warnings.is_empty(), "{}: {:?} of {:?}", format.name(), back.warnings, notes.metadata.resolution);
                }
            }
            (Err(plain), Err(with)) => prop_assert_eq!(&plain[0].message, &with[0].message),
            (plain, with) => prop_assert!(false, "only one could be read: {:?} {:?}", plain.is_ok(), with.is_ok()),
        }
    }

    #[test]
    fn random_exif_is_never_fatal(big in any::<bool>(), bytes in vec(any::<u8>(), 0..300)) {
        let start: &[u8] = if big { b"MM\0*\0\0\0\x08\0\x06" } else { b"II*\0\x08\0\0\0\x06\0" };
        let exif = [start, &bytes].concat();
        let png = png_with(&[(b"eXIf", &exif), (b"iCCP", &[b"x\0\0".as_slice(), &stored_zlib(&bytes)].concat())]);
        // The orientation may turn the picture, and an impossible one may be refused by its decoder; no more.
        prop_assert_eq!(read_still_bytes("png", &png).is_ok(), read_bytes("png", &png).is_ok());
    }
}

//! Random and damaged bytes: an answer every time, no panic, and no allocation that the file doesn't justify (that
//! would show as a crash or as a test that takes minutes).

use crate::builders::{Exr, Png, Tiff, exif_orientation, flat_jpeg, stored_zlib};
use lookwright::formats::image::{PictureFormat, WriteOptions, encode, read_bytes};
use lookwright::picture::{Frame, pixel_count};
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::{Index, select};

const SIGNATURES: [&[u8]; 7] =
    [b"", b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff", b"II*\0", b"MM\0*", b"II+\0", b"\x76\x2f\x31\x01"];

/// Damage to these reaches every header; the rest of the damage falls anywhere.
const HEADER_BYTES: usize = 400;

fn valid_files() -> Vec<Vec<u8>> {
    let codes: Vec<u16> = (0..24 * 20 * 4).map(|index| (index * 40_503 % 65_536) as u16).collect();
    let frame = Frame::from_sixteen_bit(24, 20, true, codes).expect("a frame");
    let opaque = Frame::from_eight_bit(24, 20, false, &[90; 24 * 20 * 3]).expect("a frame");
    let tiff = Tiff {
        width: 2,
        height: 1,
        samples: 3,
        bits: 8,
        photometric: 2,
        orientation: 3,
        extra_samples: 0,
        data: &[0; 6],
    };
    let exr = Exr {
        width: 2,
        height: 2,
        channels: &["B", "G", "R"],
        compression: 0,
        flags: 0,
        tile: None,
        rows: &[0x3c00; 12],
    };
    let mut files = vec![
        flat_jpeg(1, &[&[40], &[200]], &[(0xe1, &exif_orientation(6))]),
        flat_jpeg(4, &[&[255, 128, 0, 255]], &[(0xee, b"Adobe\0\x64\0\0\0\0\0")]),
        tiff.bytes(),
        exr.bytes(),
    ];
    for format in PictureFormat::ALL {
        files.push(encode(*format, &opaque, &WriteOptions::default()).expect("written"));
        // All but JPEG take the alpha too.
        files.extend(encode(*format, &frame, &WriteOptions::default()));
    }
    files
}

/// What reading gives is either a frame within bounds or at least one error with something to do.
fn check(bytes: &[u8]) -> Result<(), TestCaseError> {
    match read_bytes("hostile", bytes) {
        Ok(frame) => prop_assert!(pixel_count(frame.width(), frame.height()).is_some(), "{}", frame.width()),
        Err(diagnostics) => {
            prop_assert!(!diagnostics.is_empty());
            for diagnostic in diagnostics {
                prop_assert!(diagnostic.is_error() && !diagnostic.help.is_empty(), "{diagnostic:?}");
                let assertion = diagnostic.message.contains("its parts contradict each other");
                prop_assert!(!assertion, "a decoder failed an assertion: {}", diagnostic.message);
            }
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn random_bytes_get_an_answer(kind in 0..SIGNATURES.len(), bytes in vec(any::<u8>(), 0..400)) {
        check(&[SIGNATURES[kind], &bytes].concat())?;
    }

    #[test]
    fn damaged_files_get_an_answer(
        file in any::<Index>(),
        changes in vec((any::<Index>(), any::<u8>(), any::<bool>()), 1..8),
        cut in proptest::option::of(any::<Index>()),
    ) {
        let files = valid_files();
        let mut bytes = files[file.index(files.len())].clone();
        for (place, value, in_the_header) in changes {
            let region = if in_the_header { bytes.len().min(HEADER_BYTES) } else { bytes.len() };
            bytes[place.index(region)] = value;
        }
        if let Some(cut) = cut {
            bytes.truncate(cut.index(bytes.len()));
        }
        check(&bytes)?;
    }

    /// With checksums that hold, so that the damage reaches the decoder.
    #[test]
    fn contradictory_png_gets_an_answer(
        width in 0u32..70,
        height in 0u32..70,
        bit_depth in select(vec![0u8, 1, 2, 4, 8, 16, 255]),
        colour_type in 0u8..8,
        interlace in 0u8..3,
        rows in vec(0u8..6, 0..2000),
        chunk in select(vec![b"PLTE", b"tRNS", b"eXIf", b"iCCP", b"gAMA", b"acTL"]),
        chunk_bytes in vec(any::<u8>(), 0..40),
    ) {
        let chunks: [(&[u8; 4], &[u8]); 1] = [(chunk, &chunk_bytes)];
        let png = Png { width, height, bit_depth, colour_type, interlace, chunks: &chunks, rows: &rows };
        check(&png.bytes())?;
    }

    #[test]
    fn contradictory_tiff_gets_an_answer(
        width: u16,
        height: u16,
        samples in 0u16..6,
        bits in select(vec![0u16, 1, 7, 8, 16, 32, 64]),
        photometric in 0u16..10,
        orientation in 0u16..12,
        extra_samples in 0u16..3,
        data in vec(any::<u8>(), 0..300),
    ) {
        check(&Tiff { width, height, samples, bits, photometric, orientation, extra_samples, data: &data }.bytes())?;
    }
}

/// A profile that unpacks to more than its picture stays within the decoder's working memory.
#[test]
fn a_large_profile_does_no_harm() {
    let mut profile = b"p\0\0".to_vec();
    profile.extend(stored_zlib(&[0; 60_000]));
    let chunks: [(&[u8; 4], &[u8]); 1] = [(b"iCCP", &profile)];
    let rows = [0, 1, 2, 3];
    let png = Png { width: 1, height: 1, bit_depth: 8, colour_type: 2, interlace: 0, chunks: &chunks, rows: &rows };
    let frame = read_bytes("with a profile", &png.bytes()).expect("a picture");
    assert_eq!(crate::codes(&frame), [257, 514, 771]);
}

//! Files that are no readable picture: what is said about each.

use crate::builders::{Exr, Png, Tiff, flat_jpeg};
use crate::refusal;
use lookwright::formats::image::{PictureFormat, WriteOptions, encode, read, read_bytes};
use lookwright::picture::{Frame, SampleDepth};
use std::path::Path;

/// An OpenEXR of one pixel, the base of many wrong ones.
const PIXEL: Exr =
    Exr { width: 1, height: 1, channels: &["B", "G", "R"], compression: 0, flags: 0, tile: None, rows: &[0; 3] };

fn picture(format: PictureFormat) -> Vec<u8> {
    let codes = (0..40 * 50 * 3).map(|index| (index * 40_503 % 65_536) as u16).collect();
    let frame = Frame::from_sixteen_bit(40, 50, false, codes).expect("a frame");
    encode(format, &frame, &WriteOptions::default()).expect("written")
}

fn expect(bytes: &[u8], what: &str, code: &str, parts: &[&str]) {
    let (found, text) = refusal(read_bytes(what, bytes), what);
    assert_eq!(found, code, "{what}: {text}");
    for part in parts {
        assert!(text.contains(part), "{what}: “{part}” is missing in: {text}");
    }
}

#[test]
fn what_is_no_picture_is_named() {
    expect(b"", "still.png", "LW0501", &["still.png is empty", "expected PNG, JPEG, TIFF or OpenEXR"]);
    let recipe = b"lookwright = 1\n[look]\n";
    expect(recipe, "renamed.png", "LW0501", &["text that begins with “lookwright = 1”", "not its name"]);
    expect(b"SDPX\0\0\x20\0V1.0", "frame.dpx", "LW0501", &["a DPX frame", "export the frame"]);
    expect(b"\0\0\0\x20ftypisom", "take.mov", "LW0501", &["a movie, not a still picture"]);
    expect(b"RIFF\0\0\0\0WEBPVP8 ", "a.webp", "LW0501", &["a WebP picture"]);
    expect(&[0x00, 0xff, 0x10], "noise", "LW0501", &["begins with the bytes 00 ff 10"]);
    expect(b"\x89PNG", "four bytes", "LW0501", &["begins with the bytes 89 50 4e 47"]);
}

#[test]
fn what_is_no_file_is_named() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let (code, text) = refusal(read(folder.path()), "a folder");
    assert!(code == "LW0401" && text.contains("it is a folder"), "{code} {text}");
    let (code, _) = refusal(read(&folder.path().join("missing.png")), "a missing file");
    assert_eq!(code, "LW0401");
    if Path::new("/dev/null").exists() {
        let (code, text) = refusal(read(Path::new("/dev/null")), "a device");
        assert!(code == "LW0401" && text.contains("not an ordinary file"), "{code} {text}");
    }
}

#[test]
fn a_file_cut_anywhere_is_refused() {
    for format in PictureFormat::ALL {
        let whole = picture(*format);
        // What a PNG says after its picture data (the end chunk) is not needed to show it.
        let needed = if *format == PictureFormat::Png { whole.len() - 16 } else { whole.len() - 1 };
        // A TIFF from this writer has its directory behind its data, so that any cut loses it.
        for length in (0..=needed).filter(|length| length % 97 == 0 || *length == needed || *length < 64) {
            let what = format!("{} cut to {length} of {} bytes", format.name(), whole.len());
            let (code, text) = refusal(read_bytes(&what, &whole[..length]), &what);
            assert!(matches!(code, "LW0501" | "LW0502"), "{what}: {code} {text}");
        }
        let half = &whole[..whole.len() / 2];
        expect(half, "half a file", "LW0502", &[&format!("damaged {} picture", format.name()), "copy it again"]);
    }
}

/// The end marker of a thumbnail inside a segment is not the end of the picture (ISO/IEC 10918-1, annex B).
#[test]
fn a_jpeg_with_a_thumbnail_is_still_found_cut() {
    let segment = b"Exif\0\0II*\0\x08\0\0\0\0\0\0\0\0\0\xff\xd8\xff\xd9".as_slice();
    let whole = flat_jpeg(1, &[&[10], &[250], &[0], &[255]], &[(0xe1, segment)]);
    assert!(read_bytes("whole", &whole).is_ok());
    let mut followed = whole.clone();
    followed.extend(b"notes of a camera");
    assert!(read_bytes("followed by notes", &followed).is_ok());
    expect(&whole[..whole.len() - 2], "cut", "LW0502", &["it ends after", "before the picture is complete"]);
}

#[test]
fn a_header_that_claims_too_much_is_refused_before_decoding() {
    let header = Png { width: 1, height: 1, bit_depth: 16, colour_type: 2, interlace: 0, chunks: &[], rows: &[0] };
    let png = |width, height| Png { width, height, ..header }.bytes();
    expect(&png(40_000, 10), "wide", "LW0504", &["claims 40000 × 10 pixels", "32768 pixels a side"]);
    expect(&png(32_000, 32_000), "too many", "LW0504", &["claims 32000 × 32000 pixels", "400 megapixels"]);
    expect(&png(u32::MAX >> 1, u32::MAX >> 1), "absurd", "LW0504", &["2147483647 × 2147483647"]);
    let in_a_few_bytes = ["claims 20000 × 19000 pixels", "no real picture is that small"];
    expect(&png(20_000, 19_000), "in a few bytes", "LW0504", &in_a_few_bytes);
    expect(&png(0, 4), "nothing", "LW0502", &[]);

    let tiff = Tiff {
        width: 30_000,
        height: 13_000,
        samples: 3,
        bits: 16,
        photometric: 2,
        orientation: 1,
        extra_samples: 0,
        data: &[0; 6],
    };
    expect(&tiff.bytes(), "a TIFF", "LW0504", &["claims 30000 × 13000 pixels"]);

    let large = Exr { width: 20_000, height: 20_001, ..PIXEL };
    expect(&large.bytes(), "an OpenEXR", "LW0504", &["claims 20000 × 20001 pixels"]);
    let overflowing = Exr { width: u32::MAX, height: 1 << 31, ..PIXEL };
    expect(&overflowing.bytes(), "an OpenEXR with absurd windows", "LW0502", &["claims a size of"]);

    let mut jpeg = flat_jpeg(3, &[&[1, 2, 3]], &[]);
    let frame = jpeg.windows(2).position(|pair| pair == [0xff, 0xc0]).expect("a frame header");
    jpeg[frame + 5..frame + 9].copy_from_slice(&[0x7f, 0xff, 0x2e, 0xff]);
    expect(&jpeg, "a JPEG", "LW0504", &["claims 12031 × 32767 pixels", "no real picture is that small"]);
}

/// "OpenEXR File Layout": flags of deep data; numbers of the compressions.
#[test]
fn open_exr_of_other_kinds_is_named() {
    assert!(read_bytes("plain", &PIXEL.bytes()).is_ok());
    let wrong = |exr: Exr, what: &str, code: &str, parts: &[&str]| expect(&exr.bytes(), what, code, parts);
    wrong(Exr { flags: 1 << 11, ..PIXEL }, "deep", "LW0503", &["deep data", "export the frame"]);
    wrong(Exr { compression: 6, ..PIXEL }, "B44", "LW0503", &["compressed as B44", "ZIP, PIZ"]);
    wrong(Exr { compression: 9, ..PIXEL }, "DWAB", "LW0503", &["compressed as DWAB"]);
    wrong(Exr { compression: 77, ..PIXEL }, "nonsense", "LW0502", &["number 77"]);
    wrong(Exr { flags: 1 << 9, tile: Some(0), ..PIXEL }, "no tiles", "LW0502", &["tiles without pixels"]);
    wrong(Exr { flags: 1 << 9, tile: Some(1 << 20), ..PIXEL }, "large tiles", "LW0503", &["its tiles have"]);
    wrong(Exr { channels: &["Y"], rows: &[0], ..PIXEL }, "luminance only", "LW0502", &["rgb channels"]);
}

#[test]
fn tiff_of_other_kinds_is_named() {
    let palette = Tiff {
        width: 2,
        height: 1,
        samples: 1,
        bits: 8,
        photometric: 3,
        orientation: 1,
        extra_samples: 0,
        data: &[0, 1],
    };
    let parts = ["TIFF picture of a kind that can't be read", "export the frame"];
    expect(&palette.bytes(), "palette TIFF", "LW0503", &parts);
}

#[test]
fn a_palette_of_half_a_colour_is_refused() {
    let chunks: [(&[u8; 4], &[u8]); 1] = [(b"PLTE", &[1, 2, 3, 4, 5])];
    let png = Png { width: 1, height: 1, bit_depth: 8, colour_type: 3, interlace: 0, chunks: &chunks, rows: &[0, 1] };
    expect(&png.bytes(), "a palette", "LW0502", &["its palette has 5 bytes"]);
}

#[test]
fn one_pixel_is_a_picture() {
    for format in PictureFormat::ALL {
        let name = format.name();
        let frame = Frame::from_eight_bit(1, 1, false, &[9, 9, 9]).expect("a frame");
        let bytes = encode(*format, &frame, &WriteOptions::default()).expect(name);
        let back = read_bytes(name, &bytes).expect(name);
        assert_eq!((back.width(), back.height()), (1, 1), "{name}");
        assert_eq!(back.to_depth(SampleDepth::Eight).frame, frame, "{name}");
    }
}

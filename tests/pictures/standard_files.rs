//! Files built by hand from the published layouts come in with the values that were put into them.

use crate::builders::{Exr, Png, Tiff, exif_orientation, flat_jpeg};
use crate::{codes, floats};
use lookwright::formats::image::read_bytes;
use lookwright::picture::{Frame, SampleDepth};

/// How far an inverse cosine transform in whole numbers may be off on a flat block (ISO/IEC 10918-2 allows one).
const JPEG_TOLERANCE: u16 = 1;

fn read(name: &str, bytes: &[u8]) -> Frame {
    read_bytes(name, bytes).unwrap_or_else(|diagnostics| panic!("{name}: {}", diagnostics[0].message))
}

fn eight(values: &[u8]) -> Vec<u16> {
    values.iter().map(|&value| u16::from(value) * 257).collect()
}

fn png(bit_depth: u8, colour_type: u8, width: u32, rows: &[u8]) -> Png<'_> {
    Png { width, height: 1, bit_depth, colour_type, interlace: 0, chunks: &[], rows }
}

/// ISO/IEC 15948, section 11.2: colour types 0 grey, 2 RGB, 4 grey with alpha, 6 RGB with alpha; samples are
/// big-endian.
#[test]
fn png_of_each_colour_type() {
    let frame = read("grey 8", &png(8, 0, 2, &[0, 7, 200]).bytes());
    assert_eq!((frame.depth(), frame.has_alpha()), (SampleDepth::Eight, false));
    assert_eq!(codes(&frame), eight(&[7, 7, 7, 200, 200, 200]));

    let frame = read("grey 16", &png(16, 0, 1, &[0, 0x12, 0x34]).bytes());
    assert_eq!((frame.depth(), codes(&frame)), (SampleDepth::Sixteen, &[0x1234; 3][..]));

    let frame = read("grey and alpha 8", &png(8, 4, 1, &[0, 90, 30]).bytes());
    assert_eq!((frame.has_alpha(), codes(&frame)), (true, &eight(&[90, 90, 90, 30])[..]));

    let frame = read("grey and alpha 16", &png(16, 4, 1, &[0, 1, 2, 3, 4]).bytes());
    assert_eq!(codes(&frame), [0x0102, 0x0102, 0x0102, 0x0304]);

    let frame = read("RGB 16", &png(16, 2, 1, &[0, 0, 1, 2, 3, 0xff, 0xfe]).bytes());
    assert_eq!(codes(&frame), [0x0001, 0x0203, 0xfffe]);

    let frame = read("RGB and alpha 8", &png(8, 6, 1, &[0, 1, 2, 3, 4]).bytes());
    assert_eq!((frame.has_alpha(), codes(&frame)), (true, &eight(&[1, 2, 3, 4])[..]));
}

/// ISO/IEC 15948: a sample of fewer bits spans the same 0..1 (1 bit: 0 and 255); the highest bit is the left pixel.
#[test]
fn png_of_few_bits_and_with_a_palette() {
    let frame = read("grey 1", &png(1, 0, 3, &[0, 0b1010_0000]).bytes());
    assert_eq!(codes(&frame), eight(&[255, 255, 255, 0, 0, 0, 255, 255, 255]));

    let palette: &[u8] = &[10, 20, 30, 40, 50, 60];
    let indexed = Png { chunks: &[(b"PLTE", palette)], ..png(8, 3, 2, &[0, 1, 0]) };
    assert_eq!(codes(&read("palette", &indexed.bytes())), eight(&[40, 50, 60, 10, 20, 30]));

    let transparent = Png { chunks: &[(b"PLTE", palette), (b"tRNS", &[128])], ..png(8, 3, 2, &[0, 1, 0]) };
    let frame = read("palette with transparency", &transparent.bytes());
    assert_eq!(codes(&frame), eight(&[40, 50, 60, 255, 10, 20, 30, 128]));
}

/// Notes on gamma and colour in a file change no number: a look says what its input is.
#[test]
fn notes_on_colour_are_not_applied() {
    let gamma = 100_000u32.to_be_bytes();
    let noted = Png { chunks: &[(b"gAMA", &gamma)], ..png(8, 2, 1, &[0, 1, 2, 3]) };
    assert_eq!(codes(&read("with gamma 1", &noted.bytes())), eight(&[1, 2, 3]));
}

/// Exif orientation 6 in a PNG (eXIf chunk) and in a JPEG: the first row is the right side (CIPA DC-008, orientation).
#[test]
fn orientation_is_applied() {
    let exif = &exif_orientation(6)[6..];
    let lying = Png { chunks: &[(b"eXIf", exif)], ..png(8, 0, 2, &[0, 10, 20]) };
    let frame = read("PNG that lies on its side", &lying.bytes());
    assert_eq!((frame.width(), frame.height()), (1, 2));
    assert_eq!(codes(&frame), eight(&[10, 10, 10, 20, 20, 20]));

    let jpeg = flat_jpeg(1, &[&[40], &[200]], &[(0xe1, &exif_orientation(6))]);
    let frame = read("JPEG that lies on its side", &jpeg);
    assert_eq!((frame.width(), frame.height()), (8, 16));
    assert_jpeg(&frame, 0, [40; 3]);
    assert_jpeg(&frame, 15, [200; 3]);

    // Orientation 3: turned by half (TIFF 6.0, section 8).
    let turned = tiff(3, 8, 2, 3, 0, &[1, 2, 3, 4, 5, 6]);
    assert_eq!(codes(&read("TIFF upside down", &turned)), eight(&[4, 5, 6, 1, 2, 3]));
}

fn tiff(samples: u16, bits: u16, photometric: u16, orientation: u16, extra_samples: u16, data: &[u8]) -> Vec<u8> {
    let pixel_bytes = usize::from(samples * bits / 8);
    let width = (data.len() / pixel_bytes) as u16;
    Tiff { width, height: 1, samples, bits, photometric, orientation, extra_samples, data }.bytes()
}

/// TIFF 6.0, sections 4, 6 and 18.
#[test]
fn tiff_of_each_kind() {
    assert_eq!(codes(&read("TIFF RGB 8", &tiff(3, 8, 2, 1, 0, &[1, 2, 3, 4, 5, 6]))), eight(&[1, 2, 3, 4, 5, 6]));
    let sixteen = read("TIFF RGB 16", &tiff(3, 16, 2, 1, 0, &[0x34, 0x12, 0, 1, 0xff, 0xff]));
    assert_eq!((sixteen.depth(), codes(&sixteen)), (SampleDepth::Sixteen, &[0x1234, 0x0100, 0xffff][..]));
    assert_eq!(codes(&read("TIFF grey 16", &tiff(1, 16, 1, 1, 0, &[2, 1]))), [0x0102; 3]);
    let alpha = read("TIFF RGB and alpha 8", &tiff(4, 8, 2, 1, 2, &[1, 2, 3, 4]));
    assert_eq!((alpha.has_alpha(), codes(&alpha)), (true, &eight(&[1, 2, 3, 4])[..]));
}

/// CMYK without a profile: R = (1 − C)(1 − K), common practice, no source.
#[test]
fn tiff_in_cmyk_becomes_rgb() {
    let frame = read("TIFF CMYK 8", &tiff(4, 8, 5, 1, 0, &[0, 0, 0, 0, 255, 0, 0, 0, 0, 0, 0, 255]));
    assert_eq!(codes(&frame), eight(&[255, 255, 255, 0, 255, 255, 0, 0, 0]));
}

fn assert_jpeg(frame: &Frame, row: usize, expected: [u8; 3]) {
    let pixel = frame.pixel(3, row).expect("a pixel of the picture").map(|value| (value * 255.0).round() as u16);
    for (channel, (found, expected)) in pixel.into_iter().zip(expected).enumerate() {
        let error = found.abs_diff(expected.into());
        assert!(error <= JPEG_TOLERANCE, "row {row}, channel {channel}: {found} where {expected} is due");
    }
}

/// Grey, and YCbCr as in ISO/IEC 10918-5: R = Y + 1.402 (Cr − 128), B = Y + 1.772 (Cb − 128).
#[test]
fn jpeg_in_grey_and_colour() {
    let grey = read("grey JPEG", &flat_jpeg(1, &[&[77]], &[]));
    assert_eq!((grey.width(), grey.height(), grey.depth()), (8, 8, SampleDepth::Eight));
    assert_jpeg(&grey, 4, [77; 3]);
    let colour = read("colour JPEG", &flat_jpeg(3, &[&[100, 118, 158]], &[]));
    // R = 100 + 1.402 · 30, G = 100 − 0.344136 · (−10) − 0.714136 · 30, B = 100 + 1.772 · (−10).
    assert_jpeg(&colour, 4, [142, 82, 82]);
}

/// Four components with an APP14 segment that says "no transform": inverted CMYK, so that R = C·K/255 (common practice,
/// no source).
#[test]
fn jpeg_in_cmyk_becomes_rgb() {
    let app14 = b"Adobe\0\x64\0\0\0\0\0";
    let frame = read("CMYK JPEG", &flat_jpeg(4, &[&[255, 128, 0, 255]], &[(0xee, app14)]));
    assert_jpeg(&frame, 4, [255, 128, 0]);
}

/// Half floats of IEEE 754: 0x3c00 is 1, 0x3800 0.5, 0xc000 −2, 0x7bff 65504, 0x7c00 infinity.
#[test]
fn open_exr_in_half_floats() {
    let rows = [0x3800, 0x3c00, 0xc000, 0x7bff, 0x0000, 0x7c00];
    let channels = ["B", "G", "R"];
    let exr = Exr { width: 1, height: 2, channels: &channels, compression: 0, flags: 0, tile: None, rows: &rows };
    let frame = read("OpenEXR", &exr.bytes());
    assert_eq!((frame.width(), frame.height()), (1, 2));
    assert_eq!((frame.depth(), frame.has_alpha()), (SampleDepth::Float, false));
    assert_eq!(floats(&frame), [-2.0, 1.0, 0.5, f32::INFINITY, 0.0, 65504.0]);

    let rows = [0x3800, 0x3c00, 0x0000, 0xc000];
    let exr = Exr { height: 1, channels: &["A", "B", "G", "R"], rows: &rows, ..exr };
    let frame = read("OpenEXR with alpha", &exr.bytes());
    assert_eq!((frame.has_alpha(), floats(&frame)), (true, &[-2.0, 0.0, 1.0, 0.5][..]));
}

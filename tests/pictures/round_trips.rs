//! What is written comes back.

use crate::{codes, floats, refusal};
use lookwright::formats::image::{PictureFormat, WriteOptions, encode, read, read_bytes, write};
use lookwright::picture::{Frame, SampleDepth};
use proptest::prelude::*;

/// JPEG at the highest quality on smooth colour: rounding of three colour planes, of their coefficients, and back (from
/// the number of roundings, no source).
const JPEG_BEST_TOLERANCE: u16 = 3;

fn sixteen_bit(width: usize, height: usize, has_alpha: bool) -> Frame {
    let samples = width * height * if has_alpha { 4 } else { 3 };
    let codes = (0..samples).map(|index| (index * 40_503 % 65_536) as u16).collect();
    Frame::from_sixteen_bit(width, height, has_alpha, codes).expect("a frame")
}

fn eight_bit(width: usize, height: usize, has_alpha: bool) -> Frame {
    sixteen_bit(width, height, has_alpha).to_depth(SampleDepth::Eight).frame
}

fn float(has_alpha: bool) -> Frame {
    let odd = [0.0, -0.0, 1.0, -2.5, 65_504.0, 1e-30, f32::MAX, f32::INFINITY, f32::NEG_INFINITY, 0.18, 1e-45, 3.0];
    Frame::from_floats(12 / if has_alpha { 4 } else { 3 }, 1, has_alpha, odd.to_vec()).expect("a frame")
}

fn there_and_back(format: PictureFormat, frame: &Frame) -> Frame {
    let bytes = encode(format, frame, &WriteOptions::default())
        .unwrap_or_else(|diagnostics| panic!("{}: {}", format.name(), diagnostics[0].message));
    read_bytes(format.name(), &bytes)
        .unwrap_or_else(|diagnostics| panic!("{}: {}", format.name(), diagnostics[0].message))
}

#[test]
fn lossless_formats_keep_every_sample() {
    use PictureFormat::{OpenExr, Png, Tiff};
    for alpha in [false, true] {
        for (width, height) in [(1, 1), (5, 3), (67, 31)] {
            for format in [Png, Tiff] {
                for frame in [eight_bit(width, height, alpha), sixteen_bit(width, height, alpha)] {
                    let what = format!("{} {} {width} × {height}, alpha {alpha}", frame.depth().name(), format.name());
                    assert_eq!(there_and_back(format, &frame), frame, "{what}");
                }
            }
        }
        for format in [Tiff, OpenExr] {
            let (frame, back) = (float(alpha), there_and_back(format, &float(alpha)));
            let bits = |frame: &Frame| floats(frame).iter().map(|value| value.to_bits()).collect::<Vec<_>>();
            assert_eq!(bits(&back), bits(&frame), "float {}, alpha {alpha}", format.name());
        }
    }
}

#[test]
fn jpeg_keeps_smooth_colour_at_the_highest_quality() {
    let smooth: Vec<u8> =
        (0..32 * 32).flat_map(|pixel| [pixel % 32 * 7, pixel / 32 * 7, 128]).map(|value| value as u8).collect();
    let frame = Frame::from_eight_bit(32, 32, false, &smooth).expect("a frame");
    let best = WriteOptions { jpeg_quality: 100, ..WriteOptions::default() };
    let back = read_bytes("JPEG", &encode(PictureFormat::Jpeg, &frame, &best).expect("written")).expect("read");
    let worst = codes(&frame).iter().zip(codes(&back)).map(|(a, b)| a.abs_diff(*b) / 257).max();
    assert!(worst <= Some(JPEG_BEST_TOLERANCE), "worst difference {worst:?} of 255");
}

#[test]
fn depth_follows_the_format_or_the_wish() {
    let frame = sixteen_bit(3, 2, false);
    let float = there_and_back(PictureFormat::OpenExr, &frame);
    assert_eq!(float.depth(), SampleDepth::Float);
    assert_eq!(codes(&float.to_depth(SampleDepth::Sixteen).frame), codes(&frame));
    let eight = WriteOptions { depth: Some(SampleDepth::Eight), ..WriteOptions::default() };
    let small = read_bytes("PNG", &encode(PictureFormat::Png, &frame, &eight).expect("written")).expect("read");
    assert_eq!(small, frame.to_depth(SampleDepth::Eight).frame);
    let inside = Frame::from_floats(1, 1, false, vec![0.0, 0.5, 1.0]).expect("a frame");
    assert_eq!(codes(&there_and_back(PictureFormat::Png, &inside)), [0, 32_768, 65_535]);
}

#[test]
fn what_a_format_cannot_hold_is_refused() {
    let options = WriteOptions::default();
    let (code, text) = refusal(encode(PictureFormat::Png, &float(false), &options), "floats as PNG");
    assert!(code == "LW0505" && text.contains("6 samples are outside 0..1"), "{code} {text}");
    let (_, text) = refusal(encode(PictureFormat::Jpeg, &sixteen_bit(2, 2, true), &options), "alpha as JPEG");
    assert!(text.contains("alpha"), "{text}");
    let wish = WriteOptions { depth: Some(SampleDepth::Sixteen), ..options };
    let (_, text) = refusal(encode(PictureFormat::Jpeg, &sixteen_bit(2, 2, false), &wish), "a 16-bit JPEG");
    assert!(text.contains("JPEG has no 16-bit samples"), "{text}");
}

#[test]
fn files_are_written_by_their_extension_and_whole() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let frame = eight_bit(9, 4, false);
    for name in ["a.png", "b.TIF", "c.tiff", "d.exr"] {
        let path = folder.path().join(name);
        write(&path, &frame, &WriteOptions::default()).expect(name);
        assert_eq!(read(&path).expect(name).to_depth(SampleDepth::Eight).frame, frame, "{name}");
    }
    // The content counts, not the name.
    let renamed = folder.path().join("really-a.jpg");
    std::fs::rename(folder.path().join("a.png"), &renamed).expect("renamed");
    assert_eq!(read(&renamed).expect("a PNG by another name"), frame);

    let (code, text) = refusal(write(&folder.path().join("e.bmp"), &frame, &WriteOptions::default()), "a bitmap");
    assert!(code == "LW0505" && text.contains(".png") && text.contains(".exr"), "{code} {text}");
    let (code, _) = refusal(write(&folder.path().join("missing/f.png"), &frame, &WriteOptions::default()), "no folder");
    assert_eq!(code, "LW0402");
    let left: Vec<_> = std::fs::read_dir(folder.path()).expect("the folder").collect();
    assert_eq!(left.len(), 4, "nothing half-written is left behind: {left:?}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn any_sixteen_bit_frame_survives_png_and_tiff(
        width in 1usize..20, height in 1usize..20, alpha: bool, source in proptest::collection::vec(any::<u16>(), 1600),
    ) {
        let samples = width * height * if alpha { 4 } else { 3 };
        let frame = Frame::from_sixteen_bit(width, height, alpha, source[..samples].to_vec()).expect("a frame");
        prop_assert_eq!(&there_and_back(PictureFormat::Png, &frame), &frame, "PNG");
        prop_assert_eq!(&there_and_back(PictureFormat::Tiff, &frame), &frame, "TIFF");
    }
}

//! What stands in a file beside its picture: kept, put right, bounded, and never fatal.

use crate::builders::{Exr, Png, Tiff, exif_orientation, flat_jpeg, stored_zlib};
use lookwright::formats::icc::Profile;
use lookwright::formats::image::{
    Exif, Metadata, Notes, Per, PictureFormat, Resolution, Still, Sureness, Text, Warning, WriteOptions, encode,
    encode_still, read_bytes, read_still_bytes,
};
use lookwright::picture::{Frame, SampleDepth};

/// Density survives a change between inches and centimetres, or to whole pixels for each metre, to this part.
const DENSITY_TOLERANCE: f64 = 1e-3;

pub fn frame(has_alpha: bool, depth: SampleDepth) -> Frame {
    let samples = 24 * 20 * if has_alpha { 4 } else { 3 };
    let codes = (0..samples).map(|index| (index * 40_503 % 65_536) as u16).collect();
    Frame::from_sixteen_bit(24, 20, has_alpha, codes).expect("a frame").to_depth(depth).frame
}

/// An Exif file, big-endian, as a camera writes it: a maker, an orientation, a resolution; exposure, sizes, sRGB and a maker's own
/// data in the second directory; a latitude in the third; a thumbnail behind the first.
pub fn camera_exif(orientation: u8) -> Vec<u8> {
    let entry = |tag: u16, kind: u16, count: u32, value: [u8; 4]| {
        [tag.to_be_bytes().as_slice(), &kind.to_be_bytes(), &count.to_be_bytes(), &value].concat()
    };
    let at = |place: u32| place.to_be_bytes();
    let directory = |entries: &[Vec<u8>], next: u32| {
        [&(entries.len() as u16).to_be_bytes(), entries.concat().as_slice(), &next.to_be_bytes()].concat()
    };
    // 8 bytes of header, 90 of the first directory; values behind it.
    let first = directory(
        &[
            entry(271, 2, 9, at(98)),
            entry(274, 3, 1, [0, orientation, 0, 0]),
            entry(282, 5, 1, at(108)),
            entry(283, 5, 1, at(116)),
            entry(296, 3, 1, [0, 2, 0, 0]),
            entry(34_665, 4, 1, at(124)),
            entry(34_853, 4, 1, at(236)),
        ],
        266,
    );
    let exif = directory(
        &[
            entry(33_434, 5, 1, at(202)),
            entry(36_867, 2, 20, at(210)),
            entry(37_500, 7, 6, at(230)),
            entry(40_961, 3, 1, [0, 1, 0, 0]),
            entry(40_962, 3, 1, [0, 20, 0, 0]),
            entry(40_963, 3, 1, [0, 24, 0, 0]),
        ],
        0,
    );
    let gps = directory(&[entry(1, 2, 2, *b"N\0\0\0"), entry(5, 1, 1, [1, 0, 0, 0])], 0);
    let fraction = |above: u32, below: u32| [above.to_be_bytes(), below.to_be_bytes()].concat();
    [
        b"MM\0*\0\0\0\x08".as_slice(),
        &first,
        b"Ferrycam\0\0",
        &fraction(300, 1),
        &fraction(72, 1),
        &exif,
        &fraction(1, 48),
        b"2026:05:01 05:40:00\0",
        b"secret",
        &gps,
        &directory(&[entry(513, 4, 1, at(0))], 0),
    ]
    .concat()
}

pub const PACKET: &str = "<x:xmpmeta xmlns:x='adobe:ns:meta/' tiff:Orientation=\"6\"><!-- ferry – pier --></x:xmpmeta>";
pub const UPRIGHT_PACKET: &str =
    "<x:xmpmeta xmlns:x='adobe:ns:meta/' tiff:Orientation=\"1\"><!-- ferry – pier --></x:xmpmeta>";

fn itxt(keyword: &str, text: &str) -> Vec<u8> {
    [keyword.as_bytes(), &[0, 0, 0], b"en\0\0", text.as_bytes()].concat()
}

/// A PNG of one row of pixels with chunks before its data.
pub fn png_with(chunks: &[(&[u8; 4], &[u8])]) -> Vec<u8> {
    let rows = [0, 10, 20, 30, 40, 50, 60];
    Png { width: 2, height: 1, bit_depth: 8, colour_type: 2, interlace: 0, chunks, rows: &rows }.bytes()
}

pub fn full_png() -> Vec<u8> {
    let packed = [b"Source\0\0".as_slice(), &stored_zlib(b"take 7 \xe9")].concat();
    let resolution = [11_811u32.to_be_bytes().as_slice(), &2_835u32.to_be_bytes(), &[1]].concat();
    let profile = [b"any\0\0".as_slice(), &stored_zlib(&Profile::DISPLAY_P3.bytes())].concat();
    png_with(&[
        (b"iCCP", &profile),
        (b"pHYs", &resolution),
        (b"eXIf", &camera_exif(6)),
        (b"tEXt", b"Title\0Tidewater \xe9"),
        (b"zTXt", &packed),
        (b"iTXt", &itxt("Caption", "the pier – dawn")),
        (b"iTXt", &itxt("XML:com.adobe.xmp", PACKET)),
        (b"tEXt", b"Software\0another program"),
    ])
}

pub fn full_jpeg() -> Vec<u8> {
    let exif = [b"Exif\0\0".as_slice(), &camera_exif(6)].concat();
    let xmp = [b"http://ns.adobe.com/xap/1.0/\0".as_slice(), PACKET.as_bytes()].concat();
    let jfif = b"JFIF\0\x01\x01\x01\x01\x2c\0\x48\0\0";
    let segments: [(u8, &[u8]); 5] =
        [(0xe0, jfif), (0xe1, &exif), (0xe1, &xmp), (0xfe, b"slate 12"), (0xfe, b"caf\xe9")];
    flat_jpeg(3, &[&[60, 128, 128], &[200, 128, 128], &[90, 128, 128]], &segments)
}

pub fn still(bytes: &[u8]) -> Still {
    read_still_bytes("still", bytes).unwrap_or_else(|faults| panic!("{}", faults[0].message))
}

fn rewritten(format: PictureFormat, still: &Still, options: &WriteOptions, description: &str) -> Still {
    let notes = Notes { metadata: still.metadata.clone(), description: Some(description.to_owned()) };
    let encoded = encode_still(format, &still.frame, options, &notes).expect("written");
    assert_eq!(encoded.warnings, [], "{}", format.name());
    self::still(&encoded.bytes)
}

fn exif(metadata: &Metadata) -> &Exif {
    metadata.exif.as_ref().expect("Exif")
}

#[test]
fn a_png_keeps_what_its_file_said() {
    let png = still(&full_png());
    assert_eq!(png.warnings, []);
    let titles: Vec<(&str, &str, bool)> =
        png.metadata.texts.iter().map(|text| (text.keyword.as_str(), text.text.as_str(), text.unicode)).collect();
    let expected = [
        ("Title", "Tidewater é", false),
        ("Source", "take 7 é", false),
        ("Caption", "the pier – dawn", true),
        ("Software", "another program", false),
    ];
    assert_eq!(titles, expected);
    assert_eq!(png.metadata.xmp.as_deref(), Some(PACKET));
    assert_eq!(exif(&png.metadata).orientation(), Some(6));
    // Turned by a quarter: what was across is down now.
    assert_eq!((png.frame.width(), png.frame.height()), (1, 2));
    let density = png.metadata.resolution.expect("a resolution");
    assert_eq!((density.across, density.down, density.per), (28.35, 118.11, Per::Centimetre));

    let again = rewritten(PictureFormat::Png, &png, &WriteOptions::default(), "through the look “Dusk”");
    assert_eq!(again.frame, png.frame);
    assert_eq!(again.metadata.texts[..3], png.metadata.texts[..3]);
    let ours: Vec<(&str, &str)> =
        again.metadata.texts[3..].iter().map(|text| (text.keyword.as_str(), text.text.as_str())).collect();
    let software = concat!("lookwright ", env!("CARGO_PKG_VERSION"));
    assert_eq!(ours, [("Description", "through the look “Dusk”"), ("Software", software)]);
    assert_eq!(again.metadata.xmp.as_deref(), Some(UPRIGHT_PACKET));
    assert_eq!(again.metadata.resolution, png.metadata.resolution);
    assert_eq!(exif(&again.metadata).orientation(), Some(1));
    assert_eq!(exif(&again.metadata).camera_name().as_deref(), Some("Ferrycam"));
    assert!(exif(&again.metadata).has_exposure());
    assert!(again.profile.is_none(), "the profile belonged to the numbers before: {:?}", again.profile);
}

#[test]
fn a_jpeg_keeps_what_its_file_said() {
    let jpeg = still(&full_jpeg());
    assert_eq!(jpeg.warnings, []);
    assert_eq!(jpeg.metadata.comments, ["slate 12", "café"]);
    assert_eq!(jpeg.metadata.xmp.as_deref(), Some(PACKET));
    let turned = Resolution { across: 72.0, down: 300.0, per: Per::Inch };
    assert_eq!(jpeg.metadata.resolution, Some(turned));
    let again = rewritten(PictureFormat::Jpeg, &jpeg, &WriteOptions::default(), "Dusk\n\0second  line\u{7}");
    assert_eq!(again.metadata.comments, ["slate 12", "café", "Dusk second line"]);
    assert_eq!(again.metadata.xmp.as_deref(), Some(UPRIGHT_PACKET));
    assert_eq!(again.metadata.resolution, Some(turned));
    assert_eq!(exif(&again.metadata).orientation(), Some(1));
}

#[test]
fn what_is_kept_crosses_formats() {
    use PictureFormat::{Jpeg, OpenExr, Png, Tiff};
    for source in [full_png(), full_jpeg()] {
        let source = still(&source);
        for format in [Png, Jpeg, Tiff] {
            let options = WriteOptions { depth: Some(SampleDepth::Eight), ..WriteOptions::default() };
            let there = rewritten(format, &source, &options, "the look \"Dusk\" – ½");
            let name = format.name();
            assert_eq!(there.metadata.xmp.as_deref(), Some(UPRIGHT_PACKET), "{name}");
            let exif = exif(&there.metadata);
            assert_eq!(exif.camera_name().as_deref(), Some("Ferrycam"), "{name}");
            assert_eq!((exif.orientation(), exif.colour_space()), (Some(1), Some(65_535)), "{name}");
            let wanted = source.metadata.resolution.expect("a resolution");
            let found = there.metadata.resolution.expect("a resolution");
            // In dots for each inch, whatever it was told in.
            let inches =
                |density: Resolution| if density.per == Per::Inch { density.down } else { density.down * 2.54 };
            let off = (inches(found) / inches(wanted) - 1.0).abs();
            assert!(off <= DENSITY_TOLERANCE, "{name}: {found:?} for {wanted:?}");
            // Once more through the same format: nothing changes any more but what is said of this step.
            let twice = rewritten(format, &there, &options, "again");
            assert_eq!(twice.metadata.xmp, there.metadata.xmp, "{name}");
            assert_eq!(twice.metadata.resolution, there.metadata.resolution, "{name}");
        }
        let exr = rewritten(OpenExr, &source, &WriteOptions::default(), "Dusk");
        assert!(exr.metadata.is_empty());
    }
}

#[test]
fn the_same_input_gives_the_same_bytes_and_no_notes_give_the_plain_file() {
    use image::ImageEncoder;
    let notes = Notes { metadata: still(&full_png()).metadata, description: Some("Dusk".to_owned()) };
    let options = WriteOptions { profile: Some(Profile::DISPLAY_P3), ..WriteOptions::default() };
    for format in PictureFormat::ALL {
        for depth in [SampleDepth::Eight, SampleDepth::Sixteen, SampleDepth::Float] {
            let frame = frame(false, depth);
            let bytes = encode_still(*format, &frame, &options, &notes).expect("written");
            assert_eq!(bytes, encode_still(*format, &frame, &options, &notes).expect("written"), "{}", format.name());
        }
    }
    let floats = frame(false, SampleDepth::Float);
    let samples: Vec<u8> = crate::floats(&floats).iter().flat_map(|value| value.to_ne_bytes()).collect();
    let mut tiff = std::io::Cursor::new(Vec::new());
    let mut exr = std::io::Cursor::new(Vec::new());
    let kind = image::ExtendedColorType::Rgb32F;
    image::codecs::tiff::TiffEncoder::new(&mut tiff).write_image(&samples, 24, 20, kind).expect("written");
    image::codecs::openexr::OpenExrEncoder::new(&mut exr).write_image(&samples, 24, 20, kind).expect("written");
    let plain = WriteOptions::default();
    assert_eq!(encode(PictureFormat::Tiff, &floats, &plain).expect("written"), tiff.into_inner());
    assert_eq!(encode(PictureFormat::OpenExr, &floats, &plain).expect("written"), exr.into_inner());
    let eight = frame(false, SampleDepth::Eight);
    let samples: Vec<u8> = crate::codes(&eight).iter().map(|code| (code / 257) as u8).collect();
    let mut jpeg = Vec::new();
    let encoder = image::codecs::jpeg::JpegEncoder::new_with_quality(&mut jpeg, 92);
    encoder.write_image(&samples, 24, 20, image::ExtendedColorType::Rgb8).expect("written");
    assert_eq!(encode(PictureFormat::Jpeg, &eight, &plain).expect("written"), jpeg);
}

#[test]
fn a_profile_changes_no_sample_and_says_what_it_is() {
    use PictureFormat::{Jpeg, OpenExr, Png, Tiff};
    for profile in [Profile::SRGB, Profile::DISPLAY_P3, Profile::BT709_GAMMA24, Profile::P3_D65_GAMMA26] {
        let with = WriteOptions { profile: Some(profile), ..WriteOptions::default() };
        for alpha in [false, true] {
            for depth in [SampleDepth::Eight, SampleDepth::Sixteen] {
                let frame = frame(alpha, depth);
                for format in [Png, Tiff] {
                    let back = still(&encode(format, &frame, &with).expect("written"));
                    assert_eq!(back.frame, frame, "{} alpha {alpha}", format.name());
                    let declared = back.profile.expect("a profile");
                    assert_eq!(declared.name, profile.name());
                    assert_eq!(declared.encoding, Some(profile.encoding()));
                }
            }
        }
        let opaque = frame(false, SampleDepth::Eight);
        let jpeg = still(&encode(Jpeg, &opaque, &with).expect("written"));
        assert_eq!(jpeg.profile.expect("a profile").name, profile.name());
        let plain = read_bytes("plain", &encode(Jpeg, &opaque, &WriteOptions::default()).expect("written"));
        assert_eq!(jpeg.frame, plain.expect("read"));
        let exr = still(&encode(OpenExr, &opaque, &with).expect("written")).profile.expect("chromaticities");
        let gamut = exr.gamut.expect("a known gamut");
        assert_eq!((gamut.red, gamut.white), (profile.gamut().red, profile.gamut().white));
    }
}

fn suspicion(bytes: &[u8]) -> Option<(Sureness, String)> {
    still(bytes).looks_finished().map(|suspicion| (suspicion.sureness, suspicion.reason))
}

#[test]
fn what_looks_finished_is_told_with_its_degree() {
    let (sureness, reason) = suspicion(&full_jpeg()).expect("a camera's JPEG");
    assert!(sureness == Sureness::Likely && reason.contains("Ferrycam"), "{reason}");
    let (sureness, reason) = suspicion(&full_png()).expect("a Display P3 picture");
    assert!(sureness == Sureness::Likely && reason.ends_with("declares itself as Display P3"), "{reason}");
    let (sureness, reason) = suspicion(&png_with(&[(b"cICP", &[9, 16, 0, 1])])).expect("a PQ picture");
    assert!(sureness == Sureness::Likely && reason.contains("BT.2020, PQ"), "{reason}");
    let (sureness, reason) = suspicion(&png_with(&[(b"sRGB", &[0])])).expect("an sRGB picture");
    assert!(sureness == Sureness::Possible && reason.ends_with("sRGB"), "{reason}");
    let gamma = 45_455u32.to_be_bytes();
    let (sureness, reason) = suspicion(&png_with(&[(b"gAMA", &gamma)])).expect("a gamma");
    assert!(sureness == Sureness::Possible && reason.contains("gamma 0.455"), "{reason}");
    let linear = 100_000u32.to_be_bytes();
    assert_eq!(suspicion(&png_with(&[(b"gAMA", &linear)])), None);
    assert_eq!(suspicion(&png_with(&[])), None);
    let orientation = exif_orientation(1);
    assert_eq!(suspicion(&flat_jpeg(1, &[&[9]], &[(0xe1, &orientation)])), None);
    // The stronger declaration counts, in whatever order they stand.
    let both = still(&png_with(&[(b"sRGB", &[0]), (b"cICP", &[12, 13, 0, 1]), (b"gAMA", &gamma)]));
    assert_eq!(both.profile.expect("a declaration").name, "Display P3, sRGB");
}

#[test]
fn the_first_of_several_pictures_counts_and_that_is_said() {
    let animated = [3u32.to_be_bytes(), [0; 4]].concat();
    assert_eq!(still(&png_with(&[(b"acTL", &animated)])).warnings, [Warning::SeveralPictures(Some(3))]);
    let one = [1u32.to_be_bytes(), [0; 4]].concat();
    assert_eq!(still(&png_with(&[(b"acTL", &one)])).warnings, []);
    let tiff = Tiff {
        width: 2,
        height: 1,
        samples: 3,
        bits: 8,
        photometric: 2,
        orientation: 1,
        extra_samples: 0,
        data: &[1, 2, 3, 4, 5, 6],
    };
    let mut bytes = tiff.bytes();
    assert_eq!(still(&bytes).warnings, []);
    let directory = bytes[8..8 + 2 + 12 * 10 + 4].to_vec();
    bytes[8 + 2 + 12 * 10] = bytes.len() as u8;
    bytes.extend(directory);
    let pages = still(&bytes);
    assert_eq!(crate::codes(&pages.frame)[0], 257);
    assert_eq!(pages.warnings, [Warning::SeveralPictures(None)]);
    assert_eq!(pages.warnings[0].to_string(), "it holds several pictures; the first counts");
    let exr =
        Exr { width: 1, height: 1, channels: &["B", "G", "R"], compression: 0, flags: 0, tile: None, rows: &[0; 3] };
    assert_eq!(still(&exr.bytes()).warnings, []);
}

#[test]
fn metadata_that_a_jpeg_cannot_hold_is_named() {
    let text = Text { keyword: "Title".to_owned(), text: "x".to_owned(), ..Text::default() };
    let packet = format!("<x>{}</x>", "a".repeat(70_000));
    let metadata = Metadata { xmp: Some(packet.clone()), texts: vec![text], ..Metadata::default() };
    let notes = Notes { metadata, description: Some("é".repeat(50_000)) };
    let frame = frame(false, SampleDepth::Eight);
    let jpeg = encode_still(PictureFormat::Jpeg, &frame, &WriteOptions::default(), &notes).expect("written");
    assert_eq!(jpeg.warnings.len(), 1);
    assert_eq!(jpeg.warnings[0].to_string(), "XMP is left out: it is too large for a JPEG");
    assert_eq!(still(&jpeg.bytes).metadata.comments, ["Title: x".to_owned(), "é".repeat(2000)]);
    let png = encode_still(PictureFormat::Png, &frame, &WriteOptions::default(), &notes).expect("written");
    assert_eq!(still(&png.bytes).metadata.xmp, Some(packet));
}

/// How often words stand in a file, as they are.
fn count(bytes: &[u8], words: &str) -> usize {
    bytes.windows(words.len()).filter(|window| *window == words.as_bytes()).count()
}

#[test]
fn texts_of_a_png_stand_in_other_formats_behind_their_keywords() {
    let png = still(&full_png());
    let options = WriteOptions::default();
    let there = rewritten(PictureFormat::Jpeg, &png, &options, "Dusk");
    let comments = ["Title: Tidewater é", "Source: take 7 é", "Caption: the pier – dawn", "Dusk"];
    assert_eq!(there.metadata.comments, comments);
    let notes = |source: &Still| Notes { metadata: source.metadata.clone(), description: Some("Dusk".to_owned()) };
    let ascii = "Title: Tidewater e\nSource: take 7 e\nCaption: the pier - dawn\nDusk";
    for format in [PictureFormat::Tiff, PictureFormat::OpenExr] {
        let bytes = encode_still(format, &png.frame, &options, &notes(&png)).expect("written").bytes;
        assert_eq!(count(&bytes, ascii), 1, "{}", format.name());
        assert_eq!(count(&bytes, "another program"), 0, "{} was written by this one", format.name());
        // A JPEG's comments too.
        let bytes = encode_still(format, &png.frame, &options, &notes(&still(&full_jpeg()))).expect("written").bytes;
        assert_eq!(count(&bytes, "slate 12\ncafe\nDusk"), 1, "{}", format.name());
    }
    // Without words of this program another one's name is a text as any.
    let kept = Notes { metadata: png.metadata.clone(), description: None };
    let bytes = encode_still(PictureFormat::Tiff, &png.frame, &options, &kept).expect("written").bytes;
    assert_eq!(count(&bytes, "\nSoftware: another program"), 1);
}

#[test]
fn what_was_done_is_said_once_however_often_it_is_done() {
    for format in [PictureFormat::Png, PictureFormat::Jpeg, PictureFormat::Tiff] {
        let mut again = still(&full_png());
        for description in ["through “Dusk”", "through “Noon”", "through “Dusk”", "through “Dusk”"] {
            again = rewritten(format, &again, &WriteOptions::default(), description);
        }
        let notes = Notes { metadata: again.metadata.clone(), description: Some("through “Dusk”".to_owned()) };
        let bytes = encode_still(format, &again.frame, &WriteOptions::default(), &notes).expect("written").bytes;
        let words =
            |name: &str| if format == PictureFormat::Tiff { format!("\"{name}\"") } else { format!("“{name}”") };
        for name in ["Dusk", "Noon"] {
            assert_eq!(count(&bytes, &words(name)), 1, "{} {name}", format.name());
        }
        assert_eq!(count(&bytes, "the pier"), 1, "{}", format.name());
    }
    // A part of a line, or a part of a word, is not the line.
    let first = rewritten(PictureFormat::Tiff, &still(&full_png()), &WriteOptions::default(), "Dusk and dawn");
    let notes = Notes { metadata: first.metadata, description: Some("Dusk".to_owned()) };
    let bytes =
        encode_still(PictureFormat::Tiff, &first.frame, &WriteOptions::default(), &notes).expect("written").bytes;
    assert_eq!(count(&bytes, "Dusk and dawn\nDusk\0"), 1);
}

#[test]
fn a_text_that_a_jpeg_can_not_hold_is_cut_and_that_is_said() {
    let long = Text { keyword: "Log".to_owned(), text: "é".repeat(50_000), ..Text::default() };
    let notes = Notes { metadata: Metadata { texts: vec![long], ..Metadata::default() }, description: None };
    let eight = frame(false, SampleDepth::Eight);
    let jpeg = encode_still(PictureFormat::Jpeg, &eight, &WriteOptions::default(), &notes).expect("written");
    assert_eq!(jpeg.warnings.len(), 1);
    assert!(jpeg.warnings[0].to_string().contains("too long for a JPEG"), "{}", jpeg.warnings[0]);
    assert_eq!(still(&jpeg.bytes).metadata.comments[0].len(), 65_533);
}

//! Files for readers that know nothing of this project: `tests/python/profiles.py` opens what is written here.

use crate::notes::{frame, full_jpeg, full_png, still};
use lookwright::formats::icc::{Profile, describe};
use lookwright::formats::image::{Notes, WriteOptions, read_still, write_still};
use lookwright::picture::SampleDepth;
use std::path::Path;

/// Names that the Python side knows.
const PROFILES: [(&str, Profile); 5] = [
    ("srgb", Profile::SRGB),
    ("display-p3", Profile::DISPLAY_P3),
    ("bt709-gamma24", Profile::BT709_GAMMA24),
    ("p3-d65-gamma26", Profile::P3_D65_GAMMA26),
    ("p3-d65-gamma22", Profile::P3_D65_GAMMA22),
];

const DESCRIPTION: &str = "through the look \"Dusk\"; lens diffusion 1/4 simulated: on the lens, not in the LUT";

#[test]
fn files_for_other_readers() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("other-readers");
    std::fs::create_dir_all(&folder).expect("a folder");
    for (name, profile) in PROFILES {
        let bytes = profile.bytes();
        assert_eq!(describe(&bytes).encoding, Some(profile.encoding()), "{name}");
        std::fs::write(folder.join(format!("{name}.icc")), bytes).expect("written");
    }
    let options = WriteOptions { profile: Some(Profile::DISPLAY_P3), ..WriteOptions::default() };
    for (source, bytes) in [("from-jpeg", full_jpeg()), ("from-png", full_png())] {
        let notes = Notes { metadata: still(&bytes).metadata, description: Some(DESCRIPTION.to_owned()) };
        for (name, alpha, depth) in [
            ("8.png", false, SampleDepth::Eight),
            ("16-alpha.png", true, SampleDepth::Sixteen),
            ("8-alpha.png", true, SampleDepth::Eight),
            ("8.jpg", false, SampleDepth::Eight),
            ("8.tif", false, SampleDepth::Eight),
            ("8-alpha.tif", true, SampleDepth::Eight),
            ("16.tif", false, SampleDepth::Sixteen),
            ("float.tif", false, SampleDepth::Float),
            ("float.exr", false, SampleDepth::Float),
        ] {
            let path = folder.join(format!("{source}-{name}"));
            let picture = frame(alpha, depth);
            let warnings = write_still(&path, &picture, &options, &notes).expect("written");
            assert_eq!(warnings, [], "{name}");
            let back = read_still(&path).expect("read");
            assert_eq!(back.warnings, [], "{name}");
            if !name.ends_with("jpg") {
                assert_eq!(back.frame, picture, "{name}");
            }
        }
    }
}

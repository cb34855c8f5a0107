//! Longer hunts through the readers of cube files and pictures. Their own tests say in detail what each must read.

use crate::damage::{damaged, damages};
use crate::fuzzing::fuzz;
use lookwright::formats::cube::{self, Header, Tables};
use lookwright::formats::image::{PictureFormat, WriteOptions, encode, read_bytes};
use lookwright::picture::Frame;
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::select;
use std::fs;
use std::path::Path;

fn cube_files() -> Vec<Vec<u8>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/cube");
    let mut paths: Vec<_> =
        fs::read_dir(folder).expect("in the repository").map(|entry| entry.expect("an entry").path()).collect();
    paths.sort();
    paths
        .iter()
        .filter(|path| path.extension().is_some_and(|end| end == "cube"))
        .map(|path| fs::read(path).expect("readable"))
        .collect()
}

fn picture_files() -> Vec<Vec<u8>> {
    let codes: Vec<u16> = (0..24 * 20 * 3).map(|index| (index * 40_503 % 65_536) as u16).collect();
    let frame = Frame::from_sixteen_bit(24, 20, false, codes).expect("a frame");
    PictureFormat::ALL
        .iter()
        .map(|format| encode(*format, &frame, &WriteOptions::default()).expect("written"))
        .collect()
}

fn check_cube(bytes: &[u8]) -> Result<(), TestCaseError> {
    let file = match cube::parse("fuzzed.cube", bytes) {
        Ok(file) => file,
        Err(faults) => {
            prop_assert!(faults.iter().any(|fault| fault.is_error()), "refused without an error");
            return Ok(());
        }
    };
    if let Tables::Three(table) = &file.tables {
        prop_assert!(table.nodes().iter().flatten().all(|value| value.is_finite()), "a number that is none");
        let mut written = Vec::new();
        cube::write(table, &Header::default(), &mut written);
        prop_assert!(cube::parse("written.cube", &written).is_ok(), "what was written is refused");
    }
    Ok(())
}

fn check_picture(bytes: &[u8]) -> Result<(), TestCaseError> {
    match read_bytes("fuzzed", bytes) {
        Ok(frame) => prop_assert!(frame.width() > 0 && frame.height() > 0, "an empty frame"),
        Err(faults) => prop_assert!(faults.iter().any(|fault| fault.is_error()), "refused without an error"),
    }
    Ok(())
}

#[test]
fn damaged_cube_files_are_read_or_refused() {
    let files = cube_files();
    assert!(files.len() > 20, "{} cube files", files.len());
    fuzz("damaged cube files", 1000, &damages(), |damage| check_cube(&damaged(&files, &damage)));
}

#[test]
fn any_words_of_the_cube_format_are_read_or_refused() {
    let words = vec![
        "LUT_3D_SIZE",
        "LUT_1D_SIZE",
        "DOMAIN_MIN",
        "DOMAIN_MAX",
        "LUT_3D_INPUT_RANGE",
        "TITLE",
        "\"",
        "\n",
        "\n",
        "\r\n",
        " ",
        "\t",
        "0",
        "1",
        "2",
        "0.5 0.5 0.5\n",
        "1e5",
        "-1",
        "nan",
        "inf",
        "1e999",
        "4294967296",
        "#",
        "0 0 0\n",
        "1 1 1\n",
        "é",
    ];
    let text = vec(select(words), 0..80).prop_map(|words| words.join(" "));
    fuzz("words of the cube format", 1000, &text, |text| check_cube(text.as_bytes()));
}

#[test]
fn damaged_pictures_are_read_or_refused() {
    let files = picture_files();
    fuzz("damaged pictures", 300, &damages(), |damage| check_picture(&damaged(&files, &damage)));
}

//! Longer hunts through the reader of packages. Its own tests say in detail what it must refuse.

use crate::damage::{damaged, damages};
use crate::fuzzing::fuzz;
use lookwright::formats::package::{MAX_PROBLEMS, Making, Package, PackageWriter, parse_checksums};
use proptest::prelude::*;
use std::fs;

/// Archives as this program and as others write them: several entries, one, none.
fn archives() -> Vec<Vec<u8>> {
    let folder = tempfile::tempdir().expect("a folder");
    let contents: [&[(&str, usize)]; 3] =
        [&[("README.txt", 40), ("luts/a.cube", 3000), ("luts/b", 0), ("D\u{ed}a/c", 500)], &[("a", 9)], &[]];
    contents
        .iter()
        .enumerate()
        .map(|(index, files)| {
            let path = folder.path().join(index.to_string());
            let mut writer = PackageWriter::zip(&path).expect("begun");
            let entries = files.iter().map(|(name, length)| {
                let bytes = (0..*length).map(|index| b"0.123456789 \n"[index * index % 13]).collect();
                ((*name).to_owned(), Box::new(move || Ok(bytes)) as Making<'static>)
            });
            writer.add_many(entries.collect()).expect("added");
            writer.add_checksums().expect("added");
            writer.finish().expect("written");
            fs::read(path).expect("there")
        })
        .collect()
}

/// Reads everything: no more than is claimed, and nothing whose checksum differs.
fn check(bytes: Vec<u8>) -> Result<(), TestCaseError> {
    let package = match Package::from_zip("fuzzed", bytes) {
        Ok(package) => package,
        Err(problems) => {
            prop_assert!(!problems.is_empty() && problems.len() <= MAX_PROBLEMS, "{} problems", problems.len());
            prop_assert!(problems.iter().all(|problem| problem.is_error()), "refused without an error");
            return Ok(());
        }
    };
    for entry in package.entries() {
        prop_assert!(!entry.path.split('/').any(|name| matches!(name, "" | "." | "..")), "{} was accepted", entry.path);
        if let Ok(read) = package.read(&entry.path) {
            prop_assert_eq!(read.len() as u64, entry.size);
        }
    }
    // Either answer will do, without a crash.
    let _ = package.check_sums();
    Ok(())
}

#[test]
fn damaged_packages_are_read_or_refused() {
    let files = archives();
    for file in &files {
        let package = Package::from_zip("whole", file.clone()).expect("sound");
        package.check_sums().expect("as packed");
    }
    fuzz("damaged packages", 2000, &damages(), |damage| check(damaged(&files, &damage)));
}

#[test]
fn damaged_checksums_are_read_or_refused() {
    let list = format!("{0}  a\n{0}  luts/b c\n{0} *D\u{ed}a\n", "0123456789abcdef".repeat(4)).into_bytes();
    fuzz("damaged checksums", 1000, &damages(), |damage| {
        match parse_checksums(&damaged(std::slice::from_ref(&list), &damage)) {
            Ok(sums) => prop_assert!(sums.iter().all(|sum| !sum.path.is_empty())),
            Err(problems) => prop_assert!(!problems.is_empty()),
        }
        Ok(())
    });
}

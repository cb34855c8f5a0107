//! What was packed comes back, the same on every run and with every number of threads.

use crate::{files, fill, making, told};
use lookwright::diagnostics::{Diagnostic, codes};
use lookwright::formats::package::{CHECKSUMS, Making, MediaHashes, Package, PackageWriter};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::atomic::{AtomicUsize, Ordering};

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .expect("a folder")
        .map(|entry| entry.expect("an entry").file_name().into_string().expect("UTF-8"))
        .collect();
    names.sort();
    names
}

#[test]
fn files_come_back_from_archive_and_folder() {
    let folder = tempfile::tempdir().expect("a folder");
    let zip = folder.path().join("tidewater.zip");
    let plain = folder.path().join("tidewater");
    let packed = fill(PackageWriter::zip(&zip).expect("begun")).finish().expect("written");
    let again = fill(PackageWriter::folder(&plain).expect("begun")).finish().expect("written");
    assert_eq!(packed, again);
    assert_eq!(names(folder.path()), ["tidewater", "tidewater.zip"], "something was left behind");
    for path in [&zip, &plain] {
        let package = Package::open(path).expect("sound");
        assert_eq!(package.entries().len(), files().len() + 1);
        for (path, bytes) in files() {
            assert_eq!(package.read(&path).expect("there"), bytes, "{path}");
            assert_eq!(package.entry(&path).map(|entry| entry.size), Some(bytes.len() as u64));
        }
        package.check_sums().expect("as packed");
        let target = folder.path().join("out");
        package.extract(&target).expect("written");
        let out = Package::open(&target).expect("sound");
        out.check_sums().expect("as packed");
        assert_eq!(out.entries().len(), package.entries().len());
        fs::remove_dir_all(&target).expect("removed");
    }
}

#[test]
fn the_same_files_give_the_same_bytes_with_one_thread_and_with_many() {
    let folder = tempfile::tempdir().expect("a folder");
    let many = || {
        (0..60).map(|index| (format!("luts/{index}.cube"), format!("{index} ").repeat(3000 - 40 * index).into_bytes()))
    };
    let write = |name: &str, threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        let path = folder.path().join(name);
        pool.install(|| {
            let mut writer = fill(PackageWriter::zip(&path).expect("begun"));
            writer.add_many(making(many().collect())).expect("added");
            writer.finish().expect("written")
        });
        fs::read(path).expect("written")
    };
    let first = write("a.zip", 1);
    assert!(first == write("b.zip", 1), "a second run differs");
    assert!(first == write("c.zip", 2), "two threads differ");
    assert!(first == write("d.zip", 5), "five threads differ");
}

#[test]
fn entries_keep_the_order_given_and_carry_no_date_and_plain_rights() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.zip");
    let given = ["z", "a", "m/b", "m/a"];
    let mut writer = PackageWriter::zip(&path).expect("begun");
    writer.add_many(making(given.map(|name| (name.to_owned(), name.into())).into())).expect("added");
    writer.finish().expect("written");
    let mut archive = zip::ZipArchive::new(fs::File::open(&path).expect("there")).expect("an archive");
    for (index, name) in given.iter().enumerate() {
        let file = archive.by_index(index).expect("an entry");
        assert_eq!(file.name().expect("a name"), *name);
        assert_eq!(file.unix_mode(), Some(0o100_644));
        assert_eq!(
            file.last_modified().map(|time| (time.year(), time.month(), time.day(), time.hour())),
            Some((1980, 1, 1, 0))
        );
        assert_eq!(file.extra_data().unwrap_or_default(), Vec::<u8>::new());
    }
}

#[test]
fn a_file_that_shrinks_too_well_is_stored_and_accepted() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("black.zip");
    let mut writer = PackageWriter::zip(&path).expect("begun");
    writer.add("black.cube", vec![b'0'; 3 << 20]).expect("added");
    writer.finish().expect("written");
    let package = Package::open(&path).expect("sound");
    assert_eq!(package.entries()[0].packed, 3 << 20);
    assert!(package.read("black.cube").expect("there").iter().all(|byte| *byte == b'0'));
}

/// Where tests/python/packages.py and tests/python/mhl.py want the packages that they hold against other programs.
const WANTED: &str = "LOOKWRIGHT_PACKAGES_IN";

#[test]
fn other_programs_accept_the_archive_and_the_checksums() {
    let temporary = tempfile::tempdir().expect("a folder");
    let folder = std::env::var_os(WANTED).map_or(temporary.path().to_owned(), PathBuf::from);
    let about = MediaHashes {
        name: "tidewater".to_owned(),
        made: "2026-11-30T08:00:00Z".to_owned(),
        host: String::new(),
        author: "Kai & Ida".to_owned(),
    };
    let (zip, plain) = (folder.join("tidewater.zip"), folder.join("tidewater"));
    for begun in [PackageWriter::zip(&zip), PackageWriter::folder(&plain)] {
        let mut writer = begun.expect("begun");
        writer.add_many(making(files())).expect("added");
        writer.add_media_hashes(&about).expect("added");
        writer.add_checksums().expect("added");
        writer.finish().expect("written");
    }
    // Where one of these is not installed, the scripts' checks are the only ones.
    if let Ok(output) = Command::new("unzip").arg("-t").arg(&zip).output() {
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stdout));
    }
    if let Ok(output) = Command::new("sha256sum").args(["--strict", "-c", CHECKSUMS]).current_dir(&plain).output() {
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    }
}

#[test]
fn a_package_appears_whole_or_not_at_all() {
    let folder = tempfile::tempdir().expect("a folder");
    for is_zip in [true, false] {
        let path = folder.path().join("a");
        let begin = || if is_zip { PackageWriter::zip(&path) } else { PackageWriter::folder(&path) };
        drop(fill(begin().expect("begun")));
        assert!(names(folder.path()).is_empty(), "a dropped package left something behind");
        let mut writer = begin().expect("begun");
        let started = AtomicUsize::new(0);
        let entries = (0..50).map(|index| {
            let started = &started;
            let make: Making<'_> = Box::new(move || {
                started.fetch_add(1, Ordering::Relaxed);
                match index {
                    7 | 20 => {
                        Err(vec![Diagnostic::error(&codes::STEP_IMPOSSIBLE, format!("file {index} can't be made"))])
                    }
                    _ => Ok(vec![0; 100]),
                }
            });
            (format!("{index}"), make)
        });
        let fault = writer.add_many(entries.collect()).expect_err("file 7 can't be made");
        assert_eq!(told(&fault), ["LW0116 file 7 can't be made"]);
        assert!(started.load(Ordering::Relaxed) < 50, "all files were made though one had failed");
        let fault = writer.finish().expect_err("a broken package was finished");
        assert_eq!(fault[0].code.id, "LW0402");
        assert!(names(folder.path()).is_empty(), "a broken package left something behind");
    }
}

#[test]
fn what_is_there_already_is_kept() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("a.zip");
    fs::write(&file, b"kept").expect("written");
    let full = folder.path().join("full");
    fs::create_dir(&full).expect("made");
    fs::write(full.join("kept"), b"kept").expect("written");
    for begun in [
        PackageWriter::zip(&file),
        PackageWriter::zip(&full),
        PackageWriter::folder(&file),
        PackageWriter::folder(&full),
    ] {
        assert_eq!(begun.expect_err("begun over what is there")[0].code.id, "LW0403");
    }
    // Something takes the name while the package is written.
    let late = folder.path().join("late");
    let zip = fill(PackageWriter::zip(&late).expect("begun"));
    let plain = fill(PackageWriter::folder(&late).expect("begun"));
    fs::create_dir(&late).expect("made");
    fs::write(late.join("kept"), b"kept").expect("written");
    assert!(zip.finish().is_err() && plain.finish().is_err(), "written over what came meanwhile");
    assert_eq!(fs::read(late.join("kept")).expect("there"), b"kept");
    assert_eq!(names(folder.path()), ["a.zip", "full", "late"]);
    // An empty folder is no loss.
    let empty = folder.path().join("empty");
    fs::create_dir(&empty).expect("made");
    fill(PackageWriter::folder(&empty).expect("begun")).finish().expect("written");
    Package::open(&empty).and_then(|package| package.check_sums()).expect("as packed");
    assert_eq!(PackageWriter::zip(&folder.path().join("missing/a.zip")).expect_err("no folder")[0].code.id, "LW0402");
}

#[test]
fn impossible_paths_are_not_written() {
    let folder = tempfile::tempdir().expect("a folder");
    let outside = folder.path().join("in");
    fs::create_dir(&outside).expect("made");
    for path in ["../evil", "/evil", "a\\b", "a\nb", "C:evil", "con.cube", "a/../../evil", "", "a//b"] {
        for is_zip in [true, false] {
            let place = outside.join("p");
            let begun = if is_zip { PackageWriter::zip(&place) } else { PackageWriter::folder(&place) };
            let mut writer = begun.expect("begun");
            assert_eq!(writer.add(path, vec![1]).expect_err(path)[0].code.id, "LW0803", "{path:?}");
        }
    }
    let mut writer = PackageWriter::zip(&outside.join("p")).expect("begun");
    writer.add("luts/a", vec![1]).expect("added");
    assert_eq!(writer.add("LUTs/a", vec![1]).expect_err("a clash")[0].code.id, "LW0804");
    assert_eq!(names(folder.path()), ["in"]);
}

#[cfg(unix)]
#[test]
fn packages_have_the_rights_of_any_new_file() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().expect("a folder");
    let mode = |path: &Path| fs::metadata(path).expect("there").permissions().mode() & 0o777;
    let (file, plain) = (folder.path().join("file"), folder.path().join("plain"));
    fs::write(&file, b"").expect("written");
    fs::create_dir(&plain).expect("made");
    let (zip, package) = (folder.path().join("zip"), folder.path().join("package"));
    fill(PackageWriter::zip(&zip).expect("begun")).finish().expect("written");
    fill(PackageWriter::folder(&package).expect("begun")).finish().expect("written");
    assert_eq!((mode(&zip), mode(&package)), (mode(&file), mode(&plain)));
    assert_eq!(mode(&package.join("README.txt")), mode(&file));
}

//! Packages that are folders: links and special files are refused, not followed.

use crate::{fill, told};
use lookwright::formats::package::{Package, PackageWriter};
use std::fs;
use std::path::Path;

#[test]
fn what_is_no_package_is_named() {
    let folder = tempfile::tempdir().expect("a folder");
    let code = |path: &Path| Package::open(path).expect_err("no package")[0].code.id;
    assert_eq!(code(&folder.path().join("missing")), "LW0401");
    let text = folder.path().join("renamed.zip");
    fs::write(&text, b"lookwright = 1\n").expect("written");
    assert_eq!(code(&text), "LW0801");
    fs::write(&text, b"").expect("written");
    assert_eq!(code(&text), "LW0801");
    if Path::new("/dev/null").exists() {
        assert_eq!(code(Path::new("/dev/null")), "LW0801");
    }
    assert!(Package::open(&folder.path().join(".")).expect("a folder").entries().len() == 1);
}

#[test]
fn a_file_that_changes_after_it_was_listed_is_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a");
    fill(PackageWriter::folder(&path).expect("begun")).finish().expect("written");
    let package = Package::open(&path).expect("sound");
    fs::write(path.join("README.txt"), b"longer than the text that it had when the package was opened")
        .expect("written");
    assert_eq!(package.read("README.txt").expect_err("longer")[0].code.id, "LW0802");
    fs::write(path.join("README.txt"), b"short").expect("written");
    assert_eq!(package.read("README.txt").expect_err("shorter")[0].code.id, "LW0802");
    fs::remove_file(path.join("README.txt")).expect("removed");
    assert_eq!(package.read("README.txt").expect_err("gone")[0].code.id, "LW0401");
}

#[cfg(unix)]
#[test]
fn links_and_special_files_are_refused() {
    use std::os::unix::fs::symlink;
    use std::os::unix::net::UnixListener;
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a");
    fill(PackageWriter::folder(&path).expect("begun")).finish().expect("written");
    symlink("/etc/passwd", path.join("luts/file")).expect("made");
    // Following this one would never end.
    symlink("..", path.join("luts/loop")).expect("made");
    symlink("missing", path.join("nowhere")).expect("made");
    let _socket = UnixListener::bind(path.join("socket")).expect("made");
    let mut told = told(&Package::open(&path).expect_err("links"));
    told.sort();
    let place = path.display();
    assert_eq!(
        told,
        ["luts/file", "luts/loop", "nowhere", "socket"]
            .map(|name| { format!("LW0805 {place}: “{name}” is a link or a device, not a file") })
    );
}

#[cfg(unix)]
#[test]
fn a_file_that_became_a_link_or_a_pipe_is_not_opened() {
    use std::os::unix::fs::symlink;
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a");
    fill(PackageWriter::folder(&path).expect("begun")).finish().expect("written");
    let package = Package::open(&path).expect("sound");
    fs::remove_file(path.join("README.txt")).expect("removed");
    symlink("/etc/passwd", path.join("README.txt")).expect("made");
    assert_eq!(package.read("README.txt").expect_err("a link")[0].code.id, "LW0802");
    fs::remove_file(path.join("README.txt")).expect("removed");
    let made = std::process::Command::new("mkfifo").arg(path.join("README.txt")).status().expect("mkfifo, of POSIX");
    assert!(made.success());
    // Opening it would wait for a writer for ever.
    assert_eq!(package.read("README.txt").expect_err("a pipe")[0].code.id, "LW0802");
}

#[cfg(unix)]
#[test]
fn names_that_other_systems_can_not_have_are_refused() {
    use std::ffi::OsStr;
    use std::os::unix::ffi::OsStrExt;
    for (name, code) in [
        (&b"a:b"[..], "LW0803"),
        (b"a\\b", "LW0803"),
        (b"a\nb", "LW0803"),
        (b"aux.cube", "LW0803"),
        (b"a.", "LW0803"),
        (b"a\xff", "LW0803"),
        (b"readme.TXT", "LW0804"),
    ] {
        let folder = tempfile::tempdir().expect("a folder");
        fs::write(folder.path().join("README.txt"), b"").expect("written");
        if fs::write(folder.path().join(OsStr::from_bytes(name)), b"").is_ok() {
            let problems = Package::open(folder.path()).expect_err("a bad name");
            assert_eq!((problems.len(), problems[0].code.id), (1, code), "{}", name.escape_ascii());
        }
    }
}

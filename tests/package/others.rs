//! Archives that other programs made, as they are when somebody unpacks a package and packs it again.
//!
//! `tests/package/data`: the same three files, packed by Info-ZIP's zip 3.0 (and by it into a pipe), by Python's zipfile (and by
//! it into a stream), and by git archive, which writes a comment.

use crate::told;
use lookwright::formats::package::Package;
use std::path::Path;

#[test]
fn archives_of_other_programs_are_read() {
    for name in ["zip", "zip-streamed", "zipfile", "zipfile-streamed", "git"] {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("tests/package/data/{name}.zip"));
        let package = Package::open(&path).unwrap_or_else(|problems| panic!("{:?}", told(&problems)));
        let paths: Vec<&str> = package.entries().iter().map(|entry| entry.path.as_str()).collect();
        assert_eq!(paths, ["README.txt", "luts/dusk.cube", "reports/D\u{ed}a 2.html"], "{name}");
        assert_eq!(package.read("README.txt").expect("there"), b"Tidewater\n", "{name}");
        let cube: String = (1..=60).map(|index| format!("0.5 0.5 0.{index}\n")).collect();
        assert_eq!(package.read("luts/dusk.cube").expect("there"), cube.as_bytes(), "{name}");
        assert_eq!(package.read("reports/D\u{ed}a 2.html").expect("there"), b"<p>\n", "{name}");
    }
}

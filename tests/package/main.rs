//! Packages: written whole and always the same, read without trust.

mod builder;
mod folders;
mod hostile;
mod others;
mod round_trips;
mod sums;
mod words;

use lookwright::diagnostics::Diagnostic;
use lookwright::formats::package::{Making, PackageWriter};

/// Files of a small package: text, an empty file, noise, a name with accents, a folder in a folder.
pub fn files() -> Vec<(String, Vec<u8>)> {
    let cube: String = (0..4000)
        .map(|row| format!("{:.6} {:.6} 0.250000\n", f64::from(row) / 4e3, f64::from(row % 17) / 16.0))
        .collect();
    let noise: Vec<u8> = (0..5000_u32).map(|index| (index.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
    [
        ("README.txt", b"Tidewater, hand-off of day 2.\n".to_vec()),
        ("luts/deck/dusk-33.cube", cube.into_bytes()),
        ("luts/deck/empty.cube", Vec::new()),
        ("reports/D\u{ed}a 2 & more.html", b"<p>dusk</p>\n".to_vec()),
        ("stills/noise.png", noise),
    ]
    .map(|(path, bytes)| (path.to_owned(), bytes))
    .into()
}

/// The files as a writer takes them.
pub fn making(files: Vec<(String, Vec<u8>)>) -> Vec<(String, Making<'static>)> {
    files.into_iter().map(|(path, bytes)| (path, Box::new(move || Ok(bytes)) as Making<'static>)).collect()
}

/// Adds the files and the list of checksums.
pub fn fill(mut writer: PackageWriter) -> PackageWriter {
    writer.add_many(making(files())).expect("added");
    writer.add_checksums().expect("added");
    writer
}

/// Code and message of each problem.
pub fn told(problems: &[Diagnostic]) -> Vec<String> {
    assert!(problems.iter().all(Diagnostic::is_error), "a refusal that is a warning");
    problems.iter().map(|problem| format!("{} {}", problem.code.id, problem.message)).collect()
}

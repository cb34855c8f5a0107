//! Exposure maps: bands against published curves, edges in the written files, colours, files and shows, what is told of wrong ones.

#[path = "../common/mod.rs"]
mod common;

mod colours;
mod edges;
mod files;
mod ladder;
mod reader;
mod shows;
mod words;

use lookwright::compile::prepare;
use lookwright::diagnostics::Diagnostic;
use lookwright::exposure_map::{MapReport, PreparedMap};
use std::fs;
use tempfile::TempDir;

/// A camera on an sRGB display: the table's numbers are then the colours of the zones themselves.
const HEAD: &str = "lookwright = 1\n[look]\nname = \"Ferry deck\"\n[camera]\nencoding = \"s-log3\"\ngamut = \"s-gamut3.cine\"\n\
                        [tone]\n[display]\nencoding = \"srgb\"\ngamut = \"srgb\"\n";

/// A map that was written: the bytes of its cube file, what is told of it, and its warnings.
struct Made {
    bytes: Vec<u8>,
    report: MapReport,
    warnings: Vec<Diagnostic>,
    folder: TempDir,
}

/// The map of a recipe, made in a folder of its own.
fn make(text: &str, set: &[&str]) -> Made {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("look.toml");
    fs::write(&path, text).expect("the folder can be written");
    let set: Vec<String> = set.iter().map(|one| (*one).to_owned()).collect();
    let prepared =
        PreparedMap::of_recipe(prepare(&path, &set).unwrap_or_else(|found| panic!("{text}{set:?}: {found:?}")));
    let produced = prepared.produce(folder.path(), false).expect("the folder can be written");
    let cube = produced.cube.expect("a cube file was asked for");
    let mut warnings = prepared.warnings;
    warnings.extend(produced.warnings);
    Made { bytes: fs::read(cube.path).expect("it was written"), report: produced.report, warnings, folder }
}

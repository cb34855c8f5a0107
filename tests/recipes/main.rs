//! The example recipes: each compiles at its own size, holds its own tolerances, and writes the same bytes everywhere.

#[path = "../common/mod.rs"]
mod common;
mod looks;

use lookwright::compile::{distinct_files, prepare};
use lookwright::formats::cube::{Header, write};
use lookwright::plan::hex;
use sha2::{Digest, Sha256};
use std::collections::HashSet;
use std::path::{Path, PathBuf};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes")
}

/// Every recipe of the folder, in the order of the names.
fn recipes() -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder()).expect("recipes/ is in the repository");
    let mut files: Vec<PathBuf> = entries.map(|entry| entry.expect("readable").path()).collect();
    files.retain(|path| path.extension().is_some_and(|end| end == "toml"));
    files.sort();
    files
}

#[test]
fn every_example_compiles_at_its_own_size_and_passes() {
    let out = tempfile::tempdir().expect("a folder");
    let mut prepared = Vec::new();
    for path in recipes() {
        let one = prepare(&path, &[]).unwrap_or_else(|found| panic!("{}: {found:?}", path.display()));
        assert!(one.warnings.is_empty(), "{} warns: {:?}", path.display(), one.warnings);
        let produced = one.produce(out.path(), true).unwrap_or_else(|found| panic!("{}: {found:?}", path.display()));
        let verification = produced.verification.expect("asked for");
        let failures: Vec<String> = verification
            .failures()
            .map(|check| {
                format!("{}: {} {}, at most {}; {}", check.name, check.value, check.unit, check.limit, check.worst)
            })
            .collect();
        assert!(verification.pass, "{} misses {}", path.display(), failures.join(" and "));
        prepared.push(one);
    }
    assert!(prepared.len() >= 7, "only {} examples", prepared.len());
    distinct_files(&prepared).expect("every example has its own name");
    let encodings: HashSet<&str> = prepared.iter().map(|one| one.plan.camera.curve.encoding().id).collect();
    assert!(encodings.len() >= 6, "the examples cover {} encodings only", encodings.len());
}

#[test]
fn the_table_of_examples_names_every_recipe_and_no_other() {
    let text = std::fs::read_to_string(folder().join("README.md")).expect("recipes/README.md is in the repository");
    let rows = text.lines().filter(|line| line.starts_with("| ["));
    let mut listed: Vec<String> =
        rows.filter_map(|line| Some(line.split_once("](")?.1.split_once(')')?.0.to_owned())).collect();
    listed.sort();
    let found: Vec<String> =
        recipes().iter().filter_map(|path| Some(path.file_name()?.to_string_lossy().into_owned())).collect();
    assert_eq!(listed, found);
}

/// The file without a title and comments: its header carries the version of the program, which may change.
fn bytes(recipe: &str, size: u64) -> Vec<u8> {
    let path = folder().join(format!("{recipe}.toml"));
    let prepared = prepare(&path, &[format!("lut.size={size}")]).expect("an example is right");
    let sampled = prepared.sample().expect("an example is finite");
    let mut bytes = Vec::new();
    write(&sampled.table, &Header::default(), &mut bytes);
    bytes
}

/// One fingerprint each, whatever the threads, the machine and the optimisation. They change only with the mathematics of a
/// look or the numbers of a recipe: find out which before you replace one.
#[test]
fn tables_are_the_same_bytes_with_any_number_of_threads() {
    let fingerprints = common::toml("fingerprints.toml");
    let tables = fingerprints["table"].as_array().expect("[[table]]");
    assert!(tables.len() >= 4, "only {} fingerprints", tables.len());
    let mut wrong = Vec::new();
    for table in tables {
        let recipe = table["recipe"].as_str().expect("a recipe's name");
        let size = table["size"].as_integer().and_then(|size| u64::try_from(size).ok()).expect("a size");
        let expected = table["sha256"].as_str().expect("64 digits");
        for threads in [1, 2, 7] {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
            let found = hex(&Sha256::digest(pool.install(|| bytes(recipe, size))));
            if found != expected {
                wrong.push(format!("{recipe} at {size} points, {threads} threads: {found} instead of {expected}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

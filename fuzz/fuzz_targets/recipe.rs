//! Any bytes are a recipe or errors; a recipe that is accepted builds, or says why not, and gives a finite table.
//!
//! On the stable toolchain: `cargo fuzz run recipe --sanitizer none`. Good starting files: `recipes`, `tests/data/looks`.
#![no_main]

use libfuzzer_sys::fuzz_target;
use lookwright::compile::prepare;
use lookwright::diagnostics::Diagnostic;
use lookwright::lut::sample;
use std::fs;
use std::path::PathBuf;
use std::process;
use std::sync::LazyLock;

/// Recipes are read from files, since they may extend others: one file to a process.
static FILE: LazyLock<PathBuf> =
    LazyLock::new(|| std::env::temp_dir().join(format!("lookwright-fuzz-{}.toml", process::id())));

fuzz_target!(|bytes: &[u8]| {
    fs::write(&*FILE, bytes).expect("the folder for temporary files can be written");
    match prepare(&FILE, &[]) {
        Ok(prepared) => {
            let sampled = sample(&prepared.pipeline, 5);
            let inside = sampled.table.nodes().iter().flatten().all(|value| (0.0..=1.0).contains(value));
            assert!(inside || sampled.clips.not_finite > 0, "a node outside 0..1");
        }
        Err(faults) => assert!(faults.iter().any(Diagnostic::is_error), "refused without an error"),
    }
});

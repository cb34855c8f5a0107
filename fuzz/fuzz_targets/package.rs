//! Any bytes as a package: files within the limits or errors, never a crash.
//!
//! On the stable toolchain: `cargo fuzz run package --sanitizer none`. Good starting files: any small zip archives.
#![no_main]

use libfuzzer_sys::fuzz_target;
use lookwright::formats::package::{MAX_PROBLEMS, Package};

fuzz_target!(|bytes: &[u8]| {
    match Package::from_zip("fuzzed", bytes.to_vec()) {
        Ok(package) => {
            for entry in package.entries() {
                if let Ok(read) = package.read(&entry.path) {
                    assert_eq!(read.len() as u64, entry.size);
                }
            }
        }
        Err(problems) => {
            assert!(!problems.is_empty() && problems.len() <= MAX_PROBLEMS);
            assert!(problems.iter().all(|problem| problem.is_error()));
        }
    }
});

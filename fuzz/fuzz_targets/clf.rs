//! Any bytes are a file of the Common LUT Format or an error; what is read comes back when it is written.
//!
//! On the stable toolchain: `cargo fuzz run clf --sanitizer none`. Good starting files: those that the tests of `tests/exchange` leave in
//! `target/tmp/clf`.
#![no_main]

use libfuzzer_sys::fuzz_target;
use lookwright::formats::clf::{parse, write};

fuzz_target!(|bytes: &[u8]| {
    let Ok(file) = parse("fuzz.clf", bytes) else { return };
    let _ = file.list.apply([0.18, -0.5, 7.0]);
    let written = write(&file.list);
    let again = parse("written.clf", &written).expect("what was written is read");
    assert_eq!(write(&again.list), written, "writing twice gives other bytes");
});

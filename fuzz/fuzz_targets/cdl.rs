//! Any bytes are an ASC CDL file or an error; what is read is finite, and comes back when it is written.
//!
//! On the stable toolchain: `cargo fuzz run cdl --sanitizer none`.
#![no_main]

use libfuzzer_sys::fuzz_target;
use lookwright::formats::cdl::{CdlFile, parse, write};

fuzz_target!(|bytes: &[u8]| {
    let Ok(file) = parse("fuzz.cdl", bytes) else { return };
    for correction in file.corrections() {
        let cdl = &correction.cdl;
        let numbers = [cdl.slope, cdl.offset, cdl.power, [cdl.saturation; 3]];
        assert!(numbers.as_flattened().iter().all(|value| value.is_finite()));
    }
    let written = write(&CdlFile { warnings: Vec::new(), ..file });
    let again = parse("written.cdl", &written).expect("what was written is read");
    assert_eq!(written, write(&again), "writing twice gives other bytes");
});

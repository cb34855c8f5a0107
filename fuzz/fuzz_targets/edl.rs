//! Any bytes are an edit decision list or an error; corrections that are written into one come back, and a second time changes nothing.
//!
//! On the stable toolchain: `cargo fuzz run edl --sanitizer none`.
#![no_main]

use libfuzzer_sys::fuzz_target;
use lookwright::formats::edl::{annotate, parse};
use lookwright::plan::Cdl;

fuzz_target!(|bytes: &[u8]| {
    let Ok(edl) = parse("fuzz.edl", bytes) else { return };
    let cdl = Cdl { slope: [1.5, 1.0, 0.25], ..Cdl::IDENTITY };
    assert_eq!(annotate("fuzz.edl", bytes, |_| None).as_deref(), Ok(bytes));
    let written = annotate("fuzz.edl", bytes, |_| Some(&cdl)).expect("a list");
    let again = parse("written.edl", &written).expect("what was written is read");
    assert_eq!(again.events.len(), edl.events.len());
    assert!(again.events.iter().all(|event| event.cdl == Some(cdl)));
    assert_eq!(annotate("written.edl", &written, |_| Some(&cdl)), Ok(written));
});

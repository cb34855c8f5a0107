//! Any bytes are a cube file or an error; what is read is finite, and comes back when it is written.
//!
//! On the stable toolchain: `cargo fuzz run cube --sanitizer none`. Good starting files: `tests/data/cube`.
#![no_main]

use libfuzzer_sys::fuzz_target;
use lookwright::formats::cube::{Header, Tables, parse, write};

fuzz_target!(|bytes: &[u8]| {
    let Ok(file) = parse("fuzz.cube", bytes) else { return };
    let Tables::Three(table) = file.tables else { return };
    assert!(table.nodes().iter().flatten().all(|value| value.is_finite()));
    let header = Header { title: file.title.unwrap_or_default(), comments: file.comments, ..Header::default() };
    let mut written = Vec::new();
    write(&table, &header, &mut written);
    let again = parse("written.cube", &written).expect("what was written is read");
    let Tables::Three(back) = &again.tables else { panic!("another kind of table came back") };
    assert_eq!((back.size(), back.domain()), (table.size(), table.domain()));
    let mut rewritten = Vec::new();
    write(back, &header, &mut rewritten);
    assert_eq!(written, rewritten, "writing twice gives other bytes");
});

//! Files for a reader that knows nothing of this project: `tests/python/clf.py` opens what is written here, and computes the same.

use crate::foreign;
use crate::samples::{all, inputs, list};
use lookwright::formats::clf::{ProcessList, parse, write};
use std::fmt::Write;
use std::path::Path;

/// Inputs and what our evaluation of the written file gives, in full.
fn table(list: &ProcessList) -> String {
    let mut text = String::from("r,g,b,out_r,out_g,out_b\n");
    for input in inputs() {
        let [r, g, b] = input;
        let [red, green, blue] = list.apply(input);
        writeln!(text, "{r},{g},{b},{red},{green},{blue}").expect("a string grows");
    }
    text
}

#[test]
fn files_for_other_readers() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("clf");
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a folder");
    let written = all().into_iter().map(|(name, operation)| (name.clone(), write(&list(&name, operation))));
    let foreign = foreign::TEXTS.iter().map(|(name, text)| (format!("foreign-{name}"), text.as_bytes().to_vec()));
    for (name, bytes) in written.chain(foreign) {
        let list = parse(&name, &bytes).unwrap_or_else(|faults| panic!("{name}: {faults:#?}")).list;
        std::fs::write(folder.join(format!("{name}.clf")), &bytes).expect("written");
        std::fs::write(folder.join(format!("{name}.csv")), table(&list)).expect("written");
    }
}

//! What is written comes back: by the library's own reader, number by number.

use crate::samples::{all, inputs, list, short, table3};
use lookwright::formats::clf::{
    Log, LogParams, LogStyle, Lut1, Lut3, Matrix, Node, Operation, ProcessList, Range, parse, write,
};
use lookwright::lut::Interpolation;
use proptest::prelude::*;

fn read(list: &ProcessList) -> ProcessList {
    let bytes = write(list);
    let file = parse("written.clf", &bytes).unwrap_or_else(|faults| panic!("{faults:#?}"));
    assert_eq!(file.warnings, [], "{}", list.name);
    file.list
}

#[test]
fn every_kind_of_step_comes_back() {
    for (name, operation) in all() {
        let expected = list(&name, short(operation.clone()));
        let mut back = read(&list(&name, operation));
        // A decimal is read as a 64-bit float: the 32-bit one that was meant is the nearest to it.
        for node in &mut back.nodes {
            node.operation = short(node.operation.clone());
        }
        assert_eq!(back, expected, "{name}");
    }
}

#[test]
fn writing_again_gives_the_same_bytes() {
    for (name, operation) in all() {
        let first = write(&list(&name, operation));
        let again = write(&parse("again.clf", &first).expect("read").list);
        assert!(first == again, "{name}");
    }
}

/// All steps in one list are what they are one after the other.
#[test]
fn a_list_is_its_steps_in_order() {
    let mut whole = list("all", Operation::Range(Range { low: None, high: Some([1.0, 1.0]), clamp: true }));
    for (name, operation) in all().into_iter().filter(|(name, _)| !name.contains("anti")) {
        whole.nodes.push(Node::new(name, "", operation));
    }
    let back = read(&whole);
    assert_eq!(back.nodes.len(), whole.nodes.len());
    for input in inputs().into_iter().step_by(97) {
        let one_by_one = back.nodes.iter().fold(input, |rgb, node| node.operation.apply(rgb));
        let whole = back.apply(input);
        assert_eq!(whole.map(f64::to_bits), one_by_one.map(f64::to_bits), "{input:?}");
    }
}

#[test]
fn the_form_of_a_file_is_the_specifications() {
    let table = Lut3 { table: table3(2), interpolation: Interpolation::Tetrahedral };
    let mut list = list("small", Operation::Lut3(table));
    list.descriptions.truncate(1);
    list.nodes.push(Node::new(
        "",
        "plain",
        Operation::Matrix(Matrix { matrix: [[0.5, 1e-7, -3.0]; 3], offset: [0.0, 1e20, 0.0] }),
    ));
    let params = LogParams { lin_side_break: Some(0.0078125), ..LogParams::DEFAULT };
    let red = LogParams { linear_slope: Some(6.0), ..params };
    let log = Log { style: LogStyle::CameraLinToLog, params: [red, params, params] };
    list.nodes.push(Node { descriptions: Vec::new(), ..Node::new("curve", "", Operation::Log(log)) });
    let text = String::from_utf8(write(&list)).expect("UTF-8");
    // Elements, their order, and "third component index changing fastest": the specification's examples 2, 3 and 13.
    // The numbers: sqrt(0.3), 0.2 + 0.013 and so on in 32 bits.
    let expected = r#"<?xml version="1.0" encoding="UTF-8"?>
<ProcessList xmlns="urn:AMPAS:CLF:v3.0" compCLFversion="3.0" id="urn:example:small" name="Tidewater, small">
    <Description>Ferry &amp; quay &lt;dusk&gt;</Description>
    <InputDescriptor>input signal</InputDescriptor>
    <OutputDescriptor>output signal</OutputDescriptor>
    <LUT3D name="small" inBitDepth="32f" outBitDepth="32f" interpolation="tetrahedral">
        <Description>the only step</Description>
        <Array dim="2 2 2 3">
0.013 0.0 0.0
0.013 -0.05 0.8944272
0.213 0.9 0.0
0.213 0.85 0.8944272
0.713 0.0 0.0
0.713 0.05 0.8944272
0.913 0.9 0.5477226
0.913 0.95 1.0488088
        </Array>
    </LUT3D>
    <Matrix inBitDepth="32f" outBitDepth="32f">
        <Description>plain</Description>
        <Array dim="3 4">
0.5 0.0000001 -3 0
0.5 0.0000001 -3 100000000000000000000
0.5 0.0000001 -3 0
        </Array>
    </Matrix>
    <Log name="curve" inBitDepth="32f" outBitDepth="32f" style="cameraLinToLog">
        <LogParams base="2" logSideSlope="1" logSideOffset="0" linSideSlope="1" linSideOffset="0" linSideBreak="0.0078125" linearSlope="6" channel="R"/>
        <LogParams base="2" logSideSlope="1" logSideOffset="0" linSideSlope="1" linSideOffset="0" linSideBreak="0.0078125" channel="G"/>
        <LogParams base="2" logSideSlope="1" logSideOffset="0" linSideSlope="1" linSideOffset="0" linSideBreak="0.0078125" channel="B"/>
    </Log>
</ProcessList>
"#;
    assert_eq!(text, expected);
}

/// Two rows with a value, and what is written for it.
fn printed(value: f64) -> String {
    let rows = vec![[value; 3]; 2];
    let table = Operation::Lut1(Lut1 { half_domain: false, hue_adjust: false, one_column: true, rows });
    let text = String::from_utf8(write(&list("number", table))).expect("UTF-8");
    text.lines().skip_while(|line| !line.contains("<Array")).nth(1).unwrap_or_default().to_owned()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 5_000, failure_persistence: None, ..ProptestConfig::default() })]

    /// As short as what Rust's standard library prints.
    #[test]
    fn numbers_of_tables_are_short_exact_and_without_exponent(bits in any::<u32>()) {
        let value = f32::from_bits(bits);
        prop_assume!(value.is_finite());
        let text = printed(f64::from(value));
        prop_assert!(text.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'.' | b'-')), "{}", text);
        prop_assert_eq!(text.parse::<f32>().map(f32::to_bits), Ok((value + 0.0).to_bits()), "{}", text);
        let shortest = format!("{}", value + 0.0);
        // Of two equally short ones, either will do.
        prop_assert_eq!(text.strip_suffix(".0").unwrap_or(&text).len(), shortest.len(), "{}", bits);
    }

    #[test]
    fn any_texts_come_back_or_become_signs(id in "[ -~]{1,20}", text in any::<String>()) {
        let mut list = list("texts", Operation::Range(Range { low: Some([0.0, 0.0]), high: None, clamp: true }));
        prop_assume!(!id.trim().is_empty());
        (list.id, list.name) = (id.trim().to_owned(), text.clone());
        list.descriptions = vec![text.clone()];
        let back = read(&list);
        prop_assert_eq!(&back.id, &list.id);
        let plain = text.trim().to_owned();
        if !plain.contains(|c: char| c.is_control()) {
            prop_assert_eq!(&back.descriptions, &[plain]);
        }
        prop_assert_eq!(write(&back), write(&read(&back)));
    }
}

/// A frame of reference for speed is `benches/`; here only that a large table is not out of proportion.
#[test]
fn a_large_table_comes_back() {
    let operation = Operation::Lut3(Lut3 { table: table3(65), interpolation: Interpolation::Tetrahedral });
    let started = std::time::Instant::now();
    let bytes = write(&list("large", operation.clone()));
    let written = started.elapsed();
    let started = std::time::Instant::now();
    let back = parse("large.clf", &bytes).expect("read").list;
    println!("65 points: {} bytes, written in {written:?}, read in {:?}", bytes.len(), started.elapsed());
    assert!(short(back.nodes[0].operation.clone()) == short(operation), "another table came back");
}

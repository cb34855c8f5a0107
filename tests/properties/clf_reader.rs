//! Longer hunts through the reader of the Common LUT Format. `tests/exchange` says in detail what it must read.

use crate::damage::{damaged, damages};
use crate::fuzzing::fuzz;
use lookwright::formats::clf::{
    CdlStyle, Exponent, ExponentParams, ExponentStyle, Log, LogParams, LogStyle, Lut1, Lut3, Matrix, Node, Operation,
    ProcessList, Range, parse, write,
};
use lookwright::lut::{Domain, Interpolation, Table3};
use lookwright::plan::Cdl;
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::select;

fn operations() -> Vec<Operation> {
    let nodes = (0..8).map(|node| [node & 1, node >> 1 & 1, node >> 2].map(f64::from)).collect();
    let table = Table3::new(2, Domain::UNIT, nodes).expect("eight nodes");
    let camera = LogParams { lin_side_break: Some(0.01), ..LogParams::DEFAULT };
    let curve = ExponentParams { exponent: 2.4, offset: 0.055 };
    vec![
        Operation::Lut1(Lut1 {
            half_domain: false,
            hue_adjust: true,
            one_column: false,
            rows: vec![[0.0; 3], [1.0; 3]],
        }),
        Operation::Lut3(Lut3 { table, interpolation: Interpolation::Trilinear }),
        Operation::Matrix(Matrix { matrix: [[0.5, 0.25, 0.25]; 3], offset: [0.0, 0.1, -0.1] }),
        Operation::Range(Range { low: Some([0.0, 0.0625]), high: Some([1.0, 0.9]), clamp: true }),
        Operation::Log(Log { style: LogStyle::CameraLogToLin, params: [camera; 3] }),
        Operation::Exponent(Exponent { style: ExponentStyle::MonCurveRev, params: [curve; 3] }),
        Operation::Cdl(CdlStyle::Rev, Cdl::IDENTITY),
    ]
}

fn list(operations: Vec<Operation>) -> ProcessList {
    let nodes = operations.into_iter().map(|operation| Node::new("step", "a step", operation)).collect();
    let (descriptions, input, output) = (vec!["words & <signs>".into()], "in".into(), "out".into());
    ProcessList { id: "fuzzed".into(), name: "Tidewater".into(), descriptions, input, output, nodes }
}

/// Each kind of step alone, all together, and one in integers.
fn files() -> Vec<Vec<u8>> {
    let mut files: Vec<_> = operations().into_iter().map(|operation| write(&list(vec![operation]))).collect();
    files.push(write(&list(operations())));
    let integers = String::from_utf8_lossy(&files[2]).replace("inBitDepth=\"32f\"", "inBitDepth=\"10i\"");
    files.push(integers.into_bytes());
    files
}

fn check(bytes: &[u8]) -> Result<(), TestCaseError> {
    let file = match parse("fuzzed.clf", bytes) {
        Ok(file) => file,
        Err(faults) => {
            prop_assert!(faults.iter().any(|fault| fault.is_error()), "refused without an error");
            prop_assert!(faults.iter().all(|fault| fault.span.is_some()), "a fault without a place");
            return Ok(());
        }
    };
    prop_assert!(!file.list.nodes.is_empty() && !file.list.id.is_empty(), "a list of nothing");
    let written = write(&file.list);
    let again = match parse("written.clf", &written) {
        Ok(again) => again.list,
        Err(faults) => return Err(TestCaseError::fail(format!("what was written is refused: {faults:#?}"))),
    };
    prop_assert!(write(&again) == written, "writing twice gives other bytes");
    let _ = file.list.apply([0.18, -0.5, 7.0]);
    Ok(())
}

#[test]
fn damaged_files_are_read_or_refused() {
    let files = files();
    fuzz("damaged files of the Common LUT Format", 1000, &damages(), |damage| check(&damaged(&files, &damage)));
}

#[test]
fn any_words_of_the_format_are_read_or_refused() {
    let words = vec![
        "<Matrix inBitDepth=\"32f\" outBitDepth=\"10i\">",
        "</Matrix>",
        "<LUT1D inBitDepth=\"10i\" outBitDepth=\"32f\" rawHalfs=\"true\">",
        "</LUT1D>",
        "<LUT3D inBitDepth=\"32f\" outBitDepth=\"32f\">",
        "</LUT3D>",
        "<Array dim=\"3 3\">",
        "<Array dim=\"2 1\">",
        "<Array dim=\"2 2 2 3\">",
        "</Array>",
        "<Range inBitDepth=\"32f\" outBitDepth=\"32f\">",
        "</Range>",
        "<minInValue>",
        "</minInValue>",
        "<Log inBitDepth=\"32f\" outBitDepth=\"32f\" style=\"log2\"/>",
        "<ASC_CDL inBitDepth=\"32f\" outBitDepth=\"32f\"/>",
        "<!-- 1 -->",
        "<![CDATA[1]]>",
        "&#49;",
        "<",
        ">",
        "1",
        "0.5",
        "-1e3",
        "nan",
        "0,5",
        "\r\n",
        "é",
    ];
    let around = |words: Vec<&str>| {
        let steps = words.join(" ");
        format!("<?xml version=\"1.0\"?><ProcessList id=\"x\" compCLFversion=\"3.0\">{steps}</ProcessList>")
    };
    let text = vec(select(words), 0..40).prop_map(around);
    fuzz("words of the Common LUT Format", 1000, &text, |text| check(text.as_bytes()));
}

//! Longer hunts through the readers of ASC CDL files and edit decision lists. `tests/cdl` says in detail what each must read.

use crate::damage::{damaged, damages};
use crate::fuzzing::fuzz;
use lookwright::formats::{cdl, edl};
use lookwright::plan::Cdl;
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::select;

fn cdl_files() -> Vec<Vec<u8>> {
    let numbers = Cdl { slope: [1.1, 1.0, 0.92], offset: [-0.02, 0.0, 0.01], power: [1.0, 1.05, 1.0], saturation: 0.8 };
    let correction = |id: &str| cdl::Correction {
        descriptions: vec!["Dusk & <deck>".into()],
        viewing_description: "é".into(),
        ..cdl::Correction::new(id, numbers)
    };
    cdl::Kind::ALL.map(|kind| cdl::write(&cdl::CdlFile::new(kind, vec![correction("a"), correction("b")]))).to_vec()
}

const LIST: &str = "TITLE: TIDEWATER\r\nFCM: DROP FRAME\r\n\
    001  A003C012 V     C        01:02:03:04 01:02:08:04 10:00:00:00 10:00:05:00\r\n* FROM CLIP NAME: F\u{e4}hre\r\n* ASC_SAT 1\r\n\
    002  A003C012 V     C        01:02:08:04 01:02:08:04 10:00:05:00 10:00:05:00\r\n\
    002  A003C014 V     D    024 01:10:00;00 01:10:04;00 10:00:05:00 10:00:09:00\r\nM2 A003C014 023.9 01:10:00:00\r\n\
    * TO CLIP NAME: TW_012_0020\r\n* ASC_SOP (1 1 1)(0 0 0)(1 1 1)\r\n";

fn check_cdl(bytes: &[u8]) -> Result<(), TestCaseError> {
    let file = match cdl::parse("fuzzed.cdl", bytes) {
        Ok(file) => file,
        Err(faults) => {
            prop_assert!(faults.iter().any(|fault| fault.is_error()), "refused without an error");
            return Ok(());
        }
    };
    for correction in file.corrections() {
        let Cdl { slope, offset, power, saturation } = correction.cdl;
        prop_assert!([slope, offset, power, [saturation; 3]].as_flattened().iter().all(|value| value.is_finite()));
        prop_assert!(slope.iter().all(|slope| *slope >= 0.0) && power.iter().all(|power| *power > 0.0));
    }
    let written = cdl::write(&file);
    let again = cdl::parse("written.cdl", &written);
    prop_assert_eq!(
        again.map(|again| cdl::write(&again)),
        Ok(written),
        "what was written comes back as something else"
    );
    Ok(())
}

fn check_edl(bytes: &[u8]) -> Result<(), TestCaseError> {
    let list = match edl::parse("fuzzed.edl", bytes) {
        Ok(list) => list,
        Err(faults) => {
            prop_assert!(faults.iter().any(|fault| fault.is_error()), "refused without an error");
            return Ok(());
        }
    };
    let numbers = Cdl { slope: [1.5, 1.0, 0.25], ..Cdl::IDENTITY };
    let untouched = edl::annotate("fuzzed.edl", bytes, |_| None);
    prop_assert_eq!(untouched.as_deref(), Ok(bytes), "no corrections, and yet a change");
    let Ok(written) = edl::annotate("fuzzed.edl", bytes, |_| Some(&numbers)) else {
        return Err(TestCaseError::fail("read, but not written into"));
    };
    let back = edl::parse("written.edl", &written).map(|again| again.events.iter().map(|event| event.cdl).collect());
    prop_assert_eq!(back, Ok(vec![Some(numbers); list.events.len()]), "the corrections did not come back");
    let again = edl::annotate("written.edl", &written, |_| Some(&numbers));
    prop_assert_eq!(again, Ok(written), "a second time changes something");
    Ok(())
}

#[test]
fn damaged_cdl_files_are_read_or_refused() {
    let files = cdl_files();
    fuzz("damaged ASC CDL files", 1000, &damages(), |damage| check_cdl(&damaged(&files, &damage)));
}

#[test]
fn damaged_edit_decision_lists_are_read_or_refused() {
    let files = [LIST.as_bytes().to_vec(), LIST.replace("\r\n", "\n").into_bytes()];
    fuzz("damaged edit decision lists", 1000, &damages(), |damage| check_edl(&damaged(&files, &damage)));
}

#[test]
fn any_words_of_both_formats_are_read_or_refused() {
    let tags = vec![
        "<ColorCorrection xmlns=\"urn:ASC:CDL:v1.01\" id=\"a\">",
        "</ColorCorrection>",
        "<ColorCorrectionCollection>",
        "</ColorCorrectionCollection>",
        "<SOPNode>",
        "</SOPNode>",
        "<SATNode>",
        "</SATNode>",
        "<Slope>",
        "</Slope>",
        "<Saturation>1</Saturation>",
        "1 1 1",
        "&#49;",
        "<!-- -->",
        "<![CDATA[1]]>",
        "<?x?>",
        "\r\n",
        "é",
    ];
    let text = vec(select(tags), 0..30).prop_map(|words| words.concat());
    fuzz("words of ASC CDL files", 1000, &text, |text| check_cdl(text.as_bytes()));
    let words = vec![
        "001 AX V C 00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00",
        "001 AX V D 012 00:00:00:00 00:00:01:00 00:00:00;00 00:00:01;00",
        "* ASC_SOP (1 1 1)(0 0 0)(1 1 1)",
        "*ASC_SAT 1",
        "* ASC_SAT",
        "* TO CLIP NAME: a",
        "FCM: DROP FRAME",
        "SPLIT:",
        "M2",
        "*",
        " ",
        "\n",
        "\n",
        "\n",
        "\r\n",
        "\r",
        "é",
    ];
    let text = vec(select(words), 0..30).prop_map(|words| words.concat());
    fuzz("words of edit decision lists", 1000, &text, |text| check_edl(text.as_bytes()));
}

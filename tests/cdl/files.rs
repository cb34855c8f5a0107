//! ASC CDL files in and out. The texts are written by hand after the ASC's document, from memory, and after files that public
//! libraries ship as their examples.

use crate::told;
use lookwright::colour::cdl::Cdl;
use lookwright::formats::cdl::{CdlFile, Content, Correction, Entry, Kind, Notes, parse, write};

/// With descriptions on every level.
const ONE: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<ColorCorrection xmlns="urn:ASC:CDL:v1.01" id="TW_012_0030">
  <Description>Dusk on the ferry deck</Description>
  <Description>second &amp; last</Description>
  <InputDescription>ACEScct</InputDescription>
  <ViewingDescription>BT.1886, 100 nits</ViewingDescription>
  <SOPNode>
    <Description>warmer</Description>
    <Slope>1.1 1 0.92</Slope>
    <Offset>-0.02 0 0.0105</Offset>
    <Power>1.05 1 0.98</Power>
  </SOPNode>
  <SatNode>
    <Saturation>0.85</Saturation>
  </SatNode>
</ColorCorrection>
"#;

const WARM: Cdl =
    Cdl { slope: [1.1, 1.0, 0.92], offset: [-0.02, 0.0, 0.0105], power: [1.05, 1.0, 0.98], saturation: 0.85 };

fn read(text: &str) -> CdlFile {
    parse("x.cc", text.as_bytes()).unwrap_or_else(|found| panic!("{:#?}", found.iter().map(told).collect::<Vec<_>>()))
}

fn warnings(file: &CdlFile) -> Vec<String> {
    file.warnings.iter().map(told).collect()
}

#[test]
fn one_correction_is_read_with_all_its_texts() {
    let file = read(ONE);
    assert_eq!(warnings(&file), Vec::<String>::new());
    let expected = Correction {
        descriptions: ["Dusk on the ferry deck", "second & last", "warmer"].map(str::to_owned).to_vec(),
        input_description: "ACEScct".into(),
        viewing_description: "BT.1886, 100 nits".into(),
        ..Correction::new("TW_012_0030", WARM)
    };
    assert_eq!(file.corrections().cloned().collect::<Vec<_>>(), vec![expected]);
    assert_eq!(file.kind, Kind::Correction);
    let correction = file.find("TW_012_0030").expect("its id");
    assert_eq!(correction.place.source.line_column(correction.place.range.start), (2, 1));
    let power = correction.values.power.clone().expect("written");
    assert_eq!(power.source.line_column(power.range.start), (11, 12));
}

#[test]
fn what_is_written_has_the_form_of_the_schema() {
    let written = String::from_utf8(write(&read(ONE))).expect("UTF-8");
    // The description of a node has moved to its correction; all else is as it was.
    let expected = ONE
        .replace("    <Description>warmer</Description>\n", "")
        .replace("last</Description>\n", "last</Description>\n  <Description>warmer</Description>\n");
    assert_eq!(written, expected);
}

#[test]
fn a_list_keeps_media_texts_and_references() {
    let decision = |media: &str, content: Content| Entry {
        notes: Notes { descriptions: vec![format!("for {media}")], ..Notes::default() },
        media: media.to_owned(),
        content,
    };
    let file = CdlFile {
        notes: Notes {
            descriptions: vec!["Tidewater, day 3".into()],
            input_description: "ACEScct".into(),
            viewing_description: "in a dark room".into(),
        },
        entries: vec![
            decision("a/A003C012.mov", Content::Correction(Box::new(Correction::new("one", WARM)))),
            decision("a/A003C013.mov", Content::Reference("one".into())),
            Entry::of(Correction::new("", Cdl::IDENTITY)),
        ],
        ..CdlFile::new(Kind::DecisionList, Vec::new())
    };
    let written = write(&file);
    let text = String::from_utf8(written.clone()).expect("UTF-8");
    assert!(text.contains("<ColorCorrectionRef ref=\"one\"/>"), "{text}");
    let back = read(&text);
    assert_eq!(back, file);
    assert_eq!(write(&back), written, "writing twice gives other bytes");
}

#[test]
fn odd_texts_and_numbers_come_back() {
    let cdl = Cdl {
        slope: [0.1 + 0.2, 1e-12, 4e15],
        offset: [-0.0, f64::MIN_POSITIVE, -1.0 / 3.0],
        power: [f64::EPSILON, 1.0, 1e20],
        saturation: 0.0,
    };
    let mut correction = Correction::new("<&\"'> é \u{1F3AC}", cdl);
    correction.descriptions = vec!["a]]>b\n  two lines & <tags>".into(), String::new()];
    for kind in Kind::ALL {
        let file = CdlFile::new(kind, vec![correction.clone()]);
        let written = write(&file);
        let text = String::from_utf8(written).expect("UTF-8");
        assert!(!text.contains("e-") && !text.contains("e1") && !text.contains("\r"), "{text}");
        assert_eq!(read(&text), file, "{text}");
    }
    // What XML can't hold becomes blanks.
    let hostile = CdlFile::new(Kind::Collection, vec![Correction::new("a\0b\u{1b}[2J\nc", WARM)]);
    let back = read(&String::from_utf8(write(&hostile)).expect("UTF-8"));
    assert_eq!(back.corrections().next().map(|one| one.id.as_str()), Some("a b [2J c"));
}

#[test]
fn half_a_correction_leaves_the_other_half_alone() {
    let with = |inner: &str| {
        let text = format!("<ColorCorrection xmlns=\"urn:ASC:CDL:v1.2\" id=\"x\">{inner}</ColorCorrection>");
        read(&text).corrections().next().expect("one").cdl
    };
    assert_eq!(with(""), Cdl::IDENTITY);
    assert_eq!(with("<SatNode><Saturation>0.5</Saturation></SatNode>"), Cdl { saturation: 0.5, ..Cdl::IDENTITY });
    let sop = "<SOPNode><Slope>2 1 1</Slope><Offset>0 0 0</Offset><Power>1 1 1</Power></SOPNode>";
    assert_eq!(with(sop), Cdl { slope: [2.0, 1.0, 1.0], ..Cdl::IDENTITY });
}

#[test]
fn departures_are_read_with_a_word_each() {
    // As a manual of a general image library prints it: v1.2, SATNode, blanks inside.
    let text = "<ColorCorrectionCollection xmlns=\"urn:ASC:CDL:v1.2\">\n<ColorCorrection id=\"cc03345\">\n<SOPNode>\n\
        <Slope> 0.9 1.2 0.5 </Slope>\n<Offset> 0.4 -0.5 0.6 </Offset>\n<Power> 1.0 0.8 1.5 </Power>\n</SOPNode>\n<SATNode>\n\
        <Saturation> 0.85 </Saturation>\n</SATNode>\n</ColorCorrection>\n</ColorCorrectionCollection>";
    let file = read(text);
    let expected = Cdl { slope: [0.9, 1.2, 0.5], offset: [0.4, -0.5, 0.6], power: [1.0, 0.8, 1.5], saturation: 0.85 };
    assert_eq!(file.find("cc03345").map(|one| one.cdl), Some(expected));
    assert_eq!(warnings(&file), ["LW0347 8:1 a node in another spelling | expected SatNode, found SATNode"]);

    let bare = "<ColorDecisionList>\r\n<Ours x=\"1\"/><Ours/>\r\n<ColorDecision><ColorCorrectionRef ref=\"far\"/></ColorDecision>\
        <ColorDecision><MediaRef ref=\"m\"/><ColorCorrection id=\"n\"/></ColorDecision>\r\n<ColorCorrection id=\"n\"/></ColorDecisionList>";
    assert_eq!(
        warnings(&read(bare)),
        [
            "LW0347 1:1 the file has no namespace | expected xmlns=\"urn:ASC:CDL:v1.01\"",
            "LW0347 2:1 an unknown element, and 1 more | `Ours` is not part of an ASC CDL here; it is left aside",
            "LW0347 4:1 a correction outside of a decision | expected ColorDecision",
            "LW0347 3:16 a correction that stands elsewhere | `far` is not in this file",
            "LW0346 4:1 the correction `n` is there twice | the same as in line 3",
        ]
    );
    let other = "<c:ColorCorrection xmlns:c=\"urn:else\" xmlns:o=\"urn:own\" id=\"x\"><o:SOPNode/>\
        <c:SatNode><c:Saturation>2</c:Saturation></c:SatNode></c:ColorCorrection>";
    let file = read(other);
    assert_eq!(
        warnings(&file),
        ["LW0347 1:1 the file has another namespace | expected urn:ASC:CDL:v1.01, found `urn:else`"]
    );
    assert_eq!(file.corrections().next().map(|one| one.cdl.saturation), Some(2.0));
}

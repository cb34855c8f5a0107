//! Files that are refused, each with its reason, line and column.

use crate::told;
use lookwright::formats::cdl::{FILE_BYTES_MAX, parse};
use std::time::{Duration, Instant};

/// A correction of these slopes, offsets, powers and saturation; the slopes begin in line 3, column 8.
fn correction(slope: &str, offset: &str, power: &str, saturation: &str) -> String {
    format!(
        "<ColorCorrection xmlns=\"urn:ASC:CDL:v1.01\" id=\"x\">\n<SOPNode>\n<Slope>{slope}</Slope>\n<Offset>{offset}</Offset>\n\
         <Power>{power}</Power>\n</SOPNode>\n<SatNode><Saturation>{saturation}</Saturation></SatNode>\n</ColorCorrection>\n"
    )
}

fn refused(bytes: &[u8]) -> Vec<String> {
    match parse("x.cc", bytes) {
        Ok(file) => panic!("read as {file:?}"),
        Err(found) => {
            assert!(found.iter().any(|one| one.is_error()), "refused without an error");
            found.iter().map(told).collect()
        }
    }
}

#[test]
fn wrong_numbers_are_told_with_their_places() {
    for (text, expected) in [
        (
            correction("1 -0.5 1", "0 0 0", "1 1 1", "1"),
            "LW0344 3:10 Slope that no CDL has | expected 0 or more, found -0.5",
        ),
        (
            correction("1 1 1", "0 0 0", "1 1 0", "1"),
            "LW0344 5:12 Power that no CDL has | expected more than 0, found 0",
        ),
        (
            correction("1 1 1", "0 0 0", "-1 1 1", "1"),
            "LW0344 5:8 Power that no CDL has | expected more than 0, found -1",
        ),
        (
            correction("1 1 1", "0 0 0", "1 1 1", "-1"),
            "LW0344 7:22 Saturation that no CDL has | expected 0 or more, found -1",
        ),
        (
            correction("1 1", "0 0 0", "1 1 1", "1"),
            "LW0345 3:8 Slope has the wrong number of values | expected three numbers, for red, green and blue, found 2",
        ),
        (
            correction("", "0 0 0", "1 1 1", "1"),
            "LW0345 3:1 Slope has the wrong number of values | expected three numbers, for red, green and blue, found 0",
        ),
        (
            correction("1,1 1,0 1,0", "0 0 0", "1 1 1", "1"),
            "LW0343 3:8 Slope is not a number | expected a finite decimal number, found `1,1`",
        ),
        (
            correction("1, 1, 1", "0 0 0", "1 1 1", "1"),
            "LW0343 3:8 Slope is not a number | expected a finite decimal number, found `1,`",
        ),
        (
            correction("1 1 1", "0 nan 0", "1 1 1", "1"),
            "LW0343 4:11 Offset is not a number | expected a finite decimal number, found `nan`",
        ),
        (
            correction("1 1 1", "0 0 1e999", "1 1 1", "1"),
            "LW0343 4:13 Offset is not a number | expected a finite decimal number, found `1e999`",
        ),
        (
            correction("1 1 1", "0 0 0", "1 1 1", "1 1"),
            "LW0345 7:22 Saturation has the wrong number of values | expected one number, found 2",
        ),
        (
            correction("1 1 1", "0 0 0", "1 1 1", "full"),
            "LW0343 7:22 Saturation is not a number | expected a finite decimal number, found `full`",
        ),
    ] {
        assert_eq!(refused(text.as_bytes())[0], expected, "{text}");
    }
    // A decimal comma has its remedy.
    let text = correction("1,1 1,0 1,0", "0 0 0", "1 1 1", "1");
    let found = parse("x.cc", text.as_bytes()).expect_err("refused");
    assert_eq!(found[0].help, ["decimals have a point, not a comma"]);
    assert_eq!(found.len(), 3, "all three are told");
}

#[test]
fn halves_and_doubles_are_refused() {
    let of = |inner: &str| format!("<ColorCorrection xmlns=\"urn:ASC:CDL:v1.01\" id=\"x\">{inner}</ColorCorrection>");
    let list = |inner: &str| format!("<ColorDecisionList xmlns=\"urn:ASC:CDL:v1.01\">{inner}</ColorDecisionList>");
    let sat = "<SatNode><Saturation>1</Saturation></SatNode>";
    for (text, expected) in [
        (of("<SOPNode><Slope>1 1 1</Slope></SOPNode>"), "LW0345 1:51 SOPNode is incomplete | expected Offset, found none"),
        (of("<SatNode/>"), "LW0345 1:51 SatNode is incomplete | expected Saturation, found none"),
        (of(&format!("{sat}{sat}")), "LW0345 1:96 SatNode is there twice | expected one SatNode"),
        (of("<SatNode><Saturation>1</Saturation><Saturation>2</Saturation></SatNode>"), "LW0345 1:86 Saturation is there twice | expected one Saturation"),
        (list("<ColorDecision/>"), "LW0345 1:46 a decision needs one correction | expected one ColorCorrection or ColorCorrectionRef, found 0"),
        (list(""), "LW0342 1:1 the file holds no correction | expected at least one ColorCorrection, found none"),
        (
            "<ColorCorrectionCollection xmlns=\"urn:ASC:CDL:v1.01\"><ColorCorrection id=\"a\"/>\n<ColorCorrection id=\"a\"><SatNode>\
             <Saturation>2</Saturation></SatNode></ColorCorrection></ColorCorrectionCollection>".to_owned(),
            "LW0346 2:1 two different corrections are called `a` | expected an id of its own; it stands in line 1 already",
        ),
        ("<ProcessList/>".to_owned(), "LW0342 1:1 the file is not an ASC CDL | expected one of ColorCorrection, ColorCorrectionCollection, ColorDecisionList, found `ProcessList`"),
    ] {
        assert_eq!(refused(text.as_bytes())[0], expected, "{text}");
    }
}

#[test]
fn texts_that_are_no_xml_are_refused() {
    let good = correction("1 1 1", "0 0 0", "1 1 1", "1");
    let dtd = format!("<!DOCTYPE x [<!ENTITY a \"1 1 1\">]>\n{good}");
    assert_eq!(
        refused(dtd.as_bytes()),
        ["LW0341 1:1 the file brings a document type with it | expected no <!DOCTYPE>"]
    );
    let entity = refused(correction("&a;", "0 0 0", "1 1 1", "1").as_bytes());
    assert!(entity[0].starts_with("LW0341 3:8 "), "{entity:?}");
    let cut = refused(&good.as_bytes()[..good.len() - 9]);
    assert!(cut[0].starts_with("LW0341 8:") && cut[0].ends_with("found the end of the file"), "{cut:?}");
    let empty = refused(b"");
    assert!(empty[0].starts_with("LW0341 1:1 ") && empty[0].ends_with("found an empty file"), "{empty:?}");
    let word = refused(b"LUT_3D_SIZE 2\n");
    assert!(word[0].starts_with("LW0341 1:1 "), "{word:?}");
    let latin = good.replace("<SOPNode>\n", "<SOPNode>\n  <Description>F\u{e9}</Description>");
    let latin: Vec<u8> = latin.chars().map(|one| one as u8).collect();
    assert_eq!(refused(&latin), ["LW0340 3:17 the file is not UTF-8 text | expected UTF-8, found byte 0xe9"]);
    assert_eq!(
        refused(b"\xFF\xFE<\0C\0"),
        ["LW0340 1:1 the file is not UTF-8 text | expected UTF-8, found a text of two bytes a character"]
    );
}

#[test]
fn large_and_deep_files_end_soon() {
    /// Far more than it takes; without a limit it would take minutes, gigabytes or the whole stack.
    const SOON: Duration = Duration::from_secs(20);
    let start = Instant::now();
    let large = vec![b' '; usize::try_from(FILE_BYTES_MAX).expect("small") + 1];
    assert!(refused(&large)[0].starts_with("LW0340 - "), "{:?}", refused(&large));
    let deep = "<ColorCorrection>".repeat(300_000);
    assert!(refused(deep.as_bytes())[0].starts_with("LW0341 "));
    let closed = format!("{deep}{}", "</ColorCorrection>".repeat(300_000));
    // Deep, and all the same one correction with an element that is not known.
    assert!(parse("deep.cc", closed.as_bytes()).is_ok());
    let many = format!(
        "<ColorCorrectionCollection>{}</ColorCorrectionCollection>",
        "<ColorCorrection id=\"a\"><SOPNode/></ColorCorrection>".repeat(100_000)
    );
    let found = refused(many.as_bytes());
    assert!(found.len() < 30, "{} diagnostics", found.len());
    assert!(start.elapsed() < SOON, "{:?}", start.elapsed());
}

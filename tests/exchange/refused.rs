//! What is refused, and in which words: each fault with its line and column.

use lookwright::diagnostics::{Diagnostic, Severity};
use lookwright::formats::clf::{FILE_BYTES_MAX, parse, read};
use snapbox::assert_data_eq;
use std::fmt::Write;
use std::path::Path;

/// A file around steps; the first step stands in line 3.
fn around(steps: &str) -> String {
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<ProcessList id=\"x\" compCLFversion=\"3.0\">\n{steps}\n</ProcessList>\n"
    )
}

const DEPTHS: &str = "inBitDepth=\"32f\" outBitDepth=\"32f\"";

/// A step in a file, with depths in place of `@`.
fn step(text: &str) -> String {
    around(&text.replace('@', DEPTHS))
}

fn told(diagnostics: &[Diagnostic]) -> String {
    let mut text = String::new();
    for diagnostic in diagnostics {
        let place = diagnostic.span.as_ref().map_or("-".to_owned(), |span| {
            let (line, column) = span.source.line_column(span.range.start);
            format!("{line}:{column}")
        });
        let kind = if diagnostic.severity == Severity::Error { "" } else { "warning " };
        let (code, message, label) = (diagnostic.code.id, &diagnostic.message, &diagnostic.label);
        writeln!(text, "{place} {kind}{code} {message}: {label} [{}]", diagnostic.help.join("; "))
            .expect("a string grows");
    }
    text
}

fn refused(text: &str) -> String {
    match parse("x.clf", text.as_bytes()) {
        Ok(file) => panic!("read: {:?}\n{text}", file.list),
        Err(faults) => {
            assert!(faults.iter().any(Diagnostic::is_error), "refused without an error");
            told(&faults)
        }
    }
}

fn refused_all(texts: &[String]) -> String {
    texts.iter().map(|text| refused(text)).collect()
}

const FREE: &str = "<Range @><minInValue>0</minInValue><minOutValue>0</minOutValue></Range>";

#[test]
fn other_files_and_versions() {
    let good = step(FREE);
    assert!(parse("good", good.as_bytes()).is_ok());
    let texts = [
        String::new(),
        "LUT_3D_SIZE 2\n0 0 0\n".to_owned(),
        good.replace("</Range>", ""),
        good[..good.len() / 2].to_owned(),
        good.replace("ProcessList", "ColorDecisionList"),
        good.replace("3.0", "3.1"),
        good.replace("3.0", "1.2"),
        good.replace("3.0", "three"),
        good.replace(" compCLFversion=\"3.0\"", ""),
        good.replace(" id=\"x\"", ""),
        good.replace("id=\"x\"", "id=\" \""),
        around(""),
    ];
    assert_data_eq!(refused_all(&texts), snapbox::file!["refused/versions.txt"]);
}

#[test]
fn unknown_missing_and_doubled_parts() {
    let texts = [
        step(&FREE.replace("Range", "Rnage")),
        step("<Gamma @/>"),
        step(&FREE.replace('@', "@ bypass=\"true\"")),
        step(&FREE.replace("</Range>", "0.5</Range>")),
        step("<LUT1D @><IndexMap dim=\"2\">64@0 940@1</IndexMap><Array dim=\"2 1\">0 1</Array></LUT1D>"),
        step("<LUT1D @><Array dim=\"2 1\">0 1</Array><Array dim=\"2 1\">0 1</Array></LUT1D>"),
        step("<LUT1D @/>"),
        step("<LUT3D @><Array>0 1</Array></LUT3D>"),
        step("<Matrix inBitDepth=\"32f\"><Array dim=\"3 3\">1 0 0 0 1 0 0 0 1</Array></Matrix>"),
        step("<Matrix inBitDepth=\"32f\" outBitDepth=\"14i\"><Array dim=\"3 3\">1 0 0 0 1 0 0 0 1</Array></Matrix>"),
        step("<Range @><minInValue>0</minInValue></Range>"),
        step("<Range @><maxOutValue>0</maxOutValue></Range>"),
        step("<Range @/>"),
        step("<Log @/>"),
        step("<Log @ style=\"linToLog\"/>"),
        step("<Log @ style=\"cameraLinToLog\"><LogParams base=\"10\"/></Log>"),
        step("<Log @ style=\"linToLog\"><LogParams channel=\"R\"/><LogParams channel=\"R\"/></Log>"),
        step("<Log @ style=\"linToLog\"><LogParams channel=\"R\"/><LogParams channel=\"G\"/></Log>"),
        step("<Exponent @ style=\"basicFwd\"/>"),
        step("<Exponent @ style=\"basicFwd\"><ExponentParams/></Exponent>"),
        step("<Exponent @ style=\"monCurveFwd\"><ExponentParams exponent=\"2\"/></Exponent>"),
        step("<ASC_CDL @><SOPNode><Slope>1 1 1</Slope><Power>1 1 1</Power></SOPNode></ASC_CDL>"),
        step("<ASC_CDL @><SatNode/></ASC_CDL>"),
        step("<ASC_CDL @><SATNode><Saturation>1</Saturation></SATNode></ASC_CDL>"),
    ];
    assert_data_eq!(refused_all(&texts), snapbox::file!["refused/parts.txt"]);
}

#[test]
fn values_that_can_not_be() {
    let texts = [
        step("<Range @ style=\"clamp\"><minInValue>0</minInValue><minOutValue>0</minOutValue></Range>"),
        step("<Range @ style=\"noClamp\"><minInValue>0</minInValue><minOutValue>0</minOutValue></Range>"),
        step("<Range @><minInValue>0</minInValue><minOutValue>0.1</minOutValue></Range>"),
        step("<Range @><minInValue>zero</minInValue><minOutValue>0 0</minOutValue></Range>"),
        step(
            "<Range @><minInValue>1</minInValue><maxInValue>1</maxInValue><minOutValue>0</minOutValue><maxOutValue>1</maxOutValue></Range>",
        ),
        step(
            "<Range @><minInValue>0</minInValue><maxInValue>1</maxInValue><minOutValue>1</minOutValue><maxOutValue>0</maxOutValue></Range>",
        ),
        step("<Log @ style=\"log3\"/>"),
        step("<Log @ style=\"linToLog\"><LogParams base=\"1\"/></Log>"),
        step("<Log @ style=\"linToLog\"><LogParams base=\"nan\"/></Log>"),
        step("<Log @ style=\"logToLin\"><LogParams linSideSlope=\"0\"/></Log>"),
        step("<Log @ style=\"cameraLinToLog\"><LogParams linSideBreak=\"-0.1\"/></Log>"),
        step(
            "<Log @ style=\"linToLog\"><LogParams channel=\"R\"/><LogParams channel=\"G\"/><LogParams channel=\"B\" base=\"10\"/></Log>",
        ),
        step("<Log @ style=\"linToLog\"><LogParams channel=\"A\"/></Log>"),
        step("<Exponent @ style=\"basicFwd\"><ExponentParams exponent=\"0\"/></Exponent>"),
        step("<Exponent @ style=\"basicFwd\"><ExponentParams exponent=\"2,2\"/></Exponent>"),
        step("<Exponent @ style=\"basicFwd\"><ExponentParams exponent=\"2\" offset=\"0\"/></Exponent>"),
        step("<Exponent @ style=\"monCurveRev\"><ExponentParams exponent=\"0.5\" offset=\"0\"/></Exponent>"),
        step("<Exponent @ style=\"monCurveRev\"><ExponentParams exponent=\"2\" offset=\"0.95\"/></Exponent>"),
        step("<ASC_CDL @><SOPNode><Slope>1 -1 1</Slope><Offset>0 0 0</Offset><Power>1 1 1</Power></SOPNode></ASC_CDL>"),
        step("<ASC_CDL @><SOPNode><Slope>1 1 1</Slope><Offset>0 0</Offset><Power>1 1 1</Power></SOPNode></ASC_CDL>"),
        step("<ASC_CDL @><SOPNode><Slope>1 1 1</Slope><Offset>0 0 0</Offset><Power>1 0 1</Power></SOPNode></ASC_CDL>"),
        step("<ASC_CDL @ style=\"Rev\"><SatNode><Saturation>0</Saturation></SatNode></ASC_CDL>"),
        step("<LUT1D @ interpolation=\"cubic\"><Array dim=\"2 1\">0 1</Array></LUT1D>"),
        step("<LUT1D @ rawHalfs=\"true\"><Array dim=\"2 1\">0 65536</Array></LUT1D>"),
        step("<LUT1D @ rawHalfs=\"true\"><Array dim=\"2 1\">0 31744</Array></LUT1D>"),
    ];
    assert_data_eq!(refused_all(&texts), snapbox::file!["refused/values.txt"]);
}

#[test]
fn arrays_that_do_not_fit() {
    let texts = [
        step("<LUT1D @><Array dim=\"1 1\">0</Array></LUT1D>"),
        step("<LUT1D @><Array dim=\"2 2\">0 1 2 3</Array></LUT1D>"),
        step("<LUT1D @><Array dim=\"99999999999999999999 3\">0 1</Array></LUT1D>"),
        step("<LUT1D @><Array dim=\"65536 3\">0 1</Array></LUT1D>"),
        step("<LUT1D @ halfDomain=\"true\"><Array dim=\"2 1\">0 1</Array></LUT1D>"),
        step("<LUT1D @><Array dim=\"3 1\">0\n0.5\n</Array></LUT1D>"),
        step("<LUT1D @><Array dim=\"2 1\">0\n0.5\n1</Array></LUT1D>"),
        step("<LUT1D @><Array dim=\"3 1\">0\n0,5\n1</Array></LUT1D>"),
        step("<LUT1D @><Array dim=\"3 1\">0\n  nan inf</Array></LUT1D>"),
        step("<LUT1D @><Array dim=\"3 1\">0\n0.<!-- -->5 1</Array></LUT1D>"),
        step("<LUT3D @><Array dim=\"2 2 3 3\">0</Array></LUT3D>"),
        step("<LUT3D @><Array dim=\"257 257 257 3\">0</Array></LUT3D>"),
        step("<LUT3D @><Array dim=\"256 256 256 3\">0</Array></LUT3D>"),
        step("<LUT3D @><Array dim=\"2 2 2\">0</Array></LUT3D>"),
        step("<Matrix @><Array dim=\"4 4\">0</Array></Matrix>"),
        step("<Matrix @><Array dim=\"3 3\">1 0 0 0 1 0 0 0</Array></Matrix>"),
        step("<Matrix @><Array dim=\"3 x\">1</Array></Matrix>"),
    ];
    assert_data_eq!(refused_all(&texts), snapbox::file!["refused/arrays.txt"]);
}

#[test]
fn depths_that_do_not_follow() {
    let range = |before, after| {
        format!(
            "<Range inBitDepth=\"{before}\" outBitDepth=\"{after}\"><minInValue>0</minInValue><minOutValue>0</minOutValue></Range>"
        )
    };
    let text = around(&[range("10i", "12i"), range("12i", "32f"), range("16f", "16f")].join("\n"));
    assert_data_eq!(refused(&text), snapbox::file!["refused/depths.txt"]);
}

/// All at once: every fault of a file is told, not the first one only, up to a limit.
#[test]
fn faults_are_told_together_up_to_a_limit() {
    let text =
        step("<Log @ style=\"log\"/>\n<Matrix @><Array dim=\"3 3\">1 0 0 0 1 x 0 0 y</Array></Matrix>\n<Rang @/>");
    let told_text = refused(&text);
    assert_eq!(told_text.lines().count(), 4, "{told_text}");
    let many = step(&format!("<LUT1D @><Array dim=\"100 1\">{}</Array></LUT1D>", "x ".repeat(100)));
    let Err(faults) = parse("many", many.as_bytes()) else { panic!("read") };
    assert_eq!(faults.len(), 20);
    assert_eq!(faults[19].help.last().map(String::as_str), Some("reading stopped here, after 20 errors"));
}

#[test]
fn declarations_and_texts_out_of_proportion() {
    let good = step(FREE);
    let laughs = good.replace(
        "<ProcessList",
        "<!DOCTYPE lolz [<!ENTITY lol \"lol\"><!ENTITY lol2 \"&lol;&lol;&lol;&lol;\">]>\n<ProcessList",
    );
    let attributes: String = (0..100_000).map(|index| format!(" a{index}=\"\"")).collect();
    let texts = [
        laughs,
        good.replace("<ProcessList", "<!doctype html>\n<ProcessList"),
        good.replace("id=\"x\"", "id=\"&lol;\""),
        good.replace(" id=\"x\"", &format!(" id=\"x\"{attributes}")),
        step(&format!("<Info>{}", "<a>".repeat(1000))),
        step(&"<Info/>".repeat(1_000_000)),
    ];
    assert_data_eq!(refused_all(&texts), snapbox::file!["refused/proportion.txt"]);
}

#[test]
fn bytes_that_are_no_text() {
    let good = step(FREE);
    let mut told_text = String::new();
    let mut latin = good.clone().into_bytes();
    latin.splice(60..60, [0xE9]);
    let wide: Vec<u8> = [0xFF, 0xFE].into_iter().chain(good.bytes().flat_map(|byte| [byte, 0])).collect();
    let zero = good.replace("id=\"x\"", "id=\"x\0\"").into_bytes();
    for bytes in [latin, wide, zero] {
        told_text += &told(&parse("x.clf", &bytes).expect_err("refused"));
    }
    assert_data_eq!(told_text, snapbox::file!["refused/bytes.txt"]);
}

#[test]
fn odd_forms_are_read_with_a_warning() {
    let texts = [
        step(FREE).replace("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n", ""),
        step(FREE).replace("3.0", "2.0"),
        step(FREE).replace("<ProcessList", "<ProcessList xmlns=\"urn:NATAS:AMPAS:LUT:v2.0\""),
        step("<LUT1D @ halfDomain=\"false\"><Array dim=\"2 1\">0 1</Array></LUT1D>"),
        step("<Log @ style=\"log10\"><LogParams base=\"2\"/></Log>"),
        step("<Log @ style=\"linToLog\"><LogParams linSideBreak=\"0.01\"/></Log>"),
        // The dimensions of version 2, which the specification asks readers to allow.
        step("<Matrix @><Array dim=\"3 3 3\">1 0 0 0 1 0 0 0 1</Array></Matrix>"),
    ];
    let read =
        |text: &String| told(&parse("x.clf", text.as_bytes()).unwrap_or_else(|faults| panic!("{faults:#?}")).warnings);
    assert_data_eq!(texts.iter().map(read).collect::<String>(), snapbox::file!["refused/warnings.txt"]);
}

#[test]
fn files_that_are_not_there_or_too_large() {
    let missing = read(Path::new("no/such/file.clf")).expect_err("refused");
    assert_eq!(missing[0].code.id, "LW0401");
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"));
    let path = folder.join("too-large.clf");
    let file = std::fs::File::create(&path).expect("a file");
    // A hole: takes no room on the disk.
    file.set_len(FILE_BYTES_MAX + 1).expect("a length");
    let large = read(&path).expect_err("refused");
    assert_eq!(large[0].code.id, "LW0401");
    assert!(large[0].message.contains("too large"), "{}", large[0].message);
    std::fs::remove_file(&path).expect("removed");
}

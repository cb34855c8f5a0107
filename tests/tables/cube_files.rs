//! Cube files are read as the format and the field have them, and written so that they come back.

use lookwright::diagnostics::{Code, Diagnostic, codes};
use lookwright::formats::cube::{self, CubeFile, Header, Newline, Tables, transliterate};
use lookwright::lut::{Domain, Interpolation, Table3};
use lookwright::maths::Rgb;
use proptest::prelude::*;
use std::fs;
use std::path::Path;

const FOLDER: &str = "tests/data/cube";

/// One row of tests/data/cube/index.toml. Rules from memory of the Cube LUT Specification 1.0, as the file says.
#[derive(serde::Deserialize)]
struct Case {
    file: String,
    bytes: usize,
    outcome: String,
    reason: String,
    kind: Option<String>,
    size: Option<usize>,
    title: Option<String>,
    domain_min: Option<Rgb>,
    domain_max: Option<Rgb>,
    #[serde(default)]
    check_in: Vec<Rgb>,
    #[serde(default)]
    check_out: Vec<Rgb>,
    check_tolerance: Option<f64>,
}

#[derive(serde::Deserialize)]
struct Index {
    file: Vec<Case>,
}

fn index() -> Vec<Case> {
    let text = fs::read_to_string(Path::new(FOLDER).join("index.toml")).expect("the index is there");
    toml::from_str::<Index>(&text).expect("the index is TOML").file
}

fn messages(diagnostics: &[Diagnostic]) -> String {
    diagnostics.iter().map(|found| format!("\n  {} {} ({})", found.code.id, found.message, found.label)).collect()
}

/// The errors of a file that must have some.
fn errors(bytes: &[u8]) -> Vec<Diagnostic> {
    let found = cube::parse("test.cube", bytes).expect_err("the file is wrong and was accepted");
    found.into_iter().filter(Diagnostic::is_error).collect()
}

fn accepted(bytes: &[u8]) -> CubeFile {
    cube::parse("test.cube", bytes)
        .unwrap_or_else(|found| panic!("the file is good and was refused:{}", messages(&found)))
}

/// Code, line and column of each diagnostic.
fn places(diagnostics: &[Diagnostic]) -> Vec<(&'static str, usize, usize)> {
    let place = |found: &Diagnostic| {
        let span = found.span.as_ref().unwrap_or_else(|| panic!("no place: {}", found.message));
        let (line, column) = span.source.line_column(span.range.start);
        (found.code.id, line, column)
    };
    diagnostics.iter().map(place).collect()
}

#[test]
fn every_file_of_the_index_has_the_outcome_that_it_states() {
    let cases = index();
    assert_eq!(
        cases.len(),
        fs::read_dir(FOLDER).expect("the folder is there").count() - 2,
        "files without a row, or rows without a file"
    );
    for case in cases {
        let path = Path::new(FOLDER).join(&case.file);
        let length = fs::metadata(&path).expect("the file is there").len();
        assert_eq!(length, case.bytes as u64, "{}: not the file that the index describes", case.file);
        match (case.outcome.as_str(), cube::read(&path)) {
            // Where a choice is left, this reader accepts, but for keywords that it doesn't know.
            ("accept", Ok(file)) => check_contents(&case, &file),
            ("either", Ok(file)) if case.file != "either_unknown_keyword.cube" => {
                assert!(!file.warnings.is_empty(), "{} ({}) was read without a warning", case.file, case.reason);
                check_contents(&case, &file);
            }
            ("either", Err(_)) if case.file == "either_unknown_keyword.cube" => {}
            ("reject", Err(found)) => check_errors(&case, &found),
            (outcome, Ok(_)) => panic!("{} ({}): accepted, expected {outcome}", case.file, case.reason),
            (outcome, Err(found)) => {
                panic!("{} ({}): refused, expected {outcome}:{}", case.file, case.reason, messages(&found))
            }
        }
    }
}

fn check_errors(case: &Case, found: &[Diagnostic]) {
    let errors: Vec<_> = found.iter().filter(|found| found.is_error()).collect();
    assert_eq!(errors.len(), 1, "{} ({}): one fault, so one error:{}", case.file, case.reason, messages(found));
    for error in errors {
        assert!(error.span.is_some(), "{}: {} has no place", case.file, error.message);
        assert!(!error.help.is_empty(), "{}: {} says not what to do", case.file, error.message);
        assert!(error.label.contains("expected") && error.label.contains("found"), "{}: {}", case.file, error.label);
    }
}

fn check_contents(case: &Case, file: &CubeFile) {
    let name = &case.file;
    if let Some(title) = &case.title {
        assert_eq!(file.title.as_deref().unwrap_or_default(), title, "{name}: title");
    }
    if case.kind.is_none() {
        return;
    }
    let (kind, size, domain) = match &file.tables {
        Tables::One(table) => ("1d", table.rows().len(), *table.domain()),
        Tables::Three(table) => ("3d", table.size(), *table.domain()),
        Tables::Shaped { .. } => panic!("{name}: no file of the index has both tables"),
    };
    assert_eq!(Some(kind), case.kind.as_deref(), "{name}: kind");
    assert_eq!(Some(size), case.size, "{name}: size");
    assert_eq!((Some(domain.min), Some(domain.max)), (case.domain_min, case.domain_max), "{name}: domain");
    assert_eq!(case.check_in.len(), case.check_out.len(), "{name}: checks");
    assert!(!case.check_in.is_empty(), "{name}: nothing to check");
    for (input, expected) in case.check_in.iter().zip(&case.check_out) {
        let found = match &file.tables {
            Tables::One(table) => table.sample(*input),
            Tables::Three(table) | Tables::Shaped { table, .. } => table.sample(*input, Interpolation::Trilinear),
        };
        for channel in 0..3 {
            let error = (found[channel] - expected[channel]).abs();
            let tolerance = case.check_tolerance.expect("a tolerance");
            assert!(error <= tolerance, "{name} at {input:?}, channel {channel}: off by {error:e}");
        }
    }
}

/// A text, and code, line and column of each of its errors.
type Faulty<'a> = (&'a str, &'a [(&'a str, usize, usize)]);

/// A good table of two points a side, without header.
const ROWS: &str =
    "0.0 0.0 0.0\n1.0 0.0 0.0\n0.0 1.0 0.0\n1.0 1.0 0.0\n0.0 0.0 1.0\n1.0 0.0 1.0\n0.0 1.0 1.0\n1.0 1.0 1.0\n";

#[test]
fn errors_name_code_line_and_column() {
    // The rules are those of the interface page; places counted by hand.
    let cases: &[Faulty<'_>] = &[
        ("TITLE \"a\"\nLUT_3D_SIZE 2\n{-1}0.5 0,5 0.5\n", &[("LW0304", 10, 5)]),
        ("LUT_3D_SIZE 2\nLUT_3D_SIZE 2\n{}", &[("LW0307", 2, 1)]),
        ("LUT_3D_SIZE 2\n{}TITLE \"late\"\n", &[("LW0308", 10, 1)]),
        ("{}LUT_3D_SIZE 2\n", &[("LW0302", 1, 1)]),
        ("LUT_3D_SIZE 257\n{}", &[("LW0303", 1, 13)]),
        ("LUT_1D_SIZE 65537\n{}", &[("LW0303", 1, 13)]),
        ("LUT_3D_SIZE 2 2\n{}", &[("LW0305", 1, 1)]),
        ("LUT_3D_SIZE 2\n{}9 9 9\n9 9 9\n", &[("LW0306", 10, 1)]),
        ("LUT_3D_SIZE 3\n{}", &[("LW0306", 1, 1)]),
        ("LUT_3D_SIZE 2\n", &[("LW0306", 1, 1)]),
        ("LUT_3D_SIZ 2\n{}", &[("LW0309", 1, 1), ("LW0302", 2, 1)]),
        ("FILM_GAMMA 2\nLUT_3D_SIZE 2\n{}", &[("LW0309", 1, 1)]),
        ("LUT_3D_SIZE 2\nLUT_IN_VIDEO_RANGE\n{}", &[("LW0310", 2, 1)]),
        ("lut_3d_video_range 1\nLUT_3D_SIZE 2\n{}", &[("LW0310", 1, 1)]),
        ("DOMAIN_MIN 0 0 0\nDOMAIN_MAX 1 0 1\nLUT_3D_SIZE 2\n{}", &[("LW0311", 2, 1)]),
        ("DOMAIN_MIN -1.7e308 0 0\nDOMAIN_MAX 1.7e308 1 1\nLUT_3D_SIZE 2\n{}", &[("LW0311", 2, 1)]),
        ("DOMAIN_MAX 2 2 2\nLUT_3D_INPUT_RANGE 0 1\nLUT_3D_SIZE 2\n{}", &[("LW0311", 2, 1)]),
        ("LUT_1D_INPUT_RANGE 0 1\nLUT_3D_SIZE 2\n{}", &[("LW0311", 1, 1)]),
        ("DOMAIN_MIN 0 x 0\nDOMAIN_MAX -1 -1 -1\nLUT_3D_SIZE 2\n{}", &[("LW0304", 1, 14)]),
        ("LUT_3D_INPUT_RANGE 1 0\nLUT_3D_SIZE 2\n{}", &[("LW0311", 1, 1)]),
        ("LUT_1D_SIZE 8\nLUT_3D_SIZE 2\n{}{}", &[("LW0312", 2, 1)]),
        ("LUT_3D_SIZE 2\n{-1}0.1 0.2\t0.3 0.4\n", &[("LW0305", 9, 1)]),
        ("LUT_3D_SIZE 2\n{-1}0.1 0.2 nan\n", &[("LW0304", 9, 9)]),
        ("LUT_3D_SIZE 2\n{-1}zero 0.2 0.3\n", &[("LW0304", 9, 1)]),
        ("LUT_3D_SIZE 2\n{}\u{0}", &[("LW0301", 10, 1)]),
        // Several independent faults at once, in the order of the file.
        (
            "TYTLE 3\nLUT_3D_SIZE 2\nDOMAIN_MIN 0 0\n{-1}0.1 x.5 0.3\n0.1 0.2 0.3\n",
            &[("LW0309", 1, 1), ("LW0305", 3, 1), ("LW0304", 11, 5), ("LW0306", 12, 1)],
        ),
    ];
    let short = &ROWS[..ROWS.len() - 12];
    for (text, expected) in cases {
        let text = text.replace("{-1}", short).replace("{}", ROWS);
        let found = errors(text.as_bytes());
        assert_eq!(places(&found), *expected, "{text}{}", messages(&found));
    }
}

#[test]
fn a_message_says_what_was_expected_and_found_and_what_to_do() {
    let found = errors(b"TITLE \"x\"\nLUT_3D_SIZE 2.5\n0.0 0.0 0.0\n");
    let [error] = &found[..] else { panic!("one error expected:{}", messages(&found)) };
    assert_eq!(error.message, "LUT_3D_SIZE is `2.5`");
    assert_eq!(error.label, "expected a whole number from 2 to 256, found `2.5`");
    assert_eq!(error.help, ["write the number of points a side; the cube root of the number of rows for a 3D table"]);
    let span = error.span.as_ref().expect("a place");
    assert_eq!(span.source.text, "LUT_3D_SIZE 2.5");
    assert_eq!(&span.source.text[span.range.clone()], "2.5");
}

#[test]
fn departures_are_read_with_a_warning_that_names_the_line() {
    let cases: &[(&[u8], &Code, usize)] = &[
        (b"\xEF\xBB\xBFTITLE \"a\"\nLUT_3D_SIZE 2\n", &codes::CUBE_ENCODING, 1),
        (b"TITLE \"F\xE4hre\"\nLUT_3D_SIZE 2\n", &codes::CUBE_ENCODING, 1),
        ("TITLE \"a\"\n# Fähre\nLUT_3D_SIZE 2\n".as_bytes(), &codes::CUBE_ENCODING, 2),
        (b"TITLE \"a\"\r\nLUT_3D_SIZE 2\n", &codes::CUBE_LINE_ENDS, 1),
        (b"TITLE \"a\"\nLUT_3D_SIZE 2\r", &codes::CUBE_LINE_ENDS, 2),
        (b"TITLE \"a\"\nLUT_3D_SIZE\t2\n", &codes::CUBE_SPACING, 2),
        (b"TITLE \"a\"\n  LUT_3D_SIZE 2\n", &codes::CUBE_SPACING, 2),
        (b"TITLE \"a\"\nlut_3d_size 2\n", &codes::CUBE_KEYWORD_CASE, 2),
        (b"TITLE a b\nLUT_3D_SIZE 2\n", &codes::CUBE_TITLE_FORM, 1),
        (b"TITLE \"a\nLUT_3D_SIZE 2\n", &codes::CUBE_TITLE_FORM, 1),
        (b"LUT_3D_SIZE 2\n", &codes::CUBE_TITLE_FORM, 2),
        (b"TITLE \"a\"\nTITLE \"b\"\nLUT_3D_SIZE 2\n", &codes::CUBE_TITLE_FORM, 2),
        (b"TITLE \"a\"\nLUT_3D_INPUT_RANGE 0.0 1.0\nLUT_3D_SIZE 2\n", &codes::CUBE_INPUT_RANGE, 2),
        (b"TITLE \"a\"\nAUTHOR someone\nLUT_3D_SIZE 2\n", &codes::CUBE_KEYWORD_IGNORED, 2),
        (b"TITLE \"a\"\nLUT_3D_SIZE +2\n", &codes::CUBE_NUMBER_FORM, 2),
    ];
    for (header, code, line) in cases {
        let text = [header, ROWS.as_bytes()].concat();
        let shown = String::from_utf8_lossy(header);
        let file = accepted(&text);
        let found: Vec<_> = places(&file.warnings).into_iter().map(|(code, line, _)| (code, line)).collect();
        assert_eq!(found, [(code.id, *line)], "{shown}{}", messages(&file.warnings));
        assert!(file.warnings[0].message.contains(&format!("line {line}")), "{}", file.warnings[0].message);
        assert_eq!(file.tables, accepted([b"LUT_3D_SIZE 2\n", ROWS.as_bytes()].concat().as_slice()).tables, "{shown}");
    }
}

#[test]
fn departures_inside_the_table_are_read_with_a_warning_that_names_the_line() {
    let plain = "TITLE \"a\"\nLUT_3D_SIZE 2\n".to_owned() + ROWS;
    let expected = accepted(plain.as_bytes());
    assert_eq!(expected.warnings, [], "a plain file has nothing to warn of");
    for (row, code) in [
        ("1 1.0 0.0\n", &codes::CUBE_NUMBER_FORM),
        ("+1.0 1.0 0.0\n", &codes::CUBE_NUMBER_FORM),
        ("1.0e0 10.0E-1 0.0\n", &codes::CUBE_NUMBER_FORM),
        ("1.0\t1.0 0.0\n", &codes::CUBE_SPACING),
        (" 1.0 1.0 0.0\n", &codes::CUBE_SPACING),
        ("\n1.0 1.0 0.0\n", &codes::CUBE_SPACING),
        ("# a comment\n1.0 1.0 0.0\n", &codes::CUBE_COMMENT_PLACE),
        ("1.0 1.0 0.0\r\n", &codes::CUBE_LINE_ENDS),
    ] {
        let file = accepted(plain.replace("1.0 1.0 0.0\n", row).as_bytes());
        assert_eq!(file.tables, expected.tables, "{row:?}");
        let found: Vec<_> = places(&file.warnings).into_iter().map(|(code, line, _)| (code, line)).collect();
        assert_eq!(found, [(code.id, 6)], "{row:?}{}", messages(&file.warnings));
    }
    let long = accepted((plain + "# " + &"x".repeat(300) + "\n\n \n").as_bytes());
    let found: Vec<_> = long.warnings.iter().map(|warning| warning.code.id).collect();
    assert_eq!(found, ["LW0326", "LW0328"], "a long comment after the table; what is empty there is no fault");
}

#[test]
fn the_combined_dialect_is_read_as_shaper_and_table() {
    // The dialect as the trade's notes describe it: sizes and ranges, then the 1D rows, then the 3D rows.
    let text = "TITLE \"a\"\nLUT_1D_SIZE 3\nLUT_1D_INPUT_RANGE -1.0 3.0\nLUT_3D_SIZE 2\nLUT_3D_INPUT_RANGE 0.0 2.0\n\
        0.0 0.0 0.0\n0.25 0.5 0.75\n2.0 2.0 2.0\n"
        .to_owned()
        + ROWS;
    let Tables::Shaped { shaper, table } = accepted(text.as_bytes()).tables else { panic!("not read as both tables") };
    assert_eq!(*shaper.domain(), Domain { min: [-1.0; 3], max: [3.0; 3] });
    assert_eq!(*table.domain(), Domain { min: [0.0; 3], max: [2.0; 3] });
    assert_eq!(shaper.rows(), [[0.0; 3], [0.25, 0.5, 0.75], [2.0; 3]]);
    assert_eq!((table.node(1, 0, 0), table.node(0, 0, 1)), ([1.0, 0.0, 0.0], [0.0, 0.0, 1.0]));
    // By hand: 0 lies half way to the middle row; the table halves its input.
    let shaped = shaper.sample([0.0; 3]);
    assert_eq!(table.sample(shaped, Interpolation::Trilinear), [0.0625, 0.125, 0.1875]);
}

#[test]
fn comments_and_titles_are_kept() {
    let file =
        accepted(("# one \n#two\nTITLE \"q \"x\" r\"\nLUT_3D_SIZE 2\n#\n".to_owned() + ROWS + "#  last").as_bytes());
    assert_eq!(file.comments, ["one", "two", "", "last"]);
    assert_eq!(file.title.as_deref(), Some("q \"x\" r"));
    let latin1 = accepted(&[b"TITLE \"F\xE4hre\"\nLUT_3D_SIZE 2\n", ROWS.as_bytes()].concat());
    assert_eq!(latin1.title.as_deref(), Some("Fähre"));
}

#[test]
fn a_missing_file_and_a_folder_are_unreadable() {
    for path in ["tests/data/cube/not-there.cube", "tests/data"] {
        let found = cube::read(Path::new(path)).expect_err("there is no such file");
        assert_eq!(found.len(), 1, "{path}");
        assert_eq!(found[0].code, &codes::FILE_UNREADABLE, "{path}");
        assert!(found[0].message.contains(path), "{}", found[0].message);
    }
}

#[test]
fn a_flood_of_errors_is_cut_short() {
    let text = "LUT_3D_SIZE 64\n".to_owned() + &"0.1 x 0.3\n".repeat(300_000);
    let found = errors(text.as_bytes());
    assert_eq!(found.len(), 20);
    assert!(found[19].help.iter().any(|help| help.contains("stopped")), "{:?}", found[19].help);
}

#[test]
fn diagnostics_stay_small_for_huge_lines() {
    for text in [vec![b'9'; 20_000_000], vec![0xC3; 20_000_000], [b"TITLE ".to_vec(), vec![b'"'; 20_000_000]].concat()]
    {
        for found in errors(&text) {
            let held = found.span.map_or(0, |span| span.source.text.len());
            assert!(held < 2000 && found.message.len() < 500, "{held} bytes held for {}", found.message);
        }
    }
}

/// A table that a look could give, and more.
fn tables(values: impl Strategy<Value = f64> + Clone) -> impl Strategy<Value = Table3> {
    (2..6_usize).prop_flat_map(move |size| {
        prop::collection::vec(prop::array::uniform3(values.clone()), size * size * size)
            .prop_map(move |nodes| Table3::new(size, Domain::UNIT, nodes).expect("as many nodes as the size asks for"))
    })
}

fn written(table: &Table3, header: &Header) -> Vec<u8> {
    let mut out = Vec::new();
    cube::write(table, header, &mut out);
    out
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_is_written_comes_back_rounded(
        table in tables(-0.5..1.5_f64),
        title in any::<String>(),
        comments in prop::collection::vec(any::<String>(), 0..4),
        decimals in 1..=17_usize,
        carriage_return in any::<bool>(),
    ) {
        let newline = if carriage_return { Newline::CarriageReturnLineFeed } else { Newline::LineFeed };
        let header = Header { title, comments, decimals, newline, ..Header::default() };
        let bytes = written(&table, &header);
        prop_assert!(bytes.is_ascii());
        prop_assert!(bytes.split(|&byte| byte == b'\n').all(|line| line.len() < 250));
        let file = accepted(&bytes);
        prop_assert!(carriage_return || file.warnings.is_empty(), "{}", messages(&file.warnings));
        prop_assert_eq!(file.title, Some(transliterate(&header.title).0));
        prop_assert_eq!(file.comments, header.comments.iter().map(|text| transliterate(text).0).collect::<Vec<_>>());
        let Tables::Three(back) = file.tables else { panic!("not a 3D table") };
        prop_assert_eq!((back.size(), back.domain()), (table.size(), table.domain()));
        for (found, exact) in back.nodes().iter().flatten().zip(table.nodes().iter().flatten()) {
            let rounded: f64 = format!("{exact:.decimals$}").parse().expect("a number");
            prop_assert_eq!(*found, rounded, "{} decimals of {:e}", decimals, exact);
        }
    }

    #[test]
    fn any_finite_table_comes_back(table in tables(any::<f64>().prop_filter("finite", |value| value.is_finite()))) {
        let file = accepted(&written(&table, &Header::default()));
        let Tables::Three(back) = file.tables else { panic!("not a 3D table") };
        for (found, exact) in back.nodes().iter().flatten().zip(table.nodes().iter().flatten()) {
            let rounded: f64 = format!("{exact:.6}").parse().expect("a number");
            prop_assert_eq!(*found, rounded, "{:e}", exact);
        }
    }

    #[test]
    fn a_table_with_what_is_not_a_number_is_never_read(table in tables(0.0..1.0_f64), place in any::<prop::sample::Index>()) {
        for wrong in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            let mut table = table.clone();
            let place = place.index(table.nodes().len());
            table.nodes_mut()[place][1] = wrong;
            prop_assert_eq!(errors(&written(&table, &Header::default())).len(), 1);
        }
    }

    #[test]
    fn other_domains_come_back_exactly(
        table in tables(0.0..1.0_f64), min in prop::array::uniform3(-1e9..0.0_f64), max in prop::array::uniform3(1e-9..1e9_f64),
    ) {
        let table = Table3::new(table.size(), Domain { min, max }, table.nodes().to_vec()).expect("the same nodes");
        let Tables::Three(back) = accepted(&written(&table, &Header::default())).tables else { panic!("not a 3D table") };
        prop_assert_eq!(back.domain(), table.domain());
    }
}

/// Whether a reader keeps its word for any input: no panic, and either tables of finite numbers or an error with a place.
fn check_any(bytes: &[u8]) -> Result<(), TestCaseError> {
    match cube::parse("any.cube", bytes) {
        Ok(file) => {
            let rows = match &file.tables {
                Tables::One(table) => table.rows().to_vec(),
                Tables::Three(table) => table.nodes().to_vec(),
                Tables::Shaped { shaper, table } => [shaper.rows(), table.nodes()].concat(),
            };
            prop_assert!(rows.iter().flatten().all(|value| value.is_finite()));
            prop_assert!(!file.warnings.iter().any(Diagnostic::is_error));
        }
        Err(found) => {
            prop_assert!(found.first().is_some_and(Diagnostic::is_error));
            prop_assert!(
                found.iter().all(|found| found.span.is_some() && !found.help.is_empty()),
                "{}",
                messages(&found)
            );
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 3000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..600)) {
        check_any(&bytes)?;
    }

    #[test]
    fn any_lines_of_the_format_are_read_or_refused(lines in prop::collection::vec(line(), 0..30)) {
        check_any(lines.concat().as_bytes())?;
    }

    #[test]
    fn damaged_files_are_read_or_refused(
        case in any::<prop::sample::Index>(),
        damages in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>(), 0..3_u8), 1..6),
    ) {
        let cases = files();
        let mut bytes = cases[case.index(cases.len())].clone();
        for (place, byte, kind) in damages {
            let place = place.index(bytes.len() + 1);
            match kind {
                0 => bytes.insert(place, byte),
                1 if place < bytes.len() => bytes[place] = byte,
                _ => bytes.truncate(place),
            }
        }
        check_any(&bytes)?;
    }
}

/// The bytes of every file of the index, read once.
fn files() -> &'static [Vec<u8>] {
    static FILES: std::sync::OnceLock<Vec<Vec<u8>>> = std::sync::OnceLock::new();
    FILES.get_or_init(|| {
        index().iter().map(|case| fs::read(Path::new(FOLDER).join(&case.file)).expect("the file is there")).collect()
    })
}

/// Lines that mean something, in any order.
fn line() -> impl Strategy<Value = String> {
    let row = r"[-+]?[0-9]{0,2}\.?[0-9]{0,9}(e[0-9])?";
    let keyword = prop::sample::select(vec![
        "TITLE",
        "LUT_1D_SIZE",
        "LUT_3D_SIZE",
        "DOMAIN_MIN",
        "DOMAIN_MAX",
        "LUT_1D_INPUT_RANGE",
        "LUT_3D_INPUT_RANGE",
        "#",
    ]);
    let end = prop::sample::select(vec!["\n", "\r\n", "\r", " \n", "\n\n"]);
    prop_oneof![
        3 => (prop::array::uniform3(row), end.clone()).prop_map(|(numbers, end)| numbers.join(" ") + end),
        2 => (keyword, prop::collection::vec("[0-3]", 0..4), end)
            .prop_map(|(keyword, values, end)| format!("{keyword} {}{end}", values.join(" "))),
    ]
}

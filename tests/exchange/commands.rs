//! Files of others in the commands: what they say against arithmetic that is written again here.

use lookwright::formats::image;
use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// A folder with files of one test.
struct Folder(tempfile::TempDir);

impl Folder {
    fn new() -> Self {
        Self(tempfile::tempdir().expect("a folder"))
    }

    fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    fn write(&self, name: &str, text: &str) -> &Self {
        std::fs::write(self.path(name), text).unwrap_or_else(|error| panic!("{name}: {error}"));
        self
    }

    fn run(&self, arguments: &str) -> Output {
        let program = Path::new(env!("CARGO_BIN_EXE_lookwright"));
        let words = arguments.split_whitespace();
        Command::new(program).args(words).current_dir(self.0.path()).output().expect("it runs")
    }

    /// The JSON document of a command that ends with this code.
    fn json(&self, code: i32, arguments: &str) -> Value {
        let output = self.run(&format!("{arguments} --json"));
        let text = String::from_utf8_lossy(&output.stdout);
        assert_eq!(output.status.code(), Some(code), "{arguments}: {text} {}", String::from_utf8_lossy(&output.stderr));
        serde_json::from_str(&text).unwrap_or_else(|error| panic!("{arguments}: {error}: {text}"))
    }

    /// What a command prints on both streams, if it ends with this code.
    fn text(&self, code: i32, arguments: &str) -> String {
        let output = self.run(arguments);
        let text = [output.stdout, output.stderr].map(|bytes| String::from_utf8_lossy(&bytes).into_owned()).concat();
        assert_eq!(output.status.code(), Some(code), "{arguments}: {text}");
        text
    }
}

/// A list with these steps.
fn list(input: &str, output: &str, steps: &str) -> String {
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<ProcessList id=\"urn:example:tidewater\" name=\"Tidewater\" compCLFversion=\"3.0\">\n\
         <Description>Ferry at the quay</Description>\n<InputDescriptor>{input}</InputDescriptor>\n<OutputDescriptor>{output}</OutputDescriptor>\n{steps}\n</ProcessList>\n"
    )
}

const FLOAT: &str = "inBitDepth=\"32f\" outBitDepth=\"32f\"";

/// S-Log3 to light, from the constants of the maker's technical summary: (code − 420)/261.5 above 171.2102946929, a line below.
fn s_log3_decode() -> String {
    let break_code = 171.210_294_692_9;
    format!(
        "<Log {FLOAT} style=\"cameraLogToLin\"><LogParams base=\"10\" logSideSlope=\"{}\" logSideOffset=\"{}\" linSideSlope=\"{}\" \
         linSideOffset=\"{}\" linSideBreak=\"0.01125\" linearSlope=\"{}\"/></Log>",
        261.5 / 1023.0,
        420.0 / 1023.0,
        1.0 / 0.19,
        0.01 / 0.19,
        (break_code - 95.0) / 1023.0 / 0.01125
    )
}

type Three = [[f64; 3]; 3];

fn determinant(m: &Three) -> f64 {
    let minor = |a: usize, b: usize| m[1][a] * m[2][b] - m[1][b] * m[2][a];
    m[0][0] * minor(1, 2) - m[0][1] * minor(0, 2) + m[0][2] * minor(0, 1)
}

/// The inverse by cofactors.
fn inverse(m: &Three) -> Three {
    let of = |row: usize, column: usize| {
        let (a, b, c, d) = ((column + 1) % 3, (column + 2) % 3, (row + 1) % 3, (row + 2) % 3);
        (m[a][c] * m[b][d] - m[a][d] * m[b][c]) / determinant(m)
    };
    [0, 1, 2].map(|row| [0, 1, 2].map(|column| of(row, column)))
}

fn times(a: &Three, b: &Three) -> Three {
    [0, 1, 2].map(|row| [0, 1, 2].map(|column| (0..3).map(|k| a[row][k] * b[k][column]).sum()))
}

/// RGB to XYZ from the chromaticities of primaries and of D65 (0.3127, 0.3290), by SMPTE RP 177.
fn to_xyz(primaries: [[f64; 2]; 3]) -> Three {
    let columns = primaries.map(|[x, y]| [x / y, 1.0, (1.0 - x - y) / y]);
    let p: Three = [0, 1, 2].map(|row| [0, 1, 2].map(|column: usize| columns[column][row]));
    let white = [0.3127 / 0.3290, 1.0, (1.0 - 0.3127 - 0.3290) / 0.3290];
    let back = inverse(&p);
    let scale = back.map(|row| (0..3).map(|k| row[k] * white[k]).sum::<f64>());
    p.map(|row| [0, 1, 2].map(|column| row[column] * scale[column]))
}

/// S-Gamut3.Cine (the maker's technical summary) to BT.709 (ITU-R BT.709-6); both have D65.
fn to_bt709() -> Three {
    let cine = to_xyz([[0.766, 0.275], [0.225, 0.800], [0.089, -0.087]]);
    let bt709 = to_xyz([[0.640, 0.330], [0.300, 0.600], [0.150, 0.060]]);
    times(&inverse(&bt709), &cine)
}

/// From light in S-Gamut3.Cine to the signal of a BT.1886 display (power 2.4, black of no light) in BT.709.
fn to_display(matrix: &Three) -> String {
    let row = |row: &[f64; 3]| row.map(|value| value.to_string()).join(" ");
    let rows = [0, 1, 2].map(|place| row(&matrix[place])).join("\n");
    format!(
        "<Matrix {FLOAT}><Array dim=\"3 3\">\n{rows}\n</Array></Matrix>\n\
         <Range {FLOAT}><minInValue>0</minInValue><maxInValue>1</maxInValue><minOutValue>0</minOutValue><maxOutValue>1</maxOutValue></Range>\n\
         <Exponent {FLOAT} style=\"basicRev\"><ExponentParams exponent=\"2.4\"/></Exponent>"
    )
}

/// The same conversion as a recipe.
const PLAIN: &str = "lookwright = 1\n[look]\nname = \"Plain\"\n[camera]\nencoding = \"s-log3\"\ngamut = \"s-gamut3.cine\"\n[gamut]\ninput_compress = false\noutput_compress = false\n\
                     [display]\nencoding = \"bt1886\"\ngamut = \"bt709\"\n";

/// Printed and parsed constants leave less than this of a CIEDE2000: the digits of the maker's constants.
const NOTHING: f64 = 1e-3;

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or(f64::NAN)
}

#[test]
fn a_list_that_is_a_recipe_shows_its_picture() {
    let folder = Folder::new();
    let steps = s_log3_decode() + &to_display(&to_bt709());
    let (input, output) = ("S-Log3 / S-Gamut3.Cine", "BT.1886 / BT.709");
    folder.write("plain.toml", PLAIN).write("plain.clf", &list(input, output, &steps));
    let said = folder.json(0, "compare plain.clf plain.toml");
    let most = number(&said["comparison"]["max_de"]);
    assert!(most < NOTHING, "compare: {most}");
    let said = folder.json(0, "verify plain.clf --recipe plain.toml");
    let held = &said["files"][0];
    assert_eq!(held["pass"], true);
    assert!(held["nodes"].is_null() && held["why_no_nodes"].as_str().is_some_and(|why| why.contains("has none")));
    let most = number(&held["verify"]["patch_max_de"]);
    assert!(most < NOTHING, "verify: {most}");
    assert!(number(&held["anywhere"]["codes"]) < 0.01, "{}", held["anywhere"]);
    // A list that is a tenth of a stop off in red is another look.
    let mut wrong = to_bt709();
    wrong[0] = wrong[0].map(|value| value * 1.07);
    folder.write("wrong.clf", &list(input, output, &(s_log3_decode() + &to_display(&wrong))));
    let said = folder.json(1, "verify wrong.clf --recipe plain.toml");
    assert_eq!(said["files"][0]["pass"], false);
    folder.text(1, "compare wrong.clf plain.toml --max-de 0.5");
    folder.text(0, "compare plain.clf plain.toml --max-de 0.5");
}

#[test]
fn a_list_is_known_by_its_root_whatever_it_is_called() {
    let folder = Folder::new();
    let text = list("", "", &(s_log3_decode() + &to_display(&to_bt709())));
    for name in ["list.xml", "list.cube", "list"] {
        folder.write(name, &text);
        let said = folder.json(0, &format!("inspect {name}"));
        assert_eq!(said["files"][0]["format"], "common-lut-format", "{name}");
        assert_eq!(said["files"][0]["steps"].as_array().map(Vec::len), Some(4), "{name}");
    }
}

#[test]
fn a_list_that_takes_light_is_not_taken_for_a_log_signal() {
    let folder = Folder::new();
    let steps = to_display(&to_bt709());
    folder
        .write("plain.toml", PLAIN)
        .write("light.clf", &list("scene-linear S-Gamut3.Cine", "BT.1886 / BT.709", &steps));
    let said = folder.json(0, "inspect light.clf");
    let file = &said["files"][0];
    assert_eq!((&file["light"], &file["camera"]["known"]), (&Value::from("s-gamut3.cine"), &Value::from("light")));
    // 18 % grey is 0.18 of display white: its signal is 0.18 to the power of 1/2.4, whatever carries the light.
    let grey = number(&file["picture"]["mid_grey_signal"]);
    assert!((grey - libm::pow(0.18, 1.0 / 2.4)).abs() < 1e-6, "{grey}");
    assert!(folder.text(0, "inspect light.clf").contains("no log signal"));
    // The recipe's camera gives it light.
    let said = folder.json(0, "compare light.clf plain.toml");
    let most = number(&said["comparison"]["max_de"]);
    assert!(most < NOTHING, "{most}");
    assert_eq!(folder.json(0, "verify light.clf --recipe plain.toml")["files"][0]["pass"], true);
    // Without a recipe, a log still is refused, and named as a camera's it is decoded.
    folder.text(0, "chart --encoding s-log3 --gamut s-gamut3.cine --kind grey-scale --size 640x360 --out grey.png");
    let still = "grey.png";
    let refused = folder.text(2, &format!("preview light.clf {still}"));
    assert!(refused.contains("LW0833") && refused.contains("--input"), "{refused}");
    folder.text(0, &format!("preview light.clf {still} --input s-log3/s-gamut3.cine --out by-name"));
    folder.text(0, &format!("preview plain.toml {still} --exact --out by-recipe"));
    let end = still.trim_end_matches(".png");
    let by_name = frame(&folder.path(&format!("by-name/{end}.light.png")));
    let by_recipe = frame(&folder.path(&format!("by-recipe/{end}.plain.png")));
    // A 16-bit code for each rounding.
    assert!(largest_difference(&by_name, &by_recipe) <= 2.0 / 65535.0);
    // Where nothing describes the input, a step that makes a logarithm of it says so.
    folder.write("bare.clf", &list("", "", &format!("<Log {FLOAT} style=\"log2\"/>{steps}")));
    let said = folder.json(0, "inspect bare.clf");
    assert_eq!(
        (&said["files"][0]["ends"]["takes"]["light"], &said["files"][0]["light"]),
        (&true.into(), &"aces2065-1".into())
    );
    // And what is given counts.
    assert!(folder.json(0, "inspect bare.clf --encoding s-log3")["files"][0]["light"].is_null());
    assert_eq!(folder.json(0, "inspect bare.clf --encoding linear --gamut acescg")["files"][0]["light"], "acescg");
}

fn frame(path: &Path) -> Vec<[f64; 3]> {
    let frame = image::read(path).unwrap_or_else(|found| panic!("{}: {found:?}", path.display()));
    let places = (0..frame.height()).flat_map(|y| (0..frame.width()).map(move |x| (x, y)));
    places.filter_map(|(x, y)| frame.pixel(x, y)).collect()
}

fn largest_difference(a: &[[f64; 3]], b: &[[f64; 3]]) -> f64 {
    assert_eq!(a.len(), b.len());
    assert!(!a.is_empty());
    a.iter().zip(b).flat_map(|(a, b)| [0, 1, 2].map(|i| (a[i] - b[i]).abs())).fold(0.0, f64::max)
}

#[test]
fn a_list_that_holds_a_cube_is_that_cube() {
    let folder = Folder::new();
    let node = |r: usize, g: usize, b: usize| {
        let [r, g, b] = [r, g, b].map(|index| index as f64 / 4.0);
        format!("{:.6} {:.6} {:.6}", r * r * 0.7 + 0.2 * g + 0.013, g * 0.9 + 0.05 * b, (b * 0.8 + 0.1 * r * g).sqrt())
    };
    let all = || (0..5).flat_map(|a| (0..5).flat_map(move |b| (0..5).map(move |c| [a, b, c])));
    // A cube has red fastest, a list blue. [clf]
    let cube: Vec<String> = all().map(|[b, g, r]| node(r, g, b)).collect();
    let steps: Vec<String> = all().map(|[r, g, b]| node(r, g, b)).collect();
    folder.write("held.cube", &format!("LUT_3D_SIZE 5\n{}\n", cube.join("\n")));
    let step = format!(
        "<LUT3D {FLOAT} interpolation=\"tetrahedral\"><Array dim=\"5 5 5 3\">\n{}\n</Array></LUT3D>",
        steps.join("\n")
    );
    folder.write("list.clf", &list("", "", &step));
    let said = folder.json(0, "compare list.clf held.cube");
    assert!(number(&said["comparison"]["max_de"]) < 1e-6, "{}", said["comparison"]["max_de"]);
    // As if both were for another camera, and a report of both.
    folder.json(0, "compare list.clf held.cube --encoding v-log --max-de 0.001");
    let said = folder.json(0, "compare list.clf held.cube --report");
    let report = std::fs::read_to_string(folder.path(said["report"].as_str().expect("a report"))).expect("the report");
    assert!(report.contains("list of one step"), "the report names the list");
    let said = folder.json(0, "inspect list.clf --report");
    let report = folder.path(said["files"][0]["report"].as_str().expect("a report"));
    assert!(std::fs::read_to_string(report).expect("the report").contains("LUT3D, 5 points a side"));
}

const GRADE: &str = "slope = [1.1, 1.0, 0.9]\noffset = [0.01, 0, -0.01]\npower = [1, 1.05, 1]\nsaturation = 0.9\n";

fn correction(id: &str, slope: &str) -> String {
    format!(
        "<ColorCorrection id=\"{id}\"><Description>Lounge</Description><SOPNode><Slope>{slope}</Slope><Offset>0.01 0 -0.01</Offset>\
         <Power>1 1.05 1</Power></SOPNode><SatNode><Saturation>0.9</Saturation></SatNode></ColorCorrection>"
    )
}

const XML: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n";

const SMALL_CUBE: &str = "LUT_3D_SIZE 2\n0 0 0\n1 0 0\n0 1 0\n1 1 0\n0 0 1\n1 0 1\n0 1 1\n1 1 1\n";

fn corrections() -> Folder {
    let folder = Folder::new();
    let one = correction("12A", "1.1 1.0 0.9").replace("id=", "xmlns=\"urn:ASC:CDL:v1.01\" id=");
    folder.write("grade.cc", &format!("{XML}{one}"));
    let both = correction("12A", "1.1 1.0 0.9") + &correction("13B", "1 1 1");
    folder.write(
        "both.ccc",
        &format!("{XML}<ColorCorrectionCollection xmlns=\"urn:ASC:CDL:v1.01\">{both}</ColorCorrectionCollection>"),
    );
    let event = |number: &str, more: &str| {
        format!("{number}  A001 V C 01:00:00:00 01:00:04:00 10:00:00:00 10:00:04:00\n{more}")
    };
    folder.write(
        "cut.edl",
        &format!(
            "TITLE: TIDEWATER\nFCM: NON-DROP FRAME\n{}{}{}",
            event("001", "* FROM CLIP NAME: LOUNGE\n* ASC_SOP (1.1 1.0 0.9)(0.01 0 -0.01)(1 1.05 1)\n* ASC_SAT 0.9\n"),
            event("002", "* FROM CLIP NAME: DECK\n"),
            event("003", "* ASC_CC_XML 13B\n"),
        ),
    );
    folder.write("grade.toml", &format!("{PLAIN}[tone]\n[grade]\n{GRADE}"));
    folder.write("more.toml", &format!("{PLAIN}[tone]\n[grade]\n{GRADE}[white]\nwarmer_mired = 40\n"));
    folder
}

#[test]
fn a_correction_is_the_grade_of_a_recipe() {
    let folder = corrections();
    let said = folder.json(0, "compare grade.cc grade.toml");
    assert_eq!(said["comparison"]["max_de"], 0.0);
    assert_eq!(said["parameters"], serde_json::json!([]));
    for other in ["cut.edl --id 1", "cut.edl --id LOUNGE", "both.ccc --id 12A"] {
        let said = folder.json(0, &format!("compare grade.cc {other} --recipe more.toml"));
        assert_eq!(said["comparison"]["max_de"], 0.0, "{other}");
    }
    let said = folder.json(0, "compare both.ccc both.ccc --id 12A --id 13B");
    assert!(number(&said["comparison"]["max_de"]) > 1.0);
    assert_eq!(said["parameters"][0]["key"], "grade.slope");
    // The grade alone, and the grade under a warmer look: 40 mired are seen.
    let held =
        |recipe: &str, code: i32| folder.json(code, &format!("verify grade.cc --recipe {recipe}"))["files"][0].clone();
    let alone = held("grade.toml", 0);
    assert_eq!((&alone["is_grade"], &alone["look_is_nothing_but_its_grade"]), (&true.into(), &true.into()));
    assert_eq!((&alone["verify"]["patch_max_de"], &alone["verify"]["grey_max_codes"]), (&0.0.into(), &0.0.into()));
    let under = held("more.toml", 0);
    assert_eq!((&under["pass"], &under["look_is_nothing_but_its_grade"]), (&true.into(), &false.into()));
    assert!(number(&under["verify"]["patch_mean_de"]) > 1.0 && under["verify"]["pass"] == false);
    // Another correction is not the recipe's.
    let other = folder.json(1, "verify both.ccc --id 13B --recipe grade.toml")["files"][0].clone();
    assert_eq!((&other["is_grade"], &other["differences"][0]["key"]), (&false.into(), &"grade.slope".into()));
    // And in pictures.
    folder.text(0, "preview grade.cc --recipe more.toml --out of-file");
    folder.text(0, "preview grade.toml --out of-recipe");
    let (a, b) = (folder.path("of-file/chart.grade.png"), folder.path("of-recipe/chart.plain.png"));
    assert_eq!(largest_difference(&frame(&a), &frame(&b)), 0.0);
}

#[test]
fn what_a_correction_does_to_greys_is_its_formula_in_acescct() {
    let folder = corrections();
    let said = folder.json(0, "inspect grade.cc");
    let one = &said["files"][0]["corrections"][0];
    assert_eq!(
        (&one["id"], &one["descriptions"][0], &one["does"]["identity"]),
        (&"12A".into(), &"Lounge".into(), &false.into())
    );
    assert_eq!(one["cdl"]["slope"], serde_json::json!([1.1, 1.0, 0.9]));
    // ACEScct (S-2016-001, above its break), the formula of ASC CDL v1.2, and the luminance of AP1 (S-2014-004's matrix).
    let encode = |light: f64| (libm::log2(light) + 9.72) / 17.52;
    let decode = |signal: f64| libm::exp2(signal * 17.52 - 9.72);
    let expected = |stops: f64| {
        let signal = encode(0.18 * libm::exp2(stops));
        let graded = [(1.1, 0.01, 1.0), (1.0, 0.0, 1.05), (0.9, -0.01, 1.0)]
            .map(|(s, o, p): (f64, f64, f64)| libm::pow(signal * s + o, p));
        let luma = 0.2126 * graded[0] + 0.7152 * graded[1] + 0.0722 * graded[2];
        let light = graded.map(|value| decode(luma + 0.9 * (value - luma)));
        libm::log2((0.272_228_716_8 * light[0] + 0.674_081_765_8 * light[1] + 0.053_689_517_4 * light[2]) / 0.18)
    };
    let greys = one["does"]["greys"].as_array().expect("greys");
    for grey in greys.iter().filter(|grey| number(&grey["stops"]).abs() <= 4.0) {
        let (stops, out) = (number(&grey["stops"]), number(&grey["stops_out"]));
        assert!((out - expected(stops)).abs() < 1e-6, "{stops}: {out}, expected {}", expected(stops));
    }
    let contrast = number(&one["does"]["contrast"]);
    assert!((contrast - (expected(0.5) - expected(-0.5))).abs() < 1e-6);
    let words = one["does"]["words"].as_str().expect("words");
    assert!(words.contains("warmer") && words.contains("saturation 0.9 times"), "{words}");
    assert!(folder.text(0, "inspect grade.cc").contains("0.01 0 -0.01"));
}

#[test]
fn the_events_of_a_list_are_told() {
    let folder = corrections();
    let said = folder.json(0, "inspect cut.edl");
    let events = said["files"][0]["events"].as_array().expect("events").clone();
    let of = |place: usize, key: &str| events[place][key].clone();
    assert_eq!(events.len(), 3);
    assert_eq!((of(0, "clip"), of(0, "source")), ("LOUNGE".into(), serde_json::json!(["01:00:00:00", "01:00:04:00"])));
    assert_eq!(of(0, "cdl")["saturation"], 0.9);
    assert!(of(1, "cdl").is_null() && of(1, "correction_id").is_null());
    assert_eq!(of(2, "correction_id"), "13B");
    let text = folder.text(0, "inspect cut.edl");
    assert!(text.contains("2 of 3 events have none of their own") && text.contains("another file: 13B"), "{text}");
    // By number without zeros, by the id behind ASC_CC_XML.
    for id in ["3", "003", "13B"] {
        assert_eq!(
            folder.json(0, &format!("inspect cut.edl --id {id}"))["files"][0]["events"][0]["number"],
            "003",
            "{id}"
        );
    }
}

/// Another saturation by a hundredth differs as `compare` says; numbers rounded to six decimals are still the same.
#[test]
fn a_correction_is_held_against_the_grade_of_a_recipe() {
    let folder = corrections();
    let of = |arguments: &str| folder.json(0, &format!("inspect {arguments}"))["files"][0].clone();
    let same = of("grade.cc --recipe more.toml");
    assert_eq!(same["seen_through"], "plain conversion of --recipe");
    let grade = &same["corrections"][0]["grade"];
    assert_eq!(
        (&grade["agrees"], &grade["differences"], grade["max_de"].is_null()),
        (&"exactly".into(), &serde_json::json!([]), true)
    );
    let rounded =
        std::fs::read_to_string(folder.path("grade.cc")).expect("there").replace("1.1 1.0 0.9", "1.1000004 1.0 0.9");
    folder.write("rounded.cc", &rounded);
    assert_eq!(of("rounded.cc --recipe grade.toml")["corrections"][0]["grade"]["agrees"], "to six decimals");
    let grade = of("both.ccc --id 13B --recipe grade.toml")["corrections"][0]["grade"].clone();
    assert!(grade["agrees"].is_null() && grade["differences"][0]["key"] == "grade.slope", "{grade}");
    let compared = folder.json(0, "compare both.ccc both.ccc --id 13B --id 12A --recipe grade.toml");
    assert_eq!(grade["max_de"], compared["comparison"]["max_de"]);
    let text = folder.text(0, "inspect both.ccc --id 13B --recipe grade.toml");
    assert!(text.contains("slope: here [1, 1, 1], in [grade] [1.1, 1, 0.9]"), "{text}");
    // Of a list, beside each event that has one.
    let events = of("cut.edl --recipe grade.toml")["events"].clone();
    assert_eq!((&events[0]["grade"]["agrees"], events[1].get("grade")), (&"exactly".into(), None));
    // Without a recipe nothing is said of one.
    assert!(of("grade.cc")["corrections"][0].get("grade").is_none());
}

#[test]
fn a_correction_finds_its_look_in_a_show() {
    let folder = corrections();
    let looks = ["12A", "deck"].map(|id| {
        format!("[[look]]\nid = \"{id}\"\nrecipe = \"{}.toml\"\n", if id == "deck" { "plain" } else { "grade" })
    });
    folder.write("plain.toml", PLAIN).write(
        "show.toml",
        &format!(
            "lookwright = 1\n[show]\nname = \"Tidewater\"\n[[camera]]\nid = \"a\"\nencoding = \"s-log3\"\ngamut = \"s-gamut3.cine\"\n\
             [[monitor]]\nid = \"m\"\n{}",
            looks.concat()
        ),
    );
    let of = |arguments: &str| folder.json(0, &format!("inspect {arguments} --recipe show.toml"))["files"][0].clone();
    // By its id, whatever its numbers; by its numbers, whatever its id; by neither.
    let grade = |file: &Value, place: usize| file["corrections"][place]["grade"].clone();
    assert_eq!(grade(&of("grade.cc"), 0)["of"], "12a");
    let text = std::fs::read_to_string(folder.path("grade.cc")).expect("there");
    folder
        .write("other.cc", &text.replace("12A", "x"))
        .write("none.cc", &text.replace("12A", "x").replace("1.1 ", "1.2 "));
    folder.write("named.cc", &text.replace("1.1 ", "1.2 "));
    assert_eq!(
        (grade(&of("other.cc"), 0)["of"].clone(), grade(&of("named.cc"), 0)["of"].clone()),
        ("12a".into(), "12a".into())
    );
    assert!(grade(&of("named.cc"), 0)["agrees"].is_null() && grade(&of("none.cc"), 0)["of"].is_null());
    assert_eq!(of("cut.edl")["events"][0]["grade"]["of"], "12a");
    // A cube has a camera and a display, of which a show has several.
    folder.write("small.cube", SMALL_CUBE);
    let refused = folder.text(2, "inspect small.cube --recipe show.toml");
    assert!(refused.contains("identify small.cube --among show.toml"), "{refused}");
}

/// What the command line says counts before the recipe, and a list's own descriptors too.
#[test]
fn files_are_seen_as_the_recipe_that_is_named() {
    let folder = corrections();
    folder.write("small.cube", SMALL_CUBE).write("light.clf", &list("linear ACEScg", "sRGB", &to_display(&to_bt709())));
    folder.write("bare.clf", &list("", "", &(s_log3_decode() + &to_display(&to_bt709()))));
    folder.write("hdr.toml", &PLAIN.replace("bt1886", "gamma26").replace("bt709", "p3-d65"));
    let of = |arguments: &str| folder.json(0, &format!("inspect {arguments} --recipe hdr.toml"))["files"][0].clone();
    for (arguments, camera, display) in [
        ("small.cube", "s-log3", "gamma26"),
        ("small.cube --encoding logc4", "logc4", "gamma26"),
        ("small.cube --display srgb", "s-log3", "srgb"),
        ("bare.clf", "s-log3", "gamma26"),
        ("light.clf", "acescct", "srgb"),
    ] {
        let found = of(arguments);
        assert_eq!(
            (&found["camera"]["encoding"], &found["display"]["encoding"]),
            (&camera.into(), &display.into()),
            "{arguments}"
        );
    }
    assert_eq!(of("light.clf")["light"], "acescg");
}

/// What the descriptors say of a display, by spellings that the trade has; more of them beside the table in `src/verify/display_words.rs`.
#[test]
fn a_list_s_display_is_known_by_the_trade_s_spellings() {
    let folder = Folder::new();
    let steps = s_log3_decode() + &to_display(&to_bt709());
    for (words, is) in [
        ("ITU-R BT.709", "a display's signal, bt1886 / bt709"),
        ("Rec.709, from S-Log3", "a display's signal, bt1886 / bt709"),
        ("S-Log3 to sRGB", "a display's signal, srgb / srgb"),
        ("Rec.2020/PQ 600 nits", "a display's signal, pq / bt2020, 600 cd/m²"),
        ("Rec.709 primaries, linear", "light, linear / bt709"),
        ("S-Log3 / Rec.709", "a camera's signal, s-log3 / bt709"),
    ] {
        folder.write("list.clf", &list("S-Log3 / S-Gamut3.Cine", words, &steps));
        let ends = folder.json(0, "inspect list.clf")["files"][0]["ends"].clone();
        assert_eq!((&ends["gives"]["is"], &ends["gives"]["known"]), (&is.into(), &"descriptor".into()), "{words}");
        assert_eq!(ends["gives"]["peak_is_taken"], false, "{words}");
    }
    folder.write("list.clf", &list("S-Log3 / S-Gamut3.Cine", "Rec.2020/PQ", &steps));
    assert!(folder.text(0, "inspect list.clf").contains("1000 cd/m² are taken"));
    folder.write("other.clf", &list("S-Log3 / S-Gamut3.Cine", "Rec.709", &steps));
    let said = folder.json(0, "compare list.clf other.clf");
    assert!(said["a"]["seen_as"].as_str().is_some_and(|seen| seen.contains("pq / bt2020")), "{}", said["a"]);
    let text = folder.text(0, "compare list.clf other.clf");
    assert_eq!(text.matches("as the list's descriptors say").count(), 2, "{text}");
}

#[test]
fn pixels_are_those_of_the_steps() {
    let folder = Folder::new();
    // Each channel its own power, then a mixture that stays inside 0..1.
    let steps = format!(
        "<Exponent {FLOAT} style=\"basicFwd\"><ExponentParams channel=\"R\" exponent=\"1.5\"/><ExponentParams channel=\"G\" exponent=\"2\"/>\
         <ExponentParams channel=\"B\" exponent=\"0.5\"/></Exponent>\
         <Matrix {FLOAT}><Array dim=\"3 3\">0.6 0.3 0.1 0.1 0.8 0.1 0.2 0.2 0.6</Array></Matrix>"
    );
    folder.write("steps.clf", &list("", "", &steps));
    let codes: Vec<u16> = (0..3 * 16 * 9_u32).map(|place| (place * 25_253 % 65_536) as u16).collect();
    let still = lookwright::picture::Frame::from_sixteen_bit(16, 9, false, codes).expect("a frame");
    image::write(&folder.path("still.png"), &still, &image::WriteOptions::default()).expect("written");
    folder.text(0, "preview steps.clf still.png");
    let shown = frame(&folder.path("previews/still.steps.png"));
    let expected: Vec<[f64; 3]> = frame(&folder.path("still.png"))
        .iter()
        .map(|[r, g, b]| {
            let [r, g, b] = [libm::pow(*r, 1.5), g * g, b.sqrt()];
            [0.6 * r + 0.3 * g + 0.1 * b, 0.1 * r + 0.8 * g + 0.1 * b, 0.2 * r + 0.2 * g + 0.6 * b]
        })
        .collect();
    // Half a 16-bit code of rounding, and a little of the arithmetic.
    assert!(largest_difference(&shown, &expected) <= 0.501 / 65535.0);
    assert_eq!(folder.json(0, "preview steps.clf still.png")["looks"][0]["applied"], "steps");
}

#[test]
fn what_cant_be_done_is_refused_with_a_reason() {
    let folder = corrections();
    let input = list("S-Log3 / S-Gamut3.Cine", "scene-linear ACES2065-1", &s_log3_decode());
    folder.write("input.clf", &input).write("cube.clf", "LUT_3D_SIZE 2\n0 0 0\n").write("plain.toml", PLAIN);
    folder.write(
        "empty.ccc",
        &format!("{XML}<ColorCorrectionCollection xmlns=\"urn:ASC:CDL:v1.01\"></ColorCorrectionCollection>"),
    );
    folder.write("odd.clf", &list("", "", &format!("<Sharpen {FLOAT}/>")));
    folder.write("small.cube", SMALL_CUBE);
    for (code, arguments, said) in [
        (2, "inspect cube.clf", "LW0330"),
        (2, "inspect odd.clf", "LW03"),
        (2, "inspect empty.ccc", "LW0"),
        (3, "inspect missing.clf", "LW0401"),
        (3, "verify missing.cc --recipe plain.toml", "LW0401"),
        (2, "compare both.ccc grade.toml", "its ids: 12A, 13B"),
        (2, "compare both.ccc grade.toml --id 12B", "did you mean"),
        (2, "verify cut.edl --recipe grade.toml --id 2", "has no correction of its own"),
        (2, "verify cut.edl --recipe grade.toml --id 3", "stand in another file, as \"13B\""),
        (2, "compare grade.cc small.cube", "LW0831"),
        (2, "inspect grade.cc --report", "LW0831"),
        (2, "preview grade.cc", "LW0831"),
        (2, "compare input.clf plain.toml", "LW0832"),
        (2, "verify input.clf --recipe plain.toml", "LW0832"),
        (2, "inspect input.clf --report", "LW0832"),
        (2, "compare grade.toml more.toml --recipe plain.toml", "beside two recipes"),
        (2, "compare grade.toml more.toml --id 1", "neither file holds any"),
        (2, "inspect small.cube --id 1", "no file here holds any"),
        (2, "preview small.cube --id 1", "no file here holds any"),
    ] {
        let text = folder.text(code, arguments);
        assert!(text.contains(said), "{arguments}: expected {said} in {text}");
    }
    // A list that gives light has no picture, and is told all the same.
    let said = folder.json(0, "inspect input.clf");
    assert!(said["files"][0]["picture"].is_null() && said["files"][0]["no_picture"].as_str().is_some());
    assert_eq!(said["files"][0]["camera"]["known"], "described");
    // What is said on the command line counts.
    folder.text(0, "compare input.clf plain.toml --display bt1886");
    // A correction beside a cube, with a recipe.
    folder.text(0, "compare grade.cc small.cube --recipe plain.toml");
    // A correction that says itself that it was made elsewhere.
    let elsewhere =
        correction("1", "1 1 1").replace("<SOPNode>", "<InputDescription>LogC4</InputDescription><SOPNode>");
    folder.write("elsewhere.cc", &format!("{XML}{}", elsewhere.replace("id=", "xmlns=\"urn:ASC:CDL:v1.01\" id=")));
    assert!(folder.text(0, "inspect elsewhere.cc").contains("LW0228"));
}

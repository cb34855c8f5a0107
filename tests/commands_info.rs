//! The commands that tell: `encodings`, `explain`, `new`, `completions`, `man`. Each is run as its users run it.

mod common;

use common::{Worst, csv};
use lookwright::colour::encodings::ENCODINGS;
use lookwright::colour::gamuts::GAMUTS;
use lookwright::recipe;
use lookwright::recipe::parameters::{PARAMETERS, find_list};
use serde_json::Value;
use std::path::Path;
use std::process::{Command, Output};

fn run(arguments: &[&str]) -> Output {
    // Drawings are as on a terminal of 80 columns, whatever the machine's own is.
    Command::new(env!("CARGO_BIN_EXE_lookwright"))
        .args(arguments)
        .env("LC_ALL", "C.UTF-8")
        .env("COLUMNS", "80")
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("the program starts")
}

/// Standard output of a run that must end well.
fn told(arguments: &[&str]) -> String {
    let output = run(arguments);
    let errors = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "lookwright {}: {}\n{errors}", arguments.join(" "), output.status);
    String::from_utf8(output.stdout).expect("UTF-8")
}

fn json(arguments: &[&str]) -> Value {
    let mut all = arguments.to_vec();
    all.push("--json");
    serde_json::from_str(&told(&all)).unwrap_or_else(|error| panic!("{}: {error}", arguments.join(" ")))
}

/// Exit code and standard error of a run.
fn refused(arguments: &[&str]) -> (Option<i32>, String) {
    let output = run(arguments);
    assert!(output.stdout.is_empty(), "lookwright {} should say nothing on stdout", arguments.join(" "));
    (output.status.code(), String::from_utf8(output.stderr).expect("UTF-8"))
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("not a number: {value}"))
}

// ---- encodings ----

#[test]
fn the_list_has_everything_with_its_source() {
    let text = told(&["encodings"]);
    let document = json(&["encodings"]);
    let listed = |kind: &str| document[kind].as_array().expect("a list").len();
    assert_eq!(listed("encodings"), ENCODINGS.len());
    assert_eq!(listed("gamuts"), GAMUTS.len());
    assert_eq!(listed("displays"), 7);
    let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let text = words(&text);
    for encoding in ENCODINGS {
        let entry = format!("{} {}, {} source", encoding.id, encoding.name, encoding.publisher);
        assert!(text.contains(&entry), "{}: no entry \"{entry}\"", encoding.id);
        assert!(text.contains(&words(encoding.source.citation)), "{}: its source is missing", encoding.id);
    }
    for gamut in GAMUTS {
        assert!(text.contains(&format!("{} {} source", gamut.id, gamut.name)), "{} is missing", gamut.id);
    }
}

/// Codes of black, grey and 90 % white as the makers print them; source: `log_published.csv`, which names each document
/// and how it was seen.
#[test]
fn tables_have_the_codes_that_makers_print() {
    const NAMES: [(&str, &str); 8] = [
        ("slog", "S-Log"),
        ("slog2", "S Log 2"),
        ("slog3", "slog3"),
        ("vlog", "V-LOG"),
        ("clog_v1", "c-log-v1"),
        ("flog", "f.log"),
        ("flog2", "F-Log2"),
        ("nlog", "n_log"),
    ];
    // Half a code: makers print whole ones.
    let mut worst = Worst::new("printed 10-bit codes", 0.5);
    let table = csv("log_published.csv");
    let mut seen = 0;
    for (reference, name) in NAMES {
        let landmarks = json(&["encodings", name])["landmarks"].clone();
        for row in table.rows().filter(|row| row.text("curve") == reference && row.text("unit") == "cv10") {
            let linear = row.number("linear");
            let landmarks = landmarks.as_array().expect("three");
            if let Some(landmark) = landmarks.iter().find(|landmark| number(&landmark["at"]["linear"]) == linear) {
                worst.check(
                    &format!("{name}, {}", row.place()),
                    number(&landmark["at"]["code"]),
                    row.number("printed"),
                );
                seen += 1;
            }
        }
    }
    assert!(seen >= 18, "only {seen} printed codes were found");
    worst.finish();
}

/// The scaled columns follow SMPTE narrow range, 64..940 of 1023; the stops are powers of two of grey.
#[test]
fn a_table_counts_in_stops_and_scales_narrow_range() {
    let table = json(&["encodings", "s-log3"]);
    let steps = table["stops"].as_array().expect("a list");
    assert_eq!(steps.len(), 17);
    for (step, stops) in steps.iter().zip(-8..=8) {
        let code = number(&step["code"]);
        assert_eq!(number(&step["stops"]), f64::from(stops));
        let light = 0.18 * f64::from(1 << (stops + 8)) / 256.0;
        assert!((number(&step["linear"]) - light).abs() < 1e-12, "{stops:+} stops: {}", step["linear"]);
        let scaled = (code - 64.0) / 876.0;
        assert!((number(&step["scaled"]) - scaled).abs() < 1e-12, "{stops:+} stops: {}", step["scaled"]);
        assert!((number(&step["scaled_code"]) - 1023.0 * scaled).abs() < 1e-9, "{stops:+} stops");
        assert_eq!(step["beyond_signal"], Value::from(code > 1023.0), "{stops:+} stops, code {code}");
    }
}

#[test]
fn an_index_that_is_not_given_is_named() {
    assert!(told(&["encodings", "logc3"]).contains("LogC3 EI 500: the middle one of those published"));
    let given = json(&["encodings", "logc3", "--exposure-index", "800"]);
    assert_eq!((&given["exposure_index"], &given["exposure_index_given"]), (&800.into(), &true.into()));
    let (code, errors) = refused(&["encodings", "logc3", "--exposure-index", "801"]);
    assert_eq!(code, Some(2), "{errors}");
    assert!(errors.contains("LW0201") && errors.contains("1280, 1600"), "{errors}");
}

#[test]
fn published_steps_are_told() {
    let text = told(&["encodings", "n-log"]);
    assert!(text.contains("at code 452.0 decode falls by 0.0013 stop"), "{text}");
    assert!(!told(&["encodings", "s-log3"]).contains("jumps"));
}

#[test]
fn a_curve_without_a_code_for_black_says_so() {
    assert!(told(&["encodings", "viper-log"]).contains("no code: the formula takes the logarithm of zero"));
    assert_eq!(json(&["encodings", "viper-log"])["landmarks"][0]["at"]["code"], Value::Null);
}

#[test]
fn unknown_names_are_refused_with_what_was_meant() {
    for (name, help) in [
        ("slgo3", "did you mean \"s-log3\"?"),
        ("p3-d65", "P3-D65 is a gamut"),
        ("bt1886", "BT.1886 is a display encoding"),
    ] {
        let (code, errors) = refused(&["encodings", name]);
        assert_eq!(code, Some(2), "{name}");
        assert!(errors.contains("LW0106") && errors.contains(help), "{name}: {errors}");
    }
}

// ---- explain ----

fn parameter<'a>(explained: &'a Value, key: &str) -> &'a Value {
    let tables = explained["tables"].as_array().expect("tables");
    tables
        .iter()
        .flat_map(|table| table["parameters"].as_array().expect("parameters"))
        .find(|parameter| parameter["key"] == key)
        .unwrap_or_else(|| panic!("{key} is not explained"))
}

#[test]
fn every_parameter_is_explained_with_its_origin() {
    let file = "tests/data/looks/cdl-split.toml";
    let explained = json(&["explain", file, "--set", "white.warmer_mired=5"]);
    for key in PARAMETERS.iter().filter(|key| find_list(key.table()).is_none()) {
        parameter(&explained, key.path);
    }
    let origin = |key: &str| parameter(&explained, key)["origin"].clone();
    let written = origin("split.shadows.greener_cc");
    assert_eq!(written["kind"], "written");
    assert_eq!(
        (&written["file"], &written["line"], &written["column"]),
        (&file.into(), &16.into(), &46.into()),
        "the value itself, not its line"
    );
    assert_eq!(origin("white.warmer_mired")["file"], "--set");
    assert_eq!(origin("tone.contrast")["kind"], "default");
    assert_eq!(origin("split.shadows.greener_duv")["parameter"], "split.shadows.greener_cc");
    assert_eq!(origin("split.highlights.reference_kelvin")["parameter"], "white.reference_kelvin");
    assert_eq!(origin("look.extends")["kind"], "absent");
    let diffused = json(&["explain", "tests/data/looks/diffusion-half.toml"]);
    let preset = parameter(&diffused, "diffusion.loss_stops");
    assert_eq!((&preset["value"], &preset["origin"]["grade"]), (&0.45.into(), &"1/2".into()));
    assert_eq!(parameter(&diffused, "diffusion.veil_level")["origin"]["kind"], "written");
}

#[test]
fn a_recipe_without_tone_says_so() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("technical.toml");
    let text = "lookwright = 1\n[look]\nname = \"t\"\n[camera]\nencoding = \"s-log3\"\ngamut = \"s-gamut3.cine\"\n";
    std::fs::write(&path, text).expect("writable");
    let text = told(&["explain", path.to_str().expect("UTF-8")]);
    assert!(text.contains("[tone]\n  absent"), "{text}");
    assert!(text.contains("a technical conversion"), "{text}");
}

/// Source: `gamut_to_gamut.csv` (colour-science 0.4.7); its own tolerance.
#[test]
fn matrices_are_those_of_the_reference() {
    const TOLERANCE: f64 = 1e-9;
    let table = csv("gamut_to_gamut.csv");
    let explained = json(&["explain", "tests/data/looks/diffusion-half.toml"]);
    let mut worst = Worst::new("explained matrices", TOLERANCE);
    for (key, from, to) in
        [("camera_to_acescg", "arri_wide_gamut_4", "acescg"), ("acescg_to_display", "acescg", "bt709")]
    {
        let row = table
            .rows()
            .find(|row| row.text("from") == from && row.text("to") == to && row.text("cat") == "bradford")
            .expect("the row is in the table");
        for i in 0..3 {
            for j in 0..3 {
                let computed = number(&explained["matrices"][key][i][j]);
                worst.check(&format!("{key} [{i}][{j}]"), computed, row.number(&format!("m{i}{j}")));
            }
        }
    }
    worst.finish();
}

/// A technical conversion shows a cast as it is asked for. Source: the definition of mired and Duv in section 6 of
/// `look-maths.md`. D65 lies 0.0032 Duv off the locus of black bodies on which shifts are defined, which moves a
/// shift of 20 mired by 0.1 mired and 0.0001 Duv.
#[test]
fn the_cast_is_the_one_that_was_asked_for() {
    const MIRED: f64 = 0.5;
    const DUV: f64 = 0.0003;
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("cast.toml");
    let text = "lookwright = 1\n[look]\nname = \"t\"\n[camera]\nencoding = \"linear\"\ngamut = \"acescg\"\n\
                [white]\nreference_kelvin = 6504\n";
    std::fs::write(&path, text).expect("writable");
    for (key, value, mired, duv) in [
        ("warmer_mired", "20", 20.0, 0.0),
        ("warmer_mired", "-15", -15.0, 0.0),
        ("greener_duv", "0.004", 0.0, 0.004),
        ("greener_cc", "-6", 0.0, -0.004),
    ] {
        let set = format!("white.{key}={value}");
        let explained = json(&["explain", path.to_str().expect("UTF-8"), "--set", &set]);
        let grey = &explained["cast"][1];
        let (warmer, greener) = (number(&grey["warmer_mired"]), number(&grey["greener_duv"]));
        assert!((warmer - mired).abs() <= MIRED, "{set}: {warmer:+.2} mired instead of {mired:+}");
        assert!((greener - duv).abs() <= DUV, "{set}: {greener:+.5} Duv instead of {duv:+}");
    }
}

/// Display white D65 against `illuminants.csv` (CIE 015:2018; colour temperature and Duv by the reference library).
#[test]
fn display_white_has_its_published_temperature() {
    let explained = json(&["explain", "tests/data/looks/tone-only.toml"]);
    let table = csv("illuminants.csv");
    let d65 = table.rows().find(|row| row.text("name") == "D65").expect("D65 is in the table");
    let white = &explained["display_white"];
    let (kelvin, duv) = (number(&white["kelvin"]), number(&white["duv"]));
    // The chromaticity has four digits; kelvin and Duv follow from it to far more.
    assert!((kelvin - d65.number("cct")).abs() < 1e-3, "{kelvin} K");
    assert!((duv - d65.number("duv")).abs() < 1e-7, "{duv} Duv");
    assert_eq!(explained["tinted"], false);
}

/// Grey lands where the recipe puts it: 22 nits on a PQ display of 1000 (its own declaration), and codes rise.
#[test]
fn the_signal_of_each_stop_is_what_the_recipe_declares() {
    let explained = json(&["explain", "tests/data/looks/pq-1000.toml"]);
    let steps = explained["grey"].as_array().expect("a list");
    assert_eq!(steps.len(), 17);
    let grey = &steps[8];
    assert!((number(&grey["nits"]) - 22.0).abs() < 1e-6, "grey at {} nits", grey["nits"]);
    let codes: Vec<f64> = steps.iter().map(|step| number(&step["code_out"][1])).collect();
    assert!(codes.windows(2).all(|pair| pair[1] >= pair[0]), "{codes:?}");
    let unknown = json(&["explain", "tests/data/looks/tone-only.toml"]);
    assert_eq!(unknown["grey"][8]["nits"], Value::Null, "a peak that nobody wrote is not known");
    let slope = &explained["tone"];
    assert_eq!(slope["contrast"], 1.35);
}

#[test]
fn the_schema_is_printed() {
    let printed: Value = serde_json::from_str(&told(&["explain", "--schema"])).expect("JSON");
    assert_eq!(printed, recipe::schema::schema());
}

#[test]
fn a_wrong_recipe_is_refused() {
    let (code, errors) = refused(&["explain", "tests/data/looks/tone-only.toml", "--set", "tone.contrast=9"]);
    assert_eq!(code, Some(2));
    assert!(errors.contains("LW0104"), "{errors}");
    assert_eq!(refused(&["explain", "tests/data/looks/no-such-look.toml"]).0, Some(3));
    assert_eq!(refused(&["explain"]).0, Some(2));
}

// ---- new ----

#[test]
fn a_new_recipe_compiles_verifies_and_is_never_overwritten() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let target = folder.path().join("tidewater/looks");
    let target = target.to_str().expect("UTF-8");
    let said = told(&["new", target]);
    let look = Path::new(target).join("look.toml");
    assert!(said.contains(look.to_str().expect("UTF-8")) && said.contains("lookwright compile"), "{said}");
    let out = folder.path().join("luts");
    let compiled = json(&["compile", look.to_str().expect("UTF-8"), "--out", out.to_str().expect("UTF-8")]);
    assert_eq!(compiled["luts"][0]["verify"]["pass"], true);
    assert_eq!(compiled["diagnostics"], Value::Array(Vec::new()), "a new recipe has nothing doubtful");
    std::fs::write(&look, "mine").expect("writable");
    let (code, errors) = refused(&["new", target]);
    assert_eq!(code, Some(3));
    assert!(errors.contains("LW0403") && errors.contains("look.toml exists already"), "{errors}");
    assert_eq!(std::fs::read_to_string(&look).expect("readable"), "mine");
}

/// A commented-out key: the line without its `#`, if it holds `key = value`.
fn commented_key(line: &str) -> Option<&str> {
    let rest = line.strip_prefix("# ")?;
    let (key, _) = rest.split_once(" = ")?;
    key.chars().all(|c| c.is_ascii_lowercase() || c == '_').then_some(rest)
}

/// What a recipe means, or everything that is wrong or doubtful in it.
fn judged(text: &str) -> Result<String, Vec<String>> {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("look.toml");
    std::fs::write(&path, text).expect("writable");
    let told = |found: Vec<lookwright::diagnostics::Diagnostic>| -> Vec<String> {
        found.into_iter().map(|one| format!("{} {}", one.code.id, one.message)).collect()
    };
    let prepared = lookwright::compile::prepare(&path, &[]).map_err(told)?;
    if prepared.warnings.is_empty() { Ok(prepared.plan.fingerprint()) } else { Err(told(prepared.warnings)) }
}

#[test]
fn every_commented_key_of_the_starter_is_right_when_uncommented_alone() {
    let starter = recipe::starter();
    let meaning = judged(&starter).expect("the starter is right");
    let lines: Vec<&str> = starter.lines().collect();
    let mut keys = 0;
    for (index, line) in lines.iter().enumerate() {
        let Some(key) = commented_key(line) else { continue };
        keys += 1;
        let mut changed: Vec<String> = lines.iter().map(|line| (*line).to_owned()).collect();
        changed[index] = key.to_owned();
        // The one exclusive partner that the starter sets.
        if key.starts_with("grey_nits") {
            changed.retain(|line| !line.starts_with("grey = "));
        }
        match judged(&changed.join("\n")) {
            // An example, not a default: it may change the meaning.
            Ok(_) if key.starts_with("band =") || key.starts_with("grade =") => {}
            Ok(changed) => assert_eq!(changed, meaning, "line {}: {key}\nis no default", index + 1),
            // The starter's camera has one curve for all indices.
            Err(found) if key.starts_with("exposure_index") => assert_eq!(found.len(), 1, "{found:?}"),
            Err(found) => panic!("line {}: {key}\n{found:#?}", index + 1),
        }
    }
    assert!(keys > 50, "only {keys} commented keys were found");
}

#[test]
fn the_starter_shows_every_key() {
    let starter = recipe::starter();
    for key in PARAMETERS {
        let written = match key.kind {
            _ if key.needs_file() => format!("# To set: {} = ", key.key()),
            _ if find_list(key.table()).is_some() => format!("{} = ", key.key()),
            _ => format!("\n{} = ", key.key()),
        };
        let commented = format!("\n# {} = ", key.key());
        assert!(starter.contains(&written) || starter.contains(&commented), "{} is not shown", key.path);
    }
    let widest = starter.lines().max_by_key(|line| line.chars().count()).unwrap_or_default();
    assert!(widest.chars().count() <= 116, "too wide: {widest}");
}

// ---- completions, man ----

/// The commands that `--help` lists.
fn commands() -> Vec<String> {
    let help = told(&["--help"]);
    let after = help.split("Commands:\n").nth(1).expect("a list of commands");
    let lines = after.lines().take_while(|line| !line.trim().is_empty());
    let names: Vec<String> = lines
        .filter(|line| line.starts_with("  ") && !line.starts_with("   "))
        .filter_map(|line| line.split_whitespace().next().map(str::to_owned))
        .filter(|name| name != "help")
        .collect();
    assert!(names.len() >= 7, "{names:?}");
    names
}

#[test]
fn completions_know_every_command() {
    let commands = commands();
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let script = told(&["completions", shell]);
        for command in &commands {
            assert!(script.contains(command.as_str()), "{shell} does not complete {command}");
        }
    }
    assert_eq!(refused(&["completions", "tcsh"]).0, Some(2));
}

#[test]
fn there_is_a_manual_page_for_every_command() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let out = folder.path().join("man1");
    told(&["man", "--out", out.to_str().expect("UTF-8")]);
    for command in commands() {
        let page = out.join(format!("lookwright-{command}.1"));
        let text = std::fs::read_to_string(&page).unwrap_or_else(|error| panic!("{}: {error}", page.display()));
        assert!(text.contains(&format!(".TH lookwright-{command} 1")), "{command} has no title:\n{text}");
    }
    let printed = told(&["man"]);
    assert_eq!(printed, std::fs::read_to_string(out.join("lookwright.1")).expect("the program's page"));
}

// ---- drawings ----

/// A drawing in ASCII: what a run in an ASCII locale says, of this width.
fn drawn(arguments: &[&str], columns: &str) -> Vec<String> {
    let output = Command::new(env!("CARGO_BIN_EXE_lookwright"))
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env("LC_ALL", "C")
        .env("COLUMNS", columns)
        .output()
        .expect("the program starts");
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    let text = String::from_utf8(output.stdout).expect("UTF-8");
    let rows = text.lines().skip_while(|line| !line.starts_with("   100 % +")).take(16).map(str::to_owned);
    rows.collect()
}

/// Where a letter stands in a column of a drawing at whole stops, as the signal in the middle of its row.
fn drawn_at(rows: &[String], stops: i32, letters: &[char]) -> Vec<f64> {
    // 65 cells over 16 stops: four to a stop.
    let column = 10 + 4 * usize::try_from(stops + 8).expect("a column");
    let holds = |row: &String| row.chars().nth(column).is_some_and(|cell| letters.contains(&cell));
    let at = |(place, _): (usize, &String)| 1.0 - place as f64 / 15.0;
    rows.iter().enumerate().filter(|(_, row)| holds(row)).map(at).collect()
}

/// Half a row, and what a steep curve fills of its column.
const DRAWN: f64 = 0.5 / 15.0 + 1e-9;

#[test]
fn curves_are_drawn_where_their_values_lie() {
    let rows = drawn(&["explain", "recipes/technical.toml"], "80");
    let curve = json(&["explain", "recipes/technical.toml"])["curve"].clone();
    let [a, b] = ["recipes/technical.toml", "recipes/fog-morning.toml"];
    let both = drawn(&["compare", a, b], "80");
    let comparison = json(&["compare", a, b])["comparison"].clone();
    for stops in -8..=8 {
        let at = |curve: &Value| {
            let point =
                curve.as_array().expect("points").iter().find(|point| number(&point["stops"]) == f64::from(stops));
            number(&point.expect("a whole stop")["neutral_signal"])
        };
        let point = curve.as_array().expect("points").iter().find(|point| number(&point[0]) == f64::from(stops));
        let wanted = number(&point.expect("a whole stop")[1]);
        let near = |found: Vec<f64>, wanted: f64| found.iter().any(|found| (found - wanted).abs() <= DRAWN);
        assert!(near(drawn_at(&rows, stops, &['*']), wanted), "{stops}: {wanted}\n{}", rows.join("\n"));
        for (letter, wanted) in [('A', at(&comparison["curve_a"])), ('B', at(&comparison["curve_b"]))] {
            assert!(
                near(drawn_at(&both, stops, &[letter, '*']), wanted),
                "{letter} {stops}: {wanted}\n{}",
                both.join("\n")
            );
        }
    }
    for columns in ["40", "60", "80", "300"] {
        let widest = drawn(&["explain", "recipes/technical.toml"], columns).iter().map(String::len).max();
        assert!(widest <= columns.parse().ok().map(|columns: usize| columns.min(80)), "{widest:?} of {columns}");
    }
}

#[test]
fn casts_are_drawn_where_there_are_any() {
    let plain = told(&["explain", "recipes/technical.toml"]);
    assert!(plain.contains("display signal of a grey\n") && !plain.contains("cast of a grey"), "{plain}");
    let warm = ["explain", "recipes/technical.toml", "--set", "white.warmer_mired=30"];
    let tinted = told(&warm);
    assert!(tinted.contains("display signal of a grey: red, green, blue\n"), "{tinted}");
    assert!(tinted.contains("cast of a grey: warmer (+) or cooler (-) than display white, mired"), "{tinted}");
    // A technical conversion keeps ratios: the 30 mired that are asked for are there at every stop between the ends.
    let greys = json(&warm)["greys"].clone();
    let between = greys.as_array().expect("greys").iter().filter(|grey| (-6.0..=1.0).contains(&number(&grey["stops"])));
    let shown: Vec<f64> = between.map(|grey| number(&grey["warmer_mired"])).collect();
    // [white] is seen from the recipe's own reference, where a mired is a little another distance than at the display's white.
    assert!(shown.len() == 57 && shown.iter().all(|mired| (mired - 30.0).abs() < 0.2), "{shown:?}");
    assert!(tinted.contains("     +50 ┤"), "the scale holds them:\n{tinted}");
}

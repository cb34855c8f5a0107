//! The recipe reader against bytes, damaged recipes and extreme values: never a panic, always a reason.

use crate::fuzzing::fuzz;
use crate::recipes::{EVERYTHING, check_recipe, written};
use lookwright::recipe::parameters::{PARAMETERS, find_list};
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::{Index, select};
use rayon::prelude::*;
use std::process::Command;

/// Values that a parameter may meet, right and wrong, as TOML.
const VALUES: &[&str] = &[
    "0",
    "-0.0",
    "1",
    "-1",
    "2",
    "129",
    "130",
    "0.5",
    "1e-300",
    "-1e-300",
    "5e-324",
    "1e300",
    "-1e300",
    "1e999",
    "nan",
    "-nan",
    "inf",
    "-inf",
    "9223372036854775807",
    "-9223372036854775808",
    "9223372036854775808",
    "1_000",
    "0x7fff_ffff",
    "true",
    "false",
    "\"\"",
    "\"full\"",
    "\"1/2\"",
    "\"s-log3\"",
    "\"a\\u0000b\"",
    "\"\u{202e}\u{1f39e}\"",
    "[]",
    "[1, 1, 1]",
    "[1, 1]",
    "[1, 1, 1, 1]",
    "[0, 0, 0]",
    "[nan, inf, -inf]",
    "[1e300, 1e-300, -1e300]",
    "[[1, 0, 0], [0, 1, 0], [0, 0, 1]]",
    "[[0, 0, 0], [0, 0, 0], [0, 0, 0]]",
    "[[1e308, -1e308, 1], [1, 1, -1], [nan, 0, 0]]",
    "[[1, 0], [0, 1]]",
    "{}",
    "{ x = 1 }",
    "[{}]",
    "2026-01-01",
    "07:32:00",
    "\"\"\"\n\"\"\"",
    "'",
    "[",
    "{",
    "=",
    "",
];

/// Extreme but possible: the ends of every range.
fn ends(parameter: &lookwright::recipe::parameter::Parameter) -> Vec<String> {
    use lookwright::recipe::parameter::{Bound, Kind};
    match parameter.kind {
        Kind::Number { min, max } => {
            let mut found = vec![format!("{min:?}")];
            match max {
                Bound::Value(max) => found.push(format!("{max:?}")),
                Bound::Parameter(_) | Bound::Open => found.extend(["0.1", "1.0", "6.0", "100.0"].map(String::from)),
            }
            found
        }
        Kind::Integer { min, max } => vec![min.to_string(), max.to_string()],
        Kind::Triple { min, max } => {
            vec![
                format!("[{min:?}, {min:?}, {min:?}]"),
                format!("[{max:?}, {max:?}, {max:?}]"),
                format!("[{min:?}, 1, {max:?}]"),
            ]
        }
        Kind::Choice(choice) => choice.names().into_iter().map(|name| format!("\"{name}\"")).collect(),
        Kind::Flag => vec!["true".into(), "false".into()],
        Kind::Version | Kind::Text | Kind::Path | Kind::Matrix { .. } => vec![parameter.example.to_owned()],
    }
}

/// A recipe with one value replaced, if the base has the key.
fn with_value(path: &str, value: &str) -> Option<String> {
    let mut table = String::new();
    let mut lines = Vec::new();
    let mut is_there = false;
    for line in EVERYTHING.lines() {
        if line.starts_with('[') {
            table = line.trim_matches(['[', ']']).to_owned() + ".";
        }
        let key = line.split('=').next().unwrap_or_default().trim();
        let here = line.contains('=') && format!("{table}{key}").trim_start_matches('.') == path;
        is_there |= here;
        lines.push(if here { format!("{key} = {value}") } else { line.to_owned() });
    }
    is_there.then(|| lines.join("\n"))
}

fn fail(what: &str, result: Result<(), TestCaseError>) {
    if let Err(error) = result {
        panic!("{what}: {error}");
    }
}

#[test]
fn every_parameter_meets_every_kind_of_value() {
    let whole = written(EVERYTHING.as_bytes());
    let head = written(b"lookwright = 1\nlook.name = \"x\"\ncamera = { encoding = \"v-log\", gamut = \"v-gamut\" }\n");
    let cases = PARAMETERS.par_iter().map(|parameter| {
        let mut cases = 0;
        let path = parameter.path;
        let extremes = ends(parameter);
        for value in VALUES.iter().copied().chain(extremes.iter().map(String::as_str)) {
            if let Some(text) = with_value(path, value) {
                fail(&format!("{path} = {value}, written"), check_recipe(&written(text.as_bytes()).path, &[]));
                cases += 1;
            }
            let over = [format!("{path}={value}")];
            for base in [&whole, &head] {
                fail(&format!("--set {path}={value}"), check_recipe(&base.path, &over));
            }
            cases += 2;
        }
        cases
    });
    println!("{} recipes", cases.sum::<usize>());
}

#[test]
fn ends_of_ranges_meet_each_other() {
    let overrides: Vec<String> = PARAMETERS
        .iter()
        .filter(|parameter| find_list(parameter.table()).is_none() && !parameter.path.starts_with("look"))
        .flat_map(|parameter| ends(parameter).into_iter().map(move |value| format!("{}={value}", parameter.path)))
        .collect();
    let whole = written(EVERYTHING.as_bytes());
    let some = vec(select(overrides), 1..12);
    fuzz("ends of ranges together", 300, &some, |over| check_recipe(&whole.path, &over));
}

#[test]
fn any_bytes_are_read_or_refused() {
    let bytes = vec(any::<u8>(), 0..400);
    fuzz("random bytes", 500, &bytes, |bytes| check_recipe(&written(&bytes).path, &[]));
}

#[test]
fn any_text_is_read_or_refused() {
    let pieces: Vec<String> = EVERYTHING
        .lines()
        .map(|line| format!("{line}\n"))
        .chain(VALUES.iter().map(|value| (*value).to_owned()))
        .chain(PARAMETERS.iter().map(|parameter| format!("{} = ", parameter.path)))
        .chain(["[", "]", "[[", "]]", "\n", "\r\n", "#", "\"", "=", ".", "\u{feff}", "\t", "é"].map(String::from))
        .collect();
    let text = vec(select(pieces), 0..60).prop_map(|pieces| pieces.concat());
    fuzz("text from pieces", 500, &text, |text| check_recipe(&written(text.as_bytes()).path, &[]));
}

/// Damage to a recipe: where, what kind, and with what.
fn damages() -> impl Strategy<Value = Vec<(Index, u8, Index, u8)>> {
    vec((any::<Index>(), 0..7_u8, any::<Index>(), any::<u8>()), 1..6)
}

fn damaged(damages: &[(Index, u8, Index, u8)]) -> Vec<u8> {
    let mut bytes = EVERYTHING.as_bytes().to_vec();
    for (place, kind, other, byte) in damages {
        let at = place.index(bytes.len() + 1);
        let value = VALUES[other.index(VALUES.len())].as_bytes();
        match kind {
            0 => bytes.insert(at, *byte),
            1 if at < bytes.len() => bytes[at] = *byte,
            2 => bytes.truncate(at.max(bytes.len() / 2)),
            3 => drop(bytes.splice(at..at, value.iter().copied())),
            _ => {
                let mut lines: Vec<Vec<u8>> = bytes.split(|&byte| byte == b'\n').map(<[u8]>::to_vec).collect();
                let (from, to) = (place.index(lines.len()), other.index(lines.len()));
                match kind {
                    4 => lines.swap(from, to),
                    5 => lines.insert(to, lines[from].clone()),
                    _ => {
                        // The value of one line becomes another value.
                        let key = lines[from].split(|&byte| byte == b'=').next().unwrap_or_default().to_vec();
                        lines[from] = [key.as_slice(), b"=", value].concat();
                    }
                }
                bytes = lines.join(&b'\n');
            }
        }
    }
    bytes
}

#[test]
fn damaged_recipes_are_read_or_refused() {
    fuzz("damaged recipes", 500, &damages(), |damages| check_recipe(&written(&damaged(&damages)).path, &[]));
}

#[test]
fn the_command_tells_of_any_damage_without_a_panic() {
    // Drawing the marked lines is the command's own work: it must take any text and any place.
    fuzz("check of damaged recipes", 60, &damages(), |damages| {
        let file = written(&damaged(&damages));
        let done = Command::new(env!("CARGO_BIN_EXE_lookwright")).arg("check").arg(&file.path).output();
        let done = done.expect("the program starts");
        let code = done.status.code();
        let told = String::from_utf8_lossy(&done.stderr);
        prop_assert!(code == Some(0) || code == Some(2), "exit {code:?}: {told}");
        prop_assert!(!told.contains("panicked"), "{told}");
        Ok(())
    });
}

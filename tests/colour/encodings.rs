//! The log encodings against the tables that a reference library computed (colour-science 0.4.7; each file names the
//! functions and the published documents), against values that the makers print, and against their own properties.

use crate::reference::rows;
use lookwright::colour::encodings::{Curve, CurveFault, ENCODINGS, STEP_THRESHOLD, find};
use lookwright::colour::{canonical_name, gamuts};
use lookwright::maths::{linear_from_stops, log2};
use std::collections::{BTreeMap, BTreeSet};

/// Reference id → our id and exposure index.
const NAMES: &[(&str, &str, Option<u32>)] = &[
    ("acescc", "acescc", None),
    ("acescct", "acescct", None),
    ("acesproxy10", "acesproxy10", None),
    ("acesproxy12", "acesproxy12", None),
    ("applelog", "apple-log", None),
    ("bmdfilm5", "bmd-film-gen5", None),
    ("cineon", "cineon", None),
    ("clog2_v1", "c-log2-v1", None),
    ("clog2_v1_2", "c-log2", None),
    ("clog3_v1", "c-log3-v1", None),
    ("clog3_v1_2", "c-log3", None),
    ("clog_v1", "c-log-v1", None),
    ("clog_v1_2", "c-log", None),
    ("dlog", "d-log", None),
    ("flog", "f-log", None),
    ("flog2", "f-log2", None),
    ("llog", "l-log", None),
    ("log3g10_v1", "log3g10-v1", None),
    ("log3g10_v2", "log3g10-v2", None),
    ("log3g10_v3", "log3g10", None),
    ("log3g12", "log3g12", None),
    ("logc3_ei160", "logc3", Some(160)),
    ("logc3_ei200", "logc3", Some(200)),
    ("logc3_ei250", "logc3", Some(250)),
    ("logc3_ei320", "logc3", Some(320)),
    ("logc3_ei400", "logc3", Some(400)),
    ("logc3_ei500", "logc3", Some(500)),
    ("logc3_ei640", "logc3", Some(640)),
    ("logc3_ei800", "logc3", Some(800)),
    ("logc3_ei1000", "logc3", Some(1000)),
    ("logc3_ei1280", "logc3", Some(1280)),
    ("logc3_ei1600", "logc3", Some(1600)),
    ("logc4", "logc4", None),
    ("milog", "mi-log", None),
    ("nlog", "n-log", None),
    ("panalog", "panalog", None),
    ("plog", "p-log", None),
    ("protune", "protune", None),
    ("redlog", "redlog", None),
    ("redlogfilm", "redlogfilm", None),
    ("slog", "s-log", None),
    ("slog2", "s-log2", None),
    ("slog3", "s-log3", None),
    ("tlog", "t-log", None),
    ("viperlog", "viper-log", None),
    ("vlog", "v-log", None),
];

/// Reference ids that are no encodings of ours, and why.
const LEFT_OUT: &[(&str, &str)] = &[("log2_13stop", "a shaper, no encoding of a camera")];

/// Below this light a curve folds several values onto one code, or has no code: by the published formulas.
const LOWEST_LIGHT: &[(&str, f64)] =
    &[("acescc", 0.0), ("apple-log", -0.05641088), ("mi-log", -0.09023729), ("p-log", 1e-9), ("viper-log", 1e-9)];

/// The steps that the published constants leave: encoding, direction of the jump of decode, and of encode in 10-bit
/// codes. Source: computed from the published constants by hand; the reference library shows the same.
const DOCUMENTED_STEPS: &[(&str, f64, f64)] =
    &[("f-log", 1.2e-5, -0.103), ("n-log", -2.9e-4, 0.125), ("d-log", -1.4e-7, 0.0021), ("l-log", 1.14e-4, -0.92)];

/// The test file's relative tolerances count from here on; below, they are absolute: 1e-8 × 0.01.
const DECODE_FLOOR: f64 = 0.01;

struct Tolerances {
    encode: f64,
    decode: f64,
    round_trip: f64,
    anchors: Vec<(f64, f64)>,
}

fn tolerances() -> BTreeMap<String, Tolerances> {
    let text = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/log_curves.toml")).unwrap();
    let table: toml::Table = text.parse().unwrap();
    let anchors = [("black_0", 0.0), ("grey_18", 0.18), ("white_90", 0.9)];
    table["curve"]
        .as_array()
        .unwrap()
        .iter()
        .map(|curve| {
            let number = |key: &str| curve[key].as_float().unwrap();
            let value = Tolerances {
                encode: number("tolerance_encode_abs"),
                decode: number("tolerance_decode"),
                round_trip: number("roundtrip_expected"),
                anchors: anchors
                    .iter()
                    .map(|(key, light)| (*light, curve["anchors"][*key].as_float().unwrap()))
                    .collect(),
            };
            (curve["id"].as_str().unwrap().to_owned(), value)
        })
        .collect()
}

/// The curve for a reference id; `None` where it is not ours.
fn curve(reference_id: &str) -> Option<Curve> {
    if LEFT_OUT.iter().any(|(id, _)| *id == reference_id) {
        return None;
    }
    let (_, id, exposure_index) = NAMES
        .iter()
        .find(|(id, ..)| *id == reference_id)
        .unwrap_or_else(|| panic!("{reference_id} is not on the list"));
    Some(Curve::new(find(id).unwrap_or_else(|| panic!("no encoding {id}")), *exposure_index).unwrap())
}

/// Every encoding with every published exposure index.
fn all_curves() -> Vec<Curve> {
    NAMES
        .iter()
        .filter_map(|(id, ..)| curve(id))
        .chain(std::iter::once(Curve::new(find("linear").unwrap(), None).unwrap()))
        .collect()
}

fn label(curve: &Curve) -> String {
    match curve.exposure_index() {
        Some(index) => format!("{} at exposure index {index}", curve.encoding().id),
        None => curve.encoding().id.to_owned(),
    }
}

/// Holds a value against the reference; both undefined counts as agreement only if ours is minus infinity, the limit.
fn check(what: &str, expected: f64, actual: f64, tolerance: f64, worst: &mut f64, faults: &mut Vec<String>) {
    if expected.is_nan() || expected == f64::NEG_INFINITY {
        if actual != f64::NEG_INFINITY {
            faults.push(format!("{what}: the formula has no value here; -inf is documented, got {actual}"));
        }
        return;
    }
    let difference = (actual - expected).abs();
    *worst = worst.max(difference / tolerance);
    // Not `difference > tolerance`: that would let NaN pass.
    if !matches!(difference.partial_cmp(&tolerance), Some(std::cmp::Ordering::Less | std::cmp::Ordering::Equal)) {
        faults.push(format!("{what}: expected {expected}, got {actual}, off by {difference:e}, allowed {tolerance:e}"));
    }
}

fn report(name: &str, checked: usize, worst: f64, faults: &[String]) {
    println!("{name}: {checked} values, worst disagreement {worst:.1e} of its tolerance");
    assert!(faults.is_empty(), "{} of {checked}:\n{}", faults.len(), faults.join("\n"));
}

#[test]
fn encodes_as_the_reference_library() {
    let (tolerances, mut worst, mut faults, mut checked) = (tolerances(), 0.0, Vec::new(), 0);
    for row in rows("log_encode.csv") {
        let id = row.text("curve");
        let Some(curve) = curve(id) else { continue };
        let linear = row.number("linear");
        let what = format!("{id}: code of light {linear}");
        check(&what, row.number("code"), curve.encode(linear), tolerances[id].encode, &mut worst, &mut faults);
        checked += 1;
    }
    report("log_encode", checked, worst, &faults);
    assert!(checked > 900, "only {checked} rows were read");
}

#[test]
fn decodes_as_the_reference_library() {
    let (tolerances, mut worst, mut faults, mut checked) = (tolerances(), 0.0, Vec::new(), 0);
    for row in rows("log_decode.csv") {
        let id = row.text("curve");
        let Some(curve) = curve(id) else { continue };
        let (code, expected) = (row.number("code"), row.number("linear"));
        let tolerance = tolerances[id].decode * expected.abs().max(DECODE_FLOOR);
        check(&format!("{id}: light of code {code}"), expected, curve.decode(code), tolerance, &mut worst, &mut faults);
        checked += 1;
    }
    report("log_decode", checked, worst, &faults);
    assert!(checked > 1500, "only {checked} rows were read");
}

#[test]
fn black_grey_and_white_lie_where_the_reference_library_puts_them() {
    let (mut worst, mut faults, mut checked) = (0.0, Vec::new(), 0);
    for (id, tolerances) in tolerances() {
        let Some(curve) = curve(&id) else { continue };
        for (light, code) in &tolerances.anchors {
            let what = format!("{id}: code of light {light}");
            check(&what, *code, curve.encode(*light), tolerances.encode, &mut worst, &mut faults);
            checked += 1;
        }
    }
    report("anchors", checked, worst, &faults);
    assert_eq!(checked, 3 * NAMES.len(), "three anchors for each of our curves");
}

/// Values as the makers' documents print them; the file says how each was seen, some only from memory.
#[test]
fn codes_are_those_that_the_documents_print() {
    let (mut worst, mut faults, mut checked) = (0.0, Vec::new(), 0);
    for row in rows("log_published.csv") {
        let id = row.text("curve");
        let Some(curve) = curve(id) else { continue };
        assert_eq!(row.text("status"), "match", "{id}");
        let code = curve.encode(row.number("linear"));
        let in_unit = match row.text("unit") {
            "code" => code,
            "cv10" => code * 1023.0,
            "cv12" => code * 4095.0,
            "ire" => (code * 1023.0 - 64.0) / 876.0 * 100.0,
            other => panic!("{id}: unknown unit {other}"),
        };
        let what = format!("{id}: {} of light {} ({})", row.text("unit"), row.text("linear"), row.text("provenance"));
        check(&what, row.number("printed"), in_unit, row.number("tolerance"), &mut worst, &mut faults);
        checked += 1;
    }
    report("log_published", checked, worst, &faults);
    assert!(checked > 50, "only {checked} rows were read");
}

/// Light from −12 to +10 stops around grey in quarter stops, its negatives near black, and both sides of every break.
fn light_to_try(curve: &Curve) -> Vec<f64> {
    let stops = (-48..=40).map(|quarter| linear_from_stops(f64::from(quarter) / 4.0));
    let negative = (-40..=-16).map(|quarter| -linear_from_stops(f64::from(quarter) / 4.0));
    let breaks = curve.breaks().into_iter().flat_map(|code| {
        let light = curve.decode(code);
        [light - 1e-4, light - 1e-7, light, light + 1e-7, light + 1e-4]
    });
    stops.chain(negative).chain([0.0]).chain(breaks).collect()
}

/// The jump of decode at a break right beside this light, 0 elsewhere. Light within it is encoded on one branch and
/// decoded on the other, and comes back off by the jump; the reference file has no samples that near to a break
/// (LogC3 at exposure indices 160 and 640 leaves 1.5e-7 and 1.7e-7 there, more than the file's general 1e-7).
fn jump_beside(curve: &Curve, light: f64) -> f64 {
    const BESIDE: f64 = 1e-6;
    // The slopes of the two branches differ a little over that distance.
    const SLOPES: f64 = 1.001;
    let jumps = curve.breaks().into_iter().filter(|code| (curve.decode(*code) - light).abs() < BESIDE);
    jumps.map(|code| (curve.decode(code.next_up()) - curve.decode(code.next_down())).abs() * SLOPES).fold(0.0, f64::max)
}

/// The reference file says how closely the published constants let a curve come back.
#[test]
fn light_comes_back_as_closely_as_the_published_constants_allow() {
    let (tolerances, mut worst, mut faults, mut checked) = (tolerances(), 0.0, Vec::new(), 0);
    for (id, ..) in NAMES {
        let Some(curve) = curve(id) else { continue };
        let allowed = tolerances[*id].round_trip;
        if allowed.is_nan() {
            continue; // Whole codes: see the next test.
        }
        let lowest = LOWEST_LIGHT.iter().find(|(ours, _)| *ours == curve.encoding().id).map_or(-1.0, |(_, low)| *low);
        for light in light_to_try(&curve).into_iter().filter(|light| *light >= lowest) {
            let code = curve.encode(light);
            if code == f64::NEG_INFINITY {
                continue; // No code, as documented.
            }
            let what = format!("{id}: light {light} by way of code {code}");
            let allowed = (allowed * light.abs().max(DECODE_FLOOR)).max(jump_beside(&curve, light));
            check(&what, light, curve.decode(code), allowed, &mut worst, &mut faults);
            checked += 1;
        }
    }
    report("round trip", checked, worst, &faults);
}

#[test]
fn whole_codes_come_back_to_half_a_code() {
    for (id, full_scale, steps_per_stop) in [("acesproxy10", 1023.0, 50.0), ("acesproxy12", 4095.0, 200.0)] {
        let curve = Curve::new(find(id).unwrap(), None).unwrap();
        for tenth in -40..=60 {
            let stops = f64::from(tenth) / 10.0;
            let light = linear_from_stops(stops);
            let code = curve.encode(light) * full_scale;
            assert!((code - code.round()).abs() < 1e-9, "{id}: {stops} stops gives the code {code}");
            // Half a code, and the rounding of two logarithms.
            let off = log2(curve.decode(code / full_scale) / light) * steps_per_stop;
            assert!(off.abs() <= 0.5 + 1e-9, "{id}: {stops} stops comes back {off} codes off");
        }
    }
}

/// Rounded constants may let decode fall at a break by less than a step; anywhere else it never falls.
#[test]
fn decode_rises_and_is_finite_from_minus_one_to_two() {
    const PARTS: i32 = 8192;
    for curve in all_curves() {
        let name = label(&curve);
        let breaks = curve.breaks();
        let steps: Vec<f64> = curve.steps().iter().map(|step| step.code).collect();
        let mut before = (f64::NAN, f64::NEG_INFINITY);
        for part in -PARTS..=2 * PARTS {
            let code = f64::from(part) / f64::from(PARTS);
            let light = curve.decode(code);
            assert!(light.is_finite(), "{name}: code {code} gives {light}");
            let crosses = |places: &[f64]| places.iter().any(|place| before.0 <= *place && *place <= code);
            let fall = before.1 - light;
            assert!(
                fall <= 0.0 || crosses(&steps) || (crosses(&breaks) && fall <= STEP_THRESHOLD),
                "{name}: decode falls by {fall:e} between codes {} and {code}",
                before.0
            );
            before = (code, light);
        }
    }
}

#[test]
fn steps_are_exactly_the_documented_ones() {
    let mut found = BTreeSet::new();
    for curve in all_curves() {
        let id = curve.encoding().id;
        for step in curve.steps() {
            let documented = DOCUMENTED_STEPS.iter().find(|(name, ..)| *name == id);
            let (_, linear_jump, code_jump) =
                documented.unwrap_or_else(|| panic!("{id} has no step on record: {step:?}"));
            let linear = step.linear_above - step.linear_below;
            let code10 = (step.code_above - step.code_below) * 1023.0;
            // Two digits are on record.
            assert!(
                (linear / linear_jump - 1.0).abs() < 0.05,
                "{id}: decode jumps by {linear:e}, on record {linear_jump:e}"
            );
            assert!(
                (code10 / code_jump - 1.0).abs() < 0.05,
                "{id}: encode jumps by {code10} codes, on record {code_jump}"
            );
            assert!(!curve.encoding().note.is_empty(), "{id} has a step that its note does not mention");
            assert!(found.insert(id), "{id} has two steps");
        }
    }
    let documented: BTreeSet<&str> = DOCUMENTED_STEPS.iter().map(|(id, ..)| *id).collect();
    assert_eq!(found, documented);
}

/// Each break stands where the branches meet, in both directions: decode of the code break is the light of the cut.
#[test]
fn breaks_and_cuts_belong_together() {
    // D-Log rounds its code break separately: 0.14 for 0.139895, 1.7e-5 in light; F-Log and L-Log have their steps.
    const APART: f64 = 2e-5;
    // N-Log rounds its code break to the whole code 452: half a code, at a slope of 0.328 / 150 a code.
    const N_LOG_APART: f64 = 0.5 * 0.328 / 150.0;
    for curve in all_curves() {
        let encoding = curve.encoding();
        assert_eq!(encoding.breaks.len(), encoding.cuts.len(), "{}", encoding.id);
        assert!(curve.breaks().windows(2).all(|pair| pair[0] < pair[1]), "{}: not ascending", encoding.id);
        for (code, cut) in curve.breaks().iter().zip(encoding.cuts) {
            let light = curve.decode(*code);
            let allowed = if encoding.id == "n-log" { N_LOG_APART } else { APART };
            assert!((light - cut).abs() < allowed, "{}: code {code} is light {light}, the cut {cut}", encoding.id);
        }
    }
}

/// The note of the earlier revisions claims less than 0.001 of a 10-bit code.
#[test]
fn revisions_with_rescaled_constants_agree() {
    for id in ["c-log", "c-log2", "c-log3"] {
        let current = Curve::new(find(id).unwrap(), None).unwrap();
        let first = Curve::new(find(&format!("{id}-v1")).unwrap(), None).unwrap();
        for quarter in -40..=24 {
            let light = linear_from_stops(f64::from(quarter) / 4.0);
            let apart = (current.encode(light) - first.encode(light)) * 1023.0;
            assert!(apart.abs() < 0.001, "{id}: {apart} codes apart at {} stops", f64::from(quarter) / 4.0);
        }
    }
}

/// Every f64 may arrive, and nothing may panic; NaN is never hidden.
#[test]
fn odd_numbers_do_no_harm() {
    for curve in all_curves() {
        let name = label(&curve);
        assert!(curve.encode(f64::NAN).is_nan() && curve.decode(f64::NAN).is_nan(), "{name} hides NaN");
        for value in [f64::MIN, -1e6, -1.0, -f64::MIN_POSITIVE, -0.0, f64::MIN_POSITIVE, 1e6, f64::MAX] {
            assert!(!curve.encode(value).is_nan(), "{name}: light {value} gives NaN");
            assert!(!curve.decode(value).is_nan(), "{name}: code {value} gives NaN");
        }
    }
}

#[test]
fn exposure_index_is_asked_for_where_it_matters() {
    let logc3 = find("LogC3").unwrap();
    let missing = Curve::new(logc3, None).unwrap_err();
    assert_eq!(
        missing.to_string(),
        "LogC3 depends on the exposure index, and none is given: use one of 160, 200, 250, 320, 400, 500, 640, 800, \
         1000, 1280, 1600"
    );
    assert!(matches!(Curve::new(logc3, Some(850)), Err(CurveFault::ExposureIndexUnknown { given: 850, .. })));
    assert_eq!(Curve::new(logc3, Some(800)).unwrap().exposure_index(), Some(800));
    let fault = Curve::new(find("s-log3").unwrap(), Some(800)).unwrap_err();
    assert_eq!(fault.to_string(), "S-Log3 does not depend on the exposure index: leave out 800");
}

/// The ids that the project documents, in its order; the earlier revisions stand behind their current ones.
#[test]
fn every_documented_encoding_exists() {
    let ids: Vec<&str> = ENCODINGS.iter().map(|encoding| encoding.id).collect();
    let expected = "logc3 logc4 s-log s-log2 s-log3 v-log f-log f-log2 c-log c-log2 c-log3 c-log-v1 c-log2-v1 c-log3-v1 \
                    n-log d-log l-log mi-log t-log log3g10 log3g10-v1 log3g10-v2 log3g12 redlog redlogfilm \
                    bmd-film-gen5 apple-log protune panalog p-log viper-log cineon acescc acescct acesproxy10 \
                    acesproxy12 linear";
    assert_eq!(ids, expected.split_whitespace().collect::<Vec<_>>());
    let distinct: BTreeSet<String> = ids.iter().map(|id| canonical_name(id)).collect();
    assert_eq!(distinct.len(), ids.len(), "two ids are one name");
    for encoding in ENCODINGS {
        assert!(find(encoding.id) == Some(*encoding), "{}", encoding.id);
        for gamut in encoding.gamuts {
            let known = gamuts::find(gamut).unwrap_or_else(|| panic!("{}: no gamut {gamut}", encoding.id));
            assert_eq!(known.id, *gamut, "{}: not the canonical id", encoding.id);
        }
    }
}

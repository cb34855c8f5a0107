//! Incident exposure: published rows, properties, and `lookwright exposure` from outside with every refusal in exact words.

use super::common::{Worst, csv};
use lookwright::light::exposure::{
    CameraSetting, LUX_PER_FOOT_CANDLE, Lamp, MarkedStop, Receptor, Shutter, T_LIMIT, T_SLOWEST, after_filters,
    before_filters, check_t_stop, foot_candles_from_lux, lux_from_foot_candles,
};
use lookwright::maths::{exp2, log2};
use proptest::prelude::*;
use serde_json::Value;
use std::process::{Command, Output};

/// Rounding of a dozen operations, far below anything that a meter shows.
const ROUNDING: f64 = 1e-12;

fn receptor(name: &str) -> Option<Receptor> {
    Receptor::ALL.into_iter().find(|receptor| receptor.name() == name)
}

#[test]
fn the_handbooks_rows_come_out() {
    for row in csv("exposure.csv").rows() {
        let [t_stop, iso, seconds] = row.numbers(["t_stop", "iso", "seconds"]);
        let camera = CameraSetting { iso, seconds, lens_filter_stops: 0.0 };
        let lux = match (row.text("constant"), receptor(row.text("constant"))) {
            (_, Some(receptor)) => camera.lux(receptor, t_stop),
            ("rule", None) => lux_from_foot_candles(camera.rule_of_thumb_foot_candles(t_stop)),
            (other, None) => panic!("{}: unknown constant {other}", row.place()),
        };
        let light = match row.text("unit") {
            "lux" => lux,
            "fc" => foot_candles_from_lux(lux),
            other => panic!("{}: unknown unit {other}", row.place()),
        };
        let mut worst = Worst::new(row.text("unit"), row.number("half_digit"));
        worst.check(&row.place(), light, row.number("light"));
        worst.finish();
    }
}

#[test]
fn a_foot_candle_is_ten_and_three_quarters_lux() {
    // 1 / 0.3048², to all its digits by hand.
    assert!((LUX_PER_FOOT_CANDLE - 10.763_910_416_709_722).abs() < 1e-14);
}

#[test]
fn shutters_and_lamps_follow_their_definitions() {
    assert_eq!(Shutter { angle_deg: 180.0, frames_per_second: 24.0 }.seconds(), 1.0 / 48.0);
    assert!((Shutter { angle_deg: 172.8, frames_per_second: 24.0 }.seconds() - 0.02).abs() < 1e-17);
    assert_eq!(Lamp { candela: 40_000.0, distance_m: 4.0 }.lux(), 2500.0);
    assert_eq!(after_filters(2500.0, 1.0), 1250.0);
}

/// The ring's marks, hand-written: the trade's thirds lie at 2^(1/6) of the full stop's exact number.
#[test]
fn marks_are_the_trades() {
    let cases = [
        (0.5, "T0.5"),
        (0.7, "T0.7"),
        (1.0, "T1"),
        (1.4, "T1.4"),
        (2.0, "T2"),
        (2.2, "T2 + 1/3"),
        (2.5, "T2 + 2/3"),
        (2.8, "T2.8"),
        (3.2, "T2.8 + 1/3"),
        (3.5, "T2.8 + 2/3"),
        (4.0, "T4"),
        (4.5, "T4 + 1/3"),
        (5.0, "T4 + 2/3"),
        (5.6, "T5.6"),
        (8.0, "T8"),
        (11.0, "T11"),
        (16.0, "T16"),
        (22.0, "T22"),
        (32.0, "T32"),
        (45.0, "T45"),
        (64.0, "T64"),
        (90.0, "T90"),
        (101.0, "T90 + 1/3"),
        (127.0, "T128"),
        (128.0, "T128"),
    ];
    for (t_stop, mark) in cases {
        assert_eq!(MarkedStop::nearest(t_stop).expect("a lens has it").to_string(), mark, "T{t_stop}");
    }
    for refused in [0.0, -2.8, 0.49, 128.1, f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        assert_eq!(MarkedStop::nearest(refused), None, "T{refused}");
    }
}

#[test]
fn impossible_stops_are_refused_with_the_reason() {
    assert_eq!(check_t_stop(T_LIMIT), Ok(()));
    assert_eq!(check_t_stop(T_SLOWEST), Ok(()));
    let said = |t_stop: f64| check_t_stop(t_stop).expect_err("no lens has it");
    assert_eq!(said(0.3), "no lens in air is faster than f/0.5, and T is never below f");
    assert_eq!(said(f64::INFINITY), "no lens is marked beyond T128");
    assert_eq!(said(129.0), "no lens is marked beyond T128");
    for t_stop in [0.0, -0.0, -4.0, f64::NAN, f64::NEG_INFINITY] {
        assert_eq!(said(t_stop), "a T number is a number above 0");
    }
}

fn cameras() -> impl Strategy<Value = CameraSetting> {
    (1.0..1e6f64, -20.0..8.0f64, 0.0..20.0f64).prop_map(|(iso, log_seconds, lens_filter_stops)| CameraSetting {
        iso,
        seconds: exp2(log_seconds),
        lens_filter_stops,
    })
}

fn receptors() -> impl Strategy<Value = Receptor> {
    prop_oneof![Just(Receptor::Flat), Just(Receptor::Dome)]
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= ROUNDING * b.abs().max(1.0)
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn lux_to_stop_and_back_is_the_identity(camera in cameras(), receptor in receptors(), log_lux in -13.0..23.0f64) {
        let lux = exp2(log_lux);
        let t_stop = camera.t_stop(receptor, lux);
        prop_assert!(((camera.lux(receptor, t_stop) - lux) / lux).abs() < ROUNDING);
        prop_assert!(camera.stops_over(receptor, lux, t_stop).abs() < ROUNDING);
    }

    #[test]
    fn a_stop_is_a_stop_whatever_it_is_made_of(camera in cameras(), receptor in receptors(), lux in 0.01..1e6f64, t_stop in 0.5..128.0f64) {
        let before = camera.stops_over(receptor, lux, t_stop);
        let twice_iso = CameraSetting { iso: 2.0 * camera.iso, ..camera };
        let twice_time = CameraSetting { seconds: 2.0 * camera.seconds, ..camera };
        let filtered = CameraSetting { lens_filter_stops: camera.lens_filter_stops + 1.0, ..camera };
        prop_assert!(close(twice_iso.stops_over(receptor, lux, t_stop), before + 1.0));
        prop_assert!(close(twice_time.stops_over(receptor, lux, t_stop), before + 1.0));
        prop_assert!(close(filtered.stops_over(receptor, lux, t_stop), before - 1.0));
        prop_assert!(close(camera.stops_over(receptor, 2.0 * lux, t_stop), before + 1.0));
        prop_assert!(close(camera.stops_over(receptor, after_filters(lux, 1.0), t_stop), before - 1.0));
        prop_assert!(close(camera.stops_over(receptor, lux, t_stop * 2.0f64.sqrt()), before - 1.0));
        prop_assert!(close(before_filters(after_filters(lux, 3.7), 3.7) / lux, 1.0));
    }

    #[test]
    fn twice_the_distance_is_two_stops(candela in 1.0..1e6f64, distance_m in 0.1..100.0f64) {
        let near = Lamp { candela, distance_m }.lux();
        let far = Lamp { candela, distance_m: 2.0 * distance_m }.lux();
        prop_assert!(close(log2(near / far), 2.0));
    }

    #[test]
    fn units_go_there_and_back(lux in 1e-4..1e7f64) {
        prop_assert!(close(lux_from_foot_candles(foot_candles_from_lux(lux)) / lux, 1.0));
    }

    /// A mark and its rest together are the T number again, and no mark is nearer.
    #[test]
    fn the_mark_and_its_rest_are_the_stop(stops in -2.0..14.0f64) {
        let marked = MarkedStop::nearest(exp2(stops / 2.0)).expect("a lens has it");
        prop_assert!(marked.rest_stops.abs() <= 1.0 / 6.0 + ROUNDING);
        // The written number of a full stop is less than a twelfth of a stop from its exact one.
        let full = (2.0 * log2(marked.full.parse::<f64>().expect("a number"))).round();
        prop_assert!(close(full + f64::from(marked.thirds) / 3.0 + marked.rest_stops, stops));
    }
}

// ---- the program ----

fn run(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_lookwright")).arg("exposure").args(arguments).output().expect("the program starts")
}

/// The words of a command line, split at blanks.
fn words(line: &str) -> Vec<&str> {
    line.split(' ').filter(|word| !word.is_empty()).collect()
}

fn text(line: &str) -> String {
    let output = run(&words(line));
    let errors = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success() && errors.is_empty(), "exposure {line}: {}\n{errors}", output.status);
    String::from_utf8(output.stdout).expect("UTF-8")
}

fn json(line: &str) -> Value {
    serde_json::from_str(&text(&format!("{line} --json"))).expect("one document")
}

/// What is said against a command line: code, argument and column, message, label and help of each error.
fn refused(arguments: &[&str]) -> Vec<String> {
    let mut all = arguments.to_vec();
    all.push("--json");
    let output = run(&all);
    assert_eq!(output.status.code(), Some(2), "exposure {arguments:?}");
    let document: Value = serde_json::from_slice(&output.stdout).expect("one document");
    let of = |one: &Value, key: &str| one[key].as_str().unwrap_or_default().to_owned();
    document["diagnostics"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|one| {
            let help: Vec<&str> = one["help"].as_array().expect("a list").iter().filter_map(Value::as_str).collect();
            let line = [of(one, "code"), of(one, "file"), of(one, "message"), of(one, "label"), help.join("; ")];
            line.join(" | ")
        })
        .collect()
}

const CAMERA: &str = "--iso 100 --shutter-deg 180 --rate 25";

/// What is said of these arguments beside a camera that is right.
fn beside_the_camera(line: &str) -> Vec<String> {
    refused(&[words(CAMERA), words(line)].concat())
}

#[test]
fn a_reading_gives_the_stop_for_both_receptors() {
    assert_eq!(
        text(&format!("--lux 980 {CAMERA}")),
        "  light    980 lux (91.0 foot-candles)\n  \
           camera   ISO 100, 1/50 s (180° at 25 frames a second)\n\n\
         set the lens to\n  \
           flat     T2.80    T2.8        for a flat subject, or the level of a single lamp\n  \
           dome     T2.40    T2 + 2/3    for a face or another round subject\n"
    );
}

#[test]
fn a_lamp_with_filters_and_a_wanted_stop_say_how_far_off_it_is() {
    assert_eq!(
        text(
            "--candela 40000 --distance-m 4 --lamp-stops 1.5 --lens-stops 1 --iso 800 --shutter-s 1/50 --stop T2.8 --receptor flat"
        ),
        "  light    884 lux (82.1 foot-candles), from 40000 candela at 4 m by the inverse square law (good\n           \
                    from about five times the lamp's largest side), behind 1.5 stops of filters on the lamp\n  \
           camera   ISO 800, 1/50 s, 1 stop of filters on the lens\n\n\
         set the lens to\n  \
           flat     T5.32    T4 + 2/3    for a flat subject, or the level of a single lamp\n\n\
         T2.8 needs on the subject\n  \
           flat     245 lux       22.8 foot-candles     1.9 stops over with the light that there is\n  \
           rule     264 lux       24.5 foot-candles     the rule of thumb, foot-candles = 25 × T² ÷ (ISO × seconds)\n"
    );
}

#[test]
fn a_stop_alone_gives_the_light() {
    assert_eq!(
        text("--stop 4 --iso 800 --shutter-deg 180 --rate 24 --lamp-stops 1"),
        "  light    1 stop of filters on the lamp\n  \
           camera   ISO 800, 1/48 s (180° at 24 frames a second)\n\n\
         T4 needs on the subject\n  \
           flat     240 lux       22.3 foot-candles     480 lux (44.6 foot-candles) without the lamp's filters\n  \
           dome     326 lux       30.3 foot-candles     653 lux (60.6 foot-candles) without the lamp's filters\n  \
           rule     258 lux       24.0 foot-candles     the rule of thumb, foot-candles = 25 × T² ÷ (ISO × seconds)\n"
    );
}

#[test]
fn a_light_for_no_lens_is_told_and_is_no_error() {
    let dark = text("--lux 1 --iso 100 --shutter-s 1/50");
    assert!(dark.contains("T0.09    no lens is that fast: T0.5, the limit, lacks 5.0 stops of light"), "{dark}");
    let bright = text("--lux 1e6 --iso 12800 --shutter-s 1 --receptor flat");
    assert!(bright.contains("T7155    no lens is marked that far: T128 has 11.6 stops too much light"), "{bright}");
    let document = json("--lux 1 --iso 100 --shutter-s 1/50");
    assert_eq!(document["receptors"][0]["set"]["a_lens_has_it"], false);
    assert!(document["receptors"][0]["set"]["marked_stop"].is_null());
}

#[test]
fn the_document_has_every_figure_with_its_unit() {
    let document = json("--foot-candles 91 --iso 100 --shutter-deg 180 --rate 25 --stop T2 --lamp-stops 0.5");
    let number = |pointer: &str| document.pointer(pointer).and_then(Value::as_f64).unwrap_or(f64::NAN);
    let lux = 91.0 * LUX_PER_FOOT_CANDLE / 2.0f64.sqrt();
    // Needed at T2: 250 · 4 / (0.02 · 100) = 500 lux.
    let expected = [
        ("/light/lux", lux),
        ("/light/foot_candles", lux / LUX_PER_FOOT_CANDLE),
        ("/light/lamp_filter_stops", 0.5),
        ("/camera/iso", 100.0),
        ("/camera/shutter_seconds", 0.02),
        ("/camera/shutter_angle_deg", 180.0),
        ("/camera/frames_per_second", 25.0),
        ("/camera/lens_filter_stops", 0.0),
        ("/receptors/0/constant_lux_seconds", 250.0),
        ("/receptors/0/set/t_stop", (lux * 2.0 / 250.0).sqrt()),
        ("/receptors/0/needed/lux", 500.0),
        ("/receptors/0/needed/foot_candles", 500.0 / LUX_PER_FOOT_CANDLE),
        ("/receptors/0/needed/lux_without_lamp_filters", 500.0 * 2.0f64.sqrt()),
        ("/receptors/0/needed/stops_over", log2(lux / 500.0)),
        ("/receptors/1/needed/lux", 680.0),
        ("/asked/t_stop", 2.0),
        ("/asked/rule_of_thumb_foot_candles", 50.0),
    ];
    let mut worst = Worst::new("figures of the document", ROUNDING);
    for (pointer, value) in expected {
        worst.check_relative(pointer, number(pointer), value);
    }
    worst.finish();
    assert!(document["light"]["candela"].is_null());
}

#[test]
fn what_is_no_number_is_refused_at_its_argument() {
    assert_eq!(
        beside_the_camera("--lux 1,5"),
        [
            "LW0701 | --lux | the illuminance in lux is not a number | expected a number, found 1,5 | decimals follow a point, and thousands are not set apart: --lux 980"
        ]
    );
    assert_eq!(
        beside_the_camera("--candela 40kcd --distance-m 4m"),
        [
            "LW0701 | --candela | the luminous intensity in candela is not a number | expected a number, found 40kcd | the unit is the argument's own and is not written: --candela 40000",
            "LW0701 | --distance-m | the distance in metres is not a number | expected a number, found 4m | the unit is the argument's own and is not written: --distance-m 4",
        ]
    );
    assert_eq!(
        refused(&["--lux", "", "--iso", "1/50", "--shutter-s", "1/50/2"]),
        [
            "LW0701 | --lux | the illuminance in lux is not a number | expected a number, found nothing | the unit is the argument's own and is not written: --lux 980",
            "LW0701 | --shutter-s | the shutter time in seconds is not a number | expected a number, found 1/50/2 | the unit is the argument's own and is not written: --shutter-s 1/50",
            "LW0701 | --iso | the exposure index (ISO) is not a number | expected a number, found 1/50 | the unit is the argument's own and is not written: --iso 800",
        ]
    );
}

#[test]
fn zero_negative_and_endless_figures_are_refused() {
    let ranges = [
        ("--lux", "illuminance in lux", "0.0001 to 10000000"),
        ("--foot-candles", "illuminance in foot-candles", "0.00001 to 1000000"),
        ("--candela", "luminous intensity in candela", "0.01 to 1000000000"),
        ("--distance-m", "distance in metres", "0.01 to 10000"),
        ("--iso", "exposure index (ISO)", "1 to 10000000"),
        ("--shutter-deg", "shutter angle in degrees", "0.1 to 360"),
        ("--rate", "rate in frames a second", "0.001 to 1000000"),
        ("--shutter-s", "shutter time in seconds", "1/1000000 to 3600"),
        ("--lamp-stops", "loss of the lamp's filters in stops", "0 to 20"),
        ("--lens-stops", "loss of the lens's filters in stops", "0 to 20"),
    ];
    for (argument, what, range) in ranges {
        for value in ["0", "-1", "-inf", "inf", "nan", "1e300", "2e9"] {
            if value == "0" && range.starts_with("0 ") {
                continue;
            }
            let said = refused(&[argument, value]);
            let start =
                format!("LW0702 | {argument} | the {what} is out of range | expected {range}, found {value} | ");
            assert!(said.iter().any(|one| one.starts_with(&start) && one.len() > start.len()), "{said:#?}");
        }
    }
    assert_eq!(
        refused(&words("--lux 5 --iso 100 --shutter-deg 361 --rate 24")),
        [
            "LW0702 | --shutter-deg | the shutter angle in degrees is out of range | expected 0.1 to 360, found 361 | a full turn is 360 degrees; the usual angle is 180"
        ]
    );
    assert_eq!(
        refused(&words("--lux 5 --iso 100 --shutter-s 1/0")),
        [
            "LW0702 | --shutter-s | the shutter time in seconds is out of range | expected 1/1000000 to 3600, found 1/0 | seconds, not their reciprocal: --shutter-s 1/50"
        ]
    );
}

/// The distance that the message proposes is one that is taken.
#[test]
fn a_lamp_that_is_too_near_for_the_law_is_refused() {
    assert_eq!(
        beside_the_camera("--candela 123456 --distance-m 0.02"),
        [
            "LW0702 | --distance-m | so near to the lamp, the inverse square law gives more light than there can be | expected at least 0.12, found 0.02 | the law holds from about five times the lamp's largest side: measure with a meter, and give --lux"
        ]
    );
    text(&format!("--candela 123456 --distance-m 0.12 {CAMERA}"));
}

#[test]
fn one_thing_said_twice_is_refused() {
    let twice = |what: &str, first: &str, second: &str| {
        format!(
            "LW0703 | {second} | the {what} is given twice | expected {first} alone, found {second} too | leave {first} or {second} out"
        )
    };
    assert_eq!(beside_the_camera("--lux 5 --foot-candles 5"), [twice("light", "--lux", "--foot-candles")]);
    assert_eq!(beside_the_camera("--candela 5 --distance-m 1 --lux 5"), [twice("light", "--lux", "--candela")]);
    assert_eq!(
        beside_the_camera("--distance-m 1 --foot-candles 5"),
        [twice("light", "--foot-candles", "--distance-m")]
    );
    assert_eq!(beside_the_camera("--lux 5 --shutter-s 1/50"), [twice("shutter", "--shutter-deg", "--shutter-s")]);
    let rate = refused(&words("--lux 5 --iso 100 --shutter-s 1/50 --rate 24"));
    assert_eq!(rate, [twice("shutter", "--rate", "--shutter-s")]);
}

#[test]
fn what_is_missing_is_named() {
    let light = "LW0704 |  | there is neither a light nor a T-stop to compute from |  | add a light, --lux 980, --foot-candles 91 or --candela 40000 --distance-m 4, for the stop; or a stop, --stop T2.8, for the light that it needs";
    assert_eq!(
        refused(&[]),
        [
            "LW0704 |  | the shutter is missing |  | add --shutter-deg 180 --rate 24, or --shutter-s 1/48",
            "LW0704 |  | the exposure index (ISO) is missing |  | for example: --iso 800",
            light,
        ]
    );
    assert_eq!(beside_the_camera("--lamp-stops 1"), [light]);
    let missing = |what: &str, example: &str| format!("LW0704 |  | the {what} is missing |  | for example: {example}");
    assert_eq!(beside_the_camera("--candela 5"), [missing("distance in metres", "--distance-m 4")]);
    assert_eq!(beside_the_camera("--distance-m 5"), [missing("luminous intensity in candela", "--candela 40000")]);
    assert_eq!(
        refused(&words("--lux 5 --iso 100 --rate 24")),
        [missing("shutter angle in degrees", "--shutter-deg 180")]
    );
    assert_eq!(
        refused(&words("--lux 5 --iso 100 --shutter-deg 180")),
        [missing("rate in frames a second", "--rate 24")]
    );
}

#[test]
fn stops_that_no_lens_has_are_refused() {
    let impossible = |text: &str, reason: &str| {
        format!(
            "LW0705 | --stop | \"{text}\" is no stop that a lens can have | expected T0.5 to T128, found {text} | {reason}"
        )
    };
    let fast = "no lens in air is faster than f/0.5, and T is never below f";
    assert_eq!(beside_the_camera("--stop T0.3"), [impossible("T0.3", fast)]);
    assert_eq!(beside_the_camera("--stop T200"), [impossible("T200", "no lens is marked beyond T128")]);
    assert_eq!(beside_the_camera("--stop -2.8"), [impossible("-2.8", "a T number is a number above 0")]);
    assert_eq!(beside_the_camera("--stop Tnan"), [impossible("Tnan", "a T number is a number above 0")]);
    assert_eq!(
        beside_the_camera("--stop f/2.8"),
        [
            "LW0615 | --stop | \"f/2.8\" is not a T-stop | expected T and a number, found f/2.8 | the lens's T number counts the light that its glass loses: T = f / √transmittance"
        ]
    );
    assert_eq!(
        beside_the_camera("--stop wide"),
        ["LW0615 | --stop | \"wide\" is not a T-stop | expected T and a number, found wide | for example: --stop T2.8"]
    );
}

#[test]
fn what_was_written_does_not_reach_the_terminal_as_orders() {
    for argument in ["--lux", "--stop"] {
        let output = run(&[argument, "a\u{1b}[31m\r\nb"]);
        let errors = String::from_utf8_lossy(&output.stderr);
        assert!(errors.contains("found a\u{fffd}[31m\u{fffd}\u{fffd}b"), "{errors}");
        assert!(!errors.contains(['\u{1b}', '\r']), "{errors}");
    }
}

/// Any combination of arguments ends with an answer or with a refusal, never otherwise; also with hostile characters.
#[test]
fn no_combination_breaks_the_program() {
    let hostile = ["0", "1e9", "-5", "nan", "1/0", "é,½", "", "a\nb\u{1b}[31m", "T2.8"];
    let figures = ["0.01", "1", "2.8", "20"];
    let names = ["--lamp-stops", "--lens-stops", "--stop", "--lux", "--foot-candles", "--candela", "--distance-m"];
    let cameras: [&[&str]; 4] = [
        &["--iso", "100", "--shutter-deg", "180", "--rate", "24"],
        &["--iso", "1e7", "--shutter-s", "3600"],
        &["--iso", "1", "--shutter-deg", "0.1", "--rate", "1e6"],
        &["--rate", "a\tb", "--shutter-deg", "½", "--iso", ""],
    ];
    let mut answered = 0;
    // A fixed walk: which arguments are there is counted in bits; their values turn at their own pace, mostly right ones.
    for step in 0..(1_usize << names.len()) * 2 {
        let chosen = names.iter().enumerate().filter(|(place, _)| (step >> place) & 1 == 1);
        let mut arguments = cameras[step / 5 % cameras.len()].to_vec();
        for (place, name) in chosen {
            let turn = step / 3 + place * 4;
            let value = if turn % 7 == 6 { hostile[turn % hostile.len()] } else { figures[turn % figures.len()] };
            arguments.extend([*name, value]);
        }
        let output = run(&arguments);
        let errors = String::from_utf8_lossy(&output.stderr);
        assert!(matches!(output.status.code(), Some(0 | 2)), "{arguments:?}: {}\n{errors}", output.status);
        assert_eq!(output.status.success(), errors.is_empty(), "{arguments:?}\n{errors}");
        let text = String::from_utf8_lossy(&output.stdout);
        assert!(!text.contains("NaN") && !text.contains(" inf"), "{arguments:?}\n{text}");
        answered += usize::from(output.status.success());
    }
    assert!(answered > 20, "only {answered} were answered: the walk never gets past the arguments");
}

//! `inspect` and `compare` on tables whose answer is known, because they are constructed here; published figures where a
//! colour or a curve is named.
#![allow(clippy::print_stdout, reason = "the judgements are wanted, with --nocapture")]

use lookwright::colour::adaptation::Adaptation;
use lookwright::colour::displays::{Display, DisplayEncoding};
use lookwright::colour::encodings::{Curve, find};
use lookwright::colour::gamuts;
use lookwright::compile::{Prepared, prepare};
use lookwright::formats::cube::{CubeFile, Tables};
use lookwright::lut::{Domain, Interpolation, Table1, Table3, sample};
use lookwright::maths::{Rgb, exp2, log2, pow};
use lookwright::pipeline::transform;
use lookwright::plan::{Camera, Levels};
use lookwright::verify::comparison::Difference;
use lookwright::verify::inspection::{Kind, Known};
use lookwright::verify::{Assumptions, Inspection, Mapping, View, compare, differences, inspect};
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// The looks of `tests/data/looks`.
const LOOKS: [&str; 8] = [
    "tone-only",
    "white-cool",
    "cdl-split",
    "bands-p3",
    "diffusion-half",
    "filter-beyond-zero",
    "pq-1000",
    "trim-root",
];

fn looks() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/looks")
}

fn look(name: &str, overrides: &[&str]) -> Prepared {
    let overrides: Vec<String> = overrides.iter().map(|text| (*text).to_owned()).collect();
    prepare(&looks().join(format!("{name}.toml")), &overrides).unwrap_or_else(|faults| panic!("{name}: {faults:?}"))
}

/// A recipe of this text.
fn written(text: &str) -> Prepared {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("look.toml");
    std::fs::write(&path, text).expect("written");
    prepare(&path, &[]).unwrap_or_else(|faults| panic!("{text}: {faults:?}"))
}

/// A plain conversion from S-Log3 to a display, with more lines behind.
fn technical(more: &str) -> Prepared {
    written(&format!(
        "lookwright = 1\n[look]\nname = \"plain\"\n[camera]\nencoding = \"s-log3\"\ngamut = \"s-gamut3.cine\"\n{more}\n"
    ))
}

fn table(size: usize, of: impl Fn(Rgb) -> Rgb) -> Table3 {
    let last = (size - 1) as f64;
    let nodes = (0..size * size * size)
        .map(|node| of([node % size, node / size % size, node / (size * size)].map(|index| index as f64 / last)))
        // As a file with six decimals says it.
        .map(|node| node.map(|value| (value * 1e6).round() / 1e6))
        .collect();
    Table3::new(size, Domain::UNIT, nodes).expect("size³ nodes")
}

fn table1(rows: usize, of: impl Fn(f64) -> f64) -> Table1 {
    Table1::new(Domain::UNIT, (0..rows).map(|row| [of(row as f64 / (rows - 1) as f64); 3]).collect()).expect("rows")
}

fn file(tables: Tables) -> CubeFile {
    CubeFile { title: None, comments: Vec::new(), tables, warnings: Vec::new() }
}

fn three(size: usize, of: impl Fn(Rgb) -> Rgb) -> CubeFile {
    file(Tables::Three(table(size, of)))
}

fn each(size: usize, of: impl Fn(f64) -> f64) -> CubeFile {
    three(size, |rgb| rgb.map(&of))
}

fn sampled(one: &Prepared) -> CubeFile {
    let exact = sample(&one.pipeline, one.plan.device.size).table;
    three(one.plan.device.size, |rgb| exact.sample(rgb, Interpolation::Tetrahedral))
}

fn curve(name: &str, index: Option<u32>) -> Curve {
    Curve::new(find(name).expect("an encoding"), index).expect("a curve")
}

fn seen(name: &str, file: &CubeFile) -> Inspection {
    let inspection = inspect(file, &Assumptions::default());
    println!("{name:44} {:?}: {}", inspection.judgement.kind, inspection.judgement.sentence);
    inspection
}

fn judged(name: &str, file: &CubeFile, kind: Kind, words: &str) -> Inspection {
    let inspection = seen(name, file);
    let judgement = &inspection.judgement;
    assert_eq!(judgement.kind, kind, "{name}: {} {:?}", judgement.sentence, judgement.evidence);
    assert!(judgement.sentence.contains(words), "{name}: \"{}\" should say {words}", judgement.sentence);
    assert!(!judgement.evidence.is_empty(), "{name}: a judgement needs evidence");
    inspection
}

#[test]
fn an_identity_is_one_at_every_size() {
    for size in [2, 3, 17, 33, 65] {
        judged(&format!("identity, {size} points"), &each(size, |value| value), Kind::Identity, "changes nothing");
    }
    judged("1D identity", &file(Tables::One(table1(256, |value| value))), Kind::Identity, "changes nothing");
    let shaped =
        Tables::Shaped { shaper: table1(1024, f64::sqrt), table: table(33, |rgb| rgb.map(|value| value * value)) };
    // The shaper's curve and its square are an identity only between nodes, up to the table's own error.
    let inspection = seen("shaper and its inverse", &file(shaped));
    assert_eq!((inspection.table, inspection.size, inspection.shaper_size), ("shaped 3D", 33, Some(1024)));
    let plain = Tables::Shaped { shaper: table1(16, |value| value), table: table(9, |rgb| rgb) };
    judged("shaped identity", &file(plain), Kind::Identity, "changes nothing");
}

/// SMPTE narrow range: 64 to 940 of 1023.
#[test]
fn scales_between_full_and_legal_are_told_apart() {
    let stretch = |value: f64| (1023.0 * value - 64.0) / 876.0;
    let squeeze = |value: f64| (64.0 + 876.0 * value) / 1023.0;
    for size in [9, 17, 33, 65] {
        judged(
            &format!("legal to full, {size} points"),
            &each(size, |v| stretch(v).clamp(0.0, 1.0)),
            Kind::Scale,
            "legal to full",
        );
        judged(&format!("full to legal, {size} points"), &each(size, squeeze), Kind::Scale, "full to legal");
    }
    judged("legal to full, not cut", &each(33, stretch), Kind::Scale, "legal to full");
    judged("1D full to legal", &file(Tables::One(table1(1024, squeeze))), Kind::Scale, "full to legal");
    judged(
        "legal to full, 10-bit numbers",
        &each(33, |v| (stretch(v).clamp(0.0, 1.0) * 1023.0).round() / 1023.0),
        Kind::Scale,
        "legal to full",
    );
    judged("× 0.9", &each(33, |value| 0.9 * value), Kind::Scale, "0.9000 times");
}

#[test]
fn log_to_log_names_both_encodings() {
    let (from, to) = (curve("s-log3", None), curve("logc3", Some(800)));
    let convert = |value: f64| to.encode(from.decode(value)).clamp(0.0, 1.0);
    let inspection = judged("s-log3 to logc3 EI 800", &each(33, convert), Kind::LogToLog, "s-log3 to logc3 EI 800");
    assert!(inspection.judgement.separable && inspection.judgement.pairs[0].gamuts.is_none());
    assert_eq!((inspection.camera.encoding.as_str(), inspection.camera.known), ("s-log3", Known::Conversion));
    judged(
        "the same as a 1D table",
        &file(Tables::One(table1(4096, convert))),
        Kind::LogToLog,
        "s-log3 to logc3 EI 800",
    );
    let (source, target) = (&gamuts::S_GAMUT3_CINE, &gamuts::AWG3);
    let matrix =
        target.from_xyz() * Adaptation::Bradford.matrix(source.white_xyz(), target.white_xyz()) * source.to_xyz();
    let with_matrix =
        three(33, |rgb| transform(&matrix, rgb.map(|value| from.decode(value))).map(|x| to.encode(x).clamp(0.0, 1.0)));
    let inspection = judged("the same with its gamuts", &with_matrix, Kind::LogToLog, "s-log3 to logc3 EI 800");
    assert!(!inspection.judgement.separable);
    let told = inspection.judgement.pairs[0].gamuts.clone().unwrap_or_default();
    assert!(told.starts_with("s-gamut3.cine to awg3"), "the gamuts: {told}");
    for (a, b) in [("v-log", "s-log3"), ("logc4", "acescct"), ("c-log3", "v-log"), ("f-log2", "logc4")] {
        let (from, to) = (curve(a, None), curve(b, None));
        let convert = |value: f64| to.encode(from.decode(value)).clamp(0.0, 1.0);
        judged(&format!("{a} to {b}"), &each(33, convert), Kind::LogToLog, &format!("{a} to {b}"));
    }
}

#[test]
fn technical_conversions_and_their_inverse_are_named() {
    let inspection = judged("technical conversion", &sampled(&technical("")), Kind::Technical, "s-log3 to bt1886");
    let told = inspection.judgement.pairs[0].gamuts.clone().unwrap_or_default();
    assert!(told.starts_with("s-gamut3.cine to"), "the gamuts: {told}; {:?}", inspection.judgement.evidence);
    judged(
        "technical, legal both",
        &sampled(&technical("[lut]\ninput_levels = \"legal\"\noutput_levels = \"legal\"")),
        Kind::Technical,
        "input legal, output legal",
    );
    judged(
        "technical to srgb",
        &sampled(&technical("[display]\nencoding = \"srgb\"")),
        Kind::Technical,
        "s-log3 to srgb",
    );
    let (display, log) = (Display::new(DisplayEncoding::Bt1886, 100.0), curve("s-log3", None));
    let back = |value: f64| log.encode(display.decode([value; 3])[1]);
    judged("bt1886 to s-log3", &each(33, back), Kind::ToLog, "bt1886 to s-log3");
}

/// The inverse of a look's grey scale, found by bisection.
#[test]
fn the_inverse_of_a_look_is_an_inverse() {
    let one = look("tone-only", &[]);
    let invert = |signal: f64| {
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..50 {
            let middle = (low + high) / 2.0;
            if one.pipeline.evaluate([middle; 3])[1] < signal { low = middle } else { high = middle }
        }
        (low + high) / 2.0
    };
    judged("inverse of a look", &each(33, invert), Kind::Inverse, "inverse");
}

#[test]
fn looks_are_viewing_luts() {
    for name in LOOKS {
        let one = look(name, &[]);
        let inspection = judged(name, &sampled(&one), Kind::Viewing, "viewing");
        assert!(!inspection.judgement.monochrome && !inspection.judgement.separable, "{name}");
    }
    let grey = look("tone-only", &["colour.saturation=0"]);
    let inspection = judged("black and white", &sampled(&grey), Kind::Viewing, "black and white");
    assert!(inspection.judgement.monochrome);
    assert!(inspection.picture.hues.iter().all(|hue| hue.chroma_gain < 0.01), "{:?}", inspection.picture.hues);
}

#[test]
fn gammas_and_the_rest() {
    judged("1D power 1/2.4", &file(Tables::One(table1(1024, |v| pow(v, 1.0 / 2.4)))), Kind::Gamma, "linear to bt1886");
    judged("1D power 1.1", &file(Tables::One(table1(1024, |v| pow(v, 1.1)))), Kind::Gamma, "power of 1.100");
    judged("3D power 0.8", &each(33, |v| pow(v, 0.8)), Kind::Gamma, "power of 1/1.250");
    judged(
        "bt1886 to srgb",
        &each(65, |v| Display::new(DisplayEncoding::Srgb, 100.0).encode([pow(v, 2.4); 3])[1]),
        Kind::Gamma,
        "bt1886 to srgb",
    );
    judged("flat", &each(17, |_| 0.25), Kind::Flat, "same colour");
    judged("one channel upside down", &three(17, |[r, g, b]| [r, g, 1.0 - b]), Kind::Broken, "rises and falls");
    judged("negative", &each(17, |v| 1.0 - v), Kind::Negative, "negative");
    let mixed = three(33, |[r, g, b]| {
        let mean = (r + g + b) / 3.0;
        [r, g, b].map(|value| mean + 0.5 * (value - mean))
    });
    judged("half the saturation", &mixed, Kind::ColourOnly, "colours only");
    let inspection = judged(
        "black and white, greys kept",
        &three(33, |[r, g, b]| [0.2126 * r + 0.7152 * g + 0.0722 * b; 3]),
        Kind::ColourOnly,
        "black and white",
    );
    assert!(inspection.judgement.monochrome);
}

/// Numbers of a generator with a known seed (Knuth's multiplier for 64 bits), and a look with its rows shuffled.
#[test]
fn garbage_is_called_so() {
    let mut state = 7_u64;
    let mut random = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    for size in [5, 17, 33] {
        let nodes = (0..size * size * size).map(|_| [random(), random(), random()]).collect();
        let noise = Table3::new(size, Domain::UNIT, nodes).expect("size³ nodes");
        let inspection = judged(&format!("noise, {size} points"), &file(Tables::Three(noise)), Kind::Broken, "damaged");
        assert!(inspection.picture.falling.is_some(), "a random grey scale falls");
        let shape = inspection.shape.expect("a 3D table has a shape");
        assert!(shape.folded_cells * 2 > shape.cells, "noise folds in most cells: {}", shape.folded_cells);
    }
}

#[test]
fn the_numbers_of_a_table_are_counted() {
    let mut nodes = vec![[0.5; 3]; 8];
    nodes[0] = [-0.1, 0.0, 0.0];
    nodes[7] = [1.0, 1.2, 1.0];
    let values =
        inspect(&file(Tables::Three(Table3::new(2, Domain::UNIT, nodes).expect("8 nodes"))), &Assumptions::default())
            .values;
    assert_eq!((values.count, values.min, values.max), (24, [-0.1, 0.0, 0.0], [1.0, 1.2, 1.0]));
    for (what, share, of_24) in [
        ("below 0", values.share_below_0, 1.0),
        ("at 0", values.share_at_0, 2.0),
        ("at 1", values.share_at_1, 2.0),
        ("above 1", values.share_above_1, 1.0),
    ] {
        assert!((share - of_24 / 24.0).abs() < 1e-12, "{what}: {share}");
    }
    assert_eq!(values.flat_cells, Some(0.0));
    // 2 of 4 cells an axis are flat where everything below half is black.
    let clipped = each(5, |value| (2.0 * value - 1.0).max(0.0));
    assert_eq!(inspect(&clipped, &Assumptions::default()).values.flat_cells, Some(8.0 / 64.0));
}

#[test]
fn bends_falls_and_steps_are_placed() {
    // One node of the grey axis 0.1 too low: it lies 0.1 below the line between its neighbours, and the greys fall there.
    let mut dented = table(33, |rgb| rgb);
    let place = 16 * (1 + 33 + 33 * 33);
    dented.nodes_mut()[place] = [0.4, 0.5, 0.5];
    let inspection = inspect(&file(Tables::Three(dented)), &Assumptions::default());
    let smooth = &inspection.smoothness;
    assert!((smooth.grey_bend_codes - 102.3).abs() < 1e-6 && (smooth.grey_bend_at - 511.5).abs() < 1e-6, "{smooth:?}");
    let bend = smooth.bend.expect("a 3D table");
    assert!((bend.codes - 102.3).abs() < 1e-6 && bend.input == [0.5; 3], "{bend:?}");
    let fall = inspection.picture.falling.expect("it falls");
    let expected = 1023.0 * (15.0 / 32.0 - 0.4);
    assert!(
        fall.channel == 0 && (fall.codes - expected).abs() < 0.1 && (fall.code_in - 511.5).abs() < 1.0,
        "{fall:?}, expected {expected}"
    );
    // Slope 4 between two nodes: four codes out for one in.
    let steep = inspect(&each(33, |value| (4.0 * value - 1.5).clamp(0.0, 1.0)), &Assumptions::default());
    assert!((steep.smoothness.grey_step_codes - 4.0).abs() < 1e-4, "{:?}", steep.smoothness);
}

/// The figures of a look that the equations give: docs/look-maths.md, section 10, with its defaults.
#[test]
fn the_grey_curve_is_the_look_that_was_asked_for() {
    let one = look("tone-only", &["lut.size=65"]);
    let inspection = inspect(&sampled(&one), &Assumptions { camera: Some(one.plan.camera), ..Assumptions::default() });
    let picture = &inspection.picture;
    assert_eq!(inspection.camera.known, Known::Given);
    let grey = pow(0.10, 1.0 / 2.4);
    assert!(
        (picture.mid_grey_signal - grey).abs() < 1.0 / 1023.0,
        "mid-grey {} instead of {grey}",
        picture.mid_grey_signal
    );
    // Half a stop either way is on the straight line: e = γ s, with the flare f below grey.
    let kappa = pow(0.0005, 1.0 / 2.4);
    let lifted = pow(pow(0.10, 1.0 / 2.4) * (1.0 - kappa) + kappa, 2.4);
    let flare = 0.18 * exp2(-8.0) / (1.0 - exp2(-8.0));
    let light = |stops: f64| {
        let s = log2((0.18 * exp2(stops) + flare) / (0.18 + flare));
        pow((pow(lifted * exp2(1.35 * s), 1.0 / 2.4) - kappa) / (1.0 - kappa), 2.4)
    };
    let contrast = log2(light(0.5) / light(-0.5));
    let found = picture.contrast.expect("grey is not black");
    assert!((found - contrast).abs() < 0.02, "contrast {found} instead of {contrast}");
    assert!(picture.ends.white_stops.is_some_and(|stops| (stops - 6.0).abs() < 0.15), "{:?}", picture.ends);
    assert!(picture.falling.is_none(), "{:?}", picture.falling);
    // D65 has 6504 K (CIE 015:2018) and lies 0.0032 above the locus (ANSI C78.377 as commonly quoted; from memory).
    for (name, cast) in [("grey", &picture.grey), ("white", &picture.white)] {
        assert!(cast.red_green.abs() < 1e-3 && cast.blue_green.abs() < 1e-3, "{name}: {cast:?}");
        assert!(cast.kelvin.is_some_and(|kelvin| (kelvin - 6504.0).abs() < 2.0), "{name}: {cast:?}");
        assert!(cast.duv.is_some_and(|duv| (duv - 0.0032).abs() < 1e-4), "{name}: {cast:?}");
        assert!(cast.warmer_mired.is_some_and(|mired| mired.abs() < 0.01), "{name}: {cast:?}");
    }
    assert_eq!(picture.black.kelvin, None, "black has no colour");
}

/// A plain conversion to a gamut that holds the colours reproduces every chromaticity; saturation in Oklab scales chroma and nothing else.
#[test]
fn saturation_by_hue_is_what_the_recipe_asks_for() {
    for (more, gain) in [("", 1.0), ("[colour]\nsaturation = 0.5", 0.5), ("[colour]\nsaturation = 1.4", 1.4)] {
        let one = technical(&format!("{more}\n[display]\ngamut = \"bt2020\"\n[lut]\nsize = 65"));
        let inspection = inspect(
            &sampled(&one),
            &Assumptions { camera: Some(one.plan.camera), display: Some(one.plan.display), levels: None },
        );
        assert_eq!(inspection.picture.hues.len(), 12);
        for hue in &inspection.picture.hues {
            // Of a table: 65 points, read between the nodes.
            assert!((hue.chroma_gain - gain).abs() < 0.03, "saturation {gain} at {}: {hue:?}", hue.name);
            assert!(hue.shift_deg.abs() < 2.5, "saturation {gain} at {}: {hue:?}", hue.name);
        }
    }
}

#[test]
fn the_camera_is_known_named_or_guessed() {
    let mut unknown = sampled(&look("tone-only", &[]));
    let guess = inspect(&unknown, &Assumptions::default()).camera;
    assert_eq!(guess.known, Known::Guessed);
    assert_eq!(guess.encoding, guess.candidates[0].encoding);
    let told: Vec<&str> = guess.candidates.iter().map(|one| one.encoding.as_str()).collect();
    assert!(told.contains(&"s-log3"), "the right encoding is among the sensible ones: {told:?}");
    unknown.title = Some("Tidewater S-Log3 day".to_owned());
    let named = inspect(&unknown, &Assumptions::default()).camera;
    assert_eq!((named.known, named.encoding.as_str(), named.gamut), (Known::Named, "s-log3", "s-gamut3"));
    unknown.comments = vec!["camera: v-log / v-gamut".to_owned()];
    let stated = inspect(&unknown, &Assumptions::default()).camera;
    assert_eq!((stated.known, stated.encoding.as_str()), (Known::Header, "v-log"));
    let given = Camera { curve: curve("logc4", None), gamut: &gamuts::AWG4 };
    let asked = inspect(&unknown, &Assumptions { camera: Some(given), ..Assumptions::default() }).camera;
    assert_eq!((asked.known, asked.encoding.as_str()), (Known::Given, "logc4"));
}

fn side(one: &Prepared) -> View<'_> {
    View::of_look(&one.plan, &one.pipeline)
}

#[test]
fn a_look_is_like_itself() {
    for name in LOOKS {
        let one = look(name, &[]);
        let same = compare(&side(&one), &side(&one));
        assert_eq!((same.max_de, same.mean_de, same.skin_max_de), (0.0, 0.0, 0.0), "{name}");
        assert!(same.words.contains("like A"), "{name}: {}", same.words);
        assert_eq!(differences(&one.recipe, &one.recipe), [], "{name}");
    }
}

/// A recipe against its own file is what the verifier finds, by the same patches.
#[test]
fn a_recipe_against_its_file_is_the_verification() {
    for name in LOOKS {
        let one = look(name, &[]);
        let tables = sampled(&one).tables;
        let Tables::Three(file) = &tables else { panic!("a 3D table") };
        let verified = one.hold(file).expect("a look");
        let levels = (one.plan.device.input_levels, one.plan.device.output_levels);
        let mapping = Mapping::new(&tables, one.plan.device.interpolation);
        let found = compare(&side(&one), &View::of_file(mapping, one.plan.camera, one.plan.display, levels));
        if one.plan.adaptation == Adaptation::Bradford {
            assert!(
                (found.mean_de - verified.patch_mean_de).abs() < 1e-12,
                "{name}: {} against {}",
                found.mean_de,
                verified.patch_mean_de
            );
            assert!(
                (found.max_de - verified.patch_max_de).abs() < 1e-12,
                "{name}: {} against {}",
                found.max_de,
                verified.patch_max_de
            );
            assert!((found.skin_max_de - verified.skin_max_de).abs() < 1e-12, "{name}");
        }
    }
}

/// What the words must say follows from the recipes: one stop of exposure is one stop of display light without a tone curve.
#[test]
fn the_words_say_how_they_differ() {
    let plain = technical("");
    let brighter = compare(&side(&plain), &side(&technical("[exposure]\nstops = 1")));
    assert!(brighter.words.contains("1.00 stop brighter at grey"), "{}", brighter.words);
    assert!(!brighter.words.contains("mired") && !brighter.words.contains("harder"), "{}", brighter.words);
    let darker = compare(&side(&technical("[exposure]\nstops = 0.5")), &side(&plain));
    assert!(darker.words.contains("0.50 stop darker at grey"), "{}", darker.words);
    let cooler = technical("[white]\nreference_kelvin = 6504\nwarmer_mired = -20");
    let cool = compare(&side(&plain), &side(&cooler));
    assert!(cool.words.contains("mired cooler"), "{}", cool.words);
    let shift =
        cool.b.grey.warmer_mired.expect("grey has a colour") - cool.a.grey.warmer_mired.expect("grey has a colour");
    // The shift is taken from the locus at the reference; D65 lies 0.003 beside it, and the adaptation is Bradford's.
    assert!((shift + 20.0).abs() < 2.5, "{shift} mired instead of −20");
    let green = compare(&side(&plain), &side(&technical("[white]\nreference_kelvin = 6504\ngreener_duv = 0.006")));
    assert!(green.words.contains("greener"), "{}", green.words);
    let (soft, hard) = (look("tone-only", &["tone.contrast=1.2"]), look("tone-only", &["tone.contrast=1.5"]));
    let harder = compare(&side(&soft), &side(&hard));
    assert!(
        harder.words.contains("harder at grey (contrast 1.6") && harder.words.contains("against 1.3"),
        "{}",
        harder.words
    );
    assert!(compare(&side(&hard), &side(&soft)).words.contains("softer"), "the other way");
    let pale = compare(&side(&plain), &side(&technical("[colour]\nsaturation = 0.8")));
    assert!(pale.words.contains("% less saturated") && !pale.words.contains("stop"), "{}", pale.words);
    let early = compare(&side(&look("tone-only", &[])), &side(&look("tone-only", &["tone.white_stops=4"])));
    assert!(
        early.words.contains("reaches white at +4.0 stops") || early.words.contains("reaches white at +3.9 stops"),
        "{}",
        early.words
    );
}

#[test]
fn differing_parameters_are_listed() {
    let (a, b) =
        (look("tone-only", &[]), look("tone-only", &["tone.contrast=1.5", "white.warmer_mired=12", "tone.grey=0.10"]));
    let difference = |key: &str, a: &str, b: &str| Difference { key: key.to_owned(), a: a.to_owned(), b: b.to_owned() };
    // A default that is written out is no difference.
    assert_eq!(
        differences(&a.recipe, &b.recipe),
        [difference("white.warmer_mired", "0", "12"), difference("tone.contrast", "1.35", "1.5")]
    );
    let bands = look("bands-p3", &[]);
    let found = differences(&a.recipe, &bands.recipe);
    let keys: Vec<&str> = found.iter().map(|one| one.key.as_str()).collect();
    for key in [
        "camera.encoding",
        "camera.gamut",
        "tone.grey",
        "colour.saturation",
        "display.encoding",
        "lut.size",
        "colour.band \"foliage\"",
    ] {
        assert!(keys.contains(&key), "{key} is missing: {keys:?}");
    }
    let no_tone = differences(&technical("").recipe, &a.recipe);
    assert!(no_tone.contains(&difference("tone.contrast", "no [tone]", "1.35")), "{no_tone:?}");
}

fn lookwright(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_lookwright")).args(arguments).output().expect("the program runs")
}

fn text(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

#[test]
fn the_commands_answer_and_exit_as_documented() {
    let folder = tempfile::tempdir().expect("a folder");
    let out = folder.path().to_str().expect("a path");
    let recipe = looks().join("tone-only.toml");
    let recipe = recipe.to_str().expect("a path");
    assert!(lookwright(&["compile", recipe, "--out", out]).status.success());
    let cube = folder.path().join("tone-only.cube");
    let cube = cube.to_str().expect("a path");

    let verified = lookwright(&["verify", cube, "--recipe", recipe, "--grey"]);
    assert_eq!(verified.status.code(), Some(0), "{}", text(&verified));
    assert!(text(&verified).contains("the recipe's") && text(&verified).contains("+0.00"), "{}", text(&verified));
    let other = lookwright(&["verify", cube, "--recipe", recipe, "--set", "exposure.stops=0.5", "--json"]);
    assert_eq!(other.status.code(), Some(1), "half a stop is another look");
    let document: serde_json::Value = serde_json::from_slice(&other.stdout).expect("one JSON document");
    assert_eq!(document["files"][0]["fingerprint_matches"], false);
    assert_eq!(document["files"][0]["verify"]["pass"], false);
    assert!(
        document["files"][0]["verify"]["suspicion"].as_str().is_some_and(|told| told.contains("-0.50 stops")),
        "{document}"
    );
    let one = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/cube/ok_1d.cube");
    let wrong_kind = lookwright(&["verify", one.to_str().expect("a path"), "--recipe", recipe]);
    assert_eq!(wrong_kind.status.code(), Some(1));
    assert!(text(&wrong_kind).contains("1D table"), "{}", text(&wrong_kind));
    assert_eq!(lookwright(&["verify", "missing.cube", "--recipe", recipe]).status.code(), Some(3), "no such file");

    let inspected = lookwright(&["inspect", cube]);
    assert_eq!(inspected.status.code(), Some(0));
    for words in ["a viewing LUT", "s-log3 / s-gamut3.cine", "code 39", "6504 K"] {
        assert!(text(&inspected).contains(words), "{words}: {}", text(&inspected));
    }
    let document: serde_json::Value =
        serde_json::from_slice(&lookwright(&["inspect", cube, "--json"]).stdout).expect("one JSON document");
    assert_eq!(document["files"][0]["judgement"]["kind"], "viewing");
    assert_eq!(lookwright(&["inspect", cube, "--encoding", "s-log4"]).status.code(), Some(2), "no such encoding");
    assert_eq!(lookwright(&["inspect", cube, "--encoding", "logc3"]).status.code(), Some(2), "an index is needed");

    let compared = lookwright(&["compare", recipe, cube]);
    assert_eq!(compared.status.code(), Some(0), "{}", text(&compared));
    assert_eq!(lookwright(&["compare", recipe, cube, "--max-de", "1"]).status.code(), Some(0));
    assert_eq!(lookwright(&["compare", recipe, cube, "--max-de", "0.1"]).status.code(), Some(1));
    let other = looks().join("white-cool.toml");
    let two = lookwright(&["compare", recipe, other.to_str().expect("a path"), "--json"]);
    let document: serde_json::Value = serde_json::from_slice(&two.stdout).expect("one JSON document");
    assert!(
        document["parameters"].as_array().is_some_and(|all| all.iter().any(|one| one["key"] == "tone.contrast")),
        "{document}"
    );
    assert_eq!(document["comparison"]["by_stop"].as_array().map(Vec::len), Some(7));
}

/// Levels belong to a comparison: a file for legal input seen as legal is the look, and seen as full it is not.
#[test]
fn levels_are_part_of_how_a_file_is_seen() {
    let one = look("tone-only", &["lut.input_levels=\"legal\"", "lut.output_levels=\"legal\""]);
    let tables = sampled(&one).tables;
    let seen = |levels| {
        let mapping = Mapping::new(&tables, Interpolation::Tetrahedral);
        compare(&side(&one), &View::of_file(mapping, one.plan.camera, one.plan.display, levels)).mean_de
    };
    assert!(seen((Levels::Legal, Levels::Legal)) < 0.3, "{}", seen((Levels::Legal, Levels::Legal)));
    assert!(seen((Levels::Full, Levels::Full)) > 3.0, "{}", seen((Levels::Full, Levels::Full)));
}

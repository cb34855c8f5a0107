//! What a map depends on, and the files that the command writes.

use super::common::thorough;
use super::{HEAD, make};
use lookwright::colour::displays::DisplayEncoding;
use lookwright::colour::encodings::{ENCODINGS, Functions};
use lookwright::exposure_map::{ExposureMap, colours};
use lookwright::formats::image;
use std::process::Command;

#[test]
fn no_part_of_the_look_changes_the_map() {
    let plain = make(HEAD, &[]);
    for set in [
        "white.warmer_mired=30",
        "exposure.stops=2",
        "grade.saturation=0.3",
        "grade.slope=[0.8, 1, 1.3]",
        "diffusion.grade=2",
        "split.shadows.warmer_mired=-20",
        "tone.contrast=2",
        "tone.grey=0.05",
        "colour.saturation=0",
        "gamut.input_compress=false",
        "gamut.output_compress=false",
        "verify.grey_codes=0",
    ] {
        let other = make(HEAD, &[set]);
        assert!(other.bytes == plain.bytes, "{set} changes the map");
    }
    let without_tone = HEAD.replace("[tone]\n", "");
    assert!(make(&without_tone, &[]).bytes == plain.bytes, "a technical conversion has another map");
}

#[test]
fn everything_that_a_map_says_changes_it() {
    let text = format!("{HEAD}[[map.band]]\nname = \"deck\"\nfrom_stops = -1\nto_stops = 1.5\n");
    let plain = make(&text, &[]);
    for set in [
        "map.zero_stops=0.5",
        "map.noise_stops=-5",
        "map.clip_signal=0.9",
        "map.dim=0.5",
        "map.band.deck.from_stops=-0.5",
        "map.band.deck.to_stops=+0.2",
        "trim.stops=0.2",
        "trim.matrix=[[0.8, 0.2, 0], [0, 1, 0], [0, 0, 1]]",
        "camera.gamut=s-gamut3",
        "display.encoding=gamma22",
        "lut.input_levels=legal",
        "lut.output_levels=legal",
    ] {
        let other = make(&text, &[set]);
        assert!(other.bytes != plain.bytes, "{set} changes nothing");
        assert_ne!(other.report.fingerprint, plain.report.fingerprint, "{set} leaves the fingerprint as it was");
    }
    let again = make(&text, &[]);
    assert!(again.bytes == plain.bytes, "made again, it has other bytes");
    assert_eq!(again.report, plain.report);
}

/// A recipe that says something of its map makes the LUT that it makes without.
#[test]
fn a_map_is_no_part_of_the_look() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let fingerprint = |text: &str| {
        let path = folder.path().join("look.toml");
        std::fs::write(&path, text).expect("the folder can be written");
        lookwright::compile::prepare(&path, &[]).expect("a recipe").plan.fingerprint()
    };
    let map = "[map]\nzero_stops = 1\n[[map.band]]\nname = \"deck\"\nfrom_stops = -1\nto_stops = 1.5\n";
    assert_eq!(fingerprint(HEAD), fingerprint(&format!("{HEAD}{map}")));
}

/// Every encoding on every display, with the ends of what `[map]` takes: a signal in every node.
#[test]
fn no_camera_and_no_display_makes_what_is_no_number() {
    let settings = [
        "[map]\n",
        "[map]\nzero_stops = 4\nnoise_stops = 0\nclip_signal = 0.5\ndim = 0\n",
        "[map]\nzero_stops = -4\nnoise_stops = -16\ndim = 1\n",
    ];
    let wide = "[[map.band]]\nname = \"all\"\nfrom_stops = -16\nto_stops = 16\n";
    let mut maps = 0;
    for (place, encoding) in ENCODINGS.iter().enumerate() {
        let gamut = encoding.gamuts.first().copied().unwrap_or("acescg");
        let index = match encoding.functions {
            Functions::ByExposureIndex { indices, .. } => format!("exposure_index = {}\n", indices[0]),
            Functions::Fixed { .. } => String::new(),
        };
        for display in DisplayEncoding::ALL {
            for map in settings.iter().flat_map(|map| [(*map).to_owned(), format!("{map}{wide}")]) {
                let text = format!(
                    "lookwright = 1\n[look]\nname = \"x\"\n[camera]\nencoding = \"{}\"\ngamut = \"{gamut}\"\n{index}[display]\n\
                     encoding = \"{}\"\ngamut = \"bt2020\"\npeak_nits = 600\n[lut]\nsize = 6\ninput_levels = \"legal\"\n{map}",
                    encoding.id,
                    display.id()
                );
                let folder = tempfile::tempdir().expect("a temporary folder");
                let path = folder.path().join("look.toml");
                std::fs::write(&path, &text).expect("the folder can be written");
                let prepared =
                    lookwright::compile::prepare(&path, &[]).unwrap_or_else(|found| panic!("{text}{found:?}"));
                let (map, _) = ExposureMap::new(&prepared.plan, &prepared.recipe.map().0);
                let table = map.sample(6);
                let signal = |value: &f64| (0.0..=1.0).contains(value);
                assert!(table.nodes().iter().flatten().all(signal), "{text}");
                maps += 1;
                // What is measured does not depend on the display, and takes its time: in an ordinary run with two
                // of the six settings, others for the next camera.
                if display != DisplayEncoding::Pq || !(thorough() || (maps + place) % 3 == 0) {
                    continue;
                }
                let report = map.report(&table);
                assert!(
                    report.zones.iter().filter_map(|zone| zone.fullness).all(|full| (0.0..=1.0).contains(&full)),
                    "{text}"
                );
            }
        }
    }
    assert!(maps > 1000, "only {maps} maps");
}

/// The legend shows every zone in its colour, on a bar that is large enough to be seen.
#[test]
fn the_legend_shows_every_zone() {
    let made = make(HEAD, &[]);
    let frame = image::read(&made.folder.path().join("ferry-deck.map.png")).expect("the legend is a picture");
    let wanted: Vec<[u8; 3]> =
        made.report.zones.iter().map(|zone| zone.srgb.map(|value| (value * 255.0).round() as u8)).collect();
    let mut counts = vec![0; wanted.len()];
    for y in 0..frame.height() {
        for x in 0..frame.width() {
            let pixel = frame.pixel(x, y).expect("within").map(|value| (value * 255.0).round() as u8);
            if let Some(place) = wanted.iter().position(|colour| *colour == pixel) {
                counts[place] += 1;
            }
        }
    }
    assert!(counts.iter().all(|count| *count > 10_000), "{counts:?}");
    assert_eq!(wanted.len(), colours(6).len());
}

#[test]
fn the_command_writes_a_cube_and_a_legend_and_tells_of_both() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let recipe = folder.path().join("look.toml");
    std::fs::write(&recipe, HEAD).expect("the folder can be written");
    let run = |more: &[&str]| {
        let out = Command::new(env!("CARGO_BIN_EXE_lookwright"))
            .args(["false-colour", "look.toml", "--out", "out"])
            .args(more)
            .current_dir(folder.path())
            .output()
            .expect("it runs");
        (out.status.code(), String::from_utf8(out.stdout).expect("text"), String::from_utf8(out.stderr).expect("text"))
    };
    let (code, _, _) = run(&["--legend-only"]);
    let files = || {
        let mut names: Vec<String> = std::fs::read_dir(folder.path().join("out"))
            .expect("a folder")
            .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    };
    assert_eq!((code, files()), (Some(0), vec!["ferry-deck.map.png".to_owned()]));
    let (code, told, _) = run(&["--size", "65"]);
    assert_eq!((code, files()), (Some(0), vec!["ferry-deck.map.cube".to_owned(), "ferry-deck.map.png".to_owned()]));
    for words in ["highlight", "651..807", "neighbours", "levels       input full, output full", "ferry-deck.map.cube"]
    {
        assert!(told.contains(words), "{words} is not in\n{told}");
    }
    let text = std::fs::read_to_string(folder.path().join("out/ferry-deck.map.cube")).expect("it was written");
    for line in [
        "# exposure map: Ferry deck",
        "# camera: s-log3 / s-gamut3.cine",
        "# monitor: srgb / srgb",
        "# levels: input full, output full",
        "# zone: skin, 0.70 to 1.30 stops",
        "TITLE \"Exposure map / Ferry deck\"",
    ] {
        assert!(text.lines().any(|found| found == line), "{line} is not in the header");
    }
    assert!(!text.contains("# look:") && !text.contains("# fingerprint:"), "it is no look");
    let (code, document, _) = run(&["--json"]);
    let document: serde_json::Value = serde_json::from_str(&document).expect("one document");
    let map = &document["maps"][0]["map"];
    assert_eq!((code, map["zones"].as_array().map(Vec::len), &map["size"]), (Some(0), Some(6), &33.into()));
    assert_eq!(map["zones"][1]["codes"], serde_json::json!([172, 279]));
    // The default bands are too narrow for 33 points of this curve, which is told; it is no failure.
    assert_eq!(document["diagnostics"][0]["code"], "LW0223");
    let (code, _, complaint) = run(&["--set", "map.dim=2"]);
    assert!(code == Some(2) && complaint.contains("LW0104"), "{code:?} {complaint}");
}

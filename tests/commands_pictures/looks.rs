//! Several looks, sheets, exposures, split pictures and other cameras' stills, read back.

use super::{Folder, codes, grey_codes, neutral, read};
use lookwright::colour::encodings::{self, Curve};
use lookwright::maths::{Rgb, exp2};
use lookwright::picture::{Frame, code16};

/// A code of 8 bits.
const CODE8: f64 = 1.0 / 255.0;

fn curve(id: &str) -> Curve {
    Curve::new(encodings::find(id).expect("a published encoding"), None).expect("it needs no index")
}

/// A still of one grey, as a camera's curve records it.
fn still(id: &str, linear: f64, width: usize, height: usize) -> Frame {
    let code = code16(curve(id).encode(linear));
    Frame::from_sixteen_bit(width, height, false, vec![code; width * height * 3]).expect("a frame")
}

/// Two looks of one camera: a bright one and a dark one.
fn folder() -> Folder {
    let folder = Folder::new();
    folder.write(
        "bright.toml",
        &neutral("").replace("\"neutral\"", "\"bright\"").replace("[tone]", "[exposure]\nstops = 1\n[tone]"),
    );
    folder.write(
        "dark.toml",
        &neutral("").replace("\"neutral\"", "\"dark\"").replace("[tone]", "[exposure]\nstops = -1\n[tone]"),
    );
    folder.picture("grey.png", &still("s-log3", 0.18, 64, 36));
    folder.picture("light.png", &still("s-log3", 0.36, 64, 36));
    folder
}

fn middle(folder: &Folder, name: &str) -> Rgb {
    let frame = read(&folder.path(name));
    frame.pixel(frame.width() / 2, frame.height() / 2).expect("inside")
}

fn close(a: Rgb, b: Rgb, most: f64, what: &str) {
    assert!((0..3).all(|channel| (a[channel] - b[channel]).abs() <= most), "{what}: {a:?} and {b:?}");
}

#[test]
fn every_look_on_every_still_is_what_it_is_alone() {
    let folder = folder();
    folder.fine(&["preview", "bright.toml", "dark.toml", "grey.png", "light.png", "--out", "both"]);
    for look in ["bright", "dark"] {
        folder.fine(&["preview", &format!("{look}.toml"), "grey.png", "light.png", "--out", "alone"]);
        for still in ["grey", "light"] {
            let name = format!("{still}.{look}.png");
            let bytes =
                |folder_name: &str| std::fs::read(folder.path(&format!("{folder_name}/{name}"))).expect("a picture");
            assert_eq!(bytes("both"), bytes("alone"), "{name}");
        }
    }
    assert_ne!(middle(&folder, "both/grey.bright.png"), middle(&folder, "both/grey.dark.png"));
    // Their own pictures are no stills, in whatever run.
    folder.picture("both/new.png", &still("s-log3", 0.18, 64, 36));
    let said = folder.fine(&["preview", "bright.toml", "dark.toml", "both", "--out", "again"]);
    assert!(said.contains("4 earlier previews"), "{said}");
}

/// A log still a stop over is what the camera would have recorded with twice the light.
#[test]
fn exposures_of_log_stills_are_those_of_the_camera() {
    let folder = folder();
    folder.fine(&["preview", "bright.toml", "grey.png", "--stops", "1", "--exact"]);
    folder.fine(&["preview", "bright.toml", "light.png", "--exact"]);
    close(
        middle(&folder, "previews/grey.bright.png"),
        middle(&folder, "previews/light.bright.png"),
        2.0 / 65535.0,
        "a stop",
    );
}

/// The same grey by another camera's curve is the same picture: both are published.
#[test]
fn another_cameras_stills_are_brought_to_the_looks_camera() {
    let folder = folder();
    folder.picture("panel.png", &still("v-log", 0.18, 64, 36));
    folder.fine(&["preview", "bright.toml", "panel.png", "--input", "v-log/v-gamut", "--exact"]);
    folder.fine(&["preview", "bright.toml", "grey.png", "--exact"]);
    // A 16-bit code of each camera, through a look with a slope below 2.
    close(
        middle(&folder, "previews/panel.bright.png"),
        middle(&folder, "previews/grey.bright.png"),
        4.0 / 65535.0,
        "grey",
    );
    let document = folder.fine(&["preview", "bright.toml", "panel.png", "--input", "V-Log/V-Gamut", "--json"]);
    assert!(document.contains("\"input\": \"v-log/v-gamut\""), "{document}");
}

/// Every cell of a sheet shows what `--for-screen` gives, scaled.
#[test]
fn a_sheet_has_every_look_on_every_still() {
    let folder = folder();
    folder.fine(&["preview", "bright.toml", "dark.toml", "grey.png", "light.png", "--sheet"]);
    folder.fine(&["preview", "bright.toml", "dark.toml", "grey.png", "light.png", "--for-screen", "--depth", "8"]);
    let sheet = read(&folder.path("previews/contact-sheet.png"));
    for still in ["grey", "light"] {
        for look in ["bright", "dark"] {
            let wanted = middle(&folder, &format!("previews/{still}.{look}.png"));
            // Small stills stay as large as they are.
            assert!(pixels_of(&sheet, wanted) >= 64 * 36, "{still} through {look}: {wanted:?}");
        }
    }
}

/// The pixels of a frame that show a colour, within an 8-bit code.
fn pixels_of(frame: &Frame, wanted: Rgb) -> usize {
    let is_it = |pixel: Rgb| (0..3).all(|channel| (pixel[channel] - wanted[channel]).abs() <= 1.01 * CODE8);
    let places = (0..frame.height()).flat_map(|y| (0..frame.width()).map(move |x| (x, y)));
    places.filter(|(x, y)| frame.pixel(*x, *y).is_some_and(is_it)).count()
}

#[test]
fn a_sheet_of_exposures_has_each_exposure() {
    let folder = folder();
    folder.fine(&["preview", "bright.toml", "dark.toml", "grey.png", "--exposures=-3,0,+1.5"]);
    let sheet = read(&folder.path("previews/grey.exposures.png"));
    for stops in ["-3", "0", "1.5"] {
        folder.fine(&["preview", "bright.toml", "dark.toml", "grey.png", "--for-screen", "--stops", stops]);
        for look in ["bright", "dark"] {
            let wanted = middle(&folder, &format!("previews/grey.{look}.png"));
            assert!(pixels_of(&sheet, wanted) >= 64 * 36, "{stops} stops through {look}: {wanted:?}");
        }
    }
    let said = folder.fine(&["preview", "bright.toml", "--exposures"]);
    assert!(said.contains("chart.exposures.png") && said.contains("clipped stays clipped"), "{said}");
}

/// Left the signal as it came, in the middle the plain conversion, right the look.
#[test]
fn a_split_picture_has_its_three_parts() {
    let folder = folder();
    folder.picture("wide.png", &still("s-log3", 0.18, 960, 540));
    folder.write(
        "warm.toml",
        &neutral("").replace("[tone]", "[white]\nwarmer_mired = 60\n[tone]").replace("\"neutral\"", "\"warm\""),
    );
    folder.write("neutral.toml", &neutral(""));
    folder.fine(&["preview", "warm.toml", "wide.png", "--split"]);
    let split = read(&folder.path("previews/wide.warm.png"));
    let at = |part: usize| split.pixel(160 + 320 * part, 200).expect("inside");
    let log = curve("s-log3").encode(0.18);
    close(at(0), [log; 3], 1.0 / 65535.0, "the signal");
    folder.fine(&["preview", "warm.toml", "neutral.toml", "wide.png", "--for-screen", "--out", "whole"]);
    close(at(2), middle(&folder, "whole/wide.warm.png"), 0.0, "the look");
    close(at(1), middle(&folder, "whole/wide.neutral.png"), 2.0 / 65535.0, "the plain conversion");
    assert!(at(2)[0] - at(2)[2] > 0.05, "the look is warm: {:?}", at(2));
    assert_ne!(codes(&split)[(520 * 960 + 160) * 3], code16(log), "a label stands on it");
}

/// A still that can't be read is told, and the sheet has the others.
#[test]
fn a_sheet_is_made_without_the_still_that_is_damaged() {
    let folder = folder();
    folder.write("broken.png", "no picture");
    let said = folder.fails(2, &["preview", "bright.toml", "grey.png", "broken.png", "--sheet"]);
    assert!(said.contains("broken.png"), "{said}");
    assert!(read(&folder.path("previews/contact-sheet.png")).width() > 64);
}

/// What is over the end of the recording stays there: exposures of one frame can't bring it back.
#[test]
fn what_was_clipped_stays_clipped() {
    let folder = folder();
    folder.picture("white.png", &grey_codes(&[65_535; 8]));
    folder.fine(&["preview", "bright.toml", "white.png", "--stops=-2", "--exact"]);
    let end = curve("s-log3").decode(1.0) * exp2(-2.0);
    folder.picture("same.png", &still("s-log3", end, 8, 1));
    folder.fine(&["preview", "bright.toml", "same.png", "--exact"]);
    close(
        middle(&folder, "previews/white.bright.png"),
        middle(&folder, "previews/same.bright.png"),
        2.0 / 65535.0,
        "the end",
    );
}

/// A small lamp in a dark room, as a log still.
fn lamp(width: usize, height: usize) -> Frame {
    let (dark, bright) = (code16(curve("s-log3").encode(0.002)), code16(curve("s-log3").encode(20.0)));
    let mut samples = vec![dark; width * height * 3];
    for y in height / 2 - 3..height / 2 + 3 {
        let row = (y * width + width / 2) * 3;
        samples[row - 9..row + 9].fill(bright);
    }
    Frame::from_sixteen_bit(width, height, false, samples).expect("a frame")
}

/// The halo is in the picture, the picture says where it comes from, and the recipe's own LUT is untouched.
#[test]
fn a_filter_on_the_lens_is_simulated_and_said_to_be() {
    let folder = folder();
    folder.picture("lamp.png", &lamp(640, 360));
    folder.fine(&["preview", "bright.toml", "lamp.png", "--for-screen", "--out", "bare"]);
    let said = folder.fine(&["preview", "bright.toml", "lamp.png", "--for-screen", "--lens", "1", "--out", "lens"]);
    assert!(said.contains("not in the LUT"), "{said}");
    let near = |name: &str| read(&folder.path(name)).pixel(340, 180).expect("inside")[1];
    let (with, without) = (near("lens/lamp.bright.png"), near("bare/lamp.bright.png"));
    assert!(with > 10.0 * without, "a halo beside the lamp: {with} and {without}");
    let corner = |name: &str| read(&folder.path(name)).pixel(4, 4).expect("inside")[1];
    assert!(corner("lens/lamp.bright.png") >= corner("bare/lamp.bright.png"), "lifted blacks");
    let label =
        |name: &str| (0..640).map(|x| read(&folder.path(name)).pixel(x, 352).expect("inside")[1]).fold(0.0, f64::max);
    assert!(label("lens/lamp.bright.png") > label("bare/lamp.bright.png") + 0.3, "a label is burnt in");
    let hazed = folder.fine(&["preview", "bright.toml", "lamp.png", "--haze", "0.2", "--json"]);
    assert!(hazed.contains("stand-in"), "{hazed}");
    for (arguments, expected) in [
        (vec!["preview", "bright.toml", "lamp.png", "--lens", "3"], "1/8"),
        (vec!["preview", "bright.toml", "lamp.png", "--haze", "0.9"], "0.5"),
        (vec!["preview", "bright.toml", "lamp.png", "--haze", "NaN"], "0.5"),
        (vec!["preview", "bright.toml", "lamp.png", "--compare-lens"], "--lens"),
    ] {
        let said = folder.fails(2, &arguments);
        assert!(said.contains(expected), "{arguments:?}: {said}");
    }
}

#[test]
fn a_still_is_shown_four_ways() {
    let folder = folder();
    folder.write(
        "soft.toml",
        &neutral("").replace("[tone]", "[tone]\n[diffusion]\ngrade = \"1/2\"").replace("\"neutral\"", "\"soft\""),
    );
    folder.picture("lamp.png", &lamp(640, 360));
    folder.fine(&["preview", "soft.toml", "lamp.png", "--lens", "1/2", "--compare-lens", "--depth", "8"]);
    let four = read(&folder.path("previews/lamp.soft.lens.png"));
    assert!(four.width() > 2 * 640 && four.height() > 2 * 360, "{} × {}", four.width(), four.height());
    let said = folder.fine(&["preview", "bright.toml", "lamp.png", "--lens", "1/2", "--compare-lens"]);
    assert!(said.contains("lamp.bright.lens.png"), "{said}");
}

/// The scopes of a still are a picture of their own; the ground of the scopes is dark, and their traces are not.
#[test]
fn scopes_stand_beside_their_still() {
    let folder = folder();
    let said = folder.fine(&["preview", "bright.toml", "grey.png", "--scopes", "--depth", "8"]);
    assert!(said.contains("grey.bright.scopes.png"), "{said}");
    let scopes = read(&folder.path("previews/grey.bright.scopes.png"));
    assert!(scopes.width() > 1900 && scopes.height() > 1600, "{} × {}", scopes.width(), scopes.height());
    // They are no stills of a later run.
    folder.picture("previews/new.png", &still("s-log3", 0.18, 64, 36));
    let said = folder.fine(&["preview", "bright.toml", "previews", "--out", "again"]);
    assert!(said.contains("1 earlier preview"), "{said}");
    let said = folder.fails(2, &["preview", "bright.toml", "grey.png", "--scopes", "--sheet"]);
    assert!(said.contains("cannot be used with"), "{said}");
}

/// Pictures for a screen say which; a photograph that is taken for a log signal is doubted; what a still says of itself is kept.
#[test]
fn files_say_what_they_hold() {
    use lookwright::formats::icc::Profile;
    use lookwright::formats::image::{self, Metadata, Notes, WriteOptions, read_still};
    let folder = folder();
    let written = |name: &str| read_still(&folder.path(name)).unwrap_or_else(|found| panic!("{name}: {found:?}"));
    for (option, expected) in [("--for-screen", "sRGB"), ("--for-screen=display-p3", "Display P3")] {
        folder.fine(&["preview", "bright.toml", "grey.png", option]);
        let still = written("previews/grey.bright.png");
        assert_eq!(still.profile.map(|declared| declared.name).as_deref(), Some(expected));
        let description =
            still.metadata.texts.iter().find(|text| text.keyword == "Description").expect("a description");
        assert!(description.text.contains("through the look \"bright\""), "{description:?}");
    }
    folder.fine(&["preview", "bright.toml", "grey.png", "--out", "signal"]);
    assert!(written("signal/grey.bright.png").profile.is_none(), "a display's signal is no screen's");
    let photo = WriteOptions { profile: Some(Profile::DISPLAY_P3), ..WriteOptions::default() };
    let notes = Notes {
        metadata: Metadata { comments: vec!["bow door".to_owned()], ..Metadata::default() },
        description: None,
    };
    image::write_still(&folder.path("photo.png"), &still("s-log3", 0.18, 8, 8), &photo, &notes).expect("written");
    let said = folder.fine(&["preview", "bright.toml", "photo.png"]);
    assert!(said.contains("finished picture") && said.contains("Display P3"), "{said}");
    let kept = written("previews/photo.bright.png").metadata;
    assert!(kept.texts.iter().any(|text| text.text.contains("bow door")), "{kept:?}");
    let said = folder.fine(&["preview", "bright.toml", "photo.png", "--input", "display-p3"]);
    assert!(!said.contains("finished picture"), "{said}");
}

/// Pixels that a terminal shows, from its escapes: rows of (upper, lower).
fn shown(said: &str) -> Vec<Vec<[[u8; 3]; 2]>> {
    let mut rows = Vec::new();
    for line in said.lines().filter(|line| line.contains('▀')) {
        let mut row = Vec::new();
        for part in line.split("\u{1b}[38;2;").skip(1) {
            let (numbers, blocks) = part.split_once('m').expect("an escape");
            let numbers: Vec<u8> = numbers.split(';').filter_map(|number| number.parse().ok()).collect();
            let pair = match numbers[..] {
                [r, g, b, 48, 2, x, y, z] => [[r, g, b], [x, y, z]],
                // The last row of an odd number has nothing below it.
                [r, g, b, 49] => [[r, g, b]; 2],
                _ => panic!("{numbers:?}"),
            };
            row.extend(vec![pair; blocks.matches('▀').count()]);
        }
        rows.push(row);
    }
    rows
}

/// What the terminal shows is what `--for-screen` gives, and nothing is written.
#[test]
fn the_terminal_shows_what_a_screen_shows() {
    let folder = folder();
    let show = |more: &[&str]| {
        let arguments = [&["preview"], more, &["--terminal", "--colour", "always"]].concat();
        let said = folder.fine(&arguments);
        assert!(!folder.path("previews").exists(), "{arguments:?}");
        said
    };
    let said = show(&["bright.toml", "dark.toml", "grey.png", "light.png"]);
    let sheet = show(&["bright.toml", "dark.toml", "grey.png", "light.png", "--sheet"]);
    let exposures = show(&["dark.toml", "grey.png", "--exposures=-1,0"]);
    folder.fine(&["preview", "bright.toml", "dark.toml", "grey.png", "light.png", "--for-screen", "--depth", "8"]);
    let pixels = shown(&said);
    // Four pictures of 64 × 36.
    assert_eq!(pixels.len(), 4 * 18, "{said}");
    assert!(pixels.iter().all(|row| row.len() == 64));
    let order = [("grey", "bright"), ("grey", "dark"), ("light", "bright"), ("light", "dark")];
    let code = |still: &str, look: &str| {
        middle(&folder, &format!("previews/{still}.{look}.png")).map(|value| (value * 255.0).round() as u8)
    };
    for (place, (still, look)) in order.into_iter().enumerate() {
        assert_eq!(pixels[18 * place + 9][32], [code(still, look); 2], "{still} {look}");
        assert!(said.contains(&format!("{look}: {still}.png")), "{said}");
    }
    // Side by side on the sheet: each row of it has both looks.
    let rows = shown(&sheet);
    for (row, still) in [(0, "grey"), (rows.len() - 1, "light")] {
        assert_eq!(rows[row][0][0], code(still, "bright"), "{sheet}");
        assert_eq!(rows[row][rows[row].len() - 1][0], code(still, "dark"), "{sheet}");
    }
    assert!(exposures.contains("-1 stop") && exposures.contains("as shot"), "{exposures}");
    let light = shown(&exposures);
    assert!(light[0][0][0][1] < light[light.len() - 1][0][0][1], "a stop less is darker");
}

#[test]
fn an_output_that_can_not_show_pictures_is_told_what_to_do() {
    let folder = folder();
    let none = folder.fails(2, &["preview", "bright.toml", "grey.png", "--terminal"]);
    assert!(none.contains("takes no colour") && none.contains("leave out --terminal"), "{none}");
    let output = std::process::Command::new(env!("CARGO_BIN_EXE_lookwright"))
        .current_dir(folder.path("."))
        .env("LC_ALL", "C")
        .args(["preview", "bright.toml", "grey.png", "--terminal", "--colour", "always"])
        .output()
        .expect("the program starts");
    assert_eq!(output.status.code(), Some(2));
    assert!(super::text(&output.stderr).contains("the locale has none"));
    let wide = folder.fails(
        2,
        &["preview", "bright.toml", "grey.png", "--terminal", "--for-screen=display-p3", "--colour", "always"],
    );
    assert!(wide.contains("terminals show sRGB"), "{wide}");
    assert!(!folder.path("previews").exists());
}

/// A sheet says what its numbers mean only where every look's display is known, by its recipe or by the comments of its file.
#[test]
fn a_sheet_through_a_bare_cube_file_has_a_profile_if_the_file_names_its_display() {
    use lookwright::formats::image::read_still;
    let folder = folder();
    let wide = "encoding = \"bt1886\"\ngamut = \"p3-d65\"";
    folder.write(
        "wide.toml",
        &neutral(wide).replace("\"neutral\"", "\"wide\"").replace("[tone]", "[white]\nwarmer_mired = 60\n[tone]"),
    );
    folder.fine(&["compile", "wide.toml", "--out", "luts", "--no-verify"]);
    let commented = std::fs::read_to_string(folder.path("luts/wide.cube")).expect("it was written");
    folder.write("bare.cube", &commented.lines().filter(|line| !line.starts_with('#')).collect::<Vec<_>>().join("\n"));
    folder.write("wide.cube", &commented);
    let profile = |name: &str| {
        let still = read_still(&folder.path(name)).unwrap_or_else(|found| panic!("{name}: {found:?}"));
        still.profile.map(|declared| declared.name)
    };
    // By its recipe, by its comments: the same picture, converted.
    folder.fine(&["preview", "wide.toml", "grey.png", "--sheet", "--out", "recipe"]);
    let said = folder.fine(&["preview", "wide.cube", "grey.png", "--sheet", "--out", "comments"]);
    assert!(said.contains("bt1886 / p3-d65 (its comments say so)"), "{said}");
    for sheet in ["recipe", "comments"] {
        assert_eq!(profile(&format!("{sheet}/contact-sheet.png")).as_deref(), Some("sRGB"), "{sheet}");
    }
    folder.fine(&["preview", "wide.toml", "grey.png", "--for-screen", "--depth", "8"]);
    let wanted = middle(&folder, "previews/grey.wide.png");
    assert!(pixels_of(&read(&folder.path("comments/contact-sheet.png")), wanted) >= 64 * 36, "{wanted:?}");
    folder.fine(&["preview", "wide.cube", "grey.png", "--for-screen", "--depth", "8", "--out", "screen"]);
    close(middle(&folder, "screen/grey.wide.png"), wanted, 1.0 / 255.0, "for a screen by its comments");
    // Nobody knows: the numbers of the file, and no profile.
    for looks in [&["bare.cube"][..], &["bare.cube", "bright.toml"]] {
        let arguments = [&["preview"], looks, &["grey.png", "--sheet", "--out", "bare"]].concat();
        let said = folder.fine(&arguments);
        assert!(said.contains("no profile is written"), "{said}");
        assert_eq!(profile("bare/contact-sheet.png"), None, "{looks:?}");
    }
    let none = folder.fails(2, &["preview", "bare.cube", "grey.png", "--for-screen"]);
    assert!(none.contains("--for-screen needs the display"), "{none}");
}

#[test]
fn a_finished_picture_without_a_word_about_itself_is_doubted_by_its_blacks() {
    let folder = Folder::new();
    folder.write("look.toml", LOOK_FOR_FLOOR);
    // A ramp from black to white as a display has it: a tenth of it is darker than the black of S-Log3, code 95 of 1023.
    let ramp: Vec<u16> = (0..256 * 64).flat_map(|place| [(place % 256) as u16 * 257; 3]).collect();
    folder.picture("finished.png", &Frame::from_sixteen_bit(256, 64, false, ramp).expect("a frame"));
    // The same from that black on, within black bars, is a log frame that nothing speaks against.
    let log = |place: usize| if place / 256 < 16 { 0 } else { (6100 + 200 * (place % 256)) as u16 };
    let frame: Vec<u16> = (0..256 * 64).flat_map(|place| [log(place); 3]).collect();
    folder.picture("log.png", &Frame::from_sixteen_bit(256, 64, false, frame).expect("a frame"));
    let told = folder.fine(&["preview", "look.toml", "finished.png", "--out", "out"]);
    assert!(told.contains("of its pixels are darker than the black of S-Log3, code 95 of 1023"), "{told}");
    assert!(told.contains("this is probably a finished picture"), "{told}");
    let told = folder.fine(&["preview", "look.toml", "log.png", "--out", "out"]);
    assert!(!told.contains("darker than the black"), "{told}");
    let told = folder.fine(&["preview", "look.toml", "finished.png", "--input", "srgb", "--out", "out"]);
    assert!(!told.contains("darker than the black"), "{told}");
}

const LOOK_FOR_FLOOR: &str =
    "lookwright = 1\n[look]\nname = \"Floor\"\n[camera]\nencoding = \"s-log3\"\ngamut = \"s-gamut3.cine\"\n[tone]\n";

#[test]
fn one_still_for_looks_of_several_cameras_is_doubted() {
    let folder = Folder::new();
    folder.write("a.toml", LOOK_FOR_FLOOR);
    let other = LOOK_FOR_FLOOR.replace("s-log3", "v-log").replace("s-gamut3.cine", "v-gamut").replace("Floor", "Other");
    folder.write("b.toml", &other);
    let grey: Vec<u16> = vec![27_000; 64 * 64 * 3];
    folder.picture("still.png", &Frame::from_sixteen_bit(64, 64, false, grey).expect("a frame"));
    let said = |arguments: &[&str]| crate::text(&folder.run(arguments).stderr);
    let doubted = said(&["preview", "a.toml", "b.toml", "still.png", "--out", "out"]);
    assert!(doubted.contains("LW0509") && doubted.contains("--input s-log3/s-gamut3.cine"), "{doubted}");
    for fine in [vec!["a.toml"], vec!["a.toml", "b.toml"]] {
        let mut arguments = vec!["preview"];
        arguments.extend(&fine);
        arguments.push("still.png");
        if fine.len() > 1 {
            arguments.extend(["--input", "s-log3/s-gamut3.cine"]);
        }
        arguments.extend(["--out", "out"]);
        let quiet = said(&arguments);
        assert!(!quiet.contains("LW0509"), "{quiet}");
    }
}

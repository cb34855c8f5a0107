//! `chart` and `preview` through the program itself, their pictures and numbers read back.

mod looks;

use lookwright::colour::displays::{Display, DisplayEncoding};
use lookwright::compile::{Prepared, prepare};
use lookwright::formats::image::{self, WriteOptions};
use lookwright::maths::Rgb;
use lookwright::picture::{Frame, SampleDepth, Samples};
use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use tempfile::TempDir;

/// One code of 16 bit: rounding of the result may fall to either side.
const ONE_CODE: f64 = 1.0;

struct Folder(TempDir);

impl Folder {
    fn new() -> Self {
        Self(tempfile::tempdir().expect("a folder"))
    }

    fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    fn write(&self, name: &str, text: &str) -> PathBuf {
        std::fs::write(self.path(name), text).expect("a file");
        self.path(name)
    }

    fn picture(&self, name: &str, frame: &Frame) -> PathBuf {
        image::write(&self.path(name), frame, &WriteOptions::default()).expect("a picture");
        self.path(name)
    }

    /// Runs the program in this folder.
    fn run(&self, arguments: &[&str]) -> Output {
        let mut command = Command::new(env!("CARGO_BIN_EXE_lookwright"));
        // As on a terminal of 80 columns with Unicode, whatever the machine's own is.
        command.env("LC_ALL", "C.UTF-8").env("COLUMNS", "80");
        command.current_dir(self.0.path()).args(arguments).output().expect("the program starts")
    }

    fn fine(&self, arguments: &[&str]) -> String {
        let output = self.run(arguments);
        assert_eq!(output.status.code(), Some(0), "{arguments:?}: {}", text(&output.stderr));
        text(&output.stdout)
    }

    /// Runs a command that must end with a code, and gives what it says on stderr.
    fn fails(&self, code: i32, arguments: &[&str]) -> String {
        let output = self.run(arguments);
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(code), "{arguments:?}: {said}");
        assert!(!said.contains("panicked"), "{arguments:?}: {said}");
        said
    }
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

fn recipe(name: &str) -> String {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes").join(name).display().to_string()
}

fn prepared(name: &str) -> Prepared {
    prepare(Path::new(&recipe(name)), &[]).expect("an example is right")
}

fn read(path: &Path) -> Frame {
    image::read(path).unwrap_or_else(|found| panic!("{}: {found:?}", path.display()))
}

fn grey_codes(codes: &[u16]) -> Frame {
    let samples = codes.iter().flat_map(|&code| [code; 3]).collect();
    Frame::from_sixteen_bit(codes.len(), 1, false, samples).expect("a row of greys")
}

fn codes(frame: &Frame) -> &[u16] {
    match frame.samples() {
        Samples::Codes(codes) => codes,
        Samples::Floats(_) => panic!("expected codes, found floats"),
    }
}

/// The colour in the middle of a field of a sidecar, and its line's cells.
fn field(frame: &Frame, sidecar: &Path, name: &str) -> (Rgb, Vec<String>) {
    let sidecar = std::fs::read_to_string(sidecar).expect("a sidecar");
    let line = sidecar.lines().find(|line| line.starts_with(&format!("{name},"))).expect("the field is in the sidecar");
    let cells: Vec<String> = line.split(',').map(str::to_owned).collect();
    let number = |index: usize| cells[index].parse::<usize>().expect("a whole number");
    let pixel = frame.pixel(number(2) + number(4) / 2, number(3) + number(5) / 2).expect("inside the frame");
    (pixel, cells)
}

/// A cube file that changes nothing.
const IDENTITY: &str = "TITLE \"nothing\"\nLUT_3D_SIZE 2\n0.0 0.0 0.0\n1.0 0.0 0.0\n0.0 1.0 0.0\n1.0 1.0 0.0\n\
                        0.0 0.0 1.0\n1.0 0.0 1.0\n0.0 1.0 1.0\n1.0 1.0 1.0\n";

/// A neutral look for a display, without a table's error where `--exact` is given.
fn neutral(display: &str) -> String {
    format!(
        "lookwright = 1\n[look]\nname = \"neutral\"\n[camera]\nencoding = \"s-log3\"\ngamut = \"s-gamut3.cine\"\n[tone]\n\
         [display]\n{display}\n"
    )
}

/// Sony (2014), Technical summary for S-Gamut3.Cine/S-Log3 and S-Gamut3/S-Log3: 18 % at 420, 90 % at 598, black at 95.
#[test]
fn a_chart_has_the_published_codes() {
    let folder = Folder::new();
    let said = folder.fine(&[
        "chart",
        "--encoding",
        "S-Log3",
        "--gamut",
        "sgamut3cine",
        "--kind",
        "grey-scale",
        "--format",
        "tiff",
    ]);
    assert!(said.contains("grey-scale") && said.contains("1920 × 1080"), "{said}");
    let stem = folder.path("charts").join("chart-grey-scale-s-log3-s-gamut3-cine");
    let frame = read(&stem.with_extension("tif"));
    assert_eq!((frame.width(), frame.height(), frame.depth()), (1920, 1080, SampleDepth::Sixteen));
    for (name, expected) in [("grey 0", 420), ("18 %", 420), ("90 %", 598), ("no light", 95)] {
        let (pixel, cells) = field(&frame, &stem.with_extension("csv"), name);
        assert_eq!(cells[12], expected.to_string(), "{name}: 10-bit code in the sidecar");
        let found = pixel[0] * 1023.0;
        assert!((found - f64::from(expected)).abs() < 0.5, "{name}: the picture has code {found:.3}, not {expected}");
    }
}

#[test]
fn charts_come_as_all_kinds_or_as_one_named_file() {
    let folder = Folder::new();
    let document: Value = serde_json::from_str(&folder.fine(&[
        "chart",
        "--encoding",
        "logc3",
        "--exposure-index",
        "800",
        "--size",
        "1280x720",
        "--json",
        "--out",
        "all",
    ]))
    .expect("one JSON document");
    let frames = document["frames"].as_array().expect("frames");
    assert_eq!(frames.len(), 5);
    assert_eq!(document["camera"]["gamut"], "awg3", "the only gamut of the encoding is taken");
    for frame in frames {
        let file = folder.path(frame["file"].as_str().expect("a path"));
        assert_eq!(read(&file).width(), 1280, "{}", file.display());
        let sidecar = folder.path(frame["sidecar"].as_str().expect("a path"));
        let lines = std::fs::read_to_string(sidecar).expect("a sidecar").lines().count();
        assert_eq!(lines as u64, frame["fields"].as_u64().expect("a count") + 1, "{}", file.display());
    }
    folder.fine(&["chart", "--encoding", "v-log", "--kind", "sheet", "--out", "my/sheet.png"]);
    assert!(folder.path("my/sheet.png").is_file() && folder.path("my/sheet.csv").is_file());
}

#[test]
fn a_chart_that_can_not_be_says_why() {
    let folder = Folder::new();
    let said = folder.fails(2, &["chart", "--encoding", "s-lg3", "--gamut", "v-gamt"]);
    assert!(said.contains("did you mean \"s-log3\"") && said.contains("did you mean \"v-gamut\""), "{said}");
    let said = folder.fails(2, &["chart", "--encoding", "s-log3"]);
    assert!(said.contains("s-gamut3.cine"), "{said}");
    let said = folder.fails(2, &["chart", "--encoding", "logc3"]);
    assert!(said.contains("160, 200") && said.contains("--exposure-index"), "{said}");
    let said = folder.fails(2, &["chart", "--encoding", "v-log", "--exposure-index", "800"]);
    assert!(said.contains("leave out"), "{said}");
    let said = folder.fails(2, &["chart", "--encoding", "v-log", "--size", "640x360"]);
    assert!(said.contains("1280 × 720"), "{said}");
    assert!(!folder.path("charts").exists(), "nothing is written where one chart can't be");
    let said = folder.fails(2, &["chart", "--encoding", "v-log", "--size", "99999x99999"]);
    assert!(said.contains("too large"), "{said}");
    folder.fails(2, &["chart", "--encoding", "v-log", "--size", "wide"]);
    folder.fails(2, &["chart", "--encoding", "v-log", "--out", "one.png"]);
    folder.fails(2, &["chart", "--encoding", "v-log", "--kind", "sheet", "--out", "one.jpg"]);
    folder.write("file", "");
    let said = folder.fails(3, &["chart", "--encoding", "v-log", "--out", "file/in-a-file"]);
    assert!(said.contains("--out"), "{said}");
}

/// The exact pipeline is the reference; what a table adds is what the verifier measures and allows (`[verify] grey_codes`).
#[test]
fn mid_grey_of_a_chart_arrives_where_the_look_puts_it() {
    let folder = Folder::new();
    for name in ["dusk-car-deck.toml", "moonlit-cabin.toml", "deck-hdr.toml"] {
        let one = prepared(name);
        let (encoding, gamut) = (one.plan.camera.curve.encoding().id, one.plan.camera.gamut.id);
        folder.fine(&["chart", "--encoding", encoding, "--gamut", gamut, "--kind", "grey-scale", "--out", "grey.png"]);
        let (signal, _) = field(&read(&folder.path("grey.png")), &folder.path("grey.csv"), "grey 0");
        let look = one.file_name.trim_end_matches(".cube");
        let picture = folder.path("previews").join(format!("grey.{look}.png"));
        let exact = one.pipeline.evaluate(signal);
        for (arguments, allowed, how) in [
            (vec!["--exact"], ONE_CODE, "exact"),
            (vec![], ONE_CODE + one.plan.tolerances.grey_codes / 1023.0 * 65_535.0, "by its table"),
        ] {
            let recipe = recipe(name);
            let mut command = vec!["preview", &recipe, "grey.png"];
            command.extend(arguments);
            folder.fine(&command);
            let (found, _) = field(&read(&picture), &folder.path("grey.csv"), "grey 0");
            for channel in 0..3 {
                let error = (found[channel] - exact[channel]).abs() * 65_535.0;
                assert!(error <= allowed, "{name}, {how}: channel {channel} is {error:.1} 16-bit codes off");
            }
        }
        let table = one.sample().expect("finite").table;
        let device = table.sample(signal, one.plan.device.interpolation);
        let (found, _) = field(&read(&picture), &folder.path("grey.csv"), "grey 0");
        for channel in 0..3 {
            let error = (found[channel] - device[channel]).abs() * 65_535.0;
            assert!(
                error <= ONE_CODE,
                "{name}: channel {channel} is {error:.2} 16-bit codes from the table's own value"
            );
        }
    }
}

#[test]
fn a_table_that_changes_nothing_changes_nothing() {
    let folder = Folder::new();
    folder.write("nothing.cube", IDENTITY);
    let all: Vec<u16> = (0..=u16::MAX).step_by(37).collect();
    let frame = grey_codes(&all);
    folder.picture("still.png", &frame);
    folder.picture("still16.tif", &frame);
    folder.picture("light.exr", &frame.to_depth(SampleDepth::Float).frame);
    let said = folder.fine(&["preview", "nothing.cube", "still.png", "still16.tif", "light.exr"]);
    assert!(said.contains("nothing says otherwise"), "{said}");
    for name in ["still", "still16", "light"] {
        let picture = read(&folder.path("previews").join(format!("{name}.nothing.png")));
        assert_eq!(codes(&picture), codes(&frame), "{name}");
    }
    folder.fine(&["preview", "nothing.cube", "light.exr", "--format", "exr"]);
    let floats = read(&folder.path("previews/light.nothing.exr"));
    assert_eq!(floats.depth(), SampleDepth::Float);
    assert_eq!(codes(&floats.to_depth(SampleDepth::Sixteen).frame), codes(&frame), "through floats");
}

/// SMPTE narrow range: what a legal device feeds to its LUT is (code − 64)/876 of 10 bits, and code 940 and above is 1.
#[test]
fn levels_of_the_device_are_respected() {
    let folder = Folder::new();
    folder.write("nothing.cube", IDENTITY);
    let look = neutral("encoding = \"bt1886\"");
    folder.write("legal.toml", &format!("{look}[lut]\ninput_levels = \"legal\"\noutput_levels = \"full\"\n"));
    let signals = [0.0, 64.0, 502.0, 940.0, 1023.0].map(|code| (code / 1023.0 * 65_535.0_f64).round() as u16);
    folder.picture("still.png", &grey_codes(&signals));
    let command = ["preview", "nothing.cube", "still.png", "--recipe", "legal.toml", "--json"];
    let document: Value = serde_json::from_str(&folder.fine(&command)).expect("JSON");
    let picture = read(&folder.path("previews/still.nothing.png"));
    for (index, expected) in [0.0, 0.0, 0.5, 1.0, 1.0].into_iter().enumerate() {
        let found = picture.pixel(index, 0).expect("inside")[0];
        let error = (found - expected).abs() * 65_535.0;
        // A 16-bit code that stands for code 64 or 502 is rounded by half a code, and the range stretched by 1023/876.
        assert!(error <= 1.2, "signal {}: {found} instead of {expected}, {error:.2} codes off", signals[index]);
    }
    let clamped = document["pictures"][0]["clamped_inputs"].as_u64().expect("a count");
    assert!((6..=12).contains(&clamped), "codes 0 and 1023 are held, {clamped} samples");
}

#[test]
fn one_bad_picture_does_not_stop_the_others() {
    let folder = Folder::new();
    std::fs::create_dir(folder.path("stills")).expect("a folder");
    let frame = grey_codes(&[0, 20_000, 40_000, 65_535]);
    folder.picture("stills/a.png", &frame);
    folder.picture("stills/c.tif", &frame);
    let whole = std::fs::read(folder.path("stills/a.png")).expect("a picture");
    std::fs::write(folder.path("stills/b.png"), &whole[..whole.len() / 2]).expect("half a picture");
    folder.write("stills/notes.txt", "not a picture");
    let recipe = recipe("crossing-noon.toml");
    let command = ["preview", &recipe, "stills", "--json"];
    let output = folder.run(&command);
    assert_eq!(output.status.code(), Some(2), "{}", text(&output.stderr));
    assert!(output.stderr.is_empty(), "with --json nothing is said beside the document: {}", text(&output.stderr));
    let document: Value = serde_json::from_slice(&output.stdout).expect("one JSON document");
    let made: Vec<&str> =
        document["pictures"].as_array().expect("pictures").iter().filter_map(|one| one["image"].as_str()).collect();
    assert_eq!(made, ["stills/a.png", "stills/c.tif"]);
    assert_eq!(document["diagnostics"][0]["code"], "LW0502");
    assert!(folder.path("previews/a.crossing-noon.png").is_file());
    assert!(!folder.path("previews/b.crossing-noon.png").exists());

    let said = folder.fails(2, &["preview", &recipe, "stills"]);
    assert!(said.contains("b.png") && said.contains("damaged"), "{said}");
    let said = folder.fails(3, &["preview", &recipe, "stills/a.png", "stills/missing.png"]);
    assert!(said.contains("missing.png"), "{said}");
    std::fs::create_dir(folder.path("empty")).expect("a folder");
    folder.fails(2, &["preview", &recipe, "empty"]);
    let said = folder.fails(3, &["preview", &recipe, "stills/a.png", "--out", "stills/notes.txt/x"]);
    assert!(said.contains("--out"), "{said}");
    folder.fails(3, &["preview", "missing.toml", "stills/a.png"]);
    folder.fails(3, &["preview", "missing.cube", "stills/a.png"]);
}

#[test]
fn a_still_is_never_overwritten() {
    let folder = Folder::new();
    folder.write("nothing.cube", IDENTITY);
    let frame = grey_codes(&[1, 2, 3]);
    folder.picture("a.tif", &frame);
    folder.picture("a.nothing.png", &frame);
    folder.picture("a.exr", &frame.to_depth(SampleDepth::Float).frame);
    let before = std::fs::read(folder.path("a.nothing.png")).expect("a picture");
    let said = folder.fails(2, &["preview", "nothing.cube", "a.tif", "a.nothing.png", "--out", "."]);
    assert!(said.contains("would replace the still"), "{said}");
    assert_eq!(std::fs::read(folder.path("a.nothing.png")).expect("a picture"), before, "the still is untouched");
    let said = folder.fails(2, &["preview", "nothing.cube", "a.tif", "a.exr"]);
    assert!(said.contains("is the preview of a.tif already"), "{said}");
    // In a folder, earlier previews of the same look are no stills (the one above made another), and are replaced.
    std::fs::remove_file(folder.path("a.exr")).expect("a file");
    let said = folder.fine(&["preview", "nothing.cube", ".", "--out", ".", "--depth", "8"]);
    assert!(said.contains("2 earlier previews"), "{said}");
    assert_eq!(read(&folder.path("a.nothing.png")).depth(), SampleDepth::Eight, "replaced");
}

/// The stand-in undoes the default rendering, so that the default look on an sRGB display gives the photograph back: a round trip.
#[test]
fn a_photograph_through_the_default_look_comes_back() {
    let folder = Folder::new();
    folder.write("default.toml", &neutral("encoding = \"srgb\""));
    let greys: Vec<u16> = (0..=255).map(|code| code * 257).collect();
    folder.picture("photo.png", &grey_codes(&greys).to_depth(SampleDepth::Eight).frame);
    let said = folder.fine(&["preview", "default.toml", "photo.png", "--input", "srgb", "--exact"]);
    assert!(said.contains("STAND-IN") && said.contains("s-log3"), "{said}");
    let picture = read(&folder.path("previews/photo.neutral.png"));
    for (index, code) in greys.iter().enumerate() {
        let found = picture.pixel(index, 0).expect("inside").map(|value| value * 65_535.0);
        for channel in found {
            let error = (channel - f64::from(*code)).abs();
            // The table that undoes the rendering is right to 1e-5 of the light: two 16-bit codes at most, with rounding.
            assert!(error <= 2.0, "8-bit code {index} came back as {channel:.1} instead of {code} of 16 bit");
        }
    }
}

/// Scene light of 18 % is grey: the recipe's `[tone] grey`, 0.10 by default, and a stop over is a stop over.
#[test]
fn scene_light_is_a_stand_in_too() {
    let folder = Folder::new();
    folder.write("default.toml", &neutral("encoding = \"bt1886\""));
    let light = Frame::from_floats(2, 1, false, vec![0.18, 0.18, 0.18, 0.36, 0.36, 0.36]).expect("two pixels");
    folder.picture("light.exr", &light);
    folder.fine(&["preview", "default.toml", "light.exr", "--input", "linear", "--exact"]);
    let plain = read(&folder.path("previews/light.neutral.png"));
    folder.fine(&["preview", "default.toml", "light.exr", "--input", "linear", "--exact", "--stops", "1"]);
    let over = read(&folder.path("previews/light.neutral.png"));
    let grey = Display::new(DisplayEncoding::Bt1886, 100.0).encode([0.10; 3])[0];
    let found = plain.pixel(0, 0).expect("inside")[0];
    assert!((found - grey).abs() * 65_535.0 <= ONE_CODE, "grey is at {found} instead of {grey}");
    assert_eq!(plain.pixel(1, 0), over.pixel(0, 0), "a stop in the light is a stop by --stops");
}

/// ST 2084: 100 cd/m² is the signal 0.508078. IEC 61966-2-1: a tenth of white is the signal 0.349190. BT.1886: the power 2.4.
#[test]
fn the_screen_shows_the_light_of_the_display() {
    let folder = Folder::new();
    folder.write("nothing.cube", IDENTITY);
    folder.write("pq.toml", &neutral("encoding = \"pq\"\ngamut = \"bt2020\"\npeak_nits = 1000"));
    folder.write("sdr.toml", &neutral("encoding = \"bt1886\""));
    let hundred_nits = (0.508_078 * 65_535.0_f64).round() as u16;
    folder.picture("still.png", &grey_codes(&[hundred_nits, 32_768]));
    let preview = |recipe: &str, more: &[&str]| {
        let mut command = vec!["preview", "nothing.cube", "still.png", "--for-screen", "--recipe", recipe];
        command.extend(more);
        let said = folder.fine(&command);
        (read(&folder.path("previews/still.nothing.png")), said)
    };
    let check = |frame: &Frame, index: usize, expected: f64, what: &str| {
        let found = frame.pixel(index, 0).expect("inside");
        for channel in found {
            let error = (channel - expected).abs() * 65_535.0;
            // Half a code of the input grows by the slope between the two encodings, about 4 here.
            assert!(error <= 4.0, "{what}: {channel:.6} instead of {expected:.6}, {error:.1} codes off");
        }
    };
    let (frame, said) = preview("pq.toml", &[]);
    assert!(said.contains("the look's white is the screen's white"), "{said}");
    check(&frame, 0, 0.349_190, "100 nits of 1000");
    let (frame, _) = preview("pq.toml", &["--screen-white", "100"]);
    check(&frame, 0, 1.0, "100 nits as white");
    let (frame, _) = preview("sdr.toml", &[]);
    // The two powers of 2.4 undo each other: 1.055 V − 0.055.
    check(&frame, 1, 1.055 * 32_768.0 / 65_535.0 - 0.055, "half signal of BT.1886");
    let said = folder.fine(&["preview", "nothing.cube", "still.png", "--recipe", "pq.toml"]);
    assert!(said.contains("wrong on a computer screen"), "{said}");
}

#[test]
fn requests_that_do_not_fit_are_refused() {
    let folder = Folder::new();
    folder.write("nothing.cube", IDENTITY);
    folder.picture("still.png", &grey_codes(&[1, 2]));
    let recipe = recipe("crossing-noon.toml");
    let chart = folder.fine(&["preview", &recipe]);
    assert!(chart.contains("built-in chart"), "{chart}");
    assert_eq!(read(&folder.path("previews/chart.crossing-noon.png")).width(), 1920);
    for (command, expected) in [
        (vec!["preview", "nothing.cube"], "--recipe"),
        (vec!["preview", "nothing.cube", "still.png", "--for-screen"], "--recipe"),
        (vec!["preview", "nothing.cube", "still.png", "--input", "srgb"], "--recipe"),
        (vec!["preview", "nothing.cube", "still.png", "--exact"], "--exact"),
        (vec!["preview", "nothing.cube", "still.png", "--set", "tone.grey=0.1"], "--recipe"),
        (vec!["preview", &recipe, "still.png", "--recipe", &recipe], "--recipe"),
        (vec!["preview", "nothing.cube", "still.png", "--stops", "1"], "--recipe"),
        (vec!["preview", &recipe, "still.png", "--input", "s-log4/s-gamut3"], "expected log, srgb"),
        (vec!["preview", &recipe, "still.png", "--input", "sgrb"], "did you mean \"srgb\"?"),
        (vec!["preview", &recipe, "still.png", "--input", "logc3/awg3"], "--input ENCODING@INDEX/GAMUT"),
        (vec!["preview", &recipe, &recipe, "still.png"], "both called"),
        (vec!["preview", &recipe, "still.png", "--sheet", "--format", "exr"], "no floats"),
        (vec!["preview", &recipe, "still.png", "--sheet", "--split"], "cannot be used with"),
        (vec!["preview", &recipe, "still.png", "--exposures=-2,x"], "expected a number of stops"),
        (vec!["preview", "nothing.cube", "still.png", "--split"], "--recipe"),
        (vec!["preview", &recipe, "--input", "srgb"], "name a still"),
        (vec!["preview", &recipe, "still.png", "--format", "jpeg", "--depth", "16"], "8 bits only"),
        (vec!["preview", &recipe, "still.png", "--format", "exr", "--depth", "16"], "floats only"),
        (vec!["preview", &recipe, "still.png", "--screen-white", "203"], "--for-screen"),
        (vec!["preview", &recipe, "still.png", "--set", "tone.gray=0.1"], "tone.gray"),
    ] {
        let said = folder.fails(2, &command);
        assert!(said.contains(expected), "{command:?} should speak of {expected}: {said}");
    }
    folder.fine(&["preview", &recipe, "still.png", "--format", "jpeg"]);
    assert_eq!(read(&folder.path("previews/still.crossing-noon.jpg")).depth(), SampleDepth::Eight);
}

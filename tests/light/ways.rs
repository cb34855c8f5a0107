//! Two ways to one picture, and diffusion twice.

use super::kit::Set;
use lookwright::colour::difference::{Lab, ciede2000};
use lookwright::show::{SetupSheet, Show, prepare, sheets};

/// A setup of one light at a balance, in the show of the tests of shows.
fn sheet(light: &str, balance: f64, recipe: &str) -> SetupSheet {
    let set = Set::new();
    set.write("warm.toml", recipe);
    let setup = format!("cameras = [\"a\"]\nbalance_kelvin = {balance}\nlights = [{{ role = \"key\", {light} }}]\n");
    set.change("show.toml", "cameras = [\"a\"]\n", &setup);
    let (show, doubts) = Show::load(&set.path("show.toml"), None).unwrap_or_else(|found| panic!("{found:?}"));
    let work = prepare(show, doubts).unwrap_or_else(|found| panic!("{found:?}"));
    sheets(&work, Some(0), None).expect("a sheet").swap_remove(0)
}

pub const PLAIN: &str = "lookwright = 1\n[look]\nname = \"plain\"\n[tone]\n[gamut]\ninput_compress = false\n";
const TINTED: &str = "lookwright = 1\n[look]\nname = \"tinted\"\n[white]\nreference_kelvin = 5600\nwarmer_mired = 30\ngreener_cc = -4\n[tone]\n[gamut]\ninput_compress = false\n";
const LIGHTS: [(&str, f64); 4] = [
    ("source = \"planckian\", kelvin = 3200", 4300.0),
    ("source = \"led\", kelvin = 2700, duv = 0.004, filters = [\"1/4 minus green\"]", 4300.0),
    ("source = \"daylight\", kelvin = 6500", 4700.0),
    ("source = \"led\", kelvin = 4300, duv = 0.012", 4300.0),
];

/// Gains on the same cones, once before the recording and once after it, are the same gains: without a step between them and without
/// clipping, the `[white]` that is printed gives the very picture. Quantisation plays no part: signals are not rounded.
#[test]
fn the_white_block_gives_the_picture_of_the_camera() {
    // A tint of the recipe's own is scaled to keep the luminance of a neutral, and meets the cast in one way, the neutral in the other:
    // the brightness differs by a hundredth of a stop or two, far less than a visible difference.
    for (recipe, alike) in [(PLAIN, 1e-6), (TINTED, 0.5)] {
        for (light, balance) in LIGHTS {
            let ways = sheet(light, balance, recipe).ways.expect("two ways");
            for (name, worst) in [("skins", ways.like_recipe.skins_max), ("chart", ways.like_recipe.chart_max)] {
                assert!(worst < alike, "{light} at {balance} K: {name} differ by {worst}");
            }
            assert!(ways.by_channels.chart_max > 0.05, "{light}: gains on other channels show: {:?}", ways.by_channels);
        }
    }
}

/// The noise of the sensor is multiplied by the same in both pictures, whatever part of it is in the negative.
#[test]
fn both_pictures_amplify_alike() {
    for (light, balance) in LIGHTS {
        let ways = sheet(light, balance, PLAIN).ways.expect("two ways");
        let relative = |stops: [f64; 3]| [stops[0] - stops[1], stops[2] - stops[1]];
        let (a, b) = (relative(ways.in_camera.picture_stops), relative(ways.neutral_negative.picture_stops));
        for (a, b) in a.into_iter().zip(b) {
            // Cones here, channels there: the two models of a gain differ by less than a fifth of a stop for these casts.
            assert!((a - b).abs() < 0.2, "{light}: {a:+.2} and {b:+.2} stops against green");
        }
        assert_eq!(ways.in_camera.recipe_stops, [0.0; 3], "{light}: nothing is left for the recipe");
    }
}

/// A lamp of 2700 K needs more blue than a camera at 4300 K gives it: a neutral negative costs gain there.
#[test]
fn warm_lamps_cost_blue() {
    let ways = sheet(LIGHTS[1].0, 4300.0, PLAIN).ways.expect("two ways");
    assert_eq!((ways.in_camera.weakest, ways.neutral_negative.weakest), ("blue", "blue"));
    let more = ways.neutral_negative.weakest_stops - ways.in_camera.weakest_stops;
    assert!(more > 1.0, "blue needs {more:+.2} stops more");
    // The recipe takes it back.
    let blue = ways.neutral_negative.recipe_stops[2] - ways.neutral_negative.recipe_stops[0];
    assert!((blue + more).abs() < 0.3, "the recipe gives {blue:+.2} stops");
}

#[test]
fn patches_are_told_with_what_the_negative_holds() {
    let ways = sheet(LIGHTS[0].0, 4300.0, PLAIN).ways.expect("two ways");
    assert_eq!(ways.patches.len(), 32, "24 patches and 8 skins");
    assert_eq!(ways.patches.iter().filter(|patch| patch.is_skin).count(), 10, "the chart has two skins of its own");
    let grey = ways.patches.iter().find(|patch| patch.name == "neutral 5").expect("a grey");
    let [_, a, b] = grey.negative_neutral.lab;
    assert!(a.abs() < 1.0 && b.abs() < 1.0, "a neutral negative: a* {a}, b* {b}");
    assert!(grey.negative_in_camera.lab[2] > 5.0, "a warm one: {:?}", grey.negative_in_camera.lab);
    let lab = |[l, a, b]: [f64; 3]| Lab { l, a, b };
    let de = ciede2000(lab(grey.in_camera.lab), lab(grey.in_recipe.lab));
    // A camera that balances by its channels leaves a slightly other cast than the recipe's cones do.
    assert!((de - grey.de2000).abs() < 1e-12 && de > 0.1 && de < 2.0, "nearly one picture: {de}");
}

#[test]
fn a_cast_that_no_recipe_holds_says_so() {
    let sheet = sheet("source = \"daylight\", kelvin = 5600, filters = [\"CTB\", \"CTB\"]", 5600.0, PLAIN);
    assert!(sheet.ways.is_none());
    let why = sheet.no_ways.expect("a reason");
    assert!(why.starts_with("no balance of a camera makes this light neutral"), "{why}");
    assert_eq!((sheet.lights[0].cct, sheet.lights[0].mired), (None, None));
}

/// Sources: the equations of section 7 of look-maths.md by hand: a veil of v of grey's light on x gives (1 − v) x + 0.18 v.
#[test]
fn diffusion_twice_is_told_with_what_it_does() {
    let set = Set::new();
    set.write("warm.toml", &format!("{PLAIN}[diffusion]\ngrade = \"1/4\"\n"));
    set.change("show.toml", "cameras = [\"a\"]\n", "cameras = [\"a\"]\ndiffusion_on_lens = \"1/8\"\n");
    let (show, doubts) = Show::load(&set.path("show.toml"), None).expect("a show");
    let work = prepare(show, doubts).expect("it can be made");
    let sheet = sheets(&work, Some(0), None).expect("a sheet").swap_remove(0);
    let twice = sheet.diffusion.twice.expect("both");
    let point = twice.points.iter().find(|point| point.stops == -6.0).expect("six stops under");
    let light = 0.18 / 64.0;
    let veil = |v: f64, x: f64| (1.0 - v) * x + v * 0.18;
    let stops = |x: f64| lookwright::maths::log2(x / 0.18);
    assert!((point.lens_stops - stops(veil(0.006, light))).abs() < 1e-12, "{point:?}");
    assert!((point.recipe_stops - stops(veil(0.012, light))).abs() < 1e-12, "{point:?}");
    assert!((point.both_stops - stops(veil(0.012, veil(0.006, light)))).abs() < 1e-12, "{point:?}");
    for point in &twice.points {
        let (low, high) = (point.none_percent.min(point.both_percent), point.none_percent.max(point.both_percent));
        assert!(low < point.lens_percent && point.lens_percent < high, "between none and both: {point:?}");
        assert!(low < point.recipe_percent && point.recipe_percent < high, "between none and both: {point:?}");
    }
}

/// The mean of each channel of a PNG, and its size.
pub fn mean(path: &std::path::Path) -> ([f64; 3], usize, usize) {
    let frame = lookwright::formats::image::read(path).unwrap_or_else(|found| panic!("{found:?}"));
    let (width, height) = (frame.width(), frame.height());
    let mut sum = [0.0; 3];
    for y in 0..height {
        for x in 0..width {
            let pixel = frame.pixel(x, y).expect("inside");
            (0..3).for_each(|channel| sum[channel] += pixel[channel]);
        }
    }
    (sum.map(|value| value / (width * height) as f64 * 255.0), width, height)
}

/// A grey card shot with the cast in the camera: the neutral negative made of it is neutral, and both pictures are one.
#[test]
fn a_log_frame_of_the_set_is_made_neutral_and_comes_back() {
    let set = Set::new();
    let camera = "[camera]\nencoding = \"s-log3\"\ngamut = \"s-gamut3.cine\"\n[tone]";
    set.write("look.toml", &PLAIN.replace("[tone]", camera));
    let arguments = [
        "light",
        "look.toml",
        "--source",
        "planckian",
        "--kelvin",
        "2800",
        "--balance",
        "4300",
        "--two-ways",
        "--pictures",
    ];
    let run = |folder: &str, more: &[&str]| {
        let all: Vec<&str> = arguments.iter().copied().chain([folder]).chain(more.iter().copied()).collect();
        let (code, document) = set.json(&all);
        assert_eq!(code, Some(0), "{document}");
        document
    };
    // A grey of 18 % in linear light of BT.709, as a stand-in.
    let grey = image(&set, "grey.png", [0.18; 3]);
    run("stand-in", &["--still", &grey, "--input", "linear"]);
    let (negative, ..) = mean(&set.path("stand-in/light.camera-negative.png"));
    assert!(negative[0] - negative[2] > 40.0, "a warm negative: {negative:?}");
    let (neutral, ..) = mean(&set.path("stand-in/light.recipe-negative.png"));
    assert!(neutral[0] - neutral[2] < 1.0, "a neutral one: {neutral:?}");
    let (one, ..) = mean(&set.path("stand-in/light.camera-picture.png"));
    let (other, ..) = mean(&set.path("stand-in/light.recipe-picture.png"));
    for channel in 0..3 {
        // Cones in the recipe, channels in the camera: three of 255 codes.
        assert!((one[channel] - other[channel]).abs() < 4.0, "one picture: {one:?} {other:?}");
    }
    let (_, width, height) = mean(&set.path("stand-in/light.two-ways.png"));
    assert_eq!((width, height), (2 * 4 + 8, 2 * 4 + 8), "four pictures and a gap");
    // The same grey as the camera at 4300 K records it: the code values of the warm negative.
    let document = run("chart", &[]);
    assert_eq!(document["pictures"].as_array().map(Vec::len), Some(5), "{document}");
    let encoding = lookwright::colour::encodings::find("s-log3").expect("known");
    let curve = lookwright::colour::encodings::Curve::new(encoding, None).expect("it needs no index");
    let record = |linear: f64| curve.encode(linear);
    // Channels of the recorded gamut: what makes a light of 2800 K neutral at 2800 K, less what 4300 K does, and grey's luminance kept.
    let gains = &document["ways"];
    let stops = |way: &str| -> Vec<f64> {
        gains[way]["camera_stops"]
            .as_array()
            .expect("gains")
            .iter()
            .map(|value| value.as_f64().expect("a number"))
            .collect()
    };
    let (warm, neutral) = (stops("in_camera"), stops("neutral_negative"));
    let light: Vec<f64> =
        (0..3).map(|channel| 0.18 * lookwright::maths::exp2(warm[channel] - neutral[channel])).collect();
    let shot = image(&set, "shot.png", [0, 1, 2].map(|channel| record(light[channel])));
    run("log", &["--still", &shot]);
    let (neutral, ..) = mean(&set.path("log/light.recipe-negative.png"));
    assert!(
        (neutral[0] - neutral[2]).abs() < 1.0 && (neutral[0] - neutral[1]).abs() < 1.0,
        "made neutral: {neutral:?}"
    );
}

/// A picture of 4 × 4 pixels of one colour, 16 bits.
pub fn image(set: &Set, name: &str, signal: [f64; 3]) -> String {
    let codes = signal.map(lookwright::picture::code16).repeat(16);
    let frame = lookwright::picture::Frame::from_sixteen_bit(4, 4, false, codes).expect("a frame");
    let options = lookwright::formats::image::WriteOptions::default();
    lookwright::formats::image::write(&set.path(name), &frame, &options).unwrap_or_else(|found| panic!("{found:?}"));
    name.to_owned()
}

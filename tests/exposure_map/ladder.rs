//! Greys of known exposure in published codes, through the written file.

use super::reader::Cube;
use super::{HEAD, make};
use lookwright::colour::encodings::{self, Curve};
use lookwright::maths::{linear_from_stops, log2};

/// 10-bit codes of 0.18 · 2^stops, from colour-science 0.4.7, which has the makers' formulas: encoding, gamut, codes at these stops.
const STOPS: [f64; 10] = [-8.0, -5.0, -3.0, -1.0, 0.0, 0.5, 1.0, 2.0, 4.0, 6.0];
type Ladder = (&'static str, &'static str, [f64; 10]);
const LADDERS: [Ladder; 4] = [
    (
        "s-log3",
        "s-gamut3.cine",
        [99.763, 133.105, 219.463, 347.106, 420.0, 457.595, 495.691, 572.865, 729.131, 886.274],
    ),
    ("logc3", "awg3", [98.805, 125.831, 204.404, 329.201, 400.0, 436.452, 473.361, 548.076, 699.255, 851.232]),
    ("logc4", "awg4", [97.317, 112.129, 150.39, 230.827, 284.799, 314.013, 344.277, 406.969, 536.753, 668.614]),
    ("v-log", "v-gamut", [131.903, 160.1, 240.02, 363.524, 433.048, 468.772, 504.912, 578.009, 725.791, 874.298]),
];

/// What the default bands have at those stops; nothing where the picture is shown. All lie well within their bands; a picture that lies
/// nearer to an edge than one and a half spacings of the table is left out: a point stands for half the way to its neighbours, and is mixed as far
/// as them.
const ZONES: [Option<&str>; 10] =
    [Some("noise floor"), None, Some("shadow"), None, Some("grey"), None, Some("skin"), None, Some("highlight"), None];

/// Of its own colour, at 65 points, deep within a band; and of the noise floor, whose edge lies 10 codes above −8 stops of S-Log3, where points
/// stand 16 codes apart.
const FULL: f64 = 0.75;
const MOSTLY: f64 = 0.5;
/// The most colour that the picture has between bands.
const NEUTRAL: f64 = 1.5e-6;
/// Between two bands that are half a stop apart, trilinear interpolation takes in corners of the cell that are no greys, and whose luminance lies in a
/// band already. A hundredth of the signal is seen by nobody beside a band's colour; 0.0043 was measured.
const NEARLY_NEUTRAL: f64 = 0.01;

/// Codes of the edges of all zones.
fn edges(encoding: &str, made: &super::Made) -> Vec<f64> {
    let curve = Curve::new(encodings::find(encoding).expect("published"), (encoding == "logc3").then_some(800));
    let curve = curve.expect("with its index");
    let stops = made.report.zones.iter().flat_map(|zone| [zone.from_stops, zone.to_stops]).flatten();
    stops.map(|stops| 1023.0 * curve.encode(linear_from_stops(stops))).collect()
}

#[test]
fn greys_of_published_codes_meet_their_zones() {
    for (encoding, gamut, codes) in LADDERS {
        let index = if encoding == "logc3" { "exposure_index = 800\n" } else { "" };
        let text = HEAD
            .replace("\"s-log3\"", &format!("\"{encoding}\""))
            .replace("gamut = \"s-gamut3.cine\"\n", &format!("gamut = \"{gamut}\"\n{index}"));
        for (interpolation, sample) in [
            ("tetrahedral", Cube::grey_tetrahedral as fn(&Cube, f64) -> [f64; 3]),
            ("trilinear", |cube: &Cube, u: f64| cube.trilinear([u; 3])),
        ] {
            let made = make(&text, &["lut.size=65", &format!("lut.interpolation={interpolation}")]);
            let cube = Cube::read(&made.bytes);
            let edges = edges(encoding, &made);
            let mut pictures = 0;
            for ((code, zone), stops) in codes.into_iter().zip(ZONES).zip(STOPS) {
                let shown = sample(&cube, code / 1023.0);
                let place = format!("{encoding} at {stops:+} stops, {interpolation}: {shown:?}");
                let Some(name) = zone else {
                    if edges.iter().any(|edge| (edge - code).abs() < 1.5 * 1023.0 / 64.0) {
                        continue;
                    }
                    pictures += 1;
                    let most = if interpolation == "trilinear" { NEARLY_NEUTRAL } else { NEUTRAL };
                    assert!(shown.iter().all(|value| (value - shown[0]).abs() <= most), "a picture: {place}");
                    continue;
                };
                let zone = made.report.zones.iter().find(|zone| zone.name == name).expect("a default zone");
                // The picture has no colour, so that the difference of two channels is the zone's share.
                let share = (shown[0] - shown[2]) / (zone.srgb[0] - zone.srgb[2]);
                let least = if name == "noise floor" { MOSTLY } else { FULL };
                assert!((least..=1.0 + 1e-5).contains(&share), "{name} with {share:.2} of its colour: {place}");
            }
            assert!(pictures >= 2, "{encoding}: {pictures} points between bands");
        }
    }
}

/// With levels that the device scales, codes below 64 and above 940 never reach the table; all others mean the same.
#[test]
fn legal_levels_move_the_table_and_not_the_bands() {
    let made = make(HEAD, &["lut.size=65", "lut.input_levels=legal", "lut.output_levels=legal"]);
    let cube = Cube::read(&made.bytes);
    for (code, name) in
        [(219.463, "shadow"), (420.0, "grey"), (495.691, "skin"), (729.131, "highlight"), (940.0, "clip")]
    {
        let shown = cube.grey_tetrahedral((code - 64.0) / 876.0).map(|value| (1023.0 * value - 64.0) / 876.0);
        let zone = made.report.zones.iter().find(|zone| zone.name == name).expect("a default zone");
        let share = (shown[0] - shown[2]) / (zone.srgb[0] - zone.srgb[2]);
        assert!((FULL..=1.0 + 1e-5).contains(&share), "{name} with {share:.2} of its colour");
    }
    assert_eq!(made.report.zones.last().expect("clip").codes, Some([940, 1023]));
}

/// What the recipe says moves the zones by as much.
#[test]
fn zero_noise_and_clip_are_where_the_recipe_has_them() {
    let zone = |set: &[&str], name: &str| {
        let made = make(HEAD, set);
        made.report.zones.into_iter().find(|zone| zone.name == name).expect("a default zone")
    };
    // A stop over grey, by the published formula, is code 495.691; 0.2 stops beside it are told as whole codes.
    let grey = zone(&["map.zero_stops=1"], "grey").codes.expect("codes");
    assert!(grey[0] < 495 && grey[1] > 495 && grey[1] - grey[0] < 34, "{grey:?}");
    // Noise and clip are the camera's: they stay where they are and are counted from the new zero.
    let noise = |set: &[&str]| zone(set, "noise floor");
    let (plain, moved) = (noise(&["map.noise_stops=-6"]), noise(&["map.noise_stops=-6", "map.zero_stops=1"]));
    assert_eq!((plain.codes, plain.to_stops, moved.to_stops), (moved.codes, Some(-6.0), Some(-7.0)));
    let clip = zone(&["map.clip_signal=0.9"], "clip");
    assert_eq!(clip.codes.map(|codes| codes[0]), Some(921), "0.9 · 1023 = 920.7");
}

/// Where a tenth of a stop is one code, by the formula of S-Log3 below its cut: code = 95 + 6773.7 x, so that x ln 2 · 6773.7 = 10.
#[test]
fn the_noise_floor_is_where_a_code_is_worth_a_tenth_of_a_stop() {
    let made = make(HEAD, &[]);
    let slope = (171.210_294_6 - 95.0) / 0.011_25;
    let expected = log2(10.0 / (slope * std::f64::consts::LN_2) / 0.18);
    let noise = made.report.zones[0].to_stops.expect("an end");
    // A difference over a tenth of a stop is not quite the slope.
    assert!((noise - expected).abs() < 2e-3, "{noise} instead of {expected}");
}

//! Colours of zones: how well they keep apart, and that they are the same on every display.

use super::reader::Cube;
use super::{HEAD, make};
use lookwright::exposure_map::{colours, separations};
use lookwright::maths::pow;

/// ΔE2000 between neighbours, for normal vision and three others, for 4 to 16 bands with noise floor and clip; the least that was
/// measured is 32.
const NEIGHBOURS: f64 = 32.0;

/// To a grey of the same lightness, likewise; the least is 13.
const GREYS: f64 = 12.9;

#[test]
fn neighbours_keep_apart_for_four_kinds_of_vision_and_in_grey() {
    for bands in 4..=16 {
        let found = separations(&colours(bands + 2), 0.35);
        assert_eq!(found.visions.len(), 4);
        for one in &found.visions {
            assert!(one.neighbours >= NEIGHBOURS, "{bands} bands, {}: {}", one.vision, one.neighbours);
            assert!(one.greys.expect("dark zones") >= GREYS, "{bands} bands, {}: {:?}", one.vision, one.greys);
            assert!(one.any_two <= one.neighbours);
        }
        // From 30 to 90 in equal steps.
        assert!((found.grey_steps - 60.0 / (bands + 1) as f64).abs() < 1e-9, "{bands} bands: {}", found.grey_steps);
    }
}

/// A display of a larger gamut, of an absolute encoding or with levels shows the zone's colour, at the white of its map.
#[test]
fn every_display_shows_the_same_colours() {
    let srgb = |zone: [f64; 3]| {
        zone.map(|value| if value <= 0.040_45 { value / 12.92 } else { pow((value + 0.055) / 1.055, 2.4) })
    };
    // ST 2084, as the standard prints it.
    let pq = |signal: f64| {
        let power = pow(signal, 1.0 / 78.843_75);
        10_000.0 * pow((power - 0.835_937_5).max(0.0) / (18.851_562_5 - 18.687_5 * power), 1.0 / 0.159_301_757_812_5)
    };
    // BT.709 to BT.2020, linear light: ITU-R BT.2087, four decimals.
    let to_2020 = [[0.6274, 0.3293, 0.0433], [0.0691, 0.9195, 0.0114], [0.0164, 0.0880, 0.8956]];
    let made = make(HEAD, &["display.encoding=pq", "display.gamut=bt2020", "display.peak_nits=1000", "lut.size=65"]);
    let shown = Cube::read(&made.bytes).grey_tetrahedral(729.131 / 1023.0).map(pq);
    let zone = made.report.zones.iter().find(|zone| zone.name == "highlight").expect("a default zone");
    let light = srgb(zone.srgb);
    for (row, nits) in to_2020.iter().zip(shown) {
        let expected = 203.0 * (row[0] * light[0] + row[1] * light[1] + row[2] * light[2]);
        // Four decimals of the matrix, 203 cd/m² in all.
        assert!((nits - expected).abs() < 0.05, "{nits} instead of {expected} cd/m²");
    }
    let dim = make(HEAD, &["display.encoding=pq", "display.gamut=bt2020", "display.peak_nits=108", "lut.size=65"]);
    let shown = Cube::read(&dim.bytes).grey_tetrahedral(1.0).map(pq);
    assert!(shown.iter().all(|nits| *nits <= 108.01), "a display of 108 cd/m² is asked for {shown:?}");
}

//! Where edges lie in the written file, found by code of this test's own.

use super::reader::Cube;
use super::{HEAD, make};
use lookwright::exposure_map::{MapReport, ZoneKind, ZoneReport};
use lookwright::maths::{exp2, log10};

/// S-Log3 as its maker prints it, 10-bit codes.
fn s_log3(linear: f64) -> f64 {
    if linear >= 0.011_25 {
        420.0 + 261.5 * log10((linear + 0.01) / 0.19)
    } else {
        linear * (171.210_294_6 - 95.0) / 0.011_25 + 95.0
    }
}

/// Where the share of a zone's colour crosses a half as a grey is exposed from `from` to `to` stops.
fn crossing(cube: &Cube, zone: &ZoneReport, [from, to]: [f64; 2]) -> Option<f64> {
    const STEPS: usize = 4000;
    let share = |stops: f64| {
        let shown = cube.grey_tetrahedral(s_log3(0.18 * exp2(stops)) / 1023.0);
        (shown[0] - shown[2]) / (zone.srgb[0] - zone.srgb[2]) - 0.5
    };
    let at = |step: usize| from + (to - from) * step as f64 / STEPS as f64;
    (0..STEPS).find(|step| share(at(*step)) < 0.0 && share(at(step + 1)) >= 0.0).map(|step| at(step + 1))
}

fn bands(report: &MapReport) -> impl Iterator<Item = &ZoneReport> {
    report.zones.iter().filter(|zone| zone.kind == ZoneKind::Band)
}

/// Edges at 65 points: at the place that the recipe names, to a hundredth of a stop, by this test's measure and by the program's own.
#[test]
fn edges_lie_where_the_recipe_has_them() {
    const OFF: f64 = 0.01;
    // This test goes by the colour alone; the program by all of the way from the picture to the zone, where the picture itself is
    // interpolated too.
    const AGREE: f64 = 5e-3;
    let made = make(HEAD, &["lut.size=65"]);
    let cube = Cube::read(&made.bytes);
    let mut edges = 0;
    for zone in bands(&made.report) {
        let (from, to) = (zone.from_stops.expect("a band"), zone.to_stops.expect("a band"));
        let middle = (from + to) / 2.0;
        for (wanted, found, told) in [
            (from, crossing(&cube, zone, [from - 0.4, middle]), zone.lower),
            (to, crossing(&cube, zone, [to + 0.4, middle]), zone.upper),
        ] {
            let found = found.unwrap_or_else(|| panic!("{} has no edge at {wanted}", zone.name));
            assert!((found - wanted).abs() <= OFF, "{}: {found} instead of {wanted}", zone.name);
            let told = told.and_then(|edge| edge.measured_stops).expect("an edge");
            assert!((told - found).abs() <= AGREE, "{}: told {told}, found {found}", zone.name);
            edges += 1;
        }
    }
    assert_eq!(edges, 8);
    let clip = made.report.zones.last().expect("clip");
    let found = crossing(&cube, clip, [6.5, 7.74]).expect("clip begins");
    let told = clip.lower.and_then(|edge| edge.measured_stops).expect("an edge");
    assert!((told - found).abs() <= 1e-3 && clip.from_stops.expect("it begins") - found < 0.11, "{told}, {found}");
    let end = cube.grey_tetrahedral(1.0);
    assert!(
        end.iter().zip(clip.srgb).all(|(a, b)| (a - b).abs() < 1e-6),
        "the end of the signal is clip and nothing else"
    );
}

/// What is said of bands that a table can't hold is true of tables of that many points.
#[test]
fn a_band_that_the_table_cant_hold_is_told_with_the_points_that_do() {
    let text = format!("{HEAD}[[map.band]]\nname = \"card\"\nfrom_stops = -0.1\nto_stops = 0.1\n");
    let made = make(&text, &["lut.size=17"]);
    let told: Vec<_> = made.warnings.iter().filter(|one| one.message.contains("\"card\"")).collect();
    let [zone] = bands(&made.report).collect::<Vec<_>>()[..] else { panic!("one band") };
    assert_eq!((told.len(), told[0].code.id, zone.held), (1, "LW0223", Some(false)), "{:?}", made.report);
    let points = zone.points_that_hold.expect("some number holds it");
    assert!(told[0].help[0].starts_with(&format!("{points} points a side hold it")), "{:?}", told[0].help);
    assert_eq!(told[0].span.as_ref().map(|span| span.source.line_column(span.range.start).0), Some(11));
    // One point less does not hold it, that many do: by this test's own measure, as the program states its rule.
    for (size, held) in [(points - 1, false), (points, true)] {
        let made = make(&text, &[&format!("lut.size={size}")]);
        let cube = Cube::read(&made.bytes);
        let zone = bands(&made.report).next().expect("one band");
        let edges = [crossing(&cube, zone, [-0.5, 0.0]), crossing(&cube, zone, [0.5, 0.0])];
        let near = |edge: Option<f64>, wanted: f64| edge.is_some_and(|edge| (edge - wanted).abs() <= 0.25 * 0.2);
        let full = (-100..=100).map(|step| {
            let shown = cube.grey_tetrahedral(s_log3(0.18 * exp2(f64::from(step) / 1000.0)) / 1023.0);
            (shown[0] - shown[2]) / (zone.srgb[0] - zone.srgb[2])
        });
        let ours = near(edges[0], -0.1) && near(edges[1], 0.1) && full.fold(0.0, f64::max) >= 0.75;
        assert_eq!((ours, zone.held), (held, Some(held)), "{size} points: {edges:?}");
    }
}

/// A trim of half a stop brings the camera half a stop up: what it records at the lower code means what the other means.
#[test]
fn a_trim_moves_the_edges_by_its_stops() {
    let plain = make(HEAD, &["lut.size=65"]);
    let moved = make(HEAD, &["lut.size=65", "trim.stops=0.5"]);
    assert_ne!(plain.bytes, moved.bytes);
    let cube = Cube::read(&moved.bytes);
    for zone in bands(&moved.report) {
        let from = zone.from_stops.expect("a band");
        let found = crossing(&cube, zone, [from - 0.9, from - 0.3]).expect("an edge half a stop further down");
        assert!((found - (from - 0.5)).abs() < 0.01, "{}: {found}", zone.name);
    }
}

/// Chart patches of the same luminance meet the same edges: what the program tells of them is small at 65 points, and larger at 17.
#[test]
fn colours_meet_the_edges_of_greys() {
    let [fine, coarse] = ["lut.size=65", "lut.size=17"].map(|size| {
        let text = format!("{HEAD}[[map.band]]\nname = \"wide\"\nfrom_stops = -1\nto_stops = 1\n");
        make(&text, &[size]).report.coloured
    });
    assert!(fine.found >= 2 * 20 && fine.lost == 0, "{fine:?}");
    assert!(fine.worst_stops < 0.03 && fine.worst_stops < coarse.worst_stops, "{fine:?} and {coarse:?}");
}

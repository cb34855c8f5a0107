//! What is told of a map: its zones, how well their colours keep apart, and what its table makes of them.

use super::ExposureMap;
use super::measure::{Coloured, Held, MeasuredEdge};
use super::palette::{Separations, separations};
use super::zones::{Zone, ZoneKind};
use crate::colour::displays::{Display, DisplayEncoding};
use crate::colour::vision::Vision;
use crate::diagnostics::codes;
use crate::lut::Table3;
use crate::maths::{CODE10_MAX, Rgb};
use crate::pipeline::Fault;
use serde::Serialize;

/// An edge this near to a whole code, in codes, is that code: rounding.
const CODE_ROUNDING: f64 = 1e-6;

/// Points a side that most devices take. Common practice, no source.
const USUAL_SIZES: [usize; 3] = [17, 33, 65];

/// A zone of a map, and what the table makes of it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ZoneReport {
    /// What it is.
    pub kind: ZoneKind,
    /// Its name.
    pub name: String,
    /// Where it begins, stops from the map's zero; none for the noise floor.
    pub from_stops: Option<f64>,
    /// Where it ends; none for clip.
    pub to_stops: Option<f64>,
    /// Whether a grey ever shows it.
    pub shown: bool,
    /// First and last 10-bit code, full range, with which the camera records a grey of the zone; none where no whole code does.
    pub codes: Option<[u16; 2]>,
    /// Its colour as an sRGB signal, 0..1.
    pub srgb: Rgb,
    /// The same as six hexadecimal digits.
    pub hex: String,
    /// The sRGB signal that normal vision sees as other kinds of vision see the colour.
    pub seen: Vec<SeenColour>,
    /// Its lower edge on the grey axis of the table.
    pub lower: Option<MeasuredEdge>,
    /// Its upper edge.
    pub upper: Option<MeasuredEdge>,
    /// The most of its own colour that a grey of the zone has, 0..1; none where it is never shown.
    pub fullness: Option<f64>,
    /// Whether the table holds it; none where it is never shown.
    pub held: Option<bool>,
    /// Where the table does not: the fewest points a side that do, if any number up to 129 does.
    pub points_that_hold: Option<usize>,
    /// The same of the sizes that most devices take, 17, 33 and 65 (common practice, no source).
    pub usual_points_that_hold: Option<usize>,
}

/// A colour as another kind of vision sees it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SeenColour {
    /// Id of the kind of vision.
    pub vision: &'static str,
    /// An sRGB signal, 0..1.
    pub srgb: Rgb,
}

/// What is told of a map and its table.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MapReport {
    /// Fingerprint of the map.
    pub fingerprint: String,
    /// Points a side of the table.
    pub size: usize,
    /// Where the bands count from, stops from grey.
    pub zero_stops: f64,
    /// Noise floor, bands from dark to bright, clip.
    pub zones: Vec<ZoneReport>,
    /// How well the colours keep apart.
    pub separations: Separations,
    /// How far edges are off for the patches of the chart.
    pub coloured: Coloured,
}

impl ExposureMap {
    /// What is told of this map where `table` is its table.
    #[must_use]
    pub fn report(&self, table: &Table3) -> MapReport {
        let held = self.held(table);
        let points = self.points_that_hold(table.size(), &held);
        let colours: Vec<Rgb> = self.zones.iter().map(|zone| zone.colour).collect();
        let zones = self.zones.iter().zip(held).zip(points);
        MapReport {
            fingerprint: self.fingerprint(),
            size: table.size(),
            zero_stops: self.settings.zero_stops,
            zones: zones.map(|((zone, held), points)| self.zone_report(zone, held, &points)).collect(),
            separations: separations(&colours, self.settings.dim),
            coloured: self.coloured(table),
        }
    }

    fn zone_report(&self, zone: &Zone, held: Option<Held>, points: &[usize]) -> ZoneReport {
        let srgb = srgb(zone.colour);
        ZoneReport {
            kind: zone.kind,
            name: zone.name.clone(),
            from_stops: zone.from_stops.is_finite().then_some(zone.from_stops),
            to_stops: zone.to_stops.is_finite().then_some(zone.to_stops),
            shown: zone.is_shown(),
            codes: self.codes(zone),
            srgb,
            hex: srgb.map(|value| format!("{:02x}", (value * 255.0).round() as u8)).concat(),
            seen: Vision::ALL
                .iter()
                .map(|v| SeenColour { vision: v.id(), srgb: self::srgb(v.seen(zone.colour)) })
                .collect(),
            lower: held.and_then(|held| held.lower),
            upper: held.and_then(|held| held.upper),
            fullness: held.map(|held| held.fullness),
            held: held.map(|held| held.held),
            points_that_hold: points.first().copied(),
            usual_points_that_hold: USUAL_SIZES.into_iter().find(|size| points.contains(size)),
        }
    }

    /// Whole codes from the first that lies at or above the lower edge to the last below the upper one.
    fn codes(&self, zone: &Zone) -> Option<[u16; 2]> {
        let first_from = |stops: f64| (self.code_at(stops) - CODE_ROUNDING).ceil().clamp(0.0, CODE10_MAX + 1.0);
        let first = if zone.from_stops.is_finite() { first_from(zone.from_stops) } else { 0.0 };
        let beyond = if zone.to_stops.is_finite() { first_from(zone.to_stops) } else { CODE10_MAX + 1.0 };
        (zone.is_shown() && first < beyond).then_some([first as u16, (beyond - 1.0) as u16])
    }

    /// Zones that the table does not hold, each as a warning about its parameter.
    #[must_use]
    pub fn lost(&self, report: &MapReport) -> Vec<Fault> {
        let unheld = self.zones.iter().zip(&report.zones).filter(|(_, told)| told.held == Some(false));
        unheld.map(|(zone, told)| lost(zone, told, report.size)).collect()
    }
}

fn lost(zone: &Zone, told: &ZoneReport, size: usize) -> Fault {
    let fullness = told.fullness.unwrap_or_default();
    let edges = [told.lower, told.upper].into_iter().flatten();
    let off = edges.map(|edge| edge.off()).fold(0.0, f64::max);
    let message = format!("a table of {size} points can't hold \"{}\"", zone.name);
    let what = if off.is_finite() {
        format!("{:.0} % of its colour at most; an edge is off by {off:.2} stops", 100.0 * fullness)
    } else {
        format!("{:.0} % of its colour at most; an edge is missing", 100.0 * fullness)
    };
    let label = if zone.width().is_finite() { format!("{:.2} stops wide: {what}", zone.width()) } else { what };
    // A band that the recipe does not write is too narrow for the size that it may write.
    let parameter = if zone.parameter == "map" { "lut.size" } else { &zone.parameter };
    let fault = Fault::warning(&codes::MAP_BAND_LOST, parameter, message, label);
    match (told.points_that_hold, told.usual_points_that_hold) {
        (Some(points), Some(usual)) if points == usual => {
            fault.help(format!("{points} points a side hold it (--size)"))
        }
        (Some(points), Some(usual)) => {
            fault.help(format!("{points} points a side hold it, of the usual sizes {usual} (--size); or make it wider"))
        }
        (Some(points), None) => fault
            .help(format!("{points} points a side hold it, if the device takes as many (--size); or make it wider")),
        (None, _) => fault.help("no table of up to 129 points holds it: make it wider"),
    }
}

/// A colour of linear BT.709 light as an sRGB signal (IEC 61966-2-1).
pub(super) fn srgb(light: Rgb) -> Rgb {
    // The peak matters to HDR encodings only.
    Display::new(DisplayEncoding::Srgb, 100.0).encode(light).map(|value| value.clamp(0.0, 1.0))
}

//! The zones of a map from dark to bright: noise floor, bands, clip.

use super::palette;
use super::reading::Reading;
use crate::diagnostics::codes;
use crate::maths::Rgb;
use crate::pipeline::Fault;
use crate::recipe::map::{CLIP_NAME, MapSettings, NOISE_NAME};

/// What a zone is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ZoneKind {
    /// Below the noise floor.
    Noise,
    /// A band of the recipe.
    Band,
    /// The signal has reached its end.
    Clip,
}

/// A zone of an exposure map.
#[derive(Clone, Debug)]
pub struct Zone {
    /// What it is.
    pub kind: ZoneKind,
    /// Its name.
    pub name: String,
    /// Where it begins as a grey is exposed up, stops from the map's zero; minus infinity for the noise floor. For a band the larger of
    /// what the recipe says and the end of the noise floor.
    pub from_stops: f64,
    /// Where it ends; infinity for clip.
    pub to_stops: f64,
    /// Its colour: linear light in BT.709 primaries, 0..1 of the map's white.
    pub colour: Rgb,
    /// What stands for it in the recipe.
    pub parameter: String,
}

impl Zone {
    /// Whether a grey ever shows it.
    #[must_use]
    pub fn is_shown(&self) -> bool {
        self.from_stops < self.to_stops
    }

    /// Width in stops; infinite for noise floor and clip.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.to_stops - self.from_stops
    }
}

/// Camera signal at which clip begins: where the recipe has it, but no later than the encoding ends, or what the device's LUT stage sees.
pub(super) fn clip_signal(reading: &Reading, settings: &MapSettings) -> f64 {
    settings.clip_signal.min(reading.signal_end()).min(reading.camera_signal(1.0))
}

/// The zones, and bands that are never shown.
pub(super) fn zones(reading: &Reading, settings: &MapSettings) -> (Vec<Zone>, Vec<Fault>) {
    let clip_signal = clip_signal(reading, settings);
    let clip = reading.stops_of_signal(clip_signal);
    let noise =
        settings.noise_stops.map_or_else(|| reading.noise_stops(), |stops| reading.counted_from_grey(stops)).min(clip);
    let colours = palette::colours(settings.bands.len() + 2);
    let zone = |kind, name: &str, [from_stops, to_stops]: [f64; 2], place: usize, parameter: &str| Zone {
        kind,
        name: name.to_owned(),
        from_stops,
        to_stops,
        colour: colours[place],
        parameter: parameter.to_owned(),
    };
    let mut zones = vec![zone(ZoneKind::Noise, NOISE_NAME, [f64::NEG_INFINITY, noise], 0, "map.noise_stops")];
    let mut faults = Vec::new();
    for (place, band) in settings.bands.iter().enumerate() {
        let shown = [band.from_stops.max(noise), band.to_stops.min(clip)];
        let one = zone(ZoneKind::Band, &band.name, shown, place + 1, &band.parameter);
        if !one.is_shown() {
            let (from, to) = (band.from_stops, band.to_stops);
            let message = format!("the band \"{}\" is never shown", band.name);
            let label = if from >= clip {
                format!("{from} to {to} stops lie above clip, which begins at {clip:+.2}")
            } else {
                format!("{from} to {to} stops lie below the noise floor, which ends at {noise:+.2}")
            };
            let fault = Fault::warning(&codes::MAP_BAND_HIDDEN, band.parameter.clone(), message, label);
            faults.push(fault.help("move the band, or the zone with `noise_stops` or `clip_signal`"));
        }
        zones.push(one);
    }
    let last = zones.len();
    zones.push(zone(ZoneKind::Clip, CLIP_NAME, [clip, f64::INFINITY], last, "map.clip_signal"));
    (zones, faults)
}

/// A stretch of the grey axis that shows one zone, or the picture where `zone` is none.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stretch {
    pub zone: Option<usize>,
    pub from: f64,
    pub to: f64,
}

/// The grey axis from end to end.
pub(super) fn stretches(zones: &[Zone]) -> Vec<Stretch> {
    let mut all: Vec<Stretch> = Vec::new();
    let mut end = f64::NEG_INFINITY;
    for (place, zone) in zones.iter().enumerate().filter(|(_, zone)| zone.is_shown()) {
        if zone.from_stops > end {
            all.push(Stretch { zone: None, from: end, to: zone.from_stops });
        }
        all.push(Stretch { zone: Some(place), from: zone.from_stops, to: zone.to_stops });
        end = zone.to_stops;
    }
    all
}

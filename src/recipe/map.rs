//! `[map]`: what a recipe says of its exposure map. It is no part of the [`Plan`](crate::plan::Plan), so that no LUT of the look depends
//! on it.

use super::parameters::{self, List};
use super::resolve::{default_number, printable};
use super::value::{Value, WrittenBand};
use super::{Recipe, parse};
use crate::colour::canonical_name;
use crate::diagnostics::codes;
use crate::pipeline::Fault;

/// Path of the bands.
const BAND: &str = "map.band";

/// The zone below all bands.
pub const NOISE_NAME: &str = "noise floor";

/// The zone above all bands.
pub const CLIP_NAME: &str = "clip";

/// The bands of a map that names none: name, from, to. Common practice, no source.
const DEFAULT_BANDS: [(&str, f64, f64); 4] =
    [("shadow", -4.0, -2.0), ("grey", -0.2, 0.2), ("skin", 0.7, 1.3), ("highlight", 3.0, 5.0)];

/// What `[map]` means.
#[derive(Clone, Debug, PartialEq)]
pub struct MapSettings {
    /// Where the bands count from, stops from grey.
    pub zero_stops: f64,
    /// Where the noise floor ends, stops from grey; `None` where the encoding decides.
    pub noise_stops: Option<f64>,
    /// Camera signal at which the camera clips, 0.5..1 of full scale.
    pub clip_signal: f64,
    /// Display light of the picture outside the bands, as a part of its own, 0..1.
    pub dim: f64,
    /// The bands, from dark to bright; none overlap.
    pub bands: Vec<MapBand>,
}

/// A band of an exposure map.
#[derive(Clone, Debug, PartialEq)]
pub struct MapBand {
    /// Its name, without control characters.
    pub name: String,
    /// Where it begins, stops from the map's zero.
    pub from_stops: f64,
    /// Where it ends, above.
    pub to_stops: f64,
    /// The parameter that stands for it in the recipe, such as `map.band.0`.
    pub parameter: String,
}

impl Recipe {
    /// What the recipe says of its exposure map, and everything that is wrong with it.
    #[must_use]
    pub fn map(&self) -> (MapSettings, Vec<Fault>) {
        let number = |path: &str| match self.get(path).map(|written| &written.value) {
            Some(Value::Number(number)) => Some(*number),
            _ => None,
        };
        let or_default = |path: &str| number(path).unwrap_or_else(|| default_number(path));
        let (bands, faults) = self.map_bands();
        let settings = MapSettings {
            zero_stops: or_default("map.zero_stops"),
            noise_stops: number("map.noise_stops"),
            clip_signal: or_default("map.clip_signal"),
            dim: or_default("map.dim"),
            bands,
        };
        (settings, faults)
    }

    fn map_bands(&self) -> (Vec<MapBand>, Vec<Fault>) {
        let written = self.items(BAND);
        if written.is_empty() {
            let band = |(name, from_stops, to_stops): (&str, f64, f64)| MapBand {
                name: name.to_owned(),
                from_stops,
                to_stops,
                parameter: "map".to_owned(),
            };
            return (DEFAULT_BANDS.into_iter().map(band).collect(), Vec::new());
        }
        let mut bands: Vec<MapBand> = written.iter().enumerate().map(|(index, one)| band(index, one)).collect();
        let mut faults = Vec::new();
        faults.extend(parameters::find_list(BAND).and_then(|list| too_many(list, &bands)));
        faults.extend(taken_names(&bands));
        faults.extend(bands.iter().filter_map(empty));
        bands.sort_by(|a, b| a.from_stops.total_cmp(&b.from_stops).then(a.to_stops.total_cmp(&b.to_stops)));
        faults.extend(bands.windows(2).filter_map(overlap));
        (bands, faults)
    }
}

fn band(index: usize, written: &WrittenBand) -> MapBand {
    let number = |key: &str| match written.keys.get(key).map(|written| &written.value) {
        Some(Value::Number(number)) => *number,
        // Required, so that a recipe without it was refused before.
        _ => 0.0,
    };
    MapBand {
        name: printable(written.name()).trim().to_owned(),
        from_stops: number("from_stops"),
        to_stops: number("to_stops"),
        parameter: format!("{BAND}.{index}"),
    }
}

/// More bands than the list may have, which only inheritance brings about: a single text is refused before.
fn too_many(list: &'static List, bands: &[MapBand]) -> Option<Fault> {
    let first = bands.get(list.most)?;
    let (message, label, help) = parse::too_many_words(list, bands.len());
    Some(Fault::error(&codes::OUT_OF_RANGE, first.parameter.clone(), message, label).help(help))
}

fn taken_names(bands: &[MapBand]) -> Vec<Fault> {
    let reserved = [NOISE_NAME, "noise", CLIP_NAME];
    let mut faults = Vec::new();
    for (index, band) in bands.iter().enumerate() {
        let (name, parameter) = (canonical_name(&band.name), format!("{}.name", band.parameter));
        if let Some(taken) = reserved.into_iter().find(|taken| canonical_name(taken) == name) {
            let message = format!("every exposure map has a zone called \"{taken}\"");
            let label = format!("expected another name, found \"{}\"", band.name);
            let help = "`noise_stops` and `clip_signal` move the noise floor and clip";
            faults.push(Fault::error(&codes::MAP_NAME_TAKEN, parameter, message, label).help(help));
        } else if let Some(other) = bands[..index].iter().find(|other| canonical_name(&other.name) == name) {
            let message = format!("two bands are called \"{}\"", other.name);
            let label = format!("expected a name of its own, found \"{}\"", band.name);
            faults.push(
                Fault::error(&codes::DUPLICATE_BAND, parameter, message, label)
                    .help("names are compared without case, spaces, hyphens, dots and underscores; rename one"),
            );
        }
    }
    faults
}

fn empty(band: &MapBand) -> Option<Fault> {
    (band.from_stops >= band.to_stops).then(|| {
        let message = format!("the band \"{}\" has no width", band.name);
        let label = format!("expected more than `from_stops` = {}, found {}", band.from_stops, band.to_stops);
        let parameter = format!("{}.to_stops", band.parameter);
        Fault::error(&codes::MAP_BAND_EMPTY, parameter, message, label).help("a band begins at its darker end")
    })
}

fn overlap(pair: &[MapBand]) -> Option<Fault> {
    let [low, high] = pair else { return None };
    // What has no width is told already.
    if high.from_stops >= low.to_stops || empty(low).is_some() || empty(high).is_some() {
        return None;
    }
    let message = format!("the bands \"{}\" and \"{}\" overlap", low.name, high.name);
    let label = format!("expected {} or more, where \"{}\" ends, found {}", low.to_stops, low.name, high.from_stops);
    let parameter = format!("{}.from_stops", high.parameter);
    let help = "one exposure shows one colour: end the one where the other begins";
    Some(Fault::error(&codes::MAP_BANDS_OVERLAP, parameter, message, label).help(help))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipe::parameter::Default;

    #[test]
    fn the_default_bands_are_those_that_the_reference_page_states() {
        let help = parameters::find_table(BAND).expect("declared").help;
        for (name, from, to) in DEFAULT_BANDS {
            assert!(help.contains(&format!("{name} {from}..{to}")), "{name}: {help}");
        }
        let noise = parameters::find("map.noise_stops").expect("declared");
        assert_eq!(noise.default, Default::Absent);
    }
}

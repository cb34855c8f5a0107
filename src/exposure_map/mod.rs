//! The exposure map: a LUT for the same camera and monitor that shows scene stops as colours, whatever the look.
//!
//! Definitions, rules and sources: `docs/seeing.md`. A map is built from a [`Plan`] (its camera, trims, display and device; nothing of its
//! look) and from what the recipe says under `[map]` ([`MapSettings`]).

mod document;
mod legend;
mod measure;
mod of_show;
mod palette;
mod produce;
mod reading;
mod record;
mod zones;

pub use document::{MapReport, SeenColour, ZoneReport};
pub use legend::legend;
pub use measure::{Coloured, MeasuredEdge};
pub use of_show::maps_of;
pub use palette::{LIGHTNESS, Separation, Separations, colours, separations};
pub use produce::{PreparedMap, ProducedMap, WrittenFile};
pub use record::{on_card, record};
pub use zones::{Zone, ZoneKind};

use crate::colour::displays::Display;
use crate::colour::gamuts::BT709;
use crate::lut::{Domain, Table3};
use crate::maths::Rgb;
use crate::pipeline::{Fault, ToneBlock, transform};
use crate::plan::{Plan, hex};
use crate::recipe::{MapSettings, default_tone};
use nalgebra::Matrix3;
use rayon::prelude::*;
use reading::Reading;
use sha2::{Digest, Sha256};
use std::fmt::Write as _;

/// Light this little below none is rounding of the matrices.
const ROUNDING: f64 = 1e-9;

/// An exposure map, ready to be sampled.
#[derive(Clone, Debug)]
pub struct ExposureMap {
    plan: Plan,
    settings: MapSettings,
    reading: Reading,
    zones: Vec<Zone>,
    /// What the LUT gives for each zone.
    values: Vec<Rgb>,
    tone: ToneBlock,
    screen: MapScreen,
}

/// Linear light of the map, 0..1 of its white, to what the LUT gives.
#[derive(Clone, Debug)]
struct MapScreen {
    display: Display,
    from_bt709: Matrix3<f64>,
    /// The map's white as a part of the display's.
    white: f64,
}

impl MapScreen {
    fn new(plan: &Plan) -> Self {
        let target = &plan.display;
        let adapted = plan.adaptation.matrix(BT709.white_xyz(), target.gamut.white_xyz());
        Self {
            display: Display::new(target.encoding, target.peak_nits),
            from_bt709: target.gamut.from_xyz() * adapted * BT709.to_xyz(),
            white: target.diffuse_white(),
        }
    }

    /// The display's signal for a colour in BT.709 primaries.
    fn colour(&self, light: Rgb) -> Rgb {
        let own = transform(&self.from_bt709, light);
        self.neutral_or_colour(own.map(|value| if value.abs() < ROUNDING { 0.0 } else { value }))
    }

    /// The display's signal for its own primaries.
    fn neutral_or_colour(&self, light: Rgb) -> Rgb {
        self.display.encode(light.map(|value| self.white * value)).map(|signal| signal.clamp(0.0, 1.0))
    }
}

impl ExposureMap {
    /// The map of a plan's camera and monitor. Bands that this camera never shows come back as warnings beside it.
    #[must_use]
    pub fn new(plan: &Plan, settings: &MapSettings) -> (Self, Vec<Fault>) {
        let reading = Reading::new(plan, settings.zero_stops);
        let (zones, faults) = zones::zones(&reading, settings);
        let screen = MapScreen::new(plan);
        let levels = plan.device.output_levels;
        let values = zones.iter().map(|zone| screen.colour(zone.colour).map(|value| levels.to_signal(value))).collect();
        let (tone, _) =
            ToneBlock::new(&default_tone()).expect("the defaults make a curve, which a test of the block holds");
        let map = Self { plan: plan.clone(), settings: settings.clone(), reading, zones, values, tone, screen };
        (map, faults)
    }

    /// The plan that it was built for.
    #[must_use]
    pub fn plan(&self) -> &Plan {
        &self.plan
    }

    /// What the recipe says of it.
    #[must_use]
    pub fn settings(&self) -> &MapSettings {
        &self.settings
    }

    /// Noise floor, bands from dark to bright, clip.
    #[must_use]
    pub fn zones(&self) -> &[Zone] {
        &self.zones
    }

    /// Stops from the map's zero that an input (0..1 at the device's LUT stage) stands for; minus infinity for no light.
    #[must_use]
    pub fn stops(&self, u: Rgb) -> f64 {
        self.reading.stops(self.reading.luminance(u))
    }

    /// 10-bit code, full range, with which the camera records a grey at `stops` from the map's zero; with a fraction, and not held to
    /// 0..1023.
    #[must_use]
    pub fn code_at(&self, stops: f64) -> f64 {
        self.reading.code_at(stops)
    }

    /// What the LUT gives outside the bands for a luminance, 1 for a perfect reflector.
    fn picture(&self, luminance: f64) -> Rgb {
        let light = self.settings.dim * self.tone.curve(luminance);
        self.screen.neutral_or_colour([light; 3]).map(|value| self.plan.device.output_levels.to_signal(value))
    }

    /// What the map means without a table: the zone of an input, or the picture outside the bands.
    #[must_use]
    pub fn exact(&self, u: Rgb) -> Rgb {
        let luminance = self.reading.luminance(u);
        let stops = self.reading.stops(luminance);
        let in_band = |zone: &Zone| zone.kind == ZoneKind::Band && zone.from_stops <= stops && stops < zone.to_stops;
        let place = if largest(u) >= self.clip_input() {
            Some(self.zones.len() - 1)
        } else if largest(u) < self.edge(self.zones[0].to_stops) {
            Some(0)
        } else {
            self.zones.iter().position(in_band)
        };
        place.map_or_else(|| self.picture(luminance), |place| self.values[place])
    }

    /// Input at which clip begins.
    fn clip_input(&self) -> f64 {
        self.reading.input(zones::clip_signal(&self.reading, &self.settings))
    }

    /// A node of a table of `size` points a side.
    ///
    /// An edge lies where the interpolation is half-way between the colours on its two sides, so that a node beside an edge carries a
    /// mixture ([`risen`]). For bands its place is that of the neutral of its luminance; noise floor and clip are of the signal, and go by
    /// the largest of the three codes.
    fn node(&self, u: Rgb, size: usize) -> Rgb {
        let last = (size - 1) as f64;
        let luminance = self.reading.luminance(u);
        let place = self.reading.position(luminance);
        // A table can't show a colour at its very end: noise floor and clip have at least the half cell there, and so one node each.
        let noise = self.edge(self.zones[0].to_stops).max(0.5 / last);
        let clip = self.clip_input().min(1.0 - 0.5 / last);
        let clipped = risen((largest(u) - clip) * last);
        let inside = (1.0 - clipped) * risen((largest(u) - noise) * last);
        let (mut banded, mut sum) = (0.0, [0.0; 3]);
        let mut add = |share: f64, value: &Rgb| (0..3).for_each(|channel| sum[channel] += share * value[channel]);
        for (zone, value) in self.zones.iter().zip(&self.values) {
            let share = match zone.kind {
                ZoneKind::Clip => clipped,
                ZoneKind::Noise => 1.0 - clipped - inside,
                ZoneKind::Band if zone.is_shown() => {
                    let [from, to] = self.ends(zone).map(|edge| risen((place - edge) * last));
                    banded += (from - to).max(0.0);
                    inside * (from - to).max(0.0)
                }
                ZoneKind::Band => 0.0,
            };
            add(share, value);
        }
        add(inside * (1.0 - banded).max(0.0), &self.picture(luminance));
        sum
    }

    /// Place of an edge on the grey axis.
    fn edge(&self, stops: f64) -> f64 {
        self.reading.position(self.reading.luminance_at(stops))
    }

    /// Places where a band begins and ends. One that goes on into the noise floor or into clip does not end before it: those are laid over
    /// it.
    fn ends(&self, band: &Zone) -> [f64; 2] {
        let (noise, clip) = (self.zones[0].to_stops, self.zones[self.zones.len() - 1].from_stops);
        let from = if band.from_stops <= noise { f64::NEG_INFINITY } else { self.edge(band.from_stops) };
        let to = if band.to_stops >= clip { f64::INFINITY } else { self.edge(band.to_stops) };
        [from, to]
    }

    /// The table of `size` points a side, 2 or more. Every node is computed alone: the table is the same for any number of threads.
    #[must_use]
    pub fn sample(&self, size: usize) -> Table3 {
        let size = size.max(2);
        let last = (size - 1) as f64;
        let at = |index: usize| index as f64 / last;
        let mut nodes = vec![[0.0; 3]; size.pow(3)];
        nodes.par_chunks_mut(size).enumerate().for_each(|(line, chunk)| {
            for (red, node) in chunk.iter_mut().enumerate() {
                *node = self.node([at(red), at(line % size), at(line / size)], size);
            }
        });
        Table3::new(size, Domain::UNIT, nodes).expect("size³ nodes were made")
    }

    /// Everything that the table depends on as text, one fact a line; names of bands are no part of it.
    #[must_use]
    pub fn canonical(&self) -> String {
        let (plan, settings) = (&self.plan, &self.settings);
        let mut text = String::from("exposure map = 1\n");
        let mut fact = |key: &str, value: &dyn std::fmt::Debug| {
            let _ = writeln!(text, "{key} = {value:?}");
        };
        fact("adaptation", &plan.adaptation.id());
        fact("camera", &(plan.camera.curve.encoding().id, plan.camera.curve.exposure_index(), plan.camera.gamut.id));
        for trim in [&plan.camera_trim, &plan.trim] {
            fact("trim", &(trim.stops, trim.matrix, trim.root));
        }
        fact("zero", &settings.zero_stops);
        fact("noise", &settings.noise_stops);
        fact("clip", &settings.clip_signal);
        fact("dim", &settings.dim);
        for band in &settings.bands {
            fact("band", &(band.from_stops, band.to_stops));
        }
        fact("display", &(plan.display.encoding.id(), plan.display.gamut.id));
        fact("peak", &plan.display.encoding.needs_peak().then_some(plan.display.peak_nits));
        let device = &plan.device;
        fact("lut", &(device.size, device.interpolation.id(), device.input_levels.id(), device.output_levels.id()));
        text
    }

    /// SHA-256 of [`Self::canonical`], 64 hexadecimal digits.
    #[must_use]
    pub fn fingerprint(&self) -> String {
        hex(&Sha256::digest(self.canonical().as_bytes()))
    }
}

fn largest(u: Rgb) -> f64 {
    u[0].max(u[1]).max(u[2])
}

/// How much of the upper side of an edge a node carries that lies `cells` from it, so that along an axis the interpolation is half-way
/// exactly on the edge: of the two nodes around an edge the nearer one carries the mixture.
///
/// With the edge t ≤ ½ above the lower node, that node carries a part a of the upper side and the other all of it: half-way at
/// a + (1 − a) t = ½, so that 1 − a = 1 / (2 (1 − t)). The overlap of the node's cell with the side, ½ − t, would be off by up to 0.09 of a cell.
fn risen(cells: f64) -> f64 {
    if cells <= -0.5 {
        0.0
    } else if cells < 0.0 {
        1.0 - 0.5 / (1.0 + cells)
    } else if cells < 0.5 {
        0.5 / (1.0 - cells)
    } else {
        1.0
    }
}

#[cfg(test)]
mod tests {
    use super::risen;

    #[test]
    fn an_edge_is_half_way_wherever_it_lies_between_two_nodes() {
        for step in 0..=100 {
            let t = f64::from(step) / 100.0;
            let (low, high) = (risen(-t), risen(1.0 - t));
            assert!((low + t * (high - low) - 0.5).abs() < 1e-15, "at {t}: {low} and {high}");
            assert!((0.0..=1.0).contains(&low) && low <= high);
        }
    }
}

//! Comparison: what two looks make of one scene, each as its own camera records it and its own display shows it.

use super::patches::PATCH_STOPS;
use super::viewer::Viewer;
use crate::colour::chart::{CHART, Patch, SKINS};
use crate::colour::difference::{Lab, ciede2000};
use crate::colour::whites::{Chromaticity, cct_duv, mired};
use crate::lut::Table3;
use crate::maths::{CODE10_MAX, Rgb, hypot, log2};
use nalgebra::Vector3;
use serde::Serialize;

/// Step over which the contrast at grey is measured, to both sides, stops.
const CONTRAST_STEP: f64 = 0.25;

/// Exposures between which one look's grey is looked for in the other, stops.
const EXPOSURE_REACH: f64 = 6.0;

/// Differences below these are not told in words: less than anyone sees on a set (common practice, no source).
const TOLD: Told = Told { stops: 0.03, contrast: 0.02, mired: 1.0, duv: 0.0005, saturation: 0.02, reach: 0.5, de: 0.2 };

struct Told {
    stops: f64,
    contrast: f64,
    mired: f64,
    duv: f64,
    saturation: f64,
    reach: f64,
    de: f64,
}

/// One of the two: an exact look, or a table that is applied as the viewer's device does.
#[derive(Clone, Debug)]
pub struct Side<'a> {
    /// What the camera, the device and the display are.
    pub viewer: Viewer<'a>,
    /// The table; `None` for the exact look.
    pub table: Option<&'a Table3>,
}

impl Side<'_> {
    fn signal(&self, camera: Rgb) -> Rgb {
        match self.table {
            Some(table) => self.viewer.of_table(table, camera),
            None => self.viewer.of_look(camera),
        }
    }

    fn grey(&self, stops: f64) -> Rgb {
        self.signal(self.viewer.camera_neutral(stops))
    }

    /// Luminance of a grey on the display, white = 1.
    fn luminance(&self, stops: f64) -> f64 {
        self.viewer.xyz(self.grey(stops))[1]
    }

    fn patch(&self, patch: &Patch, stops: f64) -> Lab {
        self.viewer.lab(self.signal(self.viewer.camera_patch(patch, stops)))
    }
}

/// One step of the grey scale on both sides.
#[derive(Clone, Debug, Serialize)]
pub struct GreyDifference {
    /// Stops from grey.
    pub stops: i32,
    /// Display signal of the first, 0..1.
    pub a: Rgb,
    /// Display signal of the second.
    pub b: Rgb,
    /// Largest difference of a channel, 10-bit codes of the display signal. Says little between unlike displays.
    pub codes: f64,
    /// CIEDE2000, each against its own display white.
    pub de2000: f64,
}

/// One patch on both sides.
#[derive(Clone, Debug, Serialize)]
pub struct PatchDifference {
    /// Name of the patch.
    pub name: &'static str,
    /// Stops over or under.
    pub stops: i32,
    /// CIELAB of the first against its display white.
    pub lab_a: [f64; 3],
    /// CIELAB of the second against its display white.
    pub lab_b: [f64; 3],
    /// CIEDE2000 between both.
    pub de2000: f64,
}

/// What a look does to grey and colour, in figures.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Traits {
    /// Luminance of grey on the display, white = 1.
    pub grey: f64,
    /// Display stops per scene stop at grey.
    pub contrast: f64,
    /// CIE xy of grey.
    pub chromaticity: [f64; 2],
    /// Mired of grey, where it has a colour temperature.
    pub mired: Option<f64>,
    /// Duv of grey, where it has one; positive is greenish.
    pub duv: Option<f64>,
    /// Mean CIELAB chroma of the chart's 18 colours.
    pub chroma: f64,
    /// Stops from grey up to which the picture is black, in thirds.
    pub black_stops: Option<f64>,
    /// Stops from grey from which on the picture is white, in thirds.
    pub white_stops: Option<f64>,
}

/// Two looks, side by side.
#[derive(Clone, Debug, Serialize)]
pub struct Comparison {
    /// The grey scale, −8..+8 stops.
    pub grey: Vec<GreyDifference>,
    /// Chart and skins at −3..+3 stops.
    pub patches: Vec<PatchDifference>,
    /// Mean CIEDE2000 of the patches.
    pub mean_de: f64,
    /// 95 % of the patches lie at or below this.
    pub de_95: f64,
    /// The largest.
    pub max_de: f64,
    /// Figures of the first.
    pub a: Traits,
    /// Figures of the second.
    pub b: Traits,
    /// How many stops the first would have to be opened to show grey as bright as the second; `None` beyond ±6.
    pub exposure_stops: Option<f64>,
    /// How the second differs from the first, in words.
    pub words: Vec<String>,
}

impl Comparison {
    /// The patch that differs most.
    #[must_use]
    pub fn worst(&self) -> Option<&PatchDifference> {
        self.patches.iter().max_by(|x, y| x.de2000.total_cmp(&y.de2000))
    }
}

/// Compares two looks on one grey scale and one set of patches.
#[must_use]
pub fn compare(a: &Side<'_>, b: &Side<'_>) -> Comparison {
    let grey: Vec<GreyDifference> = (-8..=8).map(|stops| grey_difference(a, b, stops)).collect();
    let patches: Vec<PatchDifference> = CHART
        .iter()
        .chain(&SKINS)
        .flat_map(|patch| (-PATCH_STOPS..=PATCH_STOPS).map(move |stops| (patch, stops)))
        .map(|(patch, stops)| patch_difference(a, b, patch, stops))
        .collect();
    let mut sorted: Vec<f64> = patches.iter().map(|patch| patch.de2000).collect();
    sorted.sort_by(f64::total_cmp);
    let mean_de = sorted.iter().sum::<f64>() / sorted.len() as f64;
    let de_95 = sorted[(sorted.len() * 95).div_ceil(100) - 1];
    let max_de = sorted[sorted.len() - 1];
    let (traits_a, traits_b) = (traits(a), traits(b));
    let exposure_stops = exposure(a, traits_b.grey);
    let largest = grey.iter().map(|step| step.de2000).fold(max_de, f64::max);
    let mut words = words(&traits_a, &traits_b, exposure_stops, largest);
    let peak = |side: &Side<'_>| side.viewer.plan().display.peak_nits;
    if peak(a) != peak(b) {
        words.push(format!(
            "each is seen against its own display's white, of {} and {} nits: less light of a brighter white can be as bright",
            peak(a),
            peak(b)
        ));
    }
    Comparison { grey, patches, mean_de, de_95, max_de, a: traits_a, b: traits_b, exposure_stops, words }
}

fn grey_difference(a: &Side<'_>, b: &Side<'_>, stops: i32) -> GreyDifference {
    let (first, second) = (a.grey(f64::from(stops)), b.grey(f64::from(stops)));
    let codes = (0..3).map(|i| (first[i] - second[i]).abs()).fold(0.0, f64::max) * CODE10_MAX;
    let de2000 = ciede2000(a.viewer.lab(first), b.viewer.lab(second));
    GreyDifference { stops, a: first, b: second, codes, de2000 }
}

fn patch_difference(a: &Side<'_>, b: &Side<'_>, patch: &Patch, stops: i32) -> PatchDifference {
    let (first, second) = (a.patch(patch, f64::from(stops)), b.patch(patch, f64::from(stops)));
    PatchDifference {
        name: patch.name,
        stops,
        lab_a: [first.l, first.a, first.b],
        lab_b: [second.l, second.a, second.b],
        de2000: ciede2000(first, second),
    }
}

fn traits(side: &Side<'_>) -> Traits {
    let rise = log2(side.luminance(CONTRAST_STEP)) - log2(side.luminance(-CONTRAST_STEP));
    let xyz = side.viewer.xyz(side.grey(0.0));
    let chromaticity = Chromaticity::from_xyz(Vector3::from(xyz));
    let cast = cct_duv(chromaticity);
    let colours = &CHART[..18];
    let chroma = colours.iter().map(|patch| side.patch(patch, 0.0)).map(|lab| hypot(lab.a, lab.b)).sum::<f64>();
    let thirds = || (-36..=36).map(|third| f64::from(third) / 3.0);
    let ends = |stops: f64| {
        let codes = side.grey(stops).map(|value| value * CODE10_MAX);
        (codes.iter().all(|code| *code <= 0.5), codes.iter().all(|code| *code >= CODE10_MAX - 0.5))
    };
    Traits {
        grey: xyz[1],
        contrast: rise / (2.0 * CONTRAST_STEP),
        chromaticity: [chromaticity.x, chromaticity.y],
        mired: cast.map(|(kelvin, _)| mired(kelvin)),
        duv: cast.map(|(_, duv)| duv),
        chroma: chroma / colours.len() as f64,
        black_stops: thirds().take_while(|stops| ends(*stops).0).last(),
        white_stops: thirds().find(|stops| ends(*stops).1),
    }
}

/// The exposure at which a side's grey has a luminance, by bisection: grey scales rise.
fn exposure(side: &Side<'_>, luminance: f64) -> Option<f64> {
    let (mut low, mut high) = (-EXPOSURE_REACH, EXPOSURE_REACH);
    if !(side.luminance(low) < luminance && luminance < side.luminance(high)) {
        return None;
    }
    for _ in 0..40 {
        let middle = (low + high) / 2.0;
        if side.luminance(middle) < luminance { low = middle } else { high = middle }
    }
    Some((low + high) / 2.0)
}

fn words(a: &Traits, b: &Traits, exposure_stops: Option<f64>, largest_de: f64) -> Vec<String> {
    let mut words = Vec::new();
    match exposure_stops {
        Some(stops) if stops.abs() >= TOLD.stops => {
            let way = if stops > 0.0 { "brighter" } else { "darker" };
            words.push(format!("{:.2} stop {way} at grey", stops.abs()));
        }
        Some(_) => {}
        None => words.push(format!("grey at {:.1} % of white against {:.1} %", 100.0 * b.grey, 100.0 * a.grey)),
    }
    if (b.contrast - a.contrast).abs() >= TOLD.contrast {
        words.push(format!("contrast at grey {:.2} against {:.2}", b.contrast, a.contrast));
    }
    match (a.mired, b.mired, a.duv, b.duv) {
        (Some(mired_a), Some(mired_b), Some(duv_a), Some(duv_b)) => {
            let (warmer, greener) = (mired_b - mired_a, duv_b - duv_a);
            if warmer.abs() >= TOLD.mired {
                let way = if warmer > 0.0 { "warmer" } else { "cooler" };
                words.push(format!("{:.0} mired {way} on the screen", warmer.abs()));
            }
            if greener.abs() >= TOLD.duv {
                let way = if greener > 0.0 { "greener" } else { "more magenta" };
                words.push(format!("{:.4} Duv {way}", greener.abs()));
            }
        }
        _ if a.chromaticity != b.chromaticity => {
            let ([ax, ay], [bx, by]) = (a.chromaticity, b.chromaticity);
            words.push(format!("grey at x {bx:.4} y {by:.4} against x {ax:.4} y {ay:.4}"));
        }
        _ => {}
    }
    let saturation = b.chroma / a.chroma - 1.0;
    if saturation.abs() >= TOLD.saturation {
        let way = if saturation > 0.0 { "more" } else { "less" };
        words.push(format!("{:.0} % {way} colourful", 100.0 * saturation.abs()));
    }
    for (end, stops_a, stops_b) in [("black", a.black_stops, b.black_stops), ("white", a.white_stops, b.white_stops)] {
        let told = |stops: Option<f64>| stops.map_or("never".to_owned(), |stops| format!("at {stops:+.1} stops"));
        let differs = match (stops_a, stops_b) {
            (Some(x), Some(y)) => (x - y).abs() >= TOLD.reach,
            (x, y) => x.is_some() != y.is_some(),
        };
        if differs {
            words.push(format!("{end} {} against {}", told(stops_b), told(stops_a)));
        }
    }
    if words.is_empty() {
        words.push(if largest_de < TOLD.de {
            "no difference that anyone would see".to_owned()
        } else {
            format!("the same on the whole; single colours differ by up to {largest_de:.1} ΔE2000")
        });
    }
    words
}

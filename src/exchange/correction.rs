//! What an ASC CDL does to greys, in the place of a look's grade.

use super::fit::plain_with;
use crate::colour::encodings::acescct;
use crate::colour::gamuts::ACESCG;
use crate::colour::whites::DUV_PER_CC;
use crate::maths::{Rgb, linear_from_stops, pow, stops_from_grey};
use crate::pipeline::{Fault, Pipeline};
use crate::plan::{Cdl, Plan};
use crate::verify::View;
use serde::Serialize;

/// Greys that are looked at, stops from grey.
const GREYS: [f64; 7] = [-6.0, -4.0, -2.0, 0.0, 2.0, 4.0, 6.0];

/// Smaller changes are not told.
const TOLD_STOPS: f64 = 0.005;
const TOLD_MIRED: f64 = 0.5;
const TOLD_DUV: f64 = 1e-4;
const TOLD_CONTRAST: f64 = 0.005;

/// A grey through a correction.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct CorrectedGrey {
    /// Stops from grey of the scene.
    pub stops: f64,
    /// Stops from grey that its luminance has behind the correction, before any display; `None` where it is black.
    pub stops_out: Option<f64>,
    /// The display's signal through the plain conversion without the correction, 0..1.
    pub plain: Rgb,
    /// The same with it.
    pub signal: Rgb,
    /// Warmer than display white, mired; `None` for black, and where there is no colour temperature.
    pub warmer_mired: Option<f64>,
    /// Greener than display white, Duv.
    pub greener_duv: Option<f64>,
}

/// What a correction does.
#[derive(Clone, Debug, Serialize)]
pub struct CorrectionFacts {
    /// Whether it changes nothing.
    pub identity: bool,
    /// Greys through it.
    pub greys: Vec<CorrectedGrey>,
    /// Stops out for one stop in, around grey; `None` where that is black.
    pub contrast: Option<f64>,
    /// What it does, in words.
    pub words: String,
}

/// What a correction does to greys in ACEScct, over the plain conversion of a plan.
///
/// # Errors
/// The plan can't be built with it.
pub fn correction_facts(plan: &Plan, cdl: Cdl) -> Result<CorrectionFacts, Vec<Fault>> {
    let plain = plain_with(plan, Cdl::IDENTITY);
    let corrected = plain_with(plan, cdl);
    let (of_plain, of_corrected) = (Pipeline::build(&plain)?.0, Pipeline::build(&corrected)?.0);
    let (before, after) = (View::of_look(&plain, &of_plain), View::of_look(&corrected, &of_corrected));
    let greys: Vec<CorrectedGrey> = GREYS
        .iter()
        .map(|stops| {
            let signal = after.neutral(*stops);
            let cast = after.cast(signal);
            CorrectedGrey {
                stops: *stops,
                stops_out: stops_out(&cdl, *stops),
                plain: before.neutral(*stops),
                signal,
                warmer_mired: cast.warmer_mired,
                greener_duv: cast.greener_duv,
            }
        })
        .collect();
    let contrast = stops_out(&cdl, 0.5).zip(stops_out(&cdl, -0.5)).map(|(above, below)| above - below);
    let identity = cdl == Cdl::IDENTITY;
    let words = words(&cdl, &greys, contrast);
    Ok(CorrectionFacts { identity, greys, contrast, words })
}

/// Where the luminance of a grey goes, stops from grey; `None` for black.
fn stops_out(cdl: &Cdl, stops: f64) -> Option<f64> {
    let signal = acescct::encode(linear_from_stops(stops));
    let graded = [0, 1, 2].map(|i| pow((signal * cdl.slope[i] + cdl.offset[i]).max(0.0), cdl.power[i]));
    let light = crate::colour::cdl::saturate(graded, cdl.saturation).map(acescct::decode);
    let luminance = ACESCG.to_xyz().row(1).iter().zip(light).map(|(part, value)| part * value).sum::<f64>();
    Some(stops_from_grey(luminance)).filter(|stops| stops.is_finite())
}

fn words(cdl: &Cdl, greys: &[CorrectedGrey], contrast: Option<f64>) -> String {
    if *cdl == Cdl::IDENTITY {
        return "changes nothing".to_owned();
    }
    let mut told = Vec::new();
    let grey = greys.iter().find(|grey| grey.stops == 0.0);
    match grey.and_then(|grey| grey.stops_out) {
        None => told.push("grey becomes black".to_owned()),
        Some(stops) if stops.abs() >= TOLD_STOPS => {
            let way = if stops > 0.0 { "brighter" } else { "darker" };
            told.push(format!("grey {:.2} {} {way}", stops.abs(), if stops.abs() < 1.005 { "stop" } else { "stops" }));
        }
        Some(_) => told.push("grey as bright as before".to_owned()),
    }
    if let Some(mired) = grey.and_then(|grey| grey.warmer_mired).filter(|mired| mired.abs() >= TOLD_MIRED) {
        told.push(format!("{:.0} mired {}", mired.abs(), if mired > 0.0 { "warmer" } else { "cooler" }));
    }
    if let Some(duv) = grey.and_then(|grey| grey.greener_duv).filter(|duv| duv.abs() >= TOLD_DUV) {
        let way = if duv > 0.0 { "greener" } else { "more magenta" };
        told.push(format!("{:.1} CC {way}", duv.abs() / DUV_PER_CC));
    }
    if let Some(contrast) = contrast.filter(|contrast| (contrast - 1.0).abs() >= TOLD_CONTRAST) {
        told.push(format!("contrast {contrast:.2} times"));
    }
    if cdl.saturation != 1.0 {
        told.push(format!("saturation {} times", cdl.saturation));
    }
    told.join(", ")
}

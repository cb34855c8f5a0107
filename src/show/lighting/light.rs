//! One light of a setup.

use super::eye::Eye;
use super::values::{SheetFilter, SheetLight, SheetReading, StopFor};
use crate::colour::adaptation::Adaptation;
use crate::colour::chart::CHART;
use crate::light::exposure::{self, CameraSetting, MarkedStop, Receptor, after_filters, foot_candles_from_lux};
use crate::light::{Balance, DUV_PER_CC, Filter, Lamp, LampFault, Lit, built_in, cast};
use crate::pipeline::Pipeline;
use crate::plan::Plan;
use crate::show::Reading;

/// Light skin, as the chart has it.
const LIGHT_SKIN: usize = 1;

/// What surrounds a light.
pub(super) struct Surroundings<'a> {
    pub(super) balance: Option<Balance>,
    pub(super) adaptation: Adaptation,
    pub(super) eye: Option<&'a Eye<'a>>,
    pub(super) metering: Metering,
}

/// What a reading is turned into a stop with.
#[derive(Clone, Debug, Default)]
pub(super) struct Metering {
    pub(super) iso: Option<f64>,
    pub(super) seconds: Option<f64>,
    pub(super) t_stop: Option<f64>,
    pub(super) lens_stops: f64,
    pub(super) receptors: Vec<Receptor>,
}

impl Metering {
    /// The camera, where ISO and shutter are said.
    pub(super) fn camera(&self) -> Option<CameraSetting> {
        let (iso, seconds) = self.iso.zip(self.seconds)?;
        Some(CameraSetting { iso, seconds, lens_filter_stops: self.lens_stops })
    }
}

/// A light that belongs to no setup, through a look.
///
/// # Errors
/// A lamp that can't be.
pub fn lone_light(
    role: &str,
    lamp: &Lamp,
    balance: Option<&Balance>,
    plan: &Plan,
    pipeline: &Pipeline,
) -> Result<SheetLight, LampFault> {
    let lit = lamp.lit()?;
    let eye = Eye::new(plan, pipeline);
    let room = Surroundings {
        balance: balance.copied(),
        adaptation: plan.adaptation,
        eye: Some(&eye),
        metering: Metering::default(),
    };
    Ok(sheet_light(&room, role, lamp, &lit, None, ""))
}

pub(super) fn sheet_light(
    room: &Surroundings<'_>,
    role: &str,
    lamp: &Lamp,
    lit: &Lit,
    reading: Option<Reading>,
    note: &str,
) -> SheetLight {
    let source = &lamp.source;
    let found = lit.temperature.found();
    let of_balance = |balance: Balance| cast(lit.chromaticity, &balance, room.adaptation);
    let seen = room.eye.zip(room.balance);
    SheetLight {
        role: role.to_owned(),
        source: source.kind.id(),
        kelvin: source.kelvin,
        source_duv: source.duv,
        filters: lamp.filters.iter().map(sheet_filter).collect(),
        warmer_mired: lit.warmer_mired,
        greener_duv: lit.greener_duv,
        loss_stops: lit.loss_stops,
        loss_estimated: lamp.filters.iter().any(|filter| filter.is_estimated),
        xy: [lit.chromaticity.x, lit.chromaticity.y],
        cct: found.map(|(kelvin, _)| kelvin),
        mired: lit.temperature.mired(),
        duv: found.map(|(_, duv)| duv),
        no_cct: lit.temperature.why_none(),
        cast: room.balance.and_then(of_balance).map(Into::into),
        card: seen.and_then(|(eye, balance)| eye.in_light(None, lit.chromaticity, &balance)),
        skin: seen.and_then(|(eye, balance)| eye.in_light(Some(CHART[LIGHT_SKIN].xyz_d50), lit.chromaticity, &balance)),
        reading: reading.map(|reading| sheet_reading(&room.metering, reading, lit.loss_stops)),
        note: note.to_owned(),
    }
}

/// A filter for a sheet.
#[must_use]
pub fn sheet_filter(filter: &Filter) -> SheetFilter {
    // A filter of the show may have a built-in name; then its own numbers count, and no other maker's are beside it.
    let known = built_in(&filter.name).filter(|known| known.filter() == *filter);
    SheetFilter {
        name: filter.name.clone(),
        // Adding zero takes the sign off a zero.
        mired: filter.warmer_mired + 0.0,
        greener_duv: filter.greener_duv + 0.0,
        greener_cc: filter.greener_duv / DUV_PER_CC + 0.0,
        stops: filter.stops,
        stops_estimated: filter.is_estimated,
        other_maker: known.and_then(|known| known.other_maker),
    }
}

/// A reading at the subject as a sheet has it; `loss_stops` is what the filters take from a lamp's own output.
pub(super) fn sheet_reading(metering: &Metering, reading: Reading, loss_stops: f64) -> SheetReading {
    let lux = match reading {
        Reading::Lux(lux) => lux,
        Reading::Lamp { candela, distance_m } => {
            after_filters(exposure::Lamp { candela, distance_m }.lux(), loss_stops)
        }
    };
    let stops = match metering.camera() {
        Some(camera) => metering
            .receptors
            .iter()
            .map(|receptor| {
                let t_stop = camera.t_stop(*receptor, lux);
                StopFor {
                    receptor: receptor.name(),
                    t_stop,
                    marked: MarkedStop::nearest(t_stop)
                        .map_or_else(|| format!("T{t_stop:.2}"), |mark| mark.to_string()),
                    over_stops: metering.t_stop.map(|chosen| camera.stops_over(*receptor, lux, chosen)),
                }
            })
            .collect(),
        None => Vec::new(),
    };
    SheetReading {
        lux,
        foot_candles: foot_candles_from_lux(lux),
        from_output: matches!(reading, Reading::Lamp { .. }),
        stops,
    }
}

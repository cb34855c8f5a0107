//! A lamp: a source and the filters before it, and the light that comes out.

use super::filters::Filter;
use super::source::{Source, SourceFault};
use crate::colour::observer::{is_light, tristimulus};
use crate::colour::whites::{Chromaticity, cct_duv, filter_transmittance, mired, offset_duv, planckian};

/// Farther than this from the locus, CIE 1960 (u, v), a correlated colour temperature has no meaning. Source: CIE 015:2018, note on
/// correlated colour temperature, 5 × 10⁻² (from memory).
pub const CCT_DUV: f64 = 0.05;

/// A source and the filters before it, in their order.
#[derive(Clone, Debug, PartialEq)]
pub struct Lamp {
    /// The bare source.
    pub source: Source,
    /// The filters, from the lamp outwards. Their order changes nothing: transmittances multiply.
    pub filters: Vec<Filter>,
}

/// The light behind the filters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lit {
    /// Its chromaticity.
    pub chromaticity: Chromaticity,
    /// Its correlated colour temperature, where it has one.
    pub temperature: Temperature,
    /// Shift of all filters together, mired, positive is warmer.
    pub warmer_mired: f64,
    /// Green (positive) or magenta of all filters together, CIE 1960 (u, v).
    pub greener_duv: f64,
    /// Light that the filters take, stops.
    pub loss_stops: f64,
}

/// A correlated colour temperature, or why there is none.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Temperature {
    /// Kelvin and Duv.
    Found {
        /// Correlated colour temperature, kelvin.
        kelvin: f64,
        /// Signed distance from the locus of black bodies, CIE 1960 (u, v), positive is greener.
        duv: f64,
    },
    /// Bluer than a black body of any temperature.
    BluerThanAll,
    /// Redder than anything that glows visibly (500 K).
    RedderThanAll,
    /// So far from the locus that no black body resembles it; the Duv.
    FarFromLocus(f64),
}

impl Temperature {
    fn of(chromaticity: Chromaticity) -> Self {
        match cct_duv(chromaticity) {
            Some((_, duv)) if duv.abs() > CCT_DUV => Self::FarFromLocus(duv),
            Some((kelvin, duv)) => Self::Found { kelvin, duv },
            // The two ends of the locus lie far apart in x.
            None if chromaticity.x < planckian(3000.0).x => Self::BluerThanAll,
            None => Self::RedderThanAll,
        }
    }

    /// Kelvin and Duv, where there are any.
    #[must_use]
    pub fn found(self) -> Option<(f64, f64)> {
        match self {
            Self::Found { kelvin, duv } => Some((kelvin, duv)),
            _ => None,
        }
    }

    /// Reciprocal temperature in mired, where there is one.
    #[must_use]
    pub fn mired(self) -> Option<f64> {
        self.found().map(|(kelvin, _)| mired(kelvin))
    }

    /// Why there is none, in words; `None` where there is one.
    #[must_use]
    pub fn why_none(self) -> Option<String> {
        match self {
            Self::Found { .. } => None,
            Self::BluerThanAll => Some("no colour temperature: bluer than any black body".to_owned()),
            Self::RedderThanAll => Some("no colour temperature: redder than anything that glows".to_owned()),
            Self::FarFromLocus(duv) => {
                let side = if duv > 0.0 { "green" } else { "magenta" };
                Some(format!(
                    "no colour temperature: {:.3} Duv on the {side} side, too far from any black body",
                    duv.abs()
                ))
            }
        }
    }
}

/// Why a lamp can't be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LampFault {
    /// The source itself.
    Source(SourceFault),
    /// What comes out of the filters is a colour that no light has.
    NoLight(Chromaticity),
}

impl Lamp {
    /// The light behind the filters: the source's spectrum times the ideal filter of all mireds together, summed over the observer,
    /// then moved along the normal of the locus by all Duv together, those of an LED and of the filters.
    ///
    /// # Errors
    /// A source that can't be, or a sum of filters that no light survives.
    pub fn lit(&self) -> Result<Lit, LampFault> {
        if let Some(fault) = self.source.fault() {
            return Err(LampFault::Source(fault));
        }
        let sum = |value: fn(&Filter) -> f64| self.filters.iter().map(value).fold(0.0, |sum, one| sum + one);
        let (warmer_mired, greener_duv) = (sum(|filter| filter.warmer_mired), sum(|filter| filter.greener_duv));
        let mut spectrum = self.source.spectrum();
        if warmer_mired != 0.0 {
            let transmittance = filter_transmittance(warmer_mired);
            spectrum.iter_mut().zip(&transmittance).for_each(|(power, share)| *power *= share);
        }
        let filtered = Chromaticity::from_xyz(tristimulus(&spectrum));
        let chromaticity = offset_duv(filtered, self.source.duv + greener_duv);
        if !is_light(chromaticity.x, chromaticity.y) {
            return Err(LampFault::NoLight(chromaticity));
        }
        Ok(Lit {
            chromaticity,
            temperature: Temperature::of(chromaticity),
            warmer_mired,
            greener_duv,
            loss_stops: sum(|filter| filter.stops),
        })
    }
}

//! Sources: what a lamp is before anything hangs on it.

use crate::colour::observer::{Spectrum, is_light};
use crate::colour::whites::{
    Chromaticity, DAYLIGHT_KELVIN, daylight_spectrum, filtered_planckian_spectrum, offset_duv, planckian,
};

/// Kinds of light.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LightSource {
    /// A Planckian radiator: a filament.
    Planckian,
    /// A phase of CIE daylight.
    Daylight,
    /// A light that is known by its CCT and Duv only.
    Led,
}

impl LightSource {
    /// All, in the order of the reference page.
    pub const ALL: [Self; 3] = [Self::Planckian, Self::Daylight, Self::Led];

    /// Name in a show.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::Planckian => "planckian",
            Self::Daylight => "daylight",
            Self::Led => "led",
        }
    }

    /// The one of that name, in any spelling that is compared as one.
    #[must_use]
    pub fn find(name: &str) -> Option<Self> {
        let wanted = crate::colour::canonical_name(name);
        Self::ALL.into_iter().find(|source| source.id() == wanted)
    }
}

/// A bare source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Source {
    /// Its kind.
    pub kind: LightSource,
    /// Colour temperature, kelvin; correlated for an LED.
    pub kelvin: f64,
    /// Distance from the locus of black bodies, CIE 1960 (u, v), positive is greener; for an LED only.
    pub duv: f64,
}

/// Why a source can't be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SourceFault {
    /// Daylight outside 4000 to 25000 K, where the CIE defines none.
    NoDaylight,
    /// A Duv on a black body or on daylight, whose colour temperature says everything.
    DuvOfItsOwn,
    /// No light has this chromaticity: it lies outside the spectral locus.
    NoLight(Chromaticity),
}

impl Source {
    /// What is impossible about it.
    #[must_use]
    pub fn fault(&self) -> Option<SourceFault> {
        match self.kind {
            LightSource::Daylight if !DAYLIGHT_KELVIN.contains(&self.kelvin) => Some(SourceFault::NoDaylight),
            LightSource::Planckian | LightSource::Daylight if self.duv != 0.0 => Some(SourceFault::DuvOfItsOwn),
            LightSource::Led => {
                let white = offset_duv(planckian(self.kelvin), self.duv);
                (!is_light(white.x, white.y)).then_some(SourceFault::NoLight(white))
            }
            _ => None,
        }
    }

    /// Relative spectral power. An LED of which only CCT and Duv are known stands for the black body of its CCT; its Duv is added
    /// to the chromaticity of what comes out of the filters.
    #[must_use]
    pub fn spectrum(&self) -> Spectrum {
        match self.kind {
            LightSource::Daylight => daylight_spectrum(self.kelvin),
            LightSource::Planckian | LightSource::Led => filtered_planckian_spectrum(self.kelvin, 0.0),
        }
    }
}

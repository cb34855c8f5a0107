//! Incident exposure: the light that falls on a subject against the stop on the lens.
//!
//! An incident meter solves N²/t = E·S/C, with the f-number N, the exposure time t in seconds, the illuminance E in lux, the
//! exposure index S (ISO) and the meter's constant C in lux seconds (ISO 2720:1974, from memory). Cinematography lenses are
//! marked in T = N/√transmittance, which counts the light that the glass loses; T takes the place of N here, as it does on the
//! set (common practice, no source).
//!
//! T numbers are taken as they are written: `T2.8` is 2.8, not 2√2. The marks are rounded by up to a twelfth of a stop (T11, T22).
//!
//! Functions take positive finite numbers unless they say otherwise. Others give what the arithmetic gives (zero, an infinity, not
//! a number) and never panic.

use crate::maths::{exp2, log2};
use std::fmt;

/// The smallest T number that a lens can have. In air, a lens that obeys the sine condition has N = 1/(2 sin θ), which is never
/// below 0.5 (textbook optics, from memory), and T is never below N, for no glass adds light.
pub const T_LIMIT: f64 = 0.5;

/// The largest T number that is taken for a T-stop: cinematography lenses close to about T22, a few macro lenses to T64. Two stops
/// further is beyond reason (this project's own choice).
pub const T_SLOWEST: f64 = 128.0;

/// Lux in a foot-candle: square feet in a square metre, with the foot of exactly 0.3048 m.
pub const LUX_PER_FOOT_CANDLE: f64 = 1.0 / (0.3048 * 0.3048);

/// The receptor of an incident meter: the white part that the light falls on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Receptor {
    /// A flat disc. It weighs light by the cosine of its direction, as a flat subject does.
    Flat,
    /// A half sphere. It also takes light from the side, as a face does.
    Dome,
}

impl Receptor {
    /// Both, in the order of their constants.
    pub const ALL: [Self; 2] = [Self::Flat, Self::Dome];

    /// The meter's constant C in lux seconds: 250 for a flat receptor, 340 for a dome. ISO 2720:1974 (from memory) allows
    /// 240..400 and 320..540; these two are what most makers of meters take (common practice, no source).
    #[must_use]
    pub fn constant(self) -> f64 {
        match self {
            Self::Flat => 250.0,
            Self::Dome => 340.0,
        }
    }

    /// One word.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Flat => "flat",
            Self::Dome => "dome",
        }
    }

    /// What it is the right one for.
    #[must_use]
    pub fn purpose(self) -> &'static str {
        match self {
            Self::Flat => "for a flat subject, or the level of a single lamp",
            Self::Dome => "for a face or another round subject",
        }
    }
}

/// A rotating shutter, or a sensor that is set like one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shutter {
    /// Opening in degrees, above 0, at most 360.
    pub angle_deg: f64,
    /// Frames in a second, above 0.
    pub frames_per_second: f64,
}

impl Shutter {
    /// Exposure time of a frame in seconds.
    #[must_use]
    pub fn seconds(self) -> f64 {
        self.angle_deg / 360.0 / self.frames_per_second
    }
}

/// A lamp without its filters, as its data sheet has it, and where it stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lamp {
    /// Luminous intensity towards the subject in candela.
    pub candela: f64,
    /// Distance from the subject in metres.
    pub distance_m: f64,
}

impl Lamp {
    /// Illuminance in lux of a surface that faces the lamp: E = I/d², the inverse square law. It holds from about five times the
    /// largest side of what shines (common practice, no source); nearer, the light is less than this.
    #[must_use]
    pub fn lux(self) -> f64 {
        self.candela / (self.distance_m * self.distance_m)
    }
}

/// What the camera is set to, but for the stop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CameraSetting {
    /// Exposure index (ISO).
    pub iso: f64,
    /// Exposure time of a frame in seconds.
    pub seconds: f64,
    /// Stops that filters on the lens take; 0 without filters.
    pub lens_filter_stops: f64,
}

impl CameraSetting {
    /// The T number to set for that many lux on the subject. It may be one that no lens has, see [`check_t_stop`].
    #[must_use]
    pub fn t_stop(self, receptor: Receptor, lux: f64) -> f64 {
        (self.seconds * after_filters(lux, self.lens_filter_stops) * self.iso / receptor.constant()).sqrt()
    }

    /// Lux that the subject needs for a T number.
    #[must_use]
    pub fn lux(self, receptor: Receptor, t_stop: f64) -> f64 {
        before_filters(receptor.constant() * t_stop * t_stop / (self.seconds * self.iso), self.lens_filter_stops)
    }

    /// Stops by which that many lux are too much for a T number; negative where they are too little.
    #[must_use]
    pub fn stops_over(self, receptor: Receptor, lux: f64, t_stop: f64) -> f64 {
        log2(lux / self.lux(receptor, t_stop))
    }

    /// Foot-candles for a T number by the trade's rule of thumb, 25·T²/(ISO·t) (common practice, no source). As a meter's constant
    /// that is 269 lux seconds: a tenth of a stop from a flat receptor.
    #[must_use]
    pub fn rule_of_thumb_foot_candles(self, t_stop: f64) -> f64 {
        before_filters(25.0 * t_stop * t_stop / (self.iso * self.seconds), self.lens_filter_stops)
    }
}

/// Light that is left after filters that take that many stops; in the unit of `light`.
#[must_use]
pub fn after_filters(light: f64, stops: f64) -> f64 {
    light * exp2(-stops)
}

/// Light that has to fall on filters that take that many stops, for `light` to be left; in the unit of `light`.
#[must_use]
pub fn before_filters(light: f64, stops: f64) -> f64 {
    light * exp2(stops)
}

/// Foot-candles of an illuminance in lux.
#[must_use]
pub fn foot_candles_from_lux(lux: f64) -> f64 {
    lux / LUX_PER_FOOT_CANDLE
}

/// Lux of an illuminance in foot-candles.
#[must_use]
pub fn lux_from_foot_candles(foot_candles: f64) -> f64 {
    foot_candles * LUX_PER_FOOT_CANDLE
}

/// Whether a lens can have that T number.
///
/// # Errors
///
/// The reason, as a sentence without a final stop, where it lies outside [`T_LIMIT`]..=[`T_SLOWEST`] or is not a number.
pub fn check_t_stop(t_stop: f64) -> Result<(), String> {
    if t_stop.is_nan() || t_stop <= 0.0 {
        Err("a T number is a number above 0".to_owned())
    } else if t_stop < T_LIMIT {
        Err(format!("no lens in air is faster than f/{T_LIMIT}, and T is never below f"))
    } else if t_stop > T_SLOWEST {
        Err(format!("no lens is marked beyond T{T_SLOWEST}"))
    } else {
        Ok(())
    }
}

/// Full stops from T0.5 to T128 as the trade writes them, each √2 times the one before.
const FULL_STOPS: [&str; 17] =
    ["0.5", "0.7", "1", "1.4", "2", "2.8", "4", "5.6", "8", "11", "16", "22", "32", "45", "64", "90", "128"];

/// Where T1 stands in [`FULL_STOPS`].
const T1: f64 = 2.0;

/// A stop as the ring of a lens has it: a full stop and thirds towards the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MarkedStop {
    /// The full stop, such as `2.8`.
    pub full: &'static str,
    /// Thirds of a stop by which the ring is closed further: 0, 1 or 2.
    pub thirds: u8,
    /// What the mark leaves over: stops by which the ring would have to be closed further, −1/6..1/6.
    pub rest_stops: f64,
}

impl MarkedStop {
    /// The mark nearest to a T number, none where [`check_t_stop`] refuses it.
    #[must_use]
    pub fn nearest(t_stop: f64) -> Option<Self> {
        check_t_stop(t_stop).ok()?;
        let stops = T1 + 2.0 * log2(t_stop);
        let thirds = (3.0 * stops).round();
        // Between 0 and 48: the T number is inside the table.
        let place = thirds as usize;
        Some(Self { full: FULL_STOPS[place / 3], thirds: (place % 3) as u8, rest_stops: stops - thirds / 3.0 })
    }
}

impl fmt::Display for MarkedStop {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.thirds {
            0 => write!(out, "T{}", self.full),
            thirds => write!(out, "T{} + {thirds}/3", self.full),
        }
    }
}

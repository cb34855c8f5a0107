//! The cast that a light leaves at a camera's balance, in the terms of a recipe's `[white]`, and back.

use crate::colour::adaptation::Adaptation;
use crate::colour::gamuts::xy_to_xyz;
use crate::colour::observer::is_light;
use crate::colour::whites::{Chromaticity, offset_duv, planckian, shifted_white, white_shift};
use nalgebra::Vector3;

pub use crate::colour::whites::DUV_PER_CC;

/// A camera's white balance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Balance {
    /// Colour temperature on the locus of black bodies, kelvin.
    pub kelvin: f64,
    /// The camera's tint as a distance from the locus: the light that it shows as neutral is that much greener.
    pub greener_duv: f64,
}

impl Balance {
    /// The light that the camera shows as neutral.
    #[must_use]
    pub fn white(&self) -> Chromaticity {
        offset_duv(planckian(self.kelvin), self.greener_duv)
    }
}

/// What is left of a light's colour at a balance.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Cast {
    /// Mired, positive is warmer.
    pub warmer_mired: f64,
    /// CIE 1960 (u, v), positive is greener.
    pub greener_duv: f64,
}

impl Cast {
    /// The green or magenta in the trade's unit.
    #[must_use]
    pub fn greener_cc(&self) -> f64 {
        self.greener_duv / DUV_PER_CC
    }
}

/// Tristimulus values, Y = 1, of a chromaticity.
fn xyz(white: Chromaticity) -> Vector3<f64> {
    xy_to_xyz([white.x, white.y])
}

/// Where von Kries gains that bring `from` to `to` bring `light`: each cone value is multiplied by the ratio of the two whites.
#[must_use]
pub fn adapted(light: Chromaticity, from: Chromaticity, to: Chromaticity, adaptation: Adaptation) -> Chromaticity {
    if from == to {
        return light;
    }
    Chromaticity::from_xyz(adaptation.matrix(xyz(from), xyz(to)) * xyz(light))
}

/// The cast that `light` leaves at a balance: what the camera shows of it, seen from the black body of the balance, is that black body
/// behind an ideal filter of `warmer_mired` and moved by `greener_duv` off the locus. A recipe's `[white]` with these numbers and
/// `reference_kelvin` at the balance gives a neutral picture the same cast.
///
/// `None` where no such shift exists within ±1000 mired.
#[must_use]
pub fn cast(light: Chromaticity, balance: &Balance, adaptation: Adaptation) -> Option<Cast> {
    let seen = adapted(light, balance.white(), planckian(balance.kelvin), adaptation);
    let (warmer_mired, greener_duv) = white_shift(seen, balance.kelvin)?;
    Some(Cast { warmer_mired, greener_duv })
}

/// The light that leaves `cast` at a balance: the inverse of [`cast()`]. `None` where no light does.
#[must_use]
pub fn light_for(cast: &Cast, balance: &Balance, adaptation: Adaptation) -> Option<Chromaticity> {
    let seen = shifted_white(balance.kelvin, cast.warmer_mired, cast.greener_duv);
    let light = adapted(seen, planckian(balance.kelvin), balance.white(), adaptation);
    is_light(light.x, light.y).then_some(light)
}

/// The balance that shows `light` as neutral; `None` where a camera has none, outside 1667 to 25000 K or more than 0.05 Duv away.
#[must_use]
pub fn balanced(light: Chromaticity) -> Option<Balance> {
    let (kelvin, greener_duv) = crate::colour::whites::cct_duv(light)?;
    (super::search::KELVIN.contains(&kelvin) && greener_duv.abs() <= super::lamp::CCT_DUV)
        .then_some(Balance { kelvin, greener_duv })
}

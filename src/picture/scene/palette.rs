//! The colours of the scene in ACEScg: published reflectances where there are any, and lights by their chromaticity, all
//! seen from a camera that is balanced to the key.

use super::vector::V3;
use crate::colour::adaptation::Adaptation;
use crate::colour::chart::{CHART, CHART_WHITE, Patch, PatchKind, SKINS, to_linear};
use crate::colour::difference::{Lab, lab_to_xyz};
use crate::colour::gamuts::ACESCG;
use crate::colour::whites::{Chromaticity, daylight, planckian};

/// The key, kelvin of a black body: tungsten light a little towards day. This project's own choice, as all lights here.
const KEY_KELVIN: f64 = 3400.0;

/// Daylight through the windows, and of the sky away from the sun, kelvin: 115 and 166 mired from the key, about what blue
/// evening light is beside lamps for a camera that stands between them.
const WINDOW_KELVIN: f64 = 5600.0;
const ZENITH_KELVIN: f64 = 7800.0;

/// The four skins of the busts, from light to dark: places in [`SKINS`].
const BUST_SKINS: [usize; 4] = [0, 2, 3, 7];

/// Sodium's resonance line, 589 nm, broadened and with its faint others: about what a high-pressure lamp gives through
/// its dirty glass. This project's own choice.
const SODIUM: Chromaticity = Chromaticity { x: 0.57, y: 0.42 };

/// Tubes of coloured gas and phosphor: this project's own choice.
const MAGENTA: Chromaticity = Chromaticity { x: 0.43, y: 0.19 };
const CYAN: Chromaticity = Chromaticity { x: 0.20, y: 0.33 };

/// Colours of lights have a luminance of 1 in XYZ before the balance; reflectances are those of a perfect reflector = 1.
#[derive(Clone, Debug)]
pub(super) struct Palette {
    pub chart: [V3; 24],
    pub skins: [V3; 4],
    /// Daylight: the window.
    pub window: V3,
    /// Daylight: the sky away from the sun.
    pub zenith: V3,
    /// Black bodies: the low sun, its glow in the clouds, and the bulb of the pendant lamp.
    pub sun: V3,
    pub glow: V3,
    pub bulb: V3,
    pub sodium: V3,
    pub magenta: V3,
    pub cyan: V3,
    pub curtain: V3,
    pub navy: V3,
    pub cream: V3,
    pub green: V3,
    pub red: V3,
    pub orange: V3,
    pub wood: V3,
    pub wood_dark: V3,
    pub straw: V3,
    pub hair_dark: V3,
    pub hair_brown: V3,
    pub ochre: V3,
    pub sage: V3,
    pub upholstery: V3,
    pub brass: V3,
}

impl Palette {
    pub fn new() -> Self {
        let balance = Adaptation::Bradford.matrix(planckian(KEY_KELVIN).to_xyz(), ACESCG.white_xyz());
        let light = |chromaticity: Chromaticity| {
            let rgb: [f64; 3] = (ACESCG.from_xyz() * balance * chromaticity.to_xyz()).into();
            V3::from(rgb)
        };
        let black_body = |kelvin: f64| light(planckian(kelvin));
        // Both lie in the range that the daylight locus is defined for (4000 to 25000 K).
        let day = |kelvin: f64| light(daylight(kelvin));
        Self {
            chart: std::array::from_fn(|place| reflectance(&CHART[place])),
            skins: BUST_SKINS.map(|place| reflectance(&SKINS[place])),
            window: day(WINDOW_KELVIN),
            zenith: day(ZENITH_KELVIN),
            sun: black_body(2700.0),
            glow: black_body(2300.0),
            bulb: black_body(2400.0),
            sodium: light(SODIUM),
            magenta: light(MAGENTA),
            cyan: light(CYAN),
            curtain: paint([35.0, 56.0, 36.0]),
            navy: paint([14.0, 3.0, -17.0]),
            cream: paint([83.0, 1.0, 12.0]),
            green: paint([33.0, -15.0, 3.0]),
            red: paint([36.0, 52.0, 36.0]),
            orange: paint([58.0, 52.0, 58.0]),
            wood: paint([45.0, 15.0, 27.0]),
            wood_dark: paint([31.0, 10.0, 17.0]),
            straw: paint([66.0, 6.0, 26.0]),
            hair_dark: paint([13.0, 2.0, 3.0]),
            hair_brown: paint([25.0, 7.0, 11.0]),
            ochre: paint([58.0, 12.0, 50.0]),
            sage: paint([52.0, -10.0, 12.0]),
            upholstery: paint([30.0, -8.0, -18.0]),
            brass: paint([72.0, 8.0, 42.0]),
        }
    }
}

/// A chart patch or skin in ACEScg under the key that the camera is balanced to.
fn reflectance(patch: &Patch) -> V3 {
    V3::from(to_linear(patch, &ACESCG.from_xyz(), ACESCG.white_xyz(), Adaptation::Bradford))
}

/// A paint or dye by its CIELAB under D50: this project's own choices.
fn paint([l, a, b]: [f64; 3]) -> V3 {
    let xyz_d50 = lab_to_xyz(Lab { l, a, b }, CHART_WHITE);
    reflectance(&Patch { number: 0, name: "paint", xyz_d50, kind: PatchKind::Chart })
}

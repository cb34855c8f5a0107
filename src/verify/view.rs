//! A view: from a camera's signal, through any look or file, to what a display shows. What can be asked of both alike.

use super::inspection::shown;
use super::scene_colours::{SceneColour, SceneColours};
use super::viewer::{Picture, record, record_patch};
use super::{Mapping, Viewer};
use crate::colour::adaptation::Adaptation;
use crate::colour::chart::Patch;
use crate::colour::difference::Lab;
use crate::colour::gamuts::xy_to_xyz;
use crate::colour::oklab::hue_name;
use crate::colour::whites::{Chromaticity, D65, cct_duv, mired};
use crate::maths::{CODE10_MAX, Rgb, atan2, cbrt, hypot, linear_from_stops, log2, stops_from_grey};
use crate::pipeline::{Pipeline, transform};
use crate::plan::{Camera, DisplayTarget, Levels, Plan};
use nalgebra::{Matrix3, Vector3};
use serde::Serialize;

/// Steps of the fine ramp over the camera's signal: four to a 10-bit code.
const RAMP_STEPS: i32 = 4092;

/// Curves span this many stops on both sides of grey.
pub const CURVE_STOPS: i32 = 8;
const CURVE_STEPS_PER_STOP: i32 = 8;

/// A signal within half a 10-bit code of its end counts as black or white.
const END: f64 = 0.5 / CODE10_MAX;

/// The contrast at grey is measured over this many stops either way: short against any straight line, long against the
/// cells of a table.
const CONTRAST_STOPS: f64 = 0.5;

/// Light below this has no colour that could be named: a thousandth of diffuse white.
const DARKEST_COLOUR: f64 = 1e-3;

/// Light below this has no slope that could be named: twenty stops below display white, a tenth of an 8-bit code.
const DARKEST_SLOPE: f64 = 1e-6;

/// Hues are looked at every 30 degrees, at this Oklab chroma on mid-grey: about that of the chart's skins.
const HUE_CHROMA: f64 = 0.06;

/// How many hues.
const HUES: usize = 12;

/// From a camera's signal to a display.
pub struct View<'a> {
    /// The camera.
    pub camera: Camera,
    /// Cone space of the adaptations.
    pub adaptation: Adaptation,
    target: DisplayTarget,
    picture: Picture,
    from_xyz: Matrix3<f64>,
    /// What the device feeds to the look, and what it makes of what comes out.
    levels: (Levels, Levels),
    /// Kelvin and Duv of display white.
    white: Option<(f64, f64)>,
    show: Box<dyn Fn(Rgb) -> Rgb + Sync + 'a>,
}

/// A grey, as a display shows it.
#[derive(Clone, Debug, Serialize)]
pub struct Cast {
    /// Display signal, 10-bit codes.
    pub codes: Rgb,
    /// Red less green, 10-bit codes.
    pub red_green: f64,
    /// Blue less green, 10-bit codes.
    pub blue_green: f64,
    /// Light, 1 = display white.
    pub light: f64,
    /// Correlated colour temperature in kelvin; `None` for black, and where there is none.
    pub kelvin: Option<f64>,
    /// Distance from the locus of black bodies in CIE 1960 (u, v), positive is greener.
    pub duv: Option<f64>,
    /// Warmer than display white, mired.
    pub warmer_mired: Option<f64>,
    /// Greener than display white, Duv.
    pub greener_duv: Option<f64>,
}

/// A grey of the fine scale, as a display shows it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct CurvePoint {
    /// Stops from grey.
    pub stops: f64,
    /// Whether the camera's signal has ended there.
    pub beyond_signal: bool,
    /// Display signal of each channel, 0..1.
    pub signal: Rgb,
    /// Signal of the neutral that is as bright.
    pub neutral_signal: f64,
    /// Warmer than display white, mired; `None` for black, and where there is no colour temperature.
    pub warmer_mired: Option<f64>,
    /// Greener than display white, Duv.
    pub greener_duv: Option<f64>,
    /// Whether it has a colour that no black body is near to.
    pub off_locus: bool,
}

/// Where the picture begins and ends.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Ends {
    /// Display signal (mean of the channels) of the camera's lowest code.
    pub black_signal: f64,
    /// Stops from grey up to which the picture stays there; `None` if it rises at once, or where there are no stops.
    pub black_stops: Option<f64>,
    /// Display signal (mean of the channels) of the camera's highest code.
    pub white_signal: f64,
    /// Stops from grey from which on the picture stays there; `None` if it is reached at the last code only.
    pub white_stops: Option<f64>,
}

/// Where the grey scale falls.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Falling {
    /// Largest fall of a channel below what it had reached, 10-bit codes.
    pub codes: f64,
    /// Camera signal there, 10-bit code.
    pub code_in: f64,
    /// Stops from grey there; `None` where there is no light.
    pub stops: Option<f64>,
    /// The channel: 0 red, 1 green, 2 blue.
    pub channel: usize,
}

/// What becomes of one hue.
#[derive(Clone, Debug, Serialize)]
pub struct Hue {
    /// Oklab hue of the scene colour, degrees.
    pub hue_deg: f64,
    /// What that hue is called.
    pub name: &'static str,
    /// Oklab chroma shown, as a multiple of what the scene's chromaticity would have at the same luminance.
    pub chroma_gain: f64,
    /// How far the hue turns, degrees, −180..180.
    pub shift_deg: f64,
    /// Oklab lightness shown, as a multiple of that of grey.
    pub lightness: f64,
}

/// A colour of the scene, as a view sees it.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Seen {
    /// Oklab chroma, as it would be at the luminance of mid-grey: comparable with that of the scene's colour.
    pub chroma: f64,
    /// How far its hue turns, degrees, −180..180; positive towards larger hues.
    pub turn_deg: f64,
    /// Oklab lightness, as a multiple of that of a grey of the same exposure.
    pub lightness: f64,
    /// The display's signal.
    pub signal: Rgb,
}

impl<'a> View<'a> {
    /// A view through `show`, from the camera's signal to the display's, both as fractions of full scale.
    pub fn new(
        camera: Camera,
        adaptation: Adaptation,
        target: DisplayTarget,
        show: impl Fn(Rgb) -> Rgb + Sync + 'a,
    ) -> Self {
        let from_xyz = camera.gamut.from_xyz();
        let white = cct_duv(Chromaticity::from_xyz(target.gamut.white_xyz()));
        Self {
            camera,
            adaptation,
            target,
            picture: Picture::of(&target),
            from_xyz,
            levels: (Levels::Full, Levels::Full),
            white,
            show: Box::new(show),
        }
    }

    /// The view through the exact look of a plan.
    #[must_use]
    pub fn of_look(plan: &'a Plan, pipeline: &'a Pipeline) -> Self {
        let viewer = Viewer::new(plan, pipeline);
        let levels = (plan.device.input_levels, plan.device.output_levels);
        let view = Self::new(plan.camera, plan.adaptation, plan.display, move |camera| viewer.of_look(camera));
        Self { levels, ..view }
    }

    /// The view through a file, with the camera, display and levels that it is taken to be for.
    #[must_use]
    pub fn of_file(mapping: Mapping<'a>, camera: Camera, display: DisplayTarget, levels: (Levels, Levels)) -> Self {
        let view = Self::new(camera, Adaptation::default(), display, move |signal| shown(&mapping, levels, signal));
        Self { levels, ..view }
    }

    /// The display.
    #[must_use]
    pub fn display(&self) -> &DisplayTarget {
        &self.target
    }

    /// The display's signal for a signal of the camera.
    #[must_use]
    pub fn signal(&self, camera: Rgb) -> Rgb {
        (self.show)(camera)
    }

    /// What the camera records of a neutral, `stops` from grey, held to 0..1.
    #[must_use]
    pub fn camera_neutral(&self, stops: f64) -> Rgb {
        record(&self.camera, [linear_from_stops(stops); 3])
    }

    /// The display's signal for a neutral, `stops` from grey.
    #[must_use]
    pub fn neutral(&self, stops: f64) -> Rgb {
        self.signal(self.camera_neutral(stops))
    }

    /// The display's signal for a patch, `stops` over or under.
    #[must_use]
    pub fn patch(&self, patch: &Patch, stops: f64) -> Rgb {
        self.signal(record_patch(&self.camera, &self.from_xyz, self.adaptation, patch, stops))
    }

    /// CIELAB of a display signal against display white.
    #[must_use]
    pub fn lab(&self, signal: Rgb) -> Lab {
        self.picture.lab(signal)
    }

    /// CIELAB of a display signal against diffuse white: display white, or on HDR displays HDR Reference White.
    #[must_use]
    pub fn lab_of_surface(&self, signal: Rgb) -> Lab {
        self.picture.lab_against(signal, self.target.diffuse_white())
    }

    /// The signal of display white: 1, but for encodings of absolute light.
    #[must_use]
    pub fn white_signal(&self) -> f64 {
        self.picture.white_signal()
    }

    /// The camera's first and last signal that reach the look.
    #[must_use]
    pub fn input_ends(&self) -> [f64; 2] {
        [0.0, 1.0].map(|value| self.levels.0.to_signal(value))
    }

    /// What the device makes of what comes out.
    #[must_use]
    pub fn output_levels(&self) -> Levels {
        self.levels.1
    }

    /// Light below this has no colour that could be named.
    fn darkest_colour(&self) -> f64 {
        DARKEST_COLOUR * self.target.diffuse_white()
    }

    /// Signal of the neutral that has the luminance of a display signal.
    #[must_use]
    pub fn neutral_signal(&self, signal: Rgb) -> f64 {
        self.picture.neutral_signal(signal)
    }

    /// Luminance of a display signal, 1 = display white.
    #[must_use]
    pub fn light(&self, signal: Rgb) -> f64 {
        self.picture.xyz(signal)[1]
    }

    /// Contrast at grey, display stops per scene stop; `None` where grey is black.
    #[must_use]
    pub fn contrast(&self) -> Option<f64> {
        self.slope(0.0)
    }

    /// Display stops per scene stop around a place on the grey scale; `None` where that is black.
    #[must_use]
    pub fn slope(&self, stops: f64) -> Option<f64> {
        let light = |by: f64| self.light(self.neutral(stops + by * CONTRAST_STOPS));
        let (below, above) = (light(-1.0), light(1.0));
        (below >= DARKEST_SLOPE && above >= DARKEST_SLOPE)
            .then(|| (log2(above) - log2(below)) / (2.0 * CONTRAST_STOPS))
            .filter(|slope| slope.is_finite())
    }

    /// A display signal that should be neutral.
    #[must_use]
    pub fn cast(&self, signal: Rgb) -> Cast {
        let xyz = self.picture.xyz(signal);
        let seen = |xyz: Rgb| cct_duv(Chromaticity::from_xyz(Vector3::from(xyz)));
        let found = if xyz[1] < self.darkest_colour() { None } else { seen(xyz) };
        let from_white = found.zip(self.white);
        Cast {
            codes: signal.map(|value| value * CODE10_MAX),
            red_green: (signal[0] - signal[1]) * CODE10_MAX,
            blue_green: (signal[2] - signal[1]) * CODE10_MAX,
            light: xyz[1],
            kelvin: found.map(|(kelvin, _)| kelvin),
            duv: found.map(|(_, duv)| duv),
            warmer_mired: from_white.map(|((kelvin, _), (white, _))| mired(kelvin) - mired(white)),
            greener_duv: from_white.map(|((_, duv), (_, white))| duv - white),
        }
    }

    /// Greys over 8 stops either way, eight to a stop, from dark to bright.
    #[must_use]
    pub fn curve(&self) -> Vec<CurvePoint> {
        let point = |step: i32| {
            let stops = f64::from(step) / f64::from(CURVE_STEPS_PER_STOP);
            let camera = self.camera_neutral(stops);
            let (beyond_signal, signal) = (camera[0] >= self.input_ends()[1], self.signal(camera));
            let Cast { warmer_mired, greener_duv, light, kelvin, .. } = self.cast(signal);
            let off_locus = light >= self.darkest_colour() && kelvin.is_none();
            let neutral_signal = self.neutral_signal(signal);
            CurvePoint { stops, beyond_signal, signal, neutral_signal, warmer_mired, greener_duv, off_locus }
        };
        (-CURVE_STOPS * CURVE_STEPS_PER_STOP..=CURVE_STOPS * CURVE_STEPS_PER_STOP).map(point).collect()
    }

    fn ramp(&self) -> impl Iterator<Item = (f64, Rgb)> + '_ {
        (0..=RAMP_STEPS).map(|step| {
            let code = f64::from(step) / f64::from(RAMP_STEPS);
            (code, self.signal([code; 3]))
        })
    }

    /// Stops from grey of a camera signal; `None` where that is no light.
    #[must_use]
    pub fn stops(&self, code: f64) -> Option<f64> {
        Some(stops_from_grey(self.camera.curve.decode(code))).filter(|stops| stops.is_finite())
    }

    /// Where black ends and white begins.
    #[must_use]
    pub fn ends(&self) -> Ends {
        let (first, last) = (self.signal([0.0; 3]), self.signal([1.0; 3]));
        let (mut black, mut white, mut leading) = (None, None, true);
        for (code, signal) in self.ramp() {
            let at = |end: Rgb| (0..3).all(|channel| (signal[channel] - end[channel]).abs() <= END);
            leading = leading && at(first);
            if leading {
                black = Some(code);
            }
            white = if at(last) { white.or(Some(code)) } else { None };
        }
        let mean = |[r, g, b]: Rgb| (r + g + b) / 3.0;
        Ends {
            black_signal: mean(first),
            black_stops: black.filter(|code| *code > 0.0).and_then(|code| self.stops(code)),
            white_signal: mean(last),
            white_stops: white.filter(|code| *code < 1.0).and_then(|code| self.stops(code)),
        }
    }

    /// The largest fall of the grey scale; `None` where it never falls by more than half a 10-bit code.
    #[must_use]
    pub fn falling(&self) -> Option<Falling> {
        let mut reached = [f64::NEG_INFINITY; 3];
        let mut worst: Option<Falling> = None;
        for (code, signal) in self.ramp() {
            for channel in 0..3 {
                let codes = (reached[channel] - signal[channel]) * CODE10_MAX;
                if codes > worst.map_or(END * CODE10_MAX, |fall| fall.codes) {
                    worst = Some(Falling { codes, code_in: code * CODE10_MAX, stops: self.stops(code), channel });
                }
                reached[channel] = reached[channel].max(signal[channel]);
            }
        }
        worst
    }

    /// What becomes of twelve hues at mid-grey, seen apart from any cast of grey. Empty where grey is black.
    #[must_use]
    pub fn hues(&self) -> Vec<Hue> {
        (0..HUES)
            .map_while(|index| {
                let hue_deg = 360.0 / HUES as f64 * index as f64;
                let seen = self.seen(SceneColour { hue_deg, chroma: HUE_CHROMA, stops: 0.0 })?;
                Some(Hue {
                    hue_deg,
                    name: hue_name(hue_deg),
                    chroma_gain: seen.chroma / HUE_CHROMA,
                    shift_deg: seen.turn_deg,
                    lightness: seen.lightness,
                })
            })
            .collect()
    }

    /// What becomes of a colour of the scene, seen apart from the cast that a grey of its exposure has. `None` where that grey is black.
    #[must_use]
    pub fn seen(&self, colour: SceneColour) -> Option<Seen> {
        let colours = SceneColours::new(&self.camera, self.adaptation);
        let from_display = self.adaptation.matrix(xy_to_xyz(self.target.gamut.white), D65.to_xyz());
        let shown = |colour: SceneColour| {
            let signal = self.signal(colours.signal(colour));
            let xyz = transform(&from_display, self.picture.xyz(signal));
            (colours.oklab.from_xyz_d65(xyz), xyz[1], signal)
        };
        let (grey, grey_light, _) = shown(SceneColour { chroma: 0.0, ..colour });
        if grey_light < self.darkest_colour() {
            return None;
        }
        let (seen, light, signal) = shown(colour);
        // Oklab scales with the cube root of light: a grey's cast, and the scene's chroma, at this luminance.
        let of_grey = cbrt(light / grey_light);
        let (a, b) = (seen[1] - grey[1] * of_grey, seen[2] - grey[2] * of_grey);
        let at_mid_grey = cbrt(light / crate::maths::GREY);
        let turn = atan2(b, a) * (180.0 / core::f64::consts::PI) - colour.hue_deg;
        Some(Seen {
            chroma: if at_mid_grey > 0.0 { hypot(a, b) / at_mid_grey } else { 0.0 },
            turn_deg: turn - 360.0 * ((turn + 180.0) / 360.0).floor(),
            lightness: seen[0] / grey[0],
            signal,
        })
    }
}

//! Chromaticity diagram CIE 1931 x, y: gamuts, patches before and after a look, and the pixels of a frame.

use super::counts::{Grid, tally};
use super::histogram::Decoder;
use crate::colour::adaptation::Adaptation;
use crate::colour::chart::{CHART, to_linear};
use crate::colour::displays::{Display, DisplayEncoding};
use crate::colour::gamuts::Gamut;
use crate::colour::whites::Chromaticity;
use crate::maths::Rgb;
use crate::picture::Frame;
use crate::pipeline::transform;
use crate::plan::{Camera, DisplayTarget};
use nalgebra::{Matrix3, Vector3};
use serde::Serialize;

/// Bins of a density in x and in y; this project's own choice: about a pixel of a large picture.
const BIN: f64 = 0.0025;

/// Where the density begins and ends in x and in y: primaries of wide camera gamuts are no lights and lie outside the diagram.
const ACROSS: [f64; 2] = [-0.15, 1.0];
const UP: [f64; 2] = [-0.15, 1.05];

/// Light this dark, relative to white or grey, has no colour to speak of: rounding of codes decides it.
const DARK: f64 = 1e-4;

/// What a triangle is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum TriangleOf {
    /// The camera's RGB.
    Camera,
    /// The monitor's primaries.
    Monitor,
}

/// A gamut.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Triangle {
    /// Whose.
    pub of: TriangleOf,
    /// Its name.
    pub name: &'static str,
    /// Its primaries R, G, B as (x, y).
    pub corners: [[f64; 2]; 3],
}

impl Triangle {
    fn new(of: TriangleOf, gamut: &Gamut) -> Self {
        Self { of, name: gamut.name, corners: [gamut.red, gamut.green, gamut.blue] }
    }
}

/// A patch before and after the look.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct PatchMove {
    /// Number on the chart.
    pub number: usize,
    /// Name.
    pub name: &'static str,
    /// (x, y) of the scene, under the white of the camera's gamut.
    pub scene: [f64; 2],
    /// (x, y) of the light that the monitor emits; `None` where it is black.
    pub shown: Option<[f64; 2]>,
}

/// How often the pixels of a frame have a chromaticity.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Density {
    /// x of the left and right edge of the counts.
    pub across: [f64; 2],
    /// y of the lower and upper edge.
    pub up: [f64; 2],
    /// The counts; bins of 0.0025.
    pub counts: Grid,
    /// Pixels too dark to have a colour.
    pub dark: u64,
    /// Pixels outside the counts.
    pub outside: u64,
    /// Pixels of which a sample is not a number, or whose light is not finite.
    pub not_a_number: u64,
}

/// What the pixels of a frame are.
#[derive(Clone, Copy, Debug)]
pub enum PixelLight<'a> {
    /// The log signal of a camera: the light of the scene.
    Scene(&'a Camera),
    /// The signal of a display, full range: the light that it emits.
    Display(&'a DisplayTarget),
}

/// The values of a chromaticity diagram.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ChromaticityDiagram {
    /// The camera's gamut and the monitor's.
    pub triangles: Vec<Triangle>,
    /// The patches of the chart; empty without a look.
    pub patches: Vec<PatchMove>,
    /// The pixels of a frame, if there is one.
    pub density: Option<Density>,
}

impl ChromaticityDiagram {
    /// A diagram with the gamuts of a camera and a monitor.
    #[must_use]
    pub fn new(camera: &Camera, display: &DisplayTarget) -> Self {
        let triangles =
            vec![Triangle::new(TriangleOf::Camera, camera.gamut), Triangle::new(TriangleOf::Monitor, display.gamut)];
        Self { triangles, patches: Vec::new(), density: None }
    }

    /// The same with the 24 patches of the chart, before and after a look. `look` goes from the camera's log signal to the display's
    /// signal, both full range.
    #[must_use]
    pub fn with_patches(
        mut self,
        camera: &Camera,
        display: &DisplayTarget,
        adaptation: Adaptation,
        look: impl Fn(Rgb) -> Rgb,
    ) -> Self {
        let (from_xyz, to_xyz) = (camera.gamut.from_xyz(), camera.gamut.to_xyz());
        let emitted = emitted(display);
        let moved = CHART.iter().filter_map(|patch| {
            let linear = to_linear(patch, &from_xyz, camera.gamut.white_xyz(), adaptation);
            let scene = chromaticity(transform(&to_xyz, linear))?;
            let shown = chromaticity(emitted(look(linear.map(|light| held(camera.curve.encode(light))))));
            Some(PatchMove { number: patch.number, name: patch.name, scene, shown })
        });
        self.patches = moved.collect();
        self
    }

    /// The same with the pixels of a frame.
    #[must_use]
    pub fn with_pixels(mut self, frame: &Frame, light: PixelLight) -> Self {
        self.density = Some(match light {
            PixelLight::Scene(camera) => {
                let decoder = Decoder::new(frame, |signal| camera.curve.decode(signal));
                let to_xyz = camera.gamut.to_xyz();
                density(frame, |signal| transform(&to_xyz, decoder.rgb(signal)))
            }
            PixelLight::Display(target) if target.encoding == DisplayEncoding::Hlg => density(frame, emitted(target)),
            PixelLight::Display(target) => {
                let display = Display::new(target.encoding, target.peak_nits);
                let decoder = Decoder::new(frame, |signal| display.decode([held(signal); 3])[0]);
                let to_xyz = target.gamut.to_xyz();
                density(frame, |signal| transform(&to_xyz, decoder.rgb(signal)))
            }
        });
        self
    }
}

fn held(signal: f64) -> f64 {
    if signal.is_nan() { 0.0 } else { signal.clamp(0.0, 1.0) }
}

/// XYZ of the light that a display makes of its signal, white 1.
fn emitted(target: &DisplayTarget) -> impl Fn(Rgb) -> Rgb + Sync + use<> {
    let display = Display::new(target.encoding, target.peak_nits);
    let to_xyz: Matrix3<f64> = target.gamut.to_xyz();
    move |signal| transform(&to_xyz, display.decode(signal.map(held)))
}

fn chromaticity(xyz: Rgb) -> Option<[f64; 2]> {
    let Chromaticity { x, y } = Chromaticity::from_xyz(Vector3::from(xyz));
    (xyz[0] + xyz[1] + xyz[2] > 0.0 && x.is_finite() && y.is_finite()).then_some([x, y])
}

#[derive(Clone)]
struct Tally {
    counts: Grid,
    dark: u64,
    outside: u64,
    not_a_number: u64,
}

fn density(frame: &Frame, to_xyz: impl Fn(Rgb) -> Rgb + Sync) -> Density {
    let bins = [ACROSS, UP].map(|[from, to]| ((to - from) / BIN).round() as usize);
    let count = |tally: &mut Tally, signal: Rgb| {
        if signal.iter().any(|value| value.is_nan()) {
            tally.not_a_number += 1;
            return;
        }
        let [x, y, z] = to_xyz(signal);
        let sum = x + y + z;
        if !sum.is_finite() {
            tally.not_a_number += 1;
        } else if sum < DARK {
            tally.dark += 1;
        } else {
            let place = [(x / sum - ACROSS[0]) / BIN, (y / sum - UP[0]) / BIN].map(f64::floor);
            if place.iter().zip(bins).all(|(place, bins)| (0.0..bins as f64).contains(place)) {
                tally.counts.add(place[0] as usize, place[1] as usize);
            } else {
                tally.outside += 1;
            }
        }
    };
    let empty = || Tally { counts: Grid::new(bins[0], bins[1]), dark: 0, outside: 0, not_a_number: 0 };
    let merge = |a: Tally, b: Tally| Tally {
        counts: a.counts.merge(&b.counts),
        dark: a.dark + b.dark,
        outside: a.outside + b.outside,
        not_a_number: a.not_a_number + b.not_a_number,
    };
    let Tally { counts, dark, outside, not_a_number } = tally(frame, empty, count, merge);
    Density { across: ACROSS, up: UP, counts, dark, outside, not_a_number }
}

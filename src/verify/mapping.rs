//! Any file as a function: from its input to its output.

use crate::colour::adaptation::Adaptation;
use crate::colour::encodings::Curve;
use crate::colour::gamuts::{ACESCG, Gamut};
use crate::formats::clf::ProcessList;
use crate::formats::cube::Tables;
use crate::lut::{Domain, Interpolation};
use crate::maths::{Rgb, exp2};
use crate::pipeline::{Clips, Pipeline, Row, camera_to_acescg, transform};
use crate::plan::{Camera, Plan};
use nalgebra::Matrix3;

/// A file's table or tables, read as a device with some interpolation reads them, or a list of steps, evaluated as it stands.
#[derive(Clone, Copy, Debug)]
pub struct Mapping<'a> {
    of: Of<'a>,
}

#[derive(Clone, Copy, Debug)]
enum Of<'a> {
    Tables(&'a Tables, Interpolation),
    Steps(&'a ProcessList, Option<&'a LightOf>),
}

impl<'a> Mapping<'a> {
    /// The function of a cube file.
    #[must_use]
    pub fn new(tables: &'a Tables, interpolation: Interpolation) -> Self {
        Self { of: Of::Tables(tables, interpolation) }
    }

    /// The function of a list of steps. One that takes light is put behind what makes light of a camera's signal, so that the whole takes
    /// a signal as any other file does.
    #[must_use]
    pub fn of_steps(list: &'a ProcessList, light: Option<&'a LightOf>) -> Self {
        Self { of: Of::Steps(list, light) }
    }

    /// The tables; `None` for a list of steps.
    #[must_use]
    pub fn tables(&self) -> Option<&'a Tables> {
        match self.of {
            Of::Tables(tables, _) => Some(tables),
            Of::Steps(..) => None,
        }
    }

    /// The value at `input`; inputs of tables outside the domain are held to it.
    #[must_use]
    pub fn apply(&self, input: Rgb) -> Rgb {
        match self.of {
            Of::Tables(tables, interpolation) => tables.sample(input, interpolation),
            Of::Steps(list, light) => list.apply(light.map_or(input, |light| light.apply(input))),
        }
    }

    /// The input range; of a list of steps that of a signal.
    #[must_use]
    pub fn domain(&self) -> &'a Domain {
        self.tables().map_or(&Domain::UNIT, Tables::domain)
    }

    /// Points an axis of the first table that the input meets; `None` for a list of steps, which has a value of its own everywhere.
    #[must_use]
    pub fn points(&self) -> Option<usize> {
        self.tables().map(|tables| match tables {
            Tables::One(table) => table.rows().len(),
            Tables::Three(table) => table.size(),
            Tables::Shaped { shaper, .. } => shaper.rows().len(),
        })
    }

    /// Every number of the file's last table, row by row; `None` for a list of steps.
    #[must_use]
    pub fn rows(&self) -> Option<&'a [Rgb]> {
        self.tables().map(rows_of)
    }

    /// Inputs of up to `most` nodes along the grey axis, first and last among them; of a list of steps `most` of them at equal steps.
    #[must_use]
    pub fn grey_inputs(&self, most: usize) -> Vec<Rgb> {
        let most = most.max(2);
        let points = self.points().unwrap_or(most);
        let (domain, last) = (self.domain(), points - 1);
        let count = points.min(most);
        let place = |step: usize| (step * last / (count - 1)) as f64 / last as f64;
        (0..count)
            .map(|step| [0, 1, 2].map(|axis| domain.min[axis] + (domain.max[axis] - domain.min[axis]) * place(step)))
            .collect()
    }
}

/// Every number of a file's last table, row by row.
#[must_use]
pub fn rows_of(tables: &Tables) -> &[Rgb] {
    match tables {
        Tables::One(table) => table.rows(),
        Tables::Three(table) | Tables::Shaped { table, .. } => table.nodes(),
    }
}

/// What makes the light that a list of steps takes of a camera's signal.
#[derive(Clone, Debug)]
pub struct LightOf {
    curve: Curve,
    /// The camera's side of a look, where one is known: trims and gamut compression.
    look: Option<Box<Pipeline>>,
    matrix: Matrix3<f64>,
}

impl LightOf {
    /// The light of a camera in the primaries of `gamut`.
    #[must_use]
    pub fn of_camera(camera: &Camera, adaptation: Adaptation, gamut: &Gamut) -> Self {
        let matrix = from_acescg(gamut, adaptation) * camera_to_acescg(camera.gamut, adaptation);
        Self { curve: camera.curve, look: None, matrix }
    }

    /// The light that the camera's side of a look leads to, in the primaries of `gamut`: with its trims and its gamut compression, before its
    /// exposure.
    #[must_use]
    pub fn of_look(plan: &Plan, pipeline: &Pipeline, gamut: &Gamut) -> Self {
        let matrix = from_acescg(gamut, plan.adaptation) / exp2(plan.exposure_stops);
        Self { curve: plan.camera.curve, look: Some(Box::new(pipeline.clone())), matrix }
    }

    /// The same light, exposed by so many stops more.
    #[must_use]
    pub fn exposed(self, stops: f64) -> Self {
        Self { matrix: self.matrix * exp2(stops), ..self }
    }

    /// The light of a signal.
    #[must_use]
    pub fn apply(&self, signal: Rgb) -> Rgb {
        let light = signal.map(|value| self.curve.decode(value));
        let Some(look) = &self.look else { return transform(&self.matrix, light) };
        let mut row = Row::default();
        row.fill_pixels(std::iter::once(light));
        look.camera_blocks().iter().for_each(|block| block.apply(&mut row, &mut Clips::default()));
        let light = row.pixels().next().unwrap_or(light);
        transform(&self.matrix, light)
    }
}

/// From linear ACEScg to the primaries of a gamut.
fn from_acescg(gamut: &Gamut, adaptation: Adaptation) -> Matrix3<f64> {
    if gamut.id == ACESCG.id {
        return Matrix3::identity();
    }
    camera_to_acescg(gamut, adaptation).try_inverse().unwrap_or_else(Matrix3::identity)
}

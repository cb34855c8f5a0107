//! The ASC CDL that comes nearest to a look.

use super::probes::Probes;
use crate::colour::difference::{Lab, ciede2000};
use crate::maths::{Rgb, exp, ln};
use crate::pipeline::{Clips, Pipeline, Row};
use crate::plan::{Cdl, Colour, Diffusion, Plan, Split, Tint};
use crate::verify::Picture;
use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::storage::Owned;
use nalgebra::{Dyn, Matrix, OMatrix, OVector, U10, Vector};

/// Parameters: three slopes, three offsets, three powers, saturation.
const PARAMETERS: usize = 10;

/// Step of the differences that stand for slopes, in the fit's own parameters: small against any change that is seen, large
/// against rounding.
const STEP: f64 = 1e-5;

/// Steps of the search; a fit is found after about ten.
const PATIENCE: usize = 30;

/// An ASC CDL in place of a look.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// The CDL, in ACEScct, in the place of the recipe's `[grade]`.
    pub cdl: Cdl,
    /// Mean CIEDE2000 between it and the look: chart and skins at −3..+3 stops.
    pub mean_de: f64,
    /// 95 % of them lie at or below this.
    pub de_95: f64,
    /// The largest.
    pub max_de: f64,
    /// The mean CIEDE2000 of the plain conversion without any CDL: what the CDL has to make up for.
    pub plain_mean_de: f64,
}

/// Whether the look is nothing but its ASC CDL over the plain conversion: then no other is needed.
#[must_use]
pub fn is_cdl(plan: &Plan) -> bool {
    plan.diffusion.is_identity()
        && plan.white.is_identity()
        && plan.split.is_identity()
        && plan.colour.is_identity()
        && plan.strength == 1.0
        && !plan.monochrome
        && plan.after.is_none()
        && plan.exposure_stops == 0.0
}

/// The plain conversion of a plan with a CDL in place of its look, and of its exposure: whoever takes the CDL has the negative before it.
#[must_use]
pub fn plain_with(plan: &Plan, cdl: Cdl) -> Plan {
    Plan {
        exposure_stops: 0.0,
        diffusion: Diffusion::NONE,
        white: Tint { warmer_mired: 0.0, greener_duv: 0.0, ..plan.white },
        grade: cdl,
        split: Split { shadows: NO_TINT, highlights: NO_TINT, ..plan.split },
        colour: Colour { saturation: 1.0, bands: Vec::new() },
        strength: 1.0,
        monochrome: false,
        after: None,
        ..plan.clone()
    }
}

const NO_TINT: Tint = Tint { reference_kelvin: 5600.0, warmer_mired: 0.0, greener_duv: 0.0 };

/// The CDL whose picture is nearest to the look's, by least squares of CIELAB over chart and skins.
#[must_use]
pub fn fit(plan: &Plan, pipeline: &Pipeline) -> Fit {
    let probes = Probes::new(plan, pipeline);
    let signals = probes.signals[..probes.patches].to_vec();
    let picture = Picture::new(plan);
    let shown = |pipeline: &Pipeline| labs(pipeline, &picture, &signals);
    let wanted = shown(pipeline);
    // A grade that is near already is the best place to start from.
    let start = parameters_of(&plan.grade);
    let problem = Problem { plan, picture: &picture, signals: &signals, wanted: &wanted, parameters: start };
    let (found, _) = LevenbergMarquardt::new().with_patience(PATIENCE).minimize(problem);
    let cdl = rounded(&cdl_of(&found.parameters));
    let differences = |cdl: Cdl| -> Vec<f64> {
        match Pipeline::build(&plain_with(plan, cdl)) {
            Ok((pipeline, _)) => {
                let mut all: Vec<f64> =
                    shown(&pipeline).iter().zip(&wanted).map(|(own, wanted)| ciede2000(*own, *wanted)).collect();
                all.sort_by(f64::total_cmp);
                all
            }
            Err(_) => vec![f64::NAN],
        }
    };
    let own = differences(cdl);
    let plain = differences(Cdl::IDENTITY);
    let mean = |all: &[f64]| all.iter().sum::<f64>() / all.len().max(1) as f64;
    Fit {
        cdl,
        mean_de: mean(&own),
        de_95: own.get(own.len() * 19 / 20).copied().unwrap_or(f64::NAN),
        max_de: own.last().copied().unwrap_or(f64::NAN),
        plain_mean_de: mean(&plain),
    }
}

/// Six decimals: what is written into the file is what was measured.
fn rounded(cdl: &Cdl) -> Cdl {
    let round = |value: f64| (value * 1e6).round() / 1e6;
    Cdl {
        slope: cdl.slope.map(round),
        offset: cdl.offset.map(round),
        power: cdl.power.map(round),
        saturation: round(cdl.saturation),
    }
}

fn labs(pipeline: &Pipeline, picture: &Picture, signals: &[Rgb]) -> Vec<Lab> {
    let mut row = Row::default();
    row.fill_pixels(signals.iter().copied());
    pipeline.evaluate_row(&mut row, &mut Clips::default());
    row.pixels().map(|signal| picture.lab(signal)).collect()
}

type Parameters = OVector<f64, U10>;

/// Slopes, powers and saturation as logarithms, so that none can reach zero.
fn parameters_of(cdl: &Cdl) -> Parameters {
    let saturation = cdl.saturation.max(1e-3);
    Parameters::from_fn(|index, _| match index {
        0..3 => ln(cdl.slope[index].max(1e-3)),
        3..6 => cdl.offset[index - 3],
        6..9 => ln(cdl.power[index - 6]),
        _ => ln(saturation),
    })
}

fn cdl_of(parameters: &Parameters) -> Cdl {
    let three = |first: usize| [parameters[first], parameters[first + 1], parameters[first + 2]];
    Cdl {
        slope: three(0).map(exp),
        offset: three(3),
        power: three(6).map(exp),
        saturation: exp(parameters[PARAMETERS - 1]),
    }
}

/// CIELAB of the CDL's picture less the look's.
struct Problem<'a> {
    plan: &'a Plan,
    picture: &'a Picture,
    signals: &'a [Rgb],
    wanted: &'a [Lab],
    parameters: Parameters,
}

impl Problem<'_> {
    fn at(&self, parameters: &Parameters) -> Option<Vec<f64>> {
        let (pipeline, _) = Pipeline::build(&plain_with(self.plan, cdl_of(parameters))).ok()?;
        let own = labs(&pipeline, self.picture, self.signals);
        let differences = own.iter().zip(self.wanted);
        let all: Vec<f64> =
            differences.flat_map(|(own, wanted)| [own.l - wanted.l, own.a - wanted.a, own.b - wanted.b]).collect();
        all.iter().all(|value| value.is_finite()).then_some(all)
    }
}

impl LeastSquaresProblem<f64, Dyn, U10> for Problem<'_> {
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, U10>;
    type ParameterStorage = Owned<f64, U10>;

    fn set_params(&mut self, parameters: &Vector<f64, U10, Self::ParameterStorage>) {
        self.parameters = *parameters;
    }

    fn params(&self) -> Vector<f64, U10, Self::ParameterStorage> {
        self.parameters
    }

    fn residuals(&self) -> Option<Vector<f64, Dyn, Self::ResidualStorage>> {
        self.at(&self.parameters).map(OVector::<f64, Dyn>::from_vec)
    }

    fn jacobian(&self) -> Option<Matrix<f64, Dyn, U10, Self::JacobianStorage>> {
        let columns: Option<Vec<Vec<f64>>> = (0..PARAMETERS)
            .map(|index| {
                let moved = |by: f64| {
                    let mut parameters = self.parameters;
                    parameters[index] += by;
                    self.at(&parameters)
                };
                let (up, down) = (moved(STEP)?, moved(-STEP)?);
                Some(up.iter().zip(&down).map(|(up, down)| (up - down) / (2.0 * STEP)).collect())
            })
            .collect();
        let columns = columns?;
        let rows = columns.first().map_or(0, Vec::len);
        Some(OMatrix::<f64, Dyn, U10>::from_fn(rows, |row, column| columns[column][row]))
    }
}

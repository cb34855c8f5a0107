//! Tables for what no analytic step can say, and what they miss.

use crate::formats::clf::{Log, LogParams, LogStyle, Lut3, Node, Operation};
use crate::lut::{Domain, Interpolation, Table3};
use crate::maths::Rgb;
use crate::pipeline::Row;
use rayon::prelude::*;

/// What a table misses of the step that it stands for.
#[derive(Clone, Debug, PartialEq)]
pub struct StepError {
    /// Name of the step.
    pub name: String,
    /// Largest difference of a channel, in the unit of the step.
    pub most: f64,
    /// Mean difference of a channel.
    pub mean: f64,
    /// The unit: "ten-bit codes of the display", "stops".
    pub unit: &'static str,
}

/// How a table's axis runs over the values that come in, and how what it gives is stored.
pub(super) struct Axis<'a> {
    /// Place on the axis, 0..1, of a value; outside it is held to the ends.
    pub place: &'a (dyn Fn(f64) -> f64 + Sync),
    /// The value at a place.
    pub value: &'a (dyn Fn(f64) -> f64 + Sync),
}

/// Samples a function over the axis' values; `work` replaces a row of values by what is stored.
pub(super) fn sampled(size: usize, axis: &Axis<'_>, work: &(dyn Fn(&mut Row) + Sync)) -> Table3 {
    let last = (size - 1) as f64;
    let values: Vec<f64> = (0..size).map(|index| (axis.value)(index as f64 / last)).collect();
    let mut nodes = vec![[0.0; 3]; size.pow(3)];
    nodes.par_chunks_mut(size).enumerate().for_each_init(Row::default, |row, (index, line)| {
        row.fill(&values, values[index % size], values[index / size]);
        work(row);
        for (node, pixel) in line.iter_mut().zip(row.pixels()) {
            *node = pixel;
        }
    });
    Table3::new(size, Domain::UNIT, nodes).expect("size³ nodes were made")
}

/// The step of a table.
pub(super) fn lut3(name: &str, description: String, table: Table3) -> Node {
    let interpolation = Interpolation::Tetrahedral;
    Node::new(name, description, Operation::Lut3(Lut3 { table, interpolation }))
}

/// What a table misses, at the values of `probes`: `difference` of what is read and what is exact, in the step's unit.
pub(super) fn measured(
    table: &Table3,
    axis: &Axis<'_>,
    probes: &[Rgb],
    exact: &[Rgb],
    difference: impl Fn(f64, f64) -> f64,
) -> (f64, f64) {
    let (mut most, mut sum) = (0.0_f64, 0.0);
    for (probe, exact) in probes.iter().zip(exact) {
        let read = table.sample(probe.map(|value| (axis.place)(value)), Interpolation::Tetrahedral);
        for channel in 0..3 {
            let off = difference(read[channel], exact[channel]);
            most = if off > most || off.is_nan() { off } else { most };
            sum += off;
        }
    }
    (most, sum / (3 * probes.len().max(1)) as f64)
}

/// Names a step's description with its error.
pub(super) fn told(what: &str, size: usize, error: &StepError) -> String {
    format!(
        "{what}; a table of {size} points a side, for the standard has no such step; off by at most {} {} (mean {}) on the chart, \
         skins, hues and greys",
        figure(error.most),
        error.unit,
        figure(error.mean)
    )
}

fn figure(value: f64) -> String {
    if value < 0.001 { format!("{value:.1e}") } else { format!("{value:.3}") }
}

/// The scaled logarithm of ACEScct that brings scene light up to `top` into 0..1, in both directions. [aces-s-2016-001]
pub(super) struct SceneLog {
    scale: f64,
}

/// ACEScct as the standard's logarithm: 17.52 stops, an offset of 9.72, a straight line below 0.0078125. [aces-s-2016-001]
const STOPS: f64 = 17.52;
const OFFSET: f64 = 9.72;
const BREAK: f64 = 0.007_812_5;
const LINEAR_SLOPE: f64 = 10.540_237_741_654_5;

impl SceneLog {
    /// For scene light up to `top`.
    pub(super) fn new(top: f64) -> Self {
        Self { scale: crate::colour::encodings::acescct::encode(top) }
    }

    pub(super) fn place(&self, light: f64) -> f64 {
        crate::colour::encodings::acescct::encode(light) / self.scale
    }

    pub(super) fn light(&self, place: f64) -> f64 {
        crate::colour::encodings::acescct::decode(place * self.scale)
    }

    /// The step in one of the two directions.
    pub(super) fn node(&self, style: LogStyle) -> Node {
        let params = LogParams {
            base: 2.0,
            log_side_slope: 1.0 / (STOPS * self.scale),
            log_side_offset: OFFSET / (STOPS * self.scale),
            lin_side_slope: 1.0,
            lin_side_offset: 0.0,
            lin_side_break: Some(BREAK),
            linear_slope: Some(LINEAR_SLOPE / self.scale),
        };
        let (name, description) = match style {
            LogStyle::CameraLinToLog => {
                ("to the table's axis", "scene-linear light to the axis of the table that follows: ACEScct, scaled")
            }
            _ => ("from the table's axis", "back to scene-linear light"),
        };
        let description = if (self.scale - 1.0).abs() < f64::EPSILON {
            description.replace(", scaled", "")
        } else {
            description.to_owned()
        };
        Node::new(name, description, Operation::Log(Log { style, params: [params; 3] }))
    }
}

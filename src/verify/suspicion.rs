//! Where the numbers of a file are wrong: what it probably is instead.

use super::nodes::Nodes;
use crate::colour::displays::DisplayEncoding;
use crate::colour::encodings::{Curve, ENCODINGS, Functions};
use crate::colour::gamuts;
use crate::lut::Table3;
use crate::maths::Rgb;
use crate::pipeline::Pipeline;
use crate::plan::{Levels, Plan};

/// Up to this many changed rows are called a change, not another file.
const FEW: usize = 16;

/// Nodes an axis that an idea is tried on.
const TRIED: usize = 6;

/// An idea explains a file whose numbers it meets this closely: three decimals and more.
const EXPLAINED: f64 = 6e-4;

/// Orders of three channels other than the right one.
const ORDERS: [[usize; 3]; 5] = [[2, 1, 0], [1, 0, 2], [0, 2, 1], [1, 2, 0], [2, 0, 1]];

/// One sentence about what the file probably is.
pub(super) fn suspect(table: &Table3, plan: &Plan, nodes: &Nodes) -> String {
    if nodes.incomparable.is_none() && nodes.changed <= FEW {
        return match nodes.changed {
            1 => "one row was changed after the file was made".to_owned(),
            few => format!("{few} rows were changed after the file was made"),
        };
    }
    let tried = Tried::new(table);
    tried
        .channels(plan)
        .or_else(|| tried.levels(plan))
        .or_else(|| tried.exposure_index(plan))
        .or_else(|| tried.scaled(plan))
        .or_else(|| tried.exposure(plan))
        .or_else(|| tried.other_camera(plan))
        .or_else(|| tried.other_display(plan))
        .unwrap_or_else(|| "most likely the file of another recipe, or of another version of this one".to_owned())
}

/// Some nodes of the file, with their inputs.
struct Tried(Vec<(Rgb, Rgb)>);

impl Tried {
    fn new(table: &Table3) -> Self {
        let last = table.size() - 1;
        let axis: Vec<usize> = (0..TRIED).map(|step| step * last / (TRIED - 1)).collect();
        let domain = table.domain();
        let mut nodes = Vec::with_capacity(TRIED * TRIED * TRIED);
        for b in &axis {
            for g in &axis {
                for r in &axis {
                    let index = [*r, *g, *b];
                    let input = [0, 1, 2]
                        .map(|i| domain.min[i] + (domain.max[i] - domain.min[i]) * index[i] as f64 / last as f64);
                    nodes.push((input, table.node(*r, *g, *b)));
                }
            }
        }
        Self(nodes)
    }

    /// Largest distance of the file from an idea, over all but the worst twentieth of the nodes.
    fn distance(&self, idea: impl Fn(Rgb) -> Rgb) -> f64 {
        let mut distances: Vec<f64> = self
            .0
            .iter()
            .map(|(input, got)| {
                let expected = idea(*input);
                (0..3).map(|i| (expected[i] - got[i]).abs()).fold(0.0, f64::max)
            })
            .collect();
        distances.sort_by(f64::total_cmp);
        distances[distances.len() - 1 - distances.len() / 20]
    }

    fn explains(&self, plan: &Plan) -> bool {
        Pipeline::build(plan).is_ok_and(|(pipeline, _)| self.distance(|input| pipeline.evaluate(input)) <= EXPLAINED)
    }

    fn channels(&self, plan: &Plan) -> Option<String> {
        let (pipeline, _) = Pipeline::build(plan).ok()?;
        let turn = |rgb: Rgb, order: [usize; 3]| order.map(|i| rgb[i]);
        let letters = |order: [usize; 3]| order.map(|i| ["red", "green", "blue"][i]).join(", ");
        for order in ORDERS {
            if self.distance(|input| pipeline.evaluate(turn(input, order))) <= EXPLAINED {
                return Some(format!("its axes are swapped: read as {}", letters(order)));
            }
            if self.distance(|input| turn(pipeline.evaluate(input), order)) <= EXPLAINED {
                return Some(format!("its columns are swapped: they hold {}", letters(order)));
            }
            if self.distance(|input| turn(pipeline.evaluate(turn(input, order)), order)) <= EXPLAINED {
                return Some(format!("both its axes and its columns are in another order: {}", letters(order)));
            }
        }
        None
    }

    fn levels(&self, plan: &Plan) -> Option<String> {
        for input_levels in Levels::ALL {
            for output_levels in Levels::ALL {
                let mut other = plan.clone();
                (other.device.input_levels, other.device.output_levels) = (input_levels, output_levels);
                if other.device != plan.device && self.explains(&other) {
                    return Some(format!(
                        "it was made for other levels: input {}, output {}",
                        input_levels.id(),
                        output_levels.id()
                    ));
                }
            }
        }
        None
    }

    fn exposure_index(&self, plan: &Plan) -> Option<String> {
        let encoding = plan.camera.curve.encoding();
        let Functions::ByExposureIndex { indices, .. } = encoding.functions else { return None };
        indices.iter().find_map(|index| {
            let mut other = plan.clone();
            other.camera.curve = Curve::new(encoding, Some(*index)).ok()?;
            let differs = plan.camera.curve.exposure_index() != Some(*index);
            (differs && self.explains(&other)).then(|| format!("it was made for exposure index {index}"))
        })
    }

    /// The file's numbers as a multiple of the look's, and an offset.
    fn scaled(&self, plan: &Plan) -> Option<String> {
        let (pipeline, _) = Pipeline::build(plan).ok()?;
        let pairs: Vec<(f64, f64)> = self
            .0
            .iter()
            .flat_map(|(input, got)| pipeline.evaluate(*input).into_iter().zip(*got))
            .filter(|(_, got)| *got > 0.0 && *got < 1.0)
            .collect();
        let count = pairs.len() as f64;
        let mean = |of: &dyn Fn(&(f64, f64)) -> f64| pairs.iter().map(of).sum::<f64>() / count;
        let (mean_exact, mean_got) = (mean(&|pair| pair.0), mean(&|pair| pair.1));
        let spread = mean(&|pair| (pair.0 - mean_exact) * (pair.0 - mean_exact));
        let gain = mean(&|pair| (pair.0 - mean_exact) * (pair.1 - mean_got)) / spread;
        let offset = mean_got - gain * mean_exact;
        let fits = self.distance(|input| pipeline.evaluate(input).map(|value| (gain * value + offset).clamp(0.0, 1.0)))
            <= EXPLAINED
            || self.distance(|input| pipeline.evaluate(input).map(|value| gain * value + offset)) <= EXPLAINED;
        (fits && gain.is_finite()).then(|| {
            format!("its values were re-scaled: about {gain:.4} times the look's, {offset:+.4}; a change of levels or range after it was made")
        })
    }

    fn exposure(&self, plan: &Plan) -> Option<String> {
        let distance = |stops: f64| {
            let mut other = plan.clone();
            other.exposure_stops += stops;
            Pipeline::build(&other)
                .map_or(f64::INFINITY, |(pipeline, _)| self.distance(|input| pipeline.evaluate(input)))
        };
        let coarse = (-24..=24).map(|step| f64::from(step) / 6.0);
        let mut best = coarse.min_by(|a, b| distance(*a).total_cmp(&distance(*b)))?;
        let mut step = 1.0 / 12.0;
        while step > 1e-4 {
            best = [best - step, best, best + step].into_iter().min_by(|a, b| distance(*a).total_cmp(&distance(*b)))?;
            step /= 2.0;
        }
        (best.abs() > 1e-3 && distance(best) <= EXPLAINED)
            .then(|| format!("it is the same look at another exposure: {best:+.2} stops"))
    }

    fn other_camera(&self, plan: &Plan) -> Option<String> {
        for encoding in ENCODINGS {
            let indices: Vec<Option<u32>> = match encoding.functions {
                Functions::Fixed { .. } => vec![None],
                Functions::ByExposureIndex { indices, .. } => indices.iter().copied().map(Some).collect(),
            };
            for index in indices {
                let Ok(curve) = Curve::new(encoding, index) else { continue };
                let own = encoding.gamuts.iter().filter_map(|id| gamuts::find(id));
                for gamut in own.chain([plan.camera.gamut]) {
                    let mut other = plan.clone();
                    (other.camera.curve, other.camera.gamut) = (curve, gamut);
                    if self.explains(&other) {
                        let index = index.map_or(String::new(), |index| format!(" EI {index}"));
                        return Some(format!("it was made for another camera: {}{index} / {}", encoding.id, gamut.id));
                    }
                }
            }
        }
        None
    }

    fn other_display(&self, plan: &Plan) -> Option<String> {
        for encoding in DisplayEncoding::ALL {
            for id in crate::recipe::parameter::DISPLAY_GAMUTS {
                let mut other = plan.clone();
                let Some(gamut) = gamuts::find(id) else { continue };
                (other.display.encoding, other.display.gamut) = (encoding, gamut);
                if self.explains(&other) {
                    return Some(format!("it was made for another display: {} / {id}", encoding.id()));
                }
            }
        }
        None
    }
}

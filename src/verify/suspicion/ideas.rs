//! The known mistakes, each as a table that it would make.

use super::super::nodes::Nodes;
use super::tried::Tried;
use crate::colour::displays::{Display, DisplayEncoding};
use crate::colour::encodings::{Curve, ENCODINGS, Functions};
use crate::colour::gamuts;
use crate::lut::{Domain, Interpolation, Table3};
use crate::maths::{Rgb, ln, pow};
use crate::pipeline::Pipeline;
use crate::plan::{Cdl, Colour, Diffusion, Levels, Plan, Trim};

/// An idea explains a file whose numbers it meets this closely: three decimals and more.
const EXPLAINED: f64 = 6e-4;

/// Ideas that meet the numbers equally well, up to how a file is printed: the earlier one is told.
const SAME: f64 = 2e-6;

/// Orders of three channels other than the right one.
const ORDERS: [[usize; 3]; 5] = [[2, 1, 0], [1, 0, 2], [0, 2, 1], [1, 2, 0], [2, 0, 1]];

/// What is printed of a power law that was applied once more, by its exponent. A power within 1 % of it is that law.
const POWERS: [(f64, &str); 6] = [
    (1.0 / 2.4, "the display encoding (power 1/2.4) was applied once more"),
    (1.0 / 2.2, "a display encoding (power 1/2.2) was applied once more"),
    (1.0 / 2.6, "a display encoding (power 1/2.6) was applied once more"),
    (2.4, "the display encoding (power 2.4) was undone"),
    (2.2, "a display encoding (power 2.2) was undone"),
    (2.6, "a display encoding (power 2.6) was undone"),
];

/// Numbers coarser than this can't tell a resampled table from one that was sampled: the differences are of the same size.
const RESAMPLED_LIMIT: f64 = 1e-5;

/// Stops either way in which the same look is looked for at another exposure.
const EXPOSURE_STOPS: i32 = 4;

/// Ideas that were tried, with their distance from the file.
pub(super) struct Ideas<'a> {
    tried: &'a Tried,
    plan: &'a Plan,
    pipeline: &'a Pipeline,
    found: Vec<(f64, String)>,
}

impl<'a> Ideas<'a> {
    /// Tries all of them.
    pub(super) fn of(tried: &'a Tried, plan: &'a Plan, pipeline: &'a Pipeline, nodes: &Nodes) -> Self {
        let mut ideas = Self { tried, plan, pipeline, found: Vec::new() };
        ideas.nothing();
        ideas.axes_and_columns();
        ideas.levels();
        ideas.exposure_index();
        ideas.values();
        ideas.twice();
        ideas.resampled(nodes);
        ideas.without_a_block();
        ideas.exposure();
        ideas.other_gamut();
        ideas.other_camera();
        ideas.other_display();
        ideas
    }

    /// The closest one, if it explains the file.
    pub(super) fn best(self) -> Option<String> {
        let least = self.found.iter().map(|(distance, _)| *distance).fold(f64::INFINITY, f64::min);
        self.found
            .into_iter()
            .find(|(distance, _)| *distance <= EXPLAINED && *distance <= least + SAME)
            .map(|(_, told)| told)
    }

    fn try_function(&mut self, idea: impl Fn(Rgb) -> Rgb, told: impl FnOnce() -> String) {
        let distance = self.tried.distance(idea);
        if distance <= EXPLAINED {
            self.found.push((distance, told()));
        }
    }

    fn try_plan(&mut self, change: impl FnOnce(&mut Plan), told: impl FnOnce() -> String) {
        let mut other = self.plan.clone();
        change(&mut other);
        if other.canonical() != self.plan.canonical()
            && let Ok((pipeline, _)) = Pipeline::build(&other)
        {
            self.try_function(|input| pipeline.evaluate(input), told);
        }
    }

    /// Tables that hold no look at all.
    fn nothing(&mut self) {
        self.try_function(|input| input, || "it is an identity: it changes nothing".to_owned());
        let first = self.tried.nodes[0].1;
        self.try_function(|_| first, || "all its rows are the same".to_owned());
    }

    fn axes_and_columns(&mut self) {
        let pipeline = self.pipeline;
        let turn = |rgb: Rgb, order: [usize; 3]| order.map(|i| rgb[i]);
        let letters = |order: [usize; 3]| order.map(|i| ["red", "green", "blue"][i]).join(", ");
        for order in ORDERS {
            self.try_function(
                |input| pipeline.evaluate(turn(input, order)),
                || match order {
                    [2, 1, 0] => "its axes are swapped: blue runs fastest instead of red".to_owned(),
                    _ => format!("its axes are swapped: read as {}", letters(order)),
                },
            );
            self.try_function(
                |input| turn(pipeline.evaluate(input), order),
                || format!("its columns are swapped: they hold {}", letters(order)),
            );
            self.try_function(
                |input| turn(pipeline.evaluate(turn(input, order)), order),
                || format!("both its axes and its columns are in another order: {}", letters(order)),
            );
        }
        for mask in 1..8_usize {
            let reversed: Vec<&str> =
                (0..3).filter(|i| mask >> i & 1 == 1).map(|i| ["red", "green", "blue"][i]).collect();
            self.try_function(
                |input| {
                    pipeline.evaluate([0, 1, 2].map(|i| if mask >> i & 1 == 1 { 1.0 - input[i] } else { input[i] }))
                },
                || format!("its {} run{} backwards", axes(&reversed), if reversed.len() == 1 { "s" } else { "" }),
            );
        }
        self.try_function(
            |input| pipeline.evaluate(input).map(|value| 1.0 - value),
            || "it is the negative of the look".to_owned(),
        );
    }

    fn levels(&mut self) {
        for input in Levels::ALL {
            for output in Levels::ALL {
                self.try_plan(
                    |plan| (plan.device.input_levels, plan.device.output_levels) = (input, output),
                    || format!("it was made for other levels: input {}, output {}", input.id(), output.id()),
                );
            }
        }
    }

    fn exposure_index(&mut self) {
        let encoding = self.plan.camera.curve.encoding();
        let Functions::ByExposureIndex { indices, .. } = encoding.functions else { return };
        for index in indices {
            if let Ok(curve) = Curve::new(encoding, Some(*index)) {
                self.try_plan(|plan| plan.camera.curve = curve, || format!("it was made for exposure index {index}"));
            }
        }
    }

    /// The look's values, changed by a line or a power.
    fn values(&mut self) {
        let pipeline = self.pipeline;
        let pairs = self.tried.pairs(|input| pipeline.evaluate(input));
        if let Some((gain, offset)) = line(&pairs) {
            let told = || {
                format!(
                    "its values were re-scaled after it was made: {gain:.4} times the look's, {offset:+.4}; {}",
                    scale(gain, offset)
                )
            };
            self.try_function(
                |input| pipeline.evaluate(input).map(|value| (gain * value + offset).clamp(0.0, 1.0)),
                told,
            );
            self.try_function(|input| pipeline.evaluate(input).map(|value| gain * value + offset), told);
        }
        if let Some(power) = power(&pairs) {
            let named = POWERS.iter().find(|(exponent, _)| (power / exponent - 1.0).abs() < 0.01);
            let told = || match named {
                Some((_, told)) => format!("{told}: its values are the look's to the power of {power:.3}"),
                None => format!("a gamma was applied to it: its values are the look's to the power of {power:.3}"),
            };
            self.try_function(|input| pipeline.evaluate(input).map(|value| pow(value.max(0.0), power)), told);
        }
        for encoding in DisplayEncoding::ALL {
            let display = Display::new(encoding, self.plan.display.peak_nits);
            let once_more =
                || format!("the display encoding was applied once more: {} on top of the look", encoding.id());
            self.try_function(|input| display.encode(pipeline.evaluate(input)), once_more);
            let undone =
                || format!("the display encoding was undone: its values are the look's light, by {}", encoding.id());
            self.try_function(|input| display.decode(pipeline.evaluate(input)), undone);
        }
    }

    fn twice(&mut self) {
        let pipeline = self.pipeline;
        self.try_function(
            |input| pipeline.evaluate(pipeline.evaluate(input)),
            || "the look was applied twice".to_owned(),
        );
    }

    /// The look sampled at a smaller grid and interpolated to this one. All numbers must fit, for a table is near its own
    /// coarser one everywhere.
    fn resampled(&mut self, nodes: &Nodes) {
        let pipeline = self.pipeline;
        if nodes.limit > RESAMPLED_LIMIT {
            return;
        }
        let closeness = 2.0 * nodes.limit.max(SAME / 4.0) + SAME;
        let few = self.tried.thinned();
        for size in (2..=65_usize).filter(|size| !(size - 1).is_multiple_of(self.tried.size - 1)) {
            for interpolation in Interpolation::ALL {
                if few.distance(|input| coarse(pipeline, size, interpolation, input)) > closeness {
                    continue;
                }
                let distance = self.tried.distance(|input| coarse(pipeline, size, interpolation, input));
                if distance <= closeness {
                    let told = format!(
                        "it is the look sampled at {size} points a side and resampled ({} interpolation)",
                        interpolation.id()
                    );
                    self.found.push((distance, told));
                    return;
                }
            }
        }
    }

    fn without_a_block(&mut self) {
        let told = |block: &str| format!("it is the same look without its [{block}]");
        self.try_plan(
            |plan| plan.white.warmer_mired = -plan.white.warmer_mired,
            || "its white shift goes the other way".to_owned(),
        );
        self.try_plan(|plan| (plan.white.warmer_mired, plan.white.greener_duv) = (0.0, 0.0), || told("white"));
        self.try_plan(|plan| plan.trim = Trim::IDENTITY, || told("trim"));
        self.try_plan(
            |plan| plan.camera_trim = Trim::IDENTITY,
            || "it is the same look without the trim of its camera".to_owned(),
        );
        self.try_plan(|plan| plan.strength = 1.0, || "it is the same look at full strength".to_owned());
        self.try_plan(|plan| plan.strength = 0.0, || "it is the plain conversion, without the look".to_owned());
        self.try_plan(
            |plan| plan.monochrome = !plan.monochrome,
            || "it is the same look, with colour where there should be none, or the other way round".to_owned(),
        );
        self.try_plan(|plan| plan.after = None, || told("after"));
        self.try_plan(|plan| plan.diffusion = Diffusion::NONE, || told("diffusion"));
        self.try_plan(|plan| plan.grade = Cdl::IDENTITY, || told("grade"));
        self.try_plan(
            |plan| {
                (plan.split.shadows, plan.split.highlights) = (plan.white, plan.white);
                for tint in [&mut plan.split.shadows, &mut plan.split.highlights] {
                    (tint.warmer_mired, tint.greener_duv) = (0.0, 0.0);
                }
            },
            || told("split"),
        );
        self.try_plan(|plan| plan.tone = None, || told("tone"));
        self.try_plan(|plan| plan.colour = Colour { saturation: 1.0, bands: Vec::new() }, || told("colour"));
        self.try_plan(
            |plan| plan.output.compress = !plan.output.compress,
            || "`gamut.output_compress` was set the other way".to_owned(),
        );
        self.try_plan(
            |plan| plan.input_compress = !plan.input_compress,
            || "`gamut.input_compress` was set the other way".to_owned(),
        );
    }

    fn exposure(&mut self) {
        let distance = |stops: f64| {
            let mut other = self.plan.clone();
            other.exposure_stops += stops;
            Pipeline::build(&other)
                .map_or(f64::INFINITY, |(pipeline, _)| self.tried.distance(|input| pipeline.evaluate(input)))
        };
        let coarse = (-6 * EXPOSURE_STOPS..=6 * EXPOSURE_STOPS).map(|step| f64::from(step) / 6.0);
        let Some(mut best) = least(coarse, distance) else { return };
        let mut step = 1.0 / 12.0;
        while step > 1e-4 {
            best = least([best, best - step, best + step], distance).unwrap_or(best);
            step /= 2.0;
        }
        if best.abs() > 1e-3 {
            self.try_plan(
                |plan| plan.exposure_stops += best,
                || format!("it is the same look at another exposure: {best:+.2} stops"),
            );
        }
    }

    fn other_camera(&mut self) {
        for encoding in ENCODINGS {
            let indices: Vec<Option<u32>> = match encoding.functions {
                Functions::Fixed { .. } => vec![None],
                Functions::ByExposureIndex { indices, .. } => indices.iter().copied().map(Some).collect(),
            };
            for index in indices {
                let Ok(curve) = Curve::new(encoding, index) else { continue };
                let own = encoding.gamuts.iter().filter_map(|id| gamuts::find(id));
                for gamut in own.chain([self.plan.camera.gamut]) {
                    self.try_plan(
                        |plan| (plan.camera.curve, plan.camera.gamut) = (curve, gamut),
                        || {
                            let index = index.map_or(String::new(), |index| format!(" EI {index}"));
                            format!("it was made for another camera: {}{index} / {}", encoding.id, gamut.id)
                        },
                    );
                }
            }
        }
    }

    fn other_gamut(&mut self) {
        for gamut in gamuts::GAMUTS {
            self.try_plan(
                |plan| plan.camera.gamut = gamut,
                || format!("it was made for another camera gamut: {}", gamut.id),
            );
        }
    }

    fn other_display(&mut self) {
        for encoding in DisplayEncoding::ALL {
            for id in crate::recipe::parameter::DISPLAY_GAMUTS {
                let Some(gamut) = gamuts::find(id) else { continue };
                self.try_plan(
                    |plan| (plan.display.encoding, plan.display.gamut) = (encoding, gamut),
                    || format!("it was made for another display: {} / {id}", encoding.id()),
                );
            }
        }
    }
}

fn axes(reversed: &[&str]) -> String {
    match reversed {
        [one] => format!("{one} axis"),
        several => format!("{} axes", several.join(" and ")),
    }
}

/// What a line of gain and offset usually is.
fn scale(gain: f64, offset: f64) -> &'static str {
    let near = |a: f64, b: f64| (a - b).abs() < 2e-3;
    if near(gain, 876.0 / 1023.0) && near(offset, 64.0 / 1023.0) {
        "full range squeezed into legal range"
    } else if near(gain, 1023.0 / 876.0) && near(offset, -64.0 / 876.0) {
        "legal range stretched to full range"
    } else {
        "a change of levels, range or brightness"
    }
}

/// Gain and offset between the look's values and the file's, by least squares over what is not clipped in the file.
fn line(pairs: &[(f64, f64)]) -> Option<(f64, f64)> {
    let inner: Vec<(f64, f64)> = pairs.iter().copied().filter(|(_, got)| *got > 0.0 && *got < 1.0).collect();
    let count = inner.len() as f64;
    let mean = |of: &dyn Fn(&(f64, f64)) -> f64| inner.iter().map(of).sum::<f64>() / count;
    let (mean_exact, mean_got) = (mean(&|pair| pair.0), mean(&|pair| pair.1));
    let spread = mean(&|pair| (pair.0 - mean_exact) * (pair.0 - mean_exact));
    let gain = mean(&|pair| (pair.0 - mean_exact) * (pair.1 - mean_got)) / spread;
    // A gain near 0 is a flat table, which every look would explain.
    let offset = mean_got - gain * mean_exact;
    // What rounding leaves of no offset would be printed as −0.0000.
    let offset = if offset.abs() < 5e-5 { 0.0 } else { offset };
    (gain.is_finite() && gain.abs() > 0.05).then_some((gain, offset))
}

/// The exponent between the look's values and the file's: the median over what is neither black nor white.
fn power(pairs: &[(f64, f64)]) -> Option<f64> {
    let inner = pairs.iter().filter(|(exact, got)| (0.02..0.98).contains(exact) && *got > 0.0);
    let mut exponents: Vec<f64> = inner.map(|(exact, got)| ln(*got) / ln(*exact)).collect();
    exponents.sort_by(f64::total_cmp);
    let power = exponents.get(exponents.len() / 2).copied()?;
    (power.is_finite() && (power - 1.0).abs() > 5e-3 && power > 0.05).then_some(power)
}

/// The one of `values` with the least `distance`, the first of equals.
fn least(values: impl IntoIterator<Item = f64>, distance: impl Fn(f64) -> f64) -> Option<f64> {
    values.into_iter().map(|value| (distance(value), value)).min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, value)| value)
}

/// What a table of `size` points a side gives: its eight nodes around the input, read as a table of one cell.
fn coarse(pipeline: &Pipeline, size: usize, interpolation: Interpolation, input: Rgb) -> Rgb {
    let cells = (size - 1) as f64;
    let place = input.map(|value| value.clamp(0.0, 1.0) * cells);
    let below = place.map(|value| value.floor().min(cells - 1.0));
    let nodes = (0..8_usize)
        .map(|corner| pipeline.evaluate([0, 1, 2].map(|axis| (below[axis] + (corner >> axis & 1) as f64) / cells)))
        .collect();
    let cell = Table3::new(2, Domain::UNIT, nodes).expect("eight nodes");
    cell.sample([0, 1, 2].map(|axis| place[axis] - below[axis]), interpolation)
}

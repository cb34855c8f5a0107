//! From ACEScg of the scene to the display's signal: tone, colour, gamut and encoding.

use super::table::{Axis, SceneLog, StepError, lut3, measured, sampled, told};
use super::translation::{Step, matrix_node};
use crate::colour::displays::{Display, DisplayEncoding};
use crate::formats::clf::{
    Exponent, ExponentParams, ExponentStyle, Log, LogParams, LogStyle, Lut1, Lut3, Matrix, Node, Operation, Range,
};
use crate::lut::{Domain, Interpolation, Table1, Tables};
use crate::maths::{CODE10_MAX, GREY, Rgb, exp2, log2, pow};
use crate::pipeline::{Block, Clips, Pipeline, Row, ToneBlock};
use crate::plan::{After, Levels, Plan};
use nalgebra::Matrix3;

/// Rows of the table that holds the tone curve along its own axis: half a row is a hundredth of a ten-bit code.
const TONE_ROWS: usize = 4096;

/// Tables take and give display light in this power, in which codes are about even. That of BT.1886.
const TABLE_POWER: f64 = 2.4;

/// Points a side of a table from light to the display that holds the tone curve too.
const WHOLE_SIZE: usize = 65;

/// Points a side of a table from post that can't stand in a list as it is.
const AFTER_SIZE: usize = 65;

/// Everything that the display side of a look is made from.
pub(super) struct Side<'a> {
    pub plan: &'a Plan,
    pub pipeline: &'a Pipeline,
    /// The look's blocks behind its scene side.
    pub blocks: Vec<&'a Block>,
    /// Points a side of its table.
    pub size: usize,
    /// The brightest light that a table must hold.
    pub top: f64,
}

impl Side<'_> {
    /// The steps. `row` holds light of the scene that the errors are measured at.
    pub(super) fn steps(&self, row: &mut Row) -> Vec<Step> {
        let mut shown = row.clone();
        let mut steps = self.to_signal(row);
        if let Some(after) = &self.plan.after {
            self.blocks.iter().for_each(|block| block.apply(&mut shown, &mut Clips::default()));
            self.pipeline.to_display_light(&mut shown);
            self.pipeline.to_display_signal(&mut shown);
            steps.push(self.behind(after, &shown));
        }
        steps
    }

    /// The table from post that lies over the display's signal.
    fn behind(&self, after: &After, shown: &Row) -> Step {
        // A table over 0..1 of full levels is the step itself; anything else is sampled.
        let plain = after.input_levels == Levels::Full && after.output_levels == Levels::Full && !self.plan.monochrome;
        let (size, interpolation) = match &*after.tables {
            Tables::Three(table) if plain && *table.domain() == Domain::UNIT => (table.size(), after.interpolation),
            _ => (AFTER_SIZE, Interpolation::Tetrahedral),
        };
        let axis = Axis { place: &|signal| signal, value: &|place| place };
        let work = |row: &mut Row| row.each(|signal| self.pipeline.behind(signal, &mut Clips::default()));
        let table = sampled(size, &axis, &work);
        let (mut most, mut sum, mut count) = (0.0_f64, 0.0, 0_u32);
        for signal in shown.pixels() {
            let (read, exact) =
                (table.sample(signal, interpolation), self.pipeline.behind(signal, &mut Clips::default()));
            for channel in 0..3 {
                let off = (read[channel] - exact[channel]).abs() * CODE10_MAX;
                most = most.max(off);
                sum += off;
                count += 1;
            }
        }
        let name = "table from post".to_owned();
        let mean = sum / f64::from(count.max(1));
        let error = StepError { name: name.clone(), most, mean, unit: "ten-bit codes of the display" };
        let description = told("the recipe's [after], a table that came from post", size, &error);
        let operation = Operation::Lut3(Lut3 { table, interpolation });
        Step { node: Node::new(name, description, operation), error: Some(error) }
    }

    /// From light to the display's signal, before a table from post.
    fn to_signal(&self, row: &mut Row) -> Vec<Step> {
        let tone = self.blocks.iter().find_map(|block| if let Block::Tone(tone) = block { Some(tone) } else { None });
        let separate = tone.is_some_and(|tone| tone.hue_hold() == 0.0);
        if self.is_analytic(tone.is_some() && !separate) {
            return self.analytic(tone, row);
        }
        let mut steps = Vec::new();
        if let Some(tone) = tone {
            steps.push(Step::exact(tone_axis(tone, self.white_end(tone))));
            if separate {
                steps.push(self.tone_curve(tone, TABLE_POWER, row));
            }
        }
        match tone {
            Some(_) if separate => {
                let axis = Axis {
                    place: &|light| pow(light.max(0.0), 1.0 / TABLE_POWER),
                    value: &|place| pow(place, TABLE_POWER),
                };
                steps.push(self.tabled(&self.blocks[1..], &axis, self.size, row));
            }
            Some(tone) => {
                let (flare, [black, _]) = tone.axis();
                let white = self.white_end(tone);
                let place = |light: f64| tone_place(light, flare, black, white);
                let value = |place: f64| tone_light(place, flare, black, white);
                steps.push(self.tabled(&self.blocks, &Axis { place: &place, value: &value }, WHOLE_SIZE, row));
            }
            None if self.blocks.iter().all(|block| !matches!(block, Block::Mix(_))) => {
                steps.push(Step::exact(even_axis()));
                let axis = Axis { place: &even_place, value: &even_light };
                steps.push(self.tabled(&self.blocks, &axis, WHOLE_SIZE, row));
            }
            None => {
                let log = SceneLog::new(self.top);
                steps.push(Step::exact(log.node(LogStyle::CameraLinToLog)));
                let axis = Axis { place: &|light| log.place(light), value: &|place| log.light(place) };
                steps.push(self.tabled(&self.blocks, &axis, WHOLE_SIZE, row));
            }
        }
        steps.extend(self.encoded_from_power());
        steps
    }

    /// Whether no block needs a table over all three channels.
    fn is_analytic(&self, holds_hue: bool) -> bool {
        let only_tone = self.blocks.iter().all(|block| matches!(block, Block::Tone(_)));
        only_tone && !holds_hue && !self.pipeline.output().compresses() && !self.keeps_signal(DisplayEncoding::Hlg)
    }

    /// Where the tone curve's axis ends, in its stops: at white, and where a look holds hues at the brightest light, for what lies beyond white
    /// still tells the channels apart.
    fn white_end(&self, tone: &ToneBlock) -> f64 {
        let (flare, [_, white]) = tone.axis();
        let brightest = log2((self.top + flare) / (GREY + flare));
        if tone.hue_hold() == 0.0 { white } else { white.max(brightest) }
    }

    fn keeps_signal(&self, encoding: DisplayEncoding) -> bool {
        self.plan.display.encoding == encoding
    }

    /// Absolute encodings are stored as they are: their signal is evener than any power of their light.
    fn stores_signal(&self) -> bool {
        self.plan.display.encoding.needs_peak()
    }

    /// What a table stores of the light of the display's channels.
    fn stored(&self, row: &mut Row) {
        self.pipeline.to_display_light(row);
        if self.stores_signal() {
            self.pipeline.to_display_signal(row);
        } else {
            row.each(|light| light.map(|value| pow(value.max(0.0), 1.0 / TABLE_POWER)));
        }
    }

    /// A table from display-linear or scene-linear ACEScg to what is stored.
    fn tabled(&self, blocks: &[&Block], axis: &Axis<'_>, size: usize, row: &mut Row) -> Step {
        let work = |row: &mut Row| {
            blocks.iter().for_each(|block| block.apply(row, &mut Clips::default()));
            self.stored(row);
        };
        let table = sampled(size, axis, &work);
        let probes: Vec<Rgb> = row.pixels().collect();
        work(row);
        let exact: Vec<Rgb> = row.pixels().collect();
        let display = Display::new(self.plan.display.encoding, self.plan.display.peak_nits);
        let signal = |stored: f64| {
            if self.stores_signal() { stored } else { display.encode([pow(stored.max(0.0), TABLE_POWER); 3])[0] }
        };
        let codes = |read: f64, exact: f64| (signal(read) - signal(exact)).abs() * CODE10_MAX;
        let (most, mean) = measured(&table, axis, &probes, &exact, codes);
        let name = self.table_name(blocks);
        let error = StepError { name: name.clone(), most, mean, unit: "ten-bit codes of the display" };
        let gives = if self.stores_signal() {
            format!("the {} signal", self.plan.display.encoding.name())
        } else {
            format!("the display's light to the power 1/{TABLE_POWER}")
        };
        let mono = if self.plan.monochrome { ", in its luminance alone" } else { "" };
        let what = format!("{name}, into {}{mono}; gives {gives}", self.plan.display.gamut.id);
        Step { node: lut3(&name, told(&what, size, &error), table), error: Some(error) }
    }

    fn table_name(&self, blocks: &[&Block]) -> String {
        let mut parts = Vec::new();
        for block in blocks {
            match block {
                Block::Tone(_) => parts.push("tone"),
                Block::Colour(_) => parts.push("colour"),
                Block::Mix(_) => parts.push("look at its strength"),
                _ => {}
            }
        }
        parts.push("output gamut");
        parts.join(", ")
    }

    /// The tone curve along its axis, giving display-linear light to the power 1/`power`.
    fn tone_curve(&self, tone: &ToneBlock, power: f64, row: &mut Row) -> Step {
        let (flare, [black, white]) = tone.axis();
        let last = (TONE_ROWS - 1) as f64;
        let stored = |light: f64| pow(tone.curve(light), 1.0 / power);
        let rows: Vec<Rgb> =
            (0..TONE_ROWS).map(|index| [stored(tone_light(index as f64 / last, flare, black, white)); 3]).collect();
        let table = Table1::new(Domain::UNIT, rows.clone()).expect("a table has rows");
        let (mut most, mut sum, mut count) = (0.0_f64, 0.0, 0);
        for light in row.pixels().flatten() {
            let read = table.sample([tone_place(light, flare, black, white); 3])[0];
            let to_codes = |value: f64| pow(value, power / TABLE_POWER) * CODE10_MAX;
            let off = (to_codes(read) - to_codes(stored(light))).abs();
            most = most.max(off);
            sum += off;
            count += 1;
        }
        Block::Tone(tone.clone()).apply(row, &mut Clips::default());
        let unit = "ten-bit codes of the display";
        let error = StepError { name: "tone".to_owned(), most, mean: sum / f64::from(count.max(1)), unit };
        let gives = if power == 1.0 { String::new() } else { format!(" to the power 1/{power}") };
        let description = format!(
            "the recipe's tone curve along its own axis, to display-linear light{gives}; {TONE_ROWS} rows, for the standard has no \
             rational curve; off by at most {most:.1e} {unit}"
        );
        let table = Lut1 { half_domain: false, hue_adjust: false, one_column: true, rows };
        Step { node: Node::new("tone", description, Operation::Lut1(table)), error: Some(error) }
    }

    /// Steps of a look whose display side is nothing but curves and matrices.
    fn analytic(&self, tone: Option<&ToneBlock>, row: &mut Row) -> Vec<Step> {
        let mut steps = Vec::new();
        if let Some(tone) = tone {
            steps.push(Step::exact(tone_axis(tone, tone.axis().1[1])));
            steps.push(self.tone_curve(tone, 1.0, row));
        }
        let output = self.pipeline.output();
        let gamut = self.plan.display.gamut.id;
        steps.push(Step::exact(matrix_node("output gamut", &format!("ACEScg to {gamut}"), output.matrix())));
        let range = Range { low: Some([0.0, 0.0]), high: Some([1.0, 1.0]), clamp: true };
        let description = "what the display can't show is clipped";
        steps.push(Step::exact(Node::new("display range", description, Operation::Range(range))));
        if self.plan.monochrome {
            let weights = output.luminance_weights();
            let matrix = Matrix3::from_fn(|_, column| weights[column]);
            steps.push(Step::exact(matrix_node("luminance", "the picture in its luminance alone", &matrix)));
        }
        if self.stores_signal() {
            let power = exponent("to an even axis", ExponentStyle::BasicRev, TABLE_POWER, 0.0);
            steps.push(Step::exact(power));
            let last = (TONE_ROWS - 1) as f64;
            let display = Display::new(self.plan.display.encoding, self.plan.display.peak_nits);
            let rows = (0..TONE_ROWS).map(|index| display.encode([pow(index as f64 / last, TABLE_POWER); 3])).collect();
            let table = Lut1 { half_domain: false, hue_adjust: false, one_column: true, rows };
            let description = format!(
                "{} encoding; {TONE_ROWS} rows, for the standard has no such step",
                self.plan.display.encoding.name()
            );
            steps.push(Step::exact(Node::new("display encoding", description, Operation::Lut1(table))));
        } else {
            steps.extend(self.encoding(None));
        }
        steps
    }

    /// From the power that tables store to the display's signal.
    fn encoded_from_power(&self) -> Vec<Step> {
        if self.stores_signal() { Vec::new() } else { self.encoding(Some(TABLE_POWER)) }
    }

    /// The display's encoding by power laws, from light or from a power of it.
    fn encoding(&self, from: Option<f64>) -> Vec<Step> {
        let encoding = self.plan.display.encoding;
        let display = Display::new(encoding, self.plan.display.peak_nits);
        let mut nodes = Vec::new();
        match (display.power(), from) {
            (Some(power), Some(from)) if power == from => {}
            (Some(power), from) => {
                // light^(1/from)^(from/power)
                let exponent_of = power / from.unwrap_or(1.0);
                nodes.push(exponent(encoding.name(), ExponentStyle::BasicRev, exponent_of, 0.0));
            }
            (None, from) => {
                nodes.extend(from.map(|from| exponent("to light", ExponentStyle::BasicFwd, from, 0.0)));
                nodes.push(exponent(encoding.name(), ExponentStyle::MonCurveRev, SRGB_POWER, SRGB_OFFSET));
            }
        }
        nodes.into_iter().map(Step::exact).collect()
    }
}

/// IEC 61966-2-1 as the standard's power law with a straight line. [iec-srgb]
const SRGB_POWER: f64 = 2.4;
const SRGB_OFFSET: f64 = 0.055;

fn exponent(name: &str, style: ExponentStyle, exponent: f64, offset: f64) -> Node {
    let params = ExponentParams { exponent, offset };
    let description = match style {
        ExponentStyle::MonCurveRev => {
            "display light to signal; the standard's form, whose straight line meets the curve without a step: at most a hundredth of a \
             ten-bit code from the printed constants"
        }
        ExponentStyle::BasicFwd => "back to display light",
        _ => "display light to signal",
    };
    Node::new(name, description, Operation::Exponent(Exponent { style, params: [params; 3] }))
}

/// Light to the tone curve's axis, 0 at its black and 1 at its white.
fn tone_axis(tone: &ToneBlock, white: f64) -> Node {
    let (flare, [black, _]) = tone.axis();
    let params = LogParams {
        base: 2.0,
        log_side_slope: 1.0 / (white - black),
        log_side_offset: -black / (white - black),
        lin_side_slope: 1.0 / (GREY + flare),
        lin_side_offset: flare / (GREY + flare),
        lin_side_break: None,
        linear_slope: None,
    };
    let description = format!(
        "scene light to the axis of the tone curve: stops from grey with a flare of {flare:.3e}, from {black:.2} (0) to {white:+.2} (1)"
    );
    let log = Log { style: LogStyle::LinToLog, params: [params; 3] };
    Node::new("to the tone curve's axis", description, Operation::Log(log))
}

/// Ends of the axis of a look without a tone curve: from a flare nine stops below grey to the light at which the dimmest primary, blue,
/// is as bright as display white and the display shows nothing but white.
const EVEN_FLARE: f64 = GREY / 512.0;
const EVEN_TOP: f64 = 20.0;

fn even_stops() -> f64 {
    log2((EVEN_TOP + EVEN_FLARE) / EVEN_FLARE)
}

fn even_axis() -> Node {
    let params = LogParams {
        base: 2.0,
        log_side_slope: 1.0 / even_stops(),
        log_side_offset: 0.0,
        lin_side_slope: 1.0 / EVEN_FLARE,
        lin_side_offset: 1.0,
        lin_side_break: None,
        linear_slope: None,
    };
    let log = Log { style: LogStyle::LinToLog, params: [params; 3] };
    let description =
        "light to the axis of the table that follows: from black (0) to light that any display shows as white (1)";
    Node::new("to the table's axis", description, Operation::Log(log))
}

fn even_place(light: f64) -> f64 {
    (log2((light / EVEN_FLARE + 1.0).max(f64::MIN_POSITIVE)) / even_stops()).clamp(0.0, 1.0)
}

fn even_light(place: f64) -> f64 {
    EVEN_FLARE * (exp2(place * even_stops()) - 1.0)
}

fn tone_place(light: f64, flare: f64, black: f64, white: f64) -> f64 {
    let lifted = (light + flare) / (GREY + flare);
    if lifted <= 0.0 { 0.0 } else { ((log2(lifted) - black) / (white - black)).clamp(0.0, 1.0) }
}

fn tone_light(place: f64, flare: f64, black: f64, white: f64) -> f64 {
    (GREY + flare) * exp2(black + place * (white - black)) - flare
}

/// A matrix without an offset.
pub(super) fn matrix_operation(matrix: &Matrix3<f64>) -> Operation {
    let rows = [0, 1, 2].map(|row| [0, 1, 2].map(|column| matrix[(row, column)]));
    Operation::Matrix(Matrix { matrix: rows, offset: [0.0; 3] })
}

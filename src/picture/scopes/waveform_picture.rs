//! The picture of a waveform or a parade.

use super::coding::{code_of_percent, percent};
use super::drawing::{Align, Drawing, Ink, LEAST_LETTERS, Plot};
use super::raster::rasterise;
use super::waveform::{CODES, LogMark, Trace, TraceOf, Waveform};
use super::{PictureSize, ScopePicture};
use crate::plan::Levels;

/// Codes with a figure, the most wanted first; those that find no room get none.
const CODE_TICKS: [f64; 11] = [64.0, 940.0, 512.0, 256.0, 768.0, 1023.0, 0.0, 128.0, 384.0, 640.0, 896.0];

/// Ends of legal levels.
const LEGAL: [f64; 2] = [64.0, 940.0];

/// Steps of the percent scale, the finest that has room.
const PERCENT_STEPS: [usize; 3] = [10, 20, 50];

impl Waveform {
    /// The picture: ten-bit codes at the left, percent at the right, and a line for each mark where the frame is in a camera's log
    /// ([`log_marks`](super::log_marks); none for a display's signal).
    #[must_use]
    pub fn picture(&self, size: PictureSize, marks: &[LogMark]) -> ScopePicture {
        let (drawing, plots) = self.drawing(size, LEAST_LETTERS, marks);
        rasterise(&drawing, plots)
    }

    pub(super) fn drawing(&self, size: PictureSize, least_letters: f64, marks: &[LogMark]) -> (Drawing, Vec<Plot>) {
        let mut drawing = Drawing::new(size, least_letters);
        let top = drawing.caption(self.title(), &self.details(marks));
        let plots = self.plots(&drawing, top, !marks.is_empty());
        for (plot, trace) in plots.iter().zip(&self.traces) {
            drawing.ground(plot);
            self.levels_behind(&mut drawing, plot);
            mark_lines(&mut drawing, plot, marks);
            let extent = [plot.across, [-0.5, CODES as f64 - 0.5]];
            drawing.lit(plot, &trace.counts, extent, ink(trace.of), false);
            let below = plot.bottom() + drawing.letters * 0.65;
            drawing.text(
                trace.of.name(),
                [f64::midpoint(plot.x as f64, plot.right()), below],
                Align::Centre,
                Ink::Letters,
            );
        }
        if let (Some(first), Some(last)) = (plots.first(), plots.last()) {
            code_figures(&mut drawing, first);
            let gutter = stops_gutter(&drawing, !marks.is_empty());
            self.percent_figures(&mut drawing, last, gutter);
            mark_figures(&mut drawing, last, marks);
        }
        (drawing, plots)
    }

    fn title(&self) -> &'static str {
        if self.traces.len() == 1 { "Waveform Y′" } else { "Parade R G B" }
    }

    fn details(&self, marks: &[LogMark]) -> Vec<String> {
        let mut details = vec![match self.levels {
            Levels::Legal => "legal: 64 = 0 %, 940 = 100 %".to_owned(),
            Levels::Full => "full: 0 = 0 %, 1023 = 100 %".to_owned(),
        }];
        if self.traces.iter().any(|trace| trace.of == TraceOf::Luma) {
            details.push(format!("luma of {}", self.coding.name()));
        }
        if !marks.is_empty() {
            details.push("stops from grey".to_owned());
        }
        let sum = |of: fn(&Trace) -> u64| self.traces.iter().map(of).sum::<u64>();
        for (count, what) in [
            (sum(|trace| trace.held[0] + trace.held[1]), "outside 0..1023"),
            (sum(|trace| trace.not_a_number), "not a number"),
        ] {
            if count > 0 {
                details.push(format!("{count} values {what}"));
            }
        }
        details
    }

    fn plots(&self, drawing: &Drawing, top: usize, with_marks: bool) -> Vec<Plot> {
        let letters = drawing.letters;
        let left = (drawing.text_width("1023") + letters * 0.9).ceil() as usize;
        let right = drawing.text_width("100 %") + letters * 0.9 + stops_gutter(drawing, with_marks);
        let right = drawing.width - right.ceil() as usize;
        let bottom = drawing.height - (letters * 1.3) as usize;
        let gap = (letters * 0.5) as usize;
        let count = self.traces.len();
        let width = (right - left - gap * (count - 1)) / count;
        let plot = |(index, trace): (usize, &Trace)| Plot {
            name: trace.of.name().to_owned(),
            x: left + index * (width + gap),
            y: top,
            width,
            height: bottom - top,
            across: [0.0, trace.counts.columns() as f64],
            up: [-0.5, CODES as f64 - 0.5],
        };
        self.traces.iter().enumerate().map(plot).collect()
    }

    fn levels_behind(&self, drawing: &mut Drawing, plot: &Plot) {
        let hair = drawing.hair();
        for step in percents(plot, drawing.letters, self.levels) {
            level(drawing, plot, code_of_percent(self.levels, step), (hair, 0.0), Ink::Faint);
        }
        let dash = if self.levels == Levels::Legal { 0.0 } else { drawing.letters * 0.3 };
        for code in LEGAL {
            level(drawing, plot, code, (hair, dash), Ink::Line);
        }
    }

    fn percent_figures(&self, drawing: &mut Drawing, plot: &Plot, gutter: f64) {
        let x = plot.right() + gutter + drawing.letters * 0.4;
        let ends = [0.0, 100.0];
        for step in ends.into_iter().chain(percents(plot, drawing.letters, self.levels)) {
            let y = plot.place([0.0, code_of_percent(self.levels, step)])[1];
            drawing.text(&format!("{step:.0} %"), [x, y], Align::Left, Ink::Quiet);
        }
        // The ends of the scale of codes, where they are no round percentage.
        for code in [0.0, CODES as f64 - 1.0] {
            let y = plot.place([0.0, code])[1];
            drawing.text(
                &format!("{:.0} %", percent(self.levels, code)).replace('-', "−"),
                [x, y],
                Align::Left,
                Ink::Quiet,
            );
        }
    }
}

fn ink(of: TraceOf) -> Ink {
    match of {
        TraceOf::Luma => Ink::Luma,
        TraceOf::Red => Ink::Red,
        TraceOf::Green => Ink::Green,
        TraceOf::Blue => Ink::Blue,
    }
}

fn stops_gutter(drawing: &Drawing, with_marks: bool) -> f64 {
    if with_marks { drawing.text_width("grey") + drawing.letters * 0.6 } else { 0.0 }
}

/// The percentages with a line: steps that have room for their figures.
fn percents(plot: &Plot, letters: f64, levels: Levels) -> Vec<f64> {
    let between = |step: usize| {
        let [low, high] = [0.0, step as f64].map(|value| plot.place([0.0, code_of_percent(levels, value)])[1]);
        low - high
    };
    let step = PERCENT_STEPS.into_iter().find(|step| between(*step) >= letters).unwrap_or(PERCENT_STEPS[2]);
    (0..=100).step_by(step).map(|percent| percent as f64).collect()
}

fn level(drawing: &mut Drawing, plot: &Plot, code: f64, (width, dash): (f64, f64), ink: Ink) {
    let y = plot.place([0.0, code])[1];
    drawing.dashed([plot.x as f64, y], [plot.right(), y], width, dash, ink);
}

fn code_figures(drawing: &mut Drawing, plot: &Plot) {
    let tick = drawing.letters * 0.25;
    for code in CODE_TICKS {
        let y = plot.place([0.0, code])[1];
        let x = plot.x as f64;
        if drawing.text(&format!("{code:.0}"), [x - tick - 2.0, y], Align::Right, Ink::Quiet) {
            drawing.line([x - tick, y], [x, y], drawing.hair(), Ink::Strong);
        }
    }
}

/// Grey is a line, whole stops are dashes at the right; where they crowd, those nearest to grey.
fn mark_lines(drawing: &mut Drawing, plot: &Plot, marks: &[LogMark]) {
    let mut drawn: Vec<f64> = Vec::new();
    for mark in nearest_first(marks) {
        let y = plot.place([0.0, mark.code])[1];
        if drawn.iter().any(|other| (other - y).abs() < drawing.letters * 0.4) {
            continue;
        }
        drawn.push(y);
        let [left, right] = [plot.x as f64, plot.right()];
        let (from, dash) = match mark.stops {
            0 => (left, 0.0),
            _ => (right - (right - left) * 0.06, drawing.letters * 0.2),
        };
        drawing.dashed([from, y], [right, y], drawing.hair(), dash, Ink::Mark);
    }
}

fn nearest_first(marks: &[LogMark]) -> Vec<&LogMark> {
    let mut sorted: Vec<&LogMark> = marks.iter().collect();
    sorted.sort_by_key(|mark| (mark.stops.abs(), mark.stops));
    sorted
}

fn mark_figures(drawing: &mut Drawing, plot: &Plot, marks: &[LogMark]) {
    for mark in nearest_first(marks) {
        let place = [plot.right() + drawing.letters * 0.3, plot.place([0.0, mark.code])[1]];
        drawing.text(&stops_figure(mark.stops), place, Align::Left, Ink::Mark);
    }
}

/// A number of stops as it is said: grey, +1, −2.
pub(super) fn stops_figure(stops: i32) -> String {
    match stops {
        0 => "grey".to_owned(),
        1.. => format!("+{stops}"),
        _ => format!("−{}", -stops),
    }
}

//! The picture of a histogram in stops.

use super::drawing::{Align, Drawing, Ink, Key, LEAST_LETTERS, Plot};
use super::histogram::{BIN_STOPS, BINS, Bins, FARTHEST_STOPS, StopsHistogram};
use super::raster::rasterise;
use super::waveform_picture::stops_figure;
use super::{PictureSize, ScopePicture};
use crate::maths::log10;

/// Share of the pixels at the bottom of the scale, and decades from there to all pixels; what is less is still seen.
const LEAST_SHARE: f64 = 1e-5;
const DECADES: f64 = 5.0;

/// The figures of the scale from [`LEAST_SHARE`] up.
const SHARES: [&str; 6] = ["0.001 %", "0.01 %", "0.1 %", "1 %", "10 %", "100 %"];

/// Where the bins that stand apart begin, stops, and how wide they are.
const FLOOR_AT: f64 = -11.2;
const ABOVE_AT: f64 = 10.2;
const CLIP_AT: f64 = 10.9;
const APART: f64 = 0.5;

/// What the picture shows across, stops.
const ACROSS: [f64; 2] = [-11.5, 11.7];

/// Stops from figure to figure, the finest that has room.
const STEPS: [i32; 3] = [1, 2, 5];

impl StopsHistogram {
    /// The picture: pixels by luminance as bars, by their brightest channel as a line, on a logarithmic scale of shares.
    #[must_use]
    pub fn picture(&self, size: PictureSize) -> ScopePicture {
        let (drawing, plot) = self.drawing(size, LEAST_LETTERS);
        rasterise(&drawing, vec![plot])
    }

    pub(crate) fn drawing(&self, size: PictureSize, least_letters: f64) -> (Drawing, Plot) {
        let mut drawing = Drawing::new(size, least_letters);
        let mut details = vec![self.clip_text(), self.encoding.to_owned()];
        if self.not_a_number > 0 {
            details.push(format!("{} pixels not a number", self.not_a_number));
        }
        let top = drawing.caption("Stops from grey", &details);
        let keys = drawing.letters * 1.3;
        let plot = plot(&drawing, top + keys as usize);
        self.legend(&mut drawing, top as f64, &plot);
        drawing.ground(&plot);
        graticule(&mut drawing, &plot);
        self.bars(&mut drawing, &plot);
        self.steps(&mut drawing, &plot);
        figures(&mut drawing, &plot);
        (drawing, plot)
    }

    /// The shares at clip as a sentence's beginning.
    pub(crate) fn clip_text(&self) -> String {
        let [r, g, b] = self.clipped_shares().map(share_text);
        format!("at clip: R {r}, G {g}, B {b}")
    }

    fn legend(&self, drawing: &mut Drawing, top: f64, plot: &Plot) {
        let left = plot.x as f64;
        let half = (left + plot.right()) / 2.0;
        drawing.legend([left, top], &[(Key::Bar { ink: Ink::Line }, "luminance".to_owned())]);
        let width = 1.5 * drawing.hair();
        drawing
            .legend([half, top], &[(Key::Line { width, dash: 0.0, ink: Ink::Mark }, "brightest channel".to_owned())]);
    }

    fn height(&self, plot: &Plot, count: u64) -> f64 {
        if count == 0 {
            return 0.0;
        }
        let share = count as f64 / self.pixels as f64;
        let height = (log10(share / LEAST_SHARE) / DECADES).max(0.0) * plot.height as f64;
        height.max(2.0)
    }

    fn bars(&self, drawing: &mut Drawing, plot: &Plot) {
        let mut bar = |from: f64, width: f64, count: u64, ink: Ink| {
            let height = self.height(plot, count);
            let [left, bottom] = plot.place([from, 0.0]);
            let right = plot.place([from + width, 0.0])[0];
            if count > 0 {
                drawing.bar([left, bottom - height], [right - left, height], ink);
            }
        };
        for (bin, count) in self.luminance.counts.iter().enumerate() {
            bar(Bins::stops(bin) - BIN_STOPS / 2.0, BIN_STOPS, *count, Ink::Line);
        }
        bar(FLOOR_AT, APART, self.luminance.floor, Ink::Line);
        bar(ABOVE_AT, APART, self.luminance.above, Ink::Line);
        bar(CLIP_AT, APART, self.clip, Ink::Red);
    }

    /// The outline of the bins of the brightest channel.
    fn steps(&self, drawing: &mut Drawing, plot: &Plot) {
        let width = 1.5 * drawing.hair();
        let bottom = plot.bottom();
        let mut before = bottom;
        for (bin, count) in self.brightest.counts.iter().enumerate() {
            let middle = Bins::stops(bin);
            let y = bottom - self.height(plot, *count);
            let [left, right] = [middle - BIN_STOPS / 2.0, middle + BIN_STOPS / 2.0].map(|at| plot.place([at, 0.0])[0]);
            if before != y {
                drawing.line([left, before], [left, y], width, Ink::Mark);
            }
            if *count > 0 {
                drawing.line([left, y], [right, y], width, Ink::Mark);
            }
            before = y;
        }
        if before != bottom {
            let right = plot.place([Bins::stops(BINS - 1) + BIN_STOPS / 2.0, 0.0])[0];
            drawing.line([right, before], [right, bottom], width, Ink::Mark);
        }
        for (at, count) in [(FLOOR_AT, self.brightest.floor), (ABOVE_AT, self.brightest.above)] {
            if count > 0 {
                let y = bottom - self.height(plot, count);
                drawing.line([plot.place([at, 0.0])[0], y], [plot.place([at + APART, 0.0])[0], y], width, Ink::Mark);
            }
        }
    }
}

/// A share as percent: exact where it is nothing, else at least "<0.01 %".
pub(super) fn share_text(share: f64) -> String {
    let percent = 100.0 * share;
    if share == 0.0 {
        "0 %".to_owned()
    } else if percent < 0.01 {
        "<0.01 %".to_owned()
    } else if percent < 10.0 {
        format!("{percent:.2} %")
    } else {
        format!("{percent:.1} %")
    }
}

fn plot(drawing: &Drawing, top: usize) -> Plot {
    let letters = drawing.letters;
    let left = (drawing.text_width("0.001 %") + letters * 0.9).ceil() as usize;
    let right = drawing.width - (letters * 0.8) as usize;
    let bottom = drawing.height - (letters * 1.7) as usize;
    Plot {
        name: "stops".to_owned(),
        x: left,
        y: top,
        width: right - left,
        height: bottom - top,
        across: ACROSS,
        up: [0.0, DECADES],
    }
}

fn graticule(drawing: &mut Drawing, plot: &Plot) {
    for decade in 0..=DECADES as usize {
        let y = plot.place([0.0, decade as f64])[1];
        drawing.line([plot.x as f64, y], [plot.right(), y], drawing.hair(), Ink::Faint);
    }
    for stops in -FARTHEST_STOPS..=FARTHEST_STOPS {
        let x = plot.place([f64::from(stops), 0.0])[0];
        let ink = if stops == 0 { Ink::Strong } else { Ink::Faint };
        drawing.line([x, plot.y as f64], [x, plot.bottom()], drawing.hair(), ink);
    }
}

fn figures(drawing: &mut Drawing, plot: &Plot) {
    let tick = drawing.letters * 0.25;
    for decade in (0..SHARES.len()).rev() {
        let y = plot.place([0.0, decade as f64])[1];
        drawing.text(SHARES[decade], [plot.x as f64 - tick - 2.0, y], Align::Right, Ink::Quiet);
    }
    let stop = plot.width as f64 / (ACROSS[1] - ACROSS[0]);
    let needed = 1.4 * drawing.text_width("+10");
    let step = STEPS.into_iter().find(|step| stop * f64::from(*step) >= needed).unwrap_or(STEPS[2]);
    let y = plot.bottom() + tick + drawing.letters * 0.75;
    let mut figure = |text: &str, stops: f64| {
        let x = plot.place([stops, 0.0])[0];
        if drawing.text(text, [x, y], Align::Centre, Ink::Quiet) {
            drawing.line([x, plot.bottom()], [x, plot.bottom() + tick], drawing.hair(), Ink::Strong);
        }
    };
    figure("clip", CLIP_AT + APART / 2.0);
    figure("floor", FLOOR_AT + APART / 2.0);
    for stops in (0..=FARTHEST_STOPS).filter(|stops| stops % step == 0) {
        figure(&stops_figure(stops), f64::from(stops));
        figure(&stops_figure(-stops), f64::from(-stops));
    }
}

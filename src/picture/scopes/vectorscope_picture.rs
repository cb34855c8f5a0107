//! The picture of a vectorscope.

use super::drawing::{Align, Drawing, Ink, Key, LEAST_LETTERS, Plot};
use super::raster::rasterise;
use super::vectorscope::{BarTarget, SKIN_DEGREES, Vectorscope};
use super::waveform::CODES;
use super::{PictureSize, ScopePicture};
use crate::maths::{cos, sin};

/// The code of no colour, and codes from there to the end of narrow range.
const MIDDLE: f64 = 512.0;
const REACH: f64 = 448.0;

/// Codes from the middle to the edge of the plot: beyond the ends there is room for the names of the targets.
const SHOWN: f64 = 600.0;

/// Codes with a figure.
const TICKS: [f64; 3] = [512.0, 64.0, 960.0];

/// Room of the legend, in heights of a line.
const LEGEND: [f64; 2] = [13.5, 14.5];

impl Vectorscope {
    /// The picture: C′B to the right, C′R up, the targets of the bars, and the skin line as guidance only.
    #[must_use]
    pub fn picture(&self, size: PictureSize) -> ScopePicture {
        let (drawing, plot) = self.drawing(size, LEAST_LETTERS);
        rasterise(&drawing, vec![plot])
    }

    pub(super) fn drawing(&self, size: PictureSize, least_letters: f64) -> (Drawing, Plot) {
        let mut drawing = Drawing::new(size, least_letters);
        let mut details = vec![format!("{} matrix", self.coding.name()), "ten-bit codes, narrow range".to_owned()];
        for (count, what) in [(self.held, "pixels outside 0..1023"), (self.not_a_number, "pixels not a number")] {
            if count > 0 {
                details.push(format!("{count} {what}"));
            }
        }
        let top = drawing.caption("Vectorscope", &details);
        let (plot, legend) = square_plot(&drawing, top);
        let targets = Self::targets(self.coding);
        drawing.ground(&plot);
        graticule(&mut drawing, &plot, &targets);
        let extent = [-0.5, CODES as f64 - 0.5];
        drawing.lit(&plot, &self.counts, [extent, extent], Ink::Luma, true);
        names(&mut drawing, &plot, &targets);
        figures(&mut drawing, &plot);
        drawing.legend(legend, &entries(&drawing, &targets));
        (drawing, plot)
    }
}

fn square_plot(drawing: &Drawing, top: usize) -> (Plot, [f64; 2]) {
    let left = (drawing.text_width("960") + drawing.letters * 0.9).ceil();
    let ([width, height], legend) = drawing.plot_with_legend([left, top as f64], 1.0, LEGEND);
    let shown = [MIDDLE - SHOWN, MIDDLE + SHOWN];
    (Plot { name: "C′B C′R".to_owned(), x: left as usize, y: top, width, height, across: shown, up: shown }, legend)
}

fn big_box(drawing: &Drawing) -> f64 {
    (drawing.letters * 0.32).round()
}

fn small_box(drawing: &Drawing) -> f64 {
    (drawing.letters * 0.2).round()
}

fn graticule(drawing: &mut Drawing, plot: &Plot, targets: &[BarTarget]) {
    let hair = drawing.hair();
    let ends = [MIDDLE - REACH, MIDDLE + REACH];
    for at in [ends[0], MIDDLE, ends[1]] {
        let ink = if at == MIDDLE { Ink::Line } else { Ink::Faint };
        drawing.line(plot.place([at, ends[0]]), plot.place([at, ends[1]]), hair, ink);
        drawing.line(plot.place([ends[0], at]), plot.place([ends[1], at]), hair, ink);
    }
    let middle = plot.place([MIDDLE, MIDDLE]);
    let radius = REACH / (2.0 * SHOWN) * plot.width as f64;
    drawing.dot(middle, radius, false, Ink::Faint, String::new());
    let degrees = SKIN_DEGREES * std::f64::consts::PI / 180.0;
    let end = [MIDDLE + REACH * cos(degrees), MIDDLE + REACH * sin(degrees)];
    let dash = drawing.letters * 0.35;
    drawing.dashed(middle, plot.place(end), hair, dash, Ink::Mark);
    for target in targets {
        let half = if target.percent == 100 { big_box(drawing) } else { small_box(drawing) };
        let ink = if target.percent == 100 { Ink::Strong } else { Ink::Line };
        let place = plot.place(target.codes);
        drawing.square(place, half, ink);
        drawing.reserve(place, half);
    }
}

/// The names of the targets of 100 %, outside of them as seen from the middle, and the degrees of the skin line at its end.
fn names(drawing: &mut Drawing, plot: &Plot, targets: &[BarTarget]) {
    let middle = plot.place([MIDDLE, MIDDLE]);
    for target in targets.iter().filter(|target| target.percent == 100) {
        let place = plot.place(target.codes);
        let away = [place[0] - middle[0], place[1] - middle[1]];
        let length = (away[0] * away[0] + away[1] * away[1]).sqrt();
        let out = big_box(drawing) + drawing.letters * 0.7;
        for share in [1.0, 1.3] {
            let at = [0, 1].map(|axis| place[axis] + away[axis] / length * out * share);
            if drawing.label(target.name, at, Align::Centre, Ink::Letters) {
                break;
            }
        }
    }
    let degrees = SKIN_DEGREES * std::f64::consts::PI / 180.0;
    let reach = REACH + SHOWN * 1.6 * drawing.letters / plot.width as f64;
    let end = plot.place([MIDDLE + reach * cos(degrees), MIDDLE + reach * sin(degrees)]);
    drawing.label("123°", end, Align::Centre, Ink::Mark);
}

fn figures(drawing: &mut Drawing, plot: &Plot) {
    let tick = drawing.letters * 0.25;
    for code in TICKS {
        let [x, y] = plot.place([code, code]);
        let (left, bottom) = (plot.x as f64, plot.bottom());
        drawing.line([left - tick, y], [left, y], drawing.hair(), Ink::Strong);
        drawing.line([x, bottom], [x, bottom + tick], drawing.hair(), Ink::Strong);
        drawing.text(&format!("{code:.0}"), [left - tick - 2.0, y], Align::Right, Ink::Quiet);
        drawing.text(&format!("{code:.0}"), [x, bottom + tick + drawing.letters * 0.5], Align::Centre, Ink::Quiet);
    }
    // The names of the axes between the figures.
    let [x, y] = plot.place([MIDDLE + REACH / 2.0, MIDDLE + REACH / 2.0]);
    drawing.text("C′R", [plot.x as f64 - tick - 2.0, y], Align::Right, Ink::Letters);
    drawing.text("C′B", [x, plot.bottom() + tick + drawing.letters * 0.5], Align::Centre, Ink::Letters);
}

fn entries(drawing: &Drawing, targets: &[BarTarget]) -> Vec<(Key, String)> {
    let mut entries = vec![
        (Key::Square { half: big_box(drawing), ink: Ink::Strong }, "100 % bars".to_owned()),
        (Key::Square { half: small_box(drawing), ink: Ink::Line }, "75 % bars".to_owned()),
        (
            Key::Line { width: drawing.hair(), dash: drawing.letters * 0.35, ink: Ink::Mark },
            "skin: guidance only".to_owned(),
        ),
        (Key::Nothing, String::new()),
        (Key::Nothing, "100 %: C′B, C′R".to_owned()),
    ];
    for target in targets.iter().filter(|target| target.percent == 100) {
        let [cb, cr] = target.codes.map(f64::round);
        entries.push((Key::Nothing, format!("{}  {cb:.0}, {cr:.0}", target.name)));
    }
    entries
}

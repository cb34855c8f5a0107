//! The picture of a chromaticity diagram.

use super::chromaticity::{ChromaticityDiagram, Triangle, TriangleOf};
use super::drawing::{Align, Drawing, Ink, Key, LEAST_LETTERS, Plot};
use super::raster::rasterise;
use super::{PictureSize, ScopePicture};
use crate::colour::observer::{CIE_1931_2_DEGREE, FIRST_NANOMETRE};
use crate::colour::whites::{D65, kelvin, planckian};

/// What is shown at least, in x and y.
const ACROSS: [f64; 2] = [-0.05, 0.80];
const UP: [f64; 2] = [-0.05, 0.90];

/// What is shown at most, for the sake of a camera's primaries; the rest of a triangle is cut off.
const FARTHEST_ACROSS: [f64; 2] = [-0.15, 1.0];
const FARTHEST_UP: [f64; 2] = [-0.15, 1.05];

/// Room around a primary.
const AROUND: f64 = 0.02;

/// The spectral locus as it is drawn, nanometres: beyond, the table's digits are too few to draw by.
const LOCUS: [usize; 2] = [390, 700];

/// Wavelengths with a figure, the most wanted first.
const WAVELENGTHS: [usize; 12] = [520, 560, 600, 480, 700, 460, 500, 540, 580, 620, 490, 510];

/// The locus of black bodies as it is drawn, mired, and in which steps.
const PLANCKIAN_MIRED: [f64; 2] = [10.0, 700.0];
const MIRED_STEP: f64 = 10.0;

/// Black bodies that are marked, kelvin, the most wanted first.
const MARKED_KELVIN: [(f64, &str); 4] =
    [(3200.0, "3200 K"), (5600.0, "5600 K"), (2000.0, "2000 K"), (10_000.0, "10 000 K")];

/// Room of the legend, in heights of a line.
const LEGEND: [f64; 2] = [16.0, 12.0];

impl ChromaticityDiagram {
    /// The picture: spectral locus, black bodies, both gamuts, D65, the patches before (rings) and after the look (dots) and, behind
    /// them, the pixels of the frame.
    #[must_use]
    pub fn picture(&self, size: PictureSize) -> ScopePicture {
        let (drawing, plot) = self.drawing(size, LEAST_LETTERS);
        rasterise(&drawing, vec![plot])
    }

    pub(crate) fn drawing(&self, size: PictureSize, least_letters: f64) -> (Drawing, Plot) {
        let mut drawing = Drawing::new(size, least_letters);
        let top = drawing.caption("Chromaticity", &["CIE 1931 x, y".to_owned()]);
        let (plot, legend) = self.plot(&drawing, top);
        drawing.ground(&plot);
        grid(&mut drawing, &plot);
        if let Some(density) = &self.density {
            drawing.lit(&plot, &density.counts, [density.across, density.up], Ink::Blue, true);
        }
        locus(&mut drawing, &plot);
        for triangle in &self.triangles {
            outline(&mut drawing, &plot, triangle);
        }
        figures(&mut drawing, &plot);
        self.patches(&mut drawing, &plot);
        white(&mut drawing, &plot);
        corner_names(&mut drawing, &plot, &self.triangles);
        let marked = black_bodies(&mut drawing, &plot);
        keep_lines_free(&mut drawing, &plot, &self.triangles);
        wavelengths(&mut drawing, &plot);
        temperatures(&mut drawing, &marked);
        drawing.legend(legend, &self.entries(&drawing, &plot));
        (drawing, plot)
    }

    fn plot(&self, drawing: &Drawing, top: usize) -> (Plot, [f64; 2]) {
        let corners = || self.triangles.iter().flat_map(|triangle| triangle.corners);
        let shown = |axis: usize, least: [f64; 2], most: [f64; 2]| {
            let low = corners().map(|corner| corner[axis] - AROUND).fold(least[0], f64::min);
            let high = corners().map(|corner| corner[axis] + AROUND).fold(least[1], f64::max);
            [low.max(most[0]), high.min(most[1])]
        };
        let (across, up) = (shown(0, ACROSS, FARTHEST_ACROSS), shown(1, UP, FARTHEST_UP));
        let left = (drawing.text_width("0.8") + drawing.letters * 0.9).ceil();
        // One scale for x and y.
        let shape = (across[1] - across[0]) / (up[1] - up[0]);
        let ([width, height], legend) = drawing.plot_with_legend([left, top as f64], shape, LEGEND);
        (Plot { name: "x y".to_owned(), x: left as usize, y: top, width, height, across, up }, legend)
    }

    fn patches(&self, drawing: &mut Drawing, plot: &Plot) {
        let radius = (drawing.letters * 0.16).max(2.0);
        for patch in &self.patches {
            let scene = plot.place(patch.scene);
            if let Some(shown) = patch.shown {
                drawing.line_within(plot, [scene, plot.place(shown)], drawing.hair(), 0.0, Ink::Line);
            }
        }
        for patch in &self.patches {
            let scene = plot.place(patch.scene);
            drawing.dot(scene, radius, false, Ink::Letters, format!("{}, scene", patch.name));
            drawing.reserve(scene, radius);
            if let Some(shown) = patch.shown {
                let shown = plot.place(shown);
                drawing.dot(shown, radius, true, Ink::Mark, format!("{}, shown", patch.name));
                drawing.reserve(shown, radius);
            }
        }
    }

    fn entries(&self, drawing: &Drawing, plot: &Plot) -> Vec<(Key, String)> {
        let mut entries = Vec::new();
        for triangle in &self.triangles {
            let (width, dash) = triangle_line(drawing, triangle.of);
            let whose = if triangle.of == TriangleOf::Camera { "camera" } else { "monitor" };
            entries.push((
                Key::Line { width, dash, ink: triangle_ink(triangle.of) },
                format!("{whose}: {}", triangle.name),
            ));
        }
        if !self.patches.is_empty() {
            entries.push((Key::Dots, format!("{} patches: scene → shown", self.patches.len())));
        }
        entries.push((Key::Cross, "D65".to_owned()));
        let hair = drawing.hair();
        entries.push((Key::Line { width: hair, dash: 0.0, ink: Ink::Strong }, "black bodies, ticks at".to_owned()));
        entries.push((Key::Nothing, "2000, 3200, 5600, 10 000 K".to_owned()));
        if self.density.is_some() {
            entries.push((Key::Bar { ink: Ink::Blue }, "pixels of the frame".to_owned()));
        }
        for triangle in &self.triangles {
            for (corner, [x, y]) in ["R", "G", "B"].into_iter().zip(triangle.corners) {
                if !shows(plot, [x, y]) {
                    entries.push((
                        Key::Nothing,
                        format!("{corner} of {} at {x:.2}, {y:.2}", triangle.name).replace('-', "−"),
                    ));
                }
            }
        }
        entries
    }
}

fn shows(plot: &Plot, place: [f64; 2]) -> bool {
    [plot.across, plot.up].iter().zip(place).all(|([from, to], value)| (*from..=*to).contains(&value))
}

fn triangle_line(drawing: &Drawing, of: TriangleOf) -> (f64, f64) {
    match of {
        TriangleOf::Camera => (1.5 * drawing.hair(), 0.0),
        TriangleOf::Monitor => (1.5 * drawing.hair(), drawing.letters * 0.4),
    }
}

fn triangle_ink(of: TriangleOf) -> Ink {
    match of {
        TriangleOf::Camera => Ink::Green,
        TriangleOf::Monitor => Ink::Mark,
    }
}

fn grid(drawing: &mut Drawing, plot: &Plot) {
    for tenth in -1..=10 {
        let at = f64::from(tenth) / 10.0;
        let hair = drawing.hair();
        let upright = [plot.place([at, plot.up[0]]), plot.place([at, plot.up[1]])];
        let level = [plot.place([plot.across[0], at]), plot.place([plot.across[1], at])];
        let ink = if tenth == 0 { Ink::Line } else { Ink::Faint };
        drawing.line_within(plot, upright, hair, 0.0, ink);
        drawing.line_within(plot, level, hair, 0.0, ink);
    }
}

/// (x, y) of light of one wavelength.
fn spectral(nanometre: usize) -> [f64; 2] {
    let [x, y, z] = CIE_1931_2_DEGREE[nanometre - FIRST_NANOMETRE];
    [x / (x + y + z), y / (x + y + z)]
}

fn locus(drawing: &mut Drawing, plot: &Plot) {
    let width = 1.5 * drawing.hair();
    let points: Vec<[f64; 2]> = (LOCUS[0]..=LOCUS[1]).map(|nanometre| plot.place(spectral(nanometre))).collect();
    for pair in points.windows(2) {
        drawing.line(pair[0], pair[1], width, Ink::Strong);
    }
    if let (Some(first), Some(last)) = (points.first(), points.last()) {
        drawing.line(*first, *last, drawing.hair(), Ink::Line);
    }
}

fn wavelengths(drawing: &mut Drawing, plot: &Plot) {
    let centre = plot.place([1.0 / 3.0, 1.0 / 3.0]);
    for nanometre in WAVELENGTHS {
        let place = plot.place(spectral(nanometre));
        // Away from the middle, across the locus.
        let [before, after] = [nanometre - 1, (nanometre + 1).min(LOCUS[1])].map(|near| plot.place(spectral(near)));
        let along = [after[0] - before[0], after[1] - before[1]];
        let length = (along[0] * along[0] + along[1] * along[1]).sqrt();
        let mut out = [along[1] / length, -along[0] / length];
        if out[0] * (place[0] - centre[0]) + out[1] * (place[1] - centre[1]) < 0.0 {
            out = out.map(|value| -value);
        }
        let text = nanometre.to_string();
        let tick = drawing.letters * 0.2;
        // Farther to the sides, where figures are wide; inside of the locus where the plot ends.
        let wide = drawing.text_width(&text);
        let away = tick + drawing.letters * 0.55 + wide * 0.55 * out[0].abs();
        for away in [away, away + drawing.letters * 0.6, -away] {
            let at = [place[0] + out[0] * away, place[1] + out[1] * away];
            let inside =
                at[0] - wide / 2.0 > plot.x as f64 && at[0] + wide / 2.0 < plot.right() && at[1] > plot.y as f64;
            if inside && drawing.label(&text, at, Align::Centre, Ink::Quiet) {
                let tick = tick * away.signum();
                drawing.line(place, [place[0] + out[0] * tick, place[1] + out[1] * tick], drawing.hair(), Ink::Strong);
                break;
            }
        }
    }
}

fn outline(drawing: &mut Drawing, plot: &Plot, triangle: &Triangle) {
    let (width, dash) = triangle_line(drawing, triangle.of);
    let corners = triangle.corners.map(|corner| plot.place(corner));
    for side in 0..3 {
        drawing.line_within(plot, [corners[side], corners[(side + 1) % 3]], width, dash, triangle_ink(triangle.of));
    }
}

/// R, G and B at the primaries: outside of the camera's, inside of the monitor's, where there is room.
fn corner_names(drawing: &mut Drawing, plot: &Plot, triangles: &[Triangle]) {
    for triangle in triangles {
        let corners = triangle.corners.map(|corner| plot.place(corner));
        let centre = [0, 1].map(|axis| (corners[0][axis] + corners[1][axis] + corners[2][axis]) / 3.0);
        for ((name, place), corner) in ["R", "G", "B"].into_iter().zip(corners).zip(triangle.corners) {
            if !shows(plot, corner) {
                continue;
            }
            let outward = [place[0] - centre[0], place[1] - centre[1]];
            let length = (outward[0] * outward[0] + outward[1] * outward[1]).sqrt();
            let away = drawing.letters * if triangle.of == TriangleOf::Camera { 0.7 } else { -1.3 };
            let at = [0, 1].map(|axis| place[axis] + outward[axis] / length * away);
            drawing.label(name, at, Align::Centre, triangle_ink(triangle.of));
        }
    }
}

/// The edges of triangles and the spectral locus, for the texts that come after.
fn keep_lines_free(drawing: &mut Drawing, plot: &Plot, triangles: &[Triangle]) {
    for triangle in triangles {
        let corners = triangle.corners.map(|corner| plot.place(corner));
        for side in 0..3 {
            drawing.reserve_line(corners[side], corners[(side + 1) % 3]);
        }
    }
    for nanometre in LOCUS[0]..=LOCUS[1] {
        drawing.reserve(plot.place(spectral(nanometre)), 1.0);
    }
}

/// The locus of black bodies; gives the places that are to be named.
fn black_bodies(drawing: &mut Drawing, plot: &Plot) -> Vec<(&'static str, [f64; 2])> {
    let steps = ((PLANCKIAN_MIRED[1] - PLANCKIAN_MIRED[0]) / MIRED_STEP).round() as usize;
    let place = |kelvin: f64| {
        let white = planckian(kelvin);
        plot.place([white.x, white.y])
    };
    let points: Vec<[f64; 2]> =
        (0..=steps).map(|step| place(kelvin(PLANCKIAN_MIRED[0] + MIRED_STEP * step as f64))).collect();
    for pair in points.windows(2) {
        drawing.line(pair[0], pair[1], drawing.hair(), Ink::Strong);
        drawing.reserve_line(pair[0], pair[1]);
    }
    MARKED_KELVIN.map(|(kelvin, text)| (text, place(kelvin))).to_vec()
}

/// The marks on the locus of black bodies, with figures beside them where there is room.
fn temperatures(drawing: &mut Drawing, marked: &[(&str, [f64; 2])]) {
    for (text, [x, y]) in marked {
        let tick = drawing.letters * 0.25;
        drawing.line([*x, y - tick], [*x, y + tick], drawing.hair(), Ink::Strong);
        let side = drawing.text_width(text) * 0.5;
        let places =
            [[0.0, -0.9], [0.0, 0.9], [-side, -0.9], [side, 0.9], [-side, -1.4], [side, 1.4], [0.0, 1.5], [0.0, -1.5]];
        for [across, down] in places {
            if drawing.label(text, [x + across, y + down * drawing.letters], Align::Centre, Ink::Quiet) {
                break;
            }
        }
    }
}

fn white(drawing: &mut Drawing, plot: &Plot) {
    let place = plot.place([D65.x, D65.y]);
    drawing.cross(place, drawing.letters * 0.4, Ink::Letters);
    drawing.reserve(place, drawing.letters * 0.4);
}

fn figures(drawing: &mut Drawing, plot: &Plot) {
    let tick = drawing.letters * 0.25;
    let below = plot.bottom() + tick + drawing.letters * 0.5;
    let left = plot.x as f64 - tick - 2.0;
    // The names of the axes where they don't take a figure's place: between the last two.
    let [x, y] = plot.place([0.7, 0.7]);
    drawing.text("x", [x, below], Align::Centre, Ink::Letters);
    drawing.text("y", [left, y], Align::Right, Ink::Letters);
    for tenth in [0, 2, 4, 6, 8, 10] {
        let at = f64::from(tenth) / 10.0;
        let [x, y] = plot.place([at, at]);
        let text = if tenth == 0 { "0".to_owned() } else { format!("{at:.1}") };
        if at <= plot.across[1] {
            drawing.text(&text, [x, below], Align::Centre, Ink::Quiet);
        }
        if at <= plot.up[1] {
            drawing.text(&text, [left, y], Align::Right, Ink::Quiet);
        }
    }
}

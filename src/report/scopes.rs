//! Scopes as SVG for pages: everything in the ink of the text around them, so that they are right on light and on dark grounds.

use crate::picture::scopes::drawing::{Align, Drawing, Ink, Shape, page_letters};
use crate::picture::scopes::{ChromaticityDiagram, PictureSize, StopsHistogram};
use maud::{Markup, html};

/// Height of a typeface's em in that of a line, as the letters of pictures have it.
const EM: f64 = 0.86;

/// Where the middle of capitals lies under the top of a line, and their baseline, in its height.
const BASELINE: f64 = 0.8;

/// The histogram of a frame's light in stops as an SVG element, of the proportions of `size`.
#[must_use]
pub fn histogram_svg(histogram: &StopsHistogram, size: PictureSize) -> String {
    let label = format!(
        "histogram of the scene's light in stops from grey, by luminance and by the brightest channel; {}",
        histogram.clip_text()
    );
    svg(&histogram.drawing(size, page_letters(size)).0, &label).into_string()
}

/// The chromaticity diagram as an SVG element, of the proportions of `size`: without the pixels of a frame, which are no lines.
#[must_use]
pub fn chromaticity_svg(diagram: &ChromaticityDiagram, size: PictureSize) -> String {
    let plain = ChromaticityDiagram { density: None, ..diagram.clone() };
    let gamuts: Vec<&str> = plain.triangles.iter().map(|triangle| triangle.name).collect();
    let label = format!(
        "chromaticity diagram CIE 1931 with the gamuts {} and {} patches before and after the look",
        gamuts.join(" and "),
        plain.patches.len()
    );
    svg(&plain.drawing(size, page_letters(size)).0, &label).into_string()
}

fn svg(drawing: &Drawing, label: &str) -> Markup {
    let view = format!("0 0 {} {}", drawing.width, drawing.height);
    html! {
        svg.scope viewBox=(view) width="100%" role="img" aria-label=(label) fill="none" stroke="none" {
            @for shape in &drawing.shapes { (element(shape, drawing.letters)) }
        }
    }
}

/// How much of the text's ink a part has: the order of the picture's inks, read on either ground.
fn opacity(ink: Ink) -> &'static str {
    match ink {
        Ink::Plot => "0",
        Ink::Faint => "0.14",
        Ink::Line => "0.4",
        Ink::Strong => "0.7",
        Ink::Quiet => "0.85",
        Ink::Letters | Ink::Mark | Ink::Luma | Ink::Red | Ink::Green | Ink::Blue => "1",
    }
}

/// One decimal: a tenth of the picture's pixel is enough for the eye, and keeps pages small.
fn figure(value: f64) -> String {
    let text = format!("{value:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

fn element(shape: &Shape, letters: f64) -> Markup {
    match shape {
        Shape::Line { from, to, width, dash, ink } => {
            let dashes = (*dash > 0.0).then(|| format!("{0} {0}", figure(*dash)));
            html! {
                line x1=(figure(from[0])) y1=(figure(from[1])) x2=(figure(to[0])) y2=(figure(to[1]))
                    stroke="currentColor" stroke-width=(figure(*width)) stroke-opacity=(opacity(*ink))
                    stroke-dasharray=[dashes] {}
            }
        }
        Shape::Bar { ink: Ink::Plot, .. } | Shape::Lit { .. } => html! {},
        Shape::Bar { left_top, size, ink } => {
            // Edges are rounded and not widths, so that neighbours meet.
            let edge = |value: f64| (10.0 * value).round() / 10.0;
            let [left, top] = left_top.map(edge);
            let [right, bottom] = [0, 1].map(|axis| edge(left_top[axis] + size[axis]));
            html! {
                rect x=(figure(left)) y=(figure(top)) width=(figure(right - left)) height=(figure(bottom - top))
                    fill="currentColor" fill-opacity=(opacity(*ink)) shape-rendering="crispEdges" {}
            }
        }
        Shape::Dot { centre, radius, filled, ink, meaning } => {
            let opacity = opacity(*ink);
            html! {
                circle cx=(figure(centre[0])) cy=(figure(centre[1])) r=(figure(*radius))
                    fill=[filled.then_some("currentColor")] stroke="currentColor" stroke-opacity=(opacity) {
                    @if !meaning.is_empty() { title { (meaning) } }
                }
            }
        }
        Shape::Text { left_top: [left, top], width, align, text, bold, ink, .. } => {
            // The page's own typeface may be narrower than that of pictures.
            let (x, anchor) = match align {
                Align::Left => (*left, "start"),
                Align::Centre => (left + width / 2.0, "middle"),
                Align::Right => (left + width, "end"),
            };
            html! {
                text x=(figure(x)) y=(figure(top + BASELINE * letters)) text-anchor=(anchor)
                    font-size=(figure(letters * EM)) font-weight=[bold.then_some("700")]
                    fill="currentColor" fill-opacity=(opacity(*ink)) { (text) }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::figure;

    #[test]
    fn whole_places_have_no_decimals() {
        assert_eq!([12.0, 0.25, -3.96, 7.5].map(figure), ["12", "0.2", "-4", "7.5"]);
    }
}

//! Plots as SVG for pages: ink and line colours come from the page's style, so that they are right on light and dark grounds
//! and on paper. Nothing is told by colour alone.

mod casts;
mod curve;
mod hues;
mod maps;

pub(super) use casts::{casts, casts_of_two};
pub(super) use curve::{curve, curves_of_two};
pub(super) use hues::{hues, hues_of_two};
pub(super) use maps::{clipping, clipping_key, difference, difference_key, patterns};

use maud::{Markup, html};

/// A field with axes.
#[derive(Clone, Copy, Debug)]
struct Axes {
    /// The whole plot.
    width: f64,
    height: f64,
    /// Edges of the field in it.
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
    /// Values at its left and right edge.
    across: [f64; 2],
    /// Values at its lower and upper edge.
    up: [f64; 2],
}

impl Axes {
    /// A field with room for labels at its left and below.
    fn new(width: f64, height: f64, across: [f64; 2], up: [f64; 2]) -> Self {
        Self { width, height, left: 46.0, right: width - 14.0, top: 12.0, bottom: height - 40.0, across, up }
    }

    fn x(&self, value: f64) -> f64 {
        self.left + (value - self.across[0]) / (self.across[1] - self.across[0]) * (self.right - self.left)
    }

    fn y(&self, value: f64) -> f64 {
        self.bottom - (value - self.up[0]) / (self.up[1] - self.up[0]) * (self.bottom - self.top)
    }

    /// A value held to the field's height.
    fn held(&self, value: f64) -> f64 {
        value.clamp(self.up[0], self.up[1])
    }

    /// The element around it all, with what it says for those who don't see it.
    fn svg(&self, label: &str, inside: &Markup) -> Markup {
        let view = format!("0 0 {} {}", self.width, self.height);
        html! {
            svg.plot viewBox=(view) width="100%" role="img" aria-label=(label) { (inside) }
        }
    }

    /// Lines and labels of values across, and what they are.
    fn columns(&self, values: &[f64], label: impl Fn(f64) -> String, title: &str) -> Markup {
        html! {
            @for value in values {
                line.grid x1=(figure(self.x(*value))) x2=(figure(self.x(*value))) y1=(figure(self.top)) y2=(figure(self.bottom)) {}
                text.label x=(figure(self.x(*value))) y=(figure(self.bottom + 15.0)) text-anchor="middle" { (label(*value)) }
            }
            text.label x=(figure((self.left + self.right) / 2.0)) y=(figure(self.bottom + 32.0)) text-anchor="middle" { (title) }
        }
    }

    /// Lines and labels of values upwards.
    fn rows(&self, values: &[f64], label: impl Fn(f64) -> String) -> Markup {
        html! {
            @for value in values {
                line.grid x1=(figure(self.left)) x2=(figure(self.right)) y1=(figure(self.y(*value))) y2=(figure(self.y(*value))) {}
                text.label x=(figure(self.left - 6.0)) y=(figure(self.y(*value) + 4.0)) text-anchor="end" { (label(*value)) }
            }
        }
    }

    /// A line through points; broken where one is missing. Values are held to the field.
    fn line(&self, class: &str, points: impl Iterator<Item = (f64, Option<f64>)>) -> Markup {
        let mut path = String::new();
        let mut drawing = false;
        for (across, up) in points {
            match up {
                Some(up) => {
                    let letter = if drawing { 'L' } else { 'M' };
                    path.push_str(&format!("{letter}{} {}", figure(self.x(across)), figure(self.y(self.held(up)))));
                    drawing = true;
                }
                None => drawing = false,
            }
        }
        html! { path class=(class) d=(path) {} }
    }
}

/// One decimal: enough for the eye, and pages stay small.
fn figure(value: f64) -> String {
    let text = format!("{value:.1}");
    let text = text.strip_suffix(".0").map_or(text.clone(), str::to_owned);
    if text == "-0" { "0".to_owned() } else { text }
}

/// "+2", "0", "−2".
fn signed(value: f64) -> String {
    if value == 0.0 { "0".to_owned() } else { format!("{value:+}").replace('-', "−") }
}

/// "+6.7", "−1.0".
pub(super) fn signed_tenths(value: f64) -> String {
    format!("{value:+.1}").replace('-', "−")
}

/// "as exposed", "+2 stops".
pub(super) fn stops_words(stops: i32) -> String {
    match stops {
        0 => "as exposed".to_owned(),
        -1 | 1 => format!("{} stop", signed(f64::from(stops))),
        _ => format!("{} stops", signed(f64::from(stops))),
    }
}

/// "as exposed", "at +2 stops".
pub(super) fn at_stops(stops: i32) -> String {
    let words = stops_words(stops);
    if stops == 0 { words } else { format!("at {words}") }
}

/// Whole stops, every second one.
fn stops_axis(most: i32) -> Vec<f64> {
    (-most..=most).filter(|stops| stops % 2 == 0).map(f64::from).collect()
}

/// Round steps between two values: at most `most` of them, steps of 1, 2 or 5 times a power of ten.
fn ticks([from, to]: [f64; 2], most: usize) -> Vec<f64> {
    let mut step = 1e-6;
    let mut factors = [2.0, 2.5, 2.0].into_iter().cycle();
    while (to - from) / step > most as f64 {
        step *= factors.next().unwrap_or(10.0);
    }
    let (first, last) = ((from / step - 1e-9).ceil() as i64, (to / step + 1e-9).floor() as i64);
    (first..=last).map(|place| place as f64 * step).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn axes_have_round_steps() {
        assert_eq!(ticks([0.0, 100.0], 5), [0.0, 20.0, 40.0, 60.0, 80.0, 100.0]);
        let rounded: Vec<String> = ticks([-0.0123, 0.0123], 6).iter().map(|value| format!("{value:.3}")).collect();
        assert_eq!(rounded, ["-0.010", "-0.005", "0.000", "0.005", "0.010"]);
    }

    #[test]
    fn a_field_has_its_values_at_its_edges() {
        let axes = Axes::new(440.0, 300.0, [-8.0, 8.0], [0.0, 100.0]);
        assert_eq!([axes.x(-8.0), axes.x(8.0)], [axes.left, axes.right]);
        assert_eq!([axes.y(0.0), axes.y(100.0)], [axes.bottom, axes.top]);
        assert_eq!(figure(-0.04), "0");
    }
}

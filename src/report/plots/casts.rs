//! The cast of the grey scale: warmer or cooler, greener or more magenta than the display's white.

use super::{Axes, figure, signed, stops_axis, ticks};
use crate::portrait::CastPoint;
use crate::verify::CURVE_STOPS;
use maud::{Markup, html};

const WIDTH: f64 = 440.0;
const HEIGHT: f64 = 190.0;

/// Axes reach at least so far: less than that is no cast that anybody sees.
const LEAST_MIRED: f64 = 10.0;
const LEAST_DUV: f64 = 0.004;

/// What is plotted.
struct Quantity {
    name: &'static str,
    above: &'static str,
    below: &'static str,
    least: f64,
    digits: usize,
    of: fn(&CastPoint) -> Option<f64>,
}

const QUANTITIES: [Quantity; 2] = [
    Quantity {
        name: "mired",
        above: "warmer",
        below: "cooler",
        least: LEAST_MIRED,
        digits: 0,
        of: |point| point.warmer_mired,
    },
    Quantity {
        name: "Duv",
        above: "greener",
        below: "magenta",
        least: LEAST_DUV,
        digits: 3,
        of: |point| point.greener_duv,
    },
];

/// Both plots of a look, with points of the file.
pub(in crate::report) fn casts(exact: &[CastPoint], file: &[CastPoint]) -> Markup {
    html! {
        @for quantity in &QUANTITIES {
            (plot(quantity, &[("curve", exact)], file))
        }
    }
}

/// Both plots of two looks.
pub(in crate::report) fn casts_of_two([a, b]: [&[CastPoint]; 2]) -> Markup {
    html! {
        @for quantity in &QUANTITIES {
            (plot(quantity, &[("curve", a), ("curve second", b)], &[]))
        }
    }
}

fn plot(quantity: &Quantity, lines: &[(&str, &[CastPoint])], points: &[CastPoint]) -> Markup {
    let values = || lines.iter().flat_map(|(_, line)| line.iter()).chain(points).filter_map(quantity.of);
    let most = values().map(f64::abs).fold(quantity.least, f64::max) * 1.08;
    let stops = f64::from(CURVE_STOPS);
    let axes = Axes { left: 58.0, ..Axes::new(WIDTH, HEIGHT, [-stops, stops], [-most, most]) };
    let label = format!(
        "cast of the grey scale in {} by stops from grey, above 0 {}: from {} to {}",
        quantity.name,
        quantity.above,
        fixed(values().fold(f64::INFINITY, f64::min), quantity.digits),
        fixed(values().fold(f64::NEG_INFINITY, f64::max), quantity.digits),
    );
    let inside = html! {
        (axes.columns(&stops_axis(CURVE_STOPS), signed, "stops from grey, in the scene"))
        (axes.rows(&ticks([-most, most], 5), |value| fixed(value, quantity.digits)))
        line.axis x1=(figure(axes.left)) x2=(figure(axes.right)) y1=(figure(axes.y(0.0))) y2=(figure(axes.y(0.0))) {}
        @for (class, line) in lines {
            (axes.line(class, line.iter().map(|point| (point.stops, (quantity.of)(point)))))
        }
        @for point in points.iter().filter(|point| point.stops.fract() == 0.0) {
            @if let Some(value) = (quantity.of)(point) {
                circle.point cx=(figure(axes.x(point.stops))) cy=(figure(axes.y(axes.held(value)))) r="2.6" {}
            }
        }
        text.letter x=(figure(axes.left + 6.0)) y=(figure(axes.top + 12.0)) { (quantity.above) ", " (quantity.name) }
        text.letter x=(figure(axes.left + 6.0)) y=(figure(axes.bottom - 6.0)) { (quantity.below) }
    };
    axes.svg(&label, &inside)
}

/// With a sign, and a true minus.
fn fixed(value: f64, digits: usize) -> String {
    if !value.is_finite() {
        return "no value".to_owned();
    }
    let text = format!("{value:+.digits$}").replace('-', "−");
    let zero = text.chars().all(|letter| !letter.is_ascii_digit() || letter == '0');
    if zero { "0".to_owned() } else { text }
}

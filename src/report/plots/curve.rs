//! The tone curve: stops against the display's signal.

use super::{Axes, figure, signed, stops_axis};
use crate::maths::CODE10_MAX;
use crate::plan::Levels;
use crate::portrait::Portrait;
use crate::verify::{CURVE_STOPS, CurvePoint, GreyPoint};
use maud::{Markup, html};

const WIDTH: f64 = 440.0;
const HEIGHT: f64 = 330.0;

/// The channels, with the classes of their lines.
const CHANNELS: [(&str, &str); 3] = [("R", "red"), ("G", "green"), ("B", "blue")];

/// Letters at the ends of lines keep this distance from each other.
const APART: f64 = 14.0;

fn axes() -> Axes {
    let stops = f64::from(CURVE_STOPS);
    let axes = Axes::new(WIDTH, HEIGHT, [-stops, stops], [0.0, 100.0]);
    Axes { right: WIDTH - 44.0, ..axes }
}

/// `levels`: what the link carries for a signal.
fn ground(axes: &Axes, levels: Levels) -> Markup {
    let percent: Vec<f64> = (0..=10).step_by(2).map(|tenth| 10.0 * f64::from(tenth)).collect();
    html! {
        (axes.columns(&stops_axis(CURVE_STOPS), signed, "stops from grey, in the scene"))
        (axes.rows(&percent, |value| format!("{value} %")))
        @for value in &percent {
            text.label x=(figure(axes.right + 6.0)) y=(figure(axes.y(*value) + 4.0)) { (format!("{:.0}", levels.to_signal(value / 100.0) * CODE10_MAX)) }
        }
        line.axis x1=(figure(axes.x(0.0))) x2=(figure(axes.x(0.0))) y1=(figure(axes.top)) y2=(figure(axes.bottom)) {}
    }
}

fn channel<'a>(curve: &'a [CurvePoint], channel: usize) -> impl Iterator<Item = (f64, Option<f64>)> + use<'a> {
    curve.iter().map(move |point| (point.stops, Some(100.0 * point.signal[channel])))
}

/// Where the camera's signal ends, if it does within the plot.
fn end_of_signal(axes: &Axes, curve: &[CurvePoint]) -> Markup {
    let end = curve.iter().find(|point| point.beyond_signal).map(|point| point.stops);
    html! {
        @if let Some(stops) = end {
            line.end x1=(figure(axes.x(stops))) x2=(figure(axes.x(stops))) y1=(figure(axes.top)) y2=(figure(axes.bottom)) {}
            text.label x=(figure(axes.x(stops) - 4.0)) y=(figure(axes.bottom - 6.0)) text-anchor="end" { "signal ends" }
        }
    }
}

/// The exact look's curve, with the verifier's points through the file on it.
pub(in crate::report) fn curve(portrait: &Portrait, points: &[GreyPoint]) -> Markup {
    let axes = axes();
    let through =
        if points.is_empty() { "" } else { "; the file's values at the verifier's points lie on it as circles" };
    let label = format!(
        "tone curve: stops of the scene against the display's signal, grey at {:.1} percent{through}",
        100.0 * portrait.grey_signal
    );
    let inside = html! {
        (ground(&axes, portrait.output_levels))
        (end_of_signal(&axes, &portrait.curve))
        @if portrait.tinted {
            @for (place, (_, class)) in CHANNELS.iter().enumerate() {
                (axes.line(&format!("curve {class}"), channel(&portrait.curve, place)))
            }
            (letters(&axes, &portrait.curve))
        } @else { (axes.line("curve", channel(&portrait.curve, 1))) }
        @for point in points.iter().filter(|point| (3.0 * point.stops).round() as i64 % 3 == 0) {
            @for (place, (_, class)) in CHANNELS.iter().enumerate() {
                @if portrait.tinted || place == 1 {
                    circle class=(if portrait.tinted { format!("point {class}") } else { "point".to_owned() })
                        cx=(figure(axes.x(point.stops))) cy=(figure(axes.y(axes.held(100.0 * point.signal[place])))) r="2.6" {}
                }
            }
        }
    };
    axes.svg(&label, &inside)
}

/// The names of the channels where their curves lie farthest apart.
fn letters(axes: &Axes, curve: &[CurvePoint]) -> Markup {
    let spread = |point: &CurvePoint| {
        let [r, g, b] = point.signal;
        r.max(g).max(b) - r.min(g).min(b)
    };
    let widest = curve.iter().max_by(|a, b| spread(a).total_cmp(&spread(b)));
    let Some(point) = widest else { return html! {} };
    let mut order = [0, 1, 2];
    order.sort_by(|a, b| point.signal[*b].total_cmp(&point.signal[*a]));
    let middle = axes.y(100.0 * point.signal[order[1]]);
    html! {
        // From the highest curve to the lowest, beside them at a readable distance.
        @for (place, channel) in order.into_iter().enumerate() {
            @let (letter, class) = CHANNELS[channel];
            @let own = axes.y(100.0 * point.signal[channel]);
            @let wanted = middle + (place as f64 - 1.0) * APART;
            @let y = if place == 0 { own.min(wanted) } else if place == 2 { own.max(wanted) } else { middle };
            @let x = axes.x(point.stops) + if place == 2 { 16.0 } else { -16.0 };
            text class=(format!("letter {class}")) x=(figure(x)) y=(figure(y.clamp(axes.top + 10.0, axes.bottom - 2.0))) text-anchor="middle" { (letter) }
        }
    }
}

/// The curves of two looks: of neutrals that are as bright. Codes are those of A's link.
pub(in crate::report) fn curves_of_two([a, b]: [&Portrait; 2]) -> Markup {
    let axes = axes();
    let label = format!(
        "tone curves of A (unbroken) and B (dashed): grey at {:.1} and {:.1} percent of the signal",
        100.0 * a.grey_signal,
        100.0 * b.grey_signal
    );
    let mean = |point: &CurvePoint| 100.0 * point.neutral_signal;
    let points = |portrait: &Portrait| -> Vec<(f64, Option<f64>)> {
        portrait.curve.iter().map(|point| (point.stops, Some(mean(point)))).collect()
    };
    // Where they lie farthest apart their letters can be told apart.
    let apart = |(a, b): &(&CurvePoint, &CurvePoint)| (mean(a) - mean(b)).abs();
    let widest = a.curve.iter().zip(&b.curve).max_by(|x, y| apart(x).total_cmp(&apart(y)));
    let inside = html! {
        (ground(&axes, a.output_levels))
        (axes.line("curve", points(a).into_iter()))
        (axes.line("curve second", points(b).into_iter()))
        @if let Some((of_a, of_b)) = widest {
            @let a_is_above = mean(of_a) >= mean(of_b);
            @for (letter, point, above) in [("A", of_a, a_is_above), ("B", of_b, !a_is_above)] {
                @let (dx, dy) = if above { (-13.0, -6.0) } else { (13.0, 14.0) };
                @let y = (axes.y(mean(point)) + dy).clamp(axes.top + 10.0, axes.bottom - 3.0);
                text.letter x=(figure(axes.x(point.stops) + dx)) y=(figure(y)) text-anchor="middle" { (letter) }
            }
        }
    };
    axes.svg(&label, &inside)
}

//! Maps over the colours of the scene: hues upwards, stops across, in three parts from pale to strong.

use super::{Axes, figure, signed, stops_axis};
use crate::colour::oklab::hue_name;
use crate::portrait::{Clipped, ClippingMap, DifferenceMap, MAP_CHROMAS, MAP_HUES, MAP_STOPS, map_stops};
use maud::{Markup, html};

const WIDTH: f64 = 440.0;
const HEIGHT: f64 = 250.0;

/// Edges of the steps in which differences are drawn, ΔE2000. About 1 is just to be seen side by side (common practice, no
/// source); the default tolerances are 0.5, 1 and 3.
const STEPS: [f64; 5] = [0.25, 0.5, 1.0, 2.0, 4.0];

/// How much of the ink each step has, darkest last.
const INKS: [&str; 6] = ["0", "0.12", "0.28", "0.48", "0.72", "1"];

fn axes() -> Axes {
    let stops = f64::from(MAP_STOPS) + 0.25;
    Axes { left: 92.0, ..Axes::new(WIDTH, HEIGHT, [-stops, stops], [0.0, MAP_HUES as f64]) }
}

/// Cells of one kind as one path: runs of neighbours in a row are one rectangle.
fn runs(axes: &Axes, is: impl Fn(usize, usize) -> bool) -> String {
    let columns = map_stops();
    let mut path = String::new();
    for row in 0..MAP_HUES {
        let (top, bottom) = (axes.y((row + 1) as f64), axes.y(row as f64));
        let mut column = 0;
        while column < columns.len() {
            if !is(row, column) {
                column += 1;
                continue;
            }
            let first = column;
            while column < columns.len() && is(row, column) {
                column += 1;
            }
            let (left, right) = (axes.x(columns[first] - 0.25), axes.x(columns[column - 1] + 0.25));
            path.push_str(&format!(
                "M{} {}H{}V{}H{}z",
                figure(left),
                figure(top),
                figure(right),
                figure(bottom),
                figure(left)
            ));
        }
    }
    path
}

fn ground(axes: &Axes) -> Markup {
    html! {
        (axes.columns(&stops_axis(MAP_STOPS), signed, "stops from grey, in the scene"))
        @for row in (0..MAP_HUES).step_by(4) {
            @let degrees = 360.0 / MAP_HUES as f64 * row as f64;
            text.label x=(figure(axes.left - 6.0)) y=(figure(axes.y(row as f64 + 0.5) + 4.0)) text-anchor="end" { (hue_name(degrees)) }
        }
        rect.frame x=(figure(axes.left)) y=(figure(axes.top)) width=(figure(axes.right - axes.left)) height=(figure(axes.bottom - axes.top)) {}
    }
}

fn cell<T: Copy>(cells: &[T], part: usize, row: usize, column: usize) -> T {
    let columns = map_stops().len();
    cells[(part * MAP_HUES + row) * columns + column]
}

/// Which step a difference belongs to; one that is no number to the last.
fn step(de2000: f64) -> usize {
    STEPS.iter().position(|edge| de2000 < *edge).unwrap_or(STEPS.len())
}

/// The three parts of a map of differences.
pub(in crate::report) fn difference(map: &DifferenceMap, of: &str) -> Markup {
    let axes = axes();
    let any_unrecorded = |part: usize| runs(&axes, |row, column| cell(&map.cells, part, row, column).is_none());
    html! {
        @for (part, (_, name)) in MAP_CHROMAS.iter().enumerate() {
            @let worst = map.worst(part);
            @let told = worst.map_or("no colour that the camera records".to_owned(), |worst| format!(
                "mean {:.2}, worst {:.2} ΔE2000, at {} {} stops", worst.mean_de, worst.de2000, hue_name(worst.hue_deg), signed(worst.stops)
            ));
            figure {
                figcaption { strong { (name) } ": " (told) }
                (axes.svg(&format!("{of} by hue and stops, colours {name}: {told}"), &html! {
                    (ground(&axes))
                    @for (place, ink) in INKS.iter().enumerate().skip(1) {
                        @let path = runs(&axes, |row, column| cell(&map.cells, part, row, column).is_some_and(|de| step(de) == place));
                        @if !path.is_empty() { path.cells d=(path) fill-opacity=(ink) {} }
                    }
                    path d=(any_unrecorded(part)) fill="url(#dots)" {}
                }))
            }
        }
    }
}

/// What the inks of such a map mean.
pub(in crate::report) fn difference_key() -> Markup {
    html! {
        ul.key {
            @for (place, ink) in INKS.iter().enumerate() {
                @let words = match place {
                    0 => format!("below {}", STEPS[0]),
                    5 => format!("{} and more", STEPS[4]),
                    _ => format!("{} to {}", STEPS[place - 1], STEPS[place]),
                };
                li { (sample(&html! { rect.cells width="22" height="14" fill-opacity=(ink) {} })) (words) " ΔE2000" }
            }
            li { (sample(&html! { rect width="22" height="14" fill="url(#dots)" {} })) "no room in the camera’s signal" }
        }
    }
}

fn sample(inside: &Markup) -> Markup {
    html! { svg.sample viewBox="0 0 22 14" aria-hidden="true" { (inside) rect.frame x=".5" y=".5" width="21" height="13" {} } }
}

/// What is clipped, with what it is drawn by and what that means.
const KINDS: [(Clipped, &str, &str); 6] = [
    (Clipped::AtBlack, "url(#rising)", "a channel at black"),
    (Clipped::AtWhite, "url(#falling)", "a channel at white"),
    (Clipped::Both, "url(#crossed)", "channels at both ends"),
    (Clipped::Black, "currentColor", "all black"),
    (Clipped::White, "url(#fine)", "all white"),
    (Clipped::Unrecorded, "url(#dots)", "no room in the camera’s signal"),
];

/// The three parts of a map of what is clipped.
pub(in crate::report) fn clipping(map: &ClippingMap) -> Markup {
    let axes = axes();
    html! {
        @for (part, (_, name)) in MAP_CHROMAS.iter().enumerate() {
            @let (black, all) = map.count(part, |cell| matches!(cell, Clipped::AtBlack | Clipped::Both | Clipped::Black));
            @let (white, _) = map.count(part, |cell| matches!(cell, Clipped::AtWhite | Clipped::Both | Clipped::White));
            @let share = |count: usize| if all == 0 { "none".to_owned() } else { format!("{:.0} %", 100.0 * count as f64 / all as f64) };
            @let told = format!("a channel at black in {}, at white in {} of what the camera records", share(black), share(white));
            figure {
                figcaption { strong { (name) } ": " (told) }
                (axes.svg(&format!("clipping by hue and stops, colours {name}: {told}"), &html! {
                    (ground(&axes))
                    @for (kind, fill, _) in KINDS {
                        @let path = runs(&axes, |row, column| cell(&map.cells, part, row, column) == kind);
                        @if !path.is_empty() { path.clipped d=(path) fill=(fill) {} }
                    }
                }))
            }
        }
    }
}

/// What the patterns of such a map mean.
pub(in crate::report) fn clipping_key() -> Markup {
    html! {
        ul.key {
            li { (sample(&html! {})) "every channel has room" }
            @for (_, fill, words) in KINDS {
                li { (sample(&html! { rect width="22" height="14" fill=(fill) {} })) (words) }
            }
        }
    }
}

/// The patterns that maps are filled with: once in a page that has any.
pub(in crate::report) fn patterns() -> Markup {
    html! {
        svg.patterns width="0" height="0" aria-hidden="true" {
            defs {
                pattern #rising width="6" height="6" patternUnits="userSpaceOnUse" { path.hatch d="M-1 1l2 -2M0 6l6 -6M5 7l2 -2" {} }
                pattern #falling width="6" height="6" patternUnits="userSpaceOnUse" { path.hatch d="M-1 5l2 2M0 0l6 6M5 -1l2 2" {} }
                pattern #crossed width="6" height="6" patternUnits="userSpaceOnUse" { path.hatch d="M0 6l6 -6M0 0l6 6" {} }
                pattern #fine width="3" height="3" patternUnits="userSpaceOnUse" { path.hatch d="M0 1.5h3" {} }
                pattern #dots width="5" height="5" patternUnits="userSpaceOnUse" { circle.dot cx="2.5" cy="2.5" r=".8" {} }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn differences_fall_into_steps_and_no_number_into_the_last() {
        assert_eq!([0.0, 0.25, 0.99, 1.0, 3.9, 4.0, f64::NAN].map(step), [0, 1, 2, 3, 4, 5, 5]);
    }

    #[test]
    fn neighbours_in_a_row_are_one_rectangle() {
        let axes = axes();
        let path = runs(&axes, |row, column| row == 3 && (column == 5 || column == 6 || column == 9));
        assert_eq!(path.matches('z').count(), 2, "{path}");
    }
}

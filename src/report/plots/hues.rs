//! What becomes of hues and saturation: the plane of Oklab's a and b at mid-grey.

use super::{Axes, figure};
use crate::colour::oklab::hue_name;
use crate::maths::{cos, sin};
use crate::portrait::{HUE_CHROMAS, HueMove, Portrait};
use crate::report::swatch::srgb;
use maud::{Markup, html};

const SIDE: f64 = 440.0;

/// The plane reaches at least this far: a little beyond the strongest colours of the scene that are followed.
const LEAST: f64 = 0.15;

/// Room for the names of hues around everything else, as a part of the plane.
const NAMES: f64 = 0.16;

/// Where a chroma and a hue lie.
fn place(axes: &Axes, chroma: f64, degrees: f64) -> [f64; 2] {
    let angle = degrees * (core::f64::consts::PI / 180.0);
    [axes.x(chroma * cos(angle)), axes.y(chroma * sin(angle))]
}

fn axes(all: &[&[HueMove]]) -> Axes {
    let seen = all.iter().flat_map(|hues| hues.iter()).map(|hue| hue.seen_chroma);
    let most = seen.fold(LEAST, f64::max) * (1.0 + NAMES);
    let axes = Axes::new(SIDE, SIDE, [-most, most], [-most, most]);
    Axes { left: 10.0, right: SIDE - 10.0, top: 10.0, bottom: SIDE - 10.0, ..axes }
}

fn ground(axes: &Axes) -> Markup {
    let [x0, y0] = [axes.x(0.0), axes.y(0.0)];
    html! {
        line.grid x1=(figure(axes.left)) x2=(figure(axes.right)) y1=(figure(y0)) y2=(figure(y0)) {}
        line.grid x1=(figure(x0)) x2=(figure(x0)) y1=(figure(axes.top)) y2=(figure(axes.bottom)) {}
        @for chroma in HUE_CHROMAS {
            circle.ring cx=(figure(x0)) cy=(figure(y0)) r=(figure(axes.x(chroma) - x0)) {}
        }
        @for twelfth in 0..12 {
            @let degrees = 30.0 * f64::from(twelfth);
            @let [x, y] = place(axes, axes.across[1] * (1.0 - NAMES / 2.4), degrees);
            text.label x=(figure(x)) y=(figure(y + 4.0)) text-anchor="middle" { (hue_name(degrees)) }
        }
    }
}

/// Moves of hues: from the circle where the scene has them to where the display shows them.
pub(in crate::report) fn hues(portrait: &Portrait) -> Markup {
    let axes = axes(&[&portrait.hues]);
    let label = "hues and saturation at mid-grey, seen apart from the cast of grey: lines lead from the colours of the scene, on \
                 two rings, to where they are shown; farther out is more saturated";
    let inside = html! {
        (ground(&axes))
        @for hue in &portrait.hues {
            @let [x1, y1] = place(&axes, hue.chroma, hue.hue_deg);
            @let [x2, y2] = place(&axes, hue.seen_chroma, hue.hue_deg + hue.turn_deg);
            line.move x1=(figure(x1)) y1=(figure(y1)) x2=(figure(x2)) y2=(figure(y2)) {}
            circle.to cx=(figure(x2)) cy=(figure(y2)) r="4.6" fill=(srgb(hue.lab)) {}
        }
    };
    axes.svg(label, &inside)
}

/// The same of two looks: the second's as diamonds, joined to the first's.
pub(in crate::report) fn hues_of_two([a, b]: [&Portrait; 2]) -> Markup {
    let axes = axes(&[&a.hues, &b.hues]);
    let label = "hues and saturation at mid-grey, seen apart from the cast of grey: A as circles, B as diamonds, joined by lines; \
                 farther out is more saturated";
    let inside = html! {
        (ground(&axes))
        @for (of_a, of_b) in a.hues.iter().zip(&b.hues) {
            @let [x1, y1] = place(&axes, of_a.seen_chroma, of_a.hue_deg + of_a.turn_deg);
            @let [x2, y2] = place(&axes, of_b.seen_chroma, of_b.hue_deg + of_b.turn_deg);
            line.move x1=(figure(x1)) y1=(figure(y1)) x2=(figure(x2)) y2=(figure(y2)) {}
            circle.to cx=(figure(x1)) cy=(figure(y1)) r="4.6" fill=(srgb(of_a.lab)) {}
            path.to d=(format!("M{} {}l5.6 5.6l-5.6 5.6l-5.6 -5.6z", figure(x2), figure(y2 - 5.6))) fill=(srgb(of_b.lab)) {}
        }
    };
    axes.svg(label, &inside)
}

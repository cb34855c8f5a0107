//! Colours as a monitor shows them: swatches of lights, and the patches of chart and skins both ways.

use super::ways_words::worst_words;
use crate::colour::chart::CHART;
use crate::report::lighting_words::{fixed, percent};
use crate::show::{Shown, WayPatch, Ways};
use maud::{Markup, html};

/// A colour in a code that a picture holds.
fn code(shown: &Shown) -> String {
    let [r, g, b] = shown.srgb.map(|value| (value.clamp(0.0, 1.0) * 255.0).round() as u8);
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// One colour.
pub(super) fn shown(what: &str, of: &Shown) -> Markup {
    html! {
        svg.swatch viewBox="0 0 48 20" role="img" aria-label=(format!("{what}: {} on the monitor", percent(of))) {
            rect width="48" height="20" fill=(code(of)) {}
            rect.frame x=".5" y=".5" width="47" height="19" {}
        }
    }
}

/// The four colours of a patch: negatives above, pictures below, the cast in the camera left, in the recipe right.
fn four(patch: &WayPatch) -> Markup {
    let parts = [
        ("0", "0", &patch.negative_in_camera),
        ("24", "0", &patch.negative_neutral),
        ("0", "15", &patch.in_camera),
        ("24", "15", &patch.in_recipe),
    ];
    let [a, b, c, d] = parts.map(|(_, _, of)| percent(of));
    let label = format!(
        "{}: negative with the cast {a}, neutral negative {b}; picture with the cast in the camera {c}, in the recipe {d}",
        patch.name
    );
    html! {
        svg.four viewBox="0 0 48 30" preserveAspectRatio="none" role="img" aria-label=(label) {
            @for (x, y, of) in parts { rect x=(x) y=(y) width="24" height="15" fill=(code(of)) {} }
        }
    }
}

fn grid(title: &str, id: &str, class: &str, patches: &[WayPatch]) -> Markup {
    html! {
        div.keep {
            h4 id=(id) { (title) }
            ul.patches.(class) aria-labelledby=(id) {
                @for patch in patches {
                    li { (four(patch)) span.patch { (patch.name) } " " span.quiet.whole { "ΔE " (fixed(patch.de2000, 2)) } }
                }
            }
        }
    }
}

/// All patches with their legend.
pub(super) fn patches(ways: &Ways) -> Markup {
    let (chart, skins) = ways.patches.split_at(CHART.len().min(ways.patches.len()));
    let lightness = |patch: &&WayPatch| patch.in_camera.lab[0];
    let lightest = ways.patches.iter().max_by(|a, b| lightness(a).total_cmp(&lightness(b)));
    html! {
        h3 #pictures { "The pictures" }
        div.legend {
            @if let Some(lightest) = lightest { (four(lightest)) }
            p {
                "Four parts a patch: above the negatives through a plain conversion, left with the cast in the camera, right neutral; below the pictures, \
                 left with the cast in the camera, right in the recipe. Where there is no edge they are alike. ΔE is the ΔE2000 between the pictures at the \
                 patch’s own exposure, for a camera that balances by its channels. The colours are the monitor’s as sRGB, clipped where sRGB does not hold \
                 them. Most different: "
                strong { (worst_words(ways)) } "."
            }
        }
        (grid("Chart", "chart", "six", chart))
        @if !skins.is_empty() { (grid("Skins", "skins", "eight", skins)) }
    }
}

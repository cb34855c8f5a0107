//! Parts of a page that reports on looks and files share.

use super::levels::{input_means, output_means};
use super::page::{name, one_line};
use super::plots;
use super::scopes::{chromaticity_svg, histogram_svg};
use super::swatch::srgb;
use crate::diagnostics::Diagnostic;
use crate::picture::scopes::PictureSize;
use crate::portrait::{PatchShown, Pictures, Portrait, ReportPicture, ReportScopes, SWATCH_STOPS, Use};
use crate::verify::GreyPoint;
use base64::Engine as _;
use maud::{Markup, html};

/// Proportions of the chromaticity diagram.
const DIAGRAM: [usize; 2] = [440, 400];

/// What is not in a LUT and is not in its report either.
pub(super) const NOT_IN_A_LUT: &str = "A LUT changes each pixel by itself. The halo of a diffusion filter, haze, grain, flare and whatever else \
     lets light spread are not in the file: they are on the lens and in the room. The pictures above have none of them.";

/// Which levels a device must be told, as large as they matter.
pub(super) fn levels(used: &Use) -> Markup {
    let (input, output) = (used.input_levels, used.output_levels);
    html! {
        dl.levels {
            @for (side, id, means) in
                [("Input levels", input, input_means(input)), ("Output levels", output, output_means(output))]
            {
                div.level {
                    dt { (side) @if !used.levels_known { strong { ", assumed: nothing says so" } } }
                    dd.value { (id.to_uppercase()) @if !used.levels_known { "?" } }
                    dd.means { (means) }
                }
            }
        }
    }
}

/// Sentences, one each.
pub(super) fn sentences(title: &str, id: &str, sentences: &[String]) -> Markup {
    html! {
        section.panel aria-labelledby=(id) {
            h2 id=(id) { (title) }
            ul.plain { @for sentence in sentences { li { (name(sentence)) } } }
        }
    }
}

/// Rows of pictures beside each other, each with what it is.
pub(super) fn pictures(title: &str, all: &[Pictures]) -> Markup {
    html! {
        section aria-labelledby="pictures" {
            h2 #pictures { (title) }
            @for of in all {
                div.pictures {
                    @for one in &of.pictures { (picture(of.subject, one)) }
                }
            }
            p.quiet.small {
                "Shown on this screen as sRGB with the display’s white as its white; of an HDR display, light of 203 cd/m² (ITU-R BT.2408) is this screen’s white, and what is \
                 brighter is cut. The scene is rendered by the program and is no footage."
            }
        }
    }
}

/// Scopes of the scene behind one look, or two of them with their letters.
pub(super) fn scopes(all: &[(&str, &ReportScopes)]) -> Markup {
    html! {
        section aria-labelledby="scopes" {
            h2 #scopes { "Scopes of the scene" }
            @for (letter, of) in all {
                @if !letter.is_empty() { h3 { (letter) } }
                div.pictures { @for one in &of.pictures.pictures { (picture(of.pictures.subject, one)) } }
            }
            p.quiet.small { "Of the display’s signal, 10-bit codes at full range as it is computed; legal levels put 0 to 100 % at 64 to 940." }
            @if let [(_, only)] = all {
                figure.diagram.single {
                    (maud::PreEscaped(histogram(only)))
                    figcaption { "The scene’s light as this camera records it, before the look." }
                }
            }
        }
    }
}

fn histogram(scopes: &ReportScopes) -> String {
    PictureSize::new(DIAGRAM[0], DIAGRAM[1] / 2).map_or(String::new(), |size| histogram_svg(&scopes.histogram, size))
}

fn picture(subject: &str, picture: &ReportPicture) -> Markup {
    let data = base64::engine::general_purpose::STANDARD.encode(&picture.jpeg);
    let [width, height] = picture.size;
    let alt = format!("{subject}: {}", one_line(&picture.title));
    html! {
        figure.picture {
            img src=(format!("data:image/jpeg;base64,{data}")) width=(width) height=(height) alt=(alt) loading="lazy";
            figcaption { (name(&picture.title)) }
        }
    }
}

/// The tone curve and the cast of a look or a file.
pub(super) fn greys(portrait: &Portrait, points: &[GreyPoint], cast_points: &[crate::portrait::CastPoint]) -> Markup {
    let circles = if points.is_empty() { "" } else { " Circles: the file, as the verifier read it back." };
    html! {
        section aria-labelledby="greys" {
            h2 #greys { "Greys: tone and cast" }
            div.plots {
                figure {
                    (plots::curve(portrait, points))
                    figcaption {
                        "The display’s signal for each stop of the scene; at the right the 10-bit codes of its link." (circles)
                        @if portrait.tinted { " R, G and B part where greys have a colour." }
                    }
                }
                @if portrait.tinted {
                    figure {
                        (plots::casts(&portrait.casts(), cast_points))
                        figcaption { "The colour of greys beside the display’s white. It has none near black, and none that can be drawn here where no black body is near to it." (circles) }
                    }
                } @else {
                    p { strong { "Greys are neutral" } " from black to white: the three channels lie within a tenth of a 10-bit code, so there is no cast to plot." }
                }
            }
        }
    }
}

/// Hues, saturation, gamuts.
pub(super) fn colours(portrait: &Portrait) -> Markup {
    html! {
        section aria-labelledby="colours" {
            h2 #colours { "Colours" }
            div.plots {
                figure {
                    @if portrait.hues.is_empty() { p { "Grey is black here, so that no hue is seen." } } @else {
                        (plots::hues(portrait))
                        figcaption {
                            "Each hue of the scene at mid-grey, on two rings (Oklab chroma 0.06, as skin, and 0.12), and the colour that is shown \
                             for it. Inwards is less saturated; sideways is another hue. The cast of grey is taken off first."
                        }
                    }
                }
                figure.diagram {
                    (maud::PreEscaped(diagram(portrait)))
                    figcaption { "Chromaticities, CIE 1931: where the look sends the 24 patches, inside the camera’s and the monitor’s gamut." }
                }
            }
        }
    }
}

/// The chromaticity diagram; its size is one that is possible.
fn diagram(portrait: &Portrait) -> String {
    PictureSize::new(DIAGRAM[0], DIAGRAM[1]).map_or(String::new(), |size| chromaticity_svg(&portrait.gamut, size))
}

/// A field of one colour, and what it is.
pub(super) fn field(lab: [f64; 3], words: &str) -> Markup {
    let colour = srgb(lab);
    let label = format!("{words}: L* {:.0}, a* {:.0}, b* {:.0}", lab[0], lab[1], lab[2]);
    html! {
        svg.field viewBox="0 0 30 18" role="img" aria-label=(label) {
            rect width="30" height="18" fill=(colour) {}
            rect.frame x=".5" y=".5" width="29" height="17" {}
        }
    }
}

/// The patches of a look: the patch itself, shown at three exposures, and a last column of somebody's own.
pub(super) fn patches(all: &[PatchShown], last: &str, value: impl Fn(&PatchShown) -> Markup) -> Markup {
    let own = SWATCH_STOPS.iter().position(|stops| *stops == 0).unwrap_or_default();
    html! {
        p.quiet.small {
            "As they are, and as the exact look shows them; L* a* b* against white, on HDR displays against 203 cd/m². Colours that sRGB does not hold are clipped in the fields."
        }
        div.scroll tabindex="0" role="region" aria-label="Patches" {
            table.grid.swatches {
                thead {
                    tr {
                        th scope="col" { "Patch" }
                        th scope="col" { "itself" }
                        @for stops in SWATCH_STOPS { th scope="col" { (super::plots::stops_words(stops)) } }
                        th scope="col" { "L* a* b* itself" }
                        th scope="col" { "shown, as exposed" }
                        @if !last.is_empty() { th.number scope="col" { (last) } }
                    }
                }
                tbody {
                    @for patch in all {
                        tr {
                            th scope="row" { (patch.name) @if patch.skin { span.quiet { " (skin)" } } }
                            td { (field(patch.scene_lab, "the patch itself")) }
                            @for swatch in &patch.shown {
                                td { (field(swatch.lab, &format!("shown, {}", super::plots::stops_words(swatch.stops)))) }
                            }
                            td.whole { (lab_words(patch.scene_lab)) }
                            td.whole { (lab_words(patch.shown[own].lab)) }
                            @if !last.is_empty() { td.number { (value(patch)) } }
                        }
                    }
                }
            }
        }
    }
}

pub(super) fn lab_words(lab: [f64; 3]) -> String {
    lab.map(|value| format!("{:.1}", (10.0 * value).round() / 10.0 + 0.0).replace('-', "−")).join(" ")
}

/// The clipping map.
pub(super) fn clipping(portrait: &Portrait) -> Markup {
    html! {
        section aria-labelledby="clipping" {
            h2 #clipping { "Where the picture ends" }
            p {
                "Every hue from eight stops under grey to eight over it, at three strengths: where a channel of the display’s signal lies at black or at white, \
                 detail of that colour is lost in it."
            }
            div.hue-maps { (plots::clipping(&portrait.clipping)) }
            (plots::clipping_key())
        }
    }
}

/// What is doubtful, with what to do about it.
pub(super) fn warnings(all: &[Diagnostic], notes: &[String]) -> Markup {
    html! {
        section aria-labelledby="warnings" {
            h2 #warnings { "Warnings and notes" }
            @if all.is_empty() && notes.is_empty() { p { "None." } }
            ul.plain {
                @for one in all {
                    li.keep {
                        strong { (one.code.id) } " " (name(&one.message)) "."
                        @if !one.label.is_empty() { " " (name(&one.label)) "." }
                        @for help in &one.help { " " span.quiet { (name(help)) "." } }
                    }
                }
                @for note in notes { li { strong { "Note" } " " (name(note)) "." } }
            }
        }
    }
}

//! A part of a page in which a still or a clip of the reader's own is seen through a look's file, on the graphics processor where there is
//! one. It needs nothing but the page, and the page may not connect to anything.

mod packing;

use crate::colour::encodings::Curve;
use crate::lut::{Interpolation, Table3};
use crate::plan::{DisplayTarget, Levels};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use maud::{Markup, PreEscaped, html};
use sha2::{Digest as _, Sha256};

pub use packing::CURVE_POINTS;

const STYLE: &str = include_str!("viewer.css");
const SHADER: &str = include_str!("viewer.frag");
const SCRIPT: &str = concat!(
    "\"use strict\";\n(() => {\n",
    include_str!("maths.js"),
    include_str!("drawing.js"),
    include_str!("source.js"),
    include_str!("page.js"),
    "})();\n"
);

/// A look that can be chosen.
#[derive(Clone, Debug)]
pub struct ViewerLook<'a> {
    /// Its name, with camera and monitor where a page has several.
    pub name: &'a str,
    /// What the name of a saved picture has for it; plain characters.
    pub file: &'a str,
    /// The file's table.
    pub table: &'a Table3,
    /// What the still must be, in words: "s-log3 / s-gamut3.cine".
    pub input: &'a str,
    /// The curve of that signal: exposure acts on light.
    pub curve: Curve,
    /// Levels at the LUT's input.
    pub input_levels: Levels,
    /// Levels at its output.
    pub output_levels: Levels,
    /// How the device interpolates.
    pub interpolation: Interpolation,
    /// The display that the signal is for.
    pub display: DisplayTarget,
}

/// What the head of a page with a viewer needs, its other style included: what the page may do, by the hashes of what stands in it.
#[must_use]
pub fn viewer_head(page_style: &str) -> Markup {
    html! {
        meta http-equiv="Content-Security-Policy" content=(policy(page_style));
        style { (PreEscaped(page_style)) }
        style { (PreEscaped(STYLE)) }
    }
}

/// Nothing from outside and nothing to it; only this style and this script; pictures of the page and of the reader.
fn policy(page_style: &str) -> String {
    let hash = |text: &str| format!("'sha256-{}'", STANDARD.encode(Sha256::digest(text.as_bytes())));
    let (page, own, script) = (hash(page_style), hash(STYLE), hash(SCRIPT));
    format!(
        "default-src 'none'; style-src {page} {own}; script-src {script}; img-src data: blob:; media-src blob:; base-uri 'none'; form-action 'none'"
    )
}

/// The section "Try a still of your own". A page has one; it stands in a page whose head has [`viewer_head`]. Without looks it is
/// empty.
#[must_use]
pub fn viewer_section(looks: &[ViewerLook<'_>]) -> Markup {
    if looks.is_empty() {
        return html! {};
    }
    html! {
        section.viewer.screen #viewer aria-labelledby="viewer-title" {
            h2 #viewer-title { "Try a still of your own" }
            p {
                "A still or clip as the camera records it, seen through the file of the look, here in this page. The picture stays on this computer: the page can’t connect to anything."
            }
            p.quiet #viewer-without { "This part needs JavaScript, which does not run here: open the page in a browser." }
            div #viewer-live hidden="" {
                (choice(looks))
                (dropping())
                p.viewer-error #viewer-error role="alert" hidden="" {}
                div #viewer-work hidden="" { (tools()) (clip()) (stage()) (codes()) p.small #viewer-difference hidden="" {} }
                p.small.quiet #viewer-state role="status" hidden="" {}
                (explained())
            }
            (data(looks))
            script type="text/plain" #viewer-shader { (PreEscaped(SHADER)) }
            script { (PreEscaped(SCRIPT)) }
        }
    }
}

fn choice(looks: &[ViewerLook<'_>]) -> Markup {
    html! {
        @if looks.len() > 1 {
            p {
                label for="viewer-look" { "Look " }
                select #viewer-look { @for (number, look) in looks.iter().enumerate() { option value=(number) { (super::page::one_line(look.name)) } } }
            }
        }
        @for (number, look) in looks.iter().enumerate() {
            div data-of=(number) hidden=[(number > 0).then_some("")] {
                p { "The picture must be " strong { (look.input) } ", as recorded, without any look. Levels at the LUT’s input are " (look.input_levels.id()) ": " (super::levels::input_means(look.input_levels.id())) ", here too." }
                p.small.quiet { (shown_as(&look.display)) }
            }
        }
    }
}

/// What the reader's screen makes of the display's signal.
fn shown_as(display: &DisplayTarget) -> String {
    let name = format!("{} / {}", display.encoding.name(), display.gamut.name);
    if display.encoding.needs_peak() {
        return format!(
            "What is drawn is the monitor’s signal, for {name} at {} cd/m²: an ordinary screen shows it flat and pale. Codes and clipping are to be judged, the picture is not.",
            display.peak_nits
        );
    }
    format!(
        "What is drawn is the monitor’s signal, for {name}, as it is. Browsers take it for sRGB, which is near to that and not the same: pictures of a report are converted, this one is not."
    )
}

fn dropping() -> Markup {
    html! {
        div.viewer-drop #viewer-drop {
            p { strong { "Drop a still or a clip" } " anywhere on this page, or choose one:" }
            input #viewer-file type="file" accept="image/*,video/*,.mkv" aria-label="A still or clip";
            p.small.quiet { "PNG, JPEG, WebP; MP4 or WebM that this browser plays." }
        }
    }
}

fn key(id: &str, words: &str, label: &str) -> Markup {
    html! { button type="button" id=(format!("viewer-{id}")) aria-label=[(!label.is_empty()).then_some(label)] { (words) } }
}

fn keys(title: &str, keys: &Markup) -> Markup {
    html! { div role="group" aria-label=(title) { span.title { (title) } div.viewer-keys { (keys) } } }
}

fn selection(id: &str, title: &str, options: &[(&str, &str)]) -> Markup {
    let id = format!("viewer-{id}");
    html! {
        div {
            label.title for=(id) { (title) }
            select id=(id) { @for (value, words) in options { option value=(value) { (words) } } }
        }
    }
}

fn tools() -> Markup {
    let show = html! { (key("all-before", "Before", "")) (key("half", "Both", "")) (key("all-after", "After", "")) };
    let exposure = html! {
        (key("darker", "−1", "One stop darker")) (key("darker-half", "−½", "Half a stop darker"))
        output #viewer-stops { "0 stops" }
        (key("brighter-half", "+½", "Half a stop brighter")) (key("brighter", "+1", "One stop brighter"))
    };
    let size = html! { (key("fit", "Fit", "Fit the page’s width")) (key("whole", "100 %", "")) };
    let levels = [("full", "full: codes 0 and 1023"), ("legal", "legal: codes 64 and 940")];
    let ways = Interpolation::ALL.map(|way| (way.id(), way.id()));
    html! {
        div.viewer-tools {
            (keys("Show", &show))
            (keys("Exposure of the scene", &exposure))
            (selection("picture", "0 and 255 of the picture are", &levels))
            (selection("interpolation", "Interpolation", &ways))
            (keys("Size", &size))
            div.viewer-keys { (key("reset", "Reset", "")) (key("save", "Save as PNG", "")) }
        }
    }
}

fn clip() -> Markup {
    html! {
        div.viewer-clip #viewer-clip hidden="" {
            (key("play", "Play", ""))
            input #viewer-scrub type="range" min="0" max="1" step="0.001" value="0" aria-label="Place in the clip";
            output #viewer-time {}
        }
    }
}

fn stage() -> Markup {
    html! {
        div.viewer-stage.scroll tabindex="0" role="region" aria-label="Picture before and after" {
            div.viewer-frame #viewer-frame {
                div #viewer-canvas {}
                div.viewer-line #viewer-line tabindex="0" role="slider" aria-label="Line between before, left, and after, right" aria-valuemin="0" aria-valuemax="100" aria-valuenow="50" {}
            }
        }
    }
}

fn codes() -> Markup {
    html! {
        table.viewer-codes {
            caption { "Codes of the pixel at " output #viewer-at {} ", under the pointer: R G B" }
            thead { tr { th { span.quiet { "Picture" } } th scope="col" { "8 bits" } th scope="col" { "10 bits" } } }
            tbody {
                tr { th scope="row" { "before" } td #viewer-before {} td #viewer-before-ten {} }
                tr { th scope="row" { "after" } td #viewer-after {} td #viewer-after-ten {} }
            }
        }
    }
}

fn explained() -> Markup {
    html! {
        details {
            summary { "What is done with the picture, and how exactly" }
            ul {
                li { "Browsers decode pictures to 8 bits, PNG of 16 bits too. " code { "lookwright preview" } " keeps all bits, and reads TIFF and OpenEXR. Colour profiles and transparency of a still are left aside." }
                li {
                    strong { "Levels of the picture. " } "A still of the camera’s log signal is full: its 0 and 255 are the signal’s codes 0 and 1023. Most clips, and stills taken from them, were stretched: codes 64 to 940 became 0 to 255, and what lay outside was "
                    "cut. Browsers do that to clips themselves. Black that is too dark and contrast that is too strong tell of the wrong setting. Levels of the LUT’s input are those of the file, and need no setting."
                }
                li {
                    strong { "Exposure " } "acts on the scene’s light, as a stop on the lens: decoded by the camera’s curve, multiplied, encoded. What the camera clipped stays clipped. The curve stands in the page at "
                    (CURVE_POINTS) " points: within a tenth of a 10-bit code of the formula, or within the step that a published curve has."
                }
                li { strong { "The table " } "is the written file’s, in 16 bits: within 0.01 of a 10-bit code. The picture is within one 8-bit code of what " code { "lookwright preview" } " makes of the same still." }
                li {
                    strong { "Interpolation. " } "Tetrahedral reads the four points of the table around a colour that lie along the way from its darkest to its lightest corner, and greys from greys alone. Trilinear reads all eight, and so mixes the "
                    "colours beside greys into them. Which one a device does is its own matter, and the file was checked for the one that is chosen at first."
                }
            }
        }
    }
}

/// Tables, and the curves that they share.
fn data(looks: &[ViewerLook<'_>]) -> Markup {
    let mut curves: Vec<Curve> = Vec::new();
    for look in looks {
        if !curves.contains(&look.curve) {
            curves.push(look.curve);
        }
    }
    let curve_of = |look: &ViewerLook<'_>| curves.iter().position(|curve| *curve == look.curve);
    html! {
        @for (number, look) in looks.iter().enumerate() {
            @let packed = packing::packed(look.table);
            @let [from, to] = [look.table.domain().min, look.table.domain().max].map(|ends| ends.map(|end| end.to_string()).join(" "));
            div hidden="" id=(format!("viewer-look-{number}")) data-name=(super::page::one_line(look.name)) data-file=(look.file) data-size=(look.table.size())
                data-low=(packed.low) data-high=(packed.high) data-from=(from) data-to=(to) data-input-levels=(look.input_levels.id())
                data-output-levels=(look.output_levels.id()) data-interpolation=(look.interpolation.id()) data-curve=[curve_of(look)]
                data-packed=(STANDARD.encode(&packed.bytes)) {}
        }
        @for (number, curve) in curves.iter().enumerate() {
            @let [first, last] = packing::ends(curve);
            div hidden="" id=(format!("viewer-curve-{number}")) data-first=(first) data-last=(last) data-light=(STANDARD.encode(packing::curve(curve))) {}
        }
    }
}

//! A look in words: what it does, measured, and what its recipe asks for.

use super::{HUE_CHROMAS, Portrait, SWATCH_STOPS};
use crate::colour::oklab::hue_name;
use crate::colour::whites::DUV_PER_CC;
use crate::maths::{CODE10_MAX, hypot};
use crate::plan::{Cdl, Plan, Tint, Trim, short};
use crate::verify::{Cast, CurvePoint};

/// A cast below these is not told: half a mired, half a thousandth of Duv. Common practice, no source: nobody sees it.
const TOLD_MIRED: f64 = 0.5;
const TOLD_DUV: f64 = 5e-4;

/// A cast of shadows or highlights is told apart from that of grey above this distance: mired, and Duv.
const APART_MIRED: f64 = 5.0;
const APART_DUV: f64 = 1e-3;

/// Shadows and highlights are looked at this many stops from grey.
const ASIDE_STOPS: f64 = 3.0;

/// A Duv of the cast up to which it is called slight: about 8 CC. Common practice, no source.
const SLIGHT_DUV: f64 = 0.004;

/// Gains of saturation and turns of hues that are worth a word.
const TOLD_GAIN: f64 = 0.03;
const TOLD_TURN: f64 = 2.0;

/// Contrast this close to the scene's is the scene's.
const TOLD_CONTRAST: f64 = 0.03;

/// Black above this signal is lifted: two 10-bit codes.
const LIFTED: f64 = 2.0 / CODE10_MAX;

/// What a look does, measured through its picture: a few sentences, the most important first. What becomes of colours is told of a
/// display's picture only.
#[must_use]
pub fn in_words(portrait: &Portrait, colours: bool) -> Vec<String> {
    let mut words = vec![grey(portrait)];
    words.extend(contrast(portrait));
    words.push(ends(portrait));
    words.push(cast(portrait));
    if colours {
        words.extend(colour(portrait));
        words.extend(skins(portrait));
    }
    words
}

/// A look in one line, measured: grey, contrast, white and the cast of grey.
#[must_use]
pub fn headline(portrait: &Portrait) -> String {
    let mut parts = vec![format!("grey at {:.0} %", 100.0 * portrait.grey_signal)];
    parts.extend(portrait.contrast.map(|contrast| format!("contrast {contrast:.2}")));
    let end = if is_short(portrait) { "end" } else { "white" };
    parts.extend(portrait.ends.white_stops.map(|stops| format!("{end} {stops:.1} stops over")));
    parts.push(if portrait.tinted { tint_at_grey(portrait) } else { "greys neutral".to_owned() });
    parts.extend(portrait.monochrome.then(|| "black and white".to_owned()));
    let text = parts.join(", ");
    format!("{}{}", text[..1].to_uppercase(), &text[1..])
}

/// "30 mired warmer than the display’s white".
fn tint_at_grey(portrait: &Portrait) -> String {
    let words = tint_words(portrait.grey.warmer_mired, portrait.grey.greener_duv);
    words.map_or("greys with a cast".to_owned(), |words| format!("grey {words} the display’s white"))
}

fn grey(portrait: &Portrait) -> String {
    let signal = portrait.grey_signal;
    format!(
        "Grey sits at {} of the signal (10-bit code {:.0}): {}{} of the light of white.",
        percent(signal),
        CODE10_MAX * portrait.output_levels.to_signal(signal),
        portrait.white_nits.map_or(String::new(), |nits| format!("{:.1} cd/m², ", nits * portrait.grey.light)),
        percent(portrait.grey.light)
    )
}

fn contrast(portrait: &Portrait) -> Option<String> {
    let contrast = portrait.contrast?;
    let beside = match contrast - 1.0 {
        difference if difference.abs() <= TOLD_CONTRAST => "as in the scene",
        difference if difference > 0.0 => "harder than the scene",
        _ => "softer than the scene",
    };
    Some(format!(
        "Contrast at grey is {contrast:.2}, {beside}: one stop of light becomes {contrast:.2} stops on the display."
    ))
}

fn ends(portrait: &Portrait) -> String {
    let ends = &portrait.ends;
    let short = is_short(portrait);
    let white = match ends.white_stops {
        Some(stops) if short => {
            let signal = percent(ends.white_signal);
            format!("White is never reached: the picture ends {} at {signal} of the signal", from_grey(stops))
        }
        None if short => format!("White is never reached: the picture ends at {}", percent(ends.white_signal)),
        Some(stops) => format!("White is reached {}", from_grey(stops)),
        None => "White is reached only at the end of the camera’s signal".to_owned(),
    };
    let black = match ends.black_stops {
        Some(stops) => format!("black {}", from_grey(stops)),
        None => "black only at the camera’s own black".to_owned(),
    };
    let lifted = if ends.black_signal > LIFTED {
        format!(", lifted to {} of the signal", percent(ends.black_signal))
    } else {
        String::new()
    };
    format!("{white}; {black}{lifted}.")
}

/// Whether the picture ends below display white, by more than half a 10-bit code.
fn is_short(portrait: &Portrait) -> bool {
    portrait.ends.white_signal < portrait.white_signal - 0.5 / CODE10_MAX
}

fn from_grey(stops: f64) -> String {
    let side = if stops < 0.0 { "under" } else { "over" };
    format!("{:.1} stops {side} grey", stops.abs())
}

fn cast(portrait: &Portrait) -> String {
    if !portrait.tinted {
        return "Greys are neutral: as the display’s white.".to_owned();
    }
    let mut text = match tint_words(portrait.grey.warmer_mired, portrait.grey.greener_duv) {
        Some(words) => format!("Grey is {words} the display’s white"),
        None if portrait.grey.kelvin.is_none() => "Grey has a colour that no black body is near to".to_owned(),
        None => "Grey is as the display’s white".to_owned(),
    };
    let at = |stops: f64| portrait.curve.iter().find(|point| point.stops == stops);
    let aside = [("shadows", -ASIDE_STOPS), ("highlights", ASIDE_STOPS)];
    for (name, stops) in aside {
        let Some(point) = at(stops) else { continue };
        let place = format!("{name} {ASIDE_STOPS} stops {} it", side(stops));
        if point.off_locus {
            text.push_str(&format!("; {place} have a colour that no black body is near to"));
        } else if let Some(words) = beside_grey(point, &portrait.grey) {
            text.push_str(&format!("; {place} are {words} grey"));
        }
    }
    text.push('.');
    text
}

fn side(stops: f64) -> &'static str {
    if stops < 0.0 { "under" } else { "over" }
}

fn beside_grey(cast: &CurvePoint, grey: &Cast) -> Option<String> {
    let apart = |own: Option<f64>, other: Option<f64>| own.zip(other).map(|(own, other)| own - other);
    let warmer = apart(cast.warmer_mired, grey.warmer_mired)?;
    let greener = apart(cast.greener_duv, grey.greener_duv)?;
    let told = |value: f64, least: f64| Some(value).filter(|value| value.abs() >= least);
    tint_words(told(warmer, APART_MIRED), told(greener, APART_DUV))
}

/// "30 mired warmer and a little greener (Duv +0.0030) than"; `None` for nothing that is seen.
fn tint_words(warmer_mired: Option<f64>, greener_duv: Option<f64>) -> Option<String> {
    let warm = warmer_mired.filter(|mired| mired.abs() >= TOLD_MIRED).map(|mired| {
        let word = if mired > 0.0 { "warmer" } else { "cooler" };
        format!("{:.0} mired {word}", mired.abs())
    });
    let green = greener_duv.filter(|duv| duv.abs() >= TOLD_DUV).map(|duv| {
        let word = if duv > 0.0 { "greener" } else { "more magenta" };
        let little = if duv.abs() <= SLIGHT_DUV { "a little " } else { "" };
        format!("{little}{word} (Duv {})", minus(&format!("{duv:+.4}")))
    });
    let all: Vec<String> = warm.into_iter().chain(green).collect();
    (!all.is_empty()).then(|| format!("{} than", all.join(" and ")))
}

fn colour(portrait: &Portrait) -> Option<String> {
    if portrait.hues.is_empty() {
        return None;
    }
    if portrait.monochrome {
        return Some("There is no colour: black and white.".to_owned());
    }
    let hues: Vec<_> = portrait.hues.iter().filter(|hue| hue.chroma == HUE_CHROMAS[0]).collect();
    let gain = |hue: &super::HueMove| hue.seen_chroma / hue.chroma;
    let mean = hues.iter().map(|hue| gain(hue)).sum::<f64>() / hues.len() as f64;
    let most = hues.iter().max_by(|a, b| gain(a).total_cmp(&gain(b)))?;
    let least = hues.iter().min_by(|a, b| gain(a).total_cmp(&gain(b)))?;
    let mut text = if (mean - 1.0).abs() <= TOLD_GAIN {
        "Colours, the cast taken off, are on average as saturated as in the scene".to_owned()
    } else {
        format!("Colours, the cast taken off, have {mean:.2} times the saturation of the scene on average")
    };
    if gain(most) - gain(least) > 2.0 * TOLD_GAIN {
        let (strong, weak) = (hue_name(most.hue_deg), hue_name(least.hue_deg));
        text.push_str(&format!(": {strong} {:.2} times, {weak} {:.2}", gain(most), gain(least)));
    }
    let turned = hues.iter().max_by(|a, b| a.turn_deg.abs().total_cmp(&b.turn_deg.abs()))?;
    if turned.turn_deg.abs() >= TOLD_TURN {
        let towards = hue_name(turned.hue_deg + 30.0 * turned.turn_deg.signum());
        let (hue, turn) = (hue_name(turned.hue_deg), turned.turn_deg.abs());
        text.push_str(&format!("; {hue} turns most, by {turn:.0}° towards {towards}"));
    }
    text.push('.');
    Some(text)
}

/// Skins at their own exposure: how light, and how colourful against what they are.
fn skins(portrait: &Portrait) -> Option<String> {
    if portrait.monochrome {
        return None;
    }
    let own = SWATCH_STOPS.iter().position(|stops| *stops == 0)?;
    let skins: Vec<_> = portrait.patches.iter().filter(|patch| patch.skin).collect();
    let of = |value: &dyn Fn(&super::PatchShown) -> f64| {
        skins
            .iter()
            .map(|patch| value(patch))
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)))
    };
    let (dark, light) = of(&|patch| patch.shown[own].lab[0]);
    let chroma = |[_, a, b]: [f64; 3]| hypot(a, b);
    let (pale, strong) = of(&|patch| chroma(patch.shown[own].lab) / chroma(patch.scene_lab));
    (!skins.is_empty()).then(|| {
        format!(
            "Skins, exposed with grey and with the cast on them, come to L* {dark:.0} to {light:.0} and have {pale:.1} to {strong:.1} times their own chroma."
        )
    })
}

/// "+0.5", "−0.4", "0".
fn signed(value: f64) -> String {
    if value == 0.0 { "0".to_owned() } else { minus(&format!("{value:+}")) }
}

/// With a true minus sign.
fn minus(number: &str) -> String {
    number.replace('-', "−")
}

/// "38.1 %".
fn percent(share: f64) -> String {
    format!("{:.1} %", 100.0 * share)
}

/// What a recipe asks for, block by block in the order of the pipeline; what changes nothing is left out.
#[must_use]
pub fn asked(plan: &Plan) -> Vec<String> {
    let mut asked = Vec::new();
    for (trim, what) in [(&plan.camera_trim, "The camera is trimmed"), (&plan.trim, "The recipe trims the camera")] {
        asked.extend(trim_words(trim, what));
    }
    if plan.exposure_stops != 0.0 {
        asked.push(format!("Exposure: {} stops before the look.", signed(plan.exposure_stops)));
    }
    asked.extend(diffusion(plan));
    asked.extend(tint(&plan.white, "White", true));
    asked.extend(grade(&plan.grade));
    let (low, high) = (&plan.split.shadows, &plan.split.highlights);
    if !plan.split.is_identity() {
        let parts: Vec<String> = [("shadows", low), ("highlights", high)]
            .into_iter()
            .filter_map(|(name, tint)| Some(format!("{name} {}", tint_of(tint)?)))
            .collect();
        asked.push(format!(
            "Split tint: {}; they meet {} stops from grey.",
            parts.join(", "),
            signed(plan.split.balance_stops)
        ));
    }
    asked.push(match &plan.tone {
        None => "No tone curve: a technical conversion.".to_owned(),
        Some(tone) => format!(
            "Tone curve: contrast {} (slope of its straight line; taking black off and tinting shadows or highlights make the eye meet another), white {} stops over, black {} stops under grey; grey at {} of white’s light.",
            tone.contrast,
            tone.white_stops,
            tone.black_stops,
            percent(tone.grey)
        ),
    });
    asked.extend(colours(plan));
    if plan.strength != 1.0 {
        asked.push(format!("Strength: {} of the look, the rest plain.", percent(plan.strength)));
    }
    if let Some(after) = &plan.after {
        asked.push(format!(
            "A cube from post lies over the finished signal, in full at every strength (its content: {}).",
            short(&after.content())
        ));
    }
    if plan.monochrome {
        asked.push("Monochrome, after everything else.".to_owned());
    }
    asked
}

fn trim_words(trim: &Trim, what: &str) -> Option<String> {
    (*trim != Trim::IDENTITY).then(|| {
        let matrix = if trim.matrix == Trim::IDENTITY.matrix && trim.root == Trim::IDENTITY.root {
            ""
        } else {
            " and by a matrix"
        };
        format!("{what}: {} stops{matrix}.", signed(trim.stops))
    })
}

fn diffusion(plan: &Plan) -> Option<String> {
    let d = &plan.diffusion;
    (!d.is_identity()).then(|| {
        format!(
            "Diffusion in the LUT: a veil of {} %, highlights softened from {} stops over grey by up to {} stops and bleached by {} %. \
             Its halo is not in the LUT: only a filter on the lens makes one.",
            100.0 * d.veil, d.knee_stops, d.loss_stops, 100.0 * d.bleach
        )
    })
}

fn tint(tint: &Tint, name: &str, seen_from: bool) -> Option<String> {
    let words = tint_of(tint)?;
    let from = if seen_from { format!(", seen from a balance of {} K", tint.reference_kelvin) } else { String::new() };
    Some(format!("{name}: {words}{from}."))
}

fn tint_of(tint: &Tint) -> Option<String> {
    if tint.is_identity() {
        return None;
    }
    let warm = (tint.warmer_mired != 0.0).then(|| {
        let word = if tint.warmer_mired > 0.0 { "warmer" } else { "cooler" };
        format!("{} mired {word}", tint.warmer_mired.abs())
    });
    let green = (tint.greener_duv != 0.0).then(|| {
        let word = if tint.greener_duv > 0.0 { "greener" } else { "more magenta" };
        let cc = (10.0 * tint.greener_duv.abs() / DUV_PER_CC).round() / 10.0;
        format!("{cc} CC {word} (Duv {})", minus(&format!("{:+.4}", tint.greener_duv)))
    });
    Some(warm.into_iter().chain(green).collect::<Vec<_>>().join(" and "))
}

fn grade(grade: &Cdl) -> Option<String> {
    let three = |[r, g, b]: [f64; 3]| format!("{r} {g} {b}");
    (*grade != Cdl::IDENTITY).then(|| {
        format!(
            "Grade: slope {}, offset {}, power {}, saturation {}.",
            three(grade.slope),
            three(grade.offset),
            three(grade.power),
            grade.saturation
        )
    })
}

fn colours(plan: &Plan) -> Vec<String> {
    let mut asked = Vec::new();
    if plan.colour.saturation != 1.0 {
        asked.push(format!("Saturation: {} times.", plan.colour.saturation));
    }
    for band in plan.colour.bands.iter().filter(|band| !band.is_identity()) {
        let mut parts = Vec::new();
        if band.shift_deg != 0.0 {
            parts.push(format!("turned by {}°", signed(band.shift_deg)));
        }
        if band.saturation != 1.0 {
            parts.push(format!("saturation {} times", band.saturation));
        }
        if band.lightness != 1.0 {
            parts.push(format!("lightness {} times", band.lightness));
        }
        let name = if band.name.is_empty() { hue_name(band.centre_deg) } else { &band.name };
        asked.push(format!("Hues around {}° ({name}): {}.", band.centre_deg, parts.join(", ")));
    }
    asked
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tint_is_said_by_its_parts() {
        assert_eq!(
            tint_words(Some(30.2), Some(0.003)).expect("a cast"),
            "30 mired warmer and a little greener (Duv +0.0030) than"
        );
        assert_eq!(tint_words(Some(-12.0), None).expect("a cast"), "12 mired cooler than");
        assert_eq!(tint_words(None, Some(-0.01)).expect("a cast"), "more magenta (Duv −0.0100) than");
        assert_eq!(tint_words(Some(0.2), Some(1e-4)), None);
    }
}

//! Contrast of the palette, computed from the style that stands in a page.

use lookwright::maths::pow;
use std::collections::BTreeMap;

/// What text and lines of curves are drawn with.
const INKS: [&str; 7] = ["--ink", "--quiet", "--good", "--bad", "--red", "--green", "--blue"];

/// WCAG 2.1, success criterion 1.4.3, level AA, text of any size.
const ENOUGH: f64 = 4.5;

/// Relative luminance of WCAG 2.1 ("relative luminance" in its glossary, with its threshold of 0.03928).
fn luminance(colour: &str) -> f64 {
    let code = colour.trim().strip_prefix('#').unwrap_or_else(|| panic!("{colour} is no code"));
    assert_eq!(code.len(), 6, "{colour}");
    let channel = |place: usize| {
        let value = f64::from(u8::from_str_radix(&code[place..place + 2], 16).unwrap()) / 255.0;
        if value <= 0.03928 { value / 12.92 } else { pow((value + 0.055) / 1.055, 2.4) }
    };
    0.2126 * channel(0) + 0.7152 * channel(2) + 0.0722 * channel(4)
}

/// Contrast ratio of WCAG 2.1: (L1 + 0.05) / (L2 + 0.05), the lighter first.
fn ratio(a: &str, b: &str) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

/// The custom properties of the `:root` that follows `from`.
fn palette<'a>(style: &'a str, from: &str) -> BTreeMap<&'a str, &'a str> {
    let block = &style[style.find(from).unwrap_or_else(|| panic!("no {from}"))..];
    let block = block.split_once(":root {").unwrap().1.split_once('}').unwrap().0;
    block.split(';').filter_map(|line| line.split_once(':')).map(|(key, value)| (key.trim(), value.trim())).collect()
}

pub fn check(page: &str) {
    // Black on white is 21 by the formula, and a colour on itself 1.
    assert!((ratio("#000000", "#ffffff") - 21.0).abs() < 1e-9 && (ratio("#98201a", "#98201a") - 1.0).abs() < 1e-9);
    let style = page.split_once("<style>").unwrap().1.split_once("</style>").unwrap().0;
    for scheme in ["", "prefers-color-scheme: dark"] {
        let palette = palette(style, scheme);
        for ground in ["--paper", "--panel"] {
            for ink in INKS {
                let ratio = ratio(palette[ink], palette[ground]);
                assert!(ratio >= ENOUGH, "{scheme} {ink} on {ground}: {ratio:.2}");
            }
        }
    }
    // Print lays the light scheme on white.
    for (ink, colour) in palette(style, "").into_iter().filter(|(key, _)| INKS.contains(key)) {
        assert!(ratio(colour, "#ffffff") >= ENOUGH, "{ink} on white");
    }
    only_from_the_palette(style);
}

/// No rule colours text or its ground with anything else.
fn only_from_the_palette(style: &str) {
    let grounds = ["var(--paper)", "var(--panel)", "transparent", "none", "#fff"];
    let inks = ["var(--ink)", "var(--quiet)", "var(--good)", "var(--bad)", "inherit"];
    let declarations = style.split(['{', '}', ';']).filter_map(|part| part.split_once(':'));
    for (key, value) in declarations.map(|(key, value)| (key.trim(), value.trim())) {
        match key {
            "background" | "background-color" => assert!(grounds.contains(&value), "{key}: {value}"),
            "color" => assert!(inks.contains(&value), "{key}: {value}"),
            "opacity" => panic!("opacity takes contrast away"),
            _ => {}
        }
    }
}

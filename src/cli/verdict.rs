//! How a verification is told on the terminal.

use super::console::{Console, Emphasis};
use lookwright::verify::{Check, Verification};
use std::fmt::Write as _;

/// Below this difference nobody sees the cut: a just noticeable difference is 1 to 2.3. Common practice, no source.
const VISIBLE_DE: f64 = 1.0;

/// The verdict in a few lines: what a cinematographer wants to know, and every check that fails.
pub fn short(verification: &Verification, console: &Console) -> String {
    let mut text = String::new();
    let grey = verification.mid_grey_signal;
    let ends = format!(
        "black {}, white {}",
        reached(verification.black_stops, "below"),
        reached(verification.white_stops, "from")
    );
    let _ = writeln!(text, "  picture      grey at {:.1} % (code {:.0}), {ends}", 100.0 * grey, 1023.0 * grey);
    let verdict = if verification.pass {
        console.emphasise(Emphasis::Good, "pass")
    } else {
        console.emphasise(Emphasis::Bad, "FAIL")
    };
    let _ = writeln!(
        text,
        "  verified     {verdict}: greys within {:.1} codes, chart ΔE {:.2} mean, {:.2} worst, skins {:.2} worst",
        verification.grey_max_codes, verification.patch_mean_de, verification.patch_max_de, verification.skin_max_de
    );
    for check in verification.failures() {
        let _ = writeln!(text, "    {}", failure(check, console));
    }
    if let Some(suspicion) = &verification.suspicion {
        let _ = writeln!(text, "    {}: {suspicion}", console.emphasise(Emphasis::Strong, "suspicion"));
    }
    if !verification.pass && verification.nodes.pass() {
        let remedy = match verification.smallest_grid {
            Some(grid) => format!("{grid} points a side would pass; or relax the tolerance under [verify]"),
            None => "no usual grid would pass: soften the look, or relax the tolerance under [verify]".to_owned(),
        };
        let _ = writeln!(text, "    {}: {remedy}", console.emphasise(Emphasis::Strong, "remedy"));
    }
    if let Some(cut) = &verification.cut {
        let stops = |stops: Option<f64>| stops.map_or("no light".to_owned(), |stops| format!("{stops:+.1} stops"));
        let matters = if cut.max_de < VISIBLE_DE {
            "nothing of the look is lost".to_owned()
        } else {
            format!("greys change by up to {:.1} ΔE2000, at code {:.0}", cut.max_de, cut.max_de_code)
        };
        let _ = writeln!(
            text,
            "  cut          the device's legal input ends at codes {:.0} ({}) and {:.0} ({}): {matters}",
            cut.first_code,
            stops(cut.first_stops),
            cut.last_code,
            stops(cut.last_stops),
        );
    }
    for note in &verification.notes {
        let _ = writeln!(text, "  note         {note}");
    }
    text
}

fn reached(stops: Option<f64>, word: &str) -> String {
    match stops {
        None => "never reached".to_owned(),
        Some(stops) if stops.is_finite() => format!("{word} {stops:+.1} stops"),
        Some(_) => "only where there is no light".to_owned(),
    }
}

fn failure(check: &Check, console: &Console) -> String {
    let name = console.emphasise(Emphasis::Strong, check.name);
    let worst = if check.worst.is_empty() { String::new() } else { format!("; {}", check.worst) };
    format!("{name}: {} {}, at most {}{worst}", round(check.value), check.unit, round(check.limit))
}

/// A figure with as many digits as it needs to be told from its limit.
pub fn round(value: f64) -> String {
    if value != 0.0 && value.abs() < 0.01 { format!("{value:.1e}") } else { format!("{value:.2}") }
}

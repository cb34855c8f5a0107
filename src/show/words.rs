//! What changed between two looks, in words that are said on a set.

use crate::recipe::Recipe;
use crate::verify::comparison::Difference;
use crate::verify::differences;

/// Keys whose change is said as a direction: key, unit, words for more and for less.
const DIRECTIONS: [(&str, &str, &str, &str); 6] = [
    ("warmer_mired", "mired", "warmer", "cooler"),
    ("greener_cc", "CC", "greener", "more magenta"),
    ("greener_duv", "Duv", "greener", "more magenta"),
    ("exposure.stops", "stop", "brighter", "darker"),
    ("shift_deg", "°", "further round the hue circle", "back round the hue circle"),
    ("trim.stops", "stop", "up in the trim", "down in the trim"),
];

/// The change from one recipe to another, as in "5 mired warmer, contrast 1.25 → 1.30". Empty where nothing changed. What
/// the camera, display and device are is left aside: a show says that.
#[must_use]
pub fn changes(from: &Recipe, to: &Recipe) -> String {
    let shows = ["camera.", "display.", "lut."];
    let all: Vec<Difference> = differences(from, to)
        .into_iter()
        .filter(|difference| !shows.iter().any(|table| difference.key.starts_with(table)))
        .collect();
    let partner = |difference: &Difference| {
        let table = difference.key.strip_suffix("greener_cc")?;
        all.iter().find(|other| other.key.strip_suffix("greener_duv") == Some(table))
    };
    all.iter()
        .filter_map(|difference| match (partner(difference), difference.key.strip_suffix("greener_duv")) {
            (Some(duv), _) => Some(other_unit(difference, duv)),
            // Told with its partner.
            (None, Some(table)) if all.iter().any(|other| other.key.strip_suffix("greener_cc") == Some(table)) => None,
            (None, _) => Some(said(difference)),
        })
        .collect::<Vec<_>>()
        .join(", ")
}

/// A tint that was written in one unit and now is in the other.
fn other_unit(cc: &Difference, duv: &Difference) -> String {
    let pick = |cc: &str, duv: &str| if cc == "0" { format!("{duv} Duv") } else { format!("{cc} CC") };
    let words = format!("green {} → {}", pick(&cc.a, &duv.a), pick(&cc.b, &duv.b));
    with_place(&cc.key, "greener_cc", &words)
}

fn said(difference: &Difference) -> String {
    let Difference { key, a, b } = difference;
    let (from, to) = (a.parse::<f64>(), b.parse::<f64>());
    if let (Ok(from), Ok(to)) = (from, to) {
        if let Some((declared, unit, more, less)) = DIRECTIONS.iter().find(|(end, ..)| key.ends_with(end)) {
            let step = (to - from).abs();
            let direction = if to > from { more } else { less };
            let unit = match *unit {
                "stop" if step != 1.0 => " stops",
                "stop" => " stop",
                "°" => "°",
                unit => return with_place(key, declared, &format!("{} {unit} {direction}", number(step))),
            };
            return with_place(key, declared, &format!("{}{unit} {direction}", number(step)));
        }
        let decimals = decimals(a).max(decimals(b));
        return format!("{} {from:.decimals$} → {to:.decimals$}", name(key));
    }
    format!("{} {a} → {b}", name(key))
}

/// Where the change is, if not in the whole picture.
fn with_place(key: &str, declared: &str, words: &str) -> String {
    let table = key.strip_suffix(declared).unwrap_or("").trim_end_matches(['.', ' ']);
    match table {
        "" | "white" => words.to_owned(),
        "split.shadows" => format!("shadows {words}"),
        "split.highlights" => format!("highlights {words}"),
        other => format!("{} {words}", other.trim_start_matches("colour.")),
    }
}

/// A key without the table that everybody knows it by.
fn name(key: &str) -> String {
    let name = key.strip_prefix("tone.").or_else(|| key.strip_prefix("colour.")).unwrap_or(key);
    let name = if key == "colour.saturation" { "saturation" } else { name };
    name.replace("white_stops", "white stops").replace("black_stops", "black stops").replace('_', " ")
}

/// A step as it was meant: 0.30000000000000004 is 0.3.
fn number(value: f64) -> String {
    let text = format!("{value:.6}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn decimals(text: &str) -> usize {
    text.split_once('.').map_or(0, |(_, decimals)| decimals.len())
}

#[cfg(test)]
mod tests {
    use super::said;
    use crate::verify::comparison::Difference;

    fn words(key: &str, a: &str, b: &str) -> String {
        said(&Difference { key: key.to_owned(), a: a.to_owned(), b: b.to_owned() })
    }

    #[test]
    fn directions_are_said_as_steps() {
        assert_eq!(words("white.warmer_mired", "24", "29"), "5 mired warmer");
        assert_eq!(words("white.warmer_mired", "24", "-6"), "30 mired cooler");
        assert_eq!(words("white.greener_cc", "3", "1.5"), "1.5 CC more magenta");
        assert_eq!(words("exposure.stops", "-0.5", "-0.2"), "0.3 stops brighter");
        assert_eq!(words("split.shadows.warmer_mired", "0", "-12"), "shadows 12 mired cooler");
        assert_eq!(words("colour.band \"sea\" shift_deg", "-8", "-4"), "band \"sea\" 4° further round the hue circle");
    }

    #[test]
    fn everything_else_is_said_as_values_of_one_length() {
        assert_eq!(words("tone.contrast", "1.25", "1.3"), "contrast 1.25 → 1.30");
        assert_eq!(words("colour.saturation", "1", "0.95"), "saturation 1.00 → 0.95");
        assert_eq!(words("tone.grey", "no [tone]", "0.1"), "grey no [tone] → 0.1");
    }
}

//! The two ways to one picture in words and rows, for the page and for the text.

use crate::maths::Rgb;
use crate::report::lighting_words::{HEADROOM, cast_words, fixed, signed, stops, tint_words};
use crate::show::{Differences, Gains, SetupSheet, Twice, TwicePoint, WayPatch, Ways};

/// The two ways, as they are called in every table.
pub(in crate::report) const WAYS: [&str; 2] = ["Cast in the camera", "Cast in the recipe"];

/// What the two kinds of camera are, of which the differences are told.
pub(in crate::report) const KINDS: &str = "“As the recipe adapts” is a camera that balances by gains on the cone values of the recipe’s adaptation; “by its channels” is one that \
     multiplies the channels that it records. Real cameras lie somewhere about here: they balance on their sensors’ channels, which nobody publishes.";

/// Less than this is no difference of gain or headroom, stops: what a decimal shows. This project's own choice.
const ALIKE: f64 = 0.05;

/// Patches that are named as the worst: this project's own choice.
const WORST: usize = 3;

/// What the numbers come to, a sentence or two each.
pub(in crate::report) fn conclusion(sheet: &SetupSheet, ways: &Ways) -> Vec<(&'static str, String)> {
    vec![
        (WAYS[0], first_way(sheet, ways)),
        (WAYS[1], second_way(ways)),
        ("The pictures", pictures(ways)),
        ("Gain", gain(ways)),
        ("Headroom", headroom(ways)),
    ]
}

fn first_way(sheet: &SetupSheet, ways: &Ways) -> String {
    let at = sheet.balance.as_ref().map_or_else(String::new, |balance| format!(" at {} K", fixed(balance.kelvin, 0)));
    format!(
        "the camera stays{at}, and the negative holds the cast of the light “{}”: {}.",
        ways.light,
        cast_words(&ways.cast)
    )
}

fn second_way(ways: &Ways) -> String {
    format!(
        "the camera is balanced to the light “{}”, {} K, {}; the negative is neutral, and the [white] for the recipe makes the cast.",
        ways.light,
        fixed(ways.neutral_kelvin, 0),
        tint_words(ways.neutral_greener_duv)
    )
}

/// Larger of the two worst.
fn worst_of(found: &Differences) -> f64 {
    found.chart_max.max(found.skins_max)
}

fn pictures(ways: &Ways) -> String {
    let [cones, channels] = [&ways.like_recipe, &ways.by_channels].map(worst_of);
    let verdict = match (ways.like_recipe.seen == 0, ways.by_channels.seen == 0) {
        (true, true) => "nobody tells one from the other side by side, whichever of the two kinds of camera it is",
        (true, false) => {
            "alike if the camera balances as the recipe adapts; if it multiplies its channels, the worst colours differ side by side"
        }
        (false, true) => {
            "alike if the camera multiplies its channels; if it balances as the recipe adapts, the worst colours differ side by side"
        }
        (false, false) => "the worst colours differ side by side, whichever of the two kinds of camera it is",
    };
    format!(
        "{verdict}. The worst is ΔE2000 {} as the recipe adapts and {} by its channels; about 1 is seen, which {} and {} of {} colours reach.",
        fixed(cones, 2),
        fixed(channels, 2),
        ways.like_recipe.seen,
        ways.by_channels.seen,
        ways.by_channels.count
    )
}

fn gain(ways: &Ways) -> String {
    let sides = [&ways.in_camera, &ways.neutral_negative];
    let told = |gains: &Gains| {
        if gains.weakest_stops < ALIKE {
            return "all channels alike".to_owned();
        }
        format!("{} most, {} more than {}", gains.weakest, stops(gains.weakest_stops), gains.least)
    };
    let more = sides[1].weakest_stops - sides[0].weakest_stops;
    let compared = if more.abs() < ALIKE {
        "That is as much both ways.".to_owned()
    } else {
        let (which, less) = if more > 0.0 {
            ("neutral negative", "negative with the cast")
        } else {
            ("negative with the cast", "neutral negative")
        };
        format!("The {which} has {} more of it than the {less}.", stops(more.abs()))
    };
    let sums = sides.map(|gains| relative(gains.picture_stops));
    let apart = (0..3).map(|channel| (sums[0][channel] - sums[1][channel]).abs()).fold(0.0, f64::max);
    let sum = if apart < ALIKE {
        "In the picture the sum of camera and recipe is the same both ways.".to_owned()
    } else {
        format!("In the picture the sums of camera and recipe are up to {} apart.", stops(apart))
    };
    format!(
        "with the cast in the camera the negative amplifies {}; in the neutral one {}. {compared} {sum}",
        told(sides[0]),
        told(sides[1])
    )
}

fn headroom(ways: &Ways) -> String {
    let [a, b] = [&ways.in_camera, &ways.neutral_negative];
    let more = b.headroom_stops - a.headroom_stops;
    let compared = if more.abs() < ALIKE {
        "both ways alike".to_owned()
    } else {
        let which = if more > 0.0 { "the neutral negative" } else { "the negative with the cast" };
        format!("{which} holds {} more", stops(more.abs()))
    };
    format!(
        "a white card in this light reaches the end of the recording {} over grey with the cast in the camera, {} first, and {} over grey in the \
         neutral negative, {} first: {compared}. {HEADROOM}",
        stops(a.headroom_stops),
        a.first_to_clip,
        stops(b.headroom_stops),
        b.first_to_clip
    )
}

fn least(values: Rgb) -> usize {
    (0..3).fold(0, |least, channel| if values[channel] < values[least] { channel } else { least })
}

/// Stops over the channel that is amplified least.
pub(in crate::report) fn relative(values: Rgb) -> Rgb {
    let from = values[least(values)];
    values.map(|value| value - from)
}

/// The block in words: what it holds beside the cast.
pub(in crate::report) fn block_words(sheet: &SetupSheet) -> &'static str {
    match sheet.look.white {
        Some(_) => {
            "It takes the place of the recipe’s [white] and holds what that does and the cast in one. Its reference is where the cast is counted from, not the balance to set."
        }
        None => {
            "The recipe’s [white] does nothing so far; this one holds the cast. Its reference is where the cast is counted from, not the balance to set."
        }
    }
}

/// A row of the differences: its name, chart mean, chart worst, skins mean, skins worst, the worsts with their patches.
pub(in crate::report) fn difference_rows(ways: &Ways) -> [(&'static str, [String; 4], [&str; 2]); 2] {
    let row = |name, found: &Differences| {
        let [a, b, c, d] = [found.chart_mean, found.chart_max, found.skins_mean, found.skins_max];
        (name, [a, b, c, d].map(|value| fixed(value, 2)))
    };
    let (a, b) = (&ways.like_recipe, &ways.by_channels);
    let ((name_a, figures_a), (name_b, figures_b)) = (row("As the recipe adapts", a), row("By its channels", b));
    [(name_a, figures_a, [&a.chart_worst, &a.skins_worst]), (name_b, figures_b, [&b.chart_worst, &b.skins_worst])]
}

/// A row of the gains: the way, the stage, red green blue over the least of the row.
pub(in crate::report) fn gain_rows(ways: &Ways) -> Vec<(&'static str, &'static str, [String; 3])> {
    let sides = [(WAYS[0], &ways.in_camera), (WAYS[1], &ways.neutral_negative)];
    let row = |way, stage, values: Rgb| (way, stage, relative(values).map(|value| signed(value, 2)));
    sides
        .into_iter()
        .flat_map(|(way, gains)| {
            [
                row(way, "camera", gains.camera_stops),
                row(way, "recipe", gains.recipe_stops),
                row(way, "sum", gains.picture_stops),
            ]
        })
        .collect()
}

/// The patches that differ most at their own exposure, the worst first.
pub(in crate::report) fn worst_patches(ways: &Ways) -> Vec<&WayPatch> {
    let mut patches: Vec<&WayPatch> = ways.patches.iter().collect();
    patches.sort_by(|a, b| b.de2000.total_cmp(&a.de2000));
    patches.truncate(WORST);
    patches
}

/// "cyan 2.31, blue 1.92 and red 1.20".
pub(in crate::report) fn worst_words(ways: &Ways) -> String {
    let said: Vec<String> =
        worst_patches(ways).iter().map(|patch| format!("{} ({})", patch.name, fixed(patch.de2000, 2))).collect();
    crate::report::page::listed(&said)
}

/// Columns of the table of diffusion.
pub(in crate::report) const TWICE: [&str; 4] = ["Neither", "Lens alone", "Recipe alone", "Both"];

/// A row of the table of diffusion: the neutral, then stops from grey and the signal.
pub(in crate::report) fn twice_rows(twice: &Twice) -> Vec<(String, [String; 4])> {
    let row = |point: &TwicePoint| {
        let cell = |at: f64, percent: f64| format!("{}, {} %", signed(at, 2), fixed(percent, 1));
        let cells = [
            cell(point.stops, point.none_percent),
            cell(point.lens_stops, point.lens_percent),
            cell(point.recipe_stops, point.recipe_percent),
            cell(point.both_stops, point.both_percent),
        ];
        (signed(point.stops, 0), cells)
    };
    twice.points.iter().map(row).collect()
}

//! Why a pair misses its tolerances: found by putting the exact look in the place of a table, or the light itself in the place
//! of what was recorded of it, until the pair agrees.

use super::matrix::{Between, Two};
use super::record::{ALTERED, CUT, LOST_NEGATIVE, LOST_RANGE};
use super::spread::{Figures, Spread};
use crate::colour::difference::Lab;
use serde::Serialize;

/// Numbers of a table that are all within this of the look's were only printed in another way: a quarter of an 8-bit code,
/// as the verifier has it.
const REPRINTED: f64 = 1e-3;

/// Greys of two looks that differ by less than a thousandth of a stop are one: the files' six decimals leave less.
const SAME_GREY: f64 = 1.0007;

/// What keeps two members from showing one picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Cause {
    /// The exact looks agree, the tables don't: a grid is too small.
    Grid,
    /// The light leaves what the camera's encoding holds, or its codes are too coarse.
    Encoding,
    /// The device's legal input levels cut what the camera records.
    Levels,
    /// The colour lies outside a camera's or monitor's gamut and is therefore altered.
    Gamut,
    /// The numbers of a table are not those of its look.
    Tables,
    /// A camera's trim can't be undone, so that it can't be said what the camera records.
    Trim,
    /// The looks themselves differ.
    Look,
    /// Several of these, none of which alone explains it.
    Several,
}

/// Why a pair misses its tolerances.
#[derive(Clone, Debug, Serialize)]
pub struct Reason {
    /// The cause.
    pub cause: Cause,
    /// Ids of the cameras or monitors in which it lies.
    pub members: Vec<String>,
    /// What was found, in words.
    pub text: String,
    /// What to do, in words.
    pub remedy: String,
}

pub(super) fn diagnose(two: &Two<'_>, held: &Spread, unknown: usize) -> Reason {
    let found = unknown_records(two, unknown)
        .or_else(|| nothing_held(two, held))
        .or_else(|| wrong_tables(two))
        .or_else(|| grid(two))
        .or_else(|| looks(two))
        .unwrap_or_else(|| lost(two));
    let sides = with_wrong_table(two);
    if found.cause == Cause::Tables || sides.is_empty() {
        return found;
    }
    Reason { text: format!("{}; besides, {}", found.text, wrong_table(two, &sides)), ..found }
}

/// A quoted id after what it is the id of.
fn name(two: &Two<'_>, side: usize) -> String {
    format!("{} \"{}\"", two.between.noun(), two.sides[side].id)
}

fn names(two: &Two<'_>, sides: &[usize]) -> String {
    sides.iter().map(|side| name(two, *side)).collect::<Vec<_>>().join(" and ")
}

fn reason(two: &Two<'_>, cause: Cause, sides: &[usize], text: String, remedy: String) -> Reason {
    Reason { cause, members: sides.iter().map(|side| two.sides[*side].id.to_owned()).collect(), text, remedy }
}

fn told(figures: &Figures) -> String {
    format!("mean {:.2}, 95 % {:.2}, worst {:.2} ΔE2000", figures.mean, figures.p95, figures.max)
}

fn unknown_records(two: &Two<'_>, unknown: usize) -> Option<Reason> {
    if unknown == 0 {
        return None;
    }
    let sides: Vec<usize> = [0, 1].into_iter().filter(|side| two.unknown(*side) > 0).collect();
    let text = format!(
        "what is recorded of {unknown} probes can't be worked out: the trim of {} has no inverse there",
        names(two, &sides)
    );
    let remedy =
        "make the trim from more patches, or without root terms: it must be able to make every colour of the chart";
    Some(reason(two, Cause::Trim, &sides, text, remedy.to_owned()))
}

fn nothing_held(two: &Two<'_>, held: &Spread) -> Option<Reason> {
    if held.count > 0 {
        return None;
    }
    let altered = [0, 1].map(|side| two.sides[side].seen.flags.iter().filter(|flags| **flags & ALTERED != 0).count());
    let sides: Vec<usize> = [0, 1].into_iter().filter(|side| altered[*side] == altered[0].max(altered[1])).collect();
    let text = format!("no colour is left that is neither compressed nor clipped on {}", names(two, &sides));
    let remedy =
        "lower the exposure of the look, raise `threshold` in [gamut], or choose a larger gamut for the monitor";
    Some(reason(two, Cause::Gamut, &sides, text, remedy.to_owned()))
}

/// The sides whose table is not that of their look.
fn with_wrong_table(two: &Two<'_>) -> Vec<usize> {
    let worst = |side: usize| two.sides[side].seen.worst_node;
    [0, 1].into_iter().filter(|side| worst(*side) > REPRINTED || worst(*side).is_nan()).collect()
}

fn wrong_table(two: &Two<'_>, sides: &[usize]) -> String {
    // As told: a NaN is left out where the other side has a number.
    let worst = sides.iter().map(|side| two.sides[*side].seen.worst_node).fold(f64::NAN, f64::max);
    format!("the table of {} is not that of its look: numbers are up to {worst:.3} off", names(two, sides))
}

/// With the look itself in the place of tables that are not its own, the pair agrees.
fn wrong_tables(two: &Two<'_>) -> Option<Reason> {
    let sides = with_wrong_table(two);
    let [first, second] = [0, 1].map(|side| {
        let own = two.sides[side];
        if sides.contains(&side) { &own.exact } else { &own.table }
    });
    let mended = two.figures(first, second);
    if sides.is_empty() || !mended.within(&two.limits) {
        return None;
    }
    let text = format!("{}; with the look in its place they agree ({})", wrong_table(two, &sides), told(&mended));
    Some(reason(two, Cause::Tables, &sides, text, "compile the show again, and load the new files".to_owned()))
}

/// The exact looks agree, the tables don't.
fn grid(two: &Two<'_>) -> Option<Reason> {
    let [a, b] = two.sides;
    let exact = two.figures(&a.exact, &b.exact);
    if !exact.within(&two.limits) {
        return None;
    }
    let mended = [two.figures(&a.exact, &b.table), two.figures(&a.table, &b.exact)];
    let off = |side: usize| &two.sides[side].seen.grids[0].off;
    let sides: Vec<usize> = match [0, 1].map(|side| mended[side].within(&two.limits)) {
        [true, false] => vec![0],
        [false, true] => vec![1],
        // Either grid would do: the one that is further off.
        [true, true] => vec![usize::from(off(1).max > off(0).max)],
        [false, false] => vec![0, 1],
    };
    let grids: Vec<String> =
        sides.iter().map(|side| format!("{} points of {}", two.sides[*side].seen.size, name(two, *side))).collect();
    let offs: Vec<String> = sides.iter().map(|side| told(off(*side))).collect();
    let text = format!(
        "the exact looks agree ({}), the tables don't: the grid is too small, {} ({} from the look)",
        told(&exact),
        grids.join(" and "),
        offs.join("; ")
    );
    Some(reason(two, Cause::Grid, &sides, text, larger_grid(two, &sides, &exact)))
}

/// The smallest usual grid on some sides that would hold the tolerances, if one does.
fn larger_grid(two: &Two<'_>, sides: &[usize], exact: &Figures) -> String {
    let mut sizes: Vec<usize> =
        sides.iter().flat_map(|side| two.sides[*side].seen.grids.iter().map(|grid| grid.size)).collect();
    sizes.sort_unstable();
    sizes.dedup();
    let off = |side: usize, size: usize| {
        let grids = &two.sides[side].seen.grids;
        // A side that has a larger grid already keeps it.
        let wanted = if sides.contains(&side) { size } else { 0 };
        grids.iter().find(|grid| grid.size >= wanted).map(|grid| grid.off)
    };
    let whole = |size: usize| Some(exact.plus(&off(0, size)?).plus(&off(1, size)?));
    let enough = sizes.iter().find(|size| whole(**size).is_some_and(|whole| whole.within(&two.limits)));
    let who = names(two, sides);
    match (enough, sizes.last()) {
        (Some(size), _) => {
            let offs: Vec<String> = sides.iter().filter_map(|side| off(*side, *size)).map(|off| told(&off)).collect();
            format!("use {size} points a side for {who}: they are only off by {}", offs.join("; "))
        }
        (None, Some(size)) if sides.iter().any(|side| two.sides[*side].seen.size < *size) => {
            let offs: Vec<String> = sides.iter().filter_map(|side| off(*side, *size)).map(|off| told(&off)).collect();
            format!(
                "a larger grid may not be enough: {size} points for {who} are still off by {}; make the look softer where it \
                 bends, or widen [consistency]",
                offs.join("; ")
            )
        }
        _ => format!(
            "no larger grid is usual than that of {who}; make the look softer where it bends, or widen [consistency]"
        ),
    }
}

/// The light itself is not shown alike, before anything is recorded.
fn looks(two: &Two<'_>) -> Option<Reason> {
    let [a, b] = two.sides;
    let light = two.figures(&a.light, &b.light);
    if light.within(&two.limits) {
        return None;
    }
    let grey = |side: usize| two.sides[side].seen.grey_nits / two.sides[side].seen.white_nits;
    let (least, most) = (grey(0).min(grey(1)), grey(0).max(grey(1)));
    let mut text = format!("the looks themselves differ ({}), whatever is recorded", told(&light));
    if most > SAME_GREY * least {
        let greys = [0, 1].map(|side| format!("{:.1} % of white on {}", 100.0 * grey(side), name(two, side)));
        text.push_str(&format!(": grey is {}", greys.join(" and ")));
    }
    let remedy = match two.between {
        Between::Cameras => "give both cameras the same recipe and version, compiled with the same [exposure]",
        Between::Monitors => {
            "if the look is graded for one peak (`grey_nits`), give each kind of monitor its own look; else `grey` in [tone] \
             is the same share of white on both"
        }
    };
    Some(reason(two, Cause::Look, &[0, 1], text, remedy.to_owned()))
}

/// One way in which light is lost before the look.
struct Loss {
    flag: u8,
    cause: Cause,
}

/// Levels come last: a light that an encoding does not hold is recorded as its last code, which they cut as well.
const LOSSES: [Loss; 3] = [
    Loss { flag: LOST_RANGE, cause: Cause::Encoding },
    Loss { flag: LOST_NEGATIVE, cause: Cause::Gamut },
    Loss { flag: CUT, cause: Cause::Levels },
];

impl Loss {
    /// Whether a probe with these flags was lost in this way.
    fn is(&self, flags: u8) -> bool {
        flags & self.flag != 0 && (self.flag != CUT || flags & (LOST_RANGE | LOST_NEGATIVE) == 0)
    }

    /// How many held probes were lost on each side.
    fn counts(&self, two: &Two<'_>) -> [usize; 2] {
        [0, 1].map(|side| two.count(side, |flags| self.is(flags)))
    }

    fn what(&self, two: &Two<'_>, side: usize) -> String {
        let seen = two.sides[side].seen;
        match self.cause {
            Cause::Levels => "legal input levels cut".to_owned(),
            Cause::Encoding => format!("the encoding {} does not hold", seen.encoding),
            _ => format!(
                "outside the gamut {}, {} does not hold the negative parts of",
                seen.camera_gamut, seen.encoding
            ),
        }
    }

    fn remedy(&self) -> &'static str {
        match self.cause {
            Cause::Levels => "feed the LUT stage full levels: `input_levels = \"full\"`, if the device can",
            Cause::Encoding => {
                "choose an encoding of that camera that holds the chart from three stops under to three over"
            }
            _ => "choose a larger gamut for what that camera records; no LUT brings back what lies outside",
        }
    }
}

/// How the exact looks would differ, had the light of some probes reached them.
fn had_it_reached(two: &Two<'_>, losses: &[&Loss]) -> Figures {
    let [first, second] = two.sides.map(|side| {
        let lost = |place: usize| losses.iter().any(|loss| loss.is(side.seen.flags[place]));
        let colour = |place| if lost(place) { side.light[place] } else { side.exact[place] };
        (0..side.exact.len()).map(colour).collect::<Vec<Lab>>()
    });
    two.figures(&first, &second)
}

/// The light is shown alike, the records are not.
fn lost(two: &Two<'_>) -> Reason {
    let [a, b] = two.sides;
    for loss in &LOSSES {
        let mended = had_it_reached(two, &[loss]);
        if mended.within(&two.limits) {
            return losses_told(two, loss.cause, &[loss], &mended);
        }
    }
    let present: Vec<&Loss> = LOSSES.iter().filter(|loss| loss.counts(two) != [0, 0]).collect();
    let mended = had_it_reached(two, &present);
    if mended.within(&two.limits) {
        return losses_told(two, Cause::Several, &present, &mended);
    }
    // Nothing was lost, and yet the look meets other light than there was: the codes are coarse.
    let coarse = [two.figures(&a.exact, &a.light), two.figures(&b.exact, &b.light)];
    let side = usize::from(coarse[1].max > coarse[0].max);
    let text = format!(
        "{} records codes of {} that are too coarse: {} between them and the light",
        name(two, side),
        two.sides[side].seen.encoding,
        told(&coarse[side])
    );
    let remedy = "choose an encoding that does not round its codes".to_owned();
    reason(two, Cause::Encoding, &[side], text, remedy)
}

fn losses_told(two: &Two<'_>, cause: Cause, losses: &[&Loss], mended: &Figures) -> Reason {
    let mut sides: Vec<usize> = Vec::new();
    let (mut told_losses, mut remedies) = (Vec::new(), Vec::new());
    for loss in losses {
        let counts = loss.counts(two);
        for side in [0, 1].into_iter().filter(|side| counts[*side] > 0) {
            let probes = if counts[side] == 1 { "1 probe".to_owned() } else { format!("{} probes", counts[side]) };
            told_losses.push(format!("{}: {} {probes}", name(two, side), loss.what(two, side)));
            sides.push(side);
        }
        remedies.push(loss.remedy());
    }
    sides.sort_unstable();
    sides.dedup();
    let text =
        format!("{}; had that light reached the looks, they would agree ({})", told_losses.join("; "), told(mended));
    reason(two, cause, &sides, text, remedies.join("; "))
}

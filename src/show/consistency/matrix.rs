//! Each pair of cameras on one monitor, or of monitors behind one camera.

use super::probes::{Probe, ProbeKind, probes};
use super::reason::{Reason, diagnose};
use super::record::{ALTERED, OUTSIDE, UNKNOWN};
use super::seen::Seen;
use super::spread::{Figures, Spread};
use crate::colour::difference::{Lab, ciede2000};
use crate::show::ConsistencyTolerances;
use serde::Serialize;

/// One LUT among those that must show one picture.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Member<'a> {
    /// Id of the camera, or of the monitor.
    pub id: &'a str,
    /// What its LUT makes of the probes.
    pub seen: &'a Seen,
}

/// What is compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Between {
    /// Cameras on one monitor.
    Cameras,
    /// Monitors behind one camera.
    Monitors,
}

impl Between {
    /// What one of them is called.
    pub(super) fn noun(self) -> &'static str {
        match self {
            Self::Cameras => "camera",
            Self::Monitors => "monitor",
        }
    }
}

/// How every pair differs.
#[derive(Clone, Debug, Serialize)]
pub struct Matrix {
    /// What was compared.
    pub between: Between,
    /// Ids of cameras or monitors, in the order of the members.
    pub ids: Vec<String>,
    /// Luminance of each member's white, cd/m². Brightness is told, not compared.
    pub white_nits: Vec<f64>,
    /// Luminance of mid-grey on each, cd/m².
    pub grey_nits: Vec<f64>,
    /// What the pairs were held against.
    pub limits: Figures,
    /// Every pair once, with `a` before `b`; none for fewer than two members.
    pub pairs: Vec<Pair>,
    /// Whether every pair holds its tolerances.
    pub pass: bool,
}

/// How two members differ: CIEDE2000 through their tables.
#[derive(Clone, Debug, Serialize)]
pub struct Pair {
    /// The first, as a place in [`Matrix::ids`].
    pub a: usize,
    /// The second.
    pub b: usize,
    /// Chart, skins and greys inside every member's gamut: between cameras, where no component is negative in any camera's
    /// gamut; between monitors, where no monitor's output gamut compresses or clips the colour.
    pub inside: Spread,
    /// Everything else, saturated lights among it.
    pub outside: Spread,
    /// The saturated lights alone, inside and outside: reported, never held.
    pub saturated: Spread,
    /// What the tolerances hold: chart, skins and greys, between cameras all of them, between monitors those inside.
    pub held: Spread,
    /// The same with exact looks in the place of the tables.
    pub exact: Figures,
    /// Chart, skins and greys of which it can't be said what a camera records: its trim can't be undone there. They are in no
    /// group, and make the pair fail.
    pub unknown: usize,
    /// Whether the pair holds its tolerances.
    pub pass: bool,
    /// Why not.
    pub reason: Option<Reason>,
}

/// Compares cameras on one monitor: `members` are the LUTs of one look part for that monitor.
#[must_use]
pub fn between_cameras(members: &[Member<'_>], tolerances: &ConsistencyTolerances) -> Matrix {
    between(Between::Cameras, members, tolerances)
}

/// Compares monitors behind one camera: `members` are the LUTs of one look part for that camera. Light is divided by that of
/// each monitor's own white (Y = 1) and adapted from it to D65 by the look's adaptation.
#[must_use]
pub fn between_monitors(members: &[Member<'_>], tolerances: &ConsistencyTolerances) -> Matrix {
    between(Between::Monitors, members, tolerances)
}

fn between(between: Between, members: &[Member<'_>], tolerances: &ConsistencyTolerances) -> Matrix {
    let probes = probes();
    let sides: Vec<Side<'_>> = members.iter().map(|member| Side::new(between, member)).collect();
    let flag = if between == Between::Cameras { OUTSIDE } else { ALTERED };
    let outside = (0..probes.len()).map(|place| members.iter().any(|member| member.seen.flags[place] & flag != 0));
    let outside: Vec<bool> = outside.collect();
    let limits = Figures { mean: tolerances.mean_de, p95: tolerances.p95_de, max: tolerances.max_de };
    let mut pairs = Vec::new();
    for b in 1..sides.len() {
        for a in 0..b {
            let two = Two { between, probes: &probes, outside: &outside, sides: [&sides[a], &sides[b]], limits };
            pairs.push(two.pair(a, b));
        }
    }
    pairs.sort_by_key(|pair: &Pair| (pair.a, pair.b));
    Matrix {
        between,
        ids: members.iter().map(|member| member.id.to_owned()).collect(),
        white_nits: members.iter().map(|member| member.seen.white_nits).collect(),
        grey_nits: members.iter().map(|member| member.seen.grey_nits).collect(),
        limits,
        pass: pairs.iter().all(|pair| pair.pass),
        pairs,
    }
}

/// A member with its colours as they are compared.
pub(super) struct Side<'a> {
    pub(super) id: &'a str,
    pub(super) seen: &'a Seen,
    pub(super) table: Vec<Lab>,
    pub(super) exact: Vec<Lab>,
    pub(super) light: Vec<Lab>,
}

impl<'a> Side<'a> {
    fn new(between: Between, member: &Member<'a>) -> Self {
        let seen = member.seen;
        let labs = |labs: &[[f32; 3]]| match between {
            Between::Cameras => seen.own(labs),
            Between::Monitors => seen.under_d65(labs),
        };
        Self { id: member.id, seen, table: labs(&seen.table), exact: labs(&seen.exact), light: labs(&seen.light) }
    }
}

/// Two members, and what is held between them.
pub(super) struct Two<'a> {
    pub(super) between: Between,
    pub(super) probes: &'a [Probe],
    outside: &'a [bool],
    pub(super) sides: [&'a Side<'a>; 2],
    pub(super) limits: Figures,
}

impl Two<'_> {
    fn pair(&self, a: usize, b: usize) -> Pair {
        let places = || (0..self.probes.len()).filter(|place| self.flags(*place) & UNKNOWN == 0);
        let [first, second] = [&self.sides[0].table, &self.sides[1].table];
        let spread = |chosen: &dyn Fn(&usize) -> bool| {
            let labs = |place: usize| [first[place], second[place]].map(|lab| [lab.l, lab.a, lab.b]);
            Spread::of(self.probes, places().filter(chosen), |place| ciede2000(first[place], second[place]), labs)
        };
        let saturated = |place: &usize| self.probes[*place].kind == ProbeKind::Saturated;
        let held = spread(&|place| self.holds(*place));
        let unknown = (0..self.probes.len()).filter(|place| !saturated(place) && self.flags(*place) & UNKNOWN != 0);
        let unknown = unknown.count();
        let pass = unknown == 0 && held.count > 0 && held.figures().within(&self.limits);
        Pair {
            a,
            b,
            inside: spread(&|place| !saturated(place) && !self.outside[*place]),
            outside: spread(&|place| self.outside[*place]),
            saturated: spread(&saturated),
            exact: self.figures(&self.sides[0].exact, &self.sides[1].exact),
            reason: (!pass).then(|| diagnose(self, &held, unknown)),
            held,
            unknown,
            pass,
        }
    }

    /// What was lost on either side.
    pub(super) fn flags(&self, place: usize) -> u8 {
        self.sides[0].seen.flags[place] | self.sides[1].seen.flags[place]
    }

    /// Whether a probe is held against the tolerances.
    fn holds(&self, place: usize) -> bool {
        let known = self.flags(place) & UNKNOWN == 0 && self.probes[place].kind != ProbeKind::Saturated;
        known && (self.between == Between::Cameras || !self.outside[place])
    }

    /// Differences of the held probes, between any colours of the two sides.
    pub(super) fn figures(&self, first: &[Lab], second: &[Lab]) -> Figures {
        let held = (0..self.probes.len()).filter(|place| self.holds(*place));
        Figures::of(held.map(|place| ciede2000(first[place], second[place])).collect())
    }

    /// How many of chart, skins and greys can't be recorded on one side.
    pub(super) fn unknown(&self, side: usize) -> usize {
        let unknown = |place: &usize| {
            self.probes[*place].kind != ProbeKind::Saturated && self.sides[side].seen.flags[*place] & UNKNOWN != 0
        };
        (0..self.probes.len()).filter(unknown).count()
    }

    /// How many held probes have flags that `wanted` accepts, on one side.
    pub(super) fn count(&self, side: usize, wanted: impl Fn(u8) -> bool) -> usize {
        let marked = |place: &usize| self.holds(*place) && wanted(self.sides[side].seen.flags[*place]);
        (0..self.probes.len()).filter(marked).count()
    }
}

//! Cautions that belong on a sheet. They tell nobody how to do dangerous work: local law, the venue and licensed people decide.

use crate::light::{LightSource, Lit};
use crate::show::{Light, Reading, Setup};
use serde::Serialize;

/// A caution.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Caution {
    /// What it is about.
    pub title: &'static str,
    /// What to mind.
    pub text: &'static str,
}

/// Common practice, no source, as are all of them: they repeat what safety guidance of the trade agrees on and replace none of it.
const DETECTORS: Caution = Caution {
    title: "Smoke detection",
    text: "Crew never cover, disable or isolate a detector. Isolation is a last resort; only the building's management or the \
           responsible fire authority makes it, with their compensating measures and their restoration.",
};

const HAZE: Caution = Caution {
    title: "Haze",
    text: "Lowest concentration that serves the picture; safety data sheet read; everyone told beforehand, so that whoever must keep \
           away can say so; breaks for ventilation; exits stay visible.",
};

const HOT: Caution = Caution {
    title: "Filters on hot lamps",
    text: "Heat-rated filters only, with air between them and the lamp, by the fixture's manual. Let lamps cool before they are touched.",
};

const OVERHEAD: Caution = Caution {
    title: "Overhead",
    text: "A competent rigger, rated points, a secondary safety on everything, nobody below while it goes up or down.",
};

const POWER: Caution = Caution {
    title: "Power",
    text: "Tie-ins are for licensed electricians. Count the nameplate load at the local voltage. A tripped breaker is not simply reset: \
           somebody finds out why.",
};

const STROBING: Caution = Caution {
    title: "Flashing light",
    text: "Tell cast and crew before a light flashes. More than three flashes a second over a quarter of the frame is a risk to viewers, \
           and broadcasters refuse it.",
};

const LAW: Caution = Caution {
    title: "Above this sheet",
    text: "Local law, the venue's rules and licensed people override everything printed here.",
};

/// What a setup needs to be told.
pub(super) fn cautions(setup: &Setup, lit: &[(&Light, Lit)]) -> Vec<Caution> {
    let mut found = Vec::new();
    if setup.haze {
        found.extend([DETECTORS, HAZE]);
    }
    // Discharge lamps and others that get hot are known by their colour only: every filter counts.
    let is_hot = |light: &Light| light.lamp.source.kind == LightSource::Planckian || !light.lamp.filters.is_empty();
    if lit.iter().any(|(light, _)| is_hot(light)) {
        found.push(HOT);
    }
    // The sun and the sky hang from nothing and draw no current; daylight that is said by its output comes out of a lamp.
    let is_lamp = |light: &Light| {
        light.lamp.source.kind != LightSource::Daylight || matches!(light.reading, Some(Reading::Lamp { .. }))
    };
    if lit.iter().any(|(light, _)| is_lamp(light)) {
        found.extend([OVERHEAD, POWER, STROBING]);
    }
    found.push(LAW);
    found
}

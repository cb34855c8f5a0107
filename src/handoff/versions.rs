//! Two packages of one show: what became of its looks.

use super::manifest::Manifest;
use super::receive::{compiled, manifest, texts};
use crate::diagnostics::{Diagnostic, codes};
use crate::formats::package::Package;
use crate::show::{Job, Show, Work};
use crate::verify::comparison::Difference;
use crate::verify::{View, compare, differences};
use rayon::prelude::*;
use serde::Serialize;
use std::path::Path;

/// A package with its show.
#[derive(Debug)]
pub struct Packed {
    /// What it says of itself.
    pub manifest: Manifest,
    /// Its show, as its texts make it.
    pub work: Work,
}

impl Packed {
    /// Reads a package; `folder` is an empty folder for its show's texts.
    ///
    /// # Errors
    /// A package that is refused; texts that can't be compiled any more.
    pub fn read(package: &Package, folder: &Path) -> Result<Self, Vec<Diagnostic>> {
        let manifest = manifest(package)?;
        texts(package, folder)?;
        let work = compiled(&manifest, folder)?;
        Ok(Self { manifest, work })
    }

    /// The jobs that the package has files of, for one look, variant or version.
    fn jobs(&self, look: &str, part: &str) -> Vec<&Job> {
        let show = &self.work.show;
        let is = |job: &&Job| {
            show.looks[job.look].id.is(look) && show.part_id(job.look, job.part).eq_ignore_ascii_case(part)
        };
        let packed = |job: &&Job| {
            let (camera, monitor) = (&show.cameras[job.camera].id, &show.monitors[job.monitor].id);
            let same = |id: &crate::show::Id, other: &str| id.is(other);
            self.manifest.luts.iter().any(|lut| {
                lut.look.eq_ignore_ascii_case(look)
                    && lut.part.eq_ignore_ascii_case(part)
                    && same(camera, &lut.camera)
                    && same(monitor, &lut.monitor)
            })
        };
        self.work.jobs.iter().filter(is).filter(packed).collect()
    }
}

/// What became of a look, variant or version.
#[derive(Clone, Debug, Serialize)]
pub struct LookChange {
    /// Id of the look.
    pub look: String,
    /// Id of the variant or version, empty for the look itself.
    pub part: String,
    /// What became of it.
    pub state: State,
    /// How the picture of the second package differs, in words; empty where it does not.
    pub words: String,
    /// Mean CIEDE2000 of the chart at −3..+3 stops.
    pub mean_de: f64,
    /// The largest.
    pub max_de: f64,
    /// Camera and monitor that it was compared for.
    pub seen: [String; 2],
    /// LUT files of it in the first package, in the second, and for cameras and monitors that both have.
    pub files: [usize; 3],
    /// How many of the last mean something else; the figures are those of the worst.
    pub differing: usize,
    /// Parameters that differ.
    pub parameters: Vec<Difference>,
}

/// What became of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum State {
    /// It means the same for every camera and monitor that both have.
    Same,
    /// It means something else.
    Changed,
    /// Only the second package has it.
    Added,
    /// Only the first package has it.
    Gone,
}

/// What became of every look of two packages, in the order of the first, then of the second.
///
/// # Errors
/// The packages are of two shows.
pub fn changes_between(a: &Packed, b: &Packed) -> Result<Vec<LookChange>, Vec<Diagnostic>> {
    if !a.manifest.show.eq_ignore_ascii_case(&b.manifest.show) {
        let message = format!("the packages are of two shows: \"{}\" and \"{}\"", a.manifest.show, b.manifest.show);
        return Err(vec![
            Diagnostic::error(&codes::PACKAGE_OTHER_SHOW, message).help("compare two packages of one show"),
        ]);
    }
    let mut keys: Vec<(String, String)> = Vec::new();
    for lut in a.manifest.luts.iter().chain(&b.manifest.luts) {
        let key = (lut.look.to_lowercase(), lut.part.to_lowercase());
        if !keys.contains(&key) {
            keys.push(key);
        }
    }
    Ok(keys.par_iter().map(|(look, part)| change(a, b, look, part)).collect())
}

fn change(a: &Packed, b: &Packed, look: &str, part: &str) -> LookChange {
    let (of_a, of_b) = (a.jobs(look, part), b.jobs(look, part));
    let mut change = LookChange {
        look: written(a, b, look),
        part: part.to_owned(),
        state: State::Same,
        words: String::new(),
        mean_de: 0.0,
        max_de: 0.0,
        seen: [String::new(), String::new()],
        files: [of_a.len(), of_b.len(), 0],
        differing: 0,
        parameters: Vec::new(),
    };
    let ids =
        |show: &Show, job: &Job| [show.cameras[job.camera].id.text.clone(), show.monitors[job.monitor].id.text.clone()];
    let same_place = |one: &Job, other: &Job| {
        let (one, other) = (ids(&a.work.show, one), ids(&b.work.show, other));
        one.iter().zip(&other).all(|(one, other)| one.eq_ignore_ascii_case(other))
    };
    let pairs: Vec<(&Job, &Job)> = of_a
        .iter()
        .filter_map(|one| of_b.iter().find(|other| same_place(one, other)).map(|other| (*one, *other)))
        .collect();
    let (one, other) = match (of_a.first(), of_b.first()) {
        (Some(one), Some(other)) => (*one, *other),
        (Some(_), None) => return LookChange { state: State::Gone, ..change },
        (None, _) => return LookChange { state: State::Added, ..change },
    };
    change.files = [of_a.len(), of_b.len(), pairs.len()];
    let differing: Vec<(&Job, &Job)> = match pairs.is_empty() {
        // Without a camera and monitor in common, the first of each.
        true => vec![(one, other)],
        false => pairs.into_iter().filter(|(one, other)| one.plan.fingerprint() != other.plan.fingerprint()).collect(),
    };
    change.differing = differing.len();
    for (one, other) in differing {
        let comparison =
            compare(&View::of_look(&one.plan, &one.pipeline), &View::of_look(&other.plan, &other.pipeline));
        // Written so that no number is the worst.
        if change.state == State::Changed && comparison.max_de <= change.max_de {
            continue;
        }
        change.state = State::Changed;
        change.words = comparison.words;
        change.mean_de = comparison.mean_de;
        change.max_de = comparison.max_de;
        change.seen = ids(&a.work.show, one);
        change.parameters = differences(&one.recipe, &other.recipe);
        if one.plan.camera_trim != other.plan.camera_trim {
            let key = format!("trim of camera {}", change.seen[0]);
            let said = |trim: &crate::plan::Trim| format!("{} stops, {:?}", trim.stops, trim.matrix);
            let (a, b) = (said(&one.plan.camera_trim), said(&other.plan.camera_trim));
            change.parameters.push(Difference { key, a, b });
        }
    }
    change
}

/// A look's id as it is written.
fn written(a: &Packed, b: &Packed, look: &str) -> String {
    let of = |packed: &Packed| packed.work.show.looks.iter().find(|one| one.id.is(look)).map(|one| one.id.text.clone());
    of(a).or_else(|| of(b)).unwrap_or_else(|| look.to_owned())
}

/// Versions of the second package that the first does not have, as setup and id, with what changed.
#[must_use]
pub fn new_versions(a: &Packed, b: &Packed) -> Vec<(String, String, String)> {
    let (old, new) = (&a.work.show, &b.work.show);
    new.versions
        .iter()
        .filter(|version| !old.versions.iter().any(|other| other.id.is(&version.id.text)))
        .map(|version| (new.setups[version.setup].id.text.clone(), version.id.text.clone(), version.changed.clone()))
        .collect()
}

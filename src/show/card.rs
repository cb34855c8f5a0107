//! The loading card: which file goes into which slot of which device, and what is to be set there.

use super::jobs::{Part, Work};
use super::ledger::{Entry, Ledger};
use super::maps::MapNote;
use super::run::key_of;
use crate::formats::cube::Newline;
use crate::plan::{Camera, Levels, short};
use serde::Serialize;
use std::path::{Path, PathBuf};

/// What is loaded where, for one show.
#[derive(Clone, Debug, Serialize)]
pub struct LoadingCard {
    /// Name of the production.
    pub show: String,
    /// The devices, in the show's order; those without files are left out.
    pub devices: Vec<CardDevice>,
}

/// A device and its files.
#[derive(Clone, Debug, Serialize)]
pub struct CardDevice {
    /// Id of the monitor.
    pub id: String,
    /// Free text of the show.
    pub note: String,
    /// What it shows, such as "bt1886 / bt709".
    pub display: String,
    /// Luminance of its white, cd/m².
    pub peak_nits: f64,
    /// What it must feed to its LUT stage.
    pub input_levels: &'static str,
    /// How it must take the LUT's output.
    pub output_levels: &'static str,
    /// Points a side of its files.
    pub size: usize,
    /// How it is taken to read between the points.
    pub interpolation: &'static str,
    /// What it accepts as a file, in words.
    pub rules: String,
    /// How many LUTs it holds; `None` where the show does not say.
    pub slots: Option<usize>,
    /// Its files, in the order of their slots.
    pub entries: Vec<CardEntry>,
    /// Its exposure maps.
    pub maps: Vec<CardMap>,
}

/// An exposure map of a device.
#[derive(Clone, Debug, Serialize)]
pub struct CardMap {
    /// Path of its cube file in the show's folder.
    pub file: PathBuf,
    /// Path of its legend as a picture, where that is there.
    pub legend: Option<PathBuf>,
    /// Id of the camera.
    pub camera: String,
    /// What the camera must record.
    pub records: String,
    /// First characters of the map's fingerprint, as the file's header has it.
    pub fingerprint: String,
    /// Whether it is what the show asks for.
    pub state: MapState,
    /// Its size, and its zones as they were made.
    pub note: MapNote,
}

/// How the file of a map stands to the show.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum MapState {
    /// It is what show and recipes ask for.
    AsAsked,
    /// It is as it was made, and show or recipes ask for another now.
    Outdated,
    /// Somebody put another file into its place.
    Replaced,
}

/// One file.
#[derive(Clone, Debug, Serialize)]
pub struct CardEntry {
    /// Number of the slot, from 1; `None` where the device has no more, or none at all.
    pub slot: Option<usize>,
    /// Path in the show's folder.
    pub file: PathBuf,
    /// Short code of look and camera.
    pub code: String,
    /// Name of the recipe's look.
    pub look: String,
    /// Id of the look.
    pub look_id: String,
    /// Variant or version in words, empty for the look itself.
    pub part: String,
    /// Id of the camera.
    pub camera: String,
    /// What the camera must record, such as "s-log3 / s-gamut3.cine".
    pub records: String,
    /// The setups that use it.
    pub setups: Vec<String>,
    /// First characters of the plan's fingerprint, as the file's header has it.
    pub fingerprint: String,
    /// First characters of the file's SHA-256; empty where the file is not made yet.
    pub sha256: String,
    /// Whether it was verified and holds every tolerance; `None` where it was not verified.
    pub pass: Option<bool>,
    /// Whether it is the file of a version whose recipe was changed since: it stays as it was made.
    pub drifted: bool,
}

impl LoadingCard {
    /// The card of a show whose files the ledger knows; `maps` are its exposure maps, each with its monitor's place in the show.
    #[must_use]
    pub fn new(work: &Work, ledger: &Ledger, maps: &[(usize, CardMap)]) -> Self {
        let of = |monitor: usize| maps.iter().filter(move |map| map.0 == monitor).map(|map| map.1.clone()).collect();
        let devices = (0..work.show.monitors.len())
            .map(|monitor| CardDevice { maps: of(monitor), ..device(work, ledger, monitor) })
            .filter(|device| !device.entries.is_empty())
            .collect();
        Self { show: work.show.name.text.clone(), devices }
    }
}

fn device(work: &Work, ledger: &Ledger, index: usize) -> CardDevice {
    let monitor = &work.show.monitors[index];
    let jobs: Vec<usize> = (0..work.jobs.len()).filter(|job| work.jobs[*job].monitor == index).collect();
    let facts = jobs.first().map(|job| &work.jobs[*job].plan);
    let rules = &monitor.rules;
    let mut words = match &rules.fixed_name {
        Some(name) => vec![format!("loads {name} only, one at a time")],
        None => vec![format!("names up to {} characters: {}", rules.name_max, rules.charset.words())],
    };
    words.push(if rules.comments { "comments in the file" } else { "no comments in the file" }.to_owned());
    if rules.newline == Newline::CarriageReturnLineFeed {
        words.push("lines that end in CR LF".to_owned());
    }
    let levels = |pick: fn(&crate::plan::Device) -> Levels| facts.map_or("", |plan| pick(&plan.device).id());
    CardDevice {
        id: monitor.id.text.clone(),
        note: monitor.note.clone(),
        display: facts
            .map_or(String::new(), |plan| format!("{} / {}", plan.display.encoding.id(), plan.display.gamut.id)),
        peak_nits: facts.map_or(0.0, |plan| plan.display.peak_nits),
        input_levels: levels(|device| device.input_levels),
        output_levels: levels(|device| device.output_levels),
        size: facts.map_or(0, |plan| plan.device.size),
        interpolation: facts.map_or("", |plan| plan.device.interpolation.id()),
        rules: words.join("; "),
        slots: monitor.slots,
        entries: slotted(
            jobs.iter().map(|job| entry(work, ledger, *job)).chain(drifted(work, ledger, index)),
            // A device that knows one name holds one file at a time.
            if rules.fixed_name.is_some() { Some(0) } else { monitor.slots },
        ),
        maps: Vec::new(),
    }
}

/// Slots in order, as far as there are any.
fn slotted(entries: impl Iterator<Item = CardEntry>, slots: Option<usize>) -> Vec<CardEntry> {
    let slot = |place: usize| slots.is_none_or(|slots| place < slots).then_some(place + 1);
    entries.enumerate().map(|(place, entry)| CardEntry { slot: slot(place), ..entry }).collect()
}

fn entry(work: &Work, ledger: &Ledger, index: usize) -> CardEntry {
    let (show, job) = (&work.show, &work.jobs[index]);
    let part = match job.part {
        Part::Look => String::new(),
        Part::Variant(_) => format!("variant {}", show.part_id(job.look, job.part)),
        Part::Version(version) => {
            let id = show.part_id(job.look, job.part);
            match show.versions_of(show.versions[version].setup).last() {
                Some(newest) if !newest.id.is(id) => format!("version {id}, superseded by {}", newest.id.text),
                _ => format!("version {id}"),
            }
        }
    };
    let fingerprint = job.plan.fingerprint();
    // What is on the disk, made from what the show says now, and held to the tolerances of now.
    let made = ledger.get(&job.path).filter(|made| made.key == key_of(job) && is_there(ledger, &job.path));
    CardEntry {
        slot: None,
        file: job.path.clone(),
        code: job.code.clone(),
        look: job.plan.look.name.clone(),
        look_id: show.looks[job.look].id.text.clone(),
        part,
        camera: show.cameras[job.camera].id.text.clone(),
        records: records(&job.plan.camera),
        setups: setups(work, index),
        fingerprint: short(&fingerprint).to_owned(),
        sha256: made.map(|made| short(&made.sha256).to_owned()).unwrap_or_default(),
        pass: made.and_then(|made| made.verify.as_ref()).map(|verify| verify.pass),
        drifted: false,
    }
}

/// Files of versions whose recipe was changed since, as they were made.
fn drifted(work: &Work, ledger: &Ledger, monitor: usize) -> Vec<CardEntry> {
    let show = &work.show;
    let mut entries = Vec::new();
    for drifted in &work.drifted {
        let version = &show.versions[drifted.version];
        let setup = &show.setups[version.setup];
        let look = &show.looks[setup.look].id;
        let of = |made: &&Entry| {
            version.id.is(&made.part) && look.is(&made.look) && show.monitors[monitor].id.is(&made.monitor)
        };
        for made in ledger.entries().filter(of).filter(|made| is_there(ledger, &made.path)) {
            let camera = work.jobs.iter().find(|job| show.cameras[job.camera].id.is(&made.camera));
            let newest = show.versions_of(version.setup).last().is_some_and(|newest| newest.id.is(&version.id.text));
            entries.push(CardEntry {
                slot: None,
                file: made.path.clone(),
                code: made.code.clone(),
                look: look.text.clone(),
                look_id: look.text.clone(),
                part: format!("version {}", version.id.text),
                camera: made.camera.clone(),
                records: camera.map_or(String::new(), |job| records(&job.plan.camera)),
                setups: if newest { vec![setup.id.text.clone()] } else { Vec::new() },
                fingerprint: short(&made.fingerprint).to_owned(),
                sha256: short(&made.sha256).to_owned(),
                pass: made.verify.as_ref().map(|verify| verify.pass),
                drifted: true,
            });
        }
    }
    entries
}

fn is_there(ledger: &Ledger, path: &Path) -> bool {
    ledger.folder().join(path).is_file()
}

pub(crate) fn records(camera: &Camera) -> String {
    let index = camera.curve.exposure_index().map_or(String::new(), |index| format!(" EI {index}"));
    format!("{}{index} / {}", camera.curve.encoding().id, camera.gamut.id)
}

/// The setups for which a file is the one to load: its version, or the look of a setup that has no version yet.
fn setups(work: &Work, index: usize) -> Vec<String> {
    let (show, job) = (&work.show, &work.jobs[index]);
    let uses = |(place, setup): &(usize, &super::model::Setup)| {
        let newest = show.versions_of(*place).last();
        let part = match job.part {
            Part::Version(version) => newest.is_some_and(|newest| newest.id.is(&show.versions[version].id.text)),
            Part::Look => newest.is_none() && setup.variant.is_none(),
            Part::Variant(variant) => newest.is_none() && setup.variant == Some(variant),
        };
        setup.look == job.look && part && setup.cameras.contains(&job.camera)
    };
    show.setups.iter().enumerate().filter(uses).map(|(_, setup)| setup.id.text.clone()).collect()
}

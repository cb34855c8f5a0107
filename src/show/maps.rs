//! Exposure maps among a show's files: what they are called, and what the ledger and the loading card say of them.

use super::jobs::{Job, Part, Work};
use super::ledger::{Entry, Owner};
use super::names::{self, Purpose};
use crate::diagnostics::Diagnostic;
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};

/// What a map is called where a look has its id. Ids have no dot, so that no look has this folder.
const ID: &str = "exposure-map";
const FOLDER: &str = "exposure.map";

/// The map of a camera on a monitor.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MapFile {
    /// The camera, as its place in the show.
    pub camera: usize,
    /// The monitor, as its place in the show.
    pub monitor: usize,
    /// Path of its cube file in the show's folder.
    pub cube: PathBuf,
}

impl MapFile {
    /// Path of its legend, a picture.
    #[must_use]
    pub fn legend(&self) -> PathBuf {
        self.cube.with_extension("png")
    }
}

/// What the ledger keeps of a map.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MapNote {
    /// Points a side.
    pub size: usize,
    /// Whether the size was asked for, and is not the monitor's.
    pub sized: bool,
    /// Values that were laid over the recipe's `[map]`.
    pub set: Vec<String>,
    /// Where its stops count from, stops from grey.
    pub zero_stops: f64,
    /// Its zones, from dark to bright.
    pub zones: Vec<MapZone>,
}

/// A zone of a map.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MapZone {
    /// Its name.
    pub name: String,
    /// Where it begins, stops from the map's zero; none for the noise floor.
    pub from_stops: Option<f64>,
    /// Where it ends; none for clip.
    pub to_stops: Option<f64>,
    /// Whether a grey ever shows it.
    pub shown: bool,
    /// Its colour as an sRGB signal, six hexadecimal digits.
    pub hex: String,
    /// Whether the table shows it in its full colour and between its edges; none where it is never shown.
    #[serde(default)]
    pub held: Option<bool>,
}

impl MapNote {
    /// Whether it is one that this program writes.
    pub(super) fn is_sound(&self) -> bool {
        let is_colour = |hex: &str| hex.len() == 6 && hex.bytes().all(|byte| byte.is_ascii_hexdigit());
        self.zones.iter().all(|zone| is_colour(&zone.hex))
    }
}

impl Entry {
    /// A file of a map: its cube, or its legend. `fingerprint` is the map's.
    #[must_use]
    pub fn of_map(
        work: &Work,
        file: &MapFile,
        path: PathBuf,
        [fingerprint, sha256]: [String; 2],
        note: MapNote,
    ) -> Self {
        let show = &work.show;
        let owner = Owner {
            show: show.name.text.clone(),
            code: String::new(),
            look: String::new(),
            part: String::new(),
            camera: show.cameras[file.camera].id.text.clone(),
            monitor: show.monitors[file.monitor].id.text.clone(),
        };
        let key = fingerprint.clone();
        let mut entry = Self::new(path, owner, key, [fingerprint, sha256], None);
        entry.map = Some(note);
        entry
    }
}

/// The maps of every camera on every monitor that some look puts together, in the order of monitors and cameras. Their names keep the
/// monitors' rules and differ from all names of the show's looks.
///
/// # Errors
/// A monitor's rules leave no room for the names.
pub fn map_files(work: &Work) -> Result<Vec<MapFile>, Vec<Diagnostic>> {
    let mut found = Vec::new();
    for monitor in 0..work.show.monitors.len() {
        let jobs: Vec<&Job> = work.jobs.iter().filter(|job| job.monitor == monitor).collect();
        let of_look = jobs.iter().filter(|job| job.part == Part::Look);
        let mut cameras: Vec<usize> = of_look.map(|job| job.camera).collect();
        cameras.sort_unstable();
        cameras.dedup();
        let cubes = cubes(work, monitor, &jobs, &cameras)?;
        found.extend(cameras.into_iter().zip(cubes).map(|(camera, cube)| MapFile { camera, monitor, cube }));
    }
    Ok(found)
}

/// The path of each camera's cube file in the show's folder.
fn cubes(work: &Work, monitor: usize, jobs: &[&Job], cameras: &[usize]) -> Result<Vec<PathBuf>, Vec<Diagnostic>> {
    let show = &work.show;
    let of_monitor = &show.monitors[monitor];
    let mut keys: Vec<(usize, Part, usize)> = jobs.iter().map(|job| (job.look, job.part, job.camera)).collect();
    // As the show names its own files: a map, which comes last, takes no name away.
    keys.sort_by_key(|(look, part, camera)| {
        let is_version = matches!(part, Part::Version(_));
        (!is_version, if is_version { 0 } else { *look }, *part, *camera)
    });
    keys.dedup();
    let own = keys.iter().map(|(look, part, camera)| Purpose {
        look: &show.looks[*look].id.text,
        part: show.part_id(*look, *part),
        camera: &show.cameras[*camera].id.text,
    });
    let maps = cameras.iter().map(|camera| Purpose { look: ID, part: "", camera: &show.cameras[*camera].id.text });
    let purposes: Vec<Purpose<'_>> = own.chain(maps).collect();
    let named = names::names(&purposes, &names::short_codes(&purposes), &of_monitor.rules);
    let named = named.map_err(|diagnostic| vec![*diagnostic])?;
    let folder = Path::new(&of_monitor.id.text.to_ascii_lowercase()).join(FOLDER);
    let path = |(name, _): &(String, String)| match &of_monitor.rules.fixed_name {
        Some(fixed) => folder.join(name).join(fixed),
        None => folder.join(format!("{name}.cube")),
    };
    Ok(named[keys.len()..].iter().map(path).collect())
}

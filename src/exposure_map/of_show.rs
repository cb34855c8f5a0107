//! The maps of a show: one for each camera and monitor.

use super::{ExposureMap, PreparedMap};
use crate::diagnostics::{Diagnostic, codes};
use crate::recipe::{self, MapSettings, Overlay, Recipe};
use crate::show::names::{self, Purpose};
use crate::show::{Job, Part, Work};
use std::path::{Path, PathBuf};

/// What a map is called where a look has its id. Ids have no dot, so that no look has this folder.
const ID: &str = "exposure-map";
const FOLDER: &str = "exposure.map";

/// The maps of every camera on every monitor that some look puts together, in the order of monitors and cameras. What a map's bands are is
/// said by the recipe of the first of those looks. `set` lays values on top of it.
///
/// Names of files keep the monitors' rules and differ from all names of the show's looks.
///
/// # Errors
/// What is wrong with a `set`, with a recipe, or with names that the monitor's rules leave no room for.
pub fn maps_of(work: &Work, set: &[String]) -> Result<(Vec<PreparedMap>, Vec<Diagnostic>), Vec<Diagnostic>> {
    let mut maps = Vec::new();
    let mut doubts: Vec<Diagnostic> = Vec::new();
    for monitor in 0..work.show.monitors.len() {
        let of_monitor: Vec<&Job> = work.jobs.iter().filter(|job| job.monitor == monitor).collect();
        let mut cameras: Vec<usize> = of_monitor.iter().map(|job| job.camera).collect();
        cameras.sort_unstable();
        cameras.dedup();
        let files = files(work, monitor, &of_monitor, &cameras)?;
        for (camera, file) in cameras.into_iter().zip(files) {
            let looks = of_monitor.iter().filter(|job| job.camera == camera && job.part == Part::Look);
            let looks: Vec<&Job> = looks.copied().collect();
            let Some(first) = looks.first() else { continue };
            let recipe = recipe_of(work, first, set)?;
            let settings = recipe.map().0;
            doubts.extend(differing(work, first, &settings, &looks[1..], set)?);
            maps.push(map(work, first, recipe, &settings, file));
        }
    }
    // Of several monitors and cameras each thing is told once.
    let mut told: Vec<Diagnostic> = Vec::new();
    for doubt in doubts {
        if !told.contains(&doubt) {
            told.push(doubt);
        }
    }
    Ok((maps, told))
}

fn map(work: &Work, job: &Job, recipe: Recipe, settings: &MapSettings, cube: PathBuf) -> PreparedMap {
    let show = &work.show;
    let (camera, monitor) = (&show.cameras[job.camera].id.text, &show.monitors[job.monitor].id.text);
    let (map, faults) = ExposureMap::new(&job.plan, settings);
    let warnings = faults
        .into_iter()
        .map(|fault| recipe.locate(fault).help(format!("found for camera \"{camera}\", monitor \"{monitor}\"")));
    PreparedMap {
        source: show.path.clone(),
        name: format!("camera {camera} / {monitor}"),
        warnings: warnings.collect(),
        legend: cube.with_extension("png"),
        cube,
        facts: vec![("show", show.name.text.clone()), ("camera id", camera.clone()), ("monitor id", monitor.clone())],
        recipe,
        map,
        comments: job.comments,
        newline: job.newline,
    }
}

/// The recipe of a job's look for its camera and monitor.
fn recipe_of(work: &Work, job: &Job, set: &[String]) -> Result<Recipe, Vec<Diagnostic>> {
    let show = &work.show;
    let path = show.path.parent().unwrap_or(Path::new("")).join(&show.looks[job.look].recipe.text);
    let mut overlay = Overlay::default();
    for one in [&show.cameras[job.camera].overlay, &show.monitors[job.monitor].overlay] {
        overlay.tables.extend(one.tables.iter().cloned());
        overlay.values.extend(one.values.iter().cloned());
    }
    let recipe = recipe::load_over(&path, set, &overlay)?.recipe;
    let faults = recipe.map().1;
    if faults.is_empty() { Ok(recipe) } else { Err(faults.into_iter().map(|fault| recipe.locate(fault)).collect()) }
}

/// Other looks of the same camera and monitor whose recipes ask for another map.
fn differing(
    work: &Work,
    first: &Job,
    settings: &MapSettings,
    others: &[&Job],
    set: &[String],
) -> Result<Vec<Diagnostic>, Vec<Diagnostic>> {
    let looks = &work.show.looks;
    let mut found = Vec::new();
    for other in others {
        let recipe = recipe_of(work, other, set)?;
        if recipe.map().0 != *settings {
            let (mine, theirs) = (&looks[first.look].id.text, &looks[other.look].id);
            let message = format!("looks \"{mine}\" and \"{}\" ask for different exposure maps", theirs.text);
            found.push(
                Diagnostic::warning(&codes::MAP_DIFFERS, message)
                    .at(recipe.place("map"), format!("the map is made as look \"{mine}\" has it"))
                    .help("write [map] into the recipe that both extend"),
            );
        }
    }
    Ok(found)
}

/// The path of each camera's cube file in the show's folder.
fn files(work: &Work, monitor: usize, jobs: &[&Job], cameras: &[usize]) -> Result<Vec<PathBuf>, Vec<Diagnostic>> {
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

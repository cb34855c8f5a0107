//! The maps of a show: one for each camera and monitor.

use super::{ExposureMap, PreparedMap};
use crate::diagnostics::{Diagnostic, codes};
use crate::recipe::{self, MapSettings, Overlay, Recipe};
use crate::show::{Job, MapFile, Part, Work, map_files};
use std::path::Path;

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
    for file in map_files(work)? {
        let looks = looks_of(work, &file);
        let Some(first) = looks.first() else { continue };
        let recipe = recipe_of(work, first, set)?;
        let settings = recipe.map().0;
        doubts.extend(differing(work, first, &settings, &looks[1..], set)?);
        maps.push(map(work, first, recipe, &settings, file));
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

/// The looks of a map's camera and monitor, in the show's order.
pub(super) fn looks_of<'a>(work: &'a Work, file: &MapFile) -> Vec<&'a Job> {
    let is_of = |job: &&Job| job.monitor == file.monitor && job.camera == file.camera && job.part == Part::Look;
    work.jobs.iter().filter(is_of).collect()
}

fn map(work: &Work, job: &Job, recipe: Recipe, settings: &MapSettings, file: MapFile) -> PreparedMap {
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
        legend: file.legend(),
        cube: file.cube.clone(),
        facts: vec![("show", show.name.text.clone()), ("camera id", camera.clone()), ("monitor id", monitor.clone())],
        recipe,
        map,
        comments: job.comments,
        newline: job.newline,
        of_show: Some(file),
    }
}

/// The recipe of a job's look for its camera and monitor.
pub(super) fn recipe_of(work: &Work, job: &Job, set: &[String]) -> Result<Recipe, Vec<Diagnostic>> {
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

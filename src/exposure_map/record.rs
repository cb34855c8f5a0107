//! The maps of a show in its ledger, and on its loading card.

use super::of_show::{looks_of, recipe_of};
use super::{ExposureMap, PreparedMap, ProducedMap};
use crate::plan::{hex, short};
use crate::recipe::MapSettings;
use crate::show::{CardMap, Entry, Ledger, MapFile, MapNote, MapState, MapZone, Work, map_files, records};
use sha2::{Digest, Sha256};
use std::io;

/// Notes in a show's ledger what was written of a map. `set` and `sized` say what was asked for beside the show.
///
/// # Errors
/// Whatever the system reports.
pub fn record(
    work: &Work,
    ledger: &mut Ledger,
    map: &PreparedMap,
    produced: &ProducedMap,
    (set, sized): (&[String], bool),
) -> io::Result<()> {
    let Some(file) = &map.of_show else { return Ok(()) };
    let report = &produced.report;
    let zone = |zone: &super::ZoneReport| MapZone {
        name: zone.name.clone(),
        from_stops: zone.from_stops,
        to_stops: zone.to_stops,
        shown: zone.shown,
        hex: zone.hex.clone(),
        held: zone.held,
    };
    let note = MapNote {
        size: report.size,
        sized,
        set: set.to_vec(),
        zero_stops: report.zero_stops,
        zones: report.zones.iter().map(zone).collect(),
    };
    let written = [(produced.cube.as_ref(), file.cube.clone()), (Some(&produced.legend), file.legend())];
    for (written, path) in written {
        let Some(written) = written else { continue };
        let hashes = [report.fingerprint.clone(), written.sha256.clone()];
        ledger.add(Entry::of_map(work, file, path, hashes, note.clone()))?;
    }
    Ok(())
}

/// What the loading card says of the maps that the ledger knows and the show still has, each with its monitor's place in the show.
#[must_use]
pub fn on_card(work: &Work, ledger: &Ledger) -> Vec<(usize, CardMap)> {
    // Where names leave no room, there are no maps.
    let files = map_files(work).unwrap_or_default();
    files.iter().filter_map(|file| Some((file.monitor, card_map(work, ledger, file)?))).collect()
}

fn card_map(work: &Work, ledger: &Ledger, file: &MapFile) -> Option<CardMap> {
    let entry = ledger.get(&file.cube)?;
    let note = entry.map.as_ref()?;
    let bytes = std::fs::read(ledger.folder().join(&file.cube)).ok()?;
    let job = *looks_of(work, file).first()?;
    let state = if hex(&Sha256::digest(&bytes)) != entry.sha256 {
        MapState::Replaced
    } else if is_as_asked(work, file, entry, note) {
        MapState::AsAsked
    } else {
        MapState::Outdated
    };
    // A legend that was written alone later is of other zones.
    let legend = ledger.get(&file.legend()).filter(|legend| legend.fingerprint == entry.fingerprint);
    Some(CardMap {
        file: file.cube.clone(),
        legend: legend.map(|legend| legend.path.clone()).filter(|path| ledger.folder().join(path).is_file()),
        camera: entry.camera.clone(),
        records: records(&job.plan.camera),
        fingerprint: short(&entry.fingerprint).to_owned(),
        state,
        note: note.clone(),
    })
}

/// Whether the show and its recipes still ask for this map.
fn is_as_asked(work: &Work, file: &MapFile, entry: &Entry, note: &MapNote) -> bool {
    let Some(job) = looks_of(work, file).first().copied() else { return false };
    let settings = |recipe: crate::recipe::Recipe| -> MapSettings { recipe.map().0 };
    let Ok(settings) = recipe_of(work, job, &note.set).map(settings) else { return false };
    let mut plan = job.plan.clone();
    if note.sized {
        plan.device.size = note.size;
    }
    let (map, _) = ExposureMap::new(&plan, &settings);
    let names = map.zones().iter().map(|zone| &zone.name);
    // Names are no part of the fingerprint.
    map.fingerprint() == entry.fingerprint && names.eq(note.zones.iter().map(|zone| &zone.name))
}

//! A show of many files: what a file costs in it, what a second core is worth, what it costs to find that nothing changed.

use super::{Outcome, Stage, copy, stop};
use crate::measure::{Place, Work, report};
use lookwright::show::{Event, Options, Selection, Show, prepare, run};
use rayon::ThreadPool;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;

/// Makes a show of three cameras, four monitors and two looks at 33 points: 24 files.
fn show(folder: &Path) -> Outcome<PathBuf> {
    let recipes = Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes");
    let mut text = String::from("lookwright = 1\n[show]\nname = \"Bench\"\n");
    for (id, encoding, gamut) in [("a", "s-log3", "s-gamut3.cine"), ("b", "logc4", "awg4"), ("c", "v-log", "v-gamut")] {
        text += &format!("[[camera]]\nid = \"{id}\"\nencoding = \"{encoding}\"\ngamut = \"{gamut}\"\n");
    }
    for (id, rest) in [
        ("one", ""),
        ("two", "input_levels = \"legal\"\n"),
        ("three", "gamut = \"p3-d65\"\n"),
        ("four", "encoding = \"pq\"\ngamut = \"bt2020\"\npeak_nits = 1000\n"),
    ] {
        text += &format!("[[monitor]]\nid = \"{id}\"\n{rest}");
    }
    for look in ["crossing-noon", "engine-room"] {
        let path = recipes.join(look).with_extension("toml");
        text += &format!("[[look]]\nid = \"{look}\"\nrecipe = {:?}\n", path.display().to_string());
    }
    let path = folder.join("show.toml");
    fs::write(&path, text)?;
    Ok(path)
}

/// The whole show, as multiples of copying its finished files.
pub fn whole_show(stage: &Stage) -> Outcome<()> {
    let path = show(stage.folder.path())?;
    let (show, doubts) = Show::load(&path, None).map_err(|found| format!("{found:?}"))?;
    let work = prepare(show, doubts).map_err(|found| format!("{found:?}"))?;
    let made = |pool: &ThreadPool, verified: bool, force: bool| {
        let out = stage.folder.path().join("show-out");
        let options = Options { out, verified, force, selection: Selection::All };
        let silent = |_: Event<'_>| {};
        let made = pool.install(|| run(&work, &options, &AtomicBool::new(false), &silent));
        made.unwrap_or_else(|found| stop(format!("{found:?}")))
    };
    let first = made(&stage.two, true, true);
    let files: Vec<PathBuf> = first.jobs.iter().map(|job| first.folder.join(&work.jobs[*job].path)).collect();
    drop(first);
    let scratch = stage.folder.path().join("scratch.cube");
    let works: Vec<Work<'_>> = vec![
        ("copy of the finished files", Box::new(|| files.iter().for_each(|file| copy(file, &scratch)))),
        ("not verified, one thread", Box::new(|| drop(made(&stage.one, false, true)))),
        ("not verified, two threads", Box::new(|| drop(made(&stage.two, false, true)))),
        ("verified, one thread", Box::new(|| drop(made(&stage.one, true, true)))),
        ("verified, two threads", Box::new(|| drop(made(&stage.two, true, true)))),
        ("nothing changed, two threads", Box::new(|| drop(made(&stage.two, true, false)))),
    ];
    report(&format!("A show of {} files at 33 points", files.len()), Place::Here, stage.runs.min(7), works)
}

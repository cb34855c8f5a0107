//! A package of the example show and its check, as multiples of compiling the show.

use super::{Outcome, Stage, stop};
use crate::measure::{Place, Work, report};
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

/// Compiles, packs and receives the example show with the program itself; only one setup of it where everything is only seen to work.
pub fn package(stage: &Stage) -> Outcome<()> {
    let show = Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes/tidewater/show.toml");
    let folder = stage.folder.path();
    let (luts, package, kept) = (folder.join("luts"), folder.join("package.zip"), folder.join("kept.zip"));
    let testing = stage.runs == 1;
    let setup = |option: &str| if testing { vec![option.to_owned(), "21".to_owned()] } else { Vec::new() };
    let program = |arguments: &[&str], paths: &[&Path], rest: Vec<String>| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_lookwright"));
        command.args(arguments).args(paths).args(rest).stdout(Stdio::null()).stderr(Stdio::null());
        match command.status() {
            Ok(status) if status.success() => {}
            other => stop(format!("{arguments:?}: {other:?}")),
        }
    };
    let compile = || program(&["compile", "--force", "--out"], &[&luts, &show], setup("--setup"));
    let handoff = |to: &Path| {
        let _ = fs::remove_file(to);
        program(&["handoff", "--luts"], &[&luts, Path::new("--out"), to, &show], setup("--setups"));
    };
    compile();
    handoff(&kept);
    let works: Vec<Work<'_>> = vec![
        ("compile, every file made and verified", Box::new(compile)),
        ("handoff of what is compiled", Box::new(|| handoff(&package))),
        ("receive", Box::new(|| program(&["receive"], &[&kept], Vec::new()))),
    ];
    report("A package of the example show", Place::Processes, stage.runs.min(3), works)
}

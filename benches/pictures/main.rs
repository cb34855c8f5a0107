//! Pictures: a table on frames, PNG to PNG, folders of stills, scopes, the lens, the scene; as ratios to ffmpeg doing the same, or to
//! writing the same frame. All figures come from one run, interleaved; the median counts.
//!
//! The stills are a photograph in the public domain (`tests/python/public_photo.py` says which; `bash tests/run` installs it) as a
//! camera records it, and the rendered scene.
//!
//! `cargo bench --bench pictures` takes ten minutes and, for a while, five gigabytes of the folder for temporary files; names behind
//! `--` (table, png, preview, computed, folders) run those parts only; with `--test` every piece of work runs once on small frames.

mod computed;
mod encoding;
mod folders;
#[path = "../compile/measure.rs"]
mod measure;
mod stills;
mod table;

use lookwright::compile::{Prepared, prepare};
use lookwright::formats::cube::{self, Header};
use lookwright::lut::{Table3, sample};
use rayon::{ThreadPool, ThreadPoolBuilder};
use std::error::Error;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

type Outcome<T> = Result<T, Box<dyn Error + Send + Sync>>;

/// What every measurement needs.
struct Stage {
    /// Interleaved runs, odd so that there is a median.
    runs: usize,
    /// Whether everything is only seen to work, on small frames.
    testing: bool,
    folder: tempfile::TempDir,
    one: ThreadPool,
    two: ThreadPool,
    look: Prepared,
    /// The look's table.
    table: Table3,
    cube: PathBuf,
}

impl Stage {
    fn new(testing: bool) -> Outcome<Self> {
        let pool = |threads| ThreadPoolBuilder::new().num_threads(threads).build();
        let recipe = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/looks/cdl-split.toml");
        let look = prepare(&recipe, &["lut.size=33".to_owned()]).map_err(|faults| format!("{faults:?}"))?;
        let folder = tempfile::tempdir()?;
        let table = sample(&look.pipeline, 33).table;
        let cube = folder.path().join("look.cube");
        let mut bytes = Vec::new();
        cube::write(&table, &Header::default(), &mut bytes);
        fs::write(&cube, bytes)?;
        let runs = if testing { 1 } else { 3 };
        Ok(Self { runs, testing, folder, one: pool(1)?, two: pool(2)?, look, table, cube })
    }

    /// A frame's size, or a small one while testing.
    fn size(&self, size: [usize; 2]) -> [usize; 2] {
        if self.testing { [320, 180] } else { size }
    }

    /// The size of a cinema camera's frame.
    fn large(&self) -> [usize; 2] {
        self.size([4096, 2160])
    }
}

fn main() -> Outcome<()> {
    let stage = Stage::new(std::env::args().any(|argument| argument == "--test"))?;
    let wanted: Vec<String> = std::env::args().skip(1).filter(|argument| !argument.starts_with('-')).collect();
    for (name, part) in PARTS {
        if wanted.is_empty() || wanted.iter().any(|wanted| wanted == name) {
            part(&stage)?;
        }
    }
    Ok(())
}

/// A part of the bench.
type Part = fn(&Stage) -> Outcome<()>;

/// What there is, by the names that ask for it alone.
const PARTS: [(&str, Part); 5] = [
    ("table", table::on_frames),
    ("png", encoding::frames),
    ("preview", encoding::whole_processes),
    ("computed", computed::beside_writing),
    ("folders", folders::memory),
];

fn lookwright() -> Command {
    Command::new(env!("CARGO_BIN_EXE_lookwright"))
}

/// ffmpeg on one thread, without questions.
fn ffmpeg() -> Command {
    let mut command = Command::new("ffmpeg");
    command.args(["-nostdin", "-v", "error", "-y", "-threads", "1", "-filter_threads", "1"]);
    command
}

fn run(command: &mut Command) {
    match command.stdout(Stdio::null()).stderr(Stdio::null()).status() {
        Ok(status) if status.success() => {}
        other => stop(format!("{command:?}: {other:?}")),
    }
}

/// Ends the bench: a piece of work that failed has no time.
fn stop<T>(why: impl std::fmt::Display) -> T {
    panic!("{why}")
}

//! Compiling a look, as ratios to what can't be avoided: copying the finished file, the same mathematics with std's
//! functions, a program that only says hello. All figures come from one run, interleaved; the median counts.
//!
//! `cargo bench --bench compile` takes a minute or two; with `-- --test` every piece of work runs once.

mod measure;
mod package;
mod show;
mod std_peer;

use lookwright::compile::{Prepared, prepare};
use lookwright::formats::atomic::write_atomically;
use lookwright::formats::cube::{self, Header, Tables};
use lookwright::lut::{Sampled, sample};
use lookwright::verify::{compare_nodes, verify};
use measure::{Place, Work, report};
use rayon::{ThreadPool, ThreadPoolBuilder};
use std::error::Error;
use std::fs;
use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

type Outcome<T> = Result<T, Box<dyn Error + Send + Sync>>;

/// Points a side of the large table.
const SIZE: usize = 65;
/// Largest difference between the program's table and std's, in parts of the signal: a peer that computes something
/// else would be no measure. Rounding of the mathematical functions, through power laws.
const SAME_LOOK: f64 = 1e-11;

/// What every measurement needs.
struct Stage {
    /// Interleaved runs, odd so that there is a median.
    runs: usize,
    folder: tempfile::TempDir,
    one: ThreadPool,
    two: ThreadPool,
}

fn recipe(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/looks").join(name)
}

fn prepared(name: &str, size: usize) -> Outcome<Prepared> {
    prepare(&recipe(name), &[format!("lut.size={size}")]).map_err(|faults| format!("{name}: {faults:?}").into())
}

/// Whether `--test` was given: everything once, to see that it works.
fn testing() -> bool {
    std::env::args().any(|argument| argument == "--test")
}

fn main() -> Outcome<()> {
    let pool = |threads| ThreadPoolBuilder::new().num_threads(threads).build();
    let stage =
        Stage { runs: if testing() { 1 } else { 21 }, folder: tempfile::tempdir()?, one: pool(1)?, two: pool(2)? };
    sampling(&stage)?;
    phases(&stage)?;
    whole_job(&stage)?;
    show::whole_show(&stage)?;
    package::package(&stage)?;
    processes(&stage)
}

fn written(sampled: &Sampled) -> Vec<u8> {
    let mut bytes = Vec::new();
    cube::write(&sampled.table, &Header::default(), &mut bytes);
    bytes
}

/// Evaluating a look at every node, against the same equations with std's functions, one pixel after the other.
fn sampling(stage: &Stage) -> Outcome<()> {
    let look = prepared("tone-only.toml", SIZE)?;
    let ours = stage.one.install(|| sample(&look.pipeline, SIZE));
    let theirs = std_peer::table(SIZE);
    let apart = ours.table.nodes().iter().flatten().zip(theirs.iter().flatten());
    let apart = apart.map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
    if apart > SAME_LOOK {
        return Err(format!("std's table is another one: {apart:e}").into());
    }
    let works: Vec<Work<'_>> = vec![
        ("std's functions, a pixel at a time, one thread", Box::new(|| drop(black_box(std_peer::table(SIZE))))),
        ("sample, one thread", Box::new(|| drop(black_box(stage.one.install(|| sample(&look.pipeline, SIZE)))))),
        ("sample, two threads", Box::new(|| drop(black_box(stage.two.install(|| sample(&look.pipeline, SIZE)))))),
    ];
    report(&format!("Evaluating a tone look at {SIZE} points"), Place::Here, stage.runs, works)
}

/// Where the time of one compile goes, in-process on one thread, as multiples of copying the finished file.
fn phases(stage: &Stage) -> Outcome<()> {
    let [finished, scratch] = ["finished.cube", "scratch.cube"].map(|name| stage.folder.path().join(name));
    for name in ["tone-only.toml", "cdl-split.toml", "bands-p3.toml", "diffusion-half.toml"] {
        let look = prepared(name, SIZE)?;
        let exact = stage.one.install(|| sample(&look.pipeline, SIZE));
        let bytes = written(&exact);
        fs::write(&finished, &bytes)?;
        let Ok(Tables::Three(table)) = cube::read(&finished).map(|file| file.tables) else {
            return Err("what was written is not read".into());
        };
        let works: Vec<Work<'_>> = vec![
            ("copy of the finished file", Box::new(|| copy(&finished, &scratch))),
            ("parse, resolve, build", Box::new(|| drop(black_box(prepared(name, SIZE))))),
            ("sample", Box::new(|| drop(black_box(stage.one.install(|| sample(&look.pipeline, SIZE)))))),
            ("print to memory", Box::new(|| drop(black_box(written(&exact))))),
            (
                "write the file, synced and renamed",
                Box::new(|| write_atomically(&scratch, &bytes).unwrap_or_else(stop)),
            ),
            ("read and parse", Box::new(|| drop(black_box(cube::read(&finished))))),
            ("compare nodes", Box::new(|| drop(black_box(compare_nodes(&table, &exact.table))))),
            (
                "verify",
                Box::new(|| drop(black_box(stage.one.install(|| verify(&table, &look.plan, &look.pipeline, &exact))))),
            ),
            ("raw read of the file", Box::new(|| drop(black_box(fs::read(&finished))))),
        ];
        report(&format!("Phases of {name} at {SIZE} points, one thread"), Place::Here, stage.runs, works)?;
    }
    Ok(())
}

/// The whole job in-process, without and with verification.
fn whole_job(stage: &Stage) -> Outcome<()> {
    let [finished, scratch] = ["finished.cube", "scratch.cube"].map(|name| stage.folder.path().join(name));
    for size in [33, SIZE] {
        let look = prepared("tone-only.toml", size)?;
        fs::write(&finished, written(&stage.one.install(|| sample(&look.pipeline, size))))?;
        let job = |pool: &ThreadPool, verified: bool| {
            pool.install(|| look.produce(stage.folder.path(), verified).map(drop))
                .unwrap_or_else(|faults| stop(format!("{faults:?}")));
        };
        let nodes_only =
            |pool: &ThreadPool| pool.install(|| compile_and_compare(&look, size, &scratch)).unwrap_or_else(stop);
        let works: Vec<Work<'_>> = vec![
            ("copy of the finished file", Box::new(|| copy(&finished, &scratch))),
            ("sample + write, one thread", Box::new(|| job(&stage.one, false))),
            ("sample + write, two threads", Box::new(|| job(&stage.two, false))),
            ("sample + write + read back + nodes, one thread", Box::new(|| nodes_only(&stage.one))),
            ("sample + write + read back + nodes, two threads", Box::new(|| nodes_only(&stage.two))),
            ("sample + write + full verification, one thread", Box::new(|| job(&stage.one, true))),
            ("sample + write + full verification, two threads", Box::new(|| job(&stage.two, true))),
        ];
        report(&format!("The whole job at {size} points"), Place::Here, stage.runs, works)?;
    }
    Ok(())
}

fn compile_and_compare(look: &Prepared, size: usize, scratch: &Path) -> Outcome<()> {
    let exact = sample(&look.pipeline, size);
    write_atomically(scratch, &written(&exact))?;
    match cube::read(scratch).map(|file| file.tables) {
        Ok(Tables::Three(table)) if compare_nodes(&table, &exact.table).pass() => Ok(()),
        _ => Err("the file that was read back differs".into()),
    }
}

/// Whole processes, against one that only says hello.
fn processes(stage: &Stage) -> Outcome<()> {
    let folder = stage.folder.path();
    let hello = hello_world(folder)?;
    let program = Path::new(env!("CARGO_BIN_EXE_lookwright"));
    let look = recipe("tone-only.toml");
    let finished = folder.join("tone-only.cube");
    let copied = folder.join("copied.cube");
    let compile = |options: &'static [&'static str]| {
        let mut command = Command::new(program);
        command.arg("compile").arg(&look).arg("--out").arg(folder).args(["--size", "65"]).args(options);
        command
    };
    run(&mut compile(&[]));
    let works: Vec<Work<'_>> = vec![
        ("hello world", Box::new(|| run(&mut Command::new(&hello)))),
        ("lookwright --help", Box::new(|| run(Command::new(program).arg("--help")))),
        ("lookwright check", Box::new(|| run(Command::new(program).arg("check").arg(&look)))),
    ];
    report("Start of a process", Place::Processes, stage.runs * 5, works)?;
    let works: Vec<Work<'_>> = vec![
        ("cp of the finished file", Box::new(|| run(Command::new("cp").arg(&finished).arg(&copied)))),
        ("compile --no-verify --threads 1", Box::new(|| run(&mut compile(&["--no-verify", "--threads", "1"])))),
        ("compile --no-verify --threads 2", Box::new(|| run(&mut compile(&["--no-verify", "--threads", "2"])))),
        ("compile --threads 1", Box::new(|| run(&mut compile(&["--threads", "1"])))),
        ("compile --threads 2", Box::new(|| run(&mut compile(&["--threads", "2"])))),
    ];
    report(&format!("Whole processes at {SIZE} points"), Place::Processes, stage.runs, works)
}

/// A program that says hello, built as ours is: optimised.
fn hello_world(folder: &Path) -> Outcome<PathBuf> {
    let (source, program) = (folder.join("hello.rs"), folder.join("hello"));
    fs::write(&source, "fn main() { println!(\"hello\"); }\n")?;
    let status = Command::new("rustc").args(["-O", "-o"]).arg(&program).arg(&source).status()?;
    if status.success() { Ok(program) } else { Err(format!("rustc: {status}").into()) }
}

fn run(command: &mut Command) {
    match command.stdout(Stdio::null()).stderr(Stdio::null()).status() {
        Ok(status) if status.success() => {}
        other => stop(format!("{command:?}: {other:?}")),
    }
}

/// Copies a file by reading and writing it.
fn copy(from: &Path, to: &Path) {
    fs::read(from).and_then(|bytes| fs::write(to, bytes)).unwrap_or_else(stop);
}

/// Ends the bench: a piece of work that failed has no time.
fn stop<T>(why: impl std::fmt::Display) -> T {
    panic!("{why}")
}

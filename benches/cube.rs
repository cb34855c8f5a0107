//! A 65-point cube file: reading and writing, as ratios to what can't be avoided and to the obvious way.
//!
//! The ratios are medians of interleaved runs in one process; absolute times follow from criterion.

use criterion::{Criterion, Throughput};
use lookwright::formats::atomic::write_atomically;
use lookwright::formats::cube::{self, Header, Tables};
use lookwright::lut::{Domain, Table3};
use std::fmt::Write as _;
use std::fs;
use std::hint::black_box;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// Points a side.
const SIZE: usize = 65;
/// Interleaved runs, odd so that there is a median.
const RUNS: usize = 41;

/// A smooth table with all digits in use.
fn table() -> Table3 {
    let level = |index: usize| index as f64 / (SIZE - 1) as f64;
    let nodes = (0..SIZE * SIZE * SIZE)
        .map(|node| {
            let [r, g, b] = [level(node % SIZE), level(node / SIZE % SIZE), level(node / SIZE / SIZE)];
            let curve = |x: f64| x * x * (3.0 - 2.0 * x);
            [curve(0.9 * r + 0.1 * g), curve(0.05 * r + 0.95 * g), curve(0.15 * g + 0.85 * b)]
        })
        .collect();
    Table3::new(SIZE, Domain::UNIT, nodes).expect("as many nodes as the size asks for")
}

/// The obvious reader: split and parse.
fn naive_read(text: &str) -> Vec<[f64; 3]> {
    let mut rows = Vec::new();
    for line in text.lines().filter(|line| line.starts_with(|first: char| first.is_ascii_digit())) {
        let mut values = line.split_whitespace().map(|value| value.parse().expect("a number"));
        rows.push([(); 3].map(|()| values.next().expect("three numbers")));
    }
    rows
}

/// The obvious writer: one `format!` a row.
fn naive_write(table: &Table3) -> String {
    let mut text = format!("TITLE \"x\"\nLUT_3D_SIZE {SIZE}\nDOMAIN_MIN 0 0 0\nDOMAIN_MAX 1 1 1\n");
    for [r, g, b] in table.nodes() {
        let _ = writeln!(text, "{r:.6} {g:.6} {b:.6}");
    }
    text
}

/// Copies a file by reading and writing it, as a program without a system call for it has to.
fn copy(from: &Path, to: &Path) {
    fs::write(to, fs::read(from).expect("readable")).expect("writable");
}

/// A named piece of work.
type Work<'a> = (&'static str, Box<dyn FnMut() + 'a>);

/// The median time of each piece of work, all run in turn.
fn medians(works: &mut [Work<'_>]) -> Vec<Duration> {
    let mut times = vec![Vec::new(); works.len()];
    for run in 0..=RUNS {
        for ((_, work), times) in works.iter_mut().zip(&mut times) {
            let start = Instant::now();
            work();
            // The first run warms the caches.
            if run > 0 {
                times.push(start.elapsed());
            }
        }
    }
    times
        .into_iter()
        .map(|mut times| {
            times.sort();
            times[RUNS / 2]
        })
        .collect()
}

/// Prints each piece of work as a multiple of the first.
fn report(title: &str, mut works: Vec<Work<'_>>) -> io::Result<()> {
    let times = medians(&mut works);
    let mut out = io::stdout().lock();
    writeln!(out, "{title}, as multiples of the first")?;
    for ((name, _), time) in works.iter().zip(&times) {
        let ratio = time.as_secs_f64() / times[0].as_secs_f64();
        writeln!(out, "  {ratio:6.2}  {name} ({:.2} ms)", time.as_secs_f64() * 1e3)?;
    }
    Ok(())
}

fn ratios(table: &Table3, file: &Path, scratch: &Path) -> io::Result<()> {
    let bytes = fs::read(file)?;
    let text = String::from_utf8_lossy(&bytes).into_owned();
    let reading: Vec<Work<'_>> = vec![
        ("raw read of the file", Box::new(|| drop(black_box(fs::read(file))))),
        ("read", Box::new(|| drop(black_box(cube::read(file))))),
        ("parse of bytes in memory", Box::new(|| drop(black_box(cube::parse("x", &bytes))))),
        ("split and standard parse of text in memory", Box::new(|| drop(black_box(naive_read(&text))))),
    ];
    report("Reading 65 points", reading)?;
    let header = Header::default();
    let mut out = Vec::new();
    let writing: Vec<Work<'_>> = vec![
        ("copy of the file", Box::new(|| copy(file, scratch))),
        (
            "write to new memory, then to a file",
            Box::new(|| {
                let mut out = Vec::new();
                cube::write(table, &header, &mut out);
                fs::write(scratch, &out).expect("writable");
            }),
        ),
        (
            "write to used memory",
            Box::new(|| {
                out.clear();
                cube::write(table, &header, &mut out);
                black_box(&out);
            }),
        ),
        (
            "write, then whole or not at all, with sync",
            Box::new(|| {
                let mut out = Vec::new();
                cube::write(table, &header, &mut out);
                write_atomically(scratch, &out).expect("writable");
            }),
        ),
        (
            "format! to memory, then to a file",
            Box::new(|| {
                fs::write(scratch, naive_write(table)).expect("writable");
            }),
        ),
    ];
    report("Writing 65 points", writing)
}

fn absolute(table: &Table3, bytes: &[u8]) {
    let mut criterion = Criterion::default().configure_from_args().sample_size(20);
    let mut group = criterion.benchmark_group("cube of 65 points");
    group.throughput(Throughput::Bytes(bytes.len() as u64));
    group.bench_function("parse", |bencher| bencher.iter(|| cube::parse("x", black_box(bytes))));
    let mut out = Vec::new();
    group.bench_function("write", |bencher| {
        bencher.iter(|| {
            out.clear();
            cube::write(black_box(table), &Header::default(), &mut out);
        });
    });
    group.finish();
}

fn main() -> io::Result<()> {
    let table = table();
    let folder = tempfile::tempdir()?;
    let [file, scratch]: [PathBuf; 2] = ["table.cube", "scratch.cube"].map(|name| folder.path().join(name));
    let mut bytes = Vec::new();
    cube::write(&table, &Header { title: "bench".into(), ..Header::default() }, &mut bytes);
    fs::write(&file, &bytes)?;
    // A fast answer must also be the right one.
    let Ok(Tables::Three(back)) = cube::parse("x", &bytes).map(|file| file.tables) else {
        return Err(io::Error::other("what was written is not read"));
    };
    assert_eq!(back.nodes(), naive_read(&String::from_utf8_lossy(&bytes)), "not what the standard parse reads");
    ratios(&table, &file, &scratch)?;
    absolute(&table, &bytes);
    Ok(())
}

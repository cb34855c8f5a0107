//! Interleaved runs of several pieces of work, and their medians in wall-clock and processor time.

use std::fs;
use std::io::{self, Write as _};
use std::time::Instant;

/// The least time of one measurement, seconds: the system counts processor time in ticks of a few milliseconds.
const LEAST: f64 = 0.04;

/// A named piece of work.
pub type Work<'a> = (&'static str, Box<dyn FnMut() + 'a>);

/// Seconds of one piece of work.
#[derive(Clone, Copy, Debug, Default)]
struct Spent {
    wall: f64,
    /// Of all threads of this process; `None` where the system doesn't tell.
    processor: Option<f64>,
}

/// Processor time of all threads of this process, seconds: the first figure of Linux's `schedstat`, in nanoseconds.
fn processor_time() -> Option<f64> {
    let mut sum = 0.0;
    for task in fs::read_dir("/proc/self/task").ok()? {
        let text = fs::read_to_string(task.ok()?.path().join("schedstat")).ok()?;
        sum += text.split_whitespace().next()?.parse::<f64>().ok()? * 1e-9;
    }
    Some(sum)
}

/// Time of one piece of work, the mean of as many as were asked for.
fn spend(work: &mut dyn FnMut(), times: u32) -> Spent {
    let (start, before) = (Instant::now(), processor_time());
    for _ in 0..times {
        work();
    }
    let wall = start.elapsed().as_secs_f64() / f64::from(times);
    let processor = before.and_then(|before| Some((processor_time()? - before) / f64::from(times)));
    Spent { wall, processor }
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

/// Where the work happens.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// In this process, whose processor time is known.
    Here,
    /// In processes of its own.
    Processes,
}

/// Runs all works in turn, `runs` times after one that warms the caches, and prints each as a multiple of the first.
pub fn report(
    title: &str,
    place: Place,
    runs: usize,
    mut works: Vec<Work<'_>>,
) -> Result<(), Box<dyn std::error::Error + Send + Sync>> {
    // With one run, nothing is measured: it is only seen to work.
    let repeats: Vec<u32> = works
        .iter_mut()
        .map(|(_, work)| {
            let once = spend(work, 1).wall;
            if runs > 1 && place == Place::Here { (LEAST / once).ceil().clamp(1.0, 200.0) as u32 } else { 1 }
        })
        .collect();
    let mut spent = vec![Vec::new(); works.len()];
    for _ in 0..runs {
        for (((_, work), spent), repeats) in works.iter_mut().zip(&mut spent).zip(&repeats) {
            spent.push(spend(work, *repeats));
        }
    }
    let wall: Vec<f64> = spent.iter().map(|all| median(all.iter().map(|one| one.wall).collect())).collect();
    let processor: Vec<Option<f64>> =
        spent.iter().map(|all| all.iter().map(|one| one.processor).collect::<Option<Vec<f64>>>().map(median)).collect();
    let mut out = io::stdout().lock();
    writeln!(out, "\n{title}: multiples of the first, medians of {runs} runs\n   wall  processor")?;
    for (index, (name, _)) in works.iter().enumerate() {
        let share = match (processor[index], processor[0]) {
            (Some(time), Some(first)) if place == Place::Here && first > 0.0 => format!("{:9.2}", time / first),
            _ => format!("{:>9}", "–"),
        };
        writeln!(out, "{:7.2}  {share}  {name} ({:.2} ms)", wall[index] / wall[0], wall[index] * 1e3)?;
    }
    Ok(())
}

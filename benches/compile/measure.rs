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
pub struct Spent {
    pub wall: f64,
    /// Of all threads of this process and of the processes that it waited for; `None` where the system doesn't tell.
    pub processor: Option<f64>,
}

/// Ticks of a second in which Linux counts the time of processes that have ended (proc_pid_stat(5); 100 on every x86-64 and
/// ARM machine that this was run on).
const TICKS: f64 = 100.0;
/// The least processor time of the first of several processes that makes a ratio, seconds: ten ticks.
const LEAST_OF_PROCESSES: f64 = 0.1;

/// Processor time of all threads of this process, seconds: the first figure of Linux's `schedstat`, in nanoseconds; and of all
/// processes that it waited for, in ticks.
fn processor_time() -> Option<f64> {
    let mut sum = 0.0;
    for task in fs::read_dir("/proc/self/task").ok()? {
        let text = fs::read_to_string(task.ok()?.path().join("schedstat")).ok()?;
        sum += text.split_whitespace().next()?.parse::<f64>().ok()? * 1e-9;
    }
    // Behind the name, which may hold anything, the fields 3 and on: 16 and 17 are those of children.
    let text = fs::read_to_string("/proc/self/stat").ok()?;
    let fields: Vec<&str> = text.rsplit_once(')')?.1.split_whitespace().collect();
    for field in [16, 17] {
        sum += fields.get(field - 3)?.parse::<f64>().ok()? / TICKS;
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

/// Runs all works in turn, `runs` times after one that warms the caches; the medians of each.
pub fn medians(place: Place, runs: usize, works: &mut [Work<'_>]) -> Vec<Spent> {
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
    spent
        .iter()
        .map(|all| Spent {
            wall: median(all.iter().map(|one| one.wall).collect()),
            processor: all.iter().map(|one| one.processor).collect::<Option<Vec<f64>>>().map(median),
        })
        .collect()
}

/// Runs all works in turn as [`medians`] does, and prints each as a multiple of the first.
pub fn report(
    title: &str,
    place: Place,
    runs: usize,
    mut works: Vec<Work<'_>>,
) -> Result<(), Box<dyn std::error::Error + Send + Sync>> {
    let spent = medians(place, runs, &mut works);
    let named: Vec<(&str, Spent)> = works.iter().map(|(name, _)| *name).zip(spent).collect();
    tell(title, place, runs, &named)
}

/// Prints each as a multiple of the first.
pub fn tell(
    title: &str,
    place: Place,
    runs: usize,
    named: &[(&str, Spent)],
) -> Result<(), Box<dyn std::error::Error + Send + Sync>> {
    let Some((_, one)) = named.first() else { return Ok(()) };
    let least = if place == Place::Here { 0.0 } else { LEAST_OF_PROCESSES };
    let mut out = io::stdout().lock();
    writeln!(out, "\n{title}: multiples of the first, medians of {runs} runs\n   wall  processor")?;
    for (name, spent) in named {
        let share = match (spent.processor, one.processor) {
            (Some(time), Some(first)) if first > least => format!("{:9.2}", time / first),
            _ => format!("{:>9}", "–"),
        };
        writeln!(out, "{:7.2}  {share}  {name} ({:.2} ms)", spent.wall / one.wall, spent.wall * 1e3)?;
    }
    Ok(())
}

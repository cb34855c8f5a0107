//! Interleaved runs of several pieces of work, and their medians in wall-clock and processor time.

use std::fs;
use std::io::{self, Write as _};
use std::time::Instant;

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

fn once(work: &mut dyn FnMut()) -> Spent {
    let (start, before) = (Instant::now(), processor_time());
    work();
    let wall = start.elapsed().as_secs_f64();
    let processor = before.and_then(|before| Some(processor_time()? - before));
    Spent { wall, processor }
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

/// Runs all works in turn, `runs` times after one that warms the caches, and prints each as a multiple of the first.
pub fn report(title: &str, runs: usize, mut works: Vec<Work<'_>>) -> Result<(), Box<dyn std::error::Error + Send + Sync>> {
    let mut spent = vec![Vec::new(); works.len()];
    for run in 0..=runs {
        for ((_, work), spent) in works.iter_mut().zip(&mut spent) {
            let one = once(work);
            if run > 0 {
                spent.push(one);
            }
        }
    }
    let wall: Vec<f64> = spent.iter().map(|all| median(all.iter().map(|one| one.wall).collect())).collect();
    let processor: Vec<Option<f64>> =
        spent.iter().map(|all| all.iter().map(|one| one.processor).collect::<Option<Vec<f64>>>().map(median)).collect();
    let mut out = io::stdout().lock();
    writeln!(out, "\n{title}: multiples of the first, medians of {runs} runs\n   wall  processor")?;
    for (index, (name, _)) in works.iter().enumerate() {
        let share = match (processor[index], processor[0]) {
            // Work that happens in another process is not seen here.
            (Some(time), Some(first)) if first > 0.5 * wall[0] => format!("{:9.2}", time / first),
            _ => format!("{:>9}", "–"),
        };
        writeln!(out, "{:7.2}  {share}  {name} ({:.2} ms)", wall[index] / wall[0], wall[index] * 1e3)?;
    }
    Ok(())
}

//! Progress on stderr: a bar with the time that is left for people, one JSON object a line for programs.

use super::console::Console;
use indicatif::{ProgressBar, ProgressStyle};
use serde_json::{Value, json};
use std::path::Path;
use std::sync::Mutex;
use std::time::{Duration, Instant};

/// Before this much of the work is done, nobody knows how long it takes.
const FIRST_GUESS_SHARE: f64 = 0.02;
/// Nor before this time: the first files wake up disk and memory.
const FIRST_GUESS: Duration = Duration::from_secs(2);

/// Watches work whose pieces cost different amounts.
pub struct Progress {
    bar: ProgressBar,
    json: bool,
    started: Instant,
    state: Mutex<State>,
}

#[derive(Default)]
struct State {
    costs: Vec<u64>,
    total: u64,
    done: u64,
    files: usize,
}

impl Progress {
    /// Nothing is shown before [`Self::begin`].
    pub fn new(console: &Console) -> Self {
        let bar = if console.is_json() { ProgressBar::hidden() } else { ProgressBar::new(0) };
        if let Ok(style) = ProgressStyle::with_template("  {bar:30} {msg}") {
            bar.set_style(style);
        }
        Self { bar, json: console.is_json(), started: Instant::now(), state: Mutex::default() }
    }

    /// The pieces, by what each costs beside the others.
    pub fn begin(&self, costs: &[u64]) {
        let mut state = self.state.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        *state = State { costs: costs.to_vec(), total: costs.iter().sum(), ..State::default() };
        self.bar.set_length(state.total);
        self.event(json!({"event": "started", "files": costs.len()}));
    }

    /// One piece is done.
    pub fn done(&self, piece: usize, status: &str, file: &Path) {
        let mut state = self.state.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        state.files += 1;
        state.done += state.costs.get(piece).copied().unwrap_or(0);
        let left = remaining(self.started.elapsed(), state.done, state.total);
        let of = state.costs.len();
        self.bar.set_position(state.done);
        let words = left.map_or("estimating".to_owned(), |left| format!("about {} left", said(left)));
        self.bar.set_message(format!("{} of {of} files, {words}", state.files));
        let seconds = left.map(|left| (left.as_secs_f64() * 10.0).round() / 10.0);
        self.event(json!({
            "event": "file", "status": status, "file": file, "done": state.files, "of": of,
            "remaining_seconds": seconds,
        }));
    }

    /// The work is over.
    pub fn end(&self, stopped: bool) {
        self.bar.finish_and_clear();
        self.event(json!({"event": if stopped { "stopped" } else { "finished" },
            "seconds": (self.started.elapsed().as_secs_f64() * 10.0).round() / 10.0}));
    }

    fn event(&self, event: Value) {
        if self.json {
            use std::io::Write;
            let _ = writeln!(std::io::stderr().lock(), "{event}");
        }
    }
}

/// What is left, if it goes on as it went so far.
fn remaining(elapsed: Duration, done: u64, total: u64) -> Option<Duration> {
    let share = done as f64 / total.max(1) as f64;
    if done >= total {
        return Some(Duration::ZERO);
    }
    (share >= FIRST_GUESS_SHARE && elapsed >= FIRST_GUESS).then(|| elapsed.mul_f64((1.0 - share) / share))
}

/// A time as people say it: nobody waits for seconds when it takes minutes.
fn said(time: Duration) -> String {
    match time.as_secs() {
        0..=9 => format!("{} s", time.as_secs() + 1),
        seconds @ 10..=99 => format!("{} s", seconds.next_multiple_of(5)),
        seconds => format!("{} min", (seconds + 30) / 60),
    }
}

#[cfg(test)]
mod tests {
    use super::{remaining, said};
    use std::time::Duration;

    #[test]
    fn the_time_that_is_left_follows_the_cost_that_is_left() {
        let seconds = Duration::from_secs;
        assert_eq!(remaining(seconds(1), 50, 100), None, "too early to say");
        assert_eq!(remaining(seconds(10), 1, 100), None, "too little to say");
        assert_eq!(remaining(seconds(10), 25, 100), Some(seconds(30)));
        assert_eq!(remaining(seconds(10), 100, 100), Some(seconds(0)));
    }

    #[test]
    fn times_are_said_as_people_say_them() {
        assert_eq!(said(Duration::from_secs(4)), "5 s");
        assert_eq!(said(Duration::from_secs(41)), "45 s");
        assert_eq!(said(Duration::from_secs(200)), "3 min");
    }
}

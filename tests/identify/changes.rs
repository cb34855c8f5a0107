//! What may be done to a file on its way, each with its name.

use crate::show::{file_of, table};
use lookwright::formats::cube::{CubeFile, Header};
use lookwright::identify::Candidate;
use lookwright::lut::{Interpolation, Table3, sample};

/// From a look and its written table to the numbers of a file, and the decimals that they are printed in.
type Making = Box<dyn Fn(&Candidate, &Table3) -> (Table3, usize)>;

/// Something done to a file.
pub struct Change {
    /// What it belongs to in the count.
    pub kind: &'static str,
    pub name: String,
    /// Tables that differ by less than this are equal in the file that comes out.
    pub step: f64,
    make: Making,
}

impl Change {
    /// The file, without a header that would give it away.
    pub fn make(&self, look: &Candidate, written: &Table3) -> CubeFile {
        let (table, decimals) = (self.make)(look, written);
        file_of(&table, &Header { decimals, ..Header::default() })
    }
}

const TETRAHEDRAL: Interpolation = Interpolation::Tetrahedral;

/// SMPTE: narrow range is 64..940 of 1023.
fn squeeze(value: f64) -> f64 {
    (64.0 + 876.0 * value) / 1023.0
}

fn stretch(value: f64) -> f64 {
    (1023.0 * value - 64.0) / 876.0
}

/// As a 16-bit float of IEEE 754 holds it: eleven binary digits.
fn half(value: f64) -> f64 {
    let mut step = 2.0_f64.recip() / 1024.0;
    let mut top = 1.0;
    while value < top / 2.0 && top > 1e-4 {
        top /= 2.0;
        step /= 2.0;
    }
    (value / step).round() * step
}

/// As a file with six decimals holds it.
fn printed(table: Table3) -> Table3 {
    rounded(table, 1e6)
}

fn rounded(table: Table3, steps: f64) -> Table3 {
    each(table, |value| (value * steps).round() / steps)
}

fn each(mut table: Table3, of: impl Fn(f64) -> f64) -> Table3 {
    table.nodes_mut().iter_mut().flatten().for_each(|value| *value = of(*value));
    table
}

pub fn resample(from: &Table3, size: usize, interpolation: Interpolation) -> Table3 {
    printed(table(size, |input| from.sample(input, interpolation)))
}

/// A file for other input levels: `to` gives the old input for a new one.
fn input(from: &Table3, size: usize, interpolation: Interpolation, to: fn(f64) -> f64) -> Table3 {
    printed(table(size, |input| from.sample(input.map(to), interpolation)))
}

/// All of them.
pub fn changes() -> Vec<Change> {
    let mut changes = Vec::new();
    let mut add = |kind: &'static str, name: String, step: f64, make: Making| {
        changes.push(Change { kind, name, step, make });
    };
    add("header stripped", "stripped".into(), 1e-6, Box::new(|_, t| (t.clone(), 6)));
    for decimals in [3, 4, 5, 8] {
        let step = (0..decimals.min(6)).fold(1.0, |step, _| step / 10.0);
        add("re-formatted", format!("{decimals} decimals"), step, Box::new(move |_, t| (t.clone(), decimals)));
    }
    add("re-formatted", "10-bit codes".into(), 1.0 / 1023.0, Box::new(|_, t| (rounded(t.clone(), 1023.0), 7)));
    add(
        "re-formatted",
        "cut to 4 decimals".into(),
        1e-4,
        Box::new(|_, t| (each(t.clone(), |v| (v * 1e4 + 1e-6).floor() / 1e4), 4)),
    );
    for size in [9, 17, 25, 32, 33, 65] {
        for interpolation in Interpolation::ALL {
            let name = format!("to {size} points, {}", interpolation.id());
            add("re-sampled", name, 1e-6, Box::new(move |_, t| (resample(t, size, interpolation), 6)));
        }
    }
    add("compiled at another size", "compiled at 21".into(), 1e-6, Box::new(|c, _| (sample(&c.pipeline, 21).table, 6)));
    add("output re-levelled", "full to legal".into(), 1e-6, Box::new(|_, t| (each(t.clone(), squeeze), 6)));
    add("output re-levelled", "legal to full".into(), 1e-6, Box::new(|_, t| (each(t.clone(), stretch), 6)));
    add(
        "output re-levelled",
        "legal to full, cut".into(),
        1e-6,
        Box::new(|_, t| (each(t.clone(), |v| stretch(v).clamp(0.0, 1.0)), 6)),
    );
    add(
        "output re-levelled",
        "8-bit full to legal".into(),
        1e-6,
        Box::new(|_, t| (each(t.clone(), |v| (16.0 + 219.0 * v) / 255.0), 6)),
    );
    for interpolation in Interpolation::ALL {
        let id = interpolation.id();
        add(
            "input re-levelled",
            format!("full to legal, {id}"),
            1e-6,
            Box::new(move |_, t| (input(t, t.size(), interpolation, stretch), 6)),
        );
        add(
            "input re-levelled",
            format!("legal to full, {id}"),
            1e-6,
            Box::new(move |_, t| (input(t, t.size(), interpolation, squeeze), 6)),
        );
        add(
            "combination",
            format!("to 17, then to 33, {id}"),
            1e-6,
            Box::new(move |_, t| (resample(&resample(t, 17, interpolation), 33, interpolation), 6)),
        );
        add(
            "combination",
            format!("to 20, then to 33, {id}"),
            1e-6,
            Box::new(move |_, t| (resample(&resample(t, 20, interpolation), 33, TETRAHEDRAL), 6)),
        );
        add(
            "combination",
            format!("to 33, output legal, 4 decimals, {id}"),
            1e-4,
            Box::new(move |_, t| (each(resample(t, 33, interpolation), squeeze), 4)),
        );
        add(
            "combination",
            format!("input to full levels, then to 33, {id}"),
            1e-6,
            Box::new(move |_, t| (resample(&input(t, t.size(), interpolation, squeeze), 33, TETRAHEDRAL), 6)),
        );
        add(
            "combination",
            format!("to 32, input to legal levels, output legal, {id}"),
            1e-6,
            Box::new(move |_, t| {
                (each(input(&resample(t, 32, interpolation), 32, interpolation, stretch), squeeze), 6)
            }),
        );
        add(
            "combination",
            format!("10-bit codes, then to 33, {id}"),
            1.0 / 1023.0,
            Box::new(move |_, t| (resample(&rounded(t.clone(), 1023.0), 33, interpolation), 6)),
        );
    }
    add(
        "combination",
        "4 decimals, then output legal".into(),
        1e-4,
        Box::new(|_, t| (each(rounded(t.clone(), 1e4), squeeze), 6)),
    );
    add(
        "combination",
        "half floats, then output legal".into(),
        5e-4,
        Box::new(|_, t| (each(each(t.clone(), half), squeeze), 6)),
    );
    add("combination", "to 25, 3 decimals".into(), 1e-3, Box::new(|_, t| (resample(t, 25, TETRAHEDRAL), 3)));
    add(
        "combination",
        "input and output to legal levels".into(),
        1e-6,
        Box::new(|_, t| (each(input(t, t.size(), TETRAHEDRAL, stretch), squeeze), 6)),
    );
    changes
}

//! Counting the pixels of a frame, the same with any number of threads.

use super::super::{CODE16_MAX, Frame, Samples};
use crate::maths::Rgb;
use rayon::prelude::*;
use serde::ser::SerializeStruct;
use serde::{Serialize, Serializer};

/// Counts in columns and rows. Serialised as its size and a list of `[column, row, count]` without those of 0.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Grid {
    columns: usize,
    rows: usize,
    /// Column by column, each from its lowest row up.
    counts: Vec<u32>,
}

impl Grid {
    pub(super) fn new(columns: usize, rows: usize) -> Self {
        Self { columns, rows, counts: vec![0; columns * rows] }
    }

    /// Columns, counted from the left.
    #[must_use]
    pub fn columns(&self) -> usize {
        self.columns
    }

    /// Rows, counted from below.
    #[must_use]
    pub fn rows(&self) -> usize {
        self.rows
    }

    /// The count at a column from the left and a row from below; 0 outside.
    #[must_use]
    pub fn at(&self, column: usize, row: usize) -> u32 {
        if column < self.columns && row < self.rows { self.counts[column * self.rows + row] } else { 0 }
    }

    /// The sum of all counts.
    #[must_use]
    pub fn sum(&self) -> u64 {
        self.counts.iter().copied().map(u64::from).sum()
    }

    pub(super) fn add(&mut self, column: usize, row: usize) {
        self.counts[column * self.rows + row] += 1;
    }

    pub(super) fn column_slices(&mut self) -> &mut [u32] {
        &mut self.counts
    }

    pub(super) fn merge(mut self, other: &Self) -> Self {
        for (own, more) in self.counts.iter_mut().zip(&other.counts) {
            *own += more;
        }
        self
    }
}

impl Serialize for Grid {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let places = self.counts.iter().enumerate().filter(|(_, count)| **count > 0);
        let counts: Vec<[u64; 3]> = places
            .map(|(place, count)| [(place / self.rows) as u64, (place % self.rows) as u64, u64::from(*count)])
            .collect();
        let mut fields = serializer.serialize_struct("Grid", 3)?;
        fields.serialize_field("columns", &self.columns)?;
        fields.serialize_field("rows", &self.rows)?;
        fields.serialize_field("counts", &counts)?;
        fields.end()
    }
}

/// A sample of a frame as a signal.
pub(super) trait Sample: Copy + Sync {
    fn signal(self) -> f64;
}

impl Sample for u16 {
    fn signal(self) -> f64 {
        f64::from(self) / CODE16_MAX
    }
}

impl Sample for f32 {
    fn signal(self) -> f64 {
        f64::from(self)
    }
}

/// Shares of a frame that are counted apart and added up at the end.
const SHARES: usize = 8;

/// Counts all pixels: `count` takes each into a tally, `merge` adds two tallies up. Sums of whole numbers: the order is of no consequence.
pub(super) fn tally<T: Send>(
    frame: &Frame,
    empty: impl Fn() -> T + Sync,
    count: impl Fn(&mut T, Rgb) + Sync,
    merge: impl Fn(T, T) -> T + Sync + Send,
) -> T {
    let channels = frame.channels();
    let tallies = match frame.samples() {
        Samples::Codes(codes) => in_shares(codes, channels, &empty, &count),
        Samples::Floats(values) => in_shares(values, channels, &empty, &count),
    };
    tallies.into_iter().reduce(merge).unwrap_or_else(empty)
}

fn in_shares<T: Send, S: Sample>(
    samples: &[S],
    channels: usize,
    empty: &(impl Fn() -> T + Sync),
    count: &(impl Fn(&mut T, Rgb) + Sync),
) -> Vec<T> {
    let share = (samples.len() / channels).div_ceil(SHARES) * channels;
    let counted = |share: &[S]| {
        let mut tally = empty();
        for pixel in share.chunks_exact(channels) {
            count(&mut tally, [pixel[0].signal(), pixel[1].signal(), pixel[2].signal()]);
        }
        tally
    };
    samples.par_chunks(share).map(counted).collect()
}

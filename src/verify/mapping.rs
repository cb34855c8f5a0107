//! Any cube file as a function: from its input to its output.

use crate::formats::cube::Tables;
use crate::lut::{Domain, Interpolation};
use crate::maths::Rgb;

/// A file's table or tables, read as a device with some interpolation reads them.
#[derive(Clone, Copy, Debug)]
pub struct Mapping<'a> {
    tables: &'a Tables,
    interpolation: Interpolation,
}

impl<'a> Mapping<'a> {
    /// The function of a file.
    #[must_use]
    pub fn new(tables: &'a Tables, interpolation: Interpolation) -> Self {
        Self { tables, interpolation }
    }

    /// The tables.
    #[must_use]
    pub fn tables(&self) -> &'a Tables {
        self.tables
    }

    /// The value at `input`; inputs outside the domain are held to it.
    #[must_use]
    pub fn apply(&self, input: Rgb) -> Rgb {
        self.tables.sample(input, self.interpolation)
    }

    /// The input range.
    #[must_use]
    pub fn domain(&self) -> &'a Domain {
        self.tables.domain()
    }

    /// Points an axis of the first table that the input meets.
    #[must_use]
    pub fn points(&self) -> usize {
        match self.tables {
            Tables::One(table) => table.rows().len(),
            Tables::Three(table) => table.size(),
            Tables::Shaped { shaper, .. } => shaper.rows().len(),
        }
    }

    /// Every number of the file's last table, row by row.
    #[must_use]
    pub fn rows(&self) -> &'a [Rgb] {
        match self.tables {
            Tables::One(table) => table.rows(),
            Tables::Three(table) | Tables::Shaped { table, .. } => table.nodes(),
        }
    }

    /// Inputs of up to `most` nodes along the grey axis, first and last among them.
    #[must_use]
    pub fn grey_inputs(&self, most: usize) -> Vec<Rgb> {
        let (domain, last) = (self.domain(), self.points() - 1);
        let count = self.points().min(most.max(2));
        let place = |step: usize| (step * last / (count - 1)) as f64 / last as f64;
        (0..count)
            .map(|step| [0, 1, 2].map(|axis| domain.min[axis] + (domain.max[axis] - domain.min[axis]) * place(step)))
            .collect()
    }
}

//! Lookup tables in memory.

use crate::maths::Rgb;

/// The input range that a table spans, per channel: the first node lies at `min`, the last at `max`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Domain {
    /// Input of the first node of each axis.
    pub min: Rgb,
    /// Input of the last node of each axis; above `min` in every channel.
    pub max: Rgb,
}

impl Domain {
    /// 0..1 in every channel, the only domain that this program writes.
    pub const UNIT: Self = Self { min: [0.0; 3], max: [1.0; 3] };
}

/// A 3D table of `size`³ nodes, red fastest: node (r, g, b) stands at `r + size·g + size²·b`.
#[derive(Clone, Debug, PartialEq)]
pub struct Table3 {
    size: usize,
    domain: Domain,
    nodes: Vec<Rgb>,
}

impl Table3 {
    /// A table from its nodes, red fastest. `None` if there are not `size`³ of them or `size` is below 2.
    #[must_use]
    pub fn new(size: usize, domain: Domain, nodes: Vec<Rgb>) -> Option<Self> {
        (size >= 2 && nodes.len() == size.checked_pow(3)?).then_some(Self { size, domain, nodes })
    }

    /// Points a side.
    #[must_use]
    pub fn size(&self) -> usize {
        self.size
    }

    /// The input range.
    #[must_use]
    pub fn domain(&self) -> &Domain {
        &self.domain
    }

    /// All nodes, red fastest.
    #[must_use]
    pub fn nodes(&self) -> &[Rgb] {
        &self.nodes
    }

    /// All nodes, red fastest, to be changed in place.
    pub fn nodes_mut(&mut self) -> &mut [Rgb] {
        &mut self.nodes
    }

    /// The node at the given indices, each below [`Self::size`].
    #[must_use]
    pub fn node(&self, r: usize, g: usize, b: usize) -> Rgb {
        self.nodes[r + self.size * (g + self.size * b)]
    }
}

/// A 1D table: each channel is read from its own column.
#[derive(Clone, Debug, PartialEq)]
pub struct Table1 {
    domain: Domain,
    rows: Vec<Rgb>,
}

impl Table1 {
    /// A table from its rows. `None` if there are fewer than two.
    #[must_use]
    pub fn new(domain: Domain, rows: Vec<Rgb>) -> Option<Self> {
        (rows.len() >= 2).then_some(Self { domain, rows })
    }

    /// The input range.
    #[must_use]
    pub fn domain(&self) -> &Domain {
        &self.domain
    }

    /// All rows.
    #[must_use]
    pub fn rows(&self) -> &[Rgb] {
        &self.rows
    }
}

/// The table or tables of a cube file.
#[derive(Clone, Debug, PartialEq)]
pub enum Tables {
    /// A 1D table.
    One(Table1),
    /// A 3D table.
    Three(Table3),
    /// The combined dialect: a 1D table whose output goes to a 3D one.
    Shaped {
        /// Applied first.
        shaper: Table1,
        /// Applied to what the shaper gives.
        table: Table3,
    },
}

impl Tables {
    /// The input range of the table that the input meets first.
    #[must_use]
    pub fn domain(&self) -> &Domain {
        match self {
            Self::One(table) => table.domain(),
            Self::Three(table) => table.domain(),
            Self::Shaped { shaper, .. } => shaper.domain(),
        }
    }
}

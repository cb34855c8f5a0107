//! A row of pixels in separate channel arrays.

use crate::maths::Rgb;

/// Pixels in three arrays of one length, reused from row to row.
#[derive(Clone, Debug, Default)]
pub struct Row {
    red: Vec<f64>,
    green: Vec<f64>,
    blue: Vec<f64>,
}

impl Row {
    /// A black row.
    #[must_use]
    pub fn with_length(length: usize) -> Self {
        Self { red: vec![0.0; length], green: vec![0.0; length], blue: vec![0.0; length] }
    }

    /// Fills the row: red runs along `red`, green and blue stand still.
    pub fn fill(&mut self, red: &[f64], green: f64, blue: f64) {
        self.red.clear();
        self.red.extend_from_slice(red);
        self.green.clear();
        self.green.resize(red.len(), green);
        self.blue.clear();
        self.blue.resize(red.len(), blue);
    }

    /// Replaces every pixel by what `change` makes of it.
    pub fn each(&mut self, mut change: impl FnMut(Rgb) -> Rgb) {
        for ((r, g), b) in self.red.iter_mut().zip(&mut self.green).zip(&mut self.blue) {
            [*r, *g, *b] = change([*r, *g, *b]);
        }
    }

    /// The pixel at `index`, which must lie in the row.
    #[must_use]
    pub fn pixel(&self, index: usize) -> Rgb {
        [self.red[index], self.green[index], self.blue[index]]
    }

    /// All pixels in order.
    pub fn pixels(&self) -> impl Iterator<Item = Rgb> + '_ {
        self.red.iter().zip(&self.green).zip(&self.blue).map(|((r, g), b)| [*r, *g, *b])
    }
}

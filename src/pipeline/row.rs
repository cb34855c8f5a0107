//! A row of pixels in separate channel arrays.

use crate::maths::Rgb;

/// Pixels in three arrays of one length, reused from row to row.
#[derive(Clone, Debug, Default)]
pub struct Row {
    red: Vec<f64>,
    green: Vec<f64>,
    blue: Vec<f64>,
    scratch: Scratch,
}

/// Room for what a block works out on the way.
#[derive(Clone, Debug, Default)]
pub(super) struct Scratch {
    /// One value for each pixel.
    pub(super) values: Vec<f64>,
    /// Values of some pixels only.
    pub(super) some: Vec<f64>,
    /// Which pixels those are.
    pub(super) places: Vec<usize>,
}

impl Row {
    /// Fills the row: red runs along `red`, green and blue stand still.
    pub fn fill(&mut self, red: &[f64], green: f64, blue: f64) {
        self.red.clear();
        self.red.extend_from_slice(red);
        self.green.clear();
        self.green.resize(red.len(), green);
        self.blue.clear();
        self.blue.resize(red.len(), blue);
    }

    /// Fills the row with pixels.
    pub fn fill_pixels(&mut self, pixels: impl Iterator<Item = Rgb>) {
        self.red.clear();
        self.green.clear();
        self.blue.clear();
        for [r, g, b] in pixels {
            self.red.push(r);
            self.green.push(g);
            self.blue.push(b);
        }
    }

    /// The channels, all of one length.
    pub(crate) fn channels(&mut self) -> [&mut [f64]; 3] {
        [&mut self.red, &mut self.green, &mut self.blue]
    }

    /// The channels, and room to work in.
    pub(super) fn parts(&mut self) -> ([&mut [f64]; 3], &mut Scratch) {
        ([&mut self.red, &mut self.green, &mut self.blue], &mut self.scratch)
    }

    /// Replaces every pixel by what `change` makes of it.
    #[inline]
    pub fn each(&mut self, mut change: impl FnMut(Rgb) -> Rgb) {
        for ((r, g), b) in self.red.iter_mut().zip(&mut self.green).zip(&mut self.blue) {
            [*r, *g, *b] = change([*r, *g, *b]);
        }
    }

    /// All pixels in order.
    pub fn pixels(&self) -> impl Iterator<Item = Rgb> + '_ {
        self.red.iter().zip(&self.green).zip(&self.blue).map(|((r, g), b)| [*r, *g, *b])
    }
}

impl Scratch {
    /// The brightest channel of each pixel, into [`Self::values`].
    pub(super) fn brightest(&mut self, [red, green, blue]: [&[f64]; 3]) {
        self.values.clear();
        self.values.extend(red.iter().zip(green).zip(blue).map(|((r, g), b)| r.max(*g).max(*b)));
    }
}

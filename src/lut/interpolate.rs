//! How a device reads between the nodes of a 3D table.

use super::Table3;
use crate::maths::Rgb;

/// How a value between nodes is found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Interpolation {
    /// From the four corners of the tetrahedron of the cell that the colour lies in.
    Tetrahedral,
    /// From all eight corners of the cell.
    Trilinear,
}

impl Table3 {
    /// The value at an input, which is clamped to the domain (NaN to its lower end).
    #[must_use]
    pub fn sample(&self, input: Rgb, interpolation: Interpolation) -> Rgb {
        let split = [0, 1, 2].map(|axis| self.split(input[axis], axis));
        let corner = split.map(|(index, _)| index);
        let fraction = split.map(|(_, fraction)| fraction);
        match interpolation {
            Interpolation::Tetrahedral => self.tetrahedral(corner, fraction),
            Interpolation::Trilinear => self.trilinear(corner, fraction),
        }
    }

    fn split(&self, value: f64, axis: usize) -> (usize, f64) {
        let domain = self.domain();
        let unit = (value - domain.min[axis]) / (domain.max[axis] - domain.min[axis]);
        let cells = self.size() - 1;
        let position = if unit.is_nan() { 0.0 } else { unit.clamp(0.0, 1.0) } * cells as f64;
        let index = (position as usize).min(cells - 1);
        (index, position - index as f64)
    }

    fn tetrahedral(&self, mut corner: [usize; 3], fraction: Rgb) -> Rgb {
        let mut axes = [0, 1, 2];
        axes.sort_by(|&a, &b| fraction[b].total_cmp(&fraction[a]));
        let mut weight = 1.0 - fraction[axes[0]];
        let mut sum = self.node(corner[0], corner[1], corner[2]).map(|value| value * weight);
        for (step, &axis) in axes.iter().enumerate() {
            corner[axis] += 1;
            weight = fraction[axis] - axes.get(step + 1).map_or(0.0, |&next| fraction[next]);
            let node = self.node(corner[0], corner[1], corner[2]);
            sum = [0, 1, 2].map(|channel| sum[channel] + node[channel] * weight);
        }
        sum
    }

    fn trilinear(&self, corner: [usize; 3], fraction: Rgb) -> Rgb {
        let mut sum = [0.0; 3];
        for vertex in 0..8 {
            let step = [vertex & 1, vertex >> 1 & 1, vertex >> 2];
            let weights = [0, 1, 2].map(|axis| if step[axis] == 1 { fraction[axis] } else { 1.0 - fraction[axis] });
            let node = self.node(corner[0] + step[0], corner[1] + step[1], corner[2] + step[2]);
            let weight = weights[0] * weights[1] * weights[2];
            sum = [0, 1, 2].map(|channel| sum[channel] + node[channel] * weight);
        }
        sum
    }
}

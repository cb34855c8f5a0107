//! The cells of a table that probes lie in, held against the look.

use crate::lut::{Domain, Table3};
use crate::maths::Rgb;
use crate::pipeline::{Clips, Pipeline, Row};

/// What a pipeline gives for inputs at the LUT stage.
pub(super) fn evaluate(pipeline: &Pipeline, inputs: &[Rgb]) -> Vec<Rgb> {
    let mut row = Row::default();
    row.fill_pixels(inputs.iter().copied());
    pipeline.evaluate_row(&mut row, &mut Clips::default());
    row.pixels().collect()
}

/// A cell: the place of its lowest node, and what its corners stand for.
struct Cell {
    lowest: [usize; 3],
    domain: Domain,
}

impl Cell {
    fn around(input: Rgb, domain: &Domain, size: usize) -> Self {
        let last = (size - 1) as f64;
        let lowest = [0, 1, 2].map(|i| {
            let place = (input[i] - domain.min[i]) / (domain.max[i] - domain.min[i]) * last;
            (place.clamp(0.0, last - 1.0)) as usize
        });
        let at = |add: usize| {
            [0, 1, 2].map(|i| domain.min[i] + (domain.max[i] - domain.min[i]) * ((lowest[i] + add) as f64 / last))
        };
        Self { lowest, domain: Domain { min: at(0), max: at(1) } }
    }

    /// Its eight corners, red fastest.
    fn corners(&self) -> impl Iterator<Item = [usize; 3]> {
        (0..8).map(|corner| [corner & 1, corner >> 1 & 1, corner >> 2])
    }

    fn input(&self, corner: [usize; 3]) -> Rgb {
        [0, 1, 2].map(|i| if corner[i] == 0 { self.domain.min[i] } else { self.domain.max[i] })
    }
}

/// Largest distance of a table's numbers from the look, at the nodes around the inputs.
pub(super) fn worst_node(table: &Table3, pipeline: &Pipeline, inputs: &[Rgb]) -> f64 {
    let cells: Vec<Cell> = inputs.iter().map(|input| Cell::around(*input, table.domain(), table.size())).collect();
    let corners: Vec<Rgb> = cells.iter().flat_map(|cell| cell.corners().map(|corner| cell.input(corner))).collect();
    let exact = evaluate(pipeline, &corners);
    let got = cells.iter().flat_map(|cell| {
        let [r, g, b] = cell.lowest;
        cell.corners().map(move |corner| table.node(r + corner[0], g + corner[1], b + corner[2]))
    });
    let distances = got.zip(exact).flat_map(|(got, exact)| [0, 1, 2].map(|i| (got[i] - exact[i]).abs()));
    distances.fold(0.0, |worst, distance| if worst.is_nan() || distance <= worst { worst } else { distance })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lut::sample;
    use crate::recipe;
    use std::path::Path;

    #[test]
    fn the_nodes_around_inputs_are_held_against_the_look() {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes/dusk-car-deck.toml");
        let loaded = recipe::load(&path, &[]).expect("an example is right");
        let (plan, _) = loaded.recipe.resolve().expect("it has a meaning");
        let (pipeline, _) = Pipeline::build(&plan).expect("it can be built");
        let inputs = [[0.0; 3], [1.0; 3], [0.41, 0.39, 0.5], [0.25, 0.99, 0.0], [0.5, 0.5, 1.0]];
        let mut table = sample(&pipeline, 17).table;
        assert!(worst_node(&table, &pipeline, &inputs) < 1e-12);
        table.nodes_mut()[0][1] += 0.01;
        assert!((worst_node(&table, &pipeline, &inputs) - 0.01).abs() < 1e-9, "the node of black was moved");
        table.nodes_mut()[0][1] = f64::NAN;
        assert!(worst_node(&table, &pipeline, &inputs).is_nan(), "what is no number is as wrong as can be");
    }
}

//! Tables are read between their nodes as published methods say, and exactly at their nodes.

use lookwright::formats::cube::{self, Tables};
use lookwright::lut::{Domain, Interpolation, Table1, Table3};
use lookwright::maths::Rgb;
use proptest::prelude::*;
use std::path::Path;

/// The tolerance that the reference file states.
const REFERENCE_TOLERANCE: f64 = 1e-9;

/// Rounding of a few sums and products of numbers up to 10: some ten units in the last place of 10.
const ROUNDING: f64 = 10.0 * 10.0 * f64::EPSILON;

fn reference_table() -> Table3 {
    match cube::read(Path::new("tests/data/lut/lut5.cube")).expect("the reference table is a good file").tables {
        Tables::Three(table) => table,
        other => panic!("the reference table is a 3D table, not {other:?}"),
    }
}

#[test]
fn fifty_points_agree_with_the_reference_library() {
    // tests/data/lut/interpolation.csv: colour-science 0.4.7.
    let text = std::fs::read_to_string("tests/data/lut/interpolation.csv").expect("the reference is there");
    let table = reference_table();
    let mut points = 0;
    for line in text.lines().filter(|line| line.starts_with(|first: char| first.is_ascii_digit() || first == '-')) {
        let cells: Vec<f64> = line.split(',').map(|cell| cell.parse().expect("a number")).collect();
        let input = [cells[0], cells[1], cells[2]];
        for (interpolation, first) in [(Interpolation::Trilinear, 3), (Interpolation::Tetrahedral, 6)] {
            let found = table.sample(input, interpolation);
            for channel in 0..3 {
                let error = (found[channel] - cells[first + channel]).abs();
                assert!(
                    error <= REFERENCE_TOLERANCE,
                    "{} at {input:?}, channel {channel}: off by {error:e}",
                    interpolation.id()
                );
            }
        }
        points += 1;
    }
    assert_eq!(points, 50, "points in the reference");
}

#[test]
fn interpolations_are_found_by_name() {
    for interpolation in Interpolation::ALL {
        assert_eq!(Interpolation::find(interpolation.id()), Some(interpolation));
        assert_eq!(Interpolation::find(&interpolation.id().to_uppercase()), Some(interpolation));
    }
    assert_eq!(Interpolation::find("cubic"), None);
}

/// A table of a function of its inputs.
fn table_of(size: usize, domain: Domain, function: impl Fn(Rgb) -> Rgb) -> Table3 {
    let input = |index: usize, axis: usize| {
        domain.min[axis] + (domain.max[axis] - domain.min[axis]) * (index as f64 / (size - 1) as f64)
    };
    let nodes = (0..size * size * size)
        .map(|node| function([input(node % size, 0), input(node / size % size, 1), input(node / size / size, 2)]))
        .collect();
    Table3::new(size, domain, nodes).expect("as many nodes as the size asks for")
}

#[test]
fn every_node_of_a_unit_table_is_read_exactly() {
    for size in [2, 3, 5, 17, 23, 33, 50, 99] {
        // Values without any order, so that a neighbour's share would show.
        let table =
            table_of(size, Domain::UNIT, |[r, g, b]| [r * 7.3 % 1.0, g * 11.9 % 1.0 - b, (r + g + b) * 5.7 % 1.0]);
        for b in 0..size {
            // Every node of the faces and of a diagonal plane; all of them would take long at 99.
            for g in [0, b, size - 1] {
                for r in 0..size {
                    let input = [r, g, b].map(|index| index as f64 / (size - 1) as f64);
                    for interpolation in Interpolation::ALL {
                        let found = table.sample(input, interpolation);
                        assert_eq!(found, table.node(r, g, b), "{} of {size}, node {r} {g} {b}", interpolation.id());
                    }
                }
            }
        }
    }
}

#[test]
fn what_lies_outside_is_held_to_the_domain_and_nan_to_its_start() {
    let domain = Domain { min: [-0.5, 0.0, 1.0], max: [0.5, 2.0, 4.0] };
    let table = table_of(3, domain, |input| input);
    let one = Table1::new(domain, vec![domain.min, domain.max]).expect("two rows");
    for (input, expected) in [
        ([-9.0, 9.0, 2.0], [-0.5, 2.0, 2.0]),
        ([f64::NEG_INFINITY, f64::INFINITY, f64::NAN], [-0.5, 2.0, 1.0]),
        ([f64::MAX, f64::MIN, 0.0], [0.5, 0.0, 1.0]),
    ] {
        let close = |found: Rgb| (0..3).all(|channel| (found[channel] - expected[channel]).abs() <= ROUNDING);
        for interpolation in Interpolation::ALL {
            let found = table.sample(input, interpolation);
            assert!(close(found), "{} at {input:?}: {found:?}", interpolation.id());
        }
        assert!(close(one.sample(input)), "1D at {input:?}: {:?}", one.sample(input));
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 500, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn affine_tables_are_reproduced(
        size in 2..12_usize,
        matrix in prop::array::uniform3(prop::array::uniform3(-2.0..2.0_f64)),
        offset in prop::array::uniform3(-1.0..1.0_f64),
        min in prop::array::uniform3(-0.5..0.5_f64),
        width in prop::array::uniform3(0.5..1.0_f64),
        part in prop::array::uniform3(0.0..=1.0_f64),
    ) {
        let domain = Domain { min, max: [0, 1, 2].map(|axis| min[axis] + width[axis]) };
        let affine = |input: Rgb| [0, 1, 2].map(|channel| {
            let row: &Rgb = &matrix[channel];
            row[0] * input[0] + row[1] * input[1] + row[2] * input[2] + offset[channel]
        });
        let table = table_of(size, domain, affine);
        let input = [0, 1, 2].map(|axis| min[axis] + part[axis] * width[axis]);
        let expected = affine(input);
        for interpolation in Interpolation::ALL {
            let found = table.sample(input, interpolation);
            for channel in 0..3 {
                let error = (found[channel] - expected[channel]).abs();
                prop_assert!(error <= ROUNDING, "{} at {:?}: off by {:e}", interpolation.id(), input, error);
            }
        }
    }

    #[test]
    fn tetrahedral_keeps_greys_grey(
        size in 2..10_usize, grey in 0.0..=1.0_f64, power in 0.3..3.0_f64,
    ) {
        // Off the diagonal the table is coloured; the diagonal alone decides greys.
        let table = table_of(size, Domain::UNIT, |[r, g, b]| {
            let level = lookwright::maths::pow((r + g + b) / 3.0, power);
            [level + r - g, level + g - b, level + b - r]
        });
        let diagonal: Vec<Rgb> = (0..size).map(|index| table.node(index, index, index)).collect();
        prop_assume!(diagonal.iter().all(|[r, g, b]| r == g && g == b));
        let [r, g, b] = table.sample([grey; 3], Interpolation::Tetrahedral);
        // Between its two nodes the three channels take different ways, so that only rounding may differ.
        prop_assert!((r - g).abs() <= ROUNDING && (g - b).abs() <= ROUNDING, "{} became {} {} {}", grey, r, g, b);
    }
}

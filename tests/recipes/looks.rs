//! What eight recipes compute, against an independent implementation of `docs/look-maths.md`.
//!
//! Source: `tests/data/looks/expected.csv` (numpy and colour-science 0.4.7, confirmed by a second implementation).

use lookwright::pipeline::Pipeline;
use lookwright::recipe;
use std::path::Path;

/// Stated in the file: the function itself, before printing and without interpolation.
const FUNCTION_TOLERANCE: f64 = 1e-8;

#[test]
fn eight_looks_match_an_independent_implementation() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/looks");
    let text = std::fs::read_to_string(folder.join("expected.csv")).expect("the file is in the repository");
    let mut pipeline: Option<(String, Pipeline)> = None;
    let mut worst = (0.0, String::new());
    let mut points = 0;
    for line in text.lines().filter(|line| !line.starts_with('#')).skip(1) {
        let mut cells = line.split(',');
        let name = cells.next().expect("a recipe's name").to_owned();
        let numbers: Vec<f64> = cells.map(|cell| cell.parse().expect("a number")).collect();
        if pipeline.as_ref().is_none_or(|(current, _)| *current != name) {
            let loaded = recipe::load(&folder.join(format!("{name}.toml")), &[]).expect("the recipe is right");
            let (plan, _) = loaded.recipe.resolve().expect("the recipe has a meaning");
            pipeline = Some((name.clone(), Pipeline::build(&plan).expect("the look is possible").0));
        }
        let out = pipeline.as_ref().expect("built above").1.evaluate([numbers[0], numbers[1], numbers[2]]);
        for channel in 0..3 {
            let difference = (out[channel] - numbers[3 + channel]).abs();
            assert!(
                difference <= FUNCTION_TOLERANCE,
                "{name} at {:?}, channel {channel}: {} instead of {} (off by {difference:e})",
                &numbers[..3],
                out[channel],
                numbers[3 + channel]
            );
            if difference > worst.0 {
                worst = (difference, format!("{name} at {:?}", &numbers[..3]));
            }
        }
        points += 1;
    }
    assert_eq!(points, 800, "eight looks of 100 points each");
    println!("worst difference {:e}: {}", worst.0, worst.1);
}

//! Steps of a package, by this program's own reader: `tests/python/exchange.py` holds them against other programs.

use crate::kit::whole;
use lookwright::formats::clf::{ProcessList, parse};
use lookwright::handoff::{Manifest, PostNote};
use std::fs;

/// Numbers of a list are printed with as many digits as single precision holds; a few of them multiplied stay within this of each other, of
/// the signal.
const APART: f64 = 2e-5;

fn list(name: &str) -> ProcessList {
    let bytes = fs::read(whole().1.join(name)).expect("there");
    parse(name, &bytes).unwrap_or_else(|faults| panic!("{name}: {faults:#?}")).list
}

fn posts() -> Vec<PostNote> {
    let bytes = fs::read(whole().1.join("package.json")).expect("there");
    serde_json::from_slice::<Manifest>(&bytes).expect("a manifest").post
}

/// Signals of every kind: greys, colours, ends.
fn signals() -> Vec<[f64; 3]> {
    let axis = [0.0, 0.1, 0.2, 0.3, 0.38, 0.45, 0.55, 0.7, 0.85, 1.0];
    let mut all = Vec::new();
    for red in axis {
        for green in axis {
            all.extend(axis.map(|blue| [red, green, blue]));
        }
    }
    all
}

#[test]
fn input_look_and_output_one_behind_the_other_are_the_whole() {
    for post in posts() {
        let whole = list(&post.clf);
        let mut parts = vec![list(&post.input)];
        parts.extend(post.scene.as_ref().map(|scene| list(scene)));
        parts.push(list(&post.output));
        let linear = [list(&post.input), list(&post.linear)];
        for signal in signals() {
            let expected = whole.apply(signal);
            for (what, lists) in [("input, look, output", &parts[..]), ("input, linear", &linear[..])] {
                let found = lists.iter().fold(signal, |value, list| list.apply(value));
                for channel in 0..3 {
                    let off = (found[channel] - expected[channel]).abs();
                    assert!(off <= APART, "{}: {what} at {signal:?}: {found:?}, {expected:?}", post.clf);
                }
            }
        }
    }
}

/// What a look is nothing but is said; what is in every list is what its look has.
#[test]
fn lists_name_their_steps() {
    let names = |file: &str| -> Vec<String> { list(file).nodes.into_iter().map(|node| node.name).collect() };
    let grade =
        ["to ACEScct", "grade: slope and offset", "grade: floor", "grade: power and saturation", "from ACEScct"];
    let scene = [&["ACES2065-1 to ACEScg"], &grade[..], &["ACEScg to ACES2065-1"]].concat();
    assert_eq!(names("post/aces/look.graded.clf"), scene);
    let dusk = names("post/aces/look.dusk.clf");
    for step in [&["exposure", "diffusion", "white", "split"], &grade[..]].concat() {
        assert!(dusk.iter().any(|name| name == step), "{step}: {dusk:?}");
    }
    // A look at a strength is mixed with the plain conversion where both are pictures: behind the scene.
    assert_eq!(names("post/aces/look.dusk.half.clf"), ["ACES2065-1 to ACEScg", "exposure", "ACEScg to ACES2065-1"]);
    let half = names("post/aces/output.dusk.half.clf");
    assert!(half.iter().any(|name| name.contains("look at its strength")), "{half:?}");
    for name in ["post/aces/input.a.clf", "post/aces/input.b.clf"] {
        let input = names(name);
        assert!(input.iter().all(|step| !step.contains("exposure") && !step.contains("grade")), "{name}: {input:?}");
        assert_eq!(input.last().map(String::as_str), Some("ACEScg to ACES2065-1"), "{name}");
    }
}

/// Figures in the files are those of the package's description.
#[test]
fn lists_and_manifest_state_the_same_errors() {
    for post in posts() {
        let told = list(&post.clf).descriptions.join(" ");
        let error = post.clf_error;
        for words in [
            format!("CIEDE2000 {:.3} mean and {:.2} most", error.mean_de, error.max_de),
            format!("at most {:.1} ten-bit codes", error.codes),
            format!("fingerprint {}", post.fingerprint),
        ] {
            assert!(told.contains(&words), "{}: {words}: {told}", post.clf);
        }
    }
}

//! Labels burnt into pictures.

use crate::{floats, frame, grade};
use lookwright::picture::lens::{Haze, Lens, burnt};
use lookwright::picture::{Frame, SampleDepth, Samples};

const TEXT: &str = "lens diffusion 1/4 simulated: on the lens, not in the LUT";

#[test]
fn the_label_says_what_and_where() {
    assert_eq!(grade("1/4").label().as_deref(), Some(TEXT));
    let haze = Haze::new(0.125, 0.0).expect("possible");
    let words = "haze 12.5 % simulated: the same at every distance, a stand-in, not in the LUT";
    assert_eq!(Lens { haze, ..Lens::default() }.label().as_deref(), Some(words));
    let round = Lens { haze: Haze::new(0.15, 0.0).expect("possible"), ..Lens::default() };
    assert!(round.label().is_some_and(|label| label.starts_with("haze 15 % simulated")));
    assert_eq!(Lens { haze, ..grade("1/4") }.label(), Some(format!("{TEXT} · {words}")));
}

/// The label covers the bottom edge alone, grows with the picture, and is there at every size that can hold it.
#[test]
fn a_label_lies_on_the_bottom_edge() {
    for (width, height) in [(240, 135), (320, 240), (640, 360), (1080, 1920), (1920, 1080)] {
        let picture = frame(width, height, |_, _, _| 0.5);
        let labelled = burnt(&picture, TEXT).unwrap_or_else(|| panic!("{width} × {height}: no label"));
        let changed = |y: usize| (0..width).any(|x| labelled.pixel(x, y) != picture.pixel(x, y));
        let first = (0..height).find(|&y| changed(y)).expect("a label");
        assert!((first..height).all(changed), "{width} × {height}: the strip has a gap");
        assert!(first >= height * 2 / 3 - 1, "{width} × {height}: the label begins in row {first}");
        let bright = floats(&labelled).iter().filter(|&&value| value > 0.4).count();
        assert!(bright > 100, "{width} × {height}: {bright} samples of letters");
    }
}

#[test]
fn what_is_too_small_gets_no_label() {
    for (width, height) in [(1, 1), (40, 30), (2000, 12), (12, 2000)] {
        assert_eq!(burnt(&frame(width, height, |_, _, _| 0.2), TEXT), None, "{width} × {height}");
    }
}

#[test]
fn depth_and_alpha_stay() {
    let codes: Vec<u8> = (0..300 * 200).flat_map(|pixel| [250, 100, 3, pixel as u8]).collect();
    let eight = Frame::from_eight_bit(300, 200, true, &codes).expect("a frame");
    let labelled = burnt(&eight, TEXT).expect("a label");
    assert_eq!(labelled.depth(), SampleDepth::Eight);
    let Samples::Codes(found) = labelled.samples() else { panic!("codes") };
    assert!(found.iter().all(|code| code % 257 == 0), "no 8-bit code");
    assert!((0..200).all(|y| (0..300).all(|x| labelled.alpha(x, y) == eight.alpha(x, y))));
    let sixteen = eight.to_depth(SampleDepth::Sixteen).frame;
    assert_eq!(burnt(&sixteen, TEXT).expect("a label").depth(), SampleDepth::Sixteen);
    let odd = frame(300, 200, |x, _, _| if x.is_multiple_of(2) { f64::NAN } else { f64::INFINITY });
    let labelled = burnt(&odd, TEXT).expect("a label");
    assert!((0..300).all(|x| labelled.pixel(x, 199).is_some_and(|rgb| rgb[0] <= 1.0)), "not held in the strip");
}

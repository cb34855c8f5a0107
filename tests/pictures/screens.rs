//! What a look's display shows, on computer screens.

use lookwright::colour::displays::DisplayEncoding;
use lookwright::colour::gamuts::BT2020;
use lookwright::compile::{Prepared, prepare};
use lookwright::formats::icc::Profile;
use lookwright::maths::Rgb;
use lookwright::picture::screen::{Screen, ScreenKind};
use std::path::Path;

/// Rounding of two matrices in double precision.
const ROUNDING: f64 = 1e-9;

/// A look for a display.
fn look(encoding: &str, gamut: &str) -> Prepared {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/looks/tone-only.toml");
    let overrides = [format!("display.encoding={encoding}"), format!("display.gamut={gamut}")];
    prepare(&path, &overrides).unwrap_or_else(|faults| panic!("{faults:?}"))
}

fn shown(kind: ScreenKind, look: &Prepared, signal: Rgb) -> Rgb {
    Screen::of_kind(kind, &look.plan, None).signal(signal)
}

/// sRGB lacks most of P3's red (the chromaticities of both standards); a Display P3 screen shows it as it is.
#[test]
fn a_p3_red_is_whole_on_display_p3_and_outside_srgb() {
    use ScreenKind::{DisplayP3, Srgb};
    for encoding in ["gamma26", "gamma22", "srgb"] {
        let look = look(encoding, "p3-d65");
        for signal in [[1.0, 0.0, 0.0], [0.8, 0.05, 0.02], [0.0, 1.0, 0.0]] {
            let wide = shown(DisplayP3, &look, signal);
            assert!(wide.iter().all(|value| (-ROUNDING..=1.0 + ROUNDING).contains(value)), "{encoding}: {wide:?}");
            let narrow = shown(Srgb, &look, signal);
            assert!(narrow.iter().any(|value| !(-1e-3..=1.001).contains(value)), "{encoding}: {narrow:?}");
        }
        let red = shown(DisplayP3, &look, [1.0, 0.0, 0.0]);
        assert!((red[0] - 1.0).abs() < ROUNDING && red[1].abs() < 1e-6 && red[2].abs() < 1e-6, "{red:?}");
        for kind in [Srgb, DisplayP3] {
            let white = shown(kind, &look, [1.0; 3]);
            assert!(white.iter().all(|value| (value - 1.0).abs() < ROUNDING), "{kind:?}: {white:?}");
        }
    }
}

/// BT.709's red on a Display P3 screen is 0.9175, 0.2003, 0.1386 in signal: the matrices of SMPTE RP 177 and the curve of
/// IEC 61966-2-1, as the reference library computes them.
#[test]
fn a_video_red_keeps_its_colour_on_display_p3() {
    let red = shown(ScreenKind::DisplayP3, &look("srgb", "bt709"), [1.0, 0.0, 0.0]);
    for (found, expected) in red.into_iter().zip([0.917_49, 0.200_29, 0.138_56]) {
        assert!((found - expected).abs() < 1e-4, "{red:?}");
    }
}

#[test]
fn only_a_display_like_the_screen_needs_no_conversion() {
    use ScreenKind::{DisplayP3, Srgb};
    for (encoding, gamut, close) in [
        ("bt1886", "bt709", Some(Srgb)),
        ("srgb", "display-p3", Some(DisplayP3)),
        ("gamma22", "p3-d65", Some(DisplayP3)),
        ("gamma26", "p3-d65", None),
        ("gamma24", "p3-dci", None),
    ] {
        for kind in [Srgb, DisplayP3] {
            let found = Screen::is_close_to(kind, &look(encoding, gamut).plan.display);
            assert_eq!(found, close == Some(kind), "{encoding} {gamut} on {kind:?}");
        }
    }
    assert_eq!((Srgb.profile(), DisplayP3.profile()), (Profile::SRGB, Profile::DISPLAY_P3));
    assert_eq!(Profile::of_plan(&look("gamma26", "p3-d65").plan), Some(Profile::P3_D65_GAMMA26));
    assert_eq!(Profile::new(&BT2020, DisplayEncoding::Pq), None);
}

//! What each step does to a value: there and back, at the edges, and where the specification prints a number.

use lookwright::formats::clf::{
    CdlStyle, Exponent, ExponentParams, ExponentStyle, Log, LogParams, LogStyle, Lut1, Range,
};
use lookwright::plan::Cdl;

/// Rounding of a few operations.
const EXACT: f64 = 1e-12;

fn assert_near(found: f64, expected: f64, what: &str) {
    let tolerance = EXACT * expected.abs().max(1.0);
    assert!((found - expected).abs() <= tolerance, "{what}: {found} instead of {expected}");
}

const CAMERA: LogParams = LogParams {
    base: 10.0,
    log_side_slope: 0.256663,
    log_side_offset: 0.584555,
    lin_side_slope: 0.9892,
    lin_side_offset: 0.0108,
    lin_side_break: Some(0.0078),
    linear_slope: None,
};

#[test]
fn logarithms_and_their_inverses_meet() {
    use LogStyle::{AntiLog2, AntiLog10, CameraLinToLog, CameraLogToLin, LinToLog, Log2, Log10, LogToLin};
    for (there, back, params) in [
        (Log10, AntiLog10, LogParams::DEFAULT),
        (Log2, AntiLog2, LogParams::DEFAULT),
        (LinToLog, LogToLin, CAMERA),
        (CameraLinToLog, CameraLogToLin, CAMERA),
        (CameraLinToLog, CameraLogToLin, LogParams { linear_slope: Some(6.025), base: 3.0, ..CAMERA }),
    ] {
        let (there, back) = (Log { style: there, params: [params; 3] }, Log { style: back, params: [params; 3] });
        for x in [1e-6, 0.001, 0.0078, 0.18, 1.0, 40.0] {
            assert_near(back.apply(there.apply([x; 3]))[1], x, there.style.id());
        }
    }
    let camera = |style| Log { style, params: [CAMERA; 3] };
    for x in [-1.0, 0.0] {
        let code = camera(LogStyle::CameraLinToLog).apply([x; 3]);
        assert_near(camera(LogStyle::CameraLogToLin).apply(code)[0], x, "straight part");
    }
}

/// "MAX(x, FLT_MIN)", with the seven digits that the specification prints; logarithms of them by Python's decimal, to 30 digits.
#[test]
fn logarithms_of_nothing_are_held() {
    let log = |style| Log { style, params: [LogParams::DEFAULT; 3] };
    for x in [0.0, -1.0, f64::NAN, f64::NEG_INFINITY] {
        assert_near(log(LogStyle::Log10).apply([x; 3])[0], -37.92977958327536, "log10");
        assert_near(log(LogStyle::Log2).apply([x; 3])[0], -126.0000004305675, "log2");
        assert_near(log(LogStyle::LinToLog).apply([x; 3])[0], -126.0000004305675, "linToLog");
    }
}

#[test]
fn power_laws_and_their_inverses_meet() {
    use ExponentStyle as Style;
    for (there, back) in [
        (Style::BasicFwd, Style::BasicRev),
        (Style::BasicMirrorFwd, Style::BasicMirrorRev),
        (Style::BasicPassThruFwd, Style::BasicPassThruRev),
        (Style::MonCurveFwd, Style::MonCurveRev),
        (Style::MonCurveMirrorFwd, Style::MonCurveMirrorRev),
    ] {
        for (exponent, offset) in [(2.4, 0.055), (1.0, 0.1), (1.0, 0.0), (3.0, 0.16), (2.0, 0.0)] {
            let curve = |style| Exponent { style, params: [ExponentParams { exponent, offset }; 3] };
            let from =
                if there == Style::BasicFwd || (offset == 0.0 && there == Style::MonCurveFwd) { 0.0 } else { -0.5 };
            for step in 0..40 {
                let x = from + f64::from(step) * 0.05;
                let round = curve(back).apply(curve(there).apply([x; 3]))[2];
                assert_near(round, x, &format!("{} {exponent} {offset}", there.id()));
            }
        }
    }
}

/// IEC 61966-2-1, whose curve the specification's example 9 stands for: code 0.5 is 0.21404 of light; its own straight line has the
/// slope 1/12.92, that of the example 1/12.9232 (from memory).
#[test]
fn the_specifications_display_curve() {
    let curve =
        Exponent { style: ExponentStyle::MonCurveFwd, params: [ExponentParams { exponent: 2.4, offset: 0.055 }; 3] };
    assert!((curve.apply([0.5; 3])[0] - 0.214_041_140_482_232_55).abs() < EXACT);
    assert!((curve.apply([0.01; 3])[0] - 0.01 / 12.9232).abs() < 1e-8);
    assert_near(curve.apply([1.0; 3])[0], 1.0, "white");
    assert!(curve.apply([f64::NAN; 3])[0].is_nan());
}

#[test]
fn divisions_by_zero_are_limits() {
    let params = |exponent, offset| [ExponentParams { exponent, offset }; 3];
    for style in [ExponentStyle::MonCurveFwd, ExponentStyle::MonCurveRev] {
        let at = |exponent, offset, x: f64| Exponent { style, params: params(exponent, offset) }.apply([x; 3])[0];
        for x in [-0.3, 0.0, 0.2, 1.0, 3.0] {
            // Next to the edge the equations as printed, at the edge what they tend to.
            let (near, edge) = (at(1.0 + 1e-9, 0.1, x), at(1.0, 0.1, x));
            assert!((near - edge).abs() < 1e-6, "{} {x}: {near} {edge}", style.id());
        }
        for x in [0.0, 0.2, 1.0, 3.0] {
            let (near, edge) = (at(2.0, 1e-9, x), at(2.0, 0.0, x));
            assert!((near - edge).abs() < 1e-4, "{} {x}: {near} {edge}", style.id());
        }
    }
}

#[test]
fn gradings_and_their_inverses_meet() {
    let cdl = Cdl { slope: [1.1, 0.9, 1.0], offset: [0.01, 0.02, 0.0], power: [1.2, 0.9, 1.0], saturation: 0.8 };
    for (there, back) in [(CdlStyle::Fwd, CdlStyle::Rev), (CdlStyle::FwdNoClamp, CdlStyle::RevNoClamp)] {
        for input in [[0.1, 0.2, 0.3], [0.5, 0.5, 0.5], [0.7, 0.3, 0.6]] {
            let round = back.apply(&cdl, there.apply(&cdl, input));
            for (found, expected) in round.into_iter().zip(input) {
                assert_near(found, expected, there.id());
            }
        }
    }
    // What is clamped is lost, what is not comes back.
    let free = CdlStyle::RevNoClamp.apply(&cdl, CdlStyle::FwdNoClamp.apply(&cdl, [-0.4, 3.0, 0.5]));
    assert_near(free[0], -0.4, "below");
    assert_near(free[1], 3.0, "above");
    assert_eq!(CdlStyle::Fwd.apply(&Cdl::IDENTITY, [-1.0, 0.25, 7.0]), [0.0, 0.25, 1.0]);
    let grey = CdlStyle::Rev.apply(&Cdl { saturation: 0.0, ..Cdl::IDENTITY }, [0.2, 0.2, 0.2]);
    assert_near(grey[0], 0.2, "no saturation");
}

#[test]
fn ranges_hold_what_they_should() {
    let range = |low, high, clamp| Range { low, high, clamp };
    let scaled = range(Some([0.0, 0.1]), Some([2.0, 0.5]), true);
    for (found, expected) in scaled.apply([-1.0, 1.0, 9.0]).into_iter().zip([0.1, 0.3, 0.5]) {
        assert_near(found, expected, "clamped");
    }
    let free = Range { clamp: false, ..scaled };
    for (found, expected) in free.apply([-1.0, 1.0, 9.0]).into_iter().zip([-0.1, 0.3, 1.9]) {
        assert_near(found, expected, "free");
    }
    assert_eq!(range(Some([0.0, 0.0]), None, true).apply([-1.0, 0.5, 9.0]), [0.0, 0.5, 9.0]);
    assert_eq!(range(None, Some([1.0, 1.0]), true).apply([-1.0, 0.5, 9.0]), [-1.0, 0.5, 1.0]);
    assert!(scaled.apply([f64::NAN; 3])[0].is_nan());
}

#[test]
fn tables_hold_what_lies_outside() {
    let rows = vec![[0.1, 1.0, 0.0], [0.2, 0.5, 0.25], [0.4, 0.0, 1.0]];
    let table = Lut1 { half_domain: false, hue_adjust: false, one_column: false, rows };
    assert_eq!(table.apply([-3.0, 2.0, f64::NAN]), [0.1, 0.0, 0.0]);
    assert_near(table.apply([0.75; 3])[0], 0.3, "between");
    let hue = Lut1 { hue_adjust: true, ..table };
    // Red is half way between blue and green before, and therefore after.
    let [red, green, blue] = hue.apply([0.5, 0.75, 0.25]);
    assert_near(red, (green + blue) / 2.0, "hue");
}

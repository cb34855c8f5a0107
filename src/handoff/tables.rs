//! Grey scale and patches of a look as tables for spreadsheets.

use crate::colour::chart::{CHART, SKINS};
use crate::maths::CODE10_MAX;
use crate::pipeline::Pipeline;
use crate::plan::Plan;
use crate::verify::{PATCH_STOPS, Viewer};
use std::fmt::Write as _;

/// Half stops of the grey scale, either way.
const GREY_HALF_STOPS: i32 = 16;

/// What the numbers are codes of, for whoever has nothing but the table. They stand behind the numbers, so that columns keep their places.
const SIGNALS: &str = "camera_signal,display_signal,lab_white";

/// The cells of [`SIGNALS`]: what the camera's codes, the display's codes and CIELAB are counted in. None has a comma.
fn signals(plan: &Plan) -> String {
    let index = plan.camera.curve.exposure_index().map_or(String::new(), |index| format!(" at EI {index}"));
    let camera = format!("{}{index} / {}", plan.camera.curve.encoding().id, plan.camera.gamut.id);
    let display = format!("{} / {}", plan.display.encoding.id(), plan.display.gamut.id);
    let nits = plan.display.peak_nits;
    format!("full-range 10-bit codes of {camera},full-range 10-bit codes of {display},display white at {nits} cd/m2")
}

/// The grey scale: what a camera records and what the look makes of it, 10-bit codes of full range.
pub(super) fn grey_csv(plan: &Plan, pipeline: &Pipeline) -> String {
    let viewer = Viewer::new(plan, pipeline);
    let mut text = format!("stops,camera_code,display_r,display_g,display_b,lab_l,lab_a,lab_b,{SIGNALS}\n");
    let signals = signals(plan);
    for half in -GREY_HALF_STOPS..=GREY_HALF_STOPS {
        let stops = f64::from(half) / 2.0;
        let camera = viewer.camera_neutral(stops);
        let shown = viewer.of_look(camera);
        let [r, g, b] = shown.map(|value| value * CODE10_MAX);
        let lab = viewer.lab(shown);
        let code = camera[0] * CODE10_MAX;
        let _ = writeln!(
            text,
            "{stops:.1},{code:.3},{r:.3},{g:.3},{b:.3},{:.4},{:.4},{:.4},{signals}",
            lab.l, lab.a, lab.b
        );
    }
    text
}

/// Chart and skins over and under.
pub(super) fn patch_csv(plan: &Plan, pipeline: &Pipeline) -> String {
    let viewer = Viewer::new(plan, pipeline);
    let mut text =
        format!("patch,stops,camera_r,camera_g,camera_b,display_r,display_g,display_b,lab_l,lab_a,lab_b,{SIGNALS}\n");
    let signals = signals(plan);
    for patch in CHART.iter().chain(&SKINS) {
        for stops in -PATCH_STOPS..=PATCH_STOPS {
            let camera = viewer.camera_patch(patch, f64::from(stops));
            let shown = viewer.of_look(camera);
            let lab = viewer.lab(shown);
            let codes =
                [camera, shown].map(|signal| signal.map(|value| format!("{:.3}", value * CODE10_MAX)).join(","));
            let name = patch.name.replace(',', ";");
            let _ = writeln!(
                text,
                "{name},{stops},{},{},{:.4},{:.4},{:.4},{signals}",
                codes[0], codes[1], lab.l, lab.a, lab.b
            );
        }
    }
    text
}

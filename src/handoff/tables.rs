//! Grey scale and patches of a look as tables for spreadsheets.

use crate::colour::chart::{CHART, SKINS};
use crate::maths::CODE10_MAX;
use crate::pipeline::Pipeline;
use crate::plan::Plan;
use crate::verify::{PATCH_STOPS, Viewer};
use std::fmt::Write as _;

/// Half stops of the grey scale, either way.
const GREY_HALF_STOPS: i32 = 16;

/// The grey scale: what a camera records and what the look makes of it, 10-bit codes of full range.
pub(super) fn grey_csv(plan: &Plan, pipeline: &Pipeline) -> String {
    let viewer = Viewer::new(plan, pipeline);
    let mut text = String::from("stops,camera_code,display_r,display_g,display_b,lab_l,lab_a,lab_b\n");
    for half in -GREY_HALF_STOPS..=GREY_HALF_STOPS {
        let stops = f64::from(half) / 2.0;
        let camera = viewer.camera_neutral(stops);
        let shown = viewer.of_look(camera);
        let [r, g, b] = shown.map(|value| value * CODE10_MAX);
        let lab = viewer.lab(shown);
        let code = camera[0] * CODE10_MAX;
        let _ = writeln!(text, "{stops:.1},{code:.3},{r:.3},{g:.3},{b:.3},{:.4},{:.4},{:.4}", lab.l, lab.a, lab.b);
    }
    text
}

/// Chart and skins over and under.
pub(super) fn patch_csv(plan: &Plan, pipeline: &Pipeline) -> String {
    let viewer = Viewer::new(plan, pipeline);
    let mut text =
        String::from("patch,stops,camera_r,camera_g,camera_b,display_r,display_g,display_b,lab_l,lab_a,lab_b\n");
    for patch in CHART.iter().chain(&SKINS) {
        for stops in -PATCH_STOPS..=PATCH_STOPS {
            let camera = viewer.camera_patch(patch, f64::from(stops));
            let shown = viewer.of_look(camera);
            let lab = viewer.lab(shown);
            let codes =
                [camera, shown].map(|signal| signal.map(|value| format!("{:.3}", value * CODE10_MAX)).join(","));
            let name = patch.name.replace(',', ";");
            let _ = writeln!(text, "{name},{stops},{},{},{:.4},{:.4},{:.4}", codes[0], codes[1], lab.l, lab.a, lab.b);
        }
    }
    text
}

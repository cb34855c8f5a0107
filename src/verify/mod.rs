//! Verify: the written file, read back, against the exact pipeline, applied as the device will.
//!
//! [`verify`] is the whole proof. It holds every number of the file against the look (rounded as the file is), then looks
//! at what the device makes of it: a grey scale, the chart and skins through the camera's own encoding and gamut, a
//! seeded random sample with a search for the worst point between the nodes, and the shape of the table itself.
//!
//! [`inspect`](inspect()) says what a file of unknown origin does; [`compare`](compare()) holds two looks against each other.

pub mod comparison;
mod cut;
mod declared;
mod display_words;
mod grey;
mod grid;
mod held;
pub mod inspection;
mod mapping;
mod nodes;
mod patches;
mod scene_colours;
mod search;
mod shape;
mod suspicion;
mod verification;
mod view;
mod viewer;

pub use comparison::{Comparison, compare, differences};
pub use cut::Cut;
pub use declared::{Carried, Declared, KnownBy, described, described_output};
pub use grey::{GREY_STOPS, GreyPoint, GreyScale, grey_scale};
pub use held::PictureColours;
pub use inspection::{Assumptions, Inspection, inspect, inspect_steps, inspect_with_view};
pub use mapping::{LightOf, Mapping, rows_of};
pub use nodes::{ChangedNode, Nodes, compare_nodes};
pub use patches::{PATCH_STOPS, PatchPoint, Patches, mean_de, patches, worst};
pub use scene_colours::{SceneColour, SceneColours};
pub use search::{Search, WorstPoint};
pub use shape::{Fold, FoldsOfLook, Shape, shape};
pub use verification::{Check, FunctionVerification, Verification};
pub use view::{CURVE_STOPS, Cast, CurvePoint, Ends, Falling, Hue, Seen as SeenColour, View};
pub use viewer::{Picture, Viewer};

use crate::colour::chart::{CHART, SKINS};
use crate::lut::{Sampled, Table3};
use crate::maths::Rgb;
use crate::pipeline::Pipeline;
use crate::plan::{Plan, Tolerances};

/// Proves a table that was read from a file against a plan and its pipeline.
///
/// `exact` is the pipeline sampled at the table's own size (see [`crate::lut::sample`]); its table and clip counts are
/// used, so that nothing is computed twice after a compile. If it has another size, the table's nodes can't be compared
/// and the verification fails.
#[must_use]
pub fn verify(table: &Table3, plan: &Plan, pipeline: &Pipeline, exact: &Sampled) -> Verification {
    let viewer = Viewer::new(plan, pipeline);
    let nodes = compare_nodes(table, &exact.table);
    let mut seen = Seen::look(&viewer, &|camera| viewer.of_table(table, camera));
    if plan.device.size != table.size() {
        let (file, recipe) = (table.size(), plan.device.size);
        seen.notes.push(format!("the file has {file} points a side, the recipe asks for {recipe}"));
    }
    let mut checks = vec![nodes.check()];
    checks.extend(seen.checks(&plan.tolerances));
    let pass = checks.iter().all(|check| check.pass);
    let suspicion = if nodes.pass() { None } else { Some(suspicion::suspect(table, plan, pipeline, &nodes)) };
    // A larger grid mends what lies between the nodes, not a file whose nodes are wrong.
    let smallest_grid =
        if pass || !nodes.pass() { None } else { grid::smallest_that_passes(plan, pipeline, table.size()) };
    let mid_grey_signal = viewer.neutral_signal(viewer.of_table(table, viewer.camera_neutral(0.0)));
    Verification {
        pass,
        checks,
        size: table.size(),
        grey_max_codes: seen.grey.max_codes(),
        monotonic: seen.grey.rising.pass(),
        black_stops: seen.grey.black_stops,
        white_stops: seen.grey.white_stops,
        grey: seen.grey.points,
        patch_mean_de: mean_de(&seen.chart),
        patch_max_de: worst(&seen.chart).map_or(0.0, |patch| patch.de2000),
        patches: seen.chart,
        skin_max_de: worst(&seen.skins).map_or(0.0, |patch| patch.de2000),
        skins: seen.skins,
        clipped_nodes: exact.clips.clipped,
        clips: exact.clips,
        mid_grey_signal,
        nodes,
        search: search::search(&viewer, table),
        shape: shape_seen(table, plan, pipeline),
        cut: cut::cut(&viewer),
        notes: seen.notes,
        suspicion,
        smallest_grid,
    }
}

/// Holds anything that leads `through` from the camera's signal to the display's against a plan and its pipeline: what can be asked of a
/// file that is no table.
#[must_use]
pub fn verify_function(plan: &Plan, pipeline: &Pipeline, through: &dyn Fn(Rgb) -> Rgb) -> FunctionVerification {
    let viewer = Viewer::new(plan, pipeline);
    let seen = Seen::look(&viewer, through);
    let checks = seen.checks(&plan.tolerances);
    FunctionVerification {
        pass: checks.iter().all(|check| check.pass),
        checks,
        grey_max_codes: seen.grey.max_codes(),
        monotonic: seen.grey.rising.pass(),
        black_stops: seen.grey.black_stops,
        white_stops: seen.grey.white_stops,
        grey: seen.grey.points,
        mid_grey_signal: viewer.neutral_signal(through(viewer.camera_neutral(0.0))),
        patch_mean_de: mean_de(&seen.chart),
        patch_max_de: worst(&seen.chart).map_or(0.0, |patch| patch.de2000),
        patches: seen.chart,
        skin_max_de: worst(&seen.skins).map_or(0.0, |patch| patch.de2000),
        skins: seen.skins,
        notes: seen.notes,
    }
}

/// Folds, those among the colours that pictures hold apart, and whether the exact look has them too.
fn shape_seen(table: &Table3, plan: &Plan, pipeline: &Pipeline) -> Shape {
    let colours = PictureColours::of(&plan.camera, plan.adaptation);
    let held = |input: Rgb| colours.hold(input.map(|value| plan.device.input_levels.to_signal(value)));
    shape::shape_of_look(table, held, |input| pipeline.evaluate(input))
}

/// What the tolerances are held against: everything that depends on what lies between the nodes.
struct Seen {
    grey: GreyScale,
    chart: Vec<PatchPoint>,
    skins: Vec<PatchPoint>,
    notes: Vec<String>,
}

impl Seen {
    fn look(viewer: &Viewer<'_>, through: &dyn Fn(Rgb) -> Rgb) -> Self {
        let grey = grey_scale(viewer, through);
        let notes = grey.notes(viewer);
        Self { grey, chart: patches(viewer, through, &CHART), skins: patches(viewer, through, &SKINS), notes }
    }

    fn checks(&self, tolerances: &Tolerances) -> Vec<Check> {
        let mut checks = self.grey.checks(tolerances);
        checks.extend(patches::checks(&self.chart, &self.skins, tolerances));
        checks
    }
}

//! What one LUT makes of every probe.

use super::cells;
use super::probes::{ProbeKind, probes};
use super::record::{ALTERED, Recorded, Recorder, UNKNOWN};
use super::spread::Figures;
use crate::colour::adaptation::Adaptation;
use crate::colour::difference::{Lab, ciede2000, lab_to_xyz, xyz_to_lab};
use crate::colour::gamuts::xy_to_xyz;
use crate::colour::whites::D65;
use crate::lut::{SparseTable, Table3};
use crate::maths::Rgb;
use crate::pipeline::{Clips, Pipeline, Row, transform};
use crate::plan::Plan;
use crate::verify::Viewer;
use nalgebra::{Matrix3, Vector3};
use serde::Serialize;

/// Grids that devices take, common practice, and the largest that this program writes.
const USUAL_GRIDS: [usize; 4] = [17, 33, 65, 129];

/// What one LUT makes of every probe, small enough to keep for a thousand LUTs: less than 10 kB.
///
/// Colours are CIELAB against the monitor's white, in single precision: its 24 bits tell 1e-5 of the 100 steps of L* apart, and
/// two equal colours stay equal.
#[derive(Clone, Debug, Serialize)]
pub struct Seen {
    /// Encoding of the camera.
    pub encoding: &'static str,
    /// Gamut of the camera.
    pub camera_gamut: &'static str,
    /// Encoding of the monitor.
    pub display: &'static str,
    /// Gamut of the monitor.
    pub display_gamut: &'static str,
    /// Points a side of the table.
    pub size: usize,
    /// Luminance of the monitor's white, cd/m².
    pub white_nits: f64,
    /// Luminance of mid-grey through the table, cd/m².
    pub grey_nits: f64,
    /// Largest distance of the table's numbers from the look's, at the nodes around the probes.
    pub worst_node: f64,
    /// How far tables of the look are off the look itself: first one of this table's size (as this table is), then every
    /// larger usual grid. CIEDE2000 over chart, skins and greys.
    pub grids: Vec<Grid>,
    /// Of each probe through the table.
    pub(super) table: Vec<[f32; 3]>,
    /// Through the exact look, with what the table's input is.
    pub(super) exact: Vec<[f32; 3]>,
    /// Through the exact look, had the camera's light reached it without encoding and input levels.
    pub(super) light: Vec<[f32; 3]>,
    /// What was lost on the way.
    pub(super) flags: Vec<u8>,
    /// The monitor's white.
    white: Rgb,
    /// From XYZ under that white to XYZ under D65, by the look's adaptation.
    to_d65: [Rgb; 3],
}

/// How far a table of so many points is off the look.
#[derive(Clone, Debug, Serialize)]
pub struct Grid {
    /// Points a side.
    pub size: usize,
    /// CIEDE2000 from the exact look.
    pub off: Figures,
}

/// Looks at every probe through a table, as read back from its file, and through the exact look.
///
/// Of [`Plan::camera_trim`] it is taken that it brings the camera's real response to the published one: the camera records
/// what the trim turns into the published light.
#[must_use]
pub fn see(plan: &Plan, pipeline: &Pipeline, table: &Table3) -> Seen {
    let (viewer, recorder, probes) = (Viewer::new(plan, pipeline), Recorder::new(plan), probes());
    let recorded: Vec<Recorded> = probes.iter().map(|probe| recorder.record(probe)).collect();
    let inputs: Vec<Rgb> = recorded.iter().map(|one| viewer.lut_input(one.signal)).collect();
    let labs = |outputs: Vec<Rgb>| outputs.into_iter().map(|out| viewer.lab(viewer.shown(out))).collect::<Vec<Lab>>();
    let exact = labs(cells::evaluate(pipeline, &inputs));
    let seen = labs(inputs.iter().map(|input| table.sample(*input, plan.device.interpolation)).collect());
    let known = |place: &usize| probes[*place].kind != ProbeKind::Saturated && recorded[*place].flags & UNKNOWN == 0;
    let off = |labs: &[Lab]| {
        Figures::of((0..probes.len()).filter(known).map(|place| ciede2000(labs[place], exact[place])).collect())
    };
    let larger = USUAL_GRIDS.into_iter().filter(|size| *size > table.size()).map(|size| {
        let grid = SparseTable::new(pipeline, size);
        let through = inputs.iter().map(|input| grid.sample(*input, plan.device.interpolation)).collect();
        Grid { size, off: off(&labs(through)) }
    });
    let grids = std::iter::once(Grid { size: table.size(), off: off(&seen) }).chain(larger).collect();
    let white = plan.display.gamut.white_xyz();
    let grey = probes.iter().position(|probe| probe.kind == ProbeKind::Grey && probe.stops == 0.0);
    let grey = grey.map_or(f64::NAN, |place| lab_to_xyz(seen[place], white.into())[1]);
    let flags = recorded.iter().zip(altered(pipeline, &inputs));
    Seen {
        encoding: plan.camera.curve.encoding().id,
        camera_gamut: plan.camera.gamut.id,
        display: plan.display.encoding.id(),
        display_gamut: plan.display.gamut.id,
        size: table.size(),
        white_nits: plan.display.peak_nits,
        grey_nits: grey * plan.display.peak_nits,
        worst_node: cells::worst_node(table, pipeline, &inputs),
        grids,
        light: single(&labs(run(pipeline, &recorded))),
        table: single(&seen),
        exact: single(&exact),
        flags: flags.map(|(one, altered)| if altered { one.flags | ALTERED } else { one.flags }).collect(),
        white: white.into(),
        to_d65: to_d65(plan.adaptation, white),
    }
}

/// What the look makes of the light itself.
fn run(pipeline: &Pipeline, recorded: &[Recorded]) -> Vec<Rgb> {
    let mut row = Row::default();
    row.fill_pixels(recorded.iter().map(|one| one.linear));
    pipeline.run(&mut row, &mut Clips::default());
    row.pixels().collect()
}

fn altered(pipeline: &Pipeline, inputs: &[Rgb]) -> Vec<bool> {
    let mut row = Row::default();
    row.fill_pixels(inputs.iter().copied());
    pipeline.altered_by_display(&mut row)
}

fn to_d65(adaptation: Adaptation, white: Vector3<f64>) -> [Rgb; 3] {
    let matrix = adaptation.matrix(white, xy_to_xyz([D65.x, D65.y]));
    [0, 1, 2].map(|row| [0, 1, 2].map(|column| matrix[(row, column)]))
}

fn single(labs: &[Lab]) -> Vec<[f32; 3]> {
    labs.iter().map(|lab| [lab.l, lab.a, lab.b].map(|value| value as f32)).collect()
}

impl Seen {
    /// Colours as they were kept, against the monitor's own white.
    pub(super) fn own(&self, labs: &[[f32; 3]]) -> Vec<Lab> {
        labs.iter().map(|lab| lab.map(f64::from)).map(|[l, a, b]| Lab { l, a, b }).collect()
    }

    /// The same adapted to D65, and against that.
    pub(super) fn under_d65(&self, labs: &[[f32; 3]]) -> Vec<Lab> {
        let d65: Rgb = xy_to_xyz([D65.x, D65.y]).into();
        if self.white == d65 {
            return self.own(labs);
        }
        let matrix = Matrix3::from_fn(|row, column| self.to_d65[row][column]);
        let adapted = |lab| xyz_to_lab(transform(&matrix, lab_to_xyz(lab, self.white)), d65);
        self.own(labs).into_iter().map(adapted).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lut::sample;
    use crate::recipe;
    use std::path::Path;

    /// What single precision may change of a CIEDE2000: far less than the two decimals that are told.
    const KEPT: f64 = 1e-4;

    #[test]
    fn single_precision_keeps_the_differences_and_the_size() {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("recipes/snack-bar.toml");
        let loaded = recipe::load(&path, &[]).expect("an example is right");
        let (plan, _) = loaded.recipe.resolve().expect("it has a meaning");
        let (pipeline, _) = Pipeline::build(&plan).expect("it can be built");
        let table = sample(&pipeline, 17).table;
        let seen = see(&plan, &pipeline, &table);
        let (viewer, recorder) = (Viewer::new(&plan, &pipeline), Recorder::new(&plan));
        let (through, exact) = (seen.own(&seen.table), seen.own(&seen.exact));
        let mut worst = 0.0_f64;
        for (place, probe) in probes().iter().enumerate() {
            let signal = recorder.record(probe).signal;
            let labs = [viewer.of_table(&table, signal), viewer.of_look(signal)].map(|signal| viewer.lab(signal));
            let (double, kept) = (ciede2000(labs[0], labs[1]), ciede2000(through[place], exact[place]));
            worst = worst.max((double - kept).abs());
        }
        assert!(worst > 0.0 && worst < KEPT, "single precision changes a difference by {worst:e}");
        let colours = 3 * size_of_val(&*seen.table) + size_of_val(&*seen.flags);
        let bytes = size_of::<Seen>() + size_of_val(&*seen.grids) + colours;
        assert!(bytes <= 10_000, "{bytes} bytes");
    }
}

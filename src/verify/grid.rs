//! The smallest grid that would pass.

use super::Seen;
use super::viewer::Viewer;
use crate::lut::SparseTable;
use crate::pipeline::Pipeline;
use crate::plan::Plan;

/// Grids that devices take, common practice, and the largest that this program writes.
const USUAL_GRIDS: [usize; 4] = [17, 33, 65, 129];

/// The smallest usual grid above `size` that holds all tolerances; `None` if none does.
pub(super) fn smallest_that_passes(plan: &Plan, pipeline: &Pipeline, size: usize) -> Option<usize> {
    let viewer = Viewer::new(plan, pipeline);
    let interpolation = plan.device.interpolation;
    USUAL_GRIDS.into_iter().filter(|grid| *grid > size).find(|grid| {
        let table = SparseTable::new(pipeline, *grid);
        let seen = Seen::look(&viewer, &|camera| viewer.shown(table.sample(viewer.lut_input(camera), interpolation)));
        seen.checks(&plan.tolerances).iter().all(|check| check.pass)
    })
}

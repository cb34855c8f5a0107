//! stub (local only, replaced by the real module)
use crate::{lut::Table3, pipeline::Pipeline, plan::Plan};
/// stub
#[derive(Clone, Debug)]
pub struct Seen;
/// stub
pub fn see(_: &Plan, _: &Pipeline, _: &Table3) -> Seen {
    Seen
}

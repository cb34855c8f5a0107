//! One still four ways: a filter on the lens, the recipe's diffusion, neither, and both.

use super::Lens;
use super::through::{Shown, show};
use crate::formats::cube::Tables;
use crate::lut::sample;
use crate::picture::Frame;
use crate::picture::preview::{Applier, Preview};
use crate::picture::screen::Screen;
use crate::picture::stand_in::StandIn;
use crate::pipeline::{Fault, Pipeline};
use crate::plan::{Diffusion, Plan};

/// The pictures of one still.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// Neither the lens nor the recipe's diffusion.
    pub none: Shown,
    /// The lens alone; the recipe's diffusion is taken out.
    pub lens: Shown,
    /// The recipe's diffusion alone, as the LUT has it.
    pub recipe: Shown,
    /// The lens and the recipe's diffusion: the same thing twice.
    pub both: Shown,
}

/// A still through the LUT of a plan and through the LUT of the same plan without its diffusion, each with the lens and
/// without it. The LUTs have the size and the levels of the plan's device. A plan without diffusion gives the same pictures with
/// the recipe's as without.
///
/// # Errors
/// As [`Pipeline::build`].
pub fn compare(
    plan: &Plan,
    lens: &Lens,
    frame: &Frame,
    stand_in: Option<&StandIn>,
    screen: Option<&Screen>,
) -> Result<Comparison, Vec<Fault>> {
    let preview = |plan: &Plan| -> Result<Preview, Vec<Fault>> {
        let (pipeline, _) = Pipeline::build(plan)?;
        let table = sample(&pipeline, plan.device.size).table;
        Ok(Preview {
            applier: Applier::Tables(Tables::Three(table)),
            device: plan.device,
            stand_in: stand_in.cloned(),
            screen: screen.cloned(),
        })
    };
    let with = preview(plan)?;
    let without = preview(&Plan { diffusion: Diffusion::NONE, ..plan.clone() })?;
    let picture = |lens: &Lens, preview: &Preview| show(lens, preview, &plan.camera, frame);
    Ok(Comparison {
        none: picture(&Lens::default(), &without),
        lens: picture(lens, &without),
        recipe: picture(&Lens::default(), &with),
        both: picture(lens, &with),
    })
}

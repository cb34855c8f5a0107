//! Two ways to one picture, as pictures.

use super::eye::{Balancing, Eye};
use super::ways::{Recipes, recipes};
use crate::diagnostics::{Diagnostic, codes};
use crate::formats::cube::Tables;
use crate::light::{Balance, Lamp, cast};
use crate::lut::sample;
use crate::maths::Rgb;
use crate::picture::apply::apply_function;
use crate::picture::camera_chart::camera_chart;
use crate::picture::chart_frame::ChartKind;
use crate::picture::preview::{Applier, Preview};
use crate::picture::screen::Screen;
use crate::picture::stand_in::{Content, StandIn};
use crate::picture::{Frame, SampleDepth, Samples};
use crate::pipeline::Pipeline;
use crate::plan::Plan;

/// Points a side of the tables that the pictures go through.
const SIZE: usize = 65;

/// Pixels of the built-in chart.
const CHART: [usize; 2] = [1280, 720];

/// Pixels between the four pictures of the sheet.
const GAP: usize = 8;

/// What the pictures are made from.
#[derive(Clone, Copy, Debug)]
pub enum WayStill<'a> {
    /// The built-in chart, in the light.
    Chart,
    /// A still: a log frame that was shot at the setup's balance, cast and all; or an ordinary picture as a stand-in, whose neutral stands for
    /// a neutral of the scene in the light.
    Still(&'a Frame, Content),
}

/// The four pictures, for an sRGB screen, all of one size.
#[derive(Clone, Debug)]
pub struct WayPictures {
    /// What the negative holds with the cast in the camera, through the plain conversion.
    pub negative_in_camera: Frame,
    /// What a neutral negative holds.
    pub negative_neutral: Frame,
    /// The picture with the cast in the camera.
    pub in_camera: Frame,
    /// The picture with the cast in the recipe.
    pub in_recipe: Frame,
}

/// The two ways for a lamp at a balance, as pictures. The camera balances by gains on the channels that it records.
///
/// # Errors
/// Why there are not two, or why the chart can't be drawn.
pub fn way_pictures(
    (plan, pipeline): (&Plan, &Pipeline),
    lamp: &Lamp,
    balance: &Balance,
    still: WayStill<'_>,
) -> Result<WayPictures, Vec<Diagnostic>> {
    let impossible = |why: String| {
        vec![Diagnostic::error(&codes::PREVIEW_IMPOSSIBLE, why).help("take another balance, or another light")]
    };
    let light = lamp.lit().map_err(|_| impossible("no light is like that".to_owned()))?.chromaticity;
    let left =
        cast(light, balance, plan.adaptation).ok_or_else(|| impossible("the cast is beyond ±1000 mired".to_owned()))?;
    let recipes = recipes(plan, light, balance, &left).map_err(impossible)?;
    let eye = Eye::new(plan, pipeline);
    let card = |white: &Balance| eye.card_light(light, white.white(), Balancing::Channels);
    let unseen = || impossible("a channel of the recording has no light at this balance".to_owned());
    let (warm, neutral) = (card(balance).ok_or_else(unseen)?, card(&recipes.neutral).ok_or_else(unseen)?);
    // From what a neutral negative holds to what one with the cast holds.
    let gains = [0, 1, 2].map(|channel| warm[channel] / neutral[channel]);
    let (negative_neutral, negative_in_camera) = negatives(plan, &eye, still, gains)?;
    let Recipes { in_recipe, plain, .. } = &recipes;
    let shown = |(plan, pipeline): (&Plan, &Pipeline), negative: &Frame| {
        let preview = Preview {
            applier: Applier::Tables(Tables::Three(sample(pipeline, SIZE).table)),
            device: plan.device,
            stand_in: None,
            screen: Some(Screen::new(plan, None)),
        };
        preview.apply(negative).frame.to_depth(SampleDepth::Eight).frame
    };
    Ok(WayPictures {
        negative_in_camera: shown((&plain.0, &plain.1), &negative_in_camera),
        negative_neutral: shown((&plain.0, &plain.1), &negative_neutral),
        in_camera: shown((plan, pipeline), &negative_in_camera),
        in_recipe: shown((&in_recipe.0, &in_recipe.1), &negative_neutral),
    })
}

/// The neutral negative and the one with the cast, as log signals in floats.
///
/// The camera multiplies light of its published response; its trim comes on top, as in what it records.
fn negatives(plan: &Plan, eye: &Eye<'_>, still: WayStill<'_>, gains: Rgb) -> Result<(Frame, Frame), Vec<Diagnostic>> {
    let curve = plan.camera.curve;
    let held = |signal: f64| if signal.is_nan() { 0.0 } else { signal.clamp(0.0, 1.0) };
    let light = |signal: Rgb| signal.map(|value| curve.decode(value));
    // Where a trim can't be undone, no such light was recorded by that camera: the published one stands for it.
    let signal = |light: Rgb| eye.recorded(light).unwrap_or(light).map(|value| held(curve.encode(value)));
    let gained = |light: Rgb, by: Rgb| [0, 1, 2].map(|channel| by[channel] * light[channel]);
    let floats = |frame: &Frame| frame.to_depth(SampleDepth::Float).frame;
    let both = |frame: &Frame, published: &(dyn Fn(Rgb) -> Rgb + Sync)| {
        let neutral = apply_function(frame, |pixel| signal(published(pixel))).frame;
        (neutral, apply_function(frame, |pixel| signal(gained(published(pixel), gains))).frame)
    };
    match still {
        WayStill::Chart => {
            let chart = camera_chart(ChartKind::Sheet, &plan.camera, plan.adaptation, CHART)?.frame;
            Ok(both(&floats(&chart), &light))
        }
        WayStill::Still(frame, content) => match StandIn::new(content, plan, 0.0) {
            Some(stand_in) => Ok(both(&floats(frame), &|pixel| light(stand_in.signal(pixel).map(held)))),
            None => {
                let (shot, back) = (floats(frame), gains.map(|gain| 1.0 / gain));
                let neutral = apply_function(&shot, |pixel| signal(gained(eye.published(light(pixel)), back))).frame;
                Ok((neutral, shot))
            }
        },
    }
}

impl WayPictures {
    /// All four on one sheet: negatives left, pictures right; the cast in the camera above, in the recipe below. `None` where the sheet would be too
    /// large for a frame.
    #[must_use]
    pub fn sheet(&self) -> Option<Frame> {
        let (width, height) = (self.in_camera.width(), self.in_camera.height());
        let (across, down) = (2 * width + GAP, 2 * height + GAP);
        let mut codes = vec![0_u8; across.checked_mul(down)?.checked_mul(3)?];
        let places = [
            (&self.negative_in_camera, 0, 0),
            (&self.in_camera, width + GAP, 0),
            (&self.negative_neutral, 0, height + GAP),
            (&self.in_recipe, width + GAP, height + GAP),
        ];
        for (frame, left, top) in places {
            let Samples::Codes(samples) = frame.samples() else { return None };
            for (row, line) in samples.chunks_exact(width * frame.channels()).enumerate() {
                let start = ((top + row) * across + left) * 3;
                let target = codes[start..start + 3 * width].as_chunks_mut::<3>().0;
                for (pixel, sample) in target.iter_mut().zip(line.chunks_exact(frame.channels())) {
                    // The high byte of a 16-bit code that stands for an 8-bit one is that one.
                    *pixel = [0, 1, 2].map(|channel| (sample[channel] >> 8) as u8);
                }
            }
        }
        Frame::from_eight_bit(across, down, false, &codes)
    }
}

//! A look on still pictures, as the device that applies the LUT would show it.
//!
//! still → (stand-in for the camera) → levels in → table or exact pipeline → levels out → (computer screen)

use super::apply::{Applied, apply_function, apply_rows, apply_table, hold};
use super::screen::Screen;
use super::stand_in::StandIn;
use super::{Frame, SampleDepth};
use crate::formats::clf::ProcessList;
use crate::formats::cube::Tables;
use crate::maths::Rgb;
use crate::pipeline::{Clips, Pipeline, Row};
use crate::plan::{Device, Levels};
use crate::verify::{LightOf, Mapping};
use std::sync::Arc;

/// What a look is applied by.
#[derive(Clone, Debug)]
pub enum Applier {
    /// A table, as a device holds it.
    Tables(Tables),
    /// The look itself, without a table.
    Exact(Box<Pipeline>),
    /// A list of steps, evaluated as it stands, behind what makes light of the camera's signal where it takes light.
    Steps(Arc<ProcessList>, Option<Box<LightOf>>),
    /// A list of steps that takes light, for pictures that are light themselves: nothing is held to 0..1 before it.
    Light(Arc<ProcessList>, Box<LightOf>),
}

/// A look, ready for stills.
#[derive(Clone, Debug)]
pub struct Preview {
    /// What the look is applied by.
    pub applier: Applier,
    /// What the device feeds to its LUT stage and makes of its output. The size is not used.
    pub device: Device,
    /// Where the stills are not the camera's log signal: what turns them into it.
    pub stand_in: Option<StandIn>,
    /// Where the picture is for a computer screen and not for the look's display.
    pub screen: Option<Screen>,
}

impl Preview {
    /// The picture of a still: 16-bit codes from a frame of codes, floats from a frame of floats.
    ///
    /// A still is the camera's signal, full range (or becomes it by a stand-in). A device with legal input levels holds it to
    /// codes 64..940 of 10 bits first; what lies outside is clamped and counted. The result is the full-range signal of the
    /// look's display, or of an sRGB screen. A stand-in of codes is worked out in floats and rounded once, at the end.
    #[must_use]
    pub fn apply(&self, frame: &Frame) -> Applied {
        let Some(stand_in) = &self.stand_in else {
            return self.shown(self.on_device(frame));
        };
        let light = frame.to_depth(SampleDepth::Float).frame;
        let signal = apply_function(&light, |pixel| stand_in.signal(pixel)).frame;
        let shown = self.shown(self.on_device(&signal));
        if frame.depth() == SampleDepth::Float {
            return shown;
        }
        let rounded = shown.frame.to_depth(SampleDepth::Sixteen);
        Applied {
            frame: rounded.frame,
            clamped_outputs: shown.clamped_outputs + rounded.clamped_samples,
            clamped_inputs: shown.clamped_inputs,
        }
    }

    /// The signal of the look's display.
    fn on_device(&self, frame: &Frame) -> Applied {
        let Device { interpolation, input_levels, output_levels, .. } = self.device;
        let plain = input_levels == Levels::Full && output_levels == Levels::Full;
        match &self.applier {
            Applier::Tables(Tables::Three(table)) if plain => apply_table(frame, table, interpolation),
            Applier::Tables(tables) => self.through(frame, each(|value| tables.sample(value, interpolation))),
            Applier::Exact(pipeline) => self.through(frame, |pixels| evaluate(pipeline, pixels)),
            Applier::Steps(list, light) => {
                let mapping = Mapping::of_steps(list, light.as_deref());
                self.through(frame, each(|value| mapping.apply(value)))
            }
            Applier::Light(list, light) => apply_function(frame, |value| list.apply(light.apply(value))),
        }
    }

    fn through(&self, frame: &Frame, look: impl Fn(&mut [Rgb]) + Sync) -> Applied {
        let Device { input_levels, output_levels, .. } = self.device;
        apply_rows(frame, |row| {
            let mut clamped = 0;
            for pixel in row.iter_mut() {
                *pixel = pixel.map(|value| input_levels.from_signal(value));
                clamped += hold(pixel);
            }
            look(row);
            row.iter_mut().for_each(|pixel| *pixel = pixel.map(|value| output_levels.from_signal(value)));
            clamped
        })
    }

    fn shown(&self, applied: Applied) -> Applied {
        let Some(screen) = &self.screen else { return applied };
        let shown = apply_rows(&applied.frame, |row| {
            screen.signals(row);
            0
        });
        Applied {
            frame: shown.frame,
            clamped_inputs: applied.clamped_inputs,
            clamped_outputs: applied.clamped_outputs + shown.clamped_outputs,
        }
    }
}

/// A function of one colour for a row of them.
fn each(look: impl Fn(Rgb) -> Rgb + Sync) -> impl Fn(&mut [Rgb]) + Sync {
    move |row| row.iter_mut().for_each(|pixel| *pixel = look(*pixel))
}

/// A row through the exact look: the bits of [`Pipeline::evaluate`], sooner.
fn evaluate(pipeline: &Pipeline, pixels: &mut [Rgb]) {
    let mut row = Row::default();
    row.fill_pixels(pixels.iter().copied());
    pipeline.evaluate_row(&mut row, &mut Clips::default());
    pixels.iter_mut().zip(row.pixels()).for_each(|(pixel, result)| *pixel = result);
}

//! The blocks of a look, one file each, and the [`Pipeline`] that runs them in order.
//!
//! levels in → log decode → camera matrix → trim → exposure → input gamut compression → diffusion → white →
//! grade (CDL) → split → tone → colour (saturation, hue bands) → (mix with the plain conversion) → output gamut →
//! (monochrome) → display encode → after (a table from post) → levels out
//!
//! Scene side: everything before *tone*, linear in ACEScg (AP1, ACES white). Display side: everything after it.
//! Conversion never clips; the two places that do ([`grade`](Cdl)'s floor and the display's 0..1) count what they cut
//! in [`Clips`].

mod after;
mod bend;
mod cdl;
mod clips;
mod colour;
mod compression;
mod diffusion;
mod fault;
mod mix;
mod output;
mod row;
mod split;
mod tone;
mod trim;
mod white;

pub use after::AfterBlock;
pub use cdl::CdlBlock;
pub(crate) use clips::CLIP_TOLERANCE;
pub use clips::Clips;
pub use colour::ColourBlock;
pub use compression::InputCompression;
pub use diffusion::DiffusionBlock;
pub use fault::Fault;
pub use output::OutputBlock;
pub use row::Row;
pub use split::SplitBlock;
pub use tone::ToneBlock;
pub use trim::RootTrim;
pub(crate) use trim::check as check_trim;
pub(crate) use trim::undo as undo_trim;
pub use white::tint_matrix;

use crate::colour::adaptation::Adaptation;
use crate::colour::displays::Display;
use crate::colour::encodings::Curve;
use crate::colour::gamuts::{self, Gamut};
use crate::maths::rows::pow_row;
use crate::maths::{Rgb, exp2};
use crate::plan::{Cdl, Levels, Plan, Trim};
use mix::MixBlock;
use nalgebra::{Matrix3, Vector3};

/// One step of the way from scene light to the display.
#[derive(Clone, Debug)]
pub(crate) enum Block {
    Matrix(Matrix3<f64>),
    RootTrim(RootTrim),
    InputCompression(InputCompression),
    Diffusion(DiffusionBlock),
    Cdl(CdlBlock),
    Split(SplitBlock),
    Tone(ToneBlock),
    Colour(Box<ColourBlock>),
    Mix(Box<MixBlock>),
}

impl Block {
    pub(crate) fn apply(&self, row: &mut Row, clips: &mut Clips) {
        match self {
            Self::Matrix(matrix) => row.each(|rgb| transform(matrix, rgb)),
            Self::RootTrim(block) => row.each(|rgb| block.apply(rgb)),
            Self::InputCompression(block) => block.apply(row),
            Self::Diffusion(block) => row.each(|rgb| block.apply(rgb)),
            Self::Cdl(block) => row.each(|rgb| block.apply(rgb, clips)),
            Self::Split(block) => row.each(|rgb| block.apply(rgb)),
            Self::Tone(block) => block.apply(row),
            Self::Colour(block) => block.apply(row),
            Self::Mix(block) => block.apply(row, clips),
        }
    }
}

/// The ordered blocks of one [`Plan`]: from what the device feeds to its LUT stage to what the LUT gives back.
#[derive(Clone, Debug)]
pub struct Pipeline {
    curve: Curve,
    input_levels: Levels,
    blocks: Vec<Block>,
    /// How many of the blocks, from the first, bring the camera's light into ACEScg; the others are the look.
    of_camera: usize,
    output: OutputBlock,
    monochrome: bool,
    display: Display,
    after: Option<AfterBlock>,
    output_levels: Levels,
}

impl Pipeline {
    /// Builds the blocks of a plan. Doubtful values come back as warnings beside the pipeline.
    ///
    /// # Errors
    /// Values that fit their ranges but make no picture together: a straight line longer than the way to white, a
    /// tint that no light has. Each names the parameter that it is about.
    pub fn build(plan: &Plan) -> Result<(Self, Vec<Fault>), Vec<Fault>> {
        let mut faults = Vec::new();
        let mut blocks = Vec::new();
        camera_blocks(plan, &mut blocks, &mut faults);
        let of_camera = blocks.len();
        let mut look = Vec::new();
        scene_blocks(plan, &mut look, &mut faults);
        let mut plain = Vec::new();
        if let Some(tone) = &plan.tone {
            match ToneBlock::new(tone) {
                Ok((block, warnings)) => {
                    faults.extend(warnings);
                    plain.push(Block::Tone(block.clone()));
                    look.push(Block::Tone(block));
                }
                Err(errors) => faults.extend(errors),
            }
            faults.extend(tone::hue_hold_warning(plan, tone));
        }
        if !plan.colour.is_identity() {
            let (block, warnings) = ColourBlock::new(&plan.colour, plan.adaptation);
            faults.extend(warnings);
            look.push(Block::Colour(Box::new(block)));
        }
        if plan.strength == 1.0 {
            blocks.append(&mut look);
        } else if plan.strength == 0.0 {
            blocks.append(&mut plain);
        } else {
            blocks.push(Block::Mix(Box::new(MixBlock::new(plan.strength, look, plain, plan.adaptation))));
        }
        if faults.iter().any(|fault| fault.diagnostic.is_error()) {
            return Err(faults);
        }
        let pipeline = Self {
            curve: plan.camera.curve,
            input_levels: plan.device.input_levels,
            blocks,
            of_camera,
            output: OutputBlock::new(&plan.output, plan.display.gamut, plan.adaptation),
            monochrome: plan.monochrome,
            display: Display::new(plan.display.encoding, plan.display.peak_nits),
            after: plan.after.as_ref().map(AfterBlock::new),
            output_levels: plan.device.output_levels,
        };
        Ok((pipeline, faults))
    }

    /// What the LUT gives for the input `u`, 0..1 at the device's LUT stage. Values outside 0..1 follow the formulas.
    #[must_use]
    pub fn evaluate(&self, u: Rgb) -> Rgb {
        let mut row = Row::default();
        row.fill_pixels(std::iter::once(u));
        self.evaluate_row(&mut row, &mut Clips::default());
        row.pixels().next().unwrap_or_default()
    }

    /// The same for a row of inputs, which the outputs replace; what was clipped on the way is added to `clips`.
    pub fn evaluate_row(&self, row: &mut Row, clips: &mut Clips) {
        row.each(|u| u.map(|value| self.decode(value)));
        self.run(row, clips);
    }

    /// The tone block; `None` for a technical conversion.
    #[must_use]
    pub fn tone(&self) -> Option<&ToneBlock> {
        self.blocks.iter().find_map(|block| match block {
            Block::Tone(tone) => Some(tone),
            Block::Mix(mix) => mix.tone(),
            _ => None,
        })
    }

    /// The blocks that bring the camera's light into ACEScg: camera matrix, trims, exposure, input gamut compression.
    pub(crate) fn camera_blocks(&self) -> &[Block] {
        &self.blocks[..self.of_camera]
    }

    /// The blocks of the look, up to display-linear ACEScg.
    pub(crate) fn look_blocks(&self) -> &[Block] {
        &self.blocks[self.of_camera..]
    }

    /// From display-linear ACEScg to the light of the display's own channels, 0..1.
    pub(crate) fn to_display_light(&self, row: &mut Row) {
        self.output.apply(row, &mut Clips::default());
        if self.monochrome {
            self.output.to_luminance(row);
        }
    }

    /// From the light of the display's own channels to its signal at full levels, 0..1.
    pub(crate) fn to_display_signal(&self, row: &mut Row) {
        self.encode(row);
        row.each(|signal| signal.map(|value| value.clamp(0.0, 1.0)));
    }

    /// The output block.
    #[must_use]
    pub fn output(&self) -> &OutputBlock {
        &self.output
    }

    /// Camera-linear light of one channel for a value at the LUT stage.
    #[must_use]
    pub fn decode(&self, u: f64) -> f64 {
        self.curve.decode(self.input_levels.to_signal(u))
    }

    /// From camera-linear light, as [`Self::decode`] gives it, to what the LUT gives.
    pub fn run(&self, row: &mut Row, clips: &mut Clips) {
        for block in &self.blocks {
            block.apply(row, clips);
        }
        self.output.apply(row, clips);
        if self.monochrome {
            self.output.to_luminance(row);
        }
        self.encode(row);
        let levels = self.output_levels;
        row.each(|signal| {
            clips.count_over_signal(signal);
            let signal = self.behind(signal.map(|value| value.clamp(0.0, 1.0)), clips);
            signal.map(|value| levels.to_signal(value))
        });
    }

    /// What the table from post makes of the display's signal at full levels; the signal itself where there is none.
    pub(crate) fn behind(&self, signal: Rgb, clips: &mut Clips) -> Rgb {
        match &self.after {
            None => signal,
            Some(after) if self.monochrome => self.without_colour(after.apply(signal, clips)),
            Some(after) => after.apply(signal, clips),
        }
    }

    /// For a row of inputs as [`Self::evaluate_row`] takes them, whether the display's gamut or the end of its signal alters
    /// what the look makes of each: whether it is compressed or clipped. The row is used up.
    #[must_use]
    pub fn altered_by_display(&self, row: &mut Row) -> Vec<bool> {
        let mut unseen = Clips::default();
        row.each(|u| u.map(|value| self.decode(value)));
        self.blocks.iter().for_each(|block| block.apply(row, &mut unseen));
        let mut altered = self.output.touches(row);
        self.output.apply(row, &mut unseen);
        self.encode(row);
        for (altered, signal) in altered.iter_mut().zip(row.pixels()) {
            *altered |= signal.iter().any(|value| *value > 1.0 + clips::CLIP_TOLERANCE);
        }
        altered
    }

    /// The neutral signal of the same light: a table from post may have coloured what was grey.
    fn without_colour(&self, signal: Rgb) -> Rgb {
        let luminance = self.output.luminance(self.display.decode(signal));
        self.display.encode([luminance; 3]).map(|value| value.clamp(0.0, 1.0))
    }

    /// Display-linear light to signal: pure powers over the whole row, other encodings pixel by pixel.
    fn encode(&self, row: &mut Row) {
        match self.display.power() {
            Some(power) => row.channels().into_iter().for_each(|channel| pow_row(channel, 1.0 / power)),
            None => row.each(|light| self.display.encode(light)),
        }
    }
}

/// From the camera's light to the scene in ACEScg: what look and plain conversion have in common.
fn camera_blocks(plan: &Plan, blocks: &mut Vec<Block>, faults: &mut Vec<Fault>) {
    let mut pending = camera_to_acescg(plan.camera.gamut, plan.adaptation);
    for trim in [&plan.camera_trim, &plan.trim] {
        if *trim == Trim::IDENTITY {
            continue;
        }
        faults.extend(trim::check(trim));
        if trim.root == [[0.0; 3]; 3] {
            pending = trim::linear_part(trim) * pending;
        } else {
            blocks.push(Block::Matrix(pending));
            blocks.push(Block::RootTrim(RootTrim::new(trim)));
            pending = Matrix3::identity();
        }
    }
    pending *= exp2(plan.exposure_stops);
    if pending != Matrix3::identity() {
        blocks.push(Block::Matrix(pending));
    }
    if plan.input_compress {
        blocks.push(Block::InputCompression(InputCompression::published()));
    }
}

/// The look on the scene side.
fn scene_blocks(plan: &Plan, blocks: &mut Vec<Block>, faults: &mut Vec<Fault>) {
    if !plan.diffusion.is_identity() {
        blocks.push(Block::Diffusion(DiffusionBlock::new(&plan.diffusion)));
    }
    if !plan.white.is_identity() {
        match tint_matrix(&plan.white, plan.adaptation, "white") {
            Ok(matrix) => blocks.push(Block::Matrix(matrix)),
            Err(fault) => faults.push(fault),
        }
    }
    if plan.grade != Cdl::IDENTITY {
        blocks.push(Block::Cdl(CdlBlock::new(&plan.grade)));
    }
    if !plan.split.is_identity() {
        match SplitBlock::new(&plan.split, plan.adaptation) {
            Ok(block) => {
                faults.extend(block.falling_channel());
                blocks.push(Block::Split(block));
            }
            Err(errors) => faults.extend(errors),
        }
    }
}

/// Camera RGB → ACEScg: normalised primary matrix, adaptation to the ACES white, AP1.
#[must_use]
pub fn camera_to_acescg(camera: &Gamut, adaptation: Adaptation) -> Matrix3<f64> {
    let acescg = &gamuts::ACESCG;
    if camera.id == acescg.id {
        return Matrix3::identity();
    }
    acescg.from_xyz() * adaptation.matrix(camera.white_xyz(), acescg.white_xyz()) * camera.to_xyz()
}

/// Matrix times pixel, summed from left to right.
#[must_use]
pub fn transform(matrix: &Matrix3<f64>, [r, g, b]: Rgb) -> Rgb {
    [
        matrix[(0, 0)] * r + matrix[(0, 1)] * g + matrix[(0, 2)] * b,
        matrix[(1, 0)] * r + matrix[(1, 1)] * g + matrix[(1, 2)] * b,
        matrix[(2, 0)] * r + matrix[(2, 1)] * g + matrix[(2, 2)] * b,
    ]
}

/// The Y row of ACEScg → XYZ: weights of the AP1 luminance.
fn acescg_luminance() -> Vector3<f64> {
    gamuts::ACESCG.to_xyz().row(1).transpose()
}

//! The files for post of one look and camera: a cube, and the same in steps.

use super::manifest::{FitNote, Reference};
use crate::compile::header_of;
use crate::diagnostics::Diagnostic;
use crate::exchange::{Step, Translation, WholeError, fit, for_post, from_aces, is_cdl, plain_with, to_aces};
use crate::formats::clf::{self, ProcessList};
use crate::formats::cube;
use crate::lut::{Table3, sample};
use crate::maths::CODE10_MAX;
use crate::pipeline::Pipeline;
use crate::plan::{Cdl, Plan};
use crate::show::Job;
use crate::verify::Viewer;
use sha2::{Digest, Sha256};

/// Points a side of cubes for post: the largest that is read everywhere. Common practice, no source.
pub const POST_SIZE: usize = 65;

/// A look for one camera as post sees it: full levels, the reference display.
#[derive(Clone, Debug)]
pub struct PostLook {
    /// Its plan.
    pub plan: Plan,
    /// Its blocks.
    pub pipeline: Pipeline,
}

impl PostLook {
    /// That of a job.
    ///
    /// # Errors
    /// None that could happen: the job's own pipeline was built from the same values.
    pub fn of(job: &Job) -> Result<Self, Vec<Diagnostic>> {
        Self::of_plan(&job.plan, job)
    }

    fn of_plan(plan: &Plan, job: &Job) -> Result<Self, Vec<Diagnostic>> {
        let plan = for_post(plan, POST_SIZE);
        match Pipeline::build(&plan) {
            Ok((pipeline, _)) => Ok(Self { plan, pipeline }),
            Err(faults) => Err(faults.into_iter().map(|fault| job.recipe.locate(fault)).collect()),
        }
    }

    /// The plain conversion under the look.
    ///
    /// # Errors
    /// As [`Self::of`].
    pub fn plain(&self, job: &Job) -> Result<Self, Vec<Diagnostic>> {
        Self::of_plan(&plain_with(&self.plan, Cdl::IDENTITY), job)
    }

    /// The display, in the manifest's words.
    #[must_use]
    pub fn reference(&self, monitor: &str) -> Reference {
        let display = &self.plan.display;
        Reference {
            monitor: monitor.to_owned(),
            encoding: display.encoding.id().to_owned(),
            gamut: display.gamut.id.to_owned(),
            peak_nits: display.peak_nits,
        }
    }
}

/// The cube of a look for post, and what it misses of the look.
///
/// # Errors
/// None that could happen: a look that leaves the finite numbers is refused before.
pub fn cube_bytes(look: &PostLook, title: &str, facts: &[(&str, String)]) -> (Vec<u8>, WholeError) {
    let table = sample(&look.pipeline, POST_SIZE).table;
    let error = table_error(look, &table);
    let mut bytes = Vec::new();
    cube::write(&table, &header_of(&look.plan, title, facts), &mut bytes);
    (bytes, error)
}

/// What a table misses of the look, at the same colours as the steps.
fn table_error(look: &PostLook, table: &Table3) -> WholeError {
    let viewer = Viewer::new(&look.plan, &look.pipeline);
    Translation::new(&look.plan, &look.pipeline).error_through(|signal| viewer.of_table(table, signal))
}

/// What all cameras of a look share: its steps behind the camera's.
#[derive(Clone, Debug)]
pub(super) struct Shared {
    scene: Vec<Step>,
    display: Vec<Step>,
    exposure: Option<Step>,
}

impl Shared {
    /// For a look, with tables that hold light up to `top`.
    pub(super) fn new(look: &PostLook, top: f64) -> Self {
        let translation = Translation::new(&look.plan, &look.pipeline).with_top(top);
        Self { scene: translation.scene(), display: translation.display(), exposure: translation.exposure() }
    }

    /// Whether the look does anything between light and light.
    pub(super) fn has_scene(&self) -> bool {
        !self.scene.is_empty() || self.exposure.is_some()
    }

    /// From the camera's signal to the display's, and what that misses.
    pub(super) fn whole(&self, look: &PostLook, input: &[Step], said: Said<'_>) -> (ProcessList, WholeError) {
        let translation = Translation::new(&look.plan, &look.pipeline);
        let mut steps = input.to_vec();
        steps.extend(self.exposure.iter().cloned());
        steps.extend(self.scene.iter().cloned());
        steps.extend(self.display.iter().cloned());
        let about =
            "the whole look, from the camera's signal to the display's; nothing else is needed before or behind it";
        let ends = [signal_words(&look.plan), display_words(&look.plan)];
        let mut whole = named(look, said, "whole", about, [&ends[0], &ends[1]], steps);
        let error = translation.error_of(&whole);
        whole.descriptions.push(format!(
            "Held against the exact look on chart, skins, hues and greys: CIEDE2000 {:.3} mean and {:.2} most on chart and skins at -3 to +3 \
             stops; at most {:.1} ten-bit codes in a channel",
            error.mean_de, error.max_de, error.codes
        ));
        (whole, error)
    }

    /// The look from ACES2065-1 to ACES2065-1.
    pub(super) fn in_aces(&self, look: &PostLook, said: Said<'_>) -> ProcessList {
        let mut steps = self.scene_from_aces();
        steps.push(to_aces());
        let about = "the look on the scene side; the tone curve and everything behind it stand in the output";
        named(look, said, "look", about, [ACES_LIGHT, ACES_LIGHT], steps)
    }

    /// From ACES2065-1, behind [`Self::in_aces`], to the display's signal.
    pub(super) fn output(&self, look: &PostLook, said: Said<'_>) -> ProcessList {
        let mut steps = vec![from_aces()];
        steps.extend(self.display.iter().cloned());
        let about = "tone, colour, gamut and encoding of the display";
        named(look, said, "output", about, [ACES_LIGHT, &display_words(&look.plan)], steps)
    }

    /// Both together, for scene-linear pictures.
    pub(super) fn linear(&self, look: &PostLook, said: Said<'_>) -> ProcessList {
        let mut steps = self.scene_from_aces();
        steps.extend(self.display.iter().cloned());
        let about = "the whole look for scene-linear pictures: renders and graphics; the input gamut compression belongs to the camera's input \
                     and is not in it";
        named(look, said, "linear", about, [ACES_LIGHT, &display_words(&look.plan)], steps)
    }

    fn scene_from_aces(&self) -> Vec<Step> {
        let mut steps = vec![from_aces()];
        steps.extend(self.exposure.iter().cloned());
        steps.extend(self.scene.iter().cloned());
        steps
    }
}

/// From a camera's signal to ACEScg.
pub(super) fn input_steps(look: &PostLook) -> Vec<Step> {
    Translation::new(&look.plan, &look.pipeline).input()
}

/// From a camera's signal to ACES2065-1.
pub(super) fn input(look: &PostLook, input: &[Step], said: Said<'_>) -> ProcessList {
    let mut steps = input.to_vec();
    steps.push(to_aces());
    let about =
        "the camera's signal to light, for every look that shares this file; a recipe's exposure is in the look";
    let camera = format!("camera {}", said.camera);
    let mut list =
        named(look, Said { look: &camera, ..said }, "input", about, [&signal_words(&look.plan), ACES_LIGHT], steps);
    // It belongs to no look: what it depends on is the camera alone.
    let key = format!("{}\n{}\n{}", signal_words(&look.plan), said.camera, input_key(&look.plan));
    list.id = format!("lw-input-{}", &crate::plan::hex(&Sha256::digest(key.as_bytes()))[..32]);
    list.descriptions[1] = format!("made by lookwright {}", env!("CARGO_PKG_VERSION"));
    list
}

/// What the input of a look depends on beside the camera's id.
pub(super) fn input_key(plan: &Plan) -> String {
    format!("{:?} {:?} {} {:?}", plan.camera_trim, plan.trim, plan.input_compress, plan.adaptation)
}

/// The brightest light of a look's camera, for tables that serve several.
pub(super) fn top(look: &PostLook) -> f64 {
    Translation::new(&look.plan, &look.pipeline).top()
}

/// What the lists say of themselves.
#[derive(Clone, Copy, Debug)]
pub(super) struct Said<'a> {
    /// Name of the show.
    pub show: &'a str,
    /// The look in words.
    pub look: &'a str,
    /// Id of the camera.
    pub camera: &'a str,
}

/// What all lists share about ACES2065-1.
const ACES_LIGHT: &str = "scene-linear ACES2065-1 (AP0), 18 % grey at 0.18";

/// The output of the plain conversion that a fitted CDL is seen through.
pub(super) fn plain_output(look: &PostLook, said: Said<'_>, top: f64) -> ProcessList {
    let translation = Translation::new(&look.plan, &look.pipeline).with_top(top);
    let mut steps = vec![from_aces()];
    steps.extend(translation.display());
    let about = "the plain conversion under the look, for the nearest CDL alone: tone, gamut and encoding without the look's colours";
    named(look, said, "plain", about, [ACES_LIGHT, &display_words(&look.plan)], steps)
}

fn named(look: &PostLook, said: Said<'_>, kind: &str, about: &str, ends: [&str; 2], steps: Vec<Step>) -> ProcessList {
    let mut nodes: Vec<clf::Node> = steps.into_iter().map(|step| step.node).collect();
    for (place, node) in nodes.iter_mut().enumerate() {
        node.id = format!("{kind}-{}", place + 1);
    }
    let fingerprint = look.plan.fingerprint();
    let digest = crate::plan::hex(&Sha256::digest(format!("{kind}\n{fingerprint}\n{}", said.camera).as_bytes()));
    ProcessList {
        id: format!("lw-{kind}-{}", &digest[..32]),
        name: format!("{}, {}, {kind}", said.show, said.look),
        descriptions: vec![
            format!("{} of the show {}: {about}", said.look, said.show),
            format!("fingerprint {fingerprint}; made by lookwright {}", env!("CARGO_PKG_VERSION")),
        ],
        input: ends[0].to_owned(),
        output: ends[1].to_owned(),
        nodes,
    }
}

fn signal_words(plan: &Plan) -> String {
    let index = plan.camera.curve.exposure_index().map_or(String::new(), |index| format!(" at EI {index}"));
    let name = plan.camera.curve.encoding().name;
    format!("{name}{index} / {}, full range: 10-bit code / {CODE10_MAX}", plan.camera.gamut.name)
}

fn display_words(plan: &Plan) -> String {
    let peak = if plan.display.encoding.needs_peak() {
        format!(", white at {} cd/m²", plan.display.peak_nits)
    } else {
        String::new()
    };
    format!("{} / {} signal, full range{peak}", plan.display.encoding.name(), plan.display.gamut.name)
}

/// What a CDL in place of a look misses; `None` where the look is nothing but its CDL.
pub(super) fn nearest(look: &PostLook) -> Option<(Cdl, FitNote)> {
    if is_cdl(&look.plan) {
        return None;
    }
    let found = fit(&look.plan, &look.pipeline);
    let note = FitNote {
        file: String::new(),
        through: String::new(),
        mean_de: found.mean_de,
        de_95: found.de_95,
        max_de: found.max_de,
        plain_mean_de: found.plain_mean_de,
    };
    Some((found.cdl, note))
}

//! Everything that a report page says, put together.

use super::words::{asked, headline, in_words};
use super::{CastPoint, DifferenceMap, Pictures, Portrait, ReportScopes, Shown, Studio};
use crate::diagnostics::Diagnostic;
use crate::explain::{Origin, parameters};
use crate::formats::cube::Tables;
use crate::lut::{Table3, sample};
use crate::picture::preview::{Applier, Preview};
use crate::picture::screen::{Screen, ScreenKind};
use crate::pipeline::Pipeline;
use crate::plan::{Camera, Device, DisplayTarget, Plan};
use crate::recipe::Recipe;
use crate::verify::comparison::Difference;
use crate::verify::{Cast, Comparison, GreyPoint, Inspection, Mapping, Verification, View};

/// A LUT file, as a page names it.
#[derive(Clone, Debug, Default)]
pub struct FileFacts {
    /// Its name, without a folder.
    pub name: String,
    /// Its SHA-256, 64 hexadecimal digits.
    pub sha256: String,
    /// Fingerprint of the look that it was made from; empty where nobody knows.
    pub fingerprint: String,
}

/// A camera, a monitor and how a LUT is used between them, in words.
#[derive(Clone, Debug)]
pub struct Use {
    /// The camera's encoding and gamut.
    pub camera: String,
    /// The display's encoding, gamut and peak.
    pub monitor: String,
    /// Levels at the LUT's input: `full` or `legal`.
    pub input_levels: &'static str,
    /// Levels at its output.
    pub output_levels: &'static str,
    /// How this is known; empty where a recipe says it.
    pub known: String,
    /// Whether the levels are known, and no assumption.
    pub levels_known: bool,
}

impl Use {
    /// The words for a camera, a display and a device.
    #[must_use]
    pub fn new(camera: &Camera, display: &DisplayTarget, device: &Device) -> Self {
        let index = camera.curve.exposure_index().map_or(String::new(), |index| format!(", EI {index}"));
        let peak =
            if display.encoding.needs_peak() { format!(", {} cd/m²", display.peak_nits) } else { String::new() };
        Self {
            camera: format!("{} / {}{index}", camera.curve.encoding().name, camera.gamut.name),
            monitor: format!("{} / {}{peak}", display.encoding.name(), display.gamut.name),
            input_levels: device.input_levels.id(),
            output_levels: device.output_levels.id(),
            known: String::new(),
            levels_known: true,
        }
    }
}

/// A setting of a recipe.
#[derive(Clone, Debug)]
pub struct Setting {
    /// Dotted path of its key; of a list's table with the table's number.
    pub key: String,
    /// Its value with the unit.
    pub value: String,
    /// Where that comes from.
    pub origin: String,
    /// Whether somebody wrote it, or a grade that somebody wrote stands for it.
    pub chosen: bool,
    /// What it means.
    pub help: &'static str,
}

/// What a report on a look is made from.
#[derive(Clone, Copy, Debug)]
pub struct LookSubject<'a> {
    /// What the look means.
    pub plan: &'a Plan,
    /// Its blocks.
    pub pipeline: &'a Pipeline,
    /// The file's table, as it was read back.
    pub table: &'a Table3,
    /// What the verifier found, where it was asked.
    pub verification: Option<&'a Verification>,
    /// The recipe, for the settings.
    pub recipe: Option<&'a Recipe>,
    /// What is doubtful.
    pub warnings: &'a [Diagnostic],
}

/// What of a show a look is; both are empty for a recipe alone.
#[derive(Clone, Debug, Default)]
pub struct ShowPart {
    /// The variant or version.
    pub variant: String,
    /// Show, look, camera and monitor in words.
    pub part: String,
}

/// The report on a look and its file.
#[derive(Clone, Debug)]
pub struct LookReport {
    /// The look's name.
    pub name: String,
    /// Its note.
    pub note: String,
    /// Which part of a show it is; empty for a recipe alone.
    pub part: String,
    /// The file.
    pub file: FileFacts,
    /// What it is for.
    pub made_for: Use,
    /// The file's table, as it was read back.
    pub table: Table3,
    /// The camera whose signal it takes.
    pub camera: Camera,
    /// The device that applies it.
    pub device: Device,
    /// The display that it is for.
    pub display: DisplayTarget,
    /// The look in a line.
    pub headline: String,
    /// What the look does, measured through the file.
    pub words: Vec<String>,
    /// What its recipe asks for.
    pub asked: Vec<String>,
    /// The exact look; what is clipped, through the file.
    pub portrait: Portrait,
    /// Casts of the grey scale through the file, at the verifier's points.
    pub file_casts: Vec<CastPoint>,
    /// What the verifier found.
    pub verification: Option<Verification>,
    /// Between the exact look and the file.
    pub error: DifferenceMap,
    /// As recorded, plain, and through the file.
    pub pictures: Vec<Pictures>,
    /// Of the scene, through the file.
    pub scopes: ReportScopes,
    /// Every setting, in the order of the language; empty without a recipe.
    pub settings: Vec<Setting>,
    /// What is doubtful.
    pub warnings: Vec<Diagnostic>,
}

impl LookReport {
    /// Looks at a look and its file.
    ///
    /// # Errors
    /// A picture can't be made: the plain conversion of this camera and display can't be built.
    pub fn new(
        subject: &LookSubject<'_>,
        part: ShowPart,
        file: FileFacts,
        studio: &Studio,
    ) -> Result<Self, Vec<Diagnostic>> {
        let ShowPart { variant, part } = part;
        let LookSubject { plan, pipeline, table, verification, recipe, warnings } = *subject;
        let view = View::of_look(plan, pipeline);
        let tables = Tables::Three(table.clone());
        let levels = (plan.device.input_levels, plan.device.output_levels);
        let mapping = Mapping::new(&tables, plan.device.interpolation);
        let mut through_file = View::of_file(mapping, plan.camera, plan.display, levels);
        through_file.adaptation = plan.adaptation;
        let shown = of_look(plan, table)?;
        let (pictures, (portrait, through)): (Result<_, Vec<Diagnostic>>, _) = rayon::join(
            || Ok((studio.pictures(&shown)?, studio.scopes(&shown[shown.len() - 1], &plan.display)?)),
            || rayon::join(|| Portrait::new(&view), || Portrait::new(&through_file)),
        );
        let (pictures, scopes) = pictures?;
        let casts = |found: &Verification| -> Vec<CastPoint> {
            let cast = |point: &GreyPoint| {
                let Cast { warmer_mired, greener_duv, .. } = view.cast(point.signal);
                CastPoint { stops: point.stops, warmer_mired, greener_duv }
            };
            found.grey.iter().map(cast).collect()
        };
        Ok(Self {
            name: if variant.is_empty() { plan.look.name.clone() } else { format!("{}, {variant}", plan.look.name) },
            note: plan.look.note.clone(),
            part,
            file,
            made_for: Use::new(&plan.camera, &plan.display, &plan.device),
            table: table.clone(),
            camera: plan.camera,
            device: plan.device,
            display: plan.display,
            headline: headline(&through),
            words: in_words(&through, true),
            asked: asked(plan),
            file_casts: verification.map(casts).unwrap_or_default(),
            verification: verification.cloned(),
            error: DifferenceMap::between(&view, &through_file),
            pictures,
            scopes,
            settings: recipe.map(|recipe| settings(recipe, plan)).unwrap_or_default(),
            warnings: warnings.to_vec(),
            // What is lost is lost in the file.
            portrait: Portrait { clipping: through.clipping, ..portrait },
        })
    }
}

/// As recorded, plain, and through the look.
fn of_look(plan: &Plan, table: &Table3) -> Result<Vec<Shown>, Vec<Diagnostic>> {
    let mut plain = plan.clone();
    plain.strength = 0.0;
    let (pipeline, _) = Pipeline::build(&plain)
        .map_err(|faults| faults.into_iter().map(|fault| *fault.diagnostic).collect::<Vec<Diagnostic>>())?;
    let shown = |title: &str, table: Option<Table3>| Shown {
        title: title.to_owned(),
        camera: plan.camera,
        adaptation: plan.adaptation,
        preview: table.map(|table| through(Tables::Three(table), plan)),
    };
    Ok(vec![
        shown("as the camera records it", None),
        shown("plain: converted to the display, no look", Some(sample(&pipeline, plan.device.size).table)),
        shown("the look, through the file", Some(table.clone())),
    ])
}

fn through(tables: Tables, plan: &Plan) -> Preview {
    on_screen(Applier::Tables(tables), plan.device, &plan.display, plan.adaptation)
}

fn on_screen(
    applier: Applier,
    device: Device,
    display: &DisplayTarget,
    adaptation: crate::colour::adaptation::Adaptation,
) -> Preview {
    // A white surface is as white as this screen is.
    let white = display.encoding.needs_peak().then(|| display.diffuse_white() * display.peak_nits);
    Preview {
        applier,
        device,
        stand_in: None,
        screen: Some(Screen::of_display(ScreenKind::Srgb, display, adaptation, white)),
    }
}

fn settings(recipe: &Recipe, plan: &Plan) -> Vec<Setting> {
    let mut settings = Vec::new();
    for table in parameters(recipe, plan) {
        for parameter in &table.parameters {
            let path = parameter.declared.path;
            let key = match table.band {
                Some(place) => format!("{} {}, {}", parameter.declared.table(), place + 1, parameter.declared.key()),
                None => path.to_owned(),
            };
            settings.push(Setting {
                key,
                value: parameter.value_text(),
                origin: origin(&parameter.origin),
                chosen: matches!(parameter.origin, Origin::Written(_) | Origin::Preset(_)),
                help: parameter.declared.help,
            });
        }
    }
    settings
}

/// Where a value comes from; of a file its name, for its folder is that of one computer.
fn origin(origin: &Origin) -> String {
    let text = origin.to_string();
    if matches!(origin, Origin::Written(_)) {
        text.rsplit(['/', '\\']).next().unwrap_or(&text).to_owned()
    } else {
        text
    }
}

/// The report on a cube file of unknown origin.
#[derive(Clone, Debug)]
pub struct CubeReport {
    /// The file.
    pub file: FileFacts,
    /// What it is taken to be for.
    pub taken_for: Use,
    /// What was found.
    pub inspection: Inspection,
    /// What it does in a line.
    pub headline: String,
    /// What it does, measured.
    pub words: Vec<String>,
    /// The picture that it makes.
    pub portrait: Portrait,
    /// As recorded, and through the file.
    pub pictures: Vec<Pictures>,
    /// Of the scene, through the file.
    pub scopes: ReportScopes,
    /// What is doubtful.
    pub warnings: Vec<Diagnostic>,
}

/// A look or file and how it is seen, on one side of a comparison or alone.
pub struct SeenSide<'a> {
    /// Its name.
    pub name: String,
    /// What it is: a recipe, or a kind of cube file.
    pub kind: String,
    /// The file that was named, without a folder.
    pub file: String,
    /// How it is seen.
    pub seen: Use,
    /// The view.
    pub view: View<'a>,
    /// What pictures are made through.
    pub applier: Applier,
    /// How they are applied.
    pub device: Device,
}

impl SeenSide<'_> {
    fn shown(&self, title: String) -> Shown {
        Shown {
            title,
            camera: self.view.camera,
            adaptation: self.view.adaptation,
            preview: Some(on_screen(self.applier.clone(), self.device, self.view.display(), self.view.adaptation)),
        }
    }

    fn recorded(&self, title: &str) -> Shown {
        Shown { preview: None, ..self.shown(title.to_owned()) }
    }
}

impl CubeReport {
    /// Looks at a file.
    ///
    /// # Errors
    /// A picture can't be encoded.
    pub fn new(
        side: &SeenSide<'_>,
        inspection: Inspection,
        file: FileFacts,
        warnings: &[Diagnostic],
        studio: &Studio,
    ) -> Result<Self, Vec<Diagnostic>> {
        let portrait = Portrait::new(&side.view);
        let (has_picture, has_colours) =
            (inspection.judgement.kind.has_picture(), inspection.judgement.kind.has_colours());
        let shown = [side.recorded("as the camera records it"), side.shown("through the file".to_owned())];
        Ok(Self {
            file,
            taken_for: side.seen.clone(),
            inspection,
            // Of what is no picture's look nothing is said that would sound like one.
            headline: if has_picture { headline(&portrait) } else { String::new() },
            words: if has_picture { in_words(&portrait, has_colours) } else { Vec::new() },
            pictures: studio.pictures(&shown)?,
            scopes: studio.scopes(&shown[1], side.view.display())?,
            warnings: warnings.to_vec(),
            portrait,
        })
    }
}

/// One side of a comparison, in words and values.
#[derive(Clone, Debug)]
pub struct ReportSide {
    /// Its name.
    pub name: String,
    /// What it is.
    pub kind: String,
    /// The file that was named.
    pub file: String,
    /// How it is seen.
    pub seen: Use,
    /// What it does in a line.
    pub headline: String,
    /// What it does, measured.
    pub words: Vec<String>,
    /// Its picture.
    pub portrait: Portrait,
}

/// The report on two looks.
#[derive(Clone, Debug)]
pub struct ComparisonReport {
    /// The first and the second.
    pub sides: [ReportSide; 2],
    /// What they have in common and what not.
    pub comparison: Comparison,
    /// Parameters that differ, where both are recipes.
    pub changed: Option<Vec<Difference>>,
    /// Differences over the colours of the scene.
    pub difference: DifferenceMap,
    /// Through both.
    pub pictures: Vec<Pictures>,
    /// Of the scene, through both.
    pub scopes: [ReportScopes; 2],
    /// What is doubtful.
    pub warnings: Vec<Diagnostic>,
}

impl ComparisonReport {
    /// Looks at both.
    ///
    /// # Errors
    /// A picture can't be encoded.
    pub fn new(
        sides: [&SeenSide<'_>; 2],
        comparison: Comparison,
        changed: Option<Vec<Difference>>,
        warnings: &[Diagnostic],
        studio: &Studio,
    ) -> Result<Self, Vec<Diagnostic>> {
        let of = |side: &SeenSide<'_>| {
            let portrait = Portrait::new(&side.view);
            let (name, kind, file) = (side.name.clone(), side.kind.clone(), side.file.clone());
            let headline = headline(&portrait);
            ReportSide {
                name,
                kind,
                file,
                seen: side.seen.clone(),
                headline,
                words: in_words(&portrait, true),
                portrait,
            }
        };
        let [a, b] = sides;
        let shown = [a.shown(format!("A: {}", a.name)), b.shown(format!("B: {}", b.name))];
        Ok(Self {
            difference: DifferenceMap::between(&a.view, &b.view),
            sides: [of(a), of(b)],
            comparison,
            changed,
            pictures: studio.pictures(&shown)?,
            scopes: [studio.scopes(&shown[0], a.view.display())?, studio.scopes(&shown[1], b.view.display())?],
            warnings: warnings.to_vec(),
        })
    }
}

//! Files of others on the command line: lists of steps, corrections, edit decision lists.

pub mod told;

use lookwright::colour::adaptation::Adaptation;
use lookwright::colour::canonical_name;
use lookwright::colour::gamuts::Gamut;
use lookwright::compile::{Prepared, prepare_text};
use lookwright::diagnostics::{Diagnostic, codes, nearest};
use lookwright::exchange::plain_with;
use lookwright::formats::cdl::{self, Correction, Notes};
use lookwright::formats::clf::{self, ProcessList};
use lookwright::formats::edl::{self, Edl, Event};
use lookwright::pipeline::Pipeline;
use lookwright::plan::{Camera, Cdl, DisplayTarget, Plan};
use lookwright::verify::inspection::{carrier, light_gamut};
use lookwright::verify::{Declared, LightOf};
use std::fs::File;
use std::io::Read as _;
use std::path::Path;

/// Bytes at the head of a file that its kind is told by.
const HEAD_BYTES: u64 = 4096;

/// Ids that a message lists at most.
const LISTED: usize = 12;

/// What a file is, by its contents where that is XML, else by its name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileKind {
    /// A recipe, or anything else.
    Other,
    /// A cube file.
    Cube,
    /// A list of steps of the Common LUT Format.
    Steps,
    /// An ASC CDL file.
    Corrections,
    /// An edit decision list.
    Events,
}

impl FileKind {
    /// The kind of a file. What can't be read is told by its name.
    pub fn of(path: &Path) -> Self {
        let end = path.extension().map(|end| end.to_string_lossy().to_ascii_lowercase()).unwrap_or_default();
        if end == "toml" {
            return Self::Other;
        }
        if let Some(kind) = by_root(path) {
            return kind;
        }
        match end.as_str() {
            "cube" => Self::Cube,
            "clf" => Self::Steps,
            "cc" | "ccc" | "cdl" => Self::Corrections,
            "edl" => Self::Events,
            _ => Self::Other,
        }
    }

    /// Whether it is a look on a command line that takes looks and stills.
    pub fn is_look(self) -> bool {
        self != Self::Other
    }
}

/// By the root element. Pipes can be read once only, and are left alone.
fn by_root(path: &Path) -> Option<FileKind> {
    if !std::fs::metadata(path).is_ok_and(|about| about.is_file()) {
        return None;
    }
    let mut head = Vec::new();
    File::open(path).ok()?.take(HEAD_BYTES).read_to_end(&mut head).ok()?;
    let text = String::from_utf8_lossy(&head);
    let mut rest = text.trim_start_matches('\u{FEFF}').trim_start();
    // Declarations and comments before the root.
    loop {
        let behind = |end: &str| rest.find(end).map(|place| rest[place + end.len()..].trim_start());
        rest = match rest {
            _ if rest.starts_with("<?") => behind("?>")?,
            _ if rest.starts_with("<!--") => behind("-->")?,
            _ => break,
        };
    }
    let name = rest.strip_prefix('<')?.split(|letter: char| letter.is_whitespace() || letter == '>').next()?;
    match name.rsplit(':').next()?.trim_end_matches('/') {
        "ProcessList" => Some(FileKind::Steps),
        "ColorCorrection" | "ColorCorrectionCollection" | "ColorDecisionList" => Some(FileKind::Corrections),
        _ => None,
    }
}

// --- lists of steps ---------------------------------------------------------------------------------------------------

/// A list of steps that was read.
pub struct Steps {
    /// The list.
    pub list: ProcessList,
    /// What it takes and gives.
    pub declared: Declared,
    /// What is doubtful.
    pub warnings: Vec<Diagnostic>,
}

impl Steps {
    /// Reads a file.
    pub fn read(path: &Path) -> Result<Self, Vec<Diagnostic>> {
        let file = clf::read(path)?;
        let declared = Declared::of(&file.list);
        Ok(Self { list: file.list, declared, warnings: file.warnings })
    }

    /// Its name, or else its identifier.
    pub fn name(&self) -> String {
        let name = self.list.name.trim();
        if name.is_empty() { self.list.id.clone() } else { name.to_owned() }
    }

    /// What it is, in words.
    pub fn kind(&self) -> String {
        match self.list.nodes.len() {
            1 => "list of one step of the Common LUT Format".to_owned(),
            count => format!("list of {count} steps of the Common LUT Format"),
        }
    }

    /// The primaries of the light that it takes; `None` where it takes a signal.
    pub fn light_gamut(&self, given: Option<Camera>) -> Option<&'static Gamut> {
        light_gamut(&self.declared, given)
    }

    /// What makes its light of a signal: of a look's camera, else of a camera that is given, else of the signal that stands for all light.
    pub fn light(&self, given: Option<Camera>, look: Option<(&Plan, &Pipeline)>, camera: &Camera) -> Option<LightOf> {
        let gamut = self.light_gamut(given)?;
        Some(match look {
            Some((plan, pipeline)) => LightOf::of_look(plan, pipeline, gamut),
            None => LightOf::of_camera(camera, Adaptation::default(), gamut),
        })
    }

    /// Refuses a list whose output is no picture.
    pub fn gives_picture(&self, path: &Path, display: Option<DisplayTarget>) -> Result<(), Vec<Diagnostic>> {
        match self.declared.no_picture().filter(|_| display.is_none()) {
            None => Ok(()),
            Some(words) => {
                let how = self.declared.output.1.words();
                let message = format!("{} gives {words} ({how})", path.display());
                let help =
                    "name the list that leads to a display; or say with --display that a display's signal comes out";
                Err(vec![Diagnostic::error(&codes::STEPS_NO_PICTURE, message).help(help)])
            }
        }
    }
}

/// The signal that stands for a camera's where a list takes light and no camera is named.
pub fn light_carrier() -> Camera {
    carrier()
}

// --- corrections --------------------------------------------------------------------------------------------------------

/// A correction and the names that it goes by.
#[derive(Clone)]
pub struct Candidate {
    /// Its id, or the number, clip and id of its event.
    pub names: Vec<String>,
    /// The correction; `None` for an event whose numbers stand in another file, or that has none.
    pub correction: Option<Correction>,
    /// The event that it belongs to.
    pub event: Option<Event>,
}

impl Candidate {
    /// Its name in messages.
    pub fn name(&self) -> &str {
        self.names.iter().map(String::as_str).find(|name| !name.is_empty()).unwrap_or("without an id")
    }
}

/// A file that holds corrections.
pub struct Corrections {
    /// What it holds, in order: corrections, or events with theirs.
    pub candidates: Vec<Candidate>,
    /// Texts of the whole file.
    pub notes: Notes,
    /// The list, where it is one of events.
    pub events: Option<Edl>,
    /// What is doubtful.
    pub warnings: Vec<Diagnostic>,
}

/// Reads a file of corrections, or of events.
pub fn corrections(path: &Path, kind: FileKind) -> Result<Corrections, Vec<Diagnostic>> {
    if kind == FileKind::Events {
        let list = edl::read(path)?;
        let candidates = list.events.iter().map(of_event).collect();
        let warnings = list.warnings.clone();
        return Ok(Corrections { candidates, notes: Notes::default(), events: Some(list), warnings });
    }
    let file = cdl::read(path)?;
    let candidates: Vec<Candidate> = file
        .corrections()
        .map(|one| Candidate { names: vec![one.id.clone()], correction: Some(one.clone()), event: None })
        .collect();
    let mut warnings = file.warnings.clone();
    warnings.extend(candidates.iter().filter_map(|one| another_space(one.correction.as_ref()?)));
    Ok(Corrections { candidates, notes: file.notes, events: None, warnings })
}

fn of_event(event: &Event) -> Candidate {
    let correction = event.cdl.map(|cdl| Correction {
        place: event.place.clone(),
        values: event.values.clone(),
        ..Correction::new(event.number.clone(), cdl)
    });
    let names = std::iter::once(&event.number).chain(&event.correction_id).chain(&event.clip_name).cloned().collect();
    Candidate { names, correction, event: Some(event.clone()) }
}

/// A correction that says itself that it was made elsewhere.
fn another_space(correction: &Correction) -> Option<Diagnostic> {
    let said = correction.input_description.trim();
    if said.is_empty() || canonical_name(said).contains("acescct") {
        return None;
    }
    let said: String = said.chars().filter(|letter| !letter.is_control()).take(80).collect();
    Some(
        Diagnostic::warning(&codes::GRADE_SPACE, "the correction was made for another space than ACEScct")
            .at(correction.place.clone(), format!("its input: {said}"))
            .help("the same numbers in another space are another look: see docs/look-maths.md, section 8"),
    )
}

impl Corrections {
    /// Whether more than one correction stands in it.
    pub fn several(&self) -> bool {
        self.candidates.len() > 1
    }

    /// What an id means; without one, everything.
    pub fn named(&self, path: &Path, id: Option<&str>) -> Result<Vec<&Candidate>, Vec<Diagnostic>> {
        let Some(id) = id else { return Ok(self.candidates.iter().collect()) };
        let found = self.find(id);
        if found.is_empty() {
            return Err(vec![self.unknown(path, id)]);
        }
        Ok(found)
    }

    /// The one correction that is meant: that of an id, or the only one of the file.
    pub fn choose(&self, path: &Path, id: Option<&str>) -> Result<Candidate, Vec<Diagnostic>> {
        let with: Vec<&Candidate> = self.candidates.iter().filter(|one| one.correction.is_some()).collect();
        let file = path.display();
        let Some(id) = id else {
            return match with.as_slice() {
                [only] => Ok((*only).clone()),
                [] => {
                    let message = format!("{file}: nothing in it has a correction of its own");
                    let help = "a correction stands after its event as * ASC_SOP and * ASC_SAT";
                    Err(vec![Diagnostic::error(&codes::CORRECTION_CHOICE, message).help(help)])
                }
                _ => {
                    let message = format!("{file} holds {} corrections", with.len());
                    let help = format!("choose one with --id; {}", self.listed());
                    Err(vec![Diagnostic::error(&codes::CORRECTION_CHOICE, message).help(help)])
                }
            };
        };
        let meant = self.find(id);
        let Some(first) = meant.first() else { return Err(vec![self.unknown(path, id)]) };
        let Some(correction) = &first.correction else {
            let message = format!("{file}: event {} has no correction of its own", first.name());
            let other = first.event.as_ref().and_then(|event| event.correction_id.as_ref());
            let help = other.map_or("name another event with --id".to_owned(), |other| {
                format!("its numbers stand in another file, as \"{other}\": name that file, with --id {other}")
            });
            return Err(vec![Diagnostic::error(&codes::CORRECTION_CHOICE, message).help(help)]);
        };
        let differs = |one: &&&Candidate| one.correction.as_ref().map(|other| other.cdl) != Some(correction.cdl);
        if meant.iter().any(|one| differs(&one)) {
            let message = format!("{file}: \"{id}\" stands for {} corrections that differ", meant.len());
            let help = "name it by the event's number or by its clip, whichever is its own";
            return Err(vec![Diagnostic::error(&codes::CORRECTION_CHOICE, message).help(help)]);
        }
        Ok((*first).clone())
    }

    /// Those of an id: letter by letter, else without regard to spelling and to zeros before a number.
    fn find(&self, id: &str) -> Vec<&Candidate> {
        let with = |is: &dyn Fn(&str) -> bool| -> Vec<&Candidate> {
            self.candidates.iter().filter(|one| one.names.iter().any(|name| is(name))).collect()
        };
        let exact = with(&|name| name == id);
        if !exact.is_empty() {
            return exact;
        }
        let spelling = |name: &str| canonical_name(name.trim()).trim_start_matches('0').to_owned();
        let wanted = spelling(id);
        with(&|name| spelling(name) == wanted)
    }

    fn unknown(&self, path: &Path, id: &str) -> Diagnostic {
        let names: Vec<&str> = self.names().collect();
        let help = match nearest(id, names.iter().copied()) {
            Some(near) => format!("did you mean \"{near}\"? {}", self.listed()),
            None => self.listed(),
        };
        let message = format!("{} has no correction \"{id}\"", path.display());
        Diagnostic::error(&codes::CORRECTION_CHOICE, message).help(help)
    }

    fn names(&self) -> impl Iterator<Item = &str> {
        self.candidates.iter().filter_map(|one| one.names.iter().map(String::as_str).find(|name| !name.is_empty()))
    }

    fn listed(&self) -> String {
        let names: Vec<&str> = self.names().collect();
        if names.is_empty() {
            return "none of them has an id; export the one that is meant alone".to_owned();
        }
        let what = if self.events.is_some() { "its events" } else { "its ids" };
        let more = names.len().saturating_sub(LISTED);
        let tail = if more == 0 { String::new() } else { format!(" and {more} more") };
        format!("{what}: {}{tail}", names[..names.len().min(LISTED)].join(", "))
    }
}

/// The plain technical conversion that a correction is seen through where no recipe is named: from the working space of the grade itself.
pub fn technical(display: Option<DisplayTarget>) -> Result<Prepared, Vec<Diagnostic>> {
    const PLAIN: &str = "lookwright = 1\n[look]\nname = \"plain technical conversion\"\n[camera]\nencoding = \"acescct\"\ngamut = \"acescg\"\n[display]\nencoding = \"bt1886\"\ngamut = \"bt709\"\n";
    let mut prepared = prepare_text(Path::new("plain conversion"), PLAIN.to_owned(), &[])?;
    if let Some(display) = display {
        prepared.plan.display = display;
        prepared.pipeline = build(&prepared.plan)?;
    }
    Ok(prepared)
}

/// A plain conversion with a correction in the place of the grade.
pub fn corrected(plan: &Plan, cdl: Cdl) -> Result<(Plan, Pipeline), Vec<Diagnostic>> {
    let plan = plain_with(plan, cdl);
    let pipeline = build(&plan)?;
    Ok((plan, pipeline))
}

/// The pipeline of a plan.
pub fn build(plan: &Plan) -> Result<Pipeline, Vec<Diagnostic>> {
    let built = Pipeline::build(plan).map(|(pipeline, _)| pipeline);
    built.map_err(|faults| faults.into_iter().map(|fault| *fault.diagnostic).collect())
}

/// A correction needs a recipe here.
pub fn needs_recipe(path: &Path, why: &str) -> Vec<Diagnostic> {
    let message = format!("{}: a correction is no picture{why}", path.display());
    let help = "add --recipe: it stands in ACEScct in the place of that recipe's [grade], over its plain conversion";
    vec![Diagnostic::error(&codes::CORRECTION_NO_PICTURE, message).help(help)]
}

//! What a list of steps does.

use super::{Assumptions, Inspection, Judgement, Kind, Known, Subject, USUAL_PEAK_NITS, look_at};
use crate::colour::adaptation::Adaptation;
use crate::colour::displays::DisplayEncoding;
use crate::colour::encodings::{Curve, acescct::ACESCCT};
use crate::colour::gamuts::{self, Gamut};
use crate::formats::clf::{Lut1, Node, Operation, ProcessList};
use crate::plan::{Camera, DisplayTarget, Levels};
use crate::verify::{Declared, LightOf, Mapping, View};
use serde::Serialize;

/// A step of a list.
#[derive(Clone, Debug, Serialize)]
pub struct StepFacts {
    /// Its identifier; may be empty.
    pub id: String,
    /// Its name; may be empty.
    pub name: String,
    /// What it is: the word of the format, with its style or size.
    pub kind: String,
    /// What it says of itself.
    pub descriptions: Vec<String>,
}

impl StepFacts {
    /// Those of a step.
    #[must_use]
    pub fn of(node: &Node) -> Self {
        Self { id: node.id.clone(), name: node.name.clone(), kind: kind(node), descriptions: node.descriptions.clone() }
    }
}

fn kind(node: &Node) -> String {
    match &node.operation {
        Operation::Lut1(Lut1 { half_domain: true, .. }) => "LUT1D over half floats".to_owned(),
        Operation::Lut1(table) => format!("LUT1D, {} points", table.rows.len()),
        Operation::Lut3(lut) => {
            format!("LUT3D, {} points a side, {}", lut.table.size(), lut.interpolation.id())
        }
        Operation::Matrix(matrix) if matrix.offset == [0.0; 3] => "Matrix".to_owned(),
        Operation::Matrix(_) => "Matrix with an offset".to_owned(),
        Operation::Range(range) if range.clamp => "Range, clamped".to_owned(),
        Operation::Range(_) => "Range".to_owned(),
        Operation::Log(log) => format!("Log, {}", log.style.id()),
        Operation::Exponent(exponent) => format!("Exponent, {}", exponent.style.id()),
        Operation::Cdl(style, _) => format!("ASC_CDL, {}", style.id()),
    }
}

/// The signal that light is shown through where no camera is named: it holds ten stops over grey and more.
#[must_use]
pub fn carrier() -> Camera {
    let curve = Curve::new(&ACESCCT, None).expect("the encoding takes no exposure index");
    Camera { curve, gamut: &gamuts::ACESCG }
}

/// The light that a list takes, as it was given on the command line or is declared: its primaries. `None` for a signal.
#[must_use]
pub fn light_gamut(declared: &Declared, given: Option<Camera>) -> Option<&'static Gamut> {
    match given {
        Some(camera) => (camera.curve.encoding().id == "linear").then_some(camera.gamut),
        None => declared.light_in(),
    }
}

/// Looks at a list of steps, evaluated as it stands. A list that takes light needs what makes it of [`carrier`]'s signal, see
/// [`light_of_carrier`].
#[must_use]
pub fn inspect_steps<'a>(
    list: &'a ProcessList,
    declared: &Declared,
    light: Option<&'a LightOf>,
    assumptions: &Assumptions,
) -> (Inspection, View<'a>) {
    let usual = DisplayTarget { encoding: DisplayEncoding::Bt1886, gamut: &gamuts::BT709, peak_nits: USUAL_PEAK_NITS };
    let stated = assumptions.display.or(declared.display());
    let camera = match light {
        Some(_) => Some((carrier(), Known::Light)),
        None => {
            let described = declared.camera().map(|camera| (camera, Known::Described));
            assumptions.camera.map(|camera| (camera, Known::Given)).or(described)
        }
    };
    let said = [("input: ", &list.input), ("output: ", &list.output)];
    let said = said.into_iter().filter(|(_, text)| !text.is_empty()).map(|(end, text)| format!("{end}{text}"));
    let subject = Subject {
        title: Some(list.name.clone()).filter(|name| !name.is_empty()),
        comments: list.descriptions.iter().cloned().chain(said).collect(),
        fingerprint: fingerprint(&list.descriptions),
        mapping: Mapping::of_steps(list, light),
        camera,
        target: stated.unwrap_or(usual),
        levels: assumptions.levels.unwrap_or((Levels::Full, Levels::Full)),
        known: stated.is_some(),
    };
    let (mut inspection, view) = look_at(subject);
    if light.is_some() {
        of_light(&mut inspection.judgement);
    }
    (Inspection { steps: list.nodes.iter().map(StepFacts::of).collect(), ..inspection }, view)
}

/// What was judged behind a log signal is told of the light that the list takes.
fn of_light(judgement: &mut Judgement) {
    let carrier = carrier().curve.encoding().name;
    judgement.sentence = match judgement.kind {
        Kind::Viewing => "a look on light: from scene light to a display".to_owned(),
        _ => format!("it takes light; behind {carrier}: {}", judgement.sentence),
    };
    for evidence in &mut judgement.evidence {
        *evidence = format!("behind {carrier}: {evidence}");
    }
}

/// What makes the light that a list takes of [`carrier`]'s signal; `None` for a list that takes a signal.
#[must_use]
pub fn light_of_carrier(declared: &Declared, given: Option<Camera>) -> Option<LightOf> {
    light_gamut(declared, given).map(|gamut| LightOf::of_camera(&carrier(), Adaptation::default(), gamut))
}

/// The fingerprint that a description of one of our own lists gives.
fn fingerprint(descriptions: &[String]) -> Option<String> {
    let digits = |text: &str| text.chars().take_while(char::is_ascii_hexdigit).collect::<String>();
    let found = descriptions.iter().find_map(|text| text.split_once("fingerprint ").map(|(_, rest)| digits(rest)));
    found.filter(|found| found.len() == 64)
}

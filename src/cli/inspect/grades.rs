//! What a correction is held against: the grade of a recipe, or those of a show's looks.

use super::super::foreign::{self, told};
use lookwright::colour::canonical_name;
use lookwright::compile::prepare_text;
use lookwright::diagnostics::Diagnostic;
use lookwright::formats::cdl::Correction;
use lookwright::handoff::{PartKey, part_stem};
use lookwright::plan::{Cdl, Plan};
use lookwright::recipe::read_text;
use lookwright::show::{self, Show, is_show};
use lookwright::verify::comparison::Difference;
use lookwright::verify::{View, compare};
use serde_json::{Value, json};
use std::fmt::Write as _;
use std::path::Path;

/// A look with its grade.
struct Graded {
    /// The recipe's name; of a show's looks how their files are called.
    name: String,
    plan: Plan,
}

/// What `--recipe` names.
pub struct Grades {
    looks: Vec<Graded>,
    /// Whether it is a show, whose looks have no camera and display of their own.
    pub is_show: bool,
    /// What is doubtful in it.
    pub warnings: Vec<Diagnostic>,
}

/// A correction beside a grade.
pub struct Held {
    /// The look that it was held against; `None` where a show has several and none of them goes by its id or has its numbers.
    name: Option<String>,
    /// How its numbers are the same, if they are.
    same: Option<&'static str>,
    differences: Vec<Difference>,
    /// Mean and largest CIEDE2000 of the chart, where the numbers differ.
    apart: Option<[f64; 2]>,
    /// Other looks of the show with the same numbers.
    also: Vec<String>,
    /// How many looks there were.
    among: usize,
}

impl Grades {
    /// Reads a recipe, or a show with its recipes.
    pub fn read(path: &Path) -> Result<Self, Vec<Diagnostic>> {
        let text = read_text(path).map_err(|diagnostic| vec![diagnostic])?;
        if !is_show(&text) {
            let prepared = prepare_text(path, text, &[])?;
            let looks = vec![Graded { name: prepared.plan.look.name.clone(), plan: prepared.plan }];
            return Ok(Self { looks, is_show: false, warnings: prepared.warnings });
        }
        let (show, doubts) = Show::parse(path, text, None)?;
        let work = show::prepare(show, doubts)?;
        let mut looks: Vec<Graded> = Vec::new();
        for job in &work.jobs {
            let name = part_stem(&work.show, PartKey::of(job));
            if looks.iter().all(|look| look.name != name) {
                looks.push(Graded { name, plan: job.plan.clone() });
            }
        }
        Ok(Self { looks, is_show: true, warnings: work.warnings })
    }

    /// The recipe's plan; `None` for a show.
    pub fn plan(&self) -> Option<&Plan> {
        self.looks.first().filter(|_| !self.is_show).map(|look| &look.plan)
    }

    /// The look that a correction belongs to: the only one, else that of its id, else one of the same numbers. The id of an event's is its
    /// number, and names no look.
    fn look_of(&self, correction: &Correction, is_event: bool) -> Option<&Graded> {
        let id = if is_event { String::new() } else { canonical_name(&correction.id) };
        let same = |look: &&Graded| told::same_numbers(&correction.cdl, &look.plan.grade).is_some();
        self.looks
            .first()
            .filter(|_| !self.is_show)
            .or_else(|| self.looks.iter().find(|look| !id.is_empty() && canonical_name(&look.name) == id))
            .or_else(|| self.looks.iter().find(same))
    }

    /// The look whose plain conversion a correction is seen through.
    pub fn seen_through(&self, correction: &Correction, is_event: bool) -> Option<&Plan> {
        self.look_of(correction, is_event).map(|look| &look.plan)
    }

    /// Holds a correction against the look that it belongs to.
    pub fn hold(&self, correction: &Correction, is_event: bool) -> Result<Held, Vec<Diagnostic>> {
        let cdl = &correction.cdl;
        let among = self.looks.len();
        let Some(look) = self.look_of(correction, is_event) else {
            let (differences, also) = (Vec::new(), Vec::new());
            return Ok(Held { name: None, same: None, differences, apart: None, also, among });
        };
        let own = &look.plan.grade;
        let same = told::same_numbers(cdl, own);
        let apart = if same.is_some() { None } else { Some(apart(&look.plan, *cdl, *own)?) };
        let equal = |other: &&Graded| other.name != look.name && told::same_numbers(cdl, &other.plan.grade).is_some();
        Ok(Held {
            name: Some(look.name.clone()),
            same,
            differences: told::differences(cdl, own),
            apart,
            also: self.looks.iter().filter(equal).map(|other| other.name.clone()).collect(),
            among,
        })
    }
}

/// How far two corrections lie apart on the chart, mean and most, over the plain conversion of a look.
fn apart(plan: &Plan, one: Cdl, other: Cdl) -> Result<[f64; 2], Vec<Diagnostic>> {
    let (first, second) = (foreign::corrected(plan, one)?, foreign::corrected(plan, other)?);
    let found = compare(&View::of_look(&first.0, &first.1), &View::of_look(&second.0, &second.1));
    Ok([found.mean_de, found.max_de])
}

impl Held {
    /// One line, for an event of a list.
    pub fn line(&self) -> String {
        let also = if self.also.is_empty() { String::new() } else { format!("; {} too", self.also.join(", ")) };
        match (&self.name, self.same, self.apart) {
            (Some(name), Some(how), _) => format!("the numbers are those of {name}, {how}{also}"),
            (Some(name), None, Some([mean, most])) => {
                format!("not those of {name}: ΔE2000 {mean:.2} mean, {most:.2} most on the chart at -3..+3 stops{also}")
            }
            _ => format!(
                "none of the show's {} looks, variants and versions goes by its id or has its numbers",
                self.among
            ),
        }
    }

    /// At length, behind the numbers of the correction.
    pub fn told(&self, text: &mut String) {
        let _ = writeln!(text, "  [grade]      {}", self.line());
        for one in &self.differences {
            let key = one.key.trim_start_matches("grade.");
            let _ = writeln!(text, "               {key}: here {}, in [grade] {}", one.a, one.b);
        }
    }

    /// For a JSON document.
    pub fn json(&self) -> Value {
        json!({
            "of": self.name,
            "agrees": self.same,
            "differences": self.differences,
            "mean_de": self.apart.map(|[mean, _]| mean),
            "max_de": self.apart.map(|[_, most]| most),
            "also": self.also,
        })
    }
}

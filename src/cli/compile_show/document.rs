//! The JSON document of a run.

use super::super::compile::{camera_document, monitor_document};
use super::super::console::as_json;
use super::told::Told;
use super::{Verified, status};
use lookwright::diagnostics::Diagnostic;
use lookwright::show::{Job, Made, Part, Proof};
use serde_json::value::RawValue;
use serde_json::{Value, json};
use std::path::{Path, PathBuf};

impl Told<'_> {
    pub(super) fn document(&self, verified: &Verified, held: &[Diagnostic], failed: &[Diagnostic]) -> String {
        let luts: Vec<Lut<'_>> = self
            .jobs()
            .map(|(place, job, made)| self.lut(job, made, verified.get(&place).map(|document| &**document)))
            .collect();
        let document = Document {
            show: &self.work.show.name.text,
            folder: lossy(&self.run.folder),
            version: self.new.map(|(new, recorded)| {
                json!({"id": new.id, "setup": self.work.show.setups[new.setup].id.text, "from": new.from,
                    "changed": new.changed, "look_fingerprint": new.look_fingerprint, "recorded": recorded})
            }),
            luts,
            consistency: self.proof,
            left: self.run.left.iter().map(|left| json!({"file": left.path, "changed": left.changed})).collect(),
            removed: self.removed,
            pages: self.pages,
            reports: self.reports,
            stopped: self.run.stopped,
            diagnostics: as_json(&self.work.warnings.iter().chain(held).chain(failed).cloned().collect::<Vec<_>>()),
        };
        // Verifications of a thousand files are long enough on one line each.
        let text = serde_json::to_string(&document).unwrap_or_default();
        format!("{text}\n")
    }

    fn lut<'a>(&'a self, job: &'a Job, made: &'a Made, verified: Option<&'a RawValue>) -> Lut<'a> {
        let (show, plan) = (&self.work.show, &job.plan);
        let part = show.part_id(job.look, job.part);
        let entry = made.entry();
        let of = |wanted: bool| wanted.then_some(part);
        let verify = match (verified, entry.and_then(|entry| entry.verify.as_ref())) {
            (Some(document), _) => Some(document.to_owned()),
            (None, Some(summary)) => serde_json::value::to_raw_value(summary).ok(),
            (None, None) => None,
        };
        Lut {
            file: lossy(&self.run.folder.join(&job.path)),
            status: status(made),
            recipe: lossy(&self.work.recipes[job.look]),
            name: &plan.look.name,
            look: &show.looks[job.look].id.text,
            variant: of(matches!(job.part, Part::Variant(_))),
            version: of(matches!(job.part, Part::Version(_))),
            camera_id: &show.cameras[job.camera].id.text,
            monitor_id: &show.monitors[job.monitor].id.text,
            code: &job.code,
            camera: camera_document(plan),
            monitor: monitor_document(plan),
            size: plan.device.size,
            sha256: entry.map(|entry| entry.sha256.as_str()),
            fingerprint: plan.fingerprint(),
            replaced: match made {
                Made::Written { replaced, .. } => replaced.as_deref(),
                _ => None,
            },
            verify,
        }
    }
}

/// JSON has no other text than Unicode.
fn lossy(path: &Path) -> String {
    path.to_string_lossy().into_owned()
}

#[derive(serde::Serialize)]
struct Document<'a> {
    show: &'a str,
    folder: String,
    version: Option<Value>,
    luts: Vec<Lut<'a>>,
    consistency: &'a Proof,
    left: Vec<Value>,
    removed: &'a [PathBuf],
    pages: &'a [&'static str],
    #[serde(skip_serializing_if = "<[String]>::is_empty")]
    reports: &'a [String],
    stopped: bool,
    diagnostics: Value,
}

#[derive(serde::Serialize)]
struct Lut<'a> {
    file: String,
    status: &'static str,
    recipe: String,
    name: &'a str,
    look: &'a str,
    variant: Option<&'a str>,
    version: Option<&'a str>,
    camera_id: &'a str,
    monitor_id: &'a str,
    code: &'a str,
    camera: Value,
    monitor: Value,
    size: usize,
    sha256: Option<&'a str>,
    fingerprint: String,
    replaced: Option<&'a str>,
    verify: Option<Box<RawValue>>,
}

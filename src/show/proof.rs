//! The proof of a show: for every look, variant and version, its cameras on each monitor, and its monitors behind each camera.

use super::consistency::{Figures, Matrix, Member, Seen, between_cameras, between_monitors};
use super::jobs::{Job, Part, Work};
use super::run::Run;
use rayon::prelude::*;
use serde::Serialize;

/// What was proved of a show.
#[derive(Clone, Debug, Serialize)]
pub struct Proof {
    /// Name of the production.
    pub show: String,
    /// What every pair was held against, CIEDE2000.
    pub tolerances: Figures,
    /// Looks, and after each its variants and versions, in the show's order.
    pub looks: Vec<LookProof>,
    /// Files of the run that could not be looked at, as they were not made, by their path in the show's folder.
    pub missing: Vec<String>,
    /// Whether every pair holds its tolerances, and none was missing.
    pub pass: bool,
}

/// A look, a variant or a version.
#[derive(Clone, Debug, Serialize)]
pub struct LookProof {
    /// Id of the look.
    pub id: String,
    /// Name of the recipe's look.
    pub name: String,
    /// Variant or version in words, empty for the look itself.
    pub part: String,
    /// Monitors that more than one camera is shown on, in the show's order.
    pub monitors: Vec<MonitorProof>,
    /// Cameras that more than one monitor shows, in the show's order.
    pub cameras: Vec<CameraProof>,
}

/// Cameras on one monitor.
#[derive(Clone, Debug, Serialize)]
pub struct MonitorProof {
    /// Id of the monitor.
    pub id: String,
    /// What it shows, such as "bt1886 / bt709".
    pub display: String,
    /// Each pair of cameras on it.
    pub cameras: Matrix,
}

/// Monitors behind one camera.
#[derive(Clone, Debug, Serialize)]
pub struct CameraProof {
    /// Id of the camera.
    pub id: String,
    /// Each pair of monitors behind it.
    pub monitors: Matrix,
}

/// A file that was looked at.
#[derive(Clone, Copy)]
struct Looked<'a> {
    job: &'a Job,
    seen: &'a Seen,
}

impl Proof {
    /// Compares what a run made: every group of at least two files that must show one picture.
    #[must_use]
    pub fn new(work: &Work, run: &Run) -> Self {
        let mut looked = Vec::new();
        let mut missing = Vec::new();
        for (index, seen) in run.jobs.iter().zip(&run.seen) {
            let job = &work.jobs[*index];
            match seen {
                Some(seen) => looked.push(Looked { job, seen }),
                None => missing.push(job.path.to_string_lossy().replace('\\', "/")),
            }
        }
        let mut parts: Vec<(usize, Part)> = looked.iter().map(|one| (one.job.look, one.job.part)).collect();
        parts.sort_unstable();
        parts.dedup();
        let of_part = |(look, part): &(usize, Part)| {
            let files: Vec<Looked<'_>> =
                looked.iter().filter(|one| (one.job.look, one.job.part) == (*look, *part)).copied().collect();
            look_proof(work, *look, *part, &files)
        };
        let looks: Vec<LookProof> = parts.par_iter().map(of_part).collect();
        let limits = work.show.tolerances;
        let pass = missing.is_empty() && looks.iter().flat_map(LookProof::matrices).all(|matrix| matrix.pass);
        Self {
            show: work.show.name.text.clone(),
            tolerances: Figures { mean: limits.mean_de, p95: limits.p95_de, max: limits.max_de },
            looks,
            missing,
            pass,
        }
    }
}

impl LookProof {
    /// Everything that was compared: on each monitor, then behind each camera.
    pub fn matrices(&self) -> impl Iterator<Item = &Matrix> {
        let on = self.monitors.iter().map(|monitor| &monitor.cameras);
        on.chain(self.cameras.iter().map(|camera| &camera.monitors))
    }
}

fn look_proof(work: &Work, look: usize, part: Part, files: &[Looked<'_>]) -> LookProof {
    let (show, tolerances) = (&work.show, &work.show.tolerances);
    let monitors = (0..show.monitors.len()).filter_map(|monitor| {
        let of: Vec<&Looked<'_>> = files.iter().filter(|one| one.job.monitor == monitor).collect();
        let members = members(&of, |job| &show.cameras[job.camera].id.text);
        (members.len() > 1).then(|| MonitorProof {
            id: show.monitors[monitor].id.text.clone(),
            display: format!("{} / {}", of[0].seen.display, of[0].seen.display_gamut),
            cameras: between_cameras(&members, tolerances),
        })
    });
    let cameras = (0..show.cameras.len()).filter_map(|camera| {
        let of: Vec<&Looked<'_>> = files.iter().filter(|one| one.job.camera == camera).collect();
        let members = members(&of, |job| &show.monitors[job.monitor].id.text);
        (members.len() > 1).then(|| CameraProof {
            id: show.cameras[camera].id.text.clone(),
            monitors: between_monitors(&members, tolerances),
        })
    });
    LookProof {
        id: show.looks[look].id.text.clone(),
        name: files.first().map(|one| one.job.plan.look.name.clone()).unwrap_or_default(),
        part: match part {
            Part::Look => String::new(),
            Part::Variant(_) => format!("variant {}", show.part_id(look, part)),
            Part::Version(_) => format!("version {}", show.part_id(look, part)),
        },
        monitors: monitors.collect(),
        cameras: cameras.collect(),
    }
}

fn members<'a>(files: &[&Looked<'a>], id: impl Fn(&Job) -> &'a str) -> Vec<Member<'a>> {
    files.iter().map(|one| Member { id: id(one.job), seen: one.seen }).collect()
}

//! What of a show goes into a package, and how its files are called.

use crate::show::{Job, Part, Show, Work};

/// A look, variant or version.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct PartKey {
    /// The look, as a place in the show's looks.
    pub look: usize,
    /// What of it.
    pub part: Part,
}

impl PartKey {
    /// That of a job.
    #[must_use]
    pub fn of(job: &Job) -> Self {
        Self { look: job.look, part: job.part }
    }
}

/// The beginning of the names of a part's files: `dusk`, `dusk.half`, `dusk.14a-b.version`. Ids have no dots and are told apart without
/// case.
#[must_use]
pub fn part_stem(show: &Show, key: PartKey) -> String {
    let (look, part) = (&show.looks[key.look].id.text, show.part_id(key.look, key.part));
    let stem = match key.part {
        Part::Look => look.clone(),
        Part::Variant(_) => format!("{look}.{part}"),
        Part::Version(_) => format!("{look}.{part}.version"),
    };
    stem.to_lowercase()
}

/// Id of a camera or monitor as it stands in the name of a file.
pub(super) fn id_in_name(id: &str) -> String {
    id.to_lowercase()
}

/// The job that post's files of a look and camera are made from: for the reference monitor, else for the look's first.
pub(super) fn reference_job<'a>(jobs: &[&'a Job], key: PartKey, camera: usize, reference: usize) -> Option<&'a Job> {
    let of = |job: &&&Job| PartKey::of(job) == key && job.camera == camera;
    jobs.iter().find(|job| of(job) && job.monitor == reference).or_else(|| jobs.iter().find(of)).copied()
}

/// Looks, variants and versions of some jobs, each once, in their order.
pub(super) fn parts(jobs: &[&Job]) -> Vec<PartKey> {
    let mut keys: Vec<PartKey> = jobs.iter().map(|job| PartKey::of(job)).collect();
    keys.sort_unstable();
    keys.dedup();
    keys
}

/// Cameras that some jobs of a look, variant or version are for.
pub(super) fn cameras(jobs: &[&Job], key: PartKey) -> Vec<usize> {
    let mut cameras: Vec<usize> = jobs.iter().filter(|job| PartKey::of(job) == key).map(|job| job.camera).collect();
    cameras.sort_unstable();
    cameras.dedup();
    cameras
}

/// What a part is, in words: "look dusk, variant half".
pub(super) fn part_words(work: &Work, key: PartKey) -> String {
    let (look, part) = (&work.show.looks[key.look].id.text, work.show.part_id(key.look, key.part));
    match key.part {
        Part::Look => format!("look {look}"),
        Part::Variant(_) => format!("look {look}, variant {part}"),
        Part::Version(_) => format!("look {look}, version {part}"),
    }
}

/// A path with slashes, whatever the system writes.
pub(super) fn slashed(path: &std::path::Path) -> String {
    let parts: Vec<String> = path.components().map(|part| part.as_os_str().to_string_lossy().into_owned()).collect();
    parts.join("/")
}

/// "1 look", "2 looks".
pub(super) fn counted(count: usize, noun: &str) -> String {
    if count == 1 { format!("1 {noun}") } else { format!("{count} {noun}s") }
}

/// "is" or "are".
pub(super) fn are(count: usize) -> &'static str {
    if count == 1 { "is" } else { "are" }
}

//! Whether cubes, steps and CDLs of a package say one picture: read by their readers, held against the recipe.

use super::manifest::{Manifest, PostNote};
use super::parts::PartKey;
use super::post::PostLook;
use super::receive::Finding;
use crate::colour::difference::ciede2000;
use crate::exchange::{Translation, WholeError, plain_with};
use crate::formats::cube::{self, Tables};
use crate::formats::package::Package;
use crate::formats::{cdl, clf};
use crate::maths::Rgb;
use crate::pipeline::Pipeline;
use crate::show::{Job, Work};
use crate::verify::{Picture as Display, Viewer};
use rayon::prelude::*;
use serde::Serialize;

/// Steps may miss the look by this much more than they did when they were written, CIEDE2000: nothing but the rounding of their
/// numbers.
const ROUNDING_DE: f64 = 0.01;

/// Whether a value is beyond what it may be; what is no number is beyond all.
fn beyond(value: f64, most: f64) -> bool {
    value.is_nan() || value > most
}

/// What the files of a look and camera say.
#[derive(Clone, Debug, Serialize)]
pub struct Picture {
    /// Id of the look.
    pub look: String,
    /// Id of the variant or version, empty for the look itself.
    pub part: String,
    /// Id of the camera.
    pub camera: String,
    /// What the cube misses of the recipe's look.
    pub cube: Option<WholeError>,
    /// What the steps miss of it.
    pub clf: Option<WholeError>,
    /// Largest CIEDE2000 between cube and steps, chart and skins.
    pub between_de: Option<f64>,
    /// Largest CIEDE2000 between the steps of camera, look and output one behind the other and the whole, chart and skins.
    pub apart_de: Option<f64>,
    /// Mean CIEDE2000 of the nearest CDL, as its file says it; `None` where the look is its CDL.
    pub nearest_de: Option<f64>,
}

/// Looks at all of them. What does not fit is added to `findings`.
pub(super) fn same_pictures(
    package: &Package,
    manifest: &Manifest,
    work: &Work,
    jobs: &[&Job],
    findings: &mut Vec<Finding>,
) -> Vec<Picture> {
    let looked: Vec<(Picture, Vec<Finding>)> =
        manifest.post.par_iter().filter_map(|post| of_post(package, manifest, work, jobs, post)).collect();
    looked
        .into_iter()
        .map(|(picture, found)| {
            findings.extend(found);
            picture
        })
        .collect()
}

fn of_post(
    package: &Package,
    manifest: &Manifest,
    work: &Work,
    jobs: &[&Job],
    post: &PostNote,
) -> Option<(Picture, Vec<Finding>)> {
    let show = &work.show;
    let is = |job: &&&Job| {
        show.looks[job.look].id.is(&post.look)
            && show.part_id(job.look, job.part).eq_ignore_ascii_case(&post.part)
            && show.cameras[job.camera].id.is(&post.camera)
            && show.monitors[job.monitor].id.is(&post.monitor)
    };
    let job = jobs.iter().find(is)?;
    let look = PostLook::of(job).ok()?;
    let reader = Reader {
        package,
        jobs,
        look: &look,
        translation: Translation::new(&look.plan, &look.pipeline),
        findings: Vec::new(),
    };
    Some(reader.picture(manifest, work, job, post))
}

struct Reader<'a> {
    package: &'a Package,
    /// Those that the package is for.
    jobs: &'a [&'a Job],
    look: &'a PostLook,
    translation: Translation<'a>,
    findings: Vec<Finding>,
}

impl Reader<'_> {
    fn picture(mut self, manifest: &Manifest, work: &Work, job: &Job, post: &PostNote) -> (Picture, Vec<Finding>) {
        let table = self.table(&post.cube);
        let viewer = Viewer::new(&self.look.plan, &self.look.pipeline);
        let cube = table.as_ref().map(|table| self.translation.error_through(|signal| viewer.of_table(table, signal)));
        let whole = self.list(&post.clf);
        let clf = whole.as_ref().map(|list| self.translation.error_of(list));
        self.held(&post.cube, cube, post.cube_error);
        self.held(&post.clf, clf, post.clf_error);
        let patches = &self.translation.probes().signals[..self.translation.probes().patches];
        let patches = patches.to_vec();
        let between = match (&table, &whole) {
            (Some(table), Some(list)) => {
                Some(self.most(&patches, |signal| viewer.of_table(table, signal), |signal| list.apply(signal)))
            }
            _ => None,
        };
        let apart = self.apart(post, whole.as_ref(), &patches);
        let nearest = self.cdl(manifest, work, job, &patches);
        let picture = Picture {
            look: post.look.clone(),
            part: post.part.clone(),
            camera: post.camera.clone(),
            cube,
            clf,
            between_de: between,
            apart_de: apart,
            nearest_de: nearest,
        };
        (picture, self.findings)
    }

    /// A file that misses more of the look than it did when it was written.
    fn held(&mut self, file: &str, now: Option<WholeError>, packed: WholeError) {
        let Some(now) = now else { return };
        if beyond(now.max_de, packed.max_de + ROUNDING_DE) {
            let told = format!(
                "it misses the recipe's look by CIEDE2000 {:.2}, and missed it by {:.2} when it was packed",
                now.max_de, packed.max_de
            );
            self.findings.push(Finding::new(file, "another picture", told));
        }
    }

    /// Camera, look and output one behind the other.
    fn apart(&mut self, post: &PostNote, whole: Option<&clf::ProcessList>, patches: &[Rgb]) -> Option<f64> {
        let mut lists = vec![self.list(&post.input)?];
        if let Some(scene) = &post.scene {
            lists.push(self.list(scene)?);
        }
        lists.push(self.list(&post.output)?);
        let whole = whole?;
        let chained = |signal: Rgb| lists.iter().fold(signal, |value, list| list.apply(value));
        let most = self.most(patches, chained, |signal| whole.apply(signal));
        if beyond(most, ROUNDING_DE) {
            let told = format!("input, look and output together differ from {} by CIEDE2000 {most:.2}", post.clf);
            self.findings.push(Finding::new(&post.amf, "another picture", told));
        }
        Some(most)
    }

    /// The recipe's grade against its file, and the nearest CDL against what is said of it.
    fn cdl(&mut self, manifest: &Manifest, work: &Work, job: &Job, patches: &[Rgb]) -> Option<f64> {
        let (look, part) = (&work.show.looks[job.look].id, work.show.part_id(job.look, job.part));
        let note = manifest.grades.iter().find(|note| look.is(&note.look) && note.part.eq_ignore_ascii_case(part))?;
        if let Some(cdl) = self.correction(&note.file)
            && cdl != self.look.plan.grade
        {
            self.findings.push(Finding::new(&note.file, "another picture", "it is not the recipe's [grade]"));
        }
        let fit = note.fit.as_ref()?;
        let cdl = self.correction(&fit.file)?;
        let (pipeline, _) = Pipeline::build(&plain_with(&self.look.plan, cdl)).ok()?;
        let display = Display::new(&self.look.plan);
        let sum: f64 = patches
            .iter()
            .map(|signal| {
                ciede2000(display.lab(pipeline.evaluate(*signal)), display.lab(self.look.pipeline.evaluate(*signal)))
            })
            .sum();
        let mean = sum / patches.len().max(1) as f64;
        // Its figures were measured with the look's first camera; what the others differ by is the chart as they record it.
        let first = PartKey::of(job);
        let of_first =
            self.jobs.iter().find(|other| PartKey::of(other) == first).is_some_and(|other| other.camera == job.camera);
        if of_first && beyond((mean - fit.mean_de).abs(), ROUNDING_DE) {
            let told =
                format!("it misses the look by CIEDE2000 {mean:.2} on average, and {:.2} is said of it", fit.mean_de);
            self.findings.push(Finding::new(&fit.file, "another picture", told));
        }
        Some(mean)
    }

    fn most(&self, signals: &[Rgb], one: impl Fn(Rgb) -> Rgb, other: impl Fn(Rgb) -> Rgb) -> f64 {
        let display = Display::new(&self.look.plan);
        signals.iter().fold(0.0_f64, |most, signal| {
            let de = ciede2000(display.lab(one(*signal)), display.lab(other(*signal)));
            if de > most || de.is_nan() { de } else { most }
        })
    }

    fn table(&mut self, file: &str) -> Option<crate::lut::Table3> {
        let bytes = self.package.entry(file).and_then(|_| self.package.read(file).ok())?;
        match cube::parse(file, &bytes).map(|cube| cube.tables) {
            Ok(Tables::Three(table)) => Some(table),
            Ok(_) => None,
            Err(found) => self.unreadable(file, &found),
        }
    }

    fn list(&mut self, file: &str) -> Option<clf::ProcessList> {
        let bytes = self.package.entry(file).and_then(|_| self.package.read(file).ok())?;
        match clf::parse(file, &bytes) {
            Ok(read) => Some(read.list),
            Err(found) => self.unreadable(file, &found),
        }
    }

    fn correction(&mut self, file: &str) -> Option<crate::plan::Cdl> {
        let bytes = self.package.entry(file).and_then(|_| self.package.read(file).ok())?;
        match cdl::parse(file, &bytes) {
            Ok(read) => read.corrections().next().map(|correction| correction.cdl),
            Err(found) => self.unreadable(file, &found),
        }
    }

    fn unreadable<T>(&mut self, file: &str, found: &[crate::diagnostics::Diagnostic]) -> Option<T> {
        let why = found.iter().find(|one| one.is_error()).map_or("", |one| one.message.as_str());
        self.findings.push(Finding::new(file, "unreadable", why));
        None
    }
}

//! Many stills through one or several looks: which files, what they will be called, and the work itself.

use super::apply::Applied;
use super::{Frame, SampleDepth};
use crate::diagnostics::{Diagnostic, codes};
use crate::formats::image::{self, Metadata, Notes, PictureFormat, Still, Sureness, Suspicion, WriteOptions};
use rayon::prelude::*;
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

/// The most pictures that are in memory at a time: enough to read and write while others are computed, few enough for
/// frames of some hundred megabytes.
const MOST_AT_ONCE: usize = 4;

/// A still and the files that its pictures go to, one for each look.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Job {
    /// The still.
    pub still: PathBuf,
    /// The pictures, in the order of the looks.
    pub outputs: Vec<PathBuf>,
}

/// A picture that was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Done {
    /// The still.
    pub still: PathBuf,
    /// The look, as a place in their list.
    pub look: usize,
    /// The picture.
    pub output: PathBuf,
    /// Pixels across and down.
    pub size: [usize; 2],
    /// Samples of R, G and B in the picture.
    pub samples: u64,
    /// Samples that the device held to its range.
    pub clamped_inputs: u64,
    /// Samples that the file could not hold.
    pub clamped_outputs: u64,
    /// What is to be known of the still or the picture: what was left out of its notes, other pictures in its file.
    pub warnings: Vec<String>,
    /// Why the still is perhaps no log signal but a finished picture.
    pub looks_finished: Option<Suspicion>,
}

/// The least signal that a camera records of light: what lies below is noise, or no log signal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LogFloor {
    /// Name of the encoding.
    pub encoding: &'static str,
    /// Its signal of no light, 0..1.
    pub signal: f64,
}

/// Noise reaches this far below the black of a camera, and that share of the pixels of a log frame at most; a finished picture
/// has its shadows there. This project's own choice: log frames have a five-hundredth part there.
const BELOW_BLACK: f64 = 8.0 / 1023.0;
const BELOW_BLACK_SHARE: f64 = 0.05;

/// Black bars around a picture have one of these signals.
fn is_bar(signal: f64) -> bool {
    const CODE: f64 = 1.0 / 1023.0;
    signal < CODE || (signal - 64.0 * CODE).abs() < 1.5 * CODE
}

impl LogFloor {
    /// Why a frame is no log signal of that camera: too many of its pixels lie below the camera's black in all channels.
    #[must_use]
    pub fn suspicion(&self, frame: &Frame) -> Option<Suspicion> {
        let below = self.signal - BELOW_BLACK;
        if below <= 0.0 {
            return None;
        }
        let dark = |place: usize| {
            let pixel = frame.pixel(place % frame.width(), place / frame.width());
            pixel.is_some_and(|pixel| pixel.iter().all(|value| *value < below && !is_bar(*value)))
        };
        let pixels = frame.width() * frame.height();
        let share = (0..pixels).into_par_iter().filter(|place| dark(*place)).count() as f64 / pixels as f64;
        (share > BELOW_BLACK_SHARE).then(|| Suspicion {
            sureness: Sureness::Likely,
            reason: format!(
                "{:.0} % of its pixels are darker than the black of {}, code {:.0} of 1023",
                100.0 * share,
                self.encoding,
                1023.0 * self.signal
            ),
        })
    }
}

/// How pictures are written.
#[derive(Clone, Copy, Debug)]
pub struct Writing<'a> {
    /// The camera's black, where stills are taken for a log signal.
    pub log_floor: Option<LogFloor>,
    /// Depth, quality, profile.
    pub options: &'a WriteOptions,
    /// What was done to the picture, for each look, as the file says it.
    pub descriptions: &'a [String],
}

/// What came of a still: its pictures, or what is wrong with it.
pub type Made = Result<Vec<Done>, Vec<Diagnostic>>;

/// What a list of files and folders stands for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Stills {
    /// The pictures, folders replaced by what is in them.
    pub files: Vec<PathBuf>,
    /// Earlier previews of the same look that lie in a named folder, and are left out.
    pub earlier_previews: usize,
    /// Folders that can't be read or have no picture in them.
    pub faults: Vec<Diagnostic>,
}

/// The pictures of a list of files and folders. Of a folder, what bears a picture's extension counts, in the order of the
/// names; folders in it, hidden files and earlier previews of these looks (`*.LOOK.*`) don't. A file that is named counts always.
#[must_use]
pub fn find_stills(paths: &[PathBuf], looks: &[&str]) -> Stills {
    let mut stills = Stills::default();
    for path in paths {
        if !path.is_dir() {
            stills.files.push(path.clone());
            continue;
        }
        match pictures_in(path) {
            Ok(found) => {
                let (earlier, fresh): (Vec<_>, Vec<_>) = found.into_iter().partition(|file| is_preview(file, looks));
                stills.earlier_previews += earlier.len();
                if fresh.is_empty() {
                    let message = format!("{} has no picture in it", path.display());
                    let help = "PNG, JPEG, TIFF and OpenEXR files are taken, not those in folders below it";
                    stills.faults.push(Diagnostic::error(&codes::PREVIEW_IMPOSSIBLE, message).help(help));
                }
                stills.files.extend(fresh);
            }
            Err(error) => {
                let message = format!("{}: {error}", path.display());
                stills.faults.push(Diagnostic::error(&codes::FILE_UNREADABLE, message).help("check the folder"));
            }
        }
    }
    stills
}

fn pictures_in(folder: &Path) -> std::io::Result<Vec<PathBuf>> {
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        let hidden = path.file_name().is_some_and(|name| name.to_string_lossy().starts_with('.'));
        let known = path.extension().is_some_and(|end| PictureFormat::from_extension(&end.to_string_lossy()).is_some());
        if known && !hidden && !path.is_dir() {
            files.push(path);
        }
    }
    files.sort();
    Ok(files)
}

fn is_preview(file: &Path, looks: &[&str]) -> bool {
    let Some(stem) = file.file_stem().map(|stem| stem.to_string_lossy().into_owned()) else { return false };
    looks.iter().any(|look| stem.ends_with(&format!(".{look}")) || stem.contains(&format!(".{look}.")))
}

/// What each still's pictures will be called: `STILL.LOOK.png` in the folder `out`, for each look. Stills that can't have one come back as
/// errors: it would replace one of the stills, or that of an earlier still of the list.
#[must_use]
pub fn name_outputs(
    stills: &[PathBuf],
    looks: &[&str],
    format: PictureFormat,
    out: &Path,
) -> (Vec<Job>, Vec<Diagnostic>) {
    let extension = format.extensions().first().copied().unwrap_or_default();
    let originals: Vec<PathBuf> = stills.iter().filter_map(|still| still.canonicalize().ok()).collect();
    let mut taken: HashMap<PathBuf, &Path> = HashMap::new();
    let (mut jobs, mut faults) = (Vec::new(), Vec::new());
    for still in stills {
        let stem = still.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
        let outputs: Vec<PathBuf> = looks.iter().map(|look| out.join(format!("{stem}.{look}.{extension}"))).collect();
        let clash = outputs.iter().find_map(|output| {
            if output.canonicalize().is_ok_and(|existing| originals.contains(&existing)) {
                return Some(format!("it would replace the still {}", output.display()));
            }
            let other = taken.get(output)?;
            Some(format!("{} is the preview of {} already", output.display(), other.display()))
        });
        match clash {
            Some(why) => faults.push(
                Diagnostic::error(&codes::PREVIEW_CLASH, format!("{} gets no preview: {why}", still.display()))
                    .help("choose another folder with --out, or rename the still"),
            ),
            None => {
                taken.extend(outputs.iter().map(|output| (output.clone(), still.as_path())));
                jobs.push(Job { still: still.clone(), outputs });
            }
        }
    }
    (jobs, faults)
}

/// What is made of a still by a look, the look as a place in their list.
pub type Make<'a> = dyn Fn(&Frame, usize) -> Result<Applied, Vec<Diagnostic>> + Sync + 'a;

/// Makes every picture: reads, applies and writes, several stills at a time, each read once for all looks. `finished` is called after each
/// still, from any thread.
///
/// The results are in the order of the jobs, and the same for any number of threads; one that fails doesn't stop the others. The
/// folders must exist. A file of the preview's name is replaced, whole or not at all.
pub fn run(jobs: &[Job], make: &Make<'_>, writing: Writing<'_>, finished: &(dyn Fn(&Job) + Sync)) -> Vec<Made> {
    let next = AtomicUsize::new(0);
    let results: Vec<Mutex<Option<Made>>> = jobs.iter().map(|_| Mutex::new(None)).collect();
    let work = || {
        while let Some((job, place)) = {
            let index = next.fetch_add(1, Ordering::Relaxed);
            jobs.get(index).zip(results.get(index))
        } {
            let result = image::read_still(&job.still).and_then(|still| write_still(&still, job, make, writing));
            finished(job);
            if let Ok(mut place) = place.lock() {
                *place = Some(result);
            }
        }
    };
    let at_once = rayon::current_num_threads().min(MOST_AT_ONCE).min(jobs.len());
    std::thread::scope(|scope| {
        for _ in 0..at_once {
            scope.spawn(work);
        }
    });
    results.into_iter().filter_map(|place| place.into_inner().ok().flatten()).collect()
}

fn write_still(still: &Still, job: &Job, make: &Make<'_>, writing: Writing<'_>) -> Made {
    let mut made = write_all(&still.frame, &still.metadata, job, make, writing)?;
    let below_black = writing.log_floor.and_then(|floor| floor.suspicion(&still.frame));
    for done in &mut made {
        let told = still.warnings.iter().map(ToString::to_string);
        done.warnings.extend(told);
        done.looks_finished = still
            .looks_finished()
            .filter(|found| found.sureness == Sureness::Likely)
            .or_else(|| below_black.clone())
            .or_else(|| still.looks_finished());
    }
    Ok(made)
}

/// Makes the pictures of a frame that is in memory already, and writes them.
///
/// # Errors
/// As `make` and [`image::write`].
pub fn write_pictures(frame: &Frame, job: &Job, make: &Make<'_>, writing: Writing<'_>) -> Made {
    write_all(frame, &Metadata::default(), job, make, writing)
}

fn write_all(frame: &Frame, metadata: &Metadata, job: &Job, make: &Make<'_>, writing: Writing<'_>) -> Made {
    let one = |(look, output): (usize, &PathBuf)| {
        let applied = make(frame, look)?;
        let (picture, clamped) = match writing.options.depth {
            Some(depth) if depth != SampleDepth::Float => {
                let converted = applied.frame.to_depth(depth);
                (converted.frame, converted.clamped_samples)
            }
            _ => (applied.frame, 0),
        };
        let notes = Notes { metadata: metadata.clone(), description: writing.descriptions.get(look).cloned() };
        let warnings = image::write_still(output, &picture, writing.options, &notes)?;
        Ok(Done {
            still: job.still.clone(),
            look,
            output: output.clone(),
            size: [picture.width(), picture.height()],
            samples: 3 * (picture.width() * picture.height()) as u64,
            clamped_inputs: applied.clamped_inputs,
            clamped_outputs: applied.clamped_outputs + clamped,
            warnings: warnings.iter().map(ToString::to_string).collect(),
            looks_finished: None,
        })
    };
    job.outputs.iter().enumerate().map(one).collect()
}

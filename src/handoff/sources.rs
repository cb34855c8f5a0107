//! The texts that a show is made from, as they were written.

use crate::diagnostics::{Diagnostic, codes};
use crate::recipe::{self, Overlay, Recipe, Value};
use crate::show::Work;
use std::fs;
use std::path::{Component, Path, PathBuf};

/// The folder of these texts in a package.
pub const FOLDER: &str = "show";

/// The texts of a show with their paths in the package.
#[derive(Clone, Debug)]
pub(super) struct Sources {
    /// Path in the package, and the file.
    pub files: Vec<(String, PathBuf)>,
    /// The show's own path in the package.
    pub show: String,
}

impl Sources {
    /// The path in the package of a file, by any of its names.
    pub(super) fn place(&self, name: &str) -> Option<&str> {
        let canonical = fs::canonicalize(name).ok()?;
        self.files.iter().find(|(_, file)| *file == canonical).map(|(place, _)| place.as_str())
    }
}

/// Finds every file that the show is made from. Their folders keep their places to each other, so that the paths in them still hold.
///
/// # Errors
/// A file that can't be found any more; one that is named by an absolute path, which leads nowhere on another machine.
pub(super) fn sources(work: &Work) -> Result<Sources, Vec<Diagnostic>> {
    let mut found = Found::default();
    let show = found.add(&work.show.path)?;
    let folder = work.show.path.parent().unwrap_or(Path::new(""));
    for camera in &work.show.cameras {
        if let Some(trim) = &camera.trim {
            found.named(folder, &trim.text, &trim.span)?;
        }
    }
    for job in &work.jobs {
        // Settings of versions name files too; they stand relative to the look's recipe.
        let recipe = folder.join(&work.show.looks[job.look].recipe.text);
        found.of_post(&job.recipe, &recipe)?;
    }
    for look in &work.show.looks {
        found.relative(&look.recipe.text, &look.recipe.span)?;
        let path = folder.join(&look.recipe.text);
        // What camera and monitor say is laid over it elsewhere: only the files matter here.
        let overlay = overlay_of(work, &look.cameras, &look.monitors);
        let loaded = recipe::load_over(&path, &[], &overlay)?;
        for file in &loaded.files {
            found.add(file)?;
        }
        found.of_post(&loaded.recipe, &path)?;
    }
    found.relocated(&show)
}

fn overlay_of(work: &Work, cameras: &[usize], monitors: &[usize]) -> Overlay {
    let mut all = Overlay::default();
    let of_camera = cameras.first().map(|camera| &work.show.cameras[*camera].overlay);
    let of_monitor = monitors.first().map(|monitor| &work.show.monitors[*monitor].overlay);
    for overlay in of_camera.into_iter().chain(of_monitor) {
        all.tables.extend(overlay.tables.iter().cloned());
        all.values.extend(overlay.values.iter().cloned());
    }
    all
}

#[derive(Default)]
struct Found {
    /// Canonical paths, each once.
    files: Vec<PathBuf>,
}

impl Found {
    fn add(&mut self, path: &Path) -> Result<PathBuf, Vec<Diagnostic>> {
        let canonical = fs::canonicalize(path).map_err(|error| {
            let message = format!("{}: {error}", path.display());
            vec![
                Diagnostic::error(&codes::FILE_UNREADABLE, message)
                    .help("a package needs every file that the show is made from"),
            ]
        })?;
        // A link stands in the package as the file that it leads to, which is called otherwise.
        if path.file_name() != canonical.file_name() {
            let message = format!("{}: a link to a file of another name, {}", path.display(), canonical.display());
            let error = Diagnostic::error(&codes::PACKAGE_SOURCE, message);
            return Err(vec![error.help("put the file itself there: packages hold no links")]);
        }
        if !self.files.contains(&canonical) {
            self.files.push(canonical.clone());
        }
        Ok(canonical)
    }

    fn named(&mut self, folder: &Path, written: &str, span: &crate::diagnostics::Span) -> Result<(), Vec<Diagnostic>> {
        self.relative(written, span)?;
        self.add(&folder.join(written)).map(|_| ())
    }

    /// An absolute path leads nowhere on another machine.
    fn relative(&self, written: &str, span: &crate::diagnostics::Span) -> Result<(), Vec<Diagnostic>> {
        let mut parts = Path::new(written).components().skip_while(|part| *part == Component::ParentDir);
        let goes_back = parts.any(|part| part == Component::ParentDir);
        if Path::new(written).is_relative() && goes_back {
            let message =
                format!("the path \"{written}\" goes into a folder and out again, which a package does not have");
            let label = "expected the straight way";
            let error = Diagnostic::error(&codes::PACKAGE_SOURCE, message).at(span.clone(), label);
            return Err(vec![error.help("write the path without the folder that it leaves again")]);
        }
        if Path::new(written).is_relative() {
            return Ok(());
        }
        let message = format!("the path \"{written}\" leads nowhere on another machine");
        let label = "expected a path relative to this file, found an absolute one";
        Err(vec![
            Diagnostic::error(&codes::PACKAGE_SOURCE, message)
                .at(span.clone(), label)
                .help("write it relative to the file that names it"),
        ])
    }

    /// Files from post that a recipe takes in.
    fn of_post(&mut self, recipe: &Recipe, own: &Path) -> Result<(), Vec<Diagnostic>> {
        for key in ["look.extends", "grade.from", "after.cube"] {
            let Some(written) = recipe.get(key) else { continue };
            let Value::Text(path) = &written.value else { continue };
            if path.is_empty() {
                continue;
            }
            let name = written.span.source.name.as_str();
            let file = if name == "--set" { own } else { Path::new(name) };
            let folder = file.parent().unwrap_or(Path::new("")).to_path_buf();
            self.named(&folder, path, &written.span)?;
        }
        Ok(())
    }

    fn relocated(&self, show: &Path) -> Result<Sources, Vec<Diagnostic>> {
        let mut common = show.parent().unwrap_or(Path::new("")).to_path_buf();
        while !self.files.iter().all(|file| file.starts_with(&common)) {
            if !common.pop() {
                let message = "the show's files have no folder in common";
                let help = "bring them onto one drive, below one folder";
                return Err(vec![Diagnostic::error(&codes::PACKAGE_SOURCE, message).help(help)]);
            }
        }
        let place = |file: &Path| -> String {
            let inside = file.strip_prefix(&common).unwrap_or(file);
            let parts: Vec<String> =
                inside.components().map(|part| part.as_os_str().to_string_lossy().into_owned()).collect();
            format!("{FOLDER}/{}", parts.join("/"))
        };
        let mut files: Vec<(String, PathBuf)> = self.files.iter().map(|file| (place(file), file.clone())).collect();
        files.sort();
        Ok(Sources { files, show: place(show) })
    }
}

//! `compare A.zip B.zip`: what became of the looks between two packages.

use super::console::{Console, Emphasis};
use super::exit::{CommandResult, Outcome};
use super::foreign::FileKind;
use super::package_place::is_zip;
use super::show_file::kind_of_text;
use lookwright::diagnostics::{Diagnostic, codes};
use lookwright::formats::package::Package;
use lookwright::handoff::{LookChange, MANIFEST, Packed, State, changes_between, new_versions};
use serde_json::json;
use std::fs::File;
use std::io::Read as _;
use std::path::Path;

/// How every zip archive begins, an empty one apart (PKWARE, application note on the form of zip files, 4.3.7; from memory).
const ZIP_HEAD: &[u8] = b"PK\x03\x04";

/// Whether a path leads to a package: a zip archive, whatever it is called, or a folder with a `package.json`.
pub fn is_package(path: &Path) -> bool {
    is_zip(path) || path.join(MANIFEST).is_file() || begins_as_zip(path)
}

/// Pipes can be read once only, and are left alone.
fn begins_as_zip(path: &Path) -> bool {
    let mut head = [0; ZIP_HEAD.len()];
    path.is_file() && File::open(path).is_ok_and(|mut file| file.read_exact(&mut head).is_ok()) && head == ZIP_HEAD
}

/// Runs the command for two packages, or says why one alone can't be compared.
pub fn run(paths: [&Path; 2], max_de: Option<f64>, console: &Console) -> CommandResult {
    beside(paths)?;
    let [a, b] = [read(paths[0])?, read(paths[1])?];
    let changes = changes_between(&a, &b)?;
    let versions = new_versions(&a, &b);
    if console.is_json() {
        let side = |path: &Path, packed: &Packed| {
            json!({"package": path, "show": packed.manifest.show, "date": packed.manifest.date, "setups": packed.manifest.setups,
                "made_by": packed.manifest.program})
        };
        console.document(&json!({
            "a": side(paths[0], &a),
            "b": side(paths[1], &b),
            "looks": changes,
            "new_versions": versions.iter().map(|(setup, id, changed)| json!({"setup": setup, "id": id, "changed": changed})).collect::<Vec<_>>(),
        }));
    } else {
        let mut text = String::new();
        for (letter, path, packed) in [("A", paths[0], &a), ("B", paths[1], &b)] {
            let of = packed
                .manifest
                .setups
                .as_ref()
                .map_or("whole show".to_owned(), |setups| format!("setups {}", setups.join(", ")));
            let show = console.emphasise(Emphasis::Strong, &packed.manifest.show);
            text.push_str(&format!("{letter}  {show}  {of}, {} ({})\n", packed.manifest.date, path.display()));
        }
        text.push('\n');
        told(&mut text, &changes, console);
        for (setup, id, changed) in &versions {
            let changed: String = changed.chars().filter(|one| !one.is_control()).collect();
            text.push_str(&format!("  new version {id} of setup {setup}: {changed}\n"));
        }
        console.text(&text);
    }
    // Written so that no number fails too.
    let stays = |change: &LookChange| !matches!(change.state, State::Added | State::Gone);
    let within = max_de.is_none_or(|limit| changes.iter().all(|change| stays(change) && change.max_de <= limit));
    Ok(if within { Outcome::Fine } else { Outcome::OutOfTolerance })
}

/// A package stands beside another package only.
fn beside(paths: [&Path; 2]) -> Result<(), Vec<Diagnostic>> {
    let (package, other) = match paths.map(is_package) {
        [true, true] => return Ok(()),
        [true, _] => (paths[0], paths[1]),
        _ => (paths[1], paths[0]),
    };
    let what = match FileKind::of(other) {
        _ if !other.exists() => {
            let message = format!("{}: there is no such file", other.display());
            return Err(vec![Diagnostic::error(&codes::FILE_UNREADABLE, message).help("name the other package")]);
        }
        _ if other.is_dir() => "a folder without package.json",
        FileKind::Cube => "a cube file",
        FileKind::Steps => "a list of steps",
        FileKind::Corrections => "a file of corrections",
        FileKind::Events => "an edit decision list",
        FileKind::Other => kind_of_text(other).unwrap_or("no package"),
    };
    let message = format!("{} is a package, and {} is {what}", package.display(), other.display());
    let unpacked =
        if package.is_dir() { package.display().to_string() } else { package.with_extension("").display().to_string() };
    let mut error = Diagnostic::error(&codes::PACKAGE_BESIDE, message).help(
        "a package is compared with a package; a recipe, cube, list of steps or correction with another of these",
    );
    if !package.is_dir() {
        error = error.help(format!("unpack it: lookwright receive {} --to {unpacked}", package.display()));
    }
    // A folder and a show stand beside no single file.
    if !other.is_dir() && what != "a show" {
        error = error.help(format!(
            "then name the one file that is meant: lookwright compare {unpacked}/post/cube/LOOK.CAMERA.cube {}",
            other.display()
        ));
    }
    Err(vec![error])
}

fn read(path: &Path) -> Result<Packed, Vec<Diagnostic>> {
    let package = Package::open(path)?;
    let folder = tempfile::Builder::new().prefix("lookwright-").tempdir().map_err(|error| {
        let message = format!("no folder for the show's texts can be made: {error}");
        vec![Diagnostic::error(&codes::FILE_UNWRITABLE, message).help("make room where temporary files go")]
    })?;
    Packed::read(&package, folder.path())
}

fn told(text: &mut String, changes: &[LookChange], console: &Console) {
    let name = |change: &LookChange| {
        if change.part.is_empty() { change.look.clone() } else { format!("{}.{}", change.look, change.part) }
    };
    let width = changes.iter().map(|change| name(change).len()).max().unwrap_or(0);
    for change in changes {
        let state = match change.state {
            State::Same => "the same".to_owned(),
            State::Changed => console.emphasise(Emphasis::Strong, "changed"),
            State::Added => console.emphasise(Emphasis::Strong, "only in B"),
            State::Gone => console.emphasise(Emphasis::Strong, "only in A"),
        };
        let [first, second, both] = change.files;
        let lost = if matches!(change.state, State::Same | State::Changed) && (first, second) != (both, both) {
            format!("; files for {first} cameras and monitors in A, {second} in B, {both} in both")
        } else {
            String::new()
        };
        text.push_str(&format!("  {:width$}  {state}{lost}\n", name(change)));
        if change.state != State::Changed {
            continue;
        }
        let indent = " ".repeat(width + 4);
        let [camera, monitor] = &change.seen;
        text.push_str(&format!("{indent}{}\n", change.words));
        text.push_str(&format!(
            "{indent}ΔE2000 {:.2} mean, {:.2} most on the chart at -3..+3 stops (camera {camera}, monitor {monitor}: the worst of {} that differ)\n",
            change.mean_de, change.max_de, change.differing
        ));
        for one in &change.parameters {
            text.push_str(&format!("{indent}{}  {} → {}\n", one.key, one.a, one.b));
        }
    }
}

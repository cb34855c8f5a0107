//! Where a package is written to: looked at before anything is made, and told in the words of whoever named it.

use lookwright::diagnostics::{Diagnostic, codes};
use std::io::ErrorKind;
use std::path::{Component, Path, PathBuf};

/// Endings of other archives, common practice, no source: a folder of such a name would be taken for one.
const ARCHIVES: [&str; 20] = [
    "7z", "bz2", "cab", "dmg", "gz", "img", "iso", "lz", "lz4", "lzma", "rar", "tar", "tbz", "tbz2", "tgz", "txz",
    "xz", "z", "zipx", "zst",
];

/// Whether a package is a zip archive, by its name.
pub fn is_zip(path: &Path) -> bool {
    path.extension().is_some_and(|end| end.eq_ignore_ascii_case("zip"))
}

/// Refuses places that no package can have: the names of other archives, the folder that the LUT files of the show are written to and
/// whatever lies around or in it, and folders that can't be written to.
pub fn of_new_package(out: &Path, luts: &Path) -> Result<(), Vec<Diagnostic>> {
    let end = out.extension().map(|end| end.to_string_lossy().to_ascii_lowercase()).unwrap_or_default();
    if ARCHIVES.contains(&end.as_str()) {
        let mut stem = out.to_owned();
        while stem
            .extension()
            .is_some_and(|end| ARCHIVES.contains(&end.to_string_lossy().to_ascii_lowercase().as_str()))
        {
            stem = stem.with_extension("");
        }
        let named = out.display().to_string();
        let end = named.strip_prefix(&stem.display().to_string()).unwrap_or(&end);
        let message = format!("{named}: a package is no {end} archive");
        let help = format!("--out {}.zip is a zip archive, --out {0} a folder", stem.display());
        return Err(vec![Diagnostic::error(&codes::PACKAGE_PLACE, message).help(help)]);
    }
    folder_around(out, "--out")?;
    let (place, luts_place) = (resolved(out), resolved(luts));
    if place.starts_with(&luts_place) || luts_place.starts_with(&place) {
        let message =
            format!("{} lies together with {}, where the show's LUT files are made", out.display(), luts.display());
        let help = "name a place outside of that folder with --out, or another folder with --luts";
        return Err(vec![Diagnostic::error(&codes::PACKAGE_PLACE, message).help(help)]);
    }
    Ok(())
}

/// Refuses a place for a new folder: one that is taken, or can't be written to.
pub fn of_new_folder(target: &Path, option: &str) -> Result<(), Vec<Diagnostic>> {
    folder_around(target, option)?;
    let why = match target.symlink_metadata() {
        Err(_) => return Ok(()),
        Ok(old) if !old.is_dir() => "it is no folder",
        Ok(_) if std::fs::read_dir(target).is_ok_and(|mut files| files.next().is_none()) => return Ok(()),
        Ok(_) => "it is not empty",
    };
    let message = format!("{} exists already, and {why}", target.display());
    let help = format!("name another place with {option}, or move what is there away");
    Err(vec![Diagnostic::error(&codes::FILE_EXISTS, message).help(help)])
}

/// Refuses a place whose folder is none, or can't be written to. `option` is what it was named with.
fn folder_around(target: &Path, option: &str) -> Result<(), Vec<Diagnostic>> {
    let is_here =
        || target.canonicalize().ok().zip(std::env::current_dir().ok()).is_some_and(|(one, here)| one == here);
    if target.file_name().is_none() || is_here() {
        let message = format!("\"{}\" is no name of something new", target.display());
        let help = format!("name a new folder in it, with {option}");
        return Err(vec![Diagnostic::error(&codes::PACKAGE_PLACE, message).help(help)]);
    }
    let folder = target.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let refused = |why: String, help: String| {
        let message = format!("{} can't be written: {why}", target.display());
        Err(vec![Diagnostic::error(&codes::FILE_UNWRITABLE, message).help(help)])
    };
    let another = format!("name another place with {option}");
    match folder.metadata() {
        Ok(about) if about.is_dir() => {}
        Ok(_) => return refused(format!("{} is no folder", folder.display()), another),
        Err(error) if error.kind() == ErrorKind::NotFound => {
            let help = format!("make the folder first, or name another place with {option}");
            return refused(format!("there is no folder {}", folder.display()), help);
        }
        Err(error) => return refused(format!("{}: {}", folder.display(), error.kind()), another),
    }
    // Whether a folder can be written to is known only by writing: into a file without a name. What it would be called says nothing to anybody.
    match tempfile::tempfile_in(folder) {
        Ok(_) => Ok(()),
        Err(error) => refused(
            format!("nothing can be written into {} ({})", folder.display(), error.kind()),
            format!("name a place that you may write to with {option}"),
        ),
    }
}

/// A path by its folders on the disk as far as it exists, and by its names from there on.
fn resolved(path: &Path) -> PathBuf {
    let mut whole = PathBuf::new();
    for part in std::path::absolute(path).unwrap_or_else(|_| path.to_owned()).components() {
        match part {
            Component::ParentDir => {
                whole.pop();
            }
            part => whole.push(part),
        }
        if let Ok(real) = whole.canonicalize() {
            whole = real;
        }
    }
    whole
}

#[cfg(test)]
mod tests {
    use super::{is_zip, of_new_package};
    use std::fs;
    use std::path::Path;

    #[test]
    fn names_of_other_archives_are_refused_with_the_name_that_would_do() {
        let folder = tempfile::tempdir().expect("a folder");
        let at = |name: &str| folder.path().join(name);
        for (name, stem) in [("x.tar", "x"), ("x.tar.gz", "x"), ("day.3.TGZ", "day.3"), ("x.7z", "x"), ("x.rar", "x")] {
            let found = of_new_package(&at(name), &at("luts")).expect_err(name);
            let help = format!("--out {}.zip is a zip", at(stem).display());
            assert!(found[0].code.id == "LW0829" && found[0].help[0].starts_with(&help), "{name}: {found:?}");
        }
        for name in ["x.zip", "x.ZIP", "x", "day.3", "x.tar.zip", "gz"] {
            assert!(of_new_package(&at(name), &at("luts")).is_ok(), "{name}");
        }
        assert!(is_zip(Path::new("x.Zip")) && !is_zip(Path::new("zip")));
    }

    #[test]
    fn a_package_and_the_lut_files_are_kept_apart() {
        let folder = tempfile::tempdir().expect("a folder");
        let luts = folder.path().join("luts-out/tidewater");
        for out in ["luts-out", "luts-out/tidewater", "luts-out/tidewater/x.zip", "luts-out/x/../tidewater/sub"] {
            fs::create_dir_all(folder.path().join(out).parent().expect("a folder")).expect("made");
            let found = of_new_package(&folder.path().join(out), &luts).expect_err(out);
            assert_eq!(found[0].code.id, "LW0829", "{out}: {found:?}");
        }
        for out in ["x.zip", "luts-out/x.zip", "tidewater", "luts"] {
            assert!(of_new_package(&folder.path().join(out), &luts).is_ok(), "{out}");
        }
    }

    #[test]
    fn the_folder_that_a_package_lies_in_must_be_there() {
        let folder = tempfile::tempdir().expect("a folder");
        fs::write(folder.path().join("file"), "").expect("written");
        for (out, why) in [("none/x.zip", "there is no folder"), ("file/x.zip", "is no folder"), ("sub/..", "LW0829")] {
            let found = of_new_package(&folder.path().join(out), Path::new("luts")).expect_err(out);
            let told = format!("{} {}", found[0].code.id, found[0].message);
            assert!(told.contains(why) && !told.contains(".part"), "{out}: {told}");
        }
    }
}

//! A package that is a folder: what is in it, without following links.

use super::names::{Kind, Names};
use super::{MAX_ENTRIES, MAX_ENTRY_BYTES, MAX_TOTAL_BYTES, PackageEntry, Problems, shown, unreadable};
use crate::diagnostics::{Diagnostic, codes};
use std::fs::{self, DirEntry, File};
use std::io::{self, Read};
use std::path::Path;

/// All files below a folder, sorted by path.
pub fn list(root: &Path, problems: &mut Problems) -> Vec<PackageEntry> {
    let mut walk = Walk { names: Names::default(), files: Vec::new(), entries: 0, total: 0 };
    walk.folder(root, "", problems);
    if walk.total > MAX_TOTAL_BYTES {
        let message = format!("the folder holds {} bytes; a package has at most {MAX_TOTAL_BYTES}", walk.total);
        problems.add(Diagnostic::error(&codes::PACKAGE_TOO_LARGE, message));
    }
    walk.files.sort_by(|one, other| one.path.cmp(&other.path));
    walk.files
}

struct Walk {
    names: Names,
    files: Vec<PackageEntry>,
    entries: usize,
    total: u64,
}

impl Walk {
    /// Walks a folder, as far as the count of entries allows.
    fn folder(&mut self, folder: &Path, prefix: &str, problems: &mut Problems) {
        let entries = match fs::read_dir(folder) {
            Ok(entries) => entries,
            Err(error) => return problems.add(unreadable(folder, &error)),
        };
        for entry in entries {
            self.entries += 1;
            if self.entries > MAX_ENTRIES {
                // Told once, by the folder that reached the limit; those around it stop silently.
                if self.entries == MAX_ENTRIES + 1 {
                    let message = format!("the folder holds more than {MAX_ENTRIES} files and folders");
                    problems.add(Diagnostic::error(&codes::PACKAGE_TOO_LARGE, message));
                }
                return;
            }
            match entry {
                Ok(entry) => self.entry(&entry, prefix, problems),
                Err(error) => problems.add(unreadable(folder, &error)),
            }
        }
    }

    fn entry(&mut self, entry: &DirEntry, prefix: &str, problems: &mut Problems) {
        let name = entry.file_name();
        let Some(name) = name.to_str() else {
            let message = format!("the name {} is not UTF-8", shown(&name.to_string_lossy()));
            return problems.add(Diagnostic::error(&codes::PACKAGE_PATH, message));
        };
        let path = format!("{prefix}{name}");
        // Of a link this is the link's own.
        let data = match entry.metadata() {
            Ok(data) => data,
            Err(error) => return problems.add(unreadable(&entry.path(), &error)),
        };
        if !data.is_file() && !data.is_dir() {
            let message = format!("{} is a link or a device, not a file", shown(&path));
            return problems.add(Diagnostic::error(&codes::PACKAGE_LINK, message));
        }
        let kind = if data.is_dir() { Kind::Folder } else { Kind::File };
        if let Err(problem) = self.names.add(&path, kind) {
            return problems.add(problem);
        }
        if data.is_dir() {
            return self.folder(&entry.path(), &format!("{path}/"), problems);
        }
        if data.len() > MAX_ENTRY_BYTES {
            let message = format!(
                "{} holds {} bytes; a file of a package has at most {MAX_ENTRY_BYTES}",
                shown(&path),
                data.len()
            );
            return problems.add(Diagnostic::error(&codes::PACKAGE_TOO_LARGE, message));
        }
        self.total += data.len();
        self.files.push(PackageEntry { path, size: data.len(), packed: data.len() });
    }
}

/// Reads a file that was listed, if it still is one and has the same size.
pub fn read(root: &Path, entry: &PackageEntry) -> Result<Vec<u8>, Diagnostic> {
    let place = root.join(&entry.path);
    let changed = || {
        let message = format!("{} was changed while the package was read", shown(&entry.path));
        Diagnostic::error(&codes::PACKAGE_DAMAGED, message)
    };
    let bytes = ordinary(&place).and_then(|file| {
        let Some(file) = file else { return Ok(None) };
        let mut bytes = Vec::new();
        // One more than expected, to notice that it grew.
        file.take(entry.size + 1).read_to_end(&mut bytes)?;
        Ok(Some(bytes))
    });
    let bytes = bytes.map_err(|error| unreadable(&place, &error))?;
    bytes.filter(|bytes| bytes.len() as u64 == entry.size).ok_or_else(changed)
}

/// Opens a file, unless it is something else now: opening a pipe would wait for ever.
fn ordinary(place: &Path) -> io::Result<Option<File>> {
    if place.symlink_metadata()?.is_file() { File::open(place).map(Some) } else { Ok(None) }
}

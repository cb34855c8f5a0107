//! Reading a package that came from anywhere.

use super::source::{Reader, Source};
use super::structure::{self, Member};
use super::write::{finish_folder, new_folder_for, put_file};
use super::{CHECKSUMS, Problems, folder, parse_checksums, shown, unreadable, unwritable};
use crate::diagnostics::{Diagnostic, codes};
use rayon::iter::{IntoParallelRefIterator, ParallelIterator};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use zip::{CompressionMethod, ZipArchive};

/// A file of a package.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PackageEntry {
    /// Its path in the package, divided by `/`.
    pub path: String,
    /// Its length in bytes.
    pub size: u64,
    /// Its length in the archive; the same as `size` in a folder.
    pub packed: u64,
}

/// A package whose structure is sound: every path is possible, no two are the same anywhere, and nothing is larger than a
/// package can be. What the files hold is checked as they are read.
#[derive(Debug)]
pub struct Package {
    /// Sorted by path.
    entries: Vec<PackageEntry>,
    place: Place,
}

/// Where the files are.
#[derive(Debug)]
enum Place {
    Folder(PathBuf),
    /// With the index in the archive of each of the entries.
    Zip(ZipArchive<Reader>, Vec<usize>),
}

impl Package {
    /// Opens a zip archive or a folder and checks all but what the files hold.
    ///
    /// # Errors
    /// If it is none of both, or for what is wrong with it: up to [`super::MAX_PROBLEMS`] problems.
    pub fn open(path: &Path) -> Result<Self, Vec<Diagnostic>> {
        let data = path.metadata().map_err(|error| vec![unreadable(path, &error)])?;
        if data.is_dir() {
            return Self::open_folder(path);
        }
        if !data.is_file() {
            let message = format!("{} is neither an ordinary file nor a folder", path.display());
            return Err(vec![Diagnostic::error(&codes::PACKAGE_UNKNOWN, message)]);
        }
        let source = File::open(path).and_then(Source::file).map_err(|error| vec![unreadable(path, &error)])?;
        Self::open_zip(&path.display().to_string(), source)
    }

    /// Opens a zip archive that is in memory. The name is for messages.
    ///
    /// # Errors
    /// As [`Self::open`].
    pub fn from_zip(name: &str, bytes: Vec<u8>) -> Result<Self, Vec<Diagnostic>> {
        Self::open_zip(name, Source::Bytes(bytes))
    }

    fn open_folder(path: &Path) -> Result<Self, Vec<Diagnostic>> {
        let mut problems = Problems::default();
        let entries = folder::list(path, &mut problems);
        problems.refuse().map_err(|list| in_package(&path.display().to_string(), list))?;
        Ok(Self { entries, place: Place::Folder(path.to_owned()) })
    }

    fn open_zip(name: &str, source: Source) -> Result<Self, Vec<Diagnostic>> {
        let mut problems = Problems::default();
        let source = Arc::new(source);
        let members = structure::read(&source, &mut problems);
        problems.refuse().map_err(|list| in_package(name, list))?;
        let archive = archive(source, &members).map_err(|problem| in_package(name, vec![problem]))?;
        let mut files: Vec<(PackageEntry, usize)> = members
            .into_iter()
            .enumerate()
            .filter(|(_, member)| !member.is_folder)
            .map(|(index, member)| {
                (PackageEntry { path: member.path, size: member.size, packed: member.packed }, index)
            })
            .collect();
        files.sort_by(|(one, _), (other, _)| one.path.cmp(&other.path));
        let (entries, indices) = files.into_iter().unzip();
        Ok(Self { entries, place: Place::Zip(archive, indices) })
    }

    /// All files, sorted by path.
    #[must_use]
    pub fn entries(&self) -> &[PackageEntry] {
        &self.entries
    }

    /// The file of a path, if there is one.
    #[must_use]
    pub fn entry(&self, path: &str) -> Option<&PackageEntry> {
        self.index(path).map(|index| &self.entries[index])
    }

    fn index(&self, path: &str) -> Option<usize> {
        self.entries.binary_search_by(|entry| entry.path.as_str().cmp(path)).ok()
    }

    /// The bytes of a file.
    ///
    /// # Errors
    /// If there is no such file, or it is not what the package says about it: its size and, in an archive, its CRC-32. Never
    /// more than the size that the package claims is unpacked.
    pub fn read(&self, path: &str) -> Result<Vec<u8>, Vec<Diagnostic>> {
        let index = self.index(path).ok_or_else(|| {
            vec![Diagnostic::error(&codes::PACKAGE_ENTRY, format!("the package has no file {}", shown(path)))]
        })?;
        self.read_at(index).map_err(|problem| vec![problem])
    }

    fn read_at(&self, index: usize) -> Result<Vec<u8>, Diagnostic> {
        let entry = &self.entries[index];
        match &self.place {
            Place::Folder(root) => folder::read(root, entry),
            // A clone shares the table of contents, and reads from a place of its own.
            Place::Zip(archive, indices) => inflate(&mut archive.clone(), indices[index], entry),
        }
    }

    /// Writes all files into a folder, which must not exist yet or be empty. It appears when all is written, or not at all.
    ///
    /// # Errors
    /// If the folder holds something, a file is damaged, or the system can't write.
    pub fn extract(&self, target: &Path) -> Result<(), Vec<Diagnostic>> {
        let temporary = new_folder_for(target)?;
        let written = self.each(|entry, bytes| {
            put_file(&temporary.path().join(&entry.path), &bytes)
                .map_err(|error| unwritable(&target.join(&entry.path), &error))
        });
        written?;
        finish_folder(temporary, target)
    }

    /// Compares every file with the list of checksums, and the list with the files that are there.
    ///
    /// # Errors
    /// If the package has no such list, or for what differs: up to [`super::MAX_PROBLEMS`] problems.
    pub fn check_sums(&self) -> Result<(), Vec<Diagnostic>> {
        let sums = parse_checksums(&self.read(CHECKSUMS)?)?;
        let mut problems = Problems::default();
        let mut named = BTreeMap::new();
        for sum in &sums {
            if named.insert(sum.path.as_str(), sum.sha256).is_some() {
                problems.add(differing(format!("{CHECKSUMS} names {} twice", shown(&sum.path))));
            } else if self.entry(&sum.path).is_none() || sum.path == CHECKSUMS {
                problems.add(differing(format!("{CHECKSUMS} names {}, which the package lacks", shown(&sum.path))));
            }
        }
        for entry in
            self.entries.iter().filter(|entry| entry.path != CHECKSUMS && !named.contains_key(entry.path.as_str()))
        {
            problems.add(differing(format!("{} is not in {CHECKSUMS}", shown(&entry.path))));
        }
        named.remove(CHECKSUMS);
        let checked = self.each(|entry, bytes| match named.get(entry.path.as_str()) {
            Some(sha256) if sha256[..] != Sha256::digest(&bytes)[..] => {
                let message = format!("{} is not as it was packed: its SHA-256 differs", shown(&entry.path));
                Err(Diagnostic::error(&codes::CHECKSUM_WRONG, message))
            }
            _ => Ok(()),
        });
        checked.err().into_iter().flatten().for_each(|problem| problems.add(problem));
        problems.refuse()
    }

    /// Reads every file, in parallel, and does something with each. Gives what went wrong, in the order of the paths.
    fn each(
        &self,
        work: impl Fn(&PackageEntry, Vec<u8>) -> Result<(), Diagnostic> + Sync,
    ) -> Result<(), Vec<Diagnostic>> {
        let indices: Vec<usize> = (0..self.entries.len()).collect();
        let faults: Vec<Diagnostic> = indices
            .par_iter()
            .filter_map(|index| self.read_at(*index).and_then(|bytes| work(&self.entries[*index], bytes)).err())
            .collect();
        let mut problems = Problems::default();
        faults.into_iter().for_each(|fault| problems.add(fault));
        problems.refuse()
    }
}

/// The library's view of an archive, if it is the same as ours: two readings of one archive are what an attack would use.
fn archive(source: Arc<Source>, members: &[Member]) -> Result<ZipArchive<Reader>, Diagnostic> {
    let differs = || Diagnostic::error(&codes::PACKAGE_HIDDEN, "the archive can be read in two ways");
    let mut archive = ZipArchive::new(Reader { source, place: 0 }).map_err(|_| differs())?;
    if archive.len() != members.len() || archive.offset() != 0 {
        return Err(differs());
    }
    for (index, member) in members.iter().enumerate() {
        let file = archive.by_index_raw(index).map_err(|_| differs())?;
        let same = file.name_raw() == member.name
            && file.header_start() == member.header
            && file.data_start() == Some(member.data)
            && file.compressed_size() == member.packed
            && file.size() == member.size
            && file.crc32() == member.crc
            && matches!(file.compression(), CompressionMethod::Stored | CompressionMethod::Deflated);
        if !same {
            return Err(differs());
        }
    }
    Ok(archive)
}

/// Unpacks a file: never more than one byte beyond the size that was claimed, and within the limits, for it.
fn inflate(archive: &mut ZipArchive<Reader>, index: usize, entry: &PackageEntry) -> Result<Vec<u8>, Diagnostic> {
    let name = shown(&entry.path);
    let damaged = |what: String| Diagnostic::error(&codes::PACKAGE_DAMAGED, what);
    let file = archive.by_index(index).map_err(|error| damaged(format!("{name} can't be unpacked: {error}")))?;
    let mut bytes = Vec::new();
    let read = file.take(entry.size + 1).read_to_end(&mut bytes);
    if bytes.len() as u64 > entry.size {
        return Err(damaged(format!("{name} unpacks to more than the {} bytes that it claims", entry.size)));
    }
    read.map_err(|error| damaged(format!("{name} is damaged: {error}")))?;
    if (bytes.len() as u64) < entry.size {
        return Err(damaged(format!(
            "{name} unpacks to {} bytes instead of the {} that it claims",
            bytes.len(),
            entry.size
        )));
    }
    Ok(bytes)
}

fn differing(message: String) -> Diagnostic {
    Diagnostic::error(&codes::CHECKSUM_FILES, message)
}

/// The problems of a package, each with the package's name.
fn in_package(name: &str, mut list: Vec<Diagnostic>) -> Vec<Diagnostic> {
    for problem in &mut list {
        problem.message = format!("{name}: {}", problem.message);
    }
    list
}

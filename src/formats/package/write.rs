//! Making a package: files are made, hashed and compressed beside each other, and join it in their order.

use super::names::{Kind, Names};
use super::zip_write::{ZipSink, compress};
use super::{
    CHECKSUMS, Checksum, MAX_ARCHIVE_BYTES, MAX_ENTRIES, MAX_ENTRY_BYTES, MAX_TOTAL_BYTES, MEDIA_HASH_FOLDER,
    MediaHashes, format_checksums, mhl, shown, unwritable,
};
use crate::diagnostics::{Diagnostic, codes};
use crate::formats::atomic::{new_temporary, sync_folder};
use rayon::iter::{ParallelBridge, ParallelIterator};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};
use tempfile::{NamedTempFile, TempDir};
use twox_hash::XxHash3_128;
use zip::write::PreparedZipFile;

/// What makes the bytes of a file when their turn has come, on any thread.
pub type Making<'a> = Box<dyn FnOnce() -> Result<Vec<u8>, Vec<Diagnostic>> + Send + 'a>;

/// A file that was put into a package.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PackedFile {
    /// Its path in the package, divided by `/`.
    pub path: String,
    /// Its length in bytes.
    pub size: u64,
    /// Its SHA-256.
    pub sha256: [u8; 32],
    /// Its xxh128, as media hash lists have it.
    pub xxh128: u128,
}

/// Writes a package, as a zip archive or as a folder, under a temporary name beside its place; [`Self::finish`] gives it its
/// name. Dropped before that, it leaves nothing behind.
#[derive(Debug)]
pub struct PackageWriter {
    target: PathBuf,
    sink: Sink,
    names: Names,
    packed: Vec<PackedFile>,
    total: u64,
    /// A file could not be added: what is there is not the package that was wanted.
    broken: bool,
}

/// Where the files go.
enum Sink {
    Zip(Box<ZipSink<BufWriter<NamedTempFile>>>),
    Folder(TempDir),
}

impl std::fmt::Debug for Sink {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter.write_str(if matches!(self, Self::Zip(_)) { "Zip" } else { "Folder" })
    }
}

/// A file on its way into the package: made, hashed and compressed, or in its place in the folder.
struct Ready {
    file: PackedFile,
    compressed: Option<PreparedZipFile>,
}

impl PackageWriter {
    /// Begins a zip archive, which must not exist yet. Its folder must.
    ///
    /// # Errors
    /// If something is there already, or the folder can't be written to.
    pub fn zip(path: &Path) -> Result<Self, Vec<Diagnostic>> {
        if path.symlink_metadata().is_ok() {
            return Err(vec![exists(path, "it is never overwritten")]);
        }
        let temporary = new_temporary().tempfile_in(parent(path)).map_err(|error| vec![unwritable(path, &error)])?;
        Ok(Self::with(path, Sink::Zip(Box::new(ZipSink::new(BufWriter::new(temporary))))))
    }

    /// Begins a folder, which must not exist yet or be empty. The folder around it must exist.
    ///
    /// # Errors
    /// If it holds something already, is no folder, or the folder around it can't be written to.
    pub fn folder(path: &Path) -> Result<Self, Vec<Diagnostic>> {
        let temporary = new_folder_for(path)?;
        Ok(Self::with(path, Sink::Folder(temporary)))
    }

    fn with(target: &Path, sink: Sink) -> Self {
        Self { target: target.to_owned(), sink, names: Names::default(), packed: Vec::new(), total: 0, broken: false }
    }

    /// Adds one file.
    ///
    /// # Errors
    /// As [`Self::add_many`].
    pub fn add(&mut self, path: &str, bytes: Vec<u8>) -> Result<(), Vec<Diagnostic>> {
        self.add_many(vec![(path.to_owned(), Box::new(move || Ok(bytes)))])
    }

    /// Makes, hashes and compresses files in parallel and adds them in the order given.
    ///
    /// Files are begun in that order, and each is dropped once it is compressed, so that only a few are in memory at once.
    ///
    /// # Errors
    /// If a path is impossible or clashes with another, if a file can't be made (the errors of the first such file), if the
    /// package grows beyond what a reader accepts, or the system can't write. The package can't be finished then.
    pub fn add_many(&mut self, entries: Vec<(String, Making<'_>)>) -> Result<(), Vec<Diagnostic>> {
        let done = self.try_add_many(entries);
        self.broken |= done.is_err();
        done
    }

    fn try_add_many(&mut self, entries: Vec<(String, Making<'_>)>) -> Result<(), Vec<Diagnostic>> {
        for (path, _) in &entries {
            self.names.add(path, Kind::File).map_err(|problem| vec![problem])?;
        }
        if self.packed.len() + entries.len() > MAX_ENTRIES {
            return Err(vec![too_large(&format!("more than {MAX_ENTRIES} files"))]);
        }
        let folder = match &self.sink {
            Sink::Folder(folder) => Some(folder.path().to_owned()),
            Sink::Zip(_) => None,
        };
        let queue = Mutex::new(Queue::new(self));
        let failed = AtomicUsize::new(usize::MAX);
        let faults: Vec<(usize, Vec<Diagnostic>)> = entries
            .into_iter()
            .enumerate()
            .par_bridge()
            .filter_map(|(index, (path, make))| {
                if index > failed.load(Ordering::Relaxed) {
                    return None;
                }
                let done = ready(path, make, folder.as_deref())
                    .and_then(|ready| queue.lock().unwrap_or_else(PoisonError::into_inner).put(index, ready));
                let fault = done.err()?;
                failed.fetch_min(index, Ordering::Relaxed);
                Some((index, fault))
            })
            .collect();
        faults.into_iter().min_by_key(|(index, _)| *index).map_or(Ok(()), |(_, fault)| Err(fault))
    }

    /// What was added so far, in order.
    #[must_use]
    pub fn files(&self) -> &[PackedFile] {
        &self.packed
    }

    /// Adds the media hash list of all files so far (ASC MHL, generation 1) and the chain that names it.
    ///
    /// The list leaves out [`CHECKSUMS`], which covers the list in turn and is added after it.
    ///
    /// # Errors
    /// If the name or the time can't stand in it, and as [`Self::add_many`].
    pub fn add_media_hashes(&mut self, about: &MediaHashes) -> Result<(), Vec<Diagnostic>> {
        let (name, list) = mhl::hash_list(about, &self.packed).map_err(|problem| vec![problem])?;
        let chain = mhl::chain(&name, &list);
        self.add(&format!("{MEDIA_HASH_FOLDER}/{name}"), list.into_bytes())?;
        self.add(&format!("{MEDIA_HASH_FOLDER}/{}", mhl::CHAIN), chain.into_bytes())
    }

    /// Adds the list of checksums of all files so far, sorted by path.
    ///
    /// # Errors
    /// As [`Self::add_many`].
    pub fn add_checksums(&mut self) -> Result<(), Vec<Diagnostic>> {
        let sums: Vec<Checksum> =
            self.packed.iter().map(|file| Checksum { sha256: file.sha256, path: file.path.clone() }).collect();
        self.add(CHECKSUMS, format_checksums(&sums).into_bytes())
    }

    /// Forces all to the disk and gives the package its name. Gives what is in it.
    ///
    /// # Errors
    /// Whatever the system reports, or if something took the name meanwhile. Nothing is left behind then.
    pub fn finish(self) -> Result<Vec<PackedFile>, Vec<Diagnostic>> {
        let target = self.target;
        if self.broken {
            return Err(vec![unwritable(&target, &io::Error::other("one of its files could not be added"))]);
        }
        match self.sink {
            Sink::Zip(zip) => finish_zip(*zip, &target),
            Sink::Folder(folder) => finish_folder(folder, &target),
        }?;
        Ok(self.packed)
    }
}

/// Files that are ready but not yet due.
struct Queue<'a> {
    writer: &'a mut PackageWriter,
    next: usize,
    waiting: BTreeMap<usize, Ready>,
}

impl<'a> Queue<'a> {
    fn new(writer: &'a mut PackageWriter) -> Self {
        Self { writer, next: 0, waiting: BTreeMap::new() }
    }

    /// Takes a file, and appends all that are due.
    fn put(&mut self, index: usize, ready: Ready) -> Result<(), Vec<Diagnostic>> {
        self.waiting.insert(index, ready);
        while let Some(due) = self.waiting.remove(&self.next) {
            self.next += 1;
            self.append(due).map_err(|problem| vec![problem])?;
        }
        Ok(())
    }

    fn append(&mut self, ready: Ready) -> Result<(), Diagnostic> {
        let writer = &mut *self.writer;
        writer.total += ready.file.size;
        if writer.total > MAX_TOTAL_BYTES {
            return Err(too_large(&format!("more than {} GiB", MAX_TOTAL_BYTES >> 30)));
        }
        if let (Sink::Zip(zip), Some(compressed)) = (&mut writer.sink, ready.compressed) {
            zip.append(compressed).map_err(|error| unwritable(&writer.target, &error.into()))?;
        }
        writer.packed.push(ready.file);
        Ok(())
    }
}

/// Makes a file, hashes it, and compresses it or puts it into the folder.
fn ready(path: String, make: Making<'_>, folder: Option<&Path>) -> Result<Ready, Vec<Diagnostic>> {
    let bytes = make()?;
    let size = bytes.len() as u64;
    if size > MAX_ENTRY_BYTES {
        return Err(vec![too_large(&format!("a file of {} MiB, {}", size >> 20, shown(&path)))]);
    }
    let file = PackedFile { size, sha256: Sha256::digest(&bytes).into(), xxh128: XxHash3_128::oneshot(&bytes), path };
    let compressed = match folder {
        Some(folder) => {
            let place = folder.join(&file.path);
            put_file(&place, &bytes).map_err(|error| vec![unwritable(Path::new(&file.path), &error)])?;
            None
        }
        None => {
            let compressed = compress(&file.path, &bytes);
            Some(compressed.map_err(|error| vec![unwritable(Path::new(&file.path), &error.into())])?)
        }
    };
    Ok(Ready { file, compressed })
}

/// Makes a new file and the folders that it lies in, and forces it to the disk.
pub(super) fn put_file(place: &Path, bytes: &[u8]) -> io::Result<()> {
    if let Some(folder) = place.parent() {
        fs::create_dir_all(folder)?;
    }
    let mut file = File::create_new(place)?;
    file.write_all(bytes)?;
    file.sync_all()
}

fn finish_zip(zip: ZipSink<BufWriter<NamedTempFile>>, target: &Path) -> Result<(), Vec<Diagnostic>> {
    let failed = |error: io::Error| vec![unwritable(target, &error)];
    let buffer = zip.finish().map_err(|error| failed(error.into()))?;
    let temporary = buffer.into_inner().map_err(|error| failed(error.into_error()))?;
    let length = temporary.as_file().metadata().map_err(failed)?.len();
    if length > MAX_ARCHIVE_BYTES {
        return Err(vec![too_large("an archive of more than 4 GiB")]);
    }
    temporary.as_file().sync_all().map_err(failed)?;
    temporary.persist_noclobber(target).map_err(|error| match error.error.kind() {
        io::ErrorKind::AlreadyExists => vec![exists(target, "it is never overwritten")],
        _ => failed(error.error),
    })?;
    sync_folder(parent(target));
    Ok(())
}

/// A new folder, hidden, beside the place of another that must not exist yet or be empty.
pub(super) fn new_folder_for(target: &Path) -> Result<TempDir, Vec<Diagnostic>> {
    match target.symlink_metadata() {
        Ok(old) if !old.is_dir() => return Err(vec![exists(target, "it is no folder")]),
        Ok(_) => {
            let mut entries = fs::read_dir(target).map_err(|error| vec![unwritable(target, &error)])?;
            if entries.next().is_some() {
                return Err(vec![exists(target, "it is not empty")]);
            }
        }
        Err(_) => {}
    }
    let mut builder = new_temporary();
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // As any new folder: all rights for everyone, less what the user's mask takes away.
        builder.permissions(fs::Permissions::from_mode(0o777));
    }
    builder.tempdir_in(parent(target)).map_err(|error| vec![unwritable(target, &error)])
}

/// Gives a folder that is complete its name.
pub(super) fn finish_folder(folder: TempDir, target: &Path) -> Result<(), Vec<Diagnostic>> {
    sync_folders(folder.path());
    // On some systems an empty folder is in the way of another's name. One that is not empty stays where it is.
    let _ = fs::remove_dir(target);
    fs::rename(folder.path(), target).map_err(|error| vec![unwritable(target, &error)])?;
    // Its name is gone: nothing to remove.
    let _ = folder.keep();
    sync_folder(parent(target));
    Ok(())
}

/// Forces the names of all files to the disk, as far as the system can.
fn sync_folders(folder: &Path) {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    for entry in entries.filter(|entry| entry.file_type().is_ok_and(|kind| kind.is_dir())) {
        sync_folders(&entry.path());
    }
    sync_folder(folder);
}

/// The folder around a path.
fn parent(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

fn exists(path: &Path, why: &str) -> Diagnostic {
    Diagnostic::error(&codes::FILE_EXISTS, format!("{} exists already, and {why}", path.display()))
        .help("name another place, or move what is there away")
}

fn too_large(what: &str) -> Diagnostic {
    Diagnostic::error(
        &codes::PACKAGE_TOO_LARGE,
        format!("the package would hold {what}, which no reader has to accept"),
    )
    .help("hand it over in parts")
}

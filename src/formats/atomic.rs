//! Writing a file whole or not at all.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Puts `bytes` in the file `path`, new or not, so that nobody ever sees a half-written file.
///
/// The bytes go to a temporary file in the same folder, are forced to the disk and take their name in one step. An old
/// file keeps its permissions; a new one gets the usual ones. Through a symbolic link the file that it leads to is
/// replaced. The folder must exist.
///
/// # Errors
/// Whatever the system reports: no such folder, no permission, no space; and where `path` is a folder or a
/// device. The old file is untouched then, and nothing new is left in the folder.
pub fn write_atomically(path: &Path, bytes: &[u8]) -> io::Result<()> {
    replace(path, |file| file.write_all(bytes))
}

/// Replaces `path` by what `fill` writes.
fn replace(path: &Path, fill: impl FnOnce(&mut File) -> io::Result<()>) -> io::Result<()> {
    let (target, old) = target(path)?;
    let folder = match target.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    // Dropping it removes it, whatever fails below.
    let mut temporary = new_temporary().tempfile_in(folder)?;
    fill(temporary.as_file_mut())?;
    if let Some(old) = old {
        temporary.as_file().set_permissions(old.permissions())?;
    }
    temporary.as_file().sync_all()?;
    temporary.persist(&target).map_err(|error| error.error)?;
    sync_folder(folder);
    Ok(())
}

/// The file that `path` leads to, and what the system knows about it if it is there.
fn target(path: &Path) -> io::Result<(PathBuf, Option<fs::Metadata>)> {
    match fs::metadata(path) {
        Ok(old) if old.is_file() => Ok((fs::canonicalize(path)?, Some(old))),
        Ok(old) if old.is_dir() => Err(io::Error::new(io::ErrorKind::IsADirectory, "it is a folder")),
        // A device or a pipe would be replaced by a file.
        Ok(_) => Err(io::Error::new(io::ErrorKind::InvalidInput, "it is not a regular file")),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok((path.to_owned(), None)),
        Err(error) => Err(error),
    }
}

/// How a temporary file is made: hidden, and with the permissions that any new file gets.
pub(super) fn new_temporary() -> tempfile::Builder<'static, 'static> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".lookwright-").suffix(".part");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // Read and write for everyone, less what the user's mask takes away; the crate's own choice is the owner alone.
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    builder
}

/// Forces the new name to the disk where the system can do that. The file itself is safe by then, so that a failure
/// here is none of the caller's.
pub(super) fn sync_folder(folder: &Path) {
    #[cfg(unix)]
    if let Ok(folder) = File::open(folder) {
        let _ = folder.sync_all();
    }
    #[cfg(not(unix))]
    let _ = folder;
}

#[cfg(test)]
mod tests {
    use super::{replace, write_atomically};
    use std::ffi::OsString;
    use std::fs;
    use std::io::{self, Write};
    use std::path::Path;

    /// The names in a folder, in order.
    fn names(folder: &Path) -> io::Result<Vec<OsString>> {
        let mut names = fs::read_dir(folder)?.map(|entry| Ok(entry?.file_name())).collect::<io::Result<Vec<_>>>()?;
        names.sort();
        Ok(names)
    }

    #[test]
    fn a_failure_half_way_leaves_the_old_file_and_nothing_else() -> io::Result<()> {
        let folder = tempfile::tempdir()?;
        let path = folder.path().join("dusk.cube");
        write_atomically(&path, b"old")?;
        let failed = replace(&path, |file| {
            file.write_all(b"half of the new")?;
            Err(io::Error::from(io::ErrorKind::StorageFull))
        });
        assert_eq!(failed.map_err(|error| error.kind()), Err(io::ErrorKind::StorageFull));
        assert_eq!(fs::read(&path)?, b"old");
        assert_eq!(names(folder.path())?, ["dusk.cube"]);
        Ok(())
    }

    #[test]
    fn other_readers_see_the_old_file_until_the_new_one_is_whole() -> io::Result<()> {
        let folder = tempfile::tempdir()?;
        let path = folder.path().join("dusk.cube");
        write_atomically(&path, b"old")?;
        replace(&path, |file| {
            file.write_all(b"half")?;
            file.sync_all()?;
            assert_eq!(fs::read(&path)?, b"old");
            file.write_all(b" and half")
        })?;
        assert_eq!(fs::read(&path)?, b"half and half");
        assert_eq!(names(folder.path())?, ["dusk.cube"]);
        Ok(())
    }
}

//! The one place where a finished picture meets the disk.

use crate::diagnostics::{Diagnostic, codes};
use std::io::Write;
use std::path::Path;

/// Writes a file whole or not at all: to a temporary name in the same folder, synced, then renamed. A file that is replaced
/// keeps its permissions.
pub(super) fn save_bytes(path: &Path, bytes: &[u8]) -> Result<(), Vec<Diagnostic>> {
    let unwritable = |error: std::io::Error| {
        let message = format!("{} can't be written: {error}", path.display());
        vec![
            Diagnostic::error(&codes::FILE_UNWRITABLE, message)
                .help("check that the folder exists and may be written to"),
        ]
    };
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut builder = tempfile::Builder::new();
    let existing = std::fs::metadata(path).map(|metadata| metadata.permissions()).ok();
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // Temporary files are private by default; a picture is to be seen by others, as far as the user's mask allows.
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    let mut temporary = builder.tempfile_in(folder).map_err(unwritable)?;
    temporary.write_all(bytes).map_err(unwritable)?;
    if let Some(permissions) = existing {
        temporary.as_file().set_permissions(permissions).map_err(unwritable)?;
    }
    temporary.as_file().sync_all().map_err(unwritable)?;
    temporary.persist(path).map_err(|error| unwritable(error.error))?;
    Ok(())
}

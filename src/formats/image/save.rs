//! A picture's bytes on the disk, whole or not at all.

use crate::diagnostics::{Diagnostic, codes};
use crate::formats::atomic::write_atomically;
use std::path::Path;

pub(super) fn save_bytes(path: &Path, bytes: &[u8]) -> Result<(), Vec<Diagnostic>> {
    write_atomically(path, bytes).map_err(|error| {
        let message = format!("{}: {error}", path.display());
        vec![Diagnostic::error(&codes::FILE_UNWRITABLE, message).help("choose another folder or name")]
    })
}

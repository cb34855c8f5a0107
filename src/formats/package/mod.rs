//! Packages: many files handed over as one, as a zip archive or as a folder.
//!
//! A [`PackageWriter`] makes one, whole or not at all, byte for byte the same from the same files. [`Package`] reads one that
//! came from anywhere, and trusts nothing that it says.
//!
//! Source of the archive's form: PKWARE, APPNOTE.TXT, .ZIP File Format Specification (bibliography: zip).

mod checksums;
mod folder;
mod mhl;
mod names;
mod read;
mod source;
mod structure;
mod write;
mod zip_write;

pub use checksums::{Checksum, format_checksums, parse_checksums};
pub use mhl::{MediaHashes, c4};
pub use read::{Package, PackageEntry};
pub use write::{Making, PackageWriter, PackedFile};

use crate::diagnostics::{Diagnostic, codes};
use std::io;
use std::path::Path;

/// Name of the list of checksums, at the top of a package.
pub const CHECKSUMS: &str = "SHA256SUMS";

/// Name of the folder of media hash lists, at the top of a package. Source: ASC MHL v2.0 (bibliography: mhl).
pub const MEDIA_HASH_FOLDER: &str = "ascmhl";

/// Most entries of a package. A show of 30 looks, 10 cameras and 10 monitors has 3,000 files of LUTs with as many reports; more
/// than six times that is no hand-off.
pub const MAX_ENTRIES: usize = 20_000;

/// Most bytes of one entry. The largest table that is read has a few million rows of 30 bytes; the largest still is smaller.
pub const MAX_ENTRY_BYTES: u64 = 512 << 20;

/// Most bytes of all entries together, unpacked: ten times the largest package expected (400 MB of cube files), and what a zip
/// archive can hold without zip64.
pub const MAX_TOTAL_BYTES: u64 = 4 << 30;

/// Most bytes of the archive itself: offsets in it have 32 bits.
pub const MAX_ARCHIVE_BYTES: u64 = u32::MAX as u64;

/// How many times its packed size an entry may have, above [`FREE_BYTES`]. Deflate stops at 1,032; tables of text reach 10 and,
/// where half of them is black, 30.
pub const MAX_RATIO: u64 = 200;

/// Size up to which an entry may have any ratio: too small to harm, and short files of one letter do reach it.
pub const FREE_BYTES: u64 = 1 << 20;

/// Most problems that are told of one package; what is wrong a thousand times is seen from the first few.
pub const MAX_PROBLEMS: usize = 20;

/// Problems found so far, up to [`MAX_PROBLEMS`].
#[derive(Debug, Default)]
struct Problems {
    list: Vec<Diagnostic>,
    untold: usize,
}

impl Problems {
    fn add(&mut self, problem: Diagnostic) {
        if self.list.len() < MAX_PROBLEMS {
            self.list.push(problem);
        } else {
            self.untold += 1;
        }
    }

    fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// All of them as an error, if there are any.
    fn refuse(mut self) -> Result<(), Vec<Diagnostic>> {
        if self.untold > 0
            && let Some(last) = self.list.pop()
        {
            self.list.push(last.help(format!("{} more problems of this package are not listed", self.untold)));
        }
        if self.list.is_empty() { Ok(()) } else { Err(self.list) }
    }
}

/// A file that the system would not read.
fn unreadable(path: &Path, error: &io::Error) -> Diagnostic {
    Diagnostic::error(&codes::FILE_UNREADABLE, format!("{} can't be read: {error}", path.display()))
}

/// A file that the system would not write.
fn unwritable(path: &Path, error: &io::Error) -> Diagnostic {
    Diagnostic::error(&codes::FILE_UNWRITABLE, format!("{} can't be written: {error}", path.display()))
}

/// A name from a package as it may stand in a message: without what moves a terminal's cursor or joins other letters, and not
/// too long.
fn shown(name: &str) -> String {
    const LONGEST: usize = 100;
    let mut shown = String::from("“");
    for (index, character) in name.chars().enumerate() {
        if index == LONGEST {
            shown.push('…');
            break;
        }
        match character {
            '\\' | '"' | '\'' => shown.push(character),
            other => shown.extend(other.escape_debug()),
        }
    }
    shown + "”"
}

//! Paths that mean the same file on every system, and lead nowhere else.

use super::shown;
use crate::diagnostics::{Diagnostic, codes};
use crate::formats::is_device;
use std::collections::HashMap;
use std::collections::hash_map::Entry;
use unicode_normalization::UnicodeNormalization;

/// Most bytes of a path. Half of what some systems allow for the whole of a path (Microsoft, Naming Files, Paths, and
/// Namespaces: 260 characters) remains for the folder that the package is opened in, where names are ASCII.
const MAX_PATH_BYTES: usize = 400;

/// Most bytes of a name: what most file systems can hold. Common practice, no source.
const MAX_NAME_BYTES: usize = 255;

/// Most folders within folders; a package of ours has four.
const MAX_DEPTH: usize = 16;

/// Characters that some systems keep for themselves. Source: Microsoft, Naming Files, Paths, and Namespaces.
const RESERVED: [char; 7] = ['<', '>', ':', '"', '|', '?', '*'];

/// Why a path can't stand in a package, if it can't.
fn fault(path: &str) -> Option<String> {
    if path.is_empty() {
        return Some("is empty".to_owned());
    }
    if path.len() > MAX_PATH_BYTES {
        return Some(format!("is {} bytes long; expected at most {MAX_PATH_BYTES}", path.len()));
    }
    if path.starts_with('/') {
        return Some("is absolute".to_owned());
    }
    if path.contains('\\') {
        return Some("contains a backslash, which some systems take for the end of a folder's name".to_owned());
    }
    let drive = path.as_bytes();
    if drive.len() > 1 && drive[0].is_ascii_alphabetic() && drive[1] == b':' {
        return Some("begins with a drive letter".to_owned());
    }
    if path.split('/').count() > MAX_DEPTH {
        return Some(format!("lies more than {MAX_DEPTH} folders deep"));
    }
    path.split('/').find_map(name_fault)
}

/// Why a name can't be a part of a path.
fn name_fault(name: &str) -> Option<String> {
    let reason = match name {
        "" => "contains an empty name",
        ".." => "leads out of its folder (..)",
        "." => "contains a name that is only a full stop",
        _ if name.ends_with(['.', ' ']) => "has a name that ends with a full stop or a space, which some systems drop",
        _ if name.starts_with(' ') => "has a name that begins with a space",
        _ if name.chars().any(char::is_control) => "contains a control character",
        _ if name.chars().any(is_invisible) => "contains a character that can't be seen",
        _ if name.contains(RESERVED) => {
            "contains one of the characters < > : \" | ? *, which some systems keep for themselves"
        }
        // Also with a raised digit, which the source lists: COM¹.
        _ if is_device(&name.nfkc().collect::<String>()) => "has a name that some systems take for a device",
        _ if name.len() > MAX_NAME_BYTES => "has a name of more than 255 bytes",
        _ => return None,
    };
    Some(reason.to_owned())
}

/// Characters that change nothing or turn the direction of writing: two names that differ by them look the same, and some
/// file systems take them for the same.
fn is_invisible(character: char) -> bool {
    matches!(character,
        '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{fff9}'..='\u{fffd}'
        | '\u{e0000}'..='\u{e0fff}')
}

/// What some system compares names by: without case, accents apart from their letters.
fn folded(name: &str) -> String {
    name.nfd().flat_map(char::to_uppercase).flat_map(char::to_lowercase).nfd().collect()
}

/// What stands at a path.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A file.
    File,
    /// A folder that has an entry of its own.
    Folder,
    /// A folder that others' paths lead through.
    Passed,
}

/// All paths of a package: each one possible, and no two for the same file.
#[derive(Debug, Default)]
pub struct Names {
    /// As the least careful system compares paths: as they are written, and what stands there.
    seen: HashMap<String, (String, Kind)>,
}

impl Names {
    /// Adds a path, without a slash at its end, unless it is impossible or clashes.
    pub fn add(&mut self, path: &str, kind: Kind) -> Result<(), Diagnostic> {
        if let Some(fault) = fault(path) {
            return Err(Diagnostic::error(&codes::PACKAGE_PATH, format!("the path {} {fault}", shown(path))));
        }
        let mut key = String::with_capacity(path.len());
        let mut end = 0;
        for name in path.split('/') {
            if end > 0 {
                key.push('/');
                end += 1;
            }
            key.push_str(&folded(name));
            end += name.len();
            let kind = if end == path.len() { kind } else { Kind::Passed };
            self.put(&key, &path[..end], kind)?;
        }
        Ok(())
    }

    /// Notes what stands at a path or at a part of one.
    fn put(&mut self, key: &str, path: &str, kind: Kind) -> Result<(), Diagnostic> {
        let (other, known) = match self.seen.entry(key.to_owned()) {
            Entry::Vacant(place) => {
                place.insert((path.to_owned(), kind));
                return Ok(());
            }
            Entry::Occupied(place) => place.into_mut(),
        };
        let clash = if other != path {
            format!(
                "{} and {} are the same on systems that don't tell case or the encoding of accents apart",
                shown(other),
                shown(path)
            )
        } else if (*known == Kind::File) != (kind == Kind::File) {
            format!("{} is a file and a folder", shown(path))
        } else if kind != Kind::Passed && *known == kind {
            format!("{} is there twice", shown(path))
        } else {
            if kind == Kind::Folder {
                *known = kind;
            }
            return Ok(());
        };
        Err(Diagnostic::error(&codes::PACKAGE_CLASH, clash))
    }
}

#[cfg(test)]
mod tests {
    use super::{Kind, Names, fault};

    #[test]
    fn ordinary_paths_are_possible() {
        for path in ["a", "luts/Día 2/dusk-33.cube", "a..b/c", ".hidden", "LUTs/夕暮れ.cube", "-x", "a'b & c.txt", "~1"]
        {
            assert_eq!(fault(path), None, "{path}");
        }
    }

    #[test]
    fn what_is_the_same_somewhere_clashes() {
        // U+017F long s and U+212A kelvin sign: Unicode's case folding maps them to s and k.
        for (one, other) in [
            ("a.cube", "A.CUBE"),
            ("d\u{ed}a", "di\u{301}a"),
            ("D\u{cd}A", "di\u{301}a"),
            ("stra\u{df}e", "STRASSE"),
            ("\u{17f}ea", "SEA"),
            ("\u{212a}ai", "kai"),
            ("luts/a", "LUTs/b"),
            ("luts", "luts/b"),
            ("luts/b", "luts"),
        ] {
            let mut names = Names::default();
            assert!(names.add(one, Kind::File).is_ok(), "{one}");
            assert!(names.add(other, Kind::File).is_err(), "{one} and {other}");
        }
        let mut names = Names::default();
        for (path, kind) in
            [("a/b", Kind::File), ("a", Kind::Folder), ("a/c", Kind::File), ("b", Kind::Folder), ("b/a", Kind::File)]
        {
            assert!(names.add(path, kind).is_ok(), "{path}");
        }
        assert!(names.add("a", Kind::Folder).is_err());
    }
}

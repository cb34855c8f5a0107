//! Names of files and folders from what people call things.

use super::cube::transliterate;

/// Stems that some systems keep for devices, whatever follows them. Source: Microsoft, Naming Files, Paths, and Namespaces.
const DEVICES: [&str; 4] = ["con", "prn", "aux", "nul"];

/// A name in lower-case ASCII letters, digits and single hyphens; empty where nothing of it can stand in a name.
#[must_use]
pub fn slug(name: &str) -> String {
    let (ascii, _) = transliterate(name);
    let mut slug = String::with_capacity(ascii.len());
    for character in ascii.chars() {
        if character.is_ascii_alphanumeric() {
            slug.push(character.to_ascii_lowercase());
        } else if !slug.is_empty() && !slug.ends_with('-') {
            slug.push('-');
        }
    }
    slug.truncate(100);
    slug.trim_end_matches('-').to_owned()
}

/// Whether some system takes a name for that of a device, so that no file can have it: `con`, `lpt1.cube`.
#[must_use]
pub fn is_device(name: &str) -> bool {
    let stem = name.split('.').next().unwrap_or(name).trim_end().to_ascii_lowercase();
    let numbered = stem.strip_prefix("com").or_else(|| stem.strip_prefix("lpt"));
    DEVICES.contains(&stem.as_str())
        || numbered.is_some_and(|rest| rest.len() == 1 && rest.as_bytes()[0].is_ascii_digit())
}

#[cfg(test)]
mod tests {
    use super::{is_device, slug};

    #[test]
    fn names_become_stems() {
        assert_eq!(slug("  Día 2: Kai, abends!"), "dia-2-kai-abends");
        assert_eq!(slug("…"), "");
    }

    #[test]
    fn devices_are_known_whatever_their_case_and_ending() {
        for name in ["con", "AUX", "nul.cube", "Com1", "lpt9.txt"] {
            assert!(is_device(name), "{name}");
        }
        for name in ["console", "com10", "compact", "auxiliary", "lptx"] {
            assert!(!is_device(name), "{name}");
        }
    }
}

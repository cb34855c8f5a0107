//! The stable codes of all diagnostics. `docs/diagnostics.md` is made from this table.

/// A stable code. Codes are never reused for another meaning.
#[derive(Debug, PartialEq, Eq)]
pub struct Code {
    /// `LW` and four digits.
    pub id: &'static str,
    /// What it says, in a few words.
    pub title: &'static str,
    /// Why it is raised and what to do, in one or two sentences for the reference page.
    pub explanation: &'static str,
}

macro_rules! codes {
    ($($name:ident = $id:literal, $title:literal, $explanation:literal;)*) => {
        $(#[doc = $title] pub static $name: Code = Code { id: $id, title: $title, explanation: $explanation };)*
        /// Every code, in order.
        pub static ALL: &[&Code] = &[$(&$name),*];
    };
}

codes! {
    // LW01xx: the text of a recipe.

    // LW02xx: what a recipe means.

    // LW03xx: cube files.

    // LW04xx: files and folders.
    FILE_UNREADABLE = "LW0401", "file can't be read", "The file does not exist, is a folder, or may not be read.";
    FILE_UNWRITABLE = "LW0402", "file can't be written", "The folder may not be written to, or the disk is full. Nothing was changed: files are written whole or not at all.";

    // LW05xx: pictures.

    // LW06xx: verification.
}

#[cfg(test)]
mod tests {
    use super::ALL;

    #[test]
    fn codes_are_unique_ordered_and_well_formed() {
        for pair in ALL.windows(2) {
            assert!(pair[0].id < pair[1].id, "{} stands before {}", pair[0].id, pair[1].id);
        }
        for code in ALL {
            assert!(code.id.len() == 6 && code.id.starts_with("LW"), "{}", code.id);
            assert!(!code.title.is_empty() && code.explanation.ends_with('.'), "{}", code.id);
        }
    }
}

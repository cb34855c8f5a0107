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
    PICTURE_UNKNOWN = "LW0501", "not a readable picture", "The file is not PNG, JPEG, TIFF or OpenEXR. What counts is what stands in it, not its name: export the frame in one of those formats.";
    PICTURE_DAMAGED = "LW0502", "damaged picture", "The file ends too early or its parts contradict each other. Copy it again from where it came, or export it again.";
    PICTURE_UNSUPPORTED = "LW0503", "unsupported kind of picture", "The format is known, but this kind of it is not read, such as a deep or luminance-only OpenEXR or a 32-bit integer TIFF. Export it as 16-bit TIFF or PNG.";
    PICTURE_TOO_LARGE = "LW0504", "picture too large", "The picture claims more pixels than a frame may have, or more than a file of its length can hold. Nothing was decoded: scale, crop or export it again.";
    PICTURE_UNWRITABLE = "LW0505", "picture can't be written that way", "The extension names no picture format, or the format can't hold the depth, the alpha or the values of the picture. The message names the formats that can.";
    CHART_IMPOSSIBLE = "LW0506", "test frame can't be drawn", "The frame is too small or too large for its fields, or there are no patches to draw. The message says which size is needed.";

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

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
    CUBE_NOT_TEXT = "LW0301", "not a text file", "The file holds control bytes that no cube file has: it is another format, damaged, or saved in a two-byte encoding. Export it again.";
    CUBE_NO_SIZE = "LW0302", "no size before the table", "A cube file says LUT_3D_SIZE (or LUT_1D_SIZE) once, before the first row.";
    CUBE_SIZE = "LW0303", "size that can't be", "A 3D table has 2 to 256 points a side, a 1D table 2 to 65536, written as a whole number.";
    CUBE_NUMBER = "LW0304", "not a number", "A value is a finite decimal number with a point: no words, no decimal comma, no NaN, no infinity.";
    CUBE_COLUMNS = "LW0305", "wrong number of values", "A row and a domain have three values, an input range two, a size one.";
    CUBE_ROWS = "LW0306", "wrong number of rows", "The table needs exactly as many rows as its size promises. A file with fewer was cut off; one with more is two files in one, or has the wrong size.";
    CUBE_KEYWORD_TWICE = "LW0307", "keyword given twice", "Each keyword may stand once. Which of the two was meant can't be known.";
    CUBE_KEYWORD_LATE = "LW0308", "keyword after the first row", "All keywords stand before the table.";
    CUBE_KEYWORD_UNKNOWN = "LW0309", "unknown keyword", "A keyword that is not known could change what the table means, so it is never skipped.";
    CUBE_VIDEO_RANGE = "LW0310", "video range declared by a keyword", "The file says that its input or output is legal (narrow) range in a way that is not part of the format. Take the line out and state the levels in the recipe or show instead.";
    CUBE_DOMAIN = "LW0311", "domain that can't be", "In each channel the domain's minimum lies below its maximum, and the domain is given in one way only.";
    CUBE_BOTH_SIZES = "LW0312", "1D and 3D table in one file", "Both sizes in one file are read only in the dialect that gives an input range with them (LUT_1D_INPUT_RANGE, LUT_3D_INPUT_RANGE).";
    CUBE_ENCODING = "LW0320", "characters outside ASCII", "The format is ASCII. A byte order mark, UTF-8 or Latin-1 in a title or comment is read, but not every device reads it.";
    CUBE_LINE_ENDS = "LW0321", "line ends with a carriage return", "The format ends lines with a line feed alone. Other line ends are read, but not every device reads them.";
    CUBE_SPACING = "LW0322", "unusual spacing", "Tabs, spaces before a line's first value and empty lines inside the table are read, but not every device reads them.";
    CUBE_KEYWORD_CASE = "LW0323", "keyword in lower case", "Keywords are written in capitals. Others are read, but not every device reads them.";
    CUBE_NUMBER_FORM = "LW0324", "unusual form of a number", "Exponents, plus signs and whole numbers in the table are read, but some devices ignore exponents or expect a decimal point.";
    CUBE_TITLE_FORM = "LW0325", "title missing or badly written", "A title stands between double quotes. Without one the file can't be told from others on a device that shows titles.";
    CUBE_COMMENT_PLACE = "LW0326", "comment inside or after the table", "Comments are read anywhere, but some devices count them as rows.";
    CUBE_INPUT_RANGE = "LW0327", "input range instead of a domain", "LUT_1D_INPUT_RANGE and LUT_3D_INPUT_RANGE belong to a dialect; they are read as the domain. Devices that don't know it take 0 to 1.";
    CUBE_LONG_LINE = "LW0328", "line longer than 250 bytes", "The format allows 250 bytes a line. Longer ones are read, but devices may cut them.";
    CUBE_KEYWORD_IGNORED = "LW0329", "keyword without effect on the table", "The line is information about the file only. It is skipped, but devices that don't know the keyword may refuse the file.";

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

//! One changed recipe changes every file that it makes: what was found, with that said once.

use super::parts::counted;
use super::receive::{Arrival, Finding};
use serde::Serialize;
use std::collections::BTreeSet;

/// What a file is, by its folder: in one, and in many.
const KINDS: [(&str, &str, &str); 12] = [
    ("monitors/", "LUT file for a monitor", "LUT files for monitors"),
    ("post/cube/", "cube", "cubes"),
    ("post/clf/", "list of steps", "lists of steps"),
    ("post/aces/", "ACES file", "ACES files"),
    ("post/linear/", "list of steps for linear pictures", "lists of steps for linear pictures"),
    ("post/cdl/", "CDL file", "CDL files"),
    ("post/edl/", "edit decision list", "edit decision lists"),
    ("resolved/", "resolved recipe", "resolved recipes"),
    ("tables/", "table", "tables"),
    ("frames/", "frame", "frames"),
    ("setups/", "sheet", "sheets"),
    ("", "file at the top", "files at the top"),
];

/// What is known of a file whose recipe was changed, without another word.
const FOLLOWS: [&str; 3] = ["recipe changed", "out of tolerance", "another picture"];

/// Names that are told.
const NAMED: usize = 3;

/// Texts of a package that were changed, and what follows from them.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Cause {
    /// Texts whose bytes are not those that were packed; empty where the checksums don't tell.
    pub texts: Vec<String>,
    /// Looks whose recipes make other files now, as the names of their files begin.
    pub looks: Vec<String>,
    /// Files that are not what the texts make now.
    pub files: Vec<String>,
}

impl Cause {
    /// What kinds of files follow, and how many of each: "24 LUT files for monitors, 1 cube".
    #[must_use]
    pub fn kinds(&self) -> String {
        let count = |kind: usize| self.files.iter().filter(|file| kind_of(file) == kind).count();
        let said = |(kind, (_, one, many)): (usize, &(&str, &str, &str))| match count(kind) {
            0 => None,
            1 => Some(format!("1 {one}")),
            more => Some(format!("{more} {many}")),
        };
        KINDS.iter().enumerate().filter_map(said).collect::<Vec<_>>().join(", ")
    }

    /// The first file of each of the first kinds, at most three.
    #[must_use]
    pub fn named(&self) -> Vec<&str> {
        let first = |kind: usize| self.files.iter().find(|file| kind_of(file) == kind).map(String::as_str);
        (0..KINDS.len()).filter_map(first).take(NAMED).collect()
    }

    /// "show/looks/dusk.toml was changed", or what is known where the checksums don't tell.
    #[must_use]
    pub fn words(&self) -> String {
        let was = if self.texts.len() == 1 { "was" } else { "were" };
        if !self.texts.is_empty() {
            return format!("{} {was} changed since the package was made", self.texts.join(", "));
        }
        match self.looks.as_slice() {
            [] => "the show's texts were changed since the package was made".to_owned(),
            [one] => format!("the recipe of {one} was changed since the package was made"),
            more => format!("the recipes of {} were changed since the package was made", more.join(", ")),
        }
    }

    /// "58 files follow from it, and are not what it makes now".
    #[must_use]
    pub fn follows(&self) -> String {
        let many = if self.texts.is_empty() { self.looks.len() > 1 } else { self.texts.len() > 1 };
        let (follow, are) = if self.files.len() == 1 { ("follows", "is") } else { ("follow", "are") };
        let (it, makes) = if many { ("them", "they make") } else { ("it", "it makes") };
        format!("{} {follow} from {it}, and {are} not what {makes} now", counted(self.files.len(), "file"))
    }
}

fn kind_of(file: &str) -> usize {
    KINDS.iter().position(|(folder, ..)| file.starts_with(folder)).unwrap_or(KINDS.len() - 1)
}

impl Arrival {
    /// The changed texts with everything that follows from them, where there are any, and all other findings.
    #[must_use]
    pub fn causes(&self) -> (Option<Cause>, Vec<&Finding>) {
        let following: BTreeSet<&str> =
            self.findings.iter().filter(|one| one.what == "recipe changed").map(|one| one.file.as_str()).collect();
        if following.is_empty() {
            return (None, self.findings.iter().collect());
        }
        let is_text = |one: &Finding| one.what == "changed" && one.file.starts_with("show/");
        let follows = |one: &Finding| following.contains(one.file.as_str()) && FOLLOWS.contains(&one.what);
        let cause = Cause {
            texts: self.findings.iter().filter(|one| is_text(one)).map(|one| one.file.clone()).collect(),
            looks: self.changed_looks.clone(),
            files: following.iter().map(|file| (*file).to_owned()).collect(),
        };
        (Some(cause), self.findings.iter().filter(|one| !is_text(one) && !follows(one)).collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_follows_is_counted_by_kinds_and_few_are_named() {
        let files = ["frames/a.png", "monitors/x/1.cube", "monitors/x/2.cube", "package.json", "post/cube/a.cube"];
        let cause = Cause {
            texts: vec!["show/a.toml".to_owned()],
            looks: vec!["a".to_owned()],
            files: files.map(str::to_owned).to_vec(),
        };
        assert_eq!(cause.kinds(), "2 LUT files for monitors, 1 cube, 1 frame, 1 file at the top");
        assert_eq!(cause.named(), ["monitors/x/1.cube", "post/cube/a.cube", "frames/a.png"]);
        assert_eq!(cause.words(), "show/a.toml was changed since the package was made");
        // One text may be extended by many looks.
        let cause = Cause { looks: vec!["a".to_owned(), "b".to_owned()], ..cause };
        assert_eq!(cause.follows(), "5 files follow from it, and are not what it makes now");
        let unknown = Cause { texts: Vec::new(), looks: vec!["a".to_owned(), "b".to_owned()], ..cause };
        assert_eq!(unknown.words(), "the recipes of a, b were changed since the package was made");
        assert!(unknown.follows().contains("from them, and are not what they make now"));
    }
}

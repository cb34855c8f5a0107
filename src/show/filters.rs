//! The names of the trade for filters on lamps. What counts are the numbers, which makers print differently; the names only
//! say which filter hangs there.

use crate::colour::canonical_name;

/// Strengths, in the trade's fractions.
const STRENGTHS: [&str; 5] = ["full", "3/4", "1/2", "1/4", "1/8"];

/// Kinds: to tungsten, to daylight, green and magenta. Common practice, no source.
const KINDS: [&str; 4] = ["CTO", "CTB", "plus green", "minus green"];

/// Every built-in name.
pub(super) fn names() -> impl Iterator<Item = &'static str> {
    NAMES.iter().map(String::as_str)
}

/// The built-in name that is meant: compared without case and spaces, and a kind alone is a full one.
pub(super) fn find(name: &str) -> Option<&'static str> {
    let wanted = canonical_name(name);
    let full = canonical_name(&format!("full {name}"));
    names().find(|known| {
        let known = canonical_name(known);
        known == wanted || known == full
    })
}

static NAMES: std::sync::LazyLock<Vec<String>> = std::sync::LazyLock::new(|| {
    KINDS.iter().flat_map(|kind| STRENGTHS.iter().map(move |strength| format!("{strength} {kind}"))).collect()
});

#[cfg(test)]
mod tests {
    use super::{find, names};

    #[test]
    fn names_are_forgiving_in_form() {
        assert_eq!(find("1/2 cto"), Some("1/2 CTO"));
        assert_eq!(find("CTB"), Some("full CTB"));
        assert_eq!(find("Full Plus-Green"), Some("full plus green"));
        assert_eq!(find("5/8 CTO"), None);
        assert_eq!(names().count(), 20);
    }
}

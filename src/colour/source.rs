//! Where a number comes from, and how names are compared.

/// How far a source can be trusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grade {
    /// A document of the maker.
    Maker,
    /// A published standard.
    Standard,
    /// Only third-party code, correspondence or a derivation by others. Using one warns.
    ThirdParty,
}

impl Grade {
    /// The grade in words.
    #[must_use]
    pub const fn told(self) -> &'static str {
        match self {
            Self::Maker => "maker's document",
            Self::Standard => "standard",
            Self::ThirdParty => "third parties only",
        }
    }
}

/// A published source. `key` leads to the entry in `docs/bibliography.md`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Source {
    /// Key of the entry in `docs/bibliography.md`, such as `sony-slog3`.
    pub key: &'static str,
    /// Publisher, year and title, on one line.
    pub citation: &'static str,
    /// How far it can be trusted.
    pub grade: Grade,
}

/// A name without case, spaces, hyphens, dots and underscores: `S-Log3`, `slog3` and `s-log3` are one.
#[must_use]
pub fn canonical_name(name: &str) -> String {
    name.chars().filter(|c| !matches!(c, ' ' | '-' | '.' | '_')).flat_map(char::to_lowercase).collect()
}

#[cfg(test)]
mod tests {
    use super::canonical_name;

    #[test]
    fn spelling_variants_are_one_name() {
        for name in ["S-Log3", "slog3", "s-log3", "S LOG_3", "s.log3"] {
            assert_eq!(canonical_name(name), "slog3", "{name}");
        }
    }
}

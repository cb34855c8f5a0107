//! Names of files and folders: unique, recognisable, and within what a device accepts.
//!
//! Every name ends with a short code for the look and the camera. It is made from their ids alone, so that it stays the same
//! whatever else the show gains or loses, and it is what is left of a name where a device allows few characters.

use super::model::{Charset, FileRules};
use crate::diagnostics::{Diagnostic, codes};
use sha2::{Digest, Sha256};
use std::collections::BTreeSet;

/// Letters and digits of a code: without I, L, O and U, which are misread or misheard (Crockford's base 32, from memory).
const CODE_LETTERS: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";

/// Characters of a code: about a million codes, so that the few hundred files of a show seldom meet.
const CODE_LENGTH: usize = 4;

/// Digits of a code where a device accepts nothing else.
const CODE_DIGITS: usize = 6;

/// How often another code is looked for before the rules are said to leave too few.
const ATTEMPTS: u32 = 10_000;

/// What a file is for: look, variant or version, camera.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Purpose<'a> {
    /// Id of the look.
    pub look: &'a str,
    /// Id of its variant or version, empty for the look itself.
    pub part: &'a str,
    /// Id of the camera.
    pub camera: &'a str,
}

impl Purpose<'_> {
    /// What a code is made from.
    fn text(&self) -> String {
        format!("{}/{}/{}", self.look, self.part, self.camera).to_ascii_lowercase()
    }

    fn words(&self) -> Vec<&str> {
        [self.look, self.part, self.camera].into_iter().filter(|word| !word.is_empty()).collect()
    }
}

/// The code of each purpose, in capital letters: the same for every monitor. Where two meet, the later one gives way.
#[must_use]
pub fn short_codes(purposes: &[Purpose<'_>]) -> Vec<String> {
    assign(purposes, |purpose, attempt| code(&purpose.text(), attempt, CODE_LENGTH, CODE_LETTERS))
        .expect("a million codes are enough for any show")
}

/// The name, without its ending, that each file has on a device, and the code in it. `codes` are those of [`short_codes`]; a
/// device that accepts digits only, or fewer characters, has codes of its own.
///
/// # Errors
/// Rules that leave fewer different names than there are files.
pub fn names(
    purposes: &[Purpose<'_>],
    codes_of: &[String],
    rules: &FileRules,
) -> Result<Vec<(String, String)>, Box<Diagnostic>> {
    let (letters, length): (&[u8], usize) = match rules.charset {
        Charset::Digits => (&CODE_LETTERS[..10], CODE_DIGITS),
        _ => (CODE_LETTERS, CODE_LENGTH),
    };
    let own = length > rules.name_max || rules.charset == Charset::Digits;
    let codes = if own {
        let length = length.min(rules.name_max);
        assign(purposes, |purpose, attempt| code(&purpose.text(), attempt, length, letters))
            .ok_or_else(|| Box::new(too_few(purposes.len(), rules)))?
    } else {
        codes_of.to_vec()
    };
    Ok(purposes.iter().zip(codes).map(|(purpose, code)| (name(purpose, &code, rules), code)).collect())
}

fn too_few(files: usize, rules: &FileRules) -> Diagnostic {
    let message = format!("the device's rules leave too few different names for {files} files");
    let label = format!("at most {} characters of \"{}\"", rules.name_max, rules.charset.id());
    Diagnostic::error(&codes::NAME_IMPOSSIBLE, message)
        .at(rules.span.clone(), label)
        .help("look up in the device's manual how long a name may be; or give the monitor fewer looks")
}

/// One code each, all different.
fn assign(purposes: &[Purpose<'_>], make: impl Fn(&Purpose<'_>, u32) -> String) -> Option<Vec<String>> {
    let mut taken = BTreeSet::new();
    purposes
        .iter()
        .map(|purpose| {
            let free = (0..ATTEMPTS).map(|attempt| make(purpose, attempt)).find(|code| !taken.contains(code))?;
            taken.insert(free.clone());
            Some(free)
        })
        .collect()
}

fn code(text: &str, attempt: u32, length: usize, letters: &[u8]) -> String {
    let salted = if attempt == 0 { text.to_owned() } else { format!("{text}#{attempt}") };
    let hash = Sha256::digest(salted.as_bytes());
    hash.iter().take(length).map(|byte| char::from(letters[usize::from(*byte) % letters.len()])).collect()
}

/// Words and code, cut to fit: the longest word gives way first, and a name that has room for nothing else is its code.
fn name(purpose: &Purpose<'_>, code: &str, rules: &FileRules) -> String {
    let separator = if rules.charset.holds('_') { "_" } else { "" };
    let cased = |word: &str| -> String {
        let word = match rules.charset {
            Charset::Upper | Charset::UpperPlain => word.to_ascii_uppercase(),
            Charset::Lower | Charset::LowerPlain => word.to_ascii_lowercase(),
            Charset::Mixed | Charset::Digits => word.to_owned(),
        };
        let word = if separator.is_empty() { word } else { word.replace('-', separator) };
        word.chars().filter(|character| rules.charset.holds(*character)).collect()
    };
    let code = cased(code);
    if rules.charset == Charset::Digits {
        return code;
    }
    let mut words: Vec<String> = purpose.words().into_iter().map(cased).filter(|word| !word.is_empty()).collect();
    let length = |words: &[String]| words.iter().map(|word| word.len() + separator.len()).sum::<usize>() + code.len();
    while length(&words) > rules.name_max && !words.is_empty() {
        // Of words that are equally long the last: the look is what people look for.
        let longest = (0..words.len()).max_by_key(|index| words[*index].len()).unwrap_or(0);
        if words[longest].len() > 1 {
            words[longest].pop();
        } else {
            // All are one letter: the look is said by the code, the camera is worth its letter longest.
            words.remove(0);
        }
    }
    words.push(code);
    words.join(separator)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostics::{SourceText, Span};
    use crate::formats::cube::Newline;

    fn rules(name_max: usize, charset: Charset) -> FileRules {
        let span = Span { source: SourceText::new("", ""), range: 0..0 };
        let newline = Newline::LineFeed;
        FileRules { name_max, charset, fixed_name: None, newline, comments: true, sizes: vec![], span }
    }

    fn purposes() -> Vec<Purpose<'static>> {
        let mut all = Vec::new();
        for look in ["dusk-car-deck", "dusk-car-deck-rain", "warm", "warm_p1"] {
            for part in ["", "p1", "half"] {
                for camera in ["a", "B", "crash"] {
                    all.push(Purpose { look, part, camera });
                }
            }
        }
        all
    }

    #[test]
    fn names_keep_the_rules_and_differ_in_more_than_case() {
        let purposes = purposes();
        let codes = short_codes(&purposes);
        for charset in Charset::ALL {
            for name_max in [4, 6, 8, 12, 20, 48] {
                let names = names(&purposes, &codes, &rules(name_max, charset)).expect("names");
                let lower: BTreeSet<String> = names.iter().map(|(name, _)| name.to_ascii_lowercase()).collect();
                assert_eq!(lower.len(), purposes.len(), "{charset:?} {name_max}");
                for (name, code) in names {
                    assert!(name.to_ascii_uppercase().ends_with(&code), "{name}: {code}");
                    assert!((1..=name_max).contains(&name.len()), "{name}: {charset:?} {name_max}");
                    assert!(name.chars().all(|character| charset.holds(character)), "{name}: {charset:?}");
                }
            }
        }
    }

    #[test]
    fn a_code_depends_on_its_own_file_only() {
        let purposes = purposes();
        let all = short_codes(&purposes);
        let alone = short_codes(&purposes[7..8]);
        assert_eq!(all[7], alone[0]);
    }

    #[test]
    fn names_that_have_room_say_everything() {
        let purposes = [Purpose { look: "warm", part: "p1", camera: "a" }];
        let codes = short_codes(&purposes);
        let names = names(&purposes, &codes, &rules(24, Charset::Upper)).expect("names");
        assert_eq!(names[0].0, format!("WARM_P1_A_{}", codes[0]));
    }

    #[test]
    fn too_few_names_are_an_error() {
        let purposes = purposes();
        let codes_of = short_codes(&purposes);
        let error = names(&purposes, &codes_of, &rules(1, Charset::Mixed)).expect_err("36 files, 32 names");
        assert_eq!(error.code, &codes::NAME_IMPOSSIBLE);
    }
}

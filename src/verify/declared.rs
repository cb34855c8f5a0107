//! What a list of steps takes and gives: the words of its descriptors, and what its steps tell where those say nothing.

use super::display_words;
use crate::colour::canonical_name;
use crate::colour::encodings::{Curve, ENCODINGS, Encoding, Functions};
use crate::colour::gamuts::{self, ACES2065_1, ACESCG, GAMUTS, Gamut};
use crate::formats::clf::{LogStyle, Operation, ProcessList};
use crate::plan::{Camera, DisplayTarget};
use serde::Serialize;

/// Words in a row that may make up a name, such as "Blackmagic Film Generation 5".
const WORDS_IN_NAME: usize = 4;

/// What the numbers at an end of a list are.
#[derive(Clone, Copy, Debug)]
pub enum Carried {
    /// A camera's log signal; which, where that is known.
    Camera(Option<Camera>),
    /// Linear light; in which primaries, where that is known.
    Light(Option<&'static Gamut>),
    /// The signal of a display.
    Display(DisplayTarget),
    /// Nothing says what: it is taken for a signal.
    Unknown,
}

impl Carried {
    /// Whether it is linear light.
    #[must_use]
    pub fn is_light(&self) -> bool {
        matches!(self, Self::Light(_))
    }

    /// The same in words.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::Camera(None) => "a camera's log signal".to_owned(),
            Self::Camera(Some(Camera { curve, gamut })) => {
                let index = curve.exposure_index().map_or(String::new(), |index| format!(" EI {index}"));
                format!("a camera's signal, {}{index} / {}", curve.encoding().id, gamut.id)
            }
            Self::Light(gamut) => {
                let primaries = gamut.map_or("in primaries that nothing names".to_owned(), |gamut| gamut.id.to_owned());
                format!("light, linear / {primaries}")
            }
            Self::Display(target) => {
                let peak =
                    if target.encoding.needs_peak() { format!(", {} cd/m²", target.peak_nits) } else { String::new() };
                format!("a display's signal, {} / {}{peak}", target.encoding.id(), target.gamut.id)
            }
            Self::Unknown => "a signal; nothing says which".to_owned(),
        }
    }
}

/// How that is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum KnownBy {
    /// The file's descriptor says so.
    Descriptor,
    /// The first or last step makes sense for nothing else.
    Steps,
    /// It is not known.
    Nothing,
}

impl KnownBy {
    /// The same in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Descriptor => "its descriptor says so",
            Self::Steps => "its steps say so",
            Self::Nothing => "an assumption",
        }
    }
}

/// Both ends of a list of steps.
#[derive(Clone, Copy, Debug)]
pub struct Declared {
    /// What goes in, and how that is known.
    pub input: (Carried, KnownBy),
    /// What comes out.
    pub output: (Carried, KnownBy),
    /// Whether what comes out is for a display whose signal depends on the luminance of its white, and the descriptor names none: 1000 cd/m²
    /// is taken.
    pub peak_is_taken: bool,
}

impl Declared {
    /// What a list says of itself, and else what its steps tell.
    #[must_use]
    pub fn of(list: &ProcessList) -> Self {
        Self {
            input: end(described(&list.input), || takes_light(list)),
            output: end(described_output(&list.output), || gives_light(list)),
            peak_is_taken: peak_is_taken(&list.output),
        }
    }

    /// The primaries of the light that goes in; those of ACES2065-1 where nothing names others. `None` for a signal.
    #[must_use]
    pub fn light_in(&self) -> Option<&'static Gamut> {
        match self.input.0 {
            Carried::Light(gamut) => Some(gamut.unwrap_or(&ACES2065_1)),
            _ => None,
        }
    }

    /// The camera whose signal goes in, where it is known.
    #[must_use]
    pub fn camera(&self) -> Option<Camera> {
        match self.input.0 {
            Carried::Camera(camera) => camera,
            _ => None,
        }
    }

    /// The display whose signal comes out, where it is known.
    #[must_use]
    pub fn display(&self) -> Option<DisplayTarget> {
        match self.output.0 {
            Carried::Display(target) => Some(target),
            _ => None,
        }
    }

    /// What comes out, in words, where that is no display's picture.
    #[must_use]
    pub fn no_picture(&self) -> Option<String> {
        matches!(self.output.0, Carried::Light(_) | Carried::Camera(_)).then(|| self.output.0.words())
    }
}

fn end(said: Carried, is_light: impl Fn() -> bool) -> (Carried, KnownBy) {
    if !matches!(said, Carried::Unknown) {
        return (said, KnownBy::Descriptor);
    }
    if is_light() {
        return (Carried::Light(None), KnownBy::Steps);
    }
    (Carried::Unknown, KnownBy::Nothing)
}

/// What the descriptor of an input names: a published encoding, light, a display. An encoding counts before the word "linear", and what is
/// named before "to" before what it leads to.
#[must_use]
pub fn described(text: &str) -> Carried {
    let before = split_at_word(text, "to").map(|[before, _]| before);
    either(before, text, |text| {
        let words = words_of(text);
        log_signal(&words).or_else(|| light(&words)).or_else(|| display(text)).unwrap_or(Carried::Unknown)
    })
}

/// What that of an output names: the encoding of a display counts first, for "BT.1886, from S-Log3" is one; the primaries of a display alone
/// come last, for "linear BT.709" is light. What stands behind "to", or before "from", counts before the rest.
#[must_use]
pub fn described_output(text: &str) -> Carried {
    either(output_part(text), text, |text| {
        let words = words_of(text);
        let encoded = display_words::by_encoding(text).map(|named| Carried::Display(named.target));
        encoded
            .or_else(|| log_signal(&words))
            .or_else(|| light(&words))
            .or_else(|| display(text))
            .unwrap_or(Carried::Unknown)
    })
}

/// The part of an output's descriptor that is about what comes out.
fn output_part(text: &str) -> Option<&str> {
    let behind = split_at_word(text, "to").map(|[_, behind]| behind);
    behind.or_else(|| split_at_word(text, "from").map(|[before, _]| before))
}

/// What a part of a text says, else the whole.
fn either(part: Option<&str>, text: &str, say: impl Fn(&str) -> Carried) -> Carried {
    let said = part.map(&say).filter(|said| !matches!(said, Carried::Unknown));
    said.unwrap_or_else(|| say(text))
}

/// A text before and behind a word that stands alone in it.
fn split_at_word<'a>(text: &'a str, word: &str) -> Option<[&'a str; 2]> {
    let found = text.split_whitespace().find(|one| one.eq_ignore_ascii_case(word))?;
    let at = found.as_ptr().addr() - text.as_ptr().addr();
    Some([&text[..at], &text[at + found.len()..]])
}

fn peak_is_taken(text: &str) -> bool {
    let named = output_part(text).and_then(display_words::by_encoding).or_else(|| display_words::by_encoding(text));
    named.is_some_and(|named| named.peak_is_taken)
}

fn words_of(text: &str) -> Vec<&str> {
    text.split(|letter: char| letter.is_whitespace() || "/,:;()[]\"".contains(letter))
        .map(|word| word.trim_matches(|letter: char| letter == '.' || letter == '-'))
        .filter(|word| !word.is_empty())
        .collect()
}

fn log_signal(words: &[&str]) -> Option<Carried> {
    let encoding = longest(words, encoding_of)?;
    let camera = curve(encoding, words).map(|curve| Camera { curve, gamut: own(longest(words, gamut_of), encoding) });
    Some(Carried::Camera(camera))
}

fn light(words: &[&str]) -> Option<Carried> {
    let gamut = longest(words, gamut_of);
    let is_linear = words.iter().any(|word| {
        let word = canonical_name(word);
        word.starts_with("linear") || (word.ends_with("linear") && !word.ends_with("nonlinear"))
    });
    let is_aces = gamut.is_some_and(|gamut| [ACES2065_1.id, ACESCG.id].contains(&gamut.id));
    (is_linear || is_aces).then_some(Carried::Light(gamut))
}

/// A display, by its encoding or else by its primaries.
fn display(text: &str) -> Option<Carried> {
    let named = display_words::by_encoding(text).or_else(|| display_words::by_gamut(text))?;
    Some(Carried::Display(named.target))
}

/// What the longest run of words names.
fn longest<T>(words: &[&str], find: impl Fn(&str) -> Option<T>) -> Option<T> {
    (1..=WORDS_IN_NAME).rev().find_map(|count| words.windows(count).find_map(|run| find(&run.concat())))
}

fn is_called(name: &str, id: &str, full: &str) -> bool {
    let wanted = canonical_name(name);
    canonical_name(id) == wanted || canonical_name(full) == wanted
}

fn encoding_of(name: &str) -> Option<&'static Encoding> {
    ENCODINGS.iter().copied().find(|encoding| encoding.id != "linear" && is_called(name, encoding.id, encoding.name))
}

fn gamut_of(name: &str) -> Option<&'static Gamut> {
    // "srgb" names an encoding as well as its primaries, which are those of BT.709.
    let published = GAMUTS.iter().copied().find(|gamut| is_called(name, gamut.id, gamut.name));
    published.or_else(|| gamuts::find(name)).or_else(|| display_words::gamut_called(name))
}

fn own(named: Option<&'static Gamut>, encoding: &Encoding) -> &'static Gamut {
    let first = || encoding.gamuts.first().and_then(|id| gamuts::find(id));
    named.or_else(first).unwrap_or(&ACESCG)
}

/// The curve of an encoding, with the exposure index that stands behind "EI"; `None` where it needs one and none is named.
fn curve(encoding: &'static Encoding, words: &[&str]) -> Option<Curve> {
    let index = words.iter().enumerate().find_map(|(place, word)| {
        let behind = word.to_ascii_lowercase().strip_prefix("ei").map(str::to_owned)?;
        let number = if behind.is_empty() { (*words.get(place + 1)?).to_owned() } else { behind };
        number.parse::<u32>().ok()
    });
    match encoding.functions {
        Functions::Fixed { .. } => Curve::new(encoding, None).ok(),
        Functions::ByExposureIndex { .. } => Curve::new(encoding, Some(index?)).ok(),
    }
}

/// Whether the first step that tells takes light: a logarithm, or a table over half floats.
fn takes_light(list: &ProcessList) -> bool {
    for node in &list.nodes {
        match &node.operation {
            Operation::Matrix(_) | Operation::Exponent(_) | Operation::Cdl(..) | Operation::Range(_) => {}
            Operation::Log(log) => return makes_log(log.style),
            Operation::Lut1(table) => return table.half_domain,
            Operation::Lut3(_) => return false,
        }
    }
    false
}

/// Whether the last step that tells gives light: the inverse of a logarithm.
fn gives_light(list: &ProcessList) -> bool {
    for node in list.nodes.iter().rev() {
        match &node.operation {
            Operation::Matrix(_) => {}
            Operation::Log(log) => return !makes_log(log.style),
            _ => return false,
        }
    }
    false
}

/// Whether a logarithm leads from light to a signal.
fn makes_log(style: LogStyle) -> bool {
    match style {
        LogStyle::Log10 | LogStyle::Log2 | LogStyle::LinToLog | LogStyle::CameraLinToLog => true,
        LogStyle::AntiLog10 | LogStyle::AntiLog2 | LogStyle::LogToLin | LogStyle::CameraLogToLin => false,
    }
}

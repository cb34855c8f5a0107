//! What a profile in a file says of itself: its name, and whether its primaries and curve are known ones (bibliography: icc-2010).
//!
//! Nothing is computed with a profile of others, so that a wrong one does no harm: what can't be read is not known.

use crate::colour::adaptation::Adaptation;
use crate::colour::displays::{Display, DisplayEncoding};
use crate::colour::gamuts::{self, Gamut};
use crate::maths::pow;
use nalgebra::Vector3;

/// The largest profile that is looked at; those of printers have one or two megabytes.
pub const MAX_PROFILE_BYTES: usize = 4 << 20;

/// The longest name that is kept, characters.
const MAX_NAME: usize = 80;

/// How far the primaries under D50 may lie from known ones: published profiles of one space differ by rounding and by the digits of
/// D65 (this project's own choice; sRGB and P3 differ by 0.08).
const COLORANT_TOLERANCE: f64 = 0.003;

/// How far a curve may lie from a known one: sRGB and the power 2.2 differ by 0.0036 at half signal (this project's own choice).
const CURVE_TOLERANCE: f64 = 0.0015;

/// The most tags that are looked at; a usual profile has ten to thirty.
const MAX_TAGS: usize = 200;

/// What a profile says.
#[derive(Clone, Debug, Default)]
pub struct Described {
    /// Its name, on one line, at most 80 characters; empty if there is none.
    pub name: String,
    /// The gamut whose primaries and white it has, if it is sRGB's, P3's or BT.2020's.
    pub gamut: Option<&'static Gamut>,
    /// The curve that it has, if it is a known one.
    pub encoding: Option<DisplayEncoding>,
}

/// Looks at the bytes of a profile. What can't be read is left empty.
#[must_use]
pub fn describe(profile: &[u8]) -> Described {
    let name = tag(profile, b"desc").map(description).unwrap_or_default();
    Described { name, gamut: gamut(profile), encoding: tag(profile, b"gTRC").and_then(encoding) }
}

fn word(bytes: &[u8], at: usize) -> Option<u32> {
    bytes.get(at..)?.first_chunk().map(|word| u32::from_be_bytes(*word))
}

/// The element of a tag.
fn tag<'a>(profile: &'a [u8], signature: &[u8; 4]) -> Option<&'a [u8]> {
    let count = word(profile, 128)? as usize;
    let entry = (0..count.min(MAX_TAGS)).map(|index| 132 + 12 * index);
    let at = entry.take_while(|at| *at < profile.len()).find(|at| profile.get(*at..at + 4) == Some(signature))?;
    let (start, length) = (word(profile, at + 4)? as usize, word(profile, at + 8)? as usize);
    profile.get(start..start.checked_add(length)?)
}

/// A name, as version 2 (ASCII behind a count) or version 4 (the first of several languages, UTF-16) writes it.
fn description(element: &[u8]) -> String {
    let text = match element.get(..4) {
        Some(b"desc") => word(element, 8)
            .and_then(|count| element.get(12..12usize.checked_add(count as usize)?))
            .map(|ascii| String::from_utf8_lossy(ascii).into_owned()),
        Some(b"mluc") => word(element, 20)
            .zip(word(element, 24))
            .and_then(|(length, start)| element.get(start as usize..(start as usize).checked_add(length as usize)?))
            .map(|utf16| {
                let units: Vec<u16> = utf16.as_chunks::<2>().0.iter().map(|unit| u16::from_be_bytes(*unit)).collect();
                String::from_utf16_lossy(&units)
            }),
        _ => None,
    };
    one_line(&text.unwrap_or_default(), MAX_NAME)
}

/// A text on one line without control characters, cut to a length.
pub(crate) fn one_line(text: &str, most: usize) -> String {
    let spaced: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let words: Vec<&str> = spaced.split_whitespace().collect();
    words.join(" ").chars().take(most).collect()
}

fn fixed(bytes: &[u8], at: usize) -> Option<f64> {
    word(bytes, at).map(|word| f64::from(word.cast_signed()) / 65_536.0)
}

fn gamut(profile: &[u8]) -> Option<&'static Gamut> {
    let mut colorants = [[0.0; 3]; 3];
    for (colorant, signature) in colorants.iter_mut().zip([b"rXYZ", b"gXYZ", b"bXYZ"]) {
        let element = tag(profile, signature)?;
        *colorant = [fixed(element, 8)?, fixed(element, 12)?, fixed(element, 16)?];
    }
    let d50 = Vector3::new(0.9642, 1.0, 0.8249);
    [&gamuts::SRGB, &gamuts::DISPLAY_P3, &gamuts::BT2020, &gamuts::P3_DCI].into_iter().find(|gamut| {
        let known = Adaptation::Bradford.matrix(gamut.white_xyz(), d50) * gamut.to_xyz();
        let off = |column: usize, row: usize| (colorants[column][row] - known[(row, column)]).abs();
        (0..9).all(|index| off(index / 3, index % 3) <= COLORANT_TOLERANCE)
    })
}

/// The known encoding whose curve an element has, at three signals.
fn encoding(element: &[u8]) -> Option<DisplayEncoding> {
    use DisplayEncoding::{Gamma22, Gamma24, Gamma26, Srgb};
    let signals = [0.25, 0.5, 0.75];
    let found = signals.map(|signal| curve(element, signal));
    [Srgb, Gamma22, Gamma24, Gamma26].into_iter().find(|encoding| {
        let known = Display::new(*encoding, 100.0).decode(signals);
        (0..3).all(|index| found[index].is_some_and(|light| (light - known[index]).abs() <= CURVE_TOLERANCE))
    })
}

/// The light of a signal by a curve: a power, a table, or a parametric curve of one of the five kinds.
fn curve(element: &[u8], signal: f64) -> Option<f64> {
    match element.get(..4)? {
        b"curv" => {
            let count = word(element, 8)? as usize;
            let value = |index: usize| {
                let at = 12 + 2 * index;
                element.get(at..at + 2).map(|pair| f64::from(u16::from_be_bytes([pair[0], pair[1]])))
            };
            match count {
                0 => Some(signal),
                1 => Some(pow(signal, value(0)? / 256.0)),
                2..=65_536 => {
                    let place = signal * (count - 1) as f64;
                    let (low, part) = (place as usize, place - place.floor());
                    Some((value(low)? * (1.0 - part) + value((low + 1).min(count - 1))? * part) / 65_535.0)
                }
                _ => None,
            }
        }
        b"para" => {
            let parameter = |index: usize| fixed(element, 12 + 4 * index);
            let (g, kind) = (parameter(0)?, element.get(9)?);
            let powered = |offset: f64| Some(pow((parameter(1)? * signal + parameter(2)?).max(0.0), g) + offset);
            match kind {
                0 => Some(pow(signal, g)),
                1 => powered(0.0),
                2 => powered(parameter(3)?),
                3 if signal >= parameter(4)? => powered(0.0),
                3 => Some(parameter(3)? * signal),
                4 if signal >= parameter(4)? => powered(parameter(5)?),
                4 => Some(parameter(3)? * signal + parameter(6)?),
                _ => None,
            }
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::super::Profile;
    use super::*;

    #[test]
    fn our_own_profiles_are_recognised() {
        for profile in [Profile::SRGB, Profile::DISPLAY_P3, Profile::BT709_GAMMA24, Profile::P3_D65_GAMMA26] {
            let described = describe(&profile.bytes());
            assert_eq!(described.name, profile.name());
            let gamut = described.gamut.expect("a known gamut");
            assert_eq!((gamut.red, gamut.green), (profile.gamut().red, profile.gamut().green));
            assert_eq!(described.encoding, Some(profile.encoding()));
        }
    }

    #[test]
    fn any_cut_or_changed_profile_is_only_not_known() {
        let whole = Profile::SRGB.bytes();
        for length in 0..whole.len() {
            let _ = describe(&whole[..length]);
            for value in [0, 0x7f, 0xff] {
                let mut changed = whole.clone();
                changed[length] = value;
                assert!(describe(&changed).name.chars().count() <= MAX_NAME);
            }
        }
    }
}

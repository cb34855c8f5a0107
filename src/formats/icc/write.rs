//! The bytes of a matrix profile with parametric curves (bibliography: icc-2010).

use super::Profile;
use crate::colour::adaptation::Adaptation;
use crate::colour::displays::{Display, DisplayEncoding};
use nalgebra::{Matrix3, Vector3};

/// The white of the connection space as 1/65536: D50, 0.9642 1 0.8249, in the very digits that clause 7.2.16 prints.
const D50: [i32; 3] = [0x0000_f6d6, 0x0001_0000, 0x0000_d32d];

/// One, as a number of 16 bits before and 16 behind the point.
const ONE: f64 = 65_536.0;

/// Bytes of the header (clause 7.2), before the table of tags.
const HEADER_BYTES: usize = 128;

/// The curve of IEC 61966-2-1 as a parametric curve of type 3: Y = (aX + b)^g from d on, cX below (clause 10.16 of ICC.1).
const SRGB_PARAMETERS: [f64; 5] = [2.4, 1.0 / 1.055, 0.055 / 1.055, 1.0 / 12.92, 0.04045];

pub(super) fn bytes(profile: &Profile) -> Vec<u8> {
    let (chad, colorants) = colorants(profile);
    let curve = curve(profile.encoding());
    let [red, green, blue] = [0, 1, 2].map(|column| xyz([0, 1, 2].map(|row| colorants[row][column])));
    let tags: [([u8; 4], Vec<u8>); 10] = [
        (*b"desc", text(&profile.name())),
        (*b"cprt", text("No rights reserved")),
        (*b"wtpt", xyz(D50)),
        (*b"chad", numbers(b"sf32", chad.as_flattened())),
        (*b"rXYZ", red),
        (*b"gXYZ", green),
        (*b"bXYZ", blue),
        (*b"rTRC", curve.clone()),
        (*b"gTRC", curve.clone()),
        (*b"bTRC", curve),
    ];
    assemble(&tags)
}

/// The adaptation of the profile's white to D50 and the primaries under D50, in rows, as 1/65536. Each row of the latter sums
/// to D50 exactly, so that a grey is one to the last digit: green, the largest, takes up what rounding left.
fn colorants(profile: &Profile) -> ([[i32; 3]; 3], [[i32; 3]; 3]) {
    let gamut = profile.gamut();
    let d50 = Vector3::from(D50.map(|part| f64::from(part) / ONE));
    let chad = Adaptation::Bradford.matrix(gamut.white_xyz(), d50);
    let mut rounded = fixed_rows(&(chad * gamut.to_xyz()));
    for (row, white) in rounded.iter_mut().zip(D50) {
        row[1] = white - row[0] - row[2];
    }
    (fixed_rows(&chad), rounded)
}

fn fixed_rows(matrix: &Matrix3<f64>) -> [[i32; 3]; 3] {
    [0, 1, 2].map(|row| [0, 1, 2].map(|column| fixed(matrix[(row, column)])))
}

/// A number as 1/65536, rounded.
fn fixed(value: f64) -> i32 {
    (value * ONE).round() as i32
}

fn xyz(values: [i32; 3]) -> Vec<u8> {
    numbers(b"XYZ ", &values)
}

/// An element of a type that is a list of numbers (clauses 10.22 and 10.31).
fn numbers(kind: &[u8; 4], values: &[i32]) -> Vec<u8> {
    let mut element = [kind.as_slice(), &[0; 4]].concat();
    values.iter().for_each(|value| element.extend(value.to_be_bytes()));
    element
}

/// A parametric curve (clause 10.16).
fn curve(encoding: DisplayEncoding) -> Vec<u8> {
    let (kind, parameters): (u16, &[f64]) = match Display::new(encoding, 100.0).power() {
        Some(power) => (0, &[power]),
        None => (3, &SRGB_PARAMETERS),
    };
    let mut element = b"para\0\0\0\0".to_vec();
    element.extend(kind.to_be_bytes());
    element.extend([0; 2]);
    parameters.iter().for_each(|&value| element.extend(fixed(value).to_be_bytes()));
    element
}

/// A text in one language (clause 10.13); `words` in ASCII.
fn text(words: &str) -> Vec<u8> {
    let utf16: Vec<u8> = words.encode_utf16().flat_map(u16::to_be_bytes).collect();
    let mut element = b"mluc\0\0\0\0".to_vec();
    [1, 12].iter().for_each(|number: &u32| element.extend(number.to_be_bytes()));
    element.extend(b"enUS");
    [utf16.len() as u32, 28].iter().for_each(|number| element.extend(number.to_be_bytes()));
    element.extend(utf16);
    element
}

/// Header, table of tags, and their elements on boundaries of four bytes; equal elements that follow each other are stored once.
fn assemble(tags: &[([u8; 4], Vec<u8>)]) -> Vec<u8> {
    let first = HEADER_BYTES + 4 + 12 * tags.len();
    let (mut table, mut elements) = (Vec::new(), Vec::new());
    table.extend((tags.len() as u32).to_be_bytes());
    let mut place = first;
    for (index, (signature, element)) in tags.iter().enumerate() {
        if index == 0 || tags[index - 1].1 != *element {
            place = first + elements.len();
            elements.extend(element);
            elements.resize(elements.len().next_multiple_of(4), 0);
        }
        table.extend(signature);
        table.extend((place as u32).to_be_bytes());
        table.extend((element.len() as u32).to_be_bytes());
    }
    let mut profile = header(first + elements.len());
    profile.extend(table);
    profile.extend(elements);
    profile
}

/// The header: version 4.3, a display, RGB to XYZ, the day of the standard's publication as the date.
fn header(length: usize) -> Vec<u8> {
    let mut header = (length as u32).to_be_bytes().to_vec();
    header.extend([0; 4]);
    header.extend([4, 0x30, 0, 0]);
    header.extend(b"mntrRGB XYZ ");
    [2010, 12, 1, 0, 0, 0].iter().for_each(|part: &u16| header.extend(part.to_be_bytes()));
    header.extend(b"acsp");
    // No platform, flags, maker, model, attributes; perceptual intent.
    header.extend([0; 28]);
    D50.iter().for_each(|part| header.extend(part.to_be_bytes()));
    // No creator, no checksum.
    header.resize(HEADER_BYTES, 0);
    header
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn white_is_neutral_to_the_last_digit_and_the_length_is_true() {
        for profile in [Profile::SRGB, Profile::DISPLAY_P3, Profile::BT709_GAMMA24, Profile::P3_D65_GAMMA26] {
            let (_, rows) = colorants(&profile);
            assert_eq!(rows.map(|row| row.iter().sum::<i32>()), D50, "{}", profile.name());
            let bytes = profile.bytes();
            assert_eq!(bytes.len() as u32, u32::from_be_bytes([bytes[0], bytes[1], bytes[2], bytes[3]]));
            assert_eq!(bytes.len() % 4, 0);
            assert_eq!(bytes, profile.bytes());
        }
    }
}

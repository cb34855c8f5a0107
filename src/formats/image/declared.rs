//! What a file declares its numbers to mean, and whether that fits a log signal.

use super::contents::PictureFormat;
use super::notes::Metadata;
use crate::colour::displays::DisplayEncoding;
use crate::colour::gamuts::{self, Gamut};
use crate::formats::icc;

/// How a file declares what its numbers mean.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DeclaredBy {
    /// Code points of ITU-T H.273 in a PNG (cICP).
    CodePoints,
    /// An embedded ICC profile.
    Profile,
    /// The sRGB chunk of a PNG.
    SrgbChunk,
    /// The gamma or the chromaticities of a PNG (gAMA, cHRM), or the chromaticities of an OpenEXR.
    GammaOrChromaticities,
    /// The colour space of Exif.
    Exif,
}

/// What a file declares its numbers to mean: the declaration that counts where there are several. Nothing of it is applied.
#[derive(Clone, Debug)]
pub struct Declared {
    /// How it is declared.
    pub by: DeclaredBy,
    /// The name that stands in the file, or what the numbers in it come to; on one line.
    pub name: String,
    /// Primaries and white, if they are known ones. BT.709 and sRGB are one and appear as sRGB, P3 with D65 as Display P3.
    pub gamut: Option<&'static Gamut>,
    /// Signal to light, if it is a known one.
    pub encoding: Option<DisplayEncoding>,
}

/// How sure a suspicion is. Nothing of this is proof: programs attach profiles by habit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sureness {
    /// Log pictures with such a declaration are common.
    Possible,
    /// Log pictures with such a declaration are rare.
    Likely,
}

/// Why a picture is perhaps finished for a display, and not a camera's log signal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Suspicion {
    /// How sure.
    pub sureness: Sureness,
    /// Why, as half a sentence: "it declares itself as Display P3".
    pub reason: String,
}

impl Declared {
    pub(super) fn of_profile(profile: &[u8]) -> Self {
        let described = icc::describe(profile);
        let name = if described.name.is_empty() { "a profile without a name".to_owned() } else { described.name };
        Self { by: DeclaredBy::Profile, name, gamut: described.gamut, encoding: described.encoding }
    }

    pub(super) fn srgb(by: DeclaredBy) -> Self {
        Self { by, name: "sRGB".to_owned(), gamut: Some(&gamuts::SRGB), encoding: Some(DisplayEncoding::Srgb) }
    }

    /// Of the code points of colour primaries and transfer characteristics (ITU-T H.273, tables 2 and 3; from memory).
    pub(super) fn of_code_points(primaries: u8, transfer: u8) -> Self {
        let gamut: Option<&'static Gamut> = match primaries {
            1 => Some(&gamuts::SRGB),
            9 => Some(&gamuts::BT2020),
            11 => Some(&gamuts::P3_DCI),
            12 => Some(&gamuts::DISPLAY_P3),
            _ => None,
        };
        let encoding = match transfer {
            1 | 6 | 14 | 15 => Some(DisplayEncoding::Bt1886),
            4 => Some(DisplayEncoding::Gamma22),
            13 => Some(DisplayEncoding::Srgb),
            16 => Some(DisplayEncoding::Pq),
            18 => Some(DisplayEncoding::Hlg),
            _ => None,
        };
        let name = match (gamut, encoding) {
            (Some(gamut), Some(encoding)) => format!("{}, {}", gamut.name, encoding.name()),
            _ => format!("code points {primaries}-{transfer}"),
        };
        Self { by: DeclaredBy::CodePoints, name, gamut, encoding }
    }

    /// Of a gamma (the power from light to signal, 1/2.2 for a display of 2.2) and the chromaticities of white, red, green, blue.
    pub(super) fn of_numbers(gamma: Option<f64>, chromaticities: Option<[[f64; 2]; 4]>) -> Self {
        /// cHRM has five decimals, OpenEXR seven digits; files are written with D65 to three or four.
        const NEAR: f64 = 0.002;
        let near = |a: [f64; 2], b: [f64; 2]| (a[0] - b[0]).abs() <= NEAR && (a[1] - b[1]).abs() <= NEAR;
        let known: [&'static Gamut; 6] = [
            &gamuts::SRGB,
            &gamuts::DISPLAY_P3,
            &gamuts::BT2020,
            &gamuts::P3_DCI,
            &gamuts::ACESCG,
            &gamuts::ACES2065_1,
        ];
        let gamut = chromaticities.and_then(|[white, red, green, blue]| {
            let same = |gamut: &Gamut| {
                near(gamut.white, white) && near(gamut.red, red) && near(gamut.green, green) && near(gamut.blue, blue)
            };
            known.into_iter().find(|gamut| same(gamut))
        });
        let encoding = gamma.and_then(|gamma| {
            let powers =
                [(2.2, DisplayEncoding::Gamma22), (2.4, DisplayEncoding::Gamma24), (2.6, DisplayEncoding::Gamma26)];
            powers.into_iter().find(|(power, _)| (gamma * power - 1.0).abs() < 0.01).map(|(_, encoding)| encoding)
        });
        let colours = match (gamut, chromaticities) {
            (Some(gamut), _) => Some(format!("the primaries of {}", gamut.name)),
            (None, Some(_)) => Some("primaries of no known space".to_owned()),
            (None, None) => None,
        };
        let parts = [colours, gamma.map(|gamma| format!("gamma {gamma:.3}"))];
        let name = parts.into_iter().flatten().collect::<Vec<_>>().join(", ");
        Self { by: DeclaredBy::GammaOrChromaticities, name, gamut, encoding }
    }
}

/// Whether a file looks like a picture for a display and not like a log signal. The grades are this project's own choice:
/// frames that were grabbed from log clips come without a profile or with the one that a program attaches to everything, which is
/// sRGB; a camera's JPEG is developed, unless its picture profile was a log curve.
pub(super) fn suspicion(format: PictureFormat, metadata: &Metadata, declared: Option<&Declared>) -> Option<Suspicion> {
    let exif = metadata.exif.as_ref();
    let camera = exif.filter(|exif| exif.has_exposure()).and_then(|exif| exif.camera_name());
    if let (PictureFormat::Jpeg, Some(camera)) = (format, camera) {
        let reason =
            format!("it is a JPEG with a camera's notes on its exposure ({camera}), and cameras develop their JPEGs");
        return Some(Suspicion { sureness: Sureness::Likely, reason });
    }
    let declared = declared?;
    let is = |gamut: &Gamut| declared.gamut.is_some_and(|known| known.id == gamut.id);
    let scene = declared.by == DeclaredBy::GammaOrChromaticities && format == PictureFormat::OpenExr;
    let sureness = match declared.by {
        _ if scene => return None,
        DeclaredBy::CodePoints if declared.encoding.is_some() => Sureness::Likely,
        DeclaredBy::Profile if is(&gamuts::DISPLAY_P3) && declared.encoding.is_some() => Sureness::Likely,
        _ if declared.encoding.is_some() => Sureness::Possible,
        _ => return None,
    };
    Some(Suspicion { sureness, reason: format!("it declares itself as {}", declared.name) })
}

//! What displays are called in descriptors: the names of standards as the trade writes them.

use crate::colour::canonical_name;
use crate::colour::displays::DisplayEncoding;
use crate::colour::gamuts::{BT709, BT2020, DISPLAY_P3, Gamut, P3_D65, P3_DCI, SRGB};
use crate::plan::DisplayTarget;

/// Pieces in a row that may make up a name: "IEC 61966-2-1" has four, "SMPTE ST 2084" three.
const PIECES_IN_NAME: usize = 5;

/// White of a PQ or HLG display where none is named, cd/m²: the nominal peak of ITU-R BT.2100 for HLG (bibliography: itu-bt2100), and for PQ
/// common practice in mastering, no source.
const PEAK: f64 = 1000.0;

/// Spellings of encodings, as [`canonical_name`] has them: without case, spaces, hyphens, dots and underscores. Numbers and titles are those of
/// the standards (bibliography: itu-bt1886, iec-srgb, smpte-st2084, itu-bt2100); the short forms are common practice, no source.
const ENCODINGS: [(DisplayEncoding, &[&str]); 7] = [
    (DisplayEncoding::Bt1886, &["bt1886", "rec1886", "iturbt1886", "itubt1886", "iturrec1886", "iturecbt1886"]),
    (DisplayEncoding::Gamma22, &["gamma22", "22gamma", "g22", "γ22"]),
    (DisplayEncoding::Gamma24, &["gamma24", "24gamma", "g24", "γ24"]),
    (DisplayEncoding::Gamma26, &["gamma26", "26gamma", "g26", "γ26"]),
    (DisplayEncoding::Srgb, &["srgb", "iec6196621"]),
    (
        DisplayEncoding::Pq,
        &["pq", "st2084", "smpte2084", "smptest2084", "perceptualquantizer", "perceptualquantiser", "hdr10"],
    ),
    (DisplayEncoding::Hlg, &["hlg", "hybridloggamma", "stdb67", "aribb67", "aribstdb67"]),
];

/// Spellings of gamuts (bibliography: itu-bt709, itu-bt2020, itu-bt2100, apple-display-p3), likewise.
const GAMUTS: [(&Gamut, &[&str]); 5] = [
    (&BT709, &["bt709", "rec709", "iturbt709", "itubt709", "itu709", "iturrec709", "iturecbt709", "hd709"]),
    (
        &BT2020,
        &[
            "bt2020",
            "rec2020",
            "iturbt2020",
            "itubt2020",
            "itu2020",
            "iturrec2020",
            "bt2100",
            "rec2100",
            "iturbt2100",
            "itubt2100",
            "iturrec2100",
        ],
    ),
    (&P3_D65, &["p3d65", "dcip3d65", "d65p3", "p3d65white"]),
    (&P3_DCI, &["p3dci", "dcip3"]),
    (&DISPLAY_P3, &["displayp3", "p3display", "applep3"]),
];

/// Displays that have one encoding in the trade, where a descriptor names the primaries alone: BT.709 and BT.2020 are looked at on
/// BT.1886 displays (bibliography: itu-bt1886), Display P3 has the curve of sRGB (bibliography: apple-display-p3), P3 with the white of cinemas a power of 2.6
/// (common practice, no source). P3 with D65 has none, and BT.2100 two.
const USUAL: [(&Gamut, DisplayEncoding); 4] = [
    (&BT709, DisplayEncoding::Bt1886),
    (&BT2020, DisplayEncoding::Bt1886),
    (&DISPLAY_P3, DisplayEncoding::Srgb),
    (&P3_DCI, DisplayEncoding::Gamma26),
];

/// A display that was named.
#[derive(Clone, Copy, Debug)]
pub(super) struct Named {
    pub target: DisplayTarget,
    /// Whether its encoding needs the luminance of white, and nothing names one.
    pub peak_is_taken: bool,
}

/// The primaries of displays that go by a name.
pub(super) fn gamut_called(name: &str) -> Option<&'static Gamut> {
    longest(&[name], &GAMUTS)
}

/// The display whose encoding stands in a text.
pub(super) fn by_encoding(text: &str) -> Option<Named> {
    let pieces = pieces(text);
    let encoding = longest(&pieces, &ENCODINGS)?;
    let usual = match encoding {
        DisplayEncoding::Pq | DisplayEncoding::Hlg => &BT2020,
        // Its primaries go by its name, and are those of BT.709. Any others that are named count before it.
        DisplayEncoding::Srgb => &SRGB,
        _ => &BT709,
    };
    Some(named(&pieces, encoding, longest(&pieces, &GAMUTS).unwrap_or(usual)))
}

/// The display whose primaries stand in a text, where they have one encoding.
pub(super) fn by_gamut(text: &str) -> Option<Named> {
    let pieces = pieces(text);
    // BT.2100 shares its primaries with BT.2020, and is PQ or HLG: which of both is not known.
    let is_open = pieces.iter().any(|piece| canonical_name(piece).ends_with("2100"));
    let gamut = longest(&pieces, &GAMUTS).filter(|_| !is_open)?;
    let (_, encoding) = USUAL.iter().find(|(usual, _)| usual.id == gamut.id)?;
    Some(named(&pieces, *encoding, gamut))
}

fn named(pieces: &[&str], encoding: DisplayEncoding, gamut: &'static Gamut) -> Named {
    let peak = peak(pieces);
    let usual = if encoding.needs_peak() { PEAK } else { 100.0 };
    let target = DisplayTarget { encoding, gamut, peak_nits: peak.unwrap_or(usual) };
    Named { target, peak_is_taken: encoding.needs_peak() && peak.is_none() }
}

/// The pieces of a text, hyphens and underscores between them too: "Rec.709_gamma-2.4".
fn pieces(text: &str) -> Vec<&str> {
    text.split(|letter: char| letter.is_whitespace() || "/,:;()[]\"-_+|".contains(letter))
        .map(|piece| piece.trim_matches('.'))
        .filter(|piece| !piece.is_empty())
        .collect()
}

/// What the longest run of pieces names.
fn longest<T: Copy>(pieces: &[&str], table: &[(T, &[&str])]) -> Option<T> {
    let find = |run: &[&str]| {
        let name = canonical_name(&run.concat());
        table.iter().find(|(_, names)| names.contains(&name.as_str())).map(|(named, _)| *named)
    };
    (1..=PIECES_IN_NAME).rev().find_map(|count| pieces.windows(count).find_map(find))
}

/// The luminance that a text names: a number before its unit, or with it in one word.
fn peak(pieces: &[&str]) -> Option<f64> {
    const UNITS: [&str; 5] = ["cdm²", "cdm2", "cd", "nits", "nit"];
    let number = |text: &str| text.parse::<f64>().ok().filter(|peak| peak.is_finite() && *peak > 0.0);
    let apart = pieces.windows(2).find_map(|pair| {
        let unit = canonical_name(pair[1]);
        number(pair[0]).filter(|_| UNITS.contains(&unit.as_str()))
    });
    let joined = || {
        pieces.iter().find_map(|piece| {
            let word = piece.to_lowercase();
            UNITS.iter().find_map(|unit| word.strip_suffix(unit)).and_then(number)
        })
    };
    apart.or_else(joined)
}

#[cfg(test)]
mod tests {
    use super::{by_encoding, by_gamut};

    fn told(text: &str) -> String {
        let found = by_encoding(text).or_else(|| by_gamut(text));
        found.map_or("-".to_owned(), |found| {
            let target = found.target;
            let peak = if found.peak_is_taken { "?".to_owned() } else { target.peak_nits.to_string() };
            format!("{} {} {peak}", target.encoding.id(), target.gamut.id)
        })
    }

    /// Spellings as files have them: common practice, no source. What each means is said by the standards that it names.
    #[test]
    fn displays_are_known_by_the_trade_s_spellings() {
        for (text, expected) in [
            ("BT.1886 / BT.709", "bt1886 bt709 100"),
            ("Rec.709", "bt1886 bt709 100"),
            ("REC 709", "bt1886 bt709 100"),
            ("rec709 display", "bt1886 bt709 100"),
            ("BT.709", "bt1886 bt709 100"),
            ("ITU-R BT.709-6", "bt1886 bt709 100"),
            ("ITU-R BT.1886", "bt1886 bt709 100"),
            ("Rec.709_gamma-2.4", "gamma24 bt709 100"),
            ("Gamma 2.4 / Rec.709", "gamma24 bt709 100"),
            ("BT.709, 2.2 gamma", "gamma22 bt709 100"),
            ("sRGB", "srgb srgb 100"),
            ("sRGB (IEC 61966-2-1)", "srgb srgb 100"),
            ("sRGB/BT.709", "srgb bt709 100"),
            ("sRGB curve, BT.2020", "srgb bt2020 100"),
            ("Rec.2020", "bt1886 bt2020 100"),
            ("Rec.2020/PQ", "pq bt2020 ?"),
            ("Rec.2100 PQ 1000 nits", "pq bt2020 1000"),
            ("P3-D65 ST 2084 (4000nits)", "pq p3-d65 4000"),
            ("SMPTE ST 2084, BT.2020, 600 cd/m²", "pq bt2020 600"),
            ("ST-2084", "pq bt2020 ?"),
            ("BT.2100 HLG", "hlg bt2020 ?"),
            ("Hybrid Log-Gamma 1000 cd/m2", "hlg bt2020 1000"),
            ("ARIB STD-B67", "hlg bt2020 ?"),
            ("DCI-P3", "gamma26 p3-dci 100"),
            ("P3 D65 gamma 2.6", "gamma26 p3-d65 100"),
            ("Display P3", "srgb display-p3 100"),
        ] {
            assert_eq!(told(text), expected, "{text}");
        }
    }

    #[test]
    fn what_names_no_display_is_none() {
        for text in
            ["", "Rec.2100", "P3-D65", "P3", "709", "S-Log3 / S-Gamut3.Cine", "ACES2065-1", "BT.601", "pqr", "video"]
        {
            assert_eq!(told(text), "-", "{text}");
        }
    }
}

//! RGB gamuts: the published primaries and white, and the matrices that follow from them.
//!
//! No rounded matrix is stored. [`Gamut::to_xyz`] derives it from the chromaticities in double precision
//! (SMPTE RP 177:1993, [smpte-rp177]) and adapts nothing: its white is the gamut's own.

use super::{Grade, Source, canonical_name};
use nalgebra::{Matrix3, Vector3};

/// CIE 1931 chromaticity of D65 as the standards round it [itu-bt709].
const D65: [f64; 2] = [0.3127, 0.3290];
/// CIE 1931 chromaticity of the ACES white [aces-tb-2014-004].
const ACES_WHITE: [f64; 2] = [0.32168, 0.33767];

/// Primaries and white of an RGB space, as CIE 1931 (x, y).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gamut {
    /// Canonical id, such as `s-gamut3.cine`.
    pub id: &'static str,
    /// Name as its publisher writes it.
    pub name: &'static str,
    /// Chromaticity of the red primary.
    pub red: [f64; 2],
    /// Chromaticity of the green primary.
    pub green: [f64; 2],
    /// Chromaticity of the blue primary.
    pub blue: [f64; 2],
    /// Chromaticity of R = G = B.
    pub white: [f64; 2],
    /// Where the chromaticities come from.
    pub source: Source,
    /// Oddities, in one or two sentences; empty if there are none.
    pub note: &'static str,
}

impl Gamut {
    /// The matrix from linear RGB to XYZ: R = G = B = 1 gives the gamut's own white with Y = 1. Not adapted.
    ///
    /// Primaries on one line make no gamut (none of [`GAMUTS`] does that): the elements are then NaN or, by rounding,
    /// huge. Source: SMPTE RP 177:1993.
    ///
    /// ```
    /// use lookwright::colour::gamuts::BT709;
    ///
    /// // The luminance weights of BT.709, to the four digits that the recommendation prints.
    /// let y = BT709.to_xyz().row(1).into_owned();
    /// assert!((y[0] - 0.2126).abs() < 5e-5 && (y[1] - 0.7152).abs() < 5e-5 && (y[2] - 0.0722).abs() < 5e-5);
    /// ```
    #[must_use]
    pub fn to_xyz(&self) -> Matrix3<f64> {
        let primaries =
            Matrix3::from_columns(&[xyz_sum_one(self.red), xyz_sum_one(self.green), xyz_sum_one(self.blue)]);
        let amounts = inverse(&primaries) * self.white_xyz();
        primaries * Matrix3::from_diagonal(&amounts)
    }

    /// The matrix from XYZ to linear RGB, the inverse of [`Self::to_xyz`].
    #[must_use]
    pub fn from_xyz(&self) -> Matrix3<f64> {
        inverse(&self.to_xyz())
    }

    /// XYZ of the white, with Y = 1.
    #[must_use]
    pub fn white_xyz(&self) -> Vector3<f64> {
        xy_to_xyz(self.white)
    }
}

/// XYZ of a chromaticity, with Y = 1. Not finite where y = 0, for such a stimulus has no luminance.
#[must_use]
pub fn xy_to_xyz([x, y]: [f64; 2]) -> Vector3<f64> {
    Vector3::new(x / y, 1.0, (1.0 - x - y) / y)
}

/// XYZ of a chromaticity, with X + Y + Z = 1.
fn xyz_sum_one([x, y]: [f64; 2]) -> Vector3<f64> {
    Vector3::new(x, y, 1.0 - x - y)
}

fn inverse(matrix: &Matrix3<f64>) -> Matrix3<f64> {
    matrix.try_inverse().unwrap_or_else(|| Matrix3::repeat(f64::NAN))
}

/// All gamuts, in the order of the documentation: cameras first, then interchange, then displays.
pub static GAMUTS: &[&Gamut] = &[
    &AWG3,
    &AWG4,
    &S_GAMUT,
    &S_GAMUT3,
    &S_GAMUT3_CINE,
    &VENICE_S_GAMUT3,
    &VENICE_S_GAMUT3_CINE,
    &V_GAMUT,
    &F_GAMUT,
    &F_GAMUT_C,
    &CINEMA_GAMUT,
    &N_GAMUT,
    &D_GAMUT,
    &RED_WIDE_GAMUT_RGB,
    &BLACKMAGIC_WIDE_GAMUT,
    &PROTUNE_NATIVE,
    &ACESCG,
    &ACES2065_1,
    &BT709,
    &SRGB,
    &BT2020,
    &P3_D65,
    &P3_DCI,
    &DISPLAY_P3,
];

/// The gamut of that id, compared without case, spaces, hyphens, dots and underscores.
#[must_use]
pub fn find(name: &str) -> Option<&'static Gamut> {
    let wanted = canonical_name(name);
    GAMUTS.iter().copied().find(|gamut| canonical_name(gamut.id) == wanted)
}

/// ARRI Wide Gamut 3 [arri-logc3].
pub static AWG3: Gamut = Gamut {
    id: "awg3",
    name: "ARRI Wide Gamut 3",
    red: [0.6840, 0.3130],
    green: [0.2210, 0.8480],
    blue: [0.0861, -0.1020],
    white: D65,
    source: Source {
        key: "arri-logc3",
        citation: "ARRI (2012), ALEXA - Log C Curve - Usage in VFX",
        grade: Grade::Maker,
    },
    note: "",
};

/// ARRI Wide Gamut 4 [arri-logc4].
pub static AWG4: Gamut = Gamut {
    id: "awg4",
    name: "ARRI Wide Gamut 4",
    red: [0.7347, 0.2653],
    green: [0.1424, 0.8576],
    blue: [0.0991, -0.0308],
    white: D65,
    source: Source {
        key: "arri-logc4",
        citation: "Cooper and Brendel, ARRI (2022), ARRI LogC4 Logarithmic Color Space Specification",
        grade: Grade::Maker,
    },
    note: "",
};

/// S-Gamut [sony-slog].
pub static S_GAMUT: Gamut = Gamut {
    id: "s-gamut",
    name: "S-Gamut",
    red: [0.730, 0.280],
    green: [0.140, 0.855],
    blue: [0.100, -0.050],
    white: D65,
    source: Source {
        key: "sony-slog",
        citation: "Gaggioni et al., Sony (no date), S-Log: A new LUT for digital production mastering and \
                   interchange applications",
        grade: Grade::Maker,
    },
    note: "",
};

/// S-Gamut3 [sony-slog3].
pub static S_GAMUT3: Gamut = Gamut {
    id: "s-gamut3",
    name: "S-Gamut3",
    red: [0.730, 0.280],
    green: [0.140, 0.855],
    blue: [0.100, -0.050],
    white: D65,
    source: Source {
        key: "sony-slog3",
        citation: "Sony Corporation (no date), Technical Summary for S-Gamut3.Cine/S-Log3 and S-Gamut3/S-Log3, V1.00",
        grade: Grade::Maker,
    },
    note: "The same primaries as S-Gamut.",
};

/// S-Gamut3.Cine [sony-slog3].
pub static S_GAMUT3_CINE: Gamut = Gamut {
    id: "s-gamut3.cine",
    name: "S-Gamut3.Cine",
    red: [0.766, 0.275],
    green: [0.225, 0.800],
    blue: [0.089, -0.087],
    white: D65,
    source: Source {
        key: "sony-slog3",
        citation: "Sony Corporation (no date), Technical Summary for S-Gamut3.Cine/S-Log3 and S-Gamut3/S-Log3, V1.00",
        grade: Grade::Maker,
    },
    note: "",
};

/// Venice S-Gamut3 [sony-venice-idt].
pub static VENICE_S_GAMUT3: Gamut = Gamut {
    id: "venice-s-gamut3",
    name: "Venice S-Gamut3",
    red: [0.740_464_264_304_292, 0.279_364_374_750_660],
    green: [0.089_241_145_423_286, 0.893_809_528_608_105],
    blue: [0.110_488_236_673_827, -0.052_579_333_080_476],
    white: D65,
    source: Source {
        key: "sony-venice-idt",
        citation: "derived by the colour-science library from Sony Electronics (2020), \
                   IDT.Sony.Venice_SLog3_SGamut3.ctl",
        grade: Grade::ThirdParty,
    },
    note: "Derived from the matrix of an ACES input transform, not published as primaries.",
};

/// Venice S-Gamut3.Cine [sony-venice-idt].
pub static VENICE_S_GAMUT3_CINE: Gamut = Gamut {
    id: "venice-s-gamut3.cine",
    name: "Venice S-Gamut3.Cine",
    red: [0.775_901_871_567_345, 0.274_502_392_854_799],
    green: [0.188_682_902_773_355, 0.828_684_937_020_288],
    blue: [0.101_337_382_499_301, -0.089_187_517_306_263],
    white: D65,
    source: Source {
        key: "sony-venice-idt",
        citation: "derived by the colour-science library from Sony Electronics (2020), \
                   IDT.Sony.Venice_SLog3_SGamut3Cine.ctl",
        grade: Grade::ThirdParty,
    },
    note: "Derived from the matrix of an ACES input transform, not published as primaries.",
};

/// V-Gamut [panasonic-vlog].
pub static V_GAMUT: Gamut = Gamut {
    id: "v-gamut",
    name: "V-Gamut",
    red: [0.730, 0.280],
    green: [0.165, 0.840],
    blue: [0.100, -0.030],
    white: D65,
    source: Source {
        key: "panasonic-vlog",
        citation: "Panasonic (2014), VARICAM V-Log/V-Gamut Reference Manual, Rev. 1.0",
        grade: Grade::Maker,
    },
    note: "",
};

/// F-Gamut [fujifilm-flog].
pub static F_GAMUT: Gamut = Gamut {
    id: "f-gamut",
    name: "F-Gamut",
    red: [0.708, 0.292],
    green: [0.170, 0.797],
    blue: [0.131, 0.046],
    white: D65,
    source: Source {
        key: "fujifilm-flog",
        citation: "Fujifilm (2022), F-Log Data Sheet, Ver. 1.1",
        grade: Grade::Maker,
    },
    note: "The same primaries as BT.2020.",
};

/// F-Gamut C [fujifilm-flog2c].
pub static F_GAMUT_C: Gamut = Gamut {
    id: "f-gamut-c",
    name: "F-Gamut C",
    red: [0.7347, 0.2653],
    green: [0.0263, 0.9737],
    blue: [0.1173, -0.0224],
    white: D65,
    source: Source {
        key: "fujifilm-flog2c",
        citation: "Fujifilm (2024), F-Log2 C Data Sheet, Ver. 1.0",
        grade: Grade::Maker,
    },
    note: "",
};

/// Cinema Gamut [canon-2014].
pub static CINEMA_GAMUT: Gamut = Gamut {
    id: "cinema-gamut",
    name: "Cinema Gamut",
    red: [0.740, 0.270],
    green: [0.170, 1.140],
    blue: [0.080, -0.100],
    white: D65,
    source: Source { key: "canon-2014", citation: "Canon (2014), EOS C500 Firmware Update", grade: Grade::Maker },
    note: "",
};

/// N-Gamut [nikon-nlog].
pub static N_GAMUT: Gamut = Gamut {
    id: "n-gamut",
    name: "N-Gamut",
    red: [0.708, 0.292],
    green: [0.170, 0.797],
    blue: [0.131, 0.046],
    white: D65,
    source: Source {
        key: "nikon-nlog",
        citation: "Nikon (2018), N-Log Specification Document, Version 1.0.0",
        grade: Grade::Maker,
    },
    note: "The same primaries as BT.2020.",
};

/// D-Gamut [dji-dlog].
pub static D_GAMUT: Gamut = Gamut {
    id: "d-gamut",
    name: "D-Gamut",
    red: [0.71, 0.31],
    green: [0.21, 0.88],
    blue: [0.09, -0.08],
    white: D65,
    source: Source {
        key: "dji-dlog",
        citation: "DJI (2017), White Paper on D-Log and D-Gamut of DJI Cinema Color System",
        grade: Grade::Maker,
    },
    note: "The matrix that the paper prints is 1.8e-4 off its own primaries; the primaries are used.",
};

/// REDWideGamutRGB [red-log3g10].
pub static RED_WIDE_GAMUT_RGB: Gamut = Gamut {
    id: "redwidegamutrgb",
    name: "REDWideGamutRGB",
    red: [0.780308, 0.304253],
    green: [0.121595, 1.493994],
    blue: [0.095612, -0.084589],
    white: D65,
    source: Source {
        key: "red-log3g10",
        citation: "RED Digital Cinema (2017), White Paper on REDWideGamutRGB and Log3G10",
        grade: Grade::Maker,
    },
    note: "",
};

/// Blackmagic Wide Gamut [bmd-gen5].
pub static BLACKMAGIC_WIDE_GAMUT: Gamut = Gamut {
    id: "blackmagic-wide-gamut",
    name: "Blackmagic Wide Gamut",
    red: [0.7177215, 0.3171181],
    green: [0.2280410, 0.8615690],
    blue: [0.1005841, -0.0820452],
    white: [0.3127170, 0.3290312],
    source: Source {
        key: "bmd-gen5",
        citation: "Blackmagic Design (2021), Blackmagic Generation 5 Color Science",
        grade: Grade::Maker,
    },
    note: "Its white is D65 with more digits than the standards print.",
};

/// Protune Native [gopro-protune].
pub static PROTUNE_NATIVE: Gamut = Gamut {
    id: "protune-native",
    name: "Protune Native",
    red: [0.698_480_461_493_841, 0.193_026_445_370_121],
    green: [0.329_555_378_387_345, 1.024_596_624_134_64],
    blue: [0.108_442_631_407_675, -0.034_678_569_754_016],
    white: D65,
    source: Source {
        key: "gopro-protune",
        citation: "derived by the colour-science library (2015) from GoPro, Duiker, H.-P. and Mansencal, T. (2016), \
                   gopro.py",
        grade: Grade::ThirdParty,
    },
    note: "Derived from a matrix in third-party code, not published by the maker.",
};

/// ACEScg [aces-s-2014-004].
pub static ACESCG: Gamut = Gamut {
    id: "acescg",
    name: "ACEScg",
    red: [0.713, 0.293],
    green: [0.165, 0.830],
    blue: [0.128, 0.044],
    white: ACES_WHITE,
    source: Source {
        key: "aces-s-2014-004",
        citation: "Academy of Motion Picture Arts and Sciences (2015), Specification S-2014-004, ACEScg",
        grade: Grade::Standard,
    },
    note: "",
};

/// ACES2065-1 [aces-tb-2014-004].
pub static ACES2065_1: Gamut = Gamut {
    id: "aces2065-1",
    name: "ACES2065-1",
    red: [0.7347, 0.2653],
    green: [0.0000, 1.0000],
    blue: [0.0001, -0.0770],
    white: ACES_WHITE,
    source: Source {
        key: "aces-tb-2014-004",
        citation: "Academy of Motion Picture Arts and Sciences (2014), Technical Bulletin TB-2014-004 (SMPTE ST \
                   2065-1)",
        grade: Grade::Standard,
    },
    note: "",
};

/// BT.709 [itu-bt709].
pub static BT709: Gamut = Gamut {
    id: "bt709",
    name: "BT.709",
    red: [0.640, 0.330],
    green: [0.300, 0.600],
    blue: [0.150, 0.060],
    white: D65,
    source: Source { key: "itu-bt709", citation: "ITU-R (2015), Recommendation BT.709-6", grade: Grade::Standard },
    note: "",
};

/// sRGB [iec-srgb].
pub static SRGB: Gamut = Gamut {
    id: "srgb",
    name: "sRGB",
    red: [0.640, 0.330],
    green: [0.300, 0.600],
    blue: [0.150, 0.060],
    white: D65,
    source: Source { key: "iec-srgb", citation: "IEC 61966-2-1:1999", grade: Grade::Standard },
    note: "The same primaries as BT.709.",
};

/// BT.2020 [itu-bt2020].
pub static BT2020: Gamut = Gamut {
    id: "bt2020",
    name: "BT.2020",
    red: [0.708, 0.292],
    green: [0.170, 0.797],
    blue: [0.131, 0.046],
    white: D65,
    source: Source { key: "itu-bt2020", citation: "ITU-R (2015), Recommendation BT.2020-2", grade: Grade::Standard },
    note: "",
};

/// P3-D65 [smpte-st2113].
pub static P3_D65: Gamut = Gamut {
    id: "p3-d65",
    name: "P3-D65",
    red: [0.680, 0.320],
    green: [0.265, 0.690],
    blue: [0.150, 0.060],
    white: D65,
    source: Source {
        key: "smpte-st2113",
        citation: "SMPTE ST 2113:2019, Colorimetry of P3 Color Spaces",
        grade: Grade::Standard,
    },
    note: "The primaries of P3-DCI with the white D65.",
};

/// P3-DCI [dci-2007].
pub static P3_DCI: Gamut = Gamut {
    id: "p3-dci",
    name: "P3-DCI",
    red: [0.680, 0.320],
    green: [0.265, 0.690],
    blue: [0.150, 0.060],
    white: [0.314, 0.351],
    source: Source {
        key: "dci-2007",
        citation: "Digital Cinema Initiatives (2007), Digital Cinema System Specification 1.1",
        grade: Grade::Standard,
    },
    note: "Its white is not D65: greys look greener on a display that is set to D65.",
};

/// Display P3 [apple-display-p3].
pub static DISPLAY_P3: Gamut = Gamut {
    id: "display-p3",
    name: "Display P3",
    red: [0.680, 0.320],
    green: [0.265, 0.690],
    blue: [0.150, 0.060],
    white: D65,
    source: Source {
        key: "apple-display-p3",
        citation: "Apple Inc. (2019), displayP3, developer documentation",
        grade: Grade::Maker,
    },
    note: "The same primaries and white as P3-D65.",
};

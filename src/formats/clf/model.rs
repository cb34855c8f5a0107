//! What a file of the Common LUT Format holds, as values.
//!
//! All numbers are on the floating-point scale, where 1 is the full code of an integer signal: a reader takes the bit depths of
//! the file into account, so that nothing else needs to know them.

use crate::lut::{Interpolation, Table3};
use crate::maths::Rgb;
use crate::plan::Cdl;

/// A list of steps, applied from first to last.
#[derive(Clone, Debug, PartialEq)]
pub struct ProcessList {
    /// Identifier, not empty.
    pub id: String,
    /// Short name; may be empty.
    pub name: String,
    /// Free text, one paragraph each.
    pub descriptions: Vec<String>,
    /// What goes in, in words; may be empty.
    pub input: String,
    /// What comes out, in words; may be empty.
    pub output: String,
    /// The steps.
    pub nodes: Vec<Node>,
}

/// One step.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    /// Identifier; may be empty.
    pub id: String,
    /// Short name; may be empty.
    pub name: String,
    /// Free text, one paragraph each.
    pub descriptions: Vec<String>,
    /// What the file says of the numbers that go in.
    pub in_depth: BitDepth,
    /// What the file says of the numbers that come out.
    pub out_depth: BitDepth,
    /// What is done.
    pub operation: Operation,
}

impl Node {
    /// A step in floating point, with a name and one paragraph of description.
    #[must_use]
    pub fn new(name: impl Into<String>, description: impl Into<String>, operation: Operation) -> Self {
        let (in_depth, out_depth) = (BitDepth::Float32, BitDepth::Float32);
        let (name, descriptions) = (name.into(), vec![description.into()]);
        Self { id: String::new(), name, descriptions, in_depth, out_depth, operation }
    }
}

/// Form of the numbers between two steps, as a file declares it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BitDepth {
    /// 8-bit integers.
    Int8,
    /// 10-bit integers.
    Int10,
    /// 12-bit integers.
    Int12,
    /// 16-bit integers.
    Int16,
    /// 16-bit floating point.
    Float16,
    /// 32-bit floating point.
    Float32,
}

impl BitDepth {
    /// All.
    pub const ALL: [Self; 6] = [Self::Int8, Self::Int10, Self::Int12, Self::Int16, Self::Float16, Self::Float32];

    /// Name in a file.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::Int8 => "8i",
            Self::Int10 => "10i",
            Self::Int12 => "12i",
            Self::Int16 => "16i",
            Self::Float16 => "16f",
            Self::Float32 => "32f",
        }
    }

    /// The number that stands for full code.
    #[must_use]
    pub fn full(self) -> f64 {
        match self {
            Self::Int8 => 255.0,
            Self::Int10 => 1023.0,
            Self::Int12 => 4095.0,
            Self::Int16 => 65535.0,
            Self::Float16 | Self::Float32 => 1.0,
        }
    }
}

/// What a step does.
#[derive(Clone, Debug, PartialEq)]
pub enum Operation {
    /// A table for each channel.
    Lut1(Lut1),
    /// A table over all three channels.
    Lut3(Lut3),
    /// A matrix, with or without an offset.
    Matrix(Matrix),
    /// A linear mapping of one range to another.
    Range(Range),
    /// A logarithm or its inverse.
    Log(Log),
    /// A power law, with or without a linear part.
    Exponent(Exponent),
    /// An ASC CDL.
    Cdl(CdlStyle, Cdl),
}

/// A table for each channel, linear between its rows.
#[derive(Clone, Debug, PartialEq)]
pub struct Lut1 {
    /// Whether row i holds the value for the half float whose bits are i: 65536 rows. Else the rows span 0..1.
    pub half_domain: bool,
    /// Whether the middle channel is moved so that its place between the other two stays ("dw3" hue adjustment).
    pub hue_adjust: bool,
    /// Whether the file has one column for all three channels.
    pub one_column: bool,
    /// Two rows or more.
    pub rows: Vec<Rgb>,
}

/// A table over all three channels, 0..1.
#[derive(Clone, Debug, PartialEq)]
pub struct Lut3 {
    /// The table, over 0..1.
    pub table: Table3,
    /// How it is to be read between its nodes.
    pub interpolation: Interpolation,
}

/// out = matrix · in + offset.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Matrix {
    /// Row by row.
    pub matrix: [[f64; 3]; 3],
    /// Added afterwards.
    pub offset: [f64; 3],
}

/// A linear mapping; where a pair is missing, that side is neither mapped nor clamped.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// Lower end in and out.
    pub low: Option<[f64; 2]>,
    /// Upper end in and out.
    pub high: Option<[f64; 2]>,
    /// Whether what lies outside is held to the ends.
    pub clamp: bool,
}

/// A logarithm or its inverse.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Log {
    /// Which form.
    pub style: LogStyle,
    /// For each channel; not used by the four plain logarithms.
    pub params: [LogParams; 3],
}

/// Forms of a logarithm.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LogStyle {
    /// log10 x.
    Log10,
    /// 10^x.
    AntiLog10,
    /// log2 x.
    Log2,
    /// 2^x.
    AntiLog2,
    /// logSideSlope · log_base(linSideSlope · x + linSideOffset) + logSideOffset.
    LinToLog,
    /// The inverse of that.
    LogToLin,
    /// The same with a straight line below a break.
    CameraLinToLog,
    /// The inverse of that.
    CameraLogToLin,
}

impl LogStyle {
    /// All.
    pub const ALL: [Self; 8] = [
        Self::Log10,
        Self::AntiLog10,
        Self::Log2,
        Self::AntiLog2,
        Self::LinToLog,
        Self::LogToLin,
        Self::CameraLinToLog,
        Self::CameraLogToLin,
    ];

    /// Name in a file.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::Log10 => "log10",
            Self::AntiLog10 => "antiLog10",
            Self::Log2 => "log2",
            Self::AntiLog2 => "antiLog2",
            Self::LinToLog => "linToLog",
            Self::LogToLin => "logToLin",
            Self::CameraLinToLog => "cameraLinToLog",
            Self::CameraLogToLin => "cameraLogToLin",
        }
    }
}

/// Parameters of a logarithm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LogParams {
    /// Base.
    pub base: f64,
    /// Factor of the logarithm.
    pub log_side_slope: f64,
    /// Added to it.
    pub log_side_offset: f64,
    /// Factor of the linear value before the logarithm.
    pub lin_side_slope: f64,
    /// Added to it.
    pub lin_side_offset: f64,
    /// Linear value of the break; the camera styles need it.
    pub lin_side_break: Option<f64>,
    /// Slope of the straight line; where it is missing, that of the curve at the break.
    pub linear_slope: Option<f64>,
}

/// A power law.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Exponent {
    /// Which form.
    pub style: ExponentStyle,
    /// For each channel.
    pub params: [ExponentParams; 3],
}

/// Forms of a power law.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ExponentStyle {
    /// max(0, x)^g.
    BasicFwd,
    /// max(0, x)^(1/g).
    BasicRev,
    /// The same with negative values mirrored.
    BasicMirrorFwd,
    /// The same with negative values mirrored.
    BasicMirrorRev,
    /// The same with negative values left as they are.
    BasicPassThruFwd,
    /// The same with negative values left as they are.
    BasicPassThruRev,
    /// Power law with a straight line near black, to linear.
    MonCurveFwd,
    /// The inverse of that.
    MonCurveRev,
    /// The same with negative values mirrored.
    MonCurveMirrorFwd,
    /// The same with negative values mirrored.
    MonCurveMirrorRev,
}

impl ExponentStyle {
    /// All.
    pub const ALL: [Self; 10] = [
        Self::BasicFwd,
        Self::BasicRev,
        Self::BasicMirrorFwd,
        Self::BasicMirrorRev,
        Self::BasicPassThruFwd,
        Self::BasicPassThruRev,
        Self::MonCurveFwd,
        Self::MonCurveRev,
        Self::MonCurveMirrorFwd,
        Self::MonCurveMirrorRev,
    ];

    /// Name in a file.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::BasicFwd => "basicFwd",
            Self::BasicRev => "basicRev",
            Self::BasicMirrorFwd => "basicMirrorFwd",
            Self::BasicMirrorRev => "basicMirrorRev",
            Self::BasicPassThruFwd => "basicPassThruFwd",
            Self::BasicPassThruRev => "basicPassThruRev",
            Self::MonCurveFwd => "monCurveFwd",
            Self::MonCurveRev => "monCurveRev",
            Self::MonCurveMirrorFwd => "monCurveMirrorFwd",
            Self::MonCurveMirrorRev => "monCurveMirrorRev",
        }
    }
}

/// Parameters of a power law.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExponentParams {
    /// g.
    pub exponent: f64,
    /// Offset of the forms with a straight line; else 0.
    pub offset: f64,
}

/// Forms of an ASC CDL.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CdlStyle {
    /// The formula of v1.2, held to 0..1.
    Fwd,
    /// Its inverse.
    Rev,
    /// Without clamping; negative values get no power.
    FwdNoClamp,
    /// The inverse of that.
    RevNoClamp,
}

impl CdlStyle {
    /// All.
    pub const ALL: [Self; 4] = [Self::Fwd, Self::Rev, Self::FwdNoClamp, Self::RevNoClamp];

    /// Name in a file.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::Fwd => "Fwd",
            Self::Rev => "Rev",
            Self::FwdNoClamp => "FwdNoClamp",
            Self::RevNoClamp => "RevNoClamp",
        }
    }
}

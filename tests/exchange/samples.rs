//! Process lists with every kind of step, made by the library's own types.

use lookwright::formats::clf::{
    CdlStyle, Exponent, ExponentParams, ExponentStyle, Log, LogParams, LogStyle, Lut1, Lut3, Matrix, Node, Operation,
    ProcessList, Range,
};
use lookwright::lut::{Domain, Interpolation, Table3};
use lookwright::plan::Cdl;

/// A list of one step.
pub fn list(name: &str, operation: Operation) -> ProcessList {
    ProcessList {
        id: format!("urn:example:{name}"),
        name: format!("Tidewater, {name}"),
        descriptions: vec!["Ferry & quay <dusk>".into(), "Second \"paragraph\", with\na line's end".into()],
        input: "input signal".into(),
        output: "output signal".into(),
        nodes: vec![Node::new(name, "the only step", operation)],
    }
}

/// A table without symmetry, so that no axis can be taken for another.
pub fn table3(size: usize) -> Table3 {
    let last = (size - 1) as f64;
    let nodes = (0..size * size * size).map(|node| {
        let [r, g, b] = [node % size, node / size % size, node / size / size].map(|index| index as f64 / last);
        [r * r * 0.7 + 0.2 * g + 0.013, g * 0.9 - 0.05 * b + 0.1 * r * b, (b * 0.8 + 0.3 * r * g).sqrt()]
    });
    Table3::new(size, Domain::UNIT, nodes.collect()).expect("size³ nodes")
}

/// The numbers as a file's 32-bit floats hold them.
pub fn short(operation: Operation) -> Operation {
    let short = |row: [f64; 3]| row.map(|value| f64::from(value as f32));
    match operation {
        Operation::Lut1(table) => Operation::Lut1(Lut1 { rows: table.rows.into_iter().map(short).collect(), ..table }),
        Operation::Lut3(Lut3 { mut table, interpolation }) => {
            for node in table.nodes_mut() {
                *node = short(*node);
            }
            Operation::Lut3(Lut3 { table, interpolation })
        }
        other => other,
    }
}

fn lut1(half_domain: bool, hue_adjust: bool, one_column: bool, rows: Vec<[f64; 3]>) -> Operation {
    Operation::Lut1(Lut1 { half_domain, hue_adjust, one_column, rows })
}

/// The value of half-float bits, by the format of IEEE 754-2008 (binary16), once more than in the library.
fn half(bits: u16) -> f64 {
    let (sign, exponent) = (if bits >> 15 == 1 { -1.0 } else { 1.0 }, i32::from((bits >> 10) & 31));
    let fraction = f64::from(bits & 1023) / 1024.0;
    match exponent {
        0 => sign * fraction * libm::ldexp(1.0, -14),
        31 => f64::from(if fraction == 0.0 { f32::INFINITY } else { f32::NAN }) * sign,
        _ => sign * libm::ldexp(1.0 + fraction, exponent - 15),
    }
}

/// x / (1 + |x|) over all half floats, moved apart for the three channels.
fn half_rows() -> Vec<[f64; 3]> {
    let row = |bits: u16| {
        let x = half(bits);
        let y = if x.is_finite() {
            x / (1.0 + x.abs())
        } else if x.is_nan() {
            0.25
        } else {
            x.signum()
        };
        [y, 0.5 * y + 0.1, y * y]
    };
    (0..=u16::MAX).map(row).collect()
}

const PLAIN_LOG: LogParams = LogParams {
    base: 10.0,
    log_side_slope: 0.256663,
    log_side_offset: 0.584555,
    lin_side_slope: 0.9892,
    lin_side_offset: 0.0108,
    lin_side_break: None,
    linear_slope: None,
};

fn logs() -> Vec<(String, Operation)> {
    let acescct = LogParams {
        base: 2.0,
        log_side_slope: 1.0 / 17.52,
        log_side_offset: 9.72 / 17.52,
        lin_side_slope: 1.0,
        lin_side_offset: 0.0,
        lin_side_break: Some(0.0078125),
        linear_slope: None,
    };
    let sloped = LogParams { lin_side_break: Some(0.0078), linear_slope: Some(6.025), ..PLAIN_LOG };
    let mut samples = Vec::new();
    for style in LogStyle::ALL {
        let params = match style {
            LogStyle::CameraLinToLog | LogStyle::CameraLogToLin => {
                let odd = |params| LogParams { base: 7.5, ..params };
                let apart = [odd(sloped), odd(acescct), LogParams { log_side_slope: 0.3, ..odd(sloped) }];
                samples.push((format!("log-{}-channels", style.id()), Operation::Log(Log { style, params: apart })));
                let slope = Operation::Log(Log { style, params: [sloped; 3] });
                samples.push((format!("log-{}-slope", style.id()), slope));
                [acescct; 3]
            }
            LogStyle::LinToLog | LogStyle::LogToLin => [PLAIN_LOG; 3],
            // Not used, and the defaults of the format when it is read again.
            _ => [LogParams::DEFAULT; 3],
        };
        samples.push((format!("log-{}", style.id()), Operation::Log(Log { style, params })));
    }
    samples
}

fn exponents() -> Vec<(String, Operation)> {
    let mut samples = Vec::new();
    for style in ExponentStyle::ALL {
        let curve = style.id().starts_with("monCurve");
        let params = |exponent, offset| ExponentParams { exponent, offset: if curve { offset } else { 0.0 } };
        let same = Exponent { style, params: [params(2.4, 0.055); 3] };
        let apart = Exponent { style, params: [params(2.2, 0.099), params(3.0, 0.16), params(1.5, 0.2)] };
        samples.push((format!("exponent-{}", style.id()), Operation::Exponent(same)));
        samples.push((format!("exponent-{}-channels", style.id()), Operation::Exponent(apart)));
    }
    samples
}

fn ranges() -> Vec<(String, Operation)> {
    let range = |low, high, clamp| Operation::Range(Range { low, high, clamp });
    vec![
        ("range-clamp".into(), range(Some([0.0, 64.0 / 1023.0]), Some([1.0, 940.0 / 1023.0]), true)),
        ("range-free".into(), range(Some([-0.1, 0.2]), Some([0.9, 1.7]), false)),
        ("range-low".into(), range(Some([0.05, 0.05]), None, true)),
        ("range-high".into(), range(None, Some([0.8, 0.8]), true)),
    ]
}

/// Every kind and style of step, with a name for its file.
pub fn all() -> Vec<(String, Operation)> {
    let rows = |count: usize| -> Vec<[f64; 3]> {
        let row = |index: usize| {
            let x = index as f64 / (count - 1) as f64;
            [x * x, x.sqrt() * 1.2 - 0.1, 0.9 - 0.8 * x]
        };
        (0..count).map(row).collect()
    };
    let matrix = [[1.4514, -0.2365, -0.2149], [-0.0766, 1.1762, -0.0997], [0.0083, -0.006, 0.9977]];
    let mut samples = vec![
        ("lut1".to_owned(), lut1(false, false, false, rows(33))),
        ("lut1-one-column".into(), lut1(false, false, true, rows(10).into_iter().map(|row| [row[1]; 3]).collect())),
        ("lut1-hue".into(), lut1(false, true, false, rows(17).into_iter().map(|row| [row[0]; 3]).collect())),
        ("lut1-half".into(), lut1(true, false, false, half_rows())),
        ("matrix".into(), Operation::Matrix(Matrix { matrix, offset: [0.0; 3] })),
        ("matrix-offset".into(), Operation::Matrix(Matrix { matrix, offset: [0.002, -0.005, 1e-7] })),
    ];
    for interpolation in Interpolation::ALL {
        let name = format!("lut3-{}", interpolation.id());
        samples.push((name, Operation::Lut3(Lut3 { table: table3(9), interpolation })));
    }
    let cdl = Cdl { slope: [1.1, 1.0, 0.9], offset: [-0.03, -0.02, 0.01], power: [1.25, 1.0, 0.8], saturation: 1.3 };
    samples.extend(CdlStyle::ALL.map(|style| (format!("cdl-{}", style.id()), Operation::Cdl(style, cdl))));
    samples.extend(ranges());
    samples.extend(logs());
    samples.extend(exponents());
    samples
}

/// Inputs: a lattice that reaches beyond 0..1, very small and very large values, and the breaks of the curves.
pub fn inputs() -> Vec<[f64; 3]> {
    let steps = [-0.5, -0.01, 0.0, 1e-9, 0.0078, 0.0078125, 0.18, 0.5, 0.77, 1.0, 1.5, 16.0];
    let mut inputs = Vec::new();
    for red in steps {
        for green in steps {
            for blue in steps {
                inputs.push([red, green, blue]);
            }
        }
    }
    for step in 0..200 {
        let x = f64::from(step) / 150.0 - 0.1;
        inputs.push([x, x, x]);
        inputs.push([x, 0.37 + 0.3 * x, 1.0 - x]);
    }
    inputs
}

//! From a process list to the bytes of a file.

use super::model::{
    Exponent, ExponentParams, ExponentStyle, Log, LogParams, LogStyle, Lut1, Lut3, Matrix, Node, Operation,
    ProcessList, Range,
};
use super::{NAMESPACE, VERSION};
use crate::plan::Cdl;
use quick_xml::Writer;
use quick_xml::escape::escape;
use quick_xml::events::{BytesDecl, BytesEnd, BytesStart, BytesText, Event};
use std::borrow::Cow;
use std::io::Write;

/// Spaces of one level.
const INDENT: usize = 4;

/// Bytes of a number in a table, more often than not: `0.12345678` and what stands after it.
const NUMBER_BYTES: usize = 11;

/// The whole file: UTF-8, line feeds, the same bytes for the same list.
///
/// All steps are written in floating point (`32f`), whatever depths they were read with, for their numbers are on that scale. Parameters
/// are the shortest decimals that give the same 64-bit float, the numbers of tables those that give the same 32-bit float; none has an
/// exponent. What no XML text can hold (most control characters) becomes U+FFFD; line ends in names become spaces.
///
/// The list needs an identifier and a step, or no reader takes it.
#[must_use]
pub fn write(list: &ProcessList) -> Vec<u8> {
    let mut out = Out { xml: Writer::new_with_indent(Vec::with_capacity(bytes_expected(list)), b' ', INDENT) };
    out.event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)));
    let mut attributes = vec![("xmlns", NAMESPACE), ("compCLFversion", VERSION), ("id", &list.id)];
    if !list.name.is_empty() {
        attributes.push(("name", &list.name));
    }
    out.open("ProcessList", &attributes);
    for description in &list.descriptions {
        out.text("Description", description);
    }
    for (name, text) in [("InputDescriptor", &list.input), ("OutputDescriptor", &list.output)] {
        if !text.is_empty() {
            out.text(name, text);
        }
    }
    for node in &list.nodes {
        out.node(node);
    }
    out.close("ProcessList");
    let mut bytes = out.xml.into_inner();
    bytes.push(b'\n');
    bytes
}

fn bytes_expected(list: &ProcessList) -> usize {
    let numbers = |node: &Node| match &node.operation {
        Operation::Lut1(table) => 3 * table.rows.len(),
        Operation::Lut3(table) => 3 * table.table.nodes().len(),
        _ => 0,
    };
    2048 + NUMBER_BYTES * list.nodes.iter().map(numbers).sum::<usize>()
}

/// Attributes that are worked out.
type Attributes = Vec<(&'static str, String)>;

/// The file so far.
struct Out {
    xml: Writer<Vec<u8>>,
}

impl Out {
    fn event(&mut self, event: Event<'_>) {
        // Writing to a vector does not fail.
        let _ = self.xml.write_event(event);
    }

    fn start<'a>(name: &'a str, attributes: &[(&str, &str)]) -> BytesStart<'a> {
        let mut start = BytesStart::new(name);
        for (name, value) in attributes {
            let value: String = legal(value).chars().map(|c| if c.is_whitespace() { ' ' } else { c }).collect();
            start.push_attribute((*name, value.as_str()));
        }
        start
    }

    fn open(&mut self, name: &str, attributes: &[(&str, &str)]) {
        self.event(Event::Start(Self::start(name, attributes)));
    }

    fn empty(&mut self, name: &str, attributes: &Attributes) {
        let attributes: Vec<_> = attributes.iter().map(|(name, value)| (*name, value.as_str())).collect();
        self.event(Event::Empty(Self::start(name, &attributes)));
    }

    fn close(&mut self, name: &str) {
        self.event(Event::End(BytesEnd::new(name)));
    }

    fn text(&mut self, name: &str, text: &str) {
        self.open(name, &[]);
        let text = legal(text);
        self.event(Event::Text(BytesText::from_escaped(escape(text.as_ref()))));
        self.close(name);
    }

    fn node(&mut self, node: &Node) {
        let name = element(&node.operation);
        let mut attributes = Vec::new();
        for (name, value) in [("id", &node.id), ("name", &node.name)] {
            if !value.is_empty() {
                attributes.push((name, value.as_str()));
            }
        }
        attributes.extend([("inBitDepth", "32f"), ("outBitDepth", "32f")]);
        attributes.extend(own_attributes(&node.operation));
        self.open(name, &attributes);
        for description in &node.descriptions {
            self.text("Description", description);
        }
        match &node.operation {
            Operation::Lut1(table) => self.lut1(table),
            Operation::Lut3(table) => self.lut3(table),
            Operation::Matrix(matrix) => self.matrix(matrix),
            Operation::Range(range) => self.range(range),
            Operation::Log(log) => self.log(log),
            Operation::Exponent(exponent) => self.exponent(exponent),
            Operation::Cdl(_, cdl) => self.cdl(cdl),
        }
        self.close(name);
    }

    /// An array; `fill` adds its lines, each with a line feed.
    fn array(&mut self, dimensions: &str, fill: impl FnOnce(&mut Vec<u8>)) {
        self.open("Array", &[("dim", dimensions)]);
        let bytes = self.xml.get_mut();
        bytes.push(b'\n');
        fill(bytes);
        bytes.extend([b' '; 2 * INDENT]);
        // The text is there already; this tells the writer not to break the line.
        self.event(Event::Text(BytesText::from_escaped("")));
        self.close("Array");
    }

    fn lut1(&mut self, table: &Lut1) {
        let columns = if table.one_column { 1 } else { 3 };
        self.array(&format!("{} {columns}", table.rows.len()), |bytes| {
            for row in &table.rows {
                push_row(&row[..columns], bytes);
            }
        });
    }

    /// Blue fastest, the other way round than our tables.
    fn lut3(&mut self, table: &Lut3) {
        let size = table.table.size();
        self.array(&format!("{size} {size} {size} 3"), |bytes| {
            for red in 0..size {
                for green in 0..size {
                    for blue in 0..size {
                        push_row(&table.table.node(red, green, blue), bytes);
                    }
                }
            }
        });
    }

    fn matrix(&mut self, matrix: &Matrix) {
        let offset = matrix.offset != [0.0; 3];
        self.array(if offset { "3 4" } else { "3 3" }, |bytes| {
            for (row, added) in matrix.matrix.iter().zip(matrix.offset) {
                let [a, b, c] = row.map(number);
                let added = if offset { format!(" {}", number(added)) } else { String::new() };
                let _ = writeln!(bytes, "{a} {b} {c}{added}");
            }
        });
    }

    fn range(&mut self, range: &Range) {
        let (low, high) = (range.low, range.high);
        for (name, value) in [
            ("minInValue", low.map(|pair| pair[0])),
            ("maxInValue", high.map(|pair| pair[0])),
            ("minOutValue", low.map(|pair| pair[1])),
            ("maxOutValue", high.map(|pair| pair[1])),
        ] {
            if let Some(value) = value {
                self.text(name, &number(value));
            }
        }
    }

    fn log(&mut self, log: &Log) {
        if takes_params(log.style) {
            self.channels("LogParams", &log.params, log_attributes);
        }
    }

    fn exponent(&mut self, exponent: &Exponent) {
        self.channels("ExponentParams", &exponent.params, |params| exponent_attributes(params, exponent.style));
    }

    /// One element where all channels are alike, else one for each.
    fn channels<T: PartialEq>(&mut self, name: &str, params: &[T; 3], attributes: impl Fn(&T) -> Attributes) {
        if params[0] == params[1] && params[1] == params[2] {
            self.empty(name, &attributes(&params[0]));
            return;
        }
        for (channel, params) in ["R", "G", "B"].into_iter().zip(params) {
            let mut attributes = attributes(params);
            attributes.push(("channel", channel.to_owned()));
            self.empty(name, &attributes);
        }
    }

    fn cdl(&mut self, cdl: &Cdl) {
        self.open("SOPNode", &[]);
        for (name, row) in [("Slope", cdl.slope), ("Offset", cdl.offset), ("Power", cdl.power)] {
            self.text(name, &row.map(number).join(" "));
        }
        self.close("SOPNode");
        self.open("SatNode", &[]);
        self.text("Saturation", &number(cdl.saturation));
        self.close("SatNode");
    }
}

/// The element of a step.
fn element(operation: &Operation) -> &'static str {
    match operation {
        Operation::Lut1(_) => "LUT1D",
        Operation::Lut3(_) => "LUT3D",
        Operation::Matrix(_) => "Matrix",
        Operation::Range(_) => "Range",
        Operation::Log(_) => "Log",
        Operation::Exponent(_) => "Exponent",
        Operation::Cdl(..) => "ASC_CDL",
    }
}

/// The attributes that only this kind of step has.
fn own_attributes(operation: &Operation) -> Vec<(&'static str, &'static str)> {
    match operation {
        Operation::Lut1(table) => {
            let mut attributes = vec![("interpolation", "linear")];
            if table.half_domain {
                attributes.push(("halfDomain", "true"));
            }
            if table.hue_adjust {
                attributes.push(("hueAdjust", "dw3"));
            }
            attributes
        }
        Operation::Lut3(table) => vec![("interpolation", table.interpolation.id())],
        Operation::Matrix(_) => Vec::new(),
        Operation::Range(range) => vec![("style", if range.clamp { "Clamp" } else { "noClamp" })],
        Operation::Log(log) => vec![("style", log.style.id())],
        Operation::Exponent(exponent) => vec![("style", exponent.style.id())],
        Operation::Cdl(style, _) => vec![("style", style.id())],
    }
}

/// Whether a logarithm has parameters.
pub(super) fn takes_params(style: LogStyle) -> bool {
    !matches!(style, LogStyle::Log10 | LogStyle::AntiLog10 | LogStyle::Log2 | LogStyle::AntiLog2)
}

/// Whether a power law has an offset.
pub(super) fn takes_offset(style: ExponentStyle) -> bool {
    matches!(
        style,
        ExponentStyle::MonCurveFwd
            | ExponentStyle::MonCurveRev
            | ExponentStyle::MonCurveMirrorFwd
            | ExponentStyle::MonCurveMirrorRev
    )
}

fn log_attributes(params: &LogParams) -> Attributes {
    let mut attributes = vec![
        ("base", number(params.base)),
        ("logSideSlope", number(params.log_side_slope)),
        ("logSideOffset", number(params.log_side_offset)),
        ("linSideSlope", number(params.lin_side_slope)),
        ("linSideOffset", number(params.lin_side_offset)),
    ];
    attributes.extend(params.lin_side_break.map(|value| ("linSideBreak", number(value))));
    attributes.extend(params.linear_slope.map(|value| ("linearSlope", number(value))));
    attributes
}

fn exponent_attributes(params: &ExponentParams, style: ExponentStyle) -> Attributes {
    let mut attributes = vec![("exponent", number(params.exponent))];
    if takes_offset(style) {
        attributes.push(("offset", number(params.offset)));
    }
    attributes
}

/// The shortest decimal of a 64-bit float, without exponent; zero has no sign.
fn number(value: f64) -> String {
    special(value).map_or_else(|| format!("{}", value + 0.0), str::to_owned)
}

/// What is not a finite number, as XML Schema spells it. Only rows of a half domain may hold it.
fn special(value: f64) -> Option<&'static str> {
    if value.is_finite() {
        None
    } else if value.is_nan() {
        Some("NaN")
    } else {
        Some(if value > 0.0 { "INF" } else { "-INF" })
    }
}

/// The sizes that the quick printer writes without an exponent.
const PLAIN: std::ops::Range<f32> = 1e-4..1e9;

/// One line of a table: the shortest decimals of the nearest 32-bit floats.
fn push_row(row: &[f64], bytes: &mut Vec<u8>) {
    let mut printer = zmij::Buffer::new();
    for (column, &value) in row.iter().enumerate() {
        if column > 0 {
            bytes.push(b' ');
        }
        let short = value as f32;
        if PLAIN.contains(&short.abs()) {
            bytes.extend_from_slice(printer.format_finite(short).as_bytes());
        } else if let Some(word) = special(value) {
            bytes.extend_from_slice(word.as_bytes());
        } else if short.is_finite() {
            let _ = write!(bytes, "{}", Plain(short + 0.0));
        } else {
            // Beyond what 32 bits hold, where no reader is asked to follow; the number is still the right one.
            let _ = write!(bytes, "{value}");
        }
    }
    bytes.push(b'\n');
}

/// A float as `Display` prints it, which never takes an exponent, but with a point in any case.
struct Plain(f32);

impl std::fmt::Display for Plain {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}{}", self.0, if self.0.fract() == 0.0 { ".0" } else { "" })
    }
}

/// The text without characters that XML 1.0 has no way to hold. A carriage return would come back as a line feed.
fn legal(text: &str) -> Cow<'_, str> {
    let illegal =
        |c: char| matches!(c, '\0'..='\x08' | '\x0B' | '\x0C' | '\r' | '\x0E'..='\x1F' | '\u{FFFE}' | '\u{FFFF}');
    if !text.contains(illegal) {
        return Cow::Borrowed(text);
    }
    let text = text.replace("\r\n", "\n").replace('\r', "\n");
    Cow::Owned(text.replace(illegal, "\u{FFFD}"))
}

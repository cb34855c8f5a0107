//! The steps, each from its element.

use super::places::{Element, Read, Reader, shown};
use super::values::{Array, Placed, attribute, child, children, texts};
use crate::diagnostics::codes;
use crate::formats::clf::evaluate::half_value;
use crate::formats::clf::model::{
    BitDepth, CdlStyle, Exponent, ExponentParams, ExponentStyle, Log, LogParams, LogStyle, Lut1, Lut3, Matrix, Node,
    Operation, Range,
};
use crate::formats::clf::write::{takes_offset, takes_params};
use crate::formats::cube::{SIZE_1D, SIZE_3D};
use crate::lut::{Domain, Interpolation, Table3};
use crate::plan::Cdl;

/// The elements of steps.
pub(super) const NAMES: [&str; 7] = ["LUT1D", "LUT3D", "Matrix", "Range", "Log", "Exponent", "ASC_CDL"];

/// Attributes that every step may have.
const COMMON: [&str; 4] = ["id", "name", "inBitDepth", "outBitDepth"];

/// Rows of a table over all half floats.
const HALF_ROWS: usize = 65536;

/// The depths before and after a step.
type Depths = (BitDepth, BitDepth);

impl Reader<'_> {
    pub(super) fn depths(&mut self, step: Element<'_, '_>) -> Read<Depths> {
        let depths = BitDepth::ALL.map(|depth| (depth.id(), depth));
        let before = self.choice(step, "inBitDepth", &depths, None);
        let after = self.choice(step, "outBitDepth", &depths, None);
        Ok((before?, after?))
    }

    /// A step. Where the depths are wrong, the rest is looked at all the same.
    pub(super) fn step(&mut self, step: Element<'_, '_>, depths: Read<Depths>) -> Read<Node> {
        let faults = self.faults.len();
        let scale = depths.unwrap_or((BitDepth::Float32, BitDepth::Float32));
        let operation = match step.tag_name().name() {
            "LUT1D" => self.lut1(step, scale).map(Operation::Lut1),
            "LUT3D" => self.lut3(step, scale).map(Operation::Lut3),
            "Matrix" => self.matrix(step, scale).map(Operation::Matrix),
            "Range" => self.range(step, scale).map(Operation::Range),
            "Log" => self.log(step).map(Operation::Log),
            "Exponent" => self.exponent(step).map(Operation::Exponent),
            _ => self.cdl(step).map(|(style, cdl)| Operation::Cdl(style, cdl)),
        };
        let text = |name| attribute(step, name).map(|attribute| attribute.value().to_owned()).unwrap_or_default();
        let (in_depth, out_depth) = depths?;
        let node = Node {
            id: text("id"),
            name: text("name"),
            descriptions: texts(step, "Description"),
            in_depth,
            out_depth,
            operation: operation?,
        };
        if self.faults.len() > faults { Err(super::Reported) } else { Ok(node) }
    }

    /// Refuses what this kind of step does not have.
    fn known(&mut self, step: Element<'_, '_>, attributes: &[&str], once: &[&str], often: &[&str]) {
        self.known_attributes(step, &[&COMMON[..], attributes].concat());
        self.known_children(step, once, &[&["Description"], often].concat());
    }

    fn lut1(&mut self, step: Element<'_, '_>, (_, depth): Depths) -> Read<Lut1> {
        self.known(step, &["interpolation", "halfDomain", "rawHalfs", "hueAdjust"], &["Array"], &[]);
        let interpolation = self.choice(step, "interpolation", &[("linear", ())], Some(()));
        let half_domain = self.flag(step, "halfDomain")?;
        let raw_halfs = self.flag(step, "rawHalfs")?;
        let hue_adjust = self.choice(step, "hueAdjust", &[("dw3", true), ("none", false)], Some(false))?;
        let expected = if half_domain { "65536 rows of 1 or 3 columns" } else { "2 to 65536 rows of 1 or 3 columns" };
        let fits = |dimensions: &[usize]| {
            let rows = |rows| if half_domain { rows == HALF_ROWS } else { SIZE_1D.contains(&rows) };
            matches!(dimensions, [count, 1 | 3] if rows(*count))
        };
        // Rows of infinities and of what is not a number may hold the like.
        let special = |index: usize, dimensions: &[usize]| half_domain && (index / dimensions[1]) & 0x7C00 == 0x7C00;
        let Array { dimensions, mut values } = self.array(step, expected, fits, special)?;
        if raw_halfs {
            self.raw_halfs(step, &mut values, |index| special(index, &dimensions))?;
        }
        interpolation?;
        let one_column = dimensions[1] == 1;
        let scaled = |value: f64| value / depth.full();
        let rows = if one_column {
            values.iter().map(|&value| [scaled(value); 3]).collect()
        } else {
            values.as_chunks().0.iter().map(|row: &[f64; 3]| row.map(scaled)).collect()
        };
        Ok(Lut1 { half_domain, hue_adjust, one_column, rows })
    }

    /// Turns whole numbers into the half floats with these bits.
    fn raw_halfs(
        &mut self,
        step: Element<'_, '_>,
        values: &mut [f64],
        may_be_special: impl Fn(usize) -> bool,
    ) -> Read<()> {
        for (index, value) in values.iter_mut().enumerate() {
            let whole = value.fract() == 0.0 && (0.0..=65535.0).contains(value);
            let half = if whole { half_value(*value as u16) } else { f64::NAN };
            if !whole || !(half.is_finite() || may_be_special(index)) {
                let label = format!("expected the bits of finite half floats, found {value} as number {}", index + 1);
                let help = "take out rawHalfs if the numbers are meant as they are written";
                let place = child(step, "Array").map_or_else(|| self.tag(step), |array| self.tag(array));
                return Err(self.error(&codes::CLF_VALUE, "not the bits of a half float", place, label, help));
            }
            *value = half;
        }
        Ok(())
    }

    fn lut3(&mut self, step: Element<'_, '_>, (_, depth): Depths) -> Read<Lut3> {
        self.known(step, &["interpolation"], &["Array"], &[]);
        let interpolations = Interpolation::ALL.map(|interpolation| (interpolation.id(), interpolation));
        let interpolation = self.choice(step, "interpolation", &interpolations, Some(Interpolation::Trilinear));
        let fits = |dimensions: &[usize]| matches!(dimensions, [r, g, b, 3] if r == g && g == b && SIZE_3D.contains(r));
        let array = self.array(step, "a size from 2 to 256 three times, and 3", fits, |_, _| false)?;
        let size = array.dimensions[0];
        let nodes = (0..size * size * size).map(|node| {
            // Red is fastest here, blue in the file.
            let (red, green, blue) = (node % size, node / size % size, node / size / size);
            let at = 3 * (blue + size * (green + size * red));
            [0, 1, 2].map(|channel| array.values[at + channel] / depth.full())
        });
        let table = Table3::new(size, Domain::UNIT, nodes.collect()).ok_or(super::Reported)?;
        Ok(Lut3 { table, interpolation: interpolation? })
    }

    fn matrix(&mut self, step: Element<'_, '_>, (before, after): Depths) -> Read<Matrix> {
        self.known(step, &[], &["Array"], &[]);
        // Version 2 had the number of channels as a third dimension, which readers should allow. [clf, Matrix]
        let fits = |dimensions: &[usize]| matches!(dimensions, [3, 3 | 4] | [3, 3 | 4, 3]);
        let Array { dimensions, values } = self.array(step, "3 3 or 3 4", fits, |_, _| false)?;
        let columns = dimensions[1];
        let factor = before.full() / after.full();
        let matrix = [0, 1, 2].map(|row| [0, 1, 2].map(|column| values[row * columns + column] * factor));
        let offset = [0, 1, 2].map(|row| if columns == 4 { values[row * 4 + 3] / after.full() } else { 0.0 });
        Ok(Matrix { matrix, offset })
    }

    fn range(&mut self, step: Element<'_, '_>, depths: Depths) -> Read<Range> {
        self.known(step, &["style"], &["minInValue", "maxInValue", "minOutValue", "maxOutValue"], &[]);
        let clamp = self.choice(step, "style", &[("Clamp", true), ("noClamp", false)], Some(true));
        let low = self.pair(step, ["minInValue", "minOutValue"]);
        let high = self.pair(step, ["maxInValue", "maxOutValue"]);
        let (clamp, low, high) = (clamp?, low?, high?);
        match (&low, &high) {
            (None, None) => {
                return Err(self.missing(step, "a pair of values, at the low or the high end,"));
            }
            (Some(low), Some(high)) => self.check_range(low, high)?,
            (Some(pair), None) | (None, Some(pair)) => self.check_one_side(pair, clamp, depths)?,
        }
        let scaled = |pair: [Placed; 2]| [pair[0].value / depths.0.full(), pair[1].value / depths.1.full()];
        Ok(Range { low: low.map(scaled), high: high.map(scaled), clamp })
    }

    /// Two values that only make sense together.
    fn pair(&mut self, step: Element<'_, '_>, names: [&str; 2]) -> Read<Option<[Placed; 2]>> {
        let [before, after] = names.map(|name| child(step, name).map(|element| self.numbers::<1>(element)));
        match (before, after) {
            (None, None) => Ok(None),
            (Some(before), Some(after)) => {
                let ([before], [after]) = (before?, after?);
                Ok(Some([before, after]))
            }
            (Some(_), None) => Err(self.missing(step, names[1])),
            (None, Some(_)) => Err(self.missing(step, names[0])),
        }
    }

    fn check_range(&mut self, low: &[Placed; 2], high: &[Placed; 2]) -> Read<()> {
        if high[0].value <= low[0].value {
            return Err(self.out_of_range("maxInValue", &high[0], &format!("more than minInValue, {}", low[0].value)));
        }
        if high[1].value < low[1].value {
            return Err(self.out_of_range("maxOutValue", &high[1], &format!("at least minOutValue, {}", low[1].value)));
        }
        Ok(())
    }

    /// One pair clamps, and does nothing else: both values are the same one, but for rounding to the depths. [clf, Range]
    fn check_one_side(&mut self, pair: &[Placed; 2], clamp: bool, (before, after): Depths) -> Read<()> {
        /// Far more than a printed number is rounded by, and nothing to the eye.
        const PAIR_TOLERANCE: f64 = 1e-6;
        if !clamp {
            let label = "expected both pairs for noClamp, found one";
            let help = "take out the style to clamp at one end, or add the other pair to scale";
            return Err(self.error(&codes::CLF_VALUE, "nothing to clamp or scale", pair[0].place.clone(), label, help));
        }
        let expected = pair[0].value * (after.full() / before.full());
        let rounding = if after.full() > 1.0 { 0.5 } else { PAIR_TOLERANCE * expected.abs().max(1.0) };
        if (pair[1].value - expected).abs() > rounding {
            let label = format!("{expected} (the value in, at the depth out)");
            return Err(self.out_of_range("value of a one-sided Range", &pair[1], &label));
        }
        Ok(())
    }

    /// Parameters for all channels in one element, or in three with their channels.
    fn channels<T: Copy>(
        &mut self,
        step: Element<'_, '_>,
        name: &str,
        read: impl Fn(&mut Self, Element<'_, '_>) -> Read<T>,
    ) -> Read<[T; 3]> {
        let choices = [("R", Some(0)), ("G", Some(1)), ("B", Some(2))];
        let mut found: [Option<T>; 3] = [None; 3];
        let mut wrong = false;
        let elements: Vec<_> = children(step, name).collect();
        for &element in &elements {
            let channel = self.choice(element, "channel", &choices, Some(None));
            let params = read(self, element);
            let (Ok(channel), Ok(params)) = (channel, params) else {
                wrong = true;
                continue;
            };
            let slots = channel.map_or(0..3, |channel| channel..channel + 1);
            if found[slots.clone()].iter().any(Option::is_some) {
                let label = format!("expected one {name} for each channel, found another");
                wrong = true;
                self.error(
                    &codes::CLF_TWICE,
                    "parameters given twice",
                    self.tag(element),
                    label,
                    "keep the one that is meant",
                );
            } else {
                found[slots].fill(Some(params));
            }
        }
        match found {
            [Some(red), Some(green), Some(blue)] if !wrong => Ok([red, green, blue]),
            _ if wrong => Err(super::Reported),
            _ if elements.is_empty() => Err(self.missing(step, name)),
            _ => {
                let help = "give all three channels, or none: what happens to the others is not said by the format";
                let label = format!("expected {name} for R, G and B, found some of them");
                Err(self.error(&codes::CLF_MISSING, "a channel is missing", self.tag(step), label, help))
            }
        }
    }

    fn log(&mut self, step: Element<'_, '_>) -> Read<Log> {
        self.known(step, &["style"], &[], &["LogParams"]);
        let style = self.choice(step, "style", &LogStyle::ALL.map(|style| (style.id(), style)), None)?;
        if !takes_params(style) {
            if let Some(element) = child(step, "LogParams") {
                self.warn(
                    "parameters that the style doesn't use",
                    self.tag(element),
                    "expected none for a plain logarithm",
                );
            }
            return Ok(Log { style, params: [LogParams::DEFAULT; 3] });
        }
        let params = self.channels(step, "LogParams", |reader, element| reader.log_params(element, style))?;
        if params.iter().any(|other| other.base != params[0].base) {
            let label = "expected one base for all channels, found several";
            let help = "the format asks for the same base; logSideSlope can do what another base would";
            return Err(self.error(&codes::CLF_VALUE, "several bases", self.tag(step), label, help));
        }
        Ok(Log { style, params })
    }

    fn log_params(&mut self, element: Element<'_, '_>, style: LogStyle) -> Read<LogParams> {
        const NAMES: [&str; 8] = [
            "base",
            "logSideSlope",
            "logSideOffset",
            "linSideSlope",
            "linSideOffset",
            "linSideBreak",
            "linearSlope",
            "channel",
        ];
        self.known_attributes(element, &NAMES);
        let camera = matches!(style, LogStyle::CameraLinToLog | LogStyle::CameraLogToLin);
        let inverse = matches!(style, LogStyle::LogToLin | LogStyle::CameraLogToLin);
        let mut number = |name| self.number_attribute(element, name);
        let [base, log_slope, log_offset, lin_slope, lin_offset, lin_break, slope] =
            [NAMES[0], NAMES[1], NAMES[2], NAMES[3], NAMES[4], NAMES[5], NAMES[6]].map(&mut number);
        let (base, log_slope, lin_slope, lin_break, slope) = (base?, log_slope?, lin_slope?, lin_break?, slope?);
        self.check_base(base.as_ref())?;
        for (name, number) in [("logSideSlope", &log_slope), ("linSideSlope", &lin_slope), ("linearSlope", &slope)] {
            if let Some(number) = number.as_ref().filter(|number| inverse && number.value == 0.0) {
                return Err(self.out_of_range(name, number, "a number other than 0"));
            }
        }
        let unused = [("linSideBreak", &lin_break), ("linearSlope", &slope)];
        if let Some((name, number)) =
            unused.iter().find_map(|(name, number)| Some((name, number.as_ref()?))).filter(|_| !camera)
        {
            self.warn(
                &format!("{name} without a camera style"),
                number.place.clone(),
                "expected none: the style has no break",
            );
        }
        let value = |number: Option<Placed>, default: f64| number.map_or(default, |number| number.value);
        let params = LogParams {
            base: value(base, 2.0),
            log_side_slope: value(log_slope, 1.0),
            log_side_offset: value(log_offset?, 0.0),
            lin_side_slope: value(lin_slope, 1.0),
            lin_side_offset: value(lin_offset?, 0.0),
            lin_side_break: lin_break.as_ref().filter(|_| camera).map(|number| number.value),
            linear_slope: slope.filter(|_| camera).map(|number| number.value),
        };
        match lin_break {
            None if camera => return Err(self.missing(element, "linSideBreak=\"…\"")),
            Some(number) if camera && params.lin_side_slope * number.value + params.lin_side_offset <= 0.0 => {
                return Err(self.out_of_range("linSideBreak", &number, "a place where the logarithm exists"));
            }
            _ => {}
        }
        Ok(params)
    }

    fn check_base(&mut self, base: Option<&Placed>) -> Read<()> {
        match base {
            Some(base) if base.value <= 0.0 || base.value == 1.0 => {
                Err(self.out_of_range("base", base, "a number above 0 other than 1"))
            }
            _ => Ok(()),
        }
    }

    fn exponent(&mut self, step: Element<'_, '_>) -> Read<Exponent> {
        self.known(step, &["style"], &[], &["ExponentParams"]);
        let style = self.choice(step, "style", &ExponentStyle::ALL.map(|style| (style.id(), style)), None)?;
        let params = self.channels(step, "ExponentParams", |reader, element| reader.exponent_params(element, style))?;
        Ok(Exponent { style, params })
    }

    fn exponent_params(&mut self, element: Element<'_, '_>, style: ExponentStyle) -> Read<ExponentParams> {
        self.known_attributes(element, &["exponent", "offset", "channel"]);
        let curve = takes_offset(style);
        let (exponent, offset) = (self.number_attribute(element, "exponent"), self.number_attribute(element, "offset"));
        let (exponent, offset) = (exponent?, offset?);
        let Some(exponent) = exponent else { return Err(self.missing(element, "exponent=\"…\"")) };
        if curve && !(1.0..=10.0).contains(&exponent.value) {
            return Err(self.out_of_range("exponent", &exponent, "1 to 10"));
        }
        if exponent.value <= 0.0 {
            return Err(self.out_of_range("exponent", &exponent, "a number above 0"));
        }
        match &offset {
            None if curve => return Err(self.missing(element, "offset=\"…\"")),
            Some(offset) if !curve => {
                let help = "take it out, or choose a monCurve style";
                let label = format!("expected no offset for {}, found {}", shown(style.id()), offset.value);
                return Err(self.error(
                    &codes::CLF_VALUE,
                    "offset without a straight line",
                    offset.place.clone(),
                    label,
                    help,
                ));
            }
            Some(offset) if !(0.0..=0.9).contains(&offset.value) => {
                return Err(self.out_of_range("offset", offset, "0 to 0.9"));
            }
            _ => {}
        }
        Ok(ExponentParams { exponent: exponent.value, offset: offset.map_or(0.0, |offset| offset.value) })
    }

    fn cdl(&mut self, step: Element<'_, '_>) -> Read<(CdlStyle, Cdl)> {
        self.known(step, &["style"], &["SOPNode", "SatNode"], &[]);
        let style = self.choice(step, "style", &CdlStyle::ALL.map(|style| (style.id(), style)), Some(CdlStyle::Fwd));
        let mut cdl = Cdl::IDENTITY;
        let inverse = matches!(style, Ok(CdlStyle::Rev | CdlStyle::RevNoClamp));
        if let Some(sop) = child(step, "SOPNode") {
            self.known_children(sop, &["Slope", "Offset", "Power"], &["Description"]);
            let rows = ["Slope", "Offset", "Power"].map(|name| match child(sop, name) {
                Some(element) => self.numbers::<3>(element),
                None => Err(self.missing(sop, name)),
            });
            let [slope, offset, power] = rows;
            let (slope, offset, power) = (slope?, offset?, power?);
            for number in &slope {
                self.check_least("Slope", number, inverse)?;
            }
            for number in &power {
                self.check_least("Power", number, true)?;
            }
            let values = |row: [Placed; 3]| row.map(|number| number.value);
            (cdl.slope, cdl.offset, cdl.power) = (values(slope), values(offset), values(power));
        }
        if let Some(sat) = child(step, "SatNode") {
            self.known_children(sat, &["Saturation"], &["Description"]);
            let Some(element) = child(sat, "Saturation") else { return Err(self.missing(sat, "Saturation")) };
            let [saturation] = self.numbers::<1>(element)?;
            self.check_least("Saturation", &saturation, inverse)?;
            cdl.saturation = saturation.value;
        }
        Ok((style?, cdl))
    }

    /// Refuses numbers below 0, and 0 itself where it would be divided by.
    fn check_least(&mut self, name: &str, number: &Placed, above: bool) -> Read<()> {
        if number.value < 0.0 || (above && number.value == 0.0) {
            let expected = if above { "a number above 0" } else { "0 or more" };
            return Err(self.out_of_range(name, number, expected));
        }
        Ok(())
    }
}

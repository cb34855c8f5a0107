//! The figures of the command line: read, held against their ranges, and against each other.

use super::Arguments;
use lookwright::diagnostics::{Code, Diagnostic, SourceText, Span, codes};
use lookwright::light::exposure::{CameraSetting, Lamp, Shutter, after_filters, check_t_stop, lux_from_foot_candles};

/// Where the light's figure comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reading {
    /// A meter, in lux.
    Lux(f64),
    /// A meter, in foot-candles.
    FootCandles(f64),
    /// A lamp's data sheet.
    Lamp(Lamp),
}

/// How the exposure time was given.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Time {
    /// As an angle and a rate.
    Angle(Shutter),
    /// As a time.
    Seconds(f64),
}

/// Everything that was given.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Given {
    /// The light, if one was given; what its filters take is not taken off.
    pub reading: Option<Reading>,
    /// Stops that filters on the lamp take.
    pub lamp_filter_stops: f64,
    /// How the exposure time was given.
    pub time: Time,
    /// The camera.
    pub camera: CameraSetting,
    /// The stop that was asked about.
    pub t_stop: Option<f64>,
}

impl Given {
    /// Reads the arguments.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with them.
    pub fn new(arguments: &Arguments) -> Result<Self, Vec<Diagnostic>> {
        let mut reader = Reader { found: Vec::new() };
        let reading = reader.reading(arguments);
        let lamp_filter_stops = reader.optional(&LAMP_STOPS, arguments.lamp_stops.as_deref());
        let time = reader.time(arguments);
        let iso = reader.required(&ISO, arguments.iso.as_deref());
        let lens_filter_stops = reader.optional(&LENS_STOPS, arguments.lens_stops.as_deref());
        let t_stop = arguments.stop.as_deref().map(|text| reader.t_stop(text));
        if reader.nothing_asked(arguments) {
            let message = "there is neither a light nor a T-stop to compute from";
            let help = "add a light, --lux 980, --foot-candles 91 or --candela 40000 --distance-m 4, for the stop; \
                        or a stop, --stop T2.8, for the light that it needs";
            reader.found.push(Diagnostic::error(&codes::LIGHT_MISSING, message).help(help));
        }
        if let (Some(time), Some(iso), Some(lamp_filter_stops), Some(lens_filter_stops), true) =
            (time, iso, lamp_filter_stops, lens_filter_stops, reader.found.is_empty())
        {
            let seconds = match time {
                Time::Angle(shutter) => shutter.seconds(),
                Time::Seconds(seconds) => seconds,
            };
            let camera = CameraSetting { iso, seconds, lens_filter_stops };
            return Ok(Self { reading, lamp_filter_stops, time, camera, t_stop: t_stop.flatten() });
        }
        Err(reader.found)
    }

    /// Lux on the subject, if a light was given.
    pub fn lux(&self) -> Option<f64> {
        let lux = match self.reading? {
            Reading::Lux(lux) => lux,
            Reading::FootCandles(foot_candles) => lux_from_foot_candles(foot_candles),
            Reading::Lamp(lamp) => lamp.lux(),
        };
        Some(after_filters(lux, self.lamp_filter_stops))
    }
}

/// What one argument may hold.
struct Range {
    argument: &'static str,
    /// Names the figure in messages, with its unit.
    what: &'static str,
    least: f64,
    most: f64,
    /// Both ends as they are written.
    words: &'static str,
    /// What to do where it lies outside: mostly why the range ends there.
    help: &'static str,
    /// Something that can be written as it is.
    example: &'static str,
}

// The ends of all ranges are this project's own choice: as wide as anything on a set, so narrow that a slipped unit shows.

/// Starlight is about 0.0001 lux, direct sun about 100 000.
const LUX: Range = Range {
    argument: "--lux",
    what: "illuminance in lux",
    least: 1e-4,
    most: 1e7,
    words: "0.0001 to 10000000",
    help: "starlight is about 0.0001 lux, direct sun about 100000",
    example: "--lux 980",
};

/// About the same, in the other unit.
const FOOT_CANDLES: Range = Range {
    argument: "--foot-candles",
    what: "illuminance in foot-candles",
    least: 1e-5,
    most: 1e6,
    words: "0.00001 to 1000000",
    help: "starlight is about 0.00001 foot-candles, direct sun about 10000",
    example: "--foot-candles 91",
};

/// From a glow to the largest searchlights.
const CANDELA: Range = Range {
    argument: "--candela",
    what: "luminous intensity in candela",
    least: 0.01,
    most: 1e9,
    words: "0.01 to 1000000000",
    help: "a candle has about 1 candela, the largest searchlights less than 1000000000",
    example: "--candela 40000",
};

/// From a finger's width to a hill across the valley.
const DISTANCE: Range = Range {
    argument: "--distance-m",
    what: "distance in metres",
    least: 0.01,
    most: 10_000.0,
    words: "0.01 to 10000",
    help: "metres from the lamp to the subject",
    example: "--distance-m 4",
};

/// A stack of the densest neutral filters takes 20 stops.
const LAMP_STOPS: Range = Range {
    argument: "--lamp-stops",
    what: "loss of the lamp's filters in stops",
    least: 0.0,
    most: 20.0,
    words: "0 to 20",
    help: "a loss is written without a sign: --lamp-stops 1.5 leaves a little more than a third of the light",
    example: "--lamp-stops 1.5",
};

/// As on the lamp.
const LENS_STOPS: Range = Range {
    argument: "--lens-stops",
    what: "loss of the lens's filters in stops",
    least: 0.0,
    most: 20.0,
    words: "0 to 20",
    help: "a loss is written without a sign: a neutral filter of density 0.6 takes --lens-stops 2",
    example: "--lens-stops 0.6",
};

/// Print film has a few, no camera claims ten million.
const ISO: Range = Range {
    argument: "--iso",
    what: "exposure index (ISO)",
    least: 1.0,
    most: 1e7,
    words: "1 to 10000000",
    help: "what the camera is set to, or what the meter is",
    example: "--iso 800",
};

/// At 24 frames a second, 0.1° is 1/86400 s.
const ANGLE: Range = Range {
    argument: "--shutter-deg",
    what: "shutter angle in degrees",
    least: 0.1,
    most: 360.0,
    words: "0.1 to 360",
    help: "a full turn is 360 degrees; the usual angle is 180",
    example: "--shutter-deg 180",
};

/// From time lapse to the fastest cameras.
const RATE: Range = Range {
    argument: "--rate",
    what: "rate in frames a second",
    least: 0.001,
    most: 1e6,
    words: "0.001 to 1000000",
    help: "the rate that the camera shoots at, not the one that it is shown at",
    example: "--rate 24",
};

/// From the fastest shutters to an hour.
const SECONDS: Range = Range {
    argument: "--shutter-s",
    what: "shutter time in seconds",
    least: 1e-6,
    most: 3600.0,
    words: "1/1000000 to 3600",
    help: "seconds, not their reciprocal: --shutter-s 1/50",
    example: "--shutter-s 1/50",
};

/// The whole argument as a place.
fn place(argument: &str, text: &str) -> Span {
    Span { source: SourceText::new(argument, text), range: 0..text.len() }
}

/// What was written, as it may stand inside a message: no line ends, nothing that a terminal obeys.
fn shown(text: &str) -> String {
    text.chars().map(|letter| if letter.is_control() { char::REPLACEMENT_CHARACTER } else { letter }).collect()
}

/// Collects what is wrong.
struct Reader {
    found: Vec<Diagnostic>,
}

impl Reader {
    fn refuse(&mut self, code: &'static Code, message: String, at: (&str, &str), expected: &str, help: &str) {
        let (argument, text) = at;
        let label =
            format!("expected {expected}, found {}", if text.is_empty() { "nothing".to_owned() } else { shown(text) });
        self.found.push(Diagnostic::error(code, message).at(place(argument, text), label).help(help));
    }

    /// The figure of an argument.
    fn figure(&mut self, range: &Range, text: &str) -> Option<f64> {
        let Some(value) = parse(text, range.argument == SECONDS.argument) else {
            let (message, expected) = (format!("the {} is not a number", range.what), "a number");
            let help = if text.contains(',') {
                format!("decimals follow a point, and thousands are not set apart: {}", range.example)
            } else {
                format!("the unit is the argument's own and is not written: {}", range.example)
            };
            self.refuse(&codes::LIGHT_NUMBER, message, (range.argument, text), expected, &help);
            return None;
        };
        if value >= range.least && value <= range.most {
            return Some(value);
        }
        let message = format!("the {} is out of range", range.what);
        self.refuse(&codes::LIGHT_RANGE, message, (range.argument, text), range.words, range.help);
        None
    }

    /// The figure of an argument that may be absent and is 0 then.
    fn optional(&mut self, range: &Range, text: Option<&str>) -> Option<f64> {
        text.map_or(Some(0.0), |text| self.figure(range, text))
    }

    /// The figure of an argument that has to be there.
    fn required(&mut self, range: &Range, text: Option<&str>) -> Option<f64> {
        if let Some(text) = text {
            return self.figure(range, text);
        }
        let message = format!("the {} is missing", range.what);
        self.found
            .push(Diagnostic::error(&codes::LIGHT_MISSING, message).help(format!("for example: {}", range.example)));
        None
    }

    fn reading(&mut self, given: &Arguments) -> Option<Reading> {
        let lux = given.lux.as_deref().map(|text| (&LUX, text));
        let foot_candles = given.foot_candles.as_deref().map(|text| (&FOOT_CANDLES, text));
        let candela = given.candela.as_deref().map(|text| (&CANDELA, text));
        let distance = given.distance_m.as_deref().map(|text| (&DISTANCE, text));
        let mut lights = [lux, foot_candles, candela.or(distance)].into_iter().flatten();
        if let (Some((first, _)), Some((second, text))) = (lights.next(), lights.next()) {
            self.twice("light", first.argument, second.argument, text);
            return None;
        }
        if let Some((range, text)) = lux {
            return self.figure(range, text).map(Reading::Lux);
        }
        if let Some((range, text)) = foot_candles {
            return self.figure(range, text).map(Reading::FootCandles);
        }
        if candela.is_none() && distance.is_none() {
            return None;
        }
        let candela = self.required(&CANDELA, given.candela.as_deref());
        let distance_m = self.required(&DISTANCE, given.distance_m.as_deref());
        let lamp = Lamp { candela: candela?, distance_m: distance_m? };
        if lamp.lux() > LUX.most {
            let message = "so near to the lamp, the inverse square law gives more light than there can be".to_owned();
            // Rounded up, so that what is proposed is taken.
            let least = ((lamp.candela / LUX.most).sqrt() * 100.0).ceil() / 100.0;
            let expected = format!("at least {least:.2}");
            let help =
                "the law holds from about five times the lamp's largest side: measure with a meter, and give --lux";
            let text = given.distance_m.as_deref().unwrap_or_default();
            self.refuse(&codes::LIGHT_RANGE, message, (DISTANCE.argument, text), &expected, help);
        }
        Some(Reading::Lamp(lamp))
    }

    fn time(&mut self, given: &Arguments) -> Option<Time> {
        let angle = given.shutter_deg.as_deref().map(|text| (&ANGLE, text));
        let rate = given.rate.as_deref().map(|text| (&RATE, text));
        if let Some(text) = given.shutter_s.as_deref() {
            if let Some((other, _)) = angle.or(rate) {
                self.twice("shutter", other.argument, SECONDS.argument, text);
                return None;
            }
            return self.figure(&SECONDS, text).map(Time::Seconds);
        }
        if angle.is_none() && rate.is_none() {
            let help = "add --shutter-deg 180 --rate 24, or --shutter-s 1/48";
            self.found.push(Diagnostic::error(&codes::LIGHT_MISSING, "the shutter is missing").help(help));
            return None;
        }
        let angle_deg = self.required(&ANGLE, given.shutter_deg.as_deref());
        let frames_per_second = self.required(&RATE, given.rate.as_deref());
        Some(Time::Angle(Shutter { angle_deg: angle_deg?, frames_per_second: frames_per_second? }))
    }

    fn t_stop(&mut self, text: &str) -> Option<f64> {
        let number = text.strip_prefix(['T', 't']).unwrap_or(text).trim();
        let Some(value) = parse(number, false) else {
            let help = if text.starts_with(['f', 'F']) {
                "the lens's T number counts the light that its glass loses: T = f / √transmittance"
            } else {
                "for example: --stop T2.8"
            };
            let message = format!("\"{}\" is not a T-stop", shown(text));
            self.refuse(&codes::STOP_FORM, message, ("--stop", text), "T and a number", help);
            return None;
        };
        if let Err(reason) = check_t_stop(value) {
            let message = format!("\"{}\" is no stop that a lens can have", shown(text));
            self.refuse(&codes::STOP_IMPOSSIBLE, message, ("--stop", text), "T0.5 to T128", &reason);
            return None;
        }
        Some(value)
    }

    fn twice(&mut self, what: &str, first: &str, second: &str, text: &str) {
        let label = format!("expected {first} alone, found {second} too");
        let diagnostic = Diagnostic::error(&codes::LIGHT_TWICE, format!("the {what} is given twice"));
        let help = format!("leave {first} or {second} out");
        self.found.push(diagnostic.at(place(second, text), label).help(help));
    }

    fn nothing_asked(&self, given: &Arguments) -> bool {
        let lights = [&given.lux, &given.foot_candles, &given.candela, &given.distance_m];
        given.stop.is_none() && lights.into_iter().all(Option::is_none)
    }
}

/// A number as it is written by hand; a fraction where one is allowed. Words such as `inf` are numbers here and out of any range.
fn parse(text: &str, fraction: bool) -> Option<f64> {
    if let (true, Some((above, below))) = (fraction, text.split_once('/')) {
        return Some(above.trim().parse::<f64>().ok()? / below.trim().parse::<f64>().ok()?);
    }
    text.trim().parse().ok()
}

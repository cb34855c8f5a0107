//! From the bytes of a list to its events, or to everything that is wrong with it.

use super::comment::{Comment, comment, sat, sop};
use super::line::{Class, Line, lines};
use super::{Edl, Event, Timecode};
use crate::diagnostics::{Diagnostic, Span, codes};
use crate::formats::cdl::{ERRORS_MAX, FILE_BYTES_MAX, ValuePlaces, read_bytes, shown, too_large};
use crate::plan::Cdl;
use std::path::Path;

/// Reads a list from disk.
///
/// # Errors
/// As [`parse`]; `LW0401` where the file can't be read.
pub fn read(path: &Path) -> Result<Edl, Vec<Diagnostic>> {
    let bytes = read_bytes(path).map_err(|diagnostic| vec![*diagnostic])?;
    parse(&path.display().to_string(), &bytes)
}

/// Reads a list from its bytes. `source_name` is the name that diagnostics give it.
///
/// What is accepted stands at the head of [this module](super).
///
/// # Errors
/// All errors up to twenty, each with line and column: `LW0340`, `LW0343`–`LW0345`, `LW0348`, `LW0349`.
pub fn parse(source_name: &str, bytes: &[u8]) -> Result<Edl, Vec<Diagnostic>> {
    let lines = checked_lines(source_name, bytes).map_err(|diagnostic| vec![*diagnostic])?;
    let mut reader = Reader::new(source_name);
    for line in &lines {
        reader.line(line);
    }
    let Reader { edl, mut errors, .. } = reader;
    if edl.events.is_empty() && errors.is_empty() {
        let message = format!("{source_name}: the list has no events");
        errors.push(Diagnostic::error(&codes::EDL_EVENT, message).help("name an EDL in the CMX 3600 form"));
    }
    errors.truncate(ERRORS_MAX);
    if errors.is_empty() { Ok(edl) } else { Err(errors) }
}

/// The lines of what is a text at all.
fn checked_lines<'a>(source_name: &str, bytes: &'a [u8]) -> Result<Vec<Line<'a>>, Box<Diagnostic>> {
    if bytes.len() as u64 > FILE_BYTES_MAX {
        return Err(Box::new(too_large(source_name)));
    }
    let lines = lines(bytes);
    let control = |byte: &u8| *byte < b' ' && !matches!(*byte, b'\t' | b'\x0C' | b'\x1A');
    let Some((line, at)) = lines.iter().find_map(|line| Some((line, line.bytes.iter().position(control)?))) else {
        return Ok(lines);
    };
    let found = line.bytes[at];
    let within = line.text.char_indices().find(|(_, one)| u32::from(*one) == u32::from(found)).map_or(0, |(at, _)| at);
    Err(Box::new(
        Diagnostic::error(&codes::CDL_NOT_TEXT, "the file is not a text")
            .at(line.span(source_name, within..within + 1), format!("expected text, found byte {found:#04x}"))
            .help("export the list again, as plain text"),
    ))
}

struct Reader<'a> {
    name: &'a str,
    edl: Edl,
    errors: Vec<Diagnostic>,
    drop_frame: bool,
    /// Whether the last event could not be read, so that what follows is about it and not about the one before.
    lost: bool,
    /// What the comments of the last event said of its correction so far.
    sop: Option<[[f64; 3]; 3]>,
    sat: Option<f64>,
}

impl<'a> Reader<'a> {
    fn new(name: &'a str) -> Self {
        let edl = Edl { title: String::new(), events: Vec::new(), warnings: Vec::new() };
        Self { name, edl, errors: Vec::new(), drop_frame: false, lost: false, sop: None, sat: None }
    }

    fn line(&mut self, line: &Line<'_>) {
        match line.class() {
            Class::Event => {
                (self.sop, self.sat, self.lost) = (None, None, false);
                match event(self.name, line, self.drop_frame) {
                    Ok(event) => self.edl.events.push(event),
                    Err(diagnostic) => {
                        self.lost = true;
                        self.error(*diagnostic);
                    }
                }
            }
            Class::Title if self.edl.title.is_empty() => line.after_colon().clone_into(&mut self.edl.title),
            Class::FrameMode => self.drop_frame = line.after_colon().to_ascii_uppercase().starts_with("DROP"),
            Class::Other => self.about_event(line),
            Class::Title | Class::Split | Class::Empty => {}
        }
    }

    fn error(&mut self, error: Diagnostic) {
        if self.errors.len() < ERRORS_MAX {
            self.errors.push(error);
        }
    }

    fn about_event(&mut self, line: &Line<'_>) {
        let said = comment(line);
        let Some(index) = self.edl.events.len().checked_sub(1).filter(|_| !self.lost) else {
            if !self.lost && matches!(said, Comment::Sop(_) | Comment::Sat(_)) {
                let error = Diagnostic::error(&codes::EDL_COMMENT, "a correction before the first event");
                let place = line.whole(self.name);
                self.error(error.at(place, "expected an event before").help("a correction stands after its event"));
            }
            return;
        };
        match said {
            Comment::Sop(body) => match sop(self.name, line, body) {
                Ok([slope, offset, power]) => {
                    let numbers = [slope.0, offset.0, power.0];
                    if self.sop.is_some_and(|other| other != numbers) {
                        self.contradiction(line, "ASC_SOP");
                        return;
                    }
                    self.sop = Some(numbers);
                    let event = &mut self.edl.events[index];
                    let cdl = event.cdl.get_or_insert(Cdl::IDENTITY);
                    [cdl.slope, cdl.offset, cdl.power] = numbers;
                    event.values.slope = Some(slope.1);
                    event.values.offset = Some(offset.1);
                    event.values.power = Some(power.1);
                }
                Err(errors) => errors.into_iter().for_each(|error| self.error(error)),
            },
            Comment::Sat(body) => match sat(self.name, line, body) {
                Ok((saturation, place)) => {
                    if self.sat.is_some_and(|other| other != saturation) {
                        self.contradiction(line, "ASC_SAT");
                        return;
                    }
                    self.sat = Some(saturation);
                    let event = &mut self.edl.events[index];
                    event.cdl.get_or_insert(Cdl::IDENTITY).saturation = saturation;
                    event.values.saturation = Some(place);
                }
                Err(errors) => errors.into_iter().for_each(|error| self.error(error)),
            },
            Comment::CorrectionId(id) => self.edl.events[index].correction_id = Some(id.to_owned()),
            Comment::FromClip(name) => self.clip_name(index, name, false),
            Comment::ToClip(name) => self.clip_name(index, name, true),
            Comment::Locator(text) => self.edl.events[index].locators.push(text.to_owned()),
            Comment::Speed(text) => self.edl.events[index].speeds.push(text.to_owned()),
            Comment::Other(text) => self.edl.events[index].comments.push(text.to_owned()),
        }
    }

    fn contradiction(&mut self, line: &Line<'_>, word: &str) {
        let message = format!("the event has two different {word}");
        let error = Diagnostic::error(&codes::EDL_COMMENT, message)
            .at(line.whole(self.name), format!("expected one {word} after each event"))
            .help("remove the one that does not hold");
        self.error(error);
    }

    /// After the second line of a dissolve, `FROM` names the clip of the first line and `TO` that of the second.
    fn clip_name(&mut self, index: usize, name: &str, comes: bool) {
        let events = &mut self.edl.events;
        let pair = index > 0 && events[index - 1].number == events[index].number && events[index].transition != "C";
        let whose = if pair && !comes { index - 1 } else { index };
        if comes || events[whose].clip_name.is_none() {
            events[whose].clip_name = Some(name.to_owned());
        }
    }
}

/// An event from its line.
fn event(source_name: &str, line: &Line<'_>, drop_frame: bool) -> Result<Event, Box<Diagnostic>> {
    let words = line.words();
    let problem = |place: Span, label: String| {
        let help = "for example: 001  A003 V C 01:00:00:00 01:00:05:00 00:00:00:00 00:00:05:00";
        Box::new(Diagnostic::error(&codes::EDL_EVENT, "the line is not an event").at(place, label).help(help))
    };
    let Some(codes_from) = words.len().checked_sub(4).filter(|from| *from >= 4) else {
        let label =
            format!("expected number, reel, channels, transition and four time codes, found {} words", words.len());
        return Err(problem(line.whole(source_name), label));
    };
    let mut times = [Timecode { hours: 0, minutes: 0, seconds: 0, frames: 0, drop_frame: false }; 4];
    for (time, (word, range)) in times.iter_mut().zip(&words[codes_from..]) {
        *time = Timecode::parse(word).ok_or_else(|| {
            let label = format!("expected a time code such as 01:02:03:04, found {}", shown(word));
            problem(line.span(source_name, range.clone()), label)
        })?;
    }
    let (number, _) = &words[0];
    // A reel's name may have spaces: what stands around it is known from the other end.
    let duration = words[codes_from - 1].0.parse::<u32>().ok().filter(|_| codes_from >= 5);
    let kind_at = codes_from - 1 - usize::from(duration.is_some());
    let (kind, kind_place) = &words[kind_at];
    if !is_transition(kind) {
        let label = format!("expected C, D, K or W with a number, found {}", shown(kind));
        return Err(problem(line.span(source_name, kind_place.clone()), label));
    }
    let Some((channels, _)) = words.get(kind_at.wrapping_sub(1)).filter(|_| kind_at >= 3) else {
        let label = "expected number, reel and channels before the transition".to_owned();
        return Err(problem(line.span(source_name, kind_place.clone()), label));
    };
    let reel: Vec<&str> = words[1..kind_at - 1].iter().map(|(word, _)| *word).collect();
    Ok(Event {
        number: (*number).to_owned(),
        reel: reel.join(" "),
        channels: (*channels).to_owned(),
        transition: kind.to_ascii_uppercase(),
        transition_frames: duration,
        source: [times[0], times[1]],
        record: [times[2], times[3]],
        drop_frame: drop_frame || times[2].drop_frame,
        clip_name: None,
        locators: Vec::new(),
        speeds: Vec::new(),
        correction_id: None,
        cdl: None,
        values: ValuePlaces::default(),
        comments: Vec::new(),
        place: line.whole(source_name),
    })
}

/// A cut, a dissolve, a key, or a wipe with its number.
fn is_transition(word: &str) -> bool {
    let word = word.to_ascii_uppercase();
    let wipe = word.strip_prefix('W').is_some_and(|rest| rest.bytes().all(|byte| byte.is_ascii_digit()));
    wipe || matches!(word.as_str(), "C" | "D" | "K" | "KB" | "KO")
}

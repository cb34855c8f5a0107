//! The loading card: for whoever loads the files on monitors. What to set there, which file goes into which slot, and boxes to
//! tick.

mod maps;

use super::levels::{input_means, output_means};
use super::page::{counted, file_name, folder, listed, masthead, name, page};
use super::text::{ascii, rule, wrapped};
use crate::show::{CardDevice, CardEntry, LoadingCard};
use maud::{Markup, html};
use std::path::Path;

const KIND: &str = "Loading card";

/// What a card with all its devices may hold to be printed without a new page for each device, counted in rows of a table;
/// seen on printed A4 pages of the program's own cards.
const ROWS_A_PAGE: usize = 26;

/// What the head of a device takes in print, in rows of its table; seen there too.
const ROWS_OF_A_HEAD: usize = 10;

/// What the card's title and instructions take in print, in such rows; seen there too.
const ROWS_OF_THE_INSTRUCTIONS: usize = 8;

/// How a card is used, beside its table.
const CHECKS: [(&str, &str); 4] = [
    (
        "Levels first.",
        "Set the levels of each device as its sheet says, then load. Wrong levels look like a wrong look.",
    ),
    (
        "Once only.",
        "The LUT is applied once between camera and screen. Where the camera sends its picture with a LUT already, the monitor \
         shows it without.",
    ),
    (
        "Which file is this?",
        "A file whose name got lost, or a device that renamed it: the command below says which look, camera and device it is for.",
    ),
    (
        "Two ticks.",
        "“Loaded” when the device shows the file in its slot; “looked at” when somebody has seen a picture through it and it is \
         the expected look.",
    ),
];

const IDENTIFY: &str = "lookwright identify FILE --among SHOW.toml";

/// The card as a page of HTML: one sheet a device.
#[must_use]
pub fn loading_card_html(card: &LoadingCard) -> String {
    let rows: usize =
        card.devices.iter().map(|device| ROWS_OF_A_HEAD + device.entries.len() + maps::rows(device)).sum();
    let rows = ROWS_OF_THE_INSTRUCTIONS + rows;
    let sheets = rows > ROWS_A_PAGE;
    let body = html! {
        (masthead(KIND, &card.show, &summary(card)))
        main {
            @if card.devices.len() > 1 { (contents(card)) }
            (how_to_check())
            @for (place, device) in card.devices.iter().enumerate() {
                section.sheet[sheets] id=(format!("device-{}", place + 1)) aria-labelledby=(format!("name-{}", place + 1)) {
                    (head_of(device, place, &card.show))
                    (table_of(device, place))
                    @if !device.maps.is_empty() { (maps::of(device, place)) }
                }
            }
            @if card.devices.is_empty() { p { "No device of this show gets a file." } }
        }
    };
    page(KIND, &card.show, &body)
}

fn summary(card: &LoadingCard) -> String {
    let files: usize = card.devices.iter().map(|device| device.entries.len()).sum();
    let maps: usize = card.devices.iter().map(|device| device.maps.len()).sum();
    let mut told = vec![counted(card.devices.len(), "device", "devices"), counted(files, "file", "files")];
    if maps > 0 {
        told.push(counted(maps, "exposure map", "exposure maps"));
    }
    told.join(", ")
}

fn contents(card: &LoadingCard) -> Markup {
    html! {
        nav aria-label="Devices" {
            ul {
                @for (place, device) in card.devices.iter().enumerate() {
                    li { a href=(format!("#device-{}", place + 1)) { (name(&device.id)) } " " span.quiet { (device.entries.len()) } }
                }
            }
        }
    }
}

fn how_to_check() -> Markup {
    html! {
        section.panel aria-labelledby="check" {
            h2 #check { "How to load and check" }
            div.columns {
                @for (title, text) in CHECKS { p { strong { (title) } " " (text) } }
                p { code.whole { (IDENTIFY) } }
            }
        }
    }
}

fn head_of(device: &CardDevice, place: usize, show: &str) -> Markup {
    html! {
        div.device {
            p.quiet { (name(show)) ", device " (place + 1) }
            h2 id=(format!("name-{}", place + 1)) { (name(&device.id)) }
            @if !device.note.is_empty() { p.summary { (name(&device.note)) } }
            dl.levels {
                (level("Input levels", device.input_levels, input_means(device.input_levels)))
                (level("Output levels", device.output_levels, output_means(device.output_levels)))
            }
            dl.facts { @for (term, fact) in facts(device) { dt { (term) } dd { (name(&fact)) } } }
        }
    }
}

fn level(term: &str, value: &str, means: &str) -> Markup {
    html! {
        div.level {
            dt { (term) }
            dd.value { (value.to_uppercase()) }
            dd.means { (means) }
        }
    }
}

/// What is said of a device in a line each, on the page and in the text.
fn facts(device: &CardDevice) -> Vec<(&'static str, String)> {
    let mut facts = vec![
        ("Shows", format!("{}, white at {} cd/m²", device.display, device.peak_nits)),
        ("Grid", format!("{0} × {0} × {0} points, read {1}", device.size, between_points(device.interpolation))),
        ("Accepts", device.rules.clone()),
    ];
    if let Some(slots) = device.slots {
        let over = device.entries.iter().filter(|entry| entry.slot.is_none()).count();
        let over =
            if over == 0 { String::new() } else { format!("; {over} of the files below find none, load in turns") };
        facts.push(("Slots", format!("{slots}{over}")));
    }
    let states = State::ALL.map(|one| {
        let count = device.entries.iter().filter(|entry| state(entry) == one).count();
        (count > 0).then(|| format!("{count} {}", one.words().to_lowercase()))
    });
    facts.push(("Files", states.into_iter().flatten().collect::<Vec<_>>().join(", ")));
    facts
}

fn between_points(interpolation: &str) -> String {
    format!("by {interpolation} interpolation")
}

/// Columns of a device's table, before the two for ticks.
const COLUMNS: [&str; 7] = ["Slot", "File, code", "Look", "Camera must record", "Setups", "Fingerprint", "State"];

fn table_of(device: &CardDevice, place: usize) -> Markup {
    html! {
        table.stack role="table" {
            thead role="rowgroup" {
                // The head of the table stands on every printed page: no sheet may come loose from its device.
                tr.again role="row" {
                    th role="columnheader" scope="colgroup" colspan=(COLUMNS.len() + 2) {
                        (name(&device.id)) ": input levels " (device.input_levels.to_uppercase()) ", output levels "
                        (device.output_levels.to_uppercase())
                    }
                }
                tr role="row" {
                    @for column in COLUMNS {
                        th role="columnheader" scope="col" { (column) }
                    }
                    th.centre role="columnheader" scope="col" { "Loaded" }
                    th.centre role="columnheader" scope="col" { "Looked at" }
                }
            }
            tbody role="rowgroup" {
                @for (row, entry) in device.entries.iter().enumerate() { (row_of(entry, place, row)) }
            }
        }
    }
}

fn row_of(entry: &CardEntry, device: usize, row: usize) -> Markup {
    let (directory, file) = parts(&entry.file);
    let slot = entry.slot.map_or("–".to_owned(), |slot| slot.to_string());
    let tick = |what: &str, id: &str| {
        let id = format!("{id}-{}-{}", device + 1, row + 1);
        html! { input.tick type="checkbox" autocomplete="off" id=(id) aria-label=(format!("{file} {what}")); }
    };
    html! {
        tr role="row" {
            td.of-1 role="cell" data-label="Slot" { strong { (slot) } }
            th.of-5 role="rowheader" scope="row" {
                (file_name(&file)) " "
                span.sub { (folder(&directory)) " " span.whole { "code " code { (entry.code) } } }
            }
            td role="cell" data-label="Look" {
                (name(&entry.look))
                @if !entry.part.is_empty() { span.sub { (name(&entry.part)) } }
            }
            td role="cell" data-label="Camera must record" {
                strong { (name(&entry.camera)) } " "
                span.sub { (records(&entry.records)) }
            }
            td role="cell" data-label="Setups" { (setups(entry)) }
            td role="cell" data-label="Fingerprint" { code.whole { (entry.fingerprint) } }
            td.of-2 role="cell" data-label="State" { (state(entry).markup()) }
            td.centre.of-2 role="cell" data-label="Loaded" { (tick("is loaded", "loaded")) }
            td.centre.of-2 role="cell" data-label="Looked at" { (tick("was looked at", "looked")) }
        }
    }
}

/// Encoding and gamut, each in one piece.
fn records(records: &str) -> Markup {
    let parts: Vec<&str> = records.split(" / ").collect();
    let last = parts.len().saturating_sub(1);
    html! {
        @for (place, part) in parts.iter().enumerate() {
            span.whole { (part) @if place < last { " /" } } " "
        }
    }
}

fn setups(entry: &CardEntry) -> Markup {
    html! {
        @if entry.setups.is_empty() { span.quiet { "none" } } @else { (entry.setups.join(", ")) }
    }
}

/// Folder and name of a file, with forward slashes.
fn parts(path: &Path) -> (String, String) {
    let text = path.to_string_lossy().replace('\\', "/");
    match text.rsplit_once('/') {
        Some((folder, file)) => (format!("{folder}/"), file.to_owned()),
        None => (String::new(), text),
    }
}

/// How far a file has come.
#[derive(Clone, Copy, PartialEq, Eq)]
enum State {
    Verified,
    OutOfTolerance,
    NotVerified,
    NotMade,
    Drifted,
}

fn state(entry: &CardEntry) -> State {
    if entry.drifted {
        return State::Drifted;
    }
    match (entry.pass, entry.sha256.is_empty()) {
        (_, true) => State::NotMade,
        (None, false) => State::NotVerified,
        (Some(true), false) => State::Verified,
        (Some(false), false) => State::OutOfTolerance,
    }
}

impl State {
    const ALL: [Self; 5] = [Self::Verified, Self::OutOfTolerance, Self::NotVerified, Self::NotMade, Self::Drifted];

    fn words(self) -> &'static str {
        match self {
            Self::Verified => "verified",
            Self::OutOfTolerance => "OUT OF TOLERANCE",
            Self::NotVerified => "not verified",
            Self::NotMade => "not made yet",
            Self::Drifted => "as it was made; its recipe was changed since",
        }
    }

    fn markup(self) -> Markup {
        let words = self.words();
        match self {
            Self::Verified => html! { span.good.whole { "✓ " (words) } },
            Self::OutOfTolerance => html! { span.bad { "✗ " (words.to_lowercase()) } },
            Self::NotVerified | Self::NotMade | Self::Drifted => html! { strong { (words) } },
        }
    }
}

/// The card as plain text in ASCII, at most 100 columns wide.
#[must_use]
pub fn loading_card_text(card: &LoadingCard) -> String {
    let mut text = wrapped("LOADING CARD   ", &ascii(&card.show));
    text += &wrapped("               ", &summary(card));
    text.push('\n');
    for (title, words) in CHECKS {
        text += &wrapped("  - ", &ascii(&format!("{title} {words}")));
    }
    text += &format!("\n    {IDENTIFY}\n");
    for device in &card.devices {
        text.push('\n');
        text += &device_text(device);
    }
    text
}

fn device_text(device: &CardDevice) -> String {
    let mut text = rule('=');
    text += &wrapped("", &ascii(&device.id.to_uppercase()));
    if !device.note.is_empty() {
        text += &wrapped("  ", &ascii(&device.note));
    }
    text.push('\n');
    for (term, levels, means) in [
        ("INPUT LEVELS ", device.input_levels, input_means(device.input_levels)),
        ("OUTPUT LEVELS", device.output_levels, output_means(device.output_levels)),
    ] {
        text += &wrapped(&format!("  >> {term}  {:<7}", levels.to_uppercase()), &ascii(means));
    }
    text.push('\n');
    for (term, fact) in facts(device) {
        // A grid is said with signs that ASCII lacks.
        text += &wrapped(&format!("  {term:<9}"), &ascii(&fact.replace('×', "x").replace(['“', '”'], "")));
    }
    text += "\n  loaded looked-at  slot  file\n";
    text += &rule('-');
    for entry in &device.entries {
        text += &entry_text(entry);
    }
    if !device.maps.is_empty() {
        text += &maps::text(device);
    }
    text
}

/// Column at which a file's name begins in the text.
const FILE_COLUMN: usize = 26;

/// Columns that a name may take before what follows goes to the next line.
const FILE_COLUMNS: usize = 38;

fn entry_text(entry: &CardEntry) -> String {
    let (directory, file) = parts(&entry.file);
    let slot = entry.slot.map_or("-".to_owned(), |slot| slot.to_string());
    let first = format!("   [ ]     [ ]      {slot:>4}  ");
    let marks = format!("{:<6} {:<8}  {}", ascii(&entry.code), entry.fingerprint, state(entry).words());
    let file = ascii(&file);
    let indent = " ".repeat(FILE_COLUMN);
    let mut text = if file.len() <= FILE_COLUMNS {
        format!("{first}{file:<FILE_COLUMNS$} {marks}\n")
    } else {
        format!("{}{indent}{marks}\n", wrapped(&first, &file))
    };
    let part = if entry.part.is_empty() { String::new() } else { format!(", {}", entry.part) };
    text += &wrapped(&indent, &ascii(&format!("{}{part}", entry.look)));
    let used = if entry.setups.is_empty() { String::new() } else { format!("; setups {}", listed(&entry.setups)) };
    text += &wrapped(&indent, &ascii(&format!("camera {} must record {}{used}", entry.camera, entry.records)));
    if !directory.is_empty() {
        text += &wrapped(&indent, &ascii(&format!("in {directory}")));
    }
    text
}

//! The exposure maps of a device on its sheet: which file for which camera, and what their colours mean.

use super::super::page::{file_name, folder, name};
use super::super::text::{ascii, rule, wrapped};
use super::{parts, records};
use crate::show::{CardDevice, CardMap, MapNote, MapState, MapZone};
use maud::{Markup, html};

/// Columns of the table, before the one for ticks.
const COLUMNS: [&str; 4] = ["File", "Camera must record", "Fingerprint", "State"];

/// Zones that stand beside each other on a printed page; seen on printed A4 pages.
const ZONES_A_ROW: usize = 3;

/// What the heading takes in print, in rows of a table; seen there too.
const ROWS_OF_THE_HEADING: usize = 4;

/// What the maps of a device take in print, in rows of its table.
pub(super) fn rows(device: &CardDevice) -> usize {
    let legends = legends(device);
    let of_legends: usize = legends.iter().map(|legend| 1 + legend.note.zones.len().div_ceil(ZONES_A_ROW)).sum();
    if legends.is_empty() { 0 } else { ROWS_OF_THE_HEADING + device.maps.len() + of_legends }
}

/// A legend, and whose it is.
struct Legend<'a> {
    note: &'a MapNote,
    cameras: Vec<String>,
}

/// The legends of a device's maps: maps with the same zones share one.
fn legends(device: &CardDevice) -> Vec<Legend<'_>> {
    let mut found: Vec<Legend<'_>> = Vec::new();
    for map in &device.maps {
        let same = |legend: &&mut Legend<'_>| {
            legend.note.zones == map.note.zones && legend.note.zero_stops == map.note.zero_stops
        };
        match found.iter_mut().find(same) {
            Some(legend) => legend.cameras.push(map.camera.clone()),
            None => found.push(Legend { note: &map.note, cameras: vec![map.camera.clone()] }),
        }
    }
    found
}

impl Legend<'_> {
    /// "camera a", "cameras a and b", and from where stops count.
    fn title(&self) -> String {
        let cameras = super::listed(&self.cameras);
        let word = if self.cameras.len() == 1 { "camera" } else { "cameras" };
        let zero = match self.note.zero_stops {
            0.0 => "stops from grey".to_owned(),
            zero if zero < 0.0 => format!("stops counted from {} under grey", -zero),
            zero => format!("stops counted from {zero} over grey"),
        };
        format!("{word} {cameras}, {zero}")
    }

    /// The zones, the brightest first as in the picture, each with its number counted from the darkest.
    fn zones(&self) -> impl Iterator<Item = (usize, &MapZone)> {
        self.note.zones.iter().enumerate().rev().map(|(place, zone)| (place + 1, zone))
    }
}

/// The section of a device's sheet.
pub(super) fn of(device: &CardDevice, place: usize) -> Markup {
    html! {
        section.maps aria-labelledby=(format!("maps-{}", place + 1)) {
            h3 id=(format!("maps-{}", place + 1)) { "Exposure maps" }
            p.quiet { (WORDS) }
            table.stack role="table" {
                thead role="rowgroup" {
                    tr.again role="row" {
                        th role="columnheader" scope="colgroup" colspan=(COLUMNS.len() + 1) {
                            (name(&device.id)) ": input levels " (device.input_levels.to_uppercase()) ", output levels "
                            (device.output_levels.to_uppercase())
                        }
                    }
                    tr role="row" {
                        @for column in COLUMNS { th role="columnheader" scope="col" { (column) } }
                        th.centre role="columnheader" scope="col" { "Loaded" }
                    }
                }
                tbody role="rowgroup" {
                    @for (row, map) in device.maps.iter().enumerate() { (row_of(map, place, row)) }
                }
            }
            @for legend in legends(device) {
                div.keep {
                    h4 { "Zones of " (name(&legend.title())) }
                    ul.zones {
                        @for (number, zone) in legend.zones() {
                            li { (swatch(number, zone)) span { strong { (name(&zone.name)) } " " span.sub { (reach(zone)) } } }
                        }
                    }
                }
            }
        }
    }
}

const WORDS: &str = "LUTs that show scene stops as colours, the same whatever the look: for measuring, then the look goes back in. \
     Clip is where the recorded signal, or what of it reaches the LUT, ends: a camera may clip earlier, and map.clip_signal in the recipe says where.";

fn row_of(map: &CardMap, device: usize, row: usize) -> Markup {
    let (directory, file) = parts(&map.file);
    let id = format!("map-loaded-{}-{}", device + 1, row + 1);
    html! {
        tr role="row" {
            th.of-6 role="rowheader" scope="row" {
                (file_name(&file)) " " span.sub { (folder(&directory)) }
                @if let Some(legend) = &map.legend { " " span.sub { "legend as a picture: " (file_name(&parts(legend).1)) } }
            }
            td role="cell" data-label="Camera must record" {
                strong { (name(&map.camera)) } " " span.sub { (records(&map.records)) }
            }
            td role="cell" data-label="Fingerprint" { code.whole { (map.fingerprint) } }
            td.of-4 role="cell" data-label="State" {
                @if map.state == MapState::AsAsked { (state(map)) } @else { strong { (state(map)) } }
                @for one in asked(map) { " " span.sub { (name(&one)) } }
            }
            td.centre.of-2 role="cell" data-label="Loaded" {
                input.tick type="checkbox" autocomplete="off" id=(id) aria-label=(format!("{file} is loaded"));
            }
        }
    }
}

fn state(map: &CardMap) -> &'static str {
    match map.state {
        MapState::AsAsked => "as the show asks",
        MapState::Outdated => "as it was made; show or recipe ask for another now",
        MapState::Replaced => "NOT THE FILE THAT WAS MADE: somebody replaced it, the zones may be others",
    }
}

/// What was asked for beside the show, and what the table does not show as it should.
fn asked(map: &CardMap) -> Vec<String> {
    let size = map.note.sized.then(|| format!("{} points", map.note.size));
    let zones = map.note.zones.iter().filter(|zone| zone.held == Some(false));
    let pale: Vec<String> = zones.map(|zone| zone.name.clone()).collect();
    let pale =
        (!pale.is_empty()).then(|| format!("pale or off their edges in so small a table: {}", super::listed(&pale)));
    size.into_iter().chain(map.note.set.iter().map(|set| format!("made with {set}"))).chain(pale).collect()
}

/// A zone's colour with its number in it.
fn swatch(number: usize, zone: &MapZone) -> Markup {
    let fill = format!("#{}", zone.hex);
    let ink = if is_light(&zone.hex) { "#000000" } else { "#ffffff" };
    html! {
        svg.swatch viewBox="0 0 48 20" role="img" aria-label=(format!("zone {number}, colour {fill}")) {
            rect width="48" height="20" fill=(fill) {}
            text x="24" y="15" text-anchor="middle" font-size="14" font-weight="700" fill=(ink) { (number) }
            rect.frame x=".5" y=".5" width="47" height="19" {}
        }
    }
}

/// Whether black letters have more contrast on a colour than white ones: its luminance is above 0.18, where both are equal.
fn is_light(hex: &str) -> bool {
    use crate::colour::displays::{Display, DisplayEncoding};
    let code = |at: usize| hex.get(at..at + 2).and_then(|two| u8::from_str_radix(two, 16).ok()).unwrap_or(0);
    let signal = [0, 2, 4].map(|at| f64::from(code(at)) / 255.0);
    let light = Display::new(DisplayEncoding::Srgb, 100.0).decode(signal);
    let weights = crate::colour::gamuts::BT709.to_xyz().row(1).into_owned();
    (0..3).map(|channel| weights[channel] * light[channel]).sum::<f64>() > 0.18
}

/// The stops of a zone in words.
fn reach(zone: &MapZone) -> String {
    match (zone.shown, zone.from_stops, zone.to_stops) {
        (false, ..) => "never shown".to_owned(),
        (_, None, Some(to)) => format!("below {}", signed(to)),
        (_, Some(from), None) => format!("from {}", signed(from)),
        (_, Some(from), Some(to)) => format!("{} to {}", signed(from), signed(to)),
        (_, None, None) => "everywhere".to_owned(),
    }
}

/// Stops with a sign and at most two decimals.
fn signed(stops: f64) -> String {
    let rounded = (100.0 * stops).round() / 100.0;
    if rounded == 0.0 { "0".to_owned() } else { format!("{rounded:+}").replace('-', "−") }
}

/// Columns at which a map's file begins in the text, and a zone's name and stops.
const FILE_COLUMN: usize = 26;

/// The maps of a device in the card's text.
pub(super) fn text(device: &CardDevice) -> String {
    let mut text = String::from("\n  EXPOSURE MAPS\n");
    text += &wrapped("  ", &ascii(WORDS));
    text += "\n  loaded                  file\n";
    text += &rule('-');
    let indent = " ".repeat(FILE_COLUMN);
    for map in &device.maps {
        let (directory, file) = parts(&map.file);
        text += &wrapped("   [ ]                    ", &ascii(&file));
        text += &wrapped(&indent, &ascii(&format!("{}  {}", map.fingerprint, state(map))));
        for one in asked(map) {
            text += &wrapped(&indent, &ascii(&one));
        }
        text += &wrapped(&indent, &ascii(&format!("camera {} must record {}", map.camera, map.records)));
        text += &wrapped(&indent, &ascii(&format!("in {directory}")));
        if let Some(legend) = &map.legend {
            text += &wrapped(&indent, &ascii(&format!("legend as a picture: {}", parts(legend).1)));
        }
    }
    for legend in legends(device) {
        text.push('\n');
        text += &wrapped("  ", &ascii(&format!("Zones of {}", legend.title())));
        for (number, zone) in legend.zones() {
            let first = format!("  {number:>4}  {:<16}  #{}  ", ascii(&reach(zone).replace('−', "-")), zone.hex);
            text += &wrapped(&first, &ascii(&zone.name));
        }
    }
    text
}

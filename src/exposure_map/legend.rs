//! The legend: each zone with its colour, stops and codes, as four kinds of vision and black and white see it, and a grey through the table.

use super::document::srgb;
use super::{ExposureMap, MapReport, ZoneReport};
use crate::colour::gamuts::BT709;
use crate::colour::vision::Vision;
use crate::lut::Table3;
use crate::maths::Rgb;
use crate::picture::Frame;
use crate::picture::lettering::{Lettering, Weight};
use crate::picture::screen::Screen;

/// Pixels across.
const WIDTH: usize = 1600;
const MARGIN: usize = 64;
/// From one zone to the next, and the bar of one.
const ROW: usize = 64;
const BAR: usize = 56;
/// Where the rows begin.
const ROWS_TOP: usize = 232;
/// Left edges of the columns: stops, codes, and the bars of the kinds of vision.
const STOPS_LEFT: usize = 560;
const CODES_LEFT: usize = 850;
const VISIONS_LEFT: usize = 1096;
const VISION_WIDTH: usize = 110;
/// The grey through the table, and what stands below the rows.
const STRIP: usize = 72;
const BELOW: usize = 320;

/// What a grey strip runs over, stops from the map's zero.
const STRIP_STOPS: [f64; 2] = [-9.0, 9.0];

/// sRGB signals of the ground and of two inks.
const GROUND: f64 = 0.09;
const INK: f64 = 0.93;
const PALE_INK: f64 = 0.62;

/// Draws the legend of a map and its table, an sRGB picture; `name` says what it is of.
#[must_use]
pub fn legend(map: &ExposureMap, report: &MapReport, table: &Table3, name: &str) -> Frame {
    let height = ROWS_TOP + ROW * report.zones.len() + BELOW;
    let mut sheet = Sheet { height, pixels: vec![[GROUND; 3]; WIDTH * height] };
    heading(&mut sheet, map, report, name);
    for (row, (zone, colour)) in report.zones.iter().zip(map.zones()).rev().enumerate() {
        zone_row(&mut sheet, zone, colour.colour, ROWS_TOP + ROW * row);
    }
    let top = ROWS_TOP + ROW * report.zones.len();
    strip(&mut sheet, map, table, top + 74);
    footer(&mut sheet, report, top + 228);
    let codes = sheet.pixels.iter().flatten().map(|value| code8(*value)).collect::<Vec<u8>>();
    Frame::from_eight_bit(WIDTH, height, false, &codes).expect("a legend has as many pixels as its sides say, and few")
}

fn code8(value: f64) -> u8 {
    (value.clamp(0.0, 1.0) * 255.0).round() as u8
}

fn heading(sheet: &mut Sheet, map: &ExposureMap, report: &MapReport, name: &str) {
    let plan = map.plan();
    let title = Lettering::new(52.0, Weight::Bold);
    sheet.text(&title, &title.fitted(&format!("Exposure map  {name}"), (WIDTH - 2 * MARGIN) as f32), MARGIN, 48, INK);
    let index = plan.camera.curve.exposure_index().map_or(String::new(), |index| format!(" EI {index}"));
    let zero =
        if report.zero_stops == 0.0 { String::new() } else { format!("  ·  zero at {:+} stops", report.zero_stops) };
    let told = format!(
        "{}{index} / {}  →  {} / {}  ·  {} points  ·  input {}, output {}{zero}",
        plan.camera.curve.encoding().id,
        plan.camera.gamut.id,
        plan.display.encoding.id(),
        plan.display.gamut.id,
        report.size,
        plan.device.input_levels.id(),
        plan.device.output_levels.id()
    );
    let small = Lettering::new(26.0, Weight::Regular);
    sheet.text(&small, &small.fitted(&told, (WIDTH - 2 * MARGIN) as f32), MARGIN, 114, PALE_INK);
    let head = Lettering::new(24.0, Weight::Regular);
    let top = ROWS_TOP - 40;
    sheet.text(&head, "zone", MARGIN, top, PALE_INK);
    sheet.text(&head, "stops from grey", STOPS_LEFT, top, PALE_INK);
    sheet.text(&head, "10-bit codes", CODES_LEFT, top, PALE_INK);
    let kinds = Vision::ALL.iter().map(|vision| vision.id()).chain(["b & w"]);
    for (place, kind) in kinds.enumerate() {
        sheet.text(&head, kind, VISIONS_LEFT + VISION_WIDTH * place + 4, top, PALE_INK);
    }
}

fn zone_row(sheet: &mut Sheet, zone: &ZoneReport, light: Rgb, top: usize) {
    sheet.fill([MARGIN, top], [STOPS_LEFT - MARGIN - 32, BAR], zone.srgb);
    let letters = Lettering::new(32.0, Weight::Bold);
    let luminance = luminance(light);
    // Black and white are equally far in contrast at a luminance of 0.18.
    let ink = if luminance > 0.18 { 0.04 } else { 1.0 };
    let name = letters.fitted(&zone.name, (STOPS_LEFT - MARGIN - 32 - 40) as f32);
    sheet.text(&letters, &name, MARGIN + 20, top + 11, ink);
    let figures = Lettering::new(30.0, Weight::Regular);
    let (stops, ink) = if zone.shown { (reach(zone), INK) } else { ("never shown".to_owned(), PALE_INK) };
    sheet.text(&figures, &stops, STOPS_LEFT, top + 12, ink);
    if let Some([first, last]) = zone.codes {
        let codes = if first == last { format!("{first}") } else { format!("{first} – {last}") };
        sheet.text(&figures, &codes, CODES_LEFT, top + 12, INK);
    }
    let seen = zone.seen.iter().map(|seen| seen.srgb).chain([srgb([luminance; 3])]);
    for (place, colour) in seen.enumerate() {
        // Without a gap between rows: what must keep apart stands side by side.
        let gap = ROW - BAR;
        sheet.fill([VISIONS_LEFT + VISION_WIDTH * place, top - gap / 2], [VISION_WIDTH - 14, ROW], colour);
    }
}

/// The stops of a zone in words.
#[must_use]
pub(super) fn reach(zone: &ZoneReport) -> String {
    match (zone.from_stops, zone.to_stops) {
        (None, Some(to)) => format!("below {}", signed(to)),
        (Some(from), None) => format!("from {}", signed(from)),
        (Some(from), Some(to)) => format!("{} to {}", signed(from), signed(to)),
        (None, None) => String::new(),
    }
}

/// Stops with a sign and at most two decimals.
fn signed(stops: f64) -> String {
    let rounded = (100.0 * stops).round() / 100.0;
    if rounded == 0.0 { "0".to_owned() } else { format!("{rounded:+}").replace('-', "−") }
}

fn luminance(light: Rgb) -> f64 {
    let weights = BT709.to_xyz().row(1).into_owned();
    weights[0] * light[0] + weights[1] * light[1] + weights[2] * light[2]
}

/// A grey, exposed up from left to right, through the table as the device applies it.
fn strip(sheet: &mut Sheet, map: &ExposureMap, table: &Table3, top: usize) {
    let small = Lettering::new(24.0, Weight::Regular);
    sheet.text(&small, "a grey, exposed up, through the written table", MARGIN, top - 38, PALE_INK);
    let plan = map.plan();
    let white = plan.display.encoding.needs_peak().then(|| plan.display.diffuse_white() * plan.display.peak_nits);
    let screen = Screen::new(plan, white);
    let across = WIDTH - 2 * MARGIN;
    let [from, to] = STRIP_STOPS;
    for column in 0..across {
        let stops = from + (to - from) * (column as f64 + 0.5) / across as f64;
        let (_, u) = map.grey(stops);
        let out = table.sample(u, plan.device.interpolation).map(|value| plan.device.output_levels.from_signal(value));
        let seen = screen.signal(out).map(|value| value.clamp(0.0, 1.0));
        sheet.fill([MARGIN + column, top], [1, STRIP], seen);
    }
    let mut stops = from;
    while stops <= to {
        let x = MARGIN + ((stops - from) / (to - from) * across as f64) as usize;
        sheet.fill([x.min(WIDTH - MARGIN - 2), top + STRIP + 4], [2, 10], [PALE_INK; 3]);
        let text = signed(stops);
        let left = x.saturating_sub((small.width(&text) / 2.0) as usize);
        sheet.text(&small, &text, left, top + STRIP + 18, PALE_INK);
        stops += 1.0;
    }
}

fn footer(sheet: &mut Sheet, report: &MapReport, top: usize) {
    let small = Lettering::new(24.0, Weight::Regular);
    let kinds = report.separations.visions.iter().map(|one| format!("{} {:.0}", one.vision, one.neighbours));
    let apart = format!(
        "neighbours differ by at least ΔE2000: {}  ·  in black and white by {:.1} L*",
        kinds.collect::<Vec<_>>().join(", "),
        report.separations.grey_steps
    );
    sheet.text(&small, &apart, MARGIN, top, PALE_INK);
    let unheld: Vec<&str> =
        report.zones.iter().filter(|zone| zone.held == Some(false)).map(|zone| zone.name.as_str()).collect();
    if !unheld.is_empty() {
        let told = format!("{} points can't hold: {}", report.size, unheld.join(", "));
        sheet.text(&small, &small.fitted(&told, (WIDTH - 2 * MARGIN) as f32), MARGIN, top + 38, INK);
    }
}

/// A picture in the making, sRGB signals.
struct Sheet {
    height: usize,
    pixels: Vec<Rgb>,
}

impl Sheet {
    fn fill(&mut self, [left, top]: [usize; 2], [width, height]: [usize; 2], colour: Rgb) {
        for y in top..(top + height).min(self.height) {
            self.pixels[y * WIDTH + left..y * WIDTH + (left + width).min(WIDTH)].fill(colour);
        }
    }

    fn text(&mut self, letters: &Lettering, text: &str, left: usize, top: usize, ink: f64) {
        let (height, pixels) = (self.height, &mut self.pixels);
        letters.draw(text, [left as f32, top as f32], |x, y, coverage| {
            if x < WIDTH && y < height {
                let pixel = &mut pixels[y * WIDTH + x];
                *pixel = pixel.map(|value| value + f64::from(coverage) * (ink - value));
            }
        });
    }
}

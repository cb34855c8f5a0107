//! Where the fields of the test frames stand.

use super::canvas::{Area, Canvas, Letters, tick_width};
use super::chart_frame::ChartKind;
use crate::maths::{GREY, Rgb, linear_from_stops};

/// Grey scale: half stops from −8 to +8.
const GREY_STEPS: usize = 33;
const GREY_LOWEST_STOPS: f64 = -8.0;
const GREY_STEP_STOPS: f64 = 0.5;

/// Reference chips of the grey scale: no light, 18 % and the 90 % of a white card.
const WHITE_CARD: f64 = 0.9;

/// The exposures of the sheet of patches, in stops.
const PATCH_EXPOSURES: [f64; 7] = [-3.0, -2.0, -1.0, 0.0, 1.0, 2.0, 3.0];

/// The card between the patches, at the exposure of the chart: darker than its black patch (about 3 %).
const CARD: f64 = 0.02;

/// Patches in a row of a chart.
const PATCH_COLUMNS: usize = 6;

/// Whole stops from −6 to +6, of the wedge and of the exposure sweep.
const WHOLE_STOPS: i32 = 6;
const WHOLE_STEPS: usize = 2 * WHOLE_STOPS as usize + 1;

/// Flat hues of the hue sweep, and their saturations from the top.
const HUES: usize = 24;
const SATURATIONS: [f64; 4] = [1.0, 0.75, 0.5, 0.25];

/// The six corners of an RGB cube between black and white: hue in degrees, name, label.
const CORNERS: [(f64, &str, &str); 6] = [
    (0.0, "red", "R"),
    (60.0, "yellow", "Y"),
    (120.0, "green", "G"),
    (180.0, "cyan", "C"),
    (240.0, "blue", "B"),
    (300.0, "magenta", "M"),
];

/// Draws a chart into an area.
pub(super) fn draw(canvas: &mut Canvas, kind: ChartKind, patches: &[(String, Rgb)], area: Area) {
    match kind {
        ChartKind::GreyScale => grey_scale(canvas, area),
        ChartKind::Patches => patch_sheet(canvas, patches, area),
        ChartKind::PatchesAt(stops) => {
            patch_chart(canvas, patches, area.without_margin(area.height / 30), stops, Letters::of(area.height));
        }
        ChartKind::HueSweep => hue_sweep(canvas, area),
        ChartKind::ExposureSweep => exposure_sweep(canvas, area),
        ChartKind::Sheet => {
            let kinds = [ChartKind::GreyScale, ChartKind::Patches, ChartKind::HueSweep, ChartKind::ExposureSweep];
            for (place, kind) in kinds.into_iter().enumerate() {
                draw(canvas, kind, patches, area.cell(2, 2, place % 2, place / 2));
            }
        }
    }
}

/// A crossed grey scale: ramp and steps one way, chips, steps and ramp the other way.
fn grey_scale(canvas: &mut Canvas, area: Area) {
    let (tick, letters) = (tick_width(area.height), Letters::of(area.height));
    let inner = Area { x: area.x + area.width / 40, width: area.width - area.width / 20, ..area };
    let (left, step) = inner.columns(GREY_STEPS);
    let band = Area { x: left, width: step * GREY_STEPS, ..area };
    grey_ramp(canvas, band.rows(0.06, 0.18), step, false);
    grey_steps(canvas, band.rows(0.21, 0.38), step, false);
    stop_labels(canvas, band.rows(0.38, 0.44), step, (tick, letters), false);
    grey_chips(canvas, band.rows(0.445, 0.555));
    stop_labels(canvas, band.rows(0.57, 0.62), step, (tick, letters), true);
    grey_steps(canvas, band.rows(0.62, 0.79), step, true);
    grey_ramp(canvas, band.rows(0.82, 0.94), step, true);
}

/// Stops of a step counted from the left; the scale that falls is the mirror image.
fn grey_stops(step: f64, falling: bool) -> f64 {
    let stops = GREY_LOWEST_STOPS + step * GREY_STEP_STOPS;
    // Subtracted, so that the middle is 0 and not −0.
    if falling { 0.0 - stops } else { stops }
}

fn grey_steps(canvas: &mut Canvas, band: Area, step: usize, falling: bool) {
    outline(canvas, band);
    for index in 0..GREY_STEPS {
        let stops = grey_stops(index as f64, falling);
        let name = format!("grey {}{}", signed(stops), if falling { " falling" } else { "" });
        let field = Area { x: band.x + index * step, width: step, ..band };
        canvas.field(field, name, stops, [linear_from_stops(stops); 3]);
    }
}

/// A dark line around a band, so that the steps near grey don't melt into the surround.
fn outline(canvas: &mut Canvas, band: Area) {
    let line = band.height / 60 + 1;
    let (x, y) = (band.x.saturating_sub(line), band.y.saturating_sub(line));
    canvas.fill(Area { x, y, width: band.width + 2 * line, height: band.height + 2 * line }, [CARD; 3]);
}

/// A ramp that has the level of each step in the middle of that step.
fn grey_ramp(canvas: &mut Canvas, band: Area, step: usize, falling: bool) {
    canvas.paint(band, |x, _| [linear_from_stops(grey_stops((x as f64 + 0.5) / step as f64 - 0.5, falling)); 3]);
}

fn stop_labels(canvas: &mut Canvas, band: Area, step: usize, (tick, letters): (usize, Letters), ticks_below: bool) {
    for index in (0..GREY_STEPS).step_by(2) {
        let centre = band.x + index * step + step / 2;
        let tick_y = if ticks_below { (band.y + band.height).saturating_sub(3 * tick) } else { band.y };
        canvas.mark(Area { x: centre.saturating_sub(tick / 2), y: tick_y, width: tick, height: 3 * tick });
        let top = if ticks_below { tick_y.saturating_sub(letters.digits + 2 * tick) } else { band.y + 5 * tick };
        canvas.label(&signed(grey_stops(index as f64, ticks_below)), centre, top, letters);
    }
}

fn grey_chips(canvas: &mut Canvas, band: Area) {
    let chips = [("no light", f64::NEG_INFINITY, 0.0), ("18 %", 0.0, GREY), ("90 %", stops_of(WHITE_CARD), WHITE_CARD)];
    // The middle fifth of the band, so that the chips stand apart from the scales.
    let middle = band.cell(5, 1, 2, 0);
    let frame = middle.height / 20 + 1;
    canvas.fill(middle, [CARD; 3]);
    for (index, (name, stops, linear)) in chips.into_iter().enumerate() {
        let chip = middle.cell(chips.len(), 1, index, 0).without_margin(frame);
        canvas.field(chip, name.to_owned(), stops, [linear; 3]);
    }
}

fn patch_sheet(canvas: &mut Canvas, patches: &[(String, Rgb)], area: Area) {
    let margin = area.height / 60;
    let inner = area.without_margin(margin);
    for (place, stops) in PATCH_EXPOSURES.into_iter().enumerate() {
        let cell = inner.cell(3, 3, place % 3, place / 3);
        patch_chart(canvas, patches, cell.without_margin(margin), stops, Letters::of(area.height));
    }
    let (first, last) = (inner.cell(3, 3, 1, 2), inner.cell(3, 3, 2, 2));
    let wedge = Area { width: last.x + last.width - first.x, ..first };
    let labels = (tick_width(area.height), Letters::of(area.height));
    whole_stop_wedge(canvas, wedge.without_margin(margin), labels);
}

/// Room above a chart of patches, of its area's height: for a label, which may reach into the margin above.
const HEADING: usize = 130;

/// One chart of patches on its card, with the exposure above it.
fn patch_chart(canvas: &mut Canvas, patches: &[(String, Rgb)], area: Area, stops: f64, letters: Letters) {
    let part = (area.height / HEADING).max(1);
    let heading = 9 * part;
    let rows = patches.len().div_ceil(PATCH_COLUMNS);
    let gap = (area.width / 160).max(1);
    let room = |length: usize, count: usize| length.saturating_sub(gap * (count + 1)) / count;
    let side = room(area.width, PATCH_COLUMNS).min(room(area.height.saturating_sub(heading), rows)).max(1);
    let width = PATCH_COLUMNS * (side + gap) + gap;
    let height = rows * (side + gap) + gap;
    let x = area.x + area.width.saturating_sub(width) / 2;
    let y = area.y + heading + area.height.saturating_sub(heading + height) / 2;
    let gain = linear_from_stops(stops) / GREY;
    canvas.label(&signed(stops), x + width / 2, y.saturating_sub(2 * part + letters.digits), letters);
    canvas.fill(Area { x, y, width, height }, [CARD * gain; 3]);
    for (index, (name, linear)) in patches.iter().enumerate() {
        let (column, row) = (index % PATCH_COLUMNS, index / PATCH_COLUMNS);
        let patch =
            Area { x: x + gap + column * (side + gap), y: y + gap + row * (side + gap), width: side, height: side };
        canvas.field(patch, format!("{name} {}", signed(stops)), stops, linear.map(|value| value * gain));
    }
}

fn whole_stop_wedge(canvas: &mut Canvas, area: Area, (tick, letters): (usize, Letters)) {
    let (left, step) = area.columns(WHOLE_STEPS);
    let band = area.rows(0.25, 0.75);
    outline(canvas, Area { x: left, width: step * WHOLE_STEPS, ..band });
    for index in 0..WHOLE_STEPS {
        let stops = index as f64 - f64::from(WHOLE_STOPS);
        let field = Area { x: left + index * step, width: step, ..band };
        canvas.field(field, format!("wedge {}", signed(stops)), stops, [linear_from_stops(stops); 3]);
        canvas.label(&signed(stops), field.x + step / 2, band.y + band.height + 3 * tick, letters);
    }
}

/// A continuous field of hue across and saturation down, and flat hues under it.
fn hue_sweep(canvas: &mut Canvas, area: Area) {
    let (tick, letters) = (tick_width(area.height), Letters::of(area.height));
    let inner = Area { x: area.x + area.width / 40, width: area.width - area.width / 20, ..area };
    let (left, step) = inner.columns(HUES);
    let band = Area { x: left, width: step * HUES, ..area };
    let degrees_per_step = 360.0 / HUES as f64;
    let sweep = band.rows(0.06, 0.5);
    canvas.paint(sweep, |x, y| {
        let hue = ((x as f64 + 0.5) / step as f64 - 0.5) * degrees_per_step;
        saturated(hue, 1.0 - (y as f64 + 0.5) / sweep.height as f64)
    });
    let labels = band.rows(0.5, 0.57);
    for (hue, _, letter) in CORNERS {
        let centre = left + (hue / degrees_per_step) as usize * step + step / 2;
        canvas.mark(Area { x: centre.saturating_sub(tick / 2), y: labels.y, width: tick, height: 3 * tick });
        canvas.label(letter, centre, labels.y + 5 * tick, letters);
    }
    let flat = band.rows(0.58, 0.94);
    for (row, saturation) in SATURATIONS.into_iter().enumerate() {
        let line = flat.cell(1, SATURATIONS.len(), 0, row);
        for index in 0..HUES {
            let hue = index as f64 * degrees_per_step;
            let field = Area { x: left + index * step, width: step, height: line.height.saturating_sub(tick), ..line };
            canvas.field(field, format!("hue {hue} saturation {saturation}"), 0.0, saturated(hue, saturation));
        }
    }
}

/// Rows of neutral and of the corners of RGB, full and half saturated; columns of whole stops.
fn exposure_sweep(canvas: &mut Canvas, area: Area) {
    let letters = Letters::of(area.height);
    let inner = Area { x: area.x + area.width / 20, width: area.width - area.width / 10, ..area }.rows(0.09, 0.95);
    let (left, step) = inner.columns(WHOLE_STEPS);
    let gap = (area.height / 250).max(1);
    canvas.fill(
        Area {
            x: left.saturating_sub(gap),
            y: inner.y.saturating_sub(gap),
            width: step * WHOLE_STEPS + gap,
            height: inner.height + gap,
        },
        [CARD; 3],
    );
    let mut rows: Vec<(String, &str, Rgb)> = vec![("neutral".to_owned(), "N", [GREY; 3])];
    for (hue, name, letter) in CORNERS {
        rows.push((name.to_owned(), letter, saturated(hue, 1.0)));
        rows.push((format!("{name} half"), "", saturated(hue, 0.5)));
    }
    for (row, (name, letter, colour)) in rows.iter().enumerate() {
        let line = inner.cell(1, rows.len(), 0, row);
        let middle = line.y + line.height.saturating_sub(letters.digits) / 2;
        canvas.label(letter, area.x + area.width / 40, middle, letters);
        for index in 0..WHOLE_STEPS {
            let stops = index as f64 - f64::from(WHOLE_STOPS);
            let gain = linear_from_stops(stops) / GREY;
            let field = Area {
                x: left + index * step,
                width: step.saturating_sub(gap),
                height: line.height.saturating_sub(gap),
                ..line
            };
            canvas.field(field, format!("{name} {}", signed(stops)), stops, colour.map(|value| value * gain));
        }
    }
    for index in 0..WHOLE_STEPS {
        let centre = left + index * step + step / 2;
        canvas.label(&signed(index as f64 - f64::from(WHOLE_STOPS)), centre, area.y + area.height / 30, letters);
    }
}

/// A hue of the camera's RGB at a saturation of 0..1. The mean of the channels is that of grey; at 1 the lowest
/// channel is 0.
fn saturated(hue_degrees: f64, saturation: f64) -> Rgb {
    // The usual hexagon: each channel is 1 within 60° of its own hue, 0 beyond 120°, and straight between.
    let pure = [0.0, 120.0, 240.0].map(|own: f64| {
        let distance = (hue_degrees - own).rem_euclid(360.0);
        (2.0 - distance.min(360.0 - distance) / 60.0).clamp(0.0, 1.0)
    });
    let mean = (pure[0] + pure[1] + pure[2]) / 3.0;
    pure.map(|channel| GREY * (1.0 - saturation + saturation * channel / mean))
}

fn stops_of(linear: f64) -> f64 {
    crate::maths::stops_from_grey(linear)
}

/// Stops with their sign: `+1.5`, `0`, `-2`.
fn signed(stops: f64) -> String {
    if stops == 0.0 { "0".to_owned() } else { format!("{stops:+}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hues_keep_the_level_of_grey_and_stay_inside_the_gamut() {
        for hue in 0..720 {
            for saturation in [0.0, 0.25, 1.0] {
                let colour = saturated(f64::from(hue) - 180.0, saturation);
                let mean = (colour[0] + colour[1] + colour[2]) / 3.0;
                // Three roundings of a value near 0.18.
                assert!((mean - GREY).abs() < 1e-15, "hue {hue}, saturation {saturation}: mean {mean}");
                assert!(colour.iter().all(|&channel| channel >= 0.0), "hue {hue}, saturation {saturation}: {colour:?}");
            }
        }
        assert_eq!(saturated(0.0, 1.0), [3.0 * GREY, 0.0, 0.0]);
    }
}

//! Test frames for any camera: scene light with known stops and colours, encoded in the camera's own log.

use super::canvas::{Area, Canvas};
use super::chart_layout::draw;
use super::{Frame, MAX_PIXELS, MAX_SIDE, pixel_count};
use crate::diagnostics::{Diagnostic, codes};
use crate::maths::{CODE10_MAX, Rgb};

/// The most patches of one chart; more would be a mistake.
const MAX_PATCHES: usize = 240;

/// What a test frame shows. Everything stands on a surround of 18 % grey.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ChartKind {
    /// −8…+8 stops as a continuous ramp and in half stops, both again in the opposite direction, and chips of no
    /// light, 18 % and 90 %.
    GreyScale,
    /// The patches, six to a row, at −3…+3 stops: seven charts on a sheet, and a wedge of whole stops beside them.
    Patches,
    /// The patches once, as large as the frame allows, at this many stops from their own exposure (−12…+12).
    PatchesAt(f64),
    /// All hues and saturations of the camera's RGB at the level of grey, as a continuous field and in flat steps.
    HueSweep,
    /// Neutral, the camera's primaries and their pairs, each full and half saturated, at −6…+6 stops.
    ExposureSweep,
    /// Grey scale, patches, hue sweep and exposure sweep, a quarter of the frame each.
    Sheet,
}

impl ChartKind {
    /// The kinds without a number, in the order of the sheet.
    pub const ALL: &[Self] = &[Self::GreyScale, Self::Patches, Self::HueSweep, Self::ExposureSweep, Self::Sheet];

    /// The name on the command line and in file names.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::GreyScale => "grey-scale",
            Self::Patches | Self::PatchesAt(_) => "patches",
            Self::HueSweep => "hue-sweep",
            Self::ExposureSweep => "exposure-sweep",
            Self::Sheet => "sheet",
        }
    }

    /// The kind with this name, spelled in any case and with or without hyphens.
    #[must_use]
    pub fn find(name: &str) -> Option<Self> {
        let canonical = crate::colour::canonical_name(name);
        Self::ALL.iter().copied().find(|kind| crate::colour::canonical_name(kind.id()) == canonical)
    }

    /// The smallest frame whose fields can still be measured: width and height.
    #[must_use]
    pub fn smallest_size(self) -> (usize, usize) {
        match self {
            Self::Sheet => (1280, 720),
            _ => (640, 360),
        }
    }
}

/// One flat field of a test frame.
#[derive(Clone, Debug, PartialEq)]
pub struct Field {
    /// Its name, once in a frame, such as `grey +1.5` or `foliage -2`.
    pub name: String,
    /// Stops from grey for greys; for colours, stops from the colour's own level.
    pub stops: f64,
    /// Left edge, pixels from the left of the frame.
    pub x: usize,
    /// Upper edge, pixels from the top of the frame.
    pub y: usize,
    /// Pixels across.
    pub width: usize,
    /// Pixels down.
    pub height: usize,
    /// Scene light in the camera's RGB; 18 % grey is 0.18.
    pub linear: Rgb,
    /// The signal in the frame before rounding, 0..1 full range.
    pub signal: Rgb,
    /// The same on the 10-bit scale, full range, rounded to the nearest.
    pub code10: [u16; 3],
    /// Whether the encoding goes outside 0..1 here, so that the frame can't show this light.
    pub clipped: bool,
}

/// A test frame and what stands where in it.
#[derive(Clone, Debug, PartialEq)]
pub struct ChartFrame {
    /// The frame: 16-bit codes, full range.
    pub frame: Frame,
    /// Its flat fields, in reading order of each chart.
    pub fields: Vec<Field>,
}

/// Draws a test frame.
///
/// `encode` turns scene light in the camera's RGB (18 % grey is 0.18) into the signal of the camera's log, 0..1 full
/// range; signals outside are clamped in the frame and marked at the field. `patches` are names and scene light in
/// the camera's RGB; only the charts of patches use them.
///
/// Hues and saturations are those of the camera's RGB with the mean of the three channels held, and not its
/// luminance: primaries of wide camera gamuts are no real colours, and some have a luminance below zero.
///
/// # Errors
/// The frame is smaller than [`ChartKind::smallest_size`] or larger than a frame may be, the exposure is out of
/// range, or a chart of patches has no patches, too many, or one that is not finite.
///
/// ```
/// use lookwright::picture::chart_frame::{ChartKind, render};
/// let square_root = |light: [f64; 3]| light.map(|value| value.max(0.0).sqrt() / 8.0);
/// let chart = render(ChartKind::GreyScale, &square_root, &[], 1920, 1080).unwrap();
/// let grey = chart.fields.iter().find(|field| field.name == "18 %").unwrap();
/// assert_eq!(grey.code10, [54; 3]); // √0.18 / 8 · 1023
/// ```
pub fn render(
    kind: ChartKind,
    encode: &(dyn Fn(Rgb) -> Rgb + Sync),
    patches: &[(String, Rgb)],
    width: usize,
    height: usize,
) -> Result<ChartFrame, Vec<Diagnostic>> {
    let faults = [size_fault(kind, width, height), patches_fault(kind, patches)];
    let faults: Vec<Diagnostic> = faults.into_iter().flatten().collect();
    if !faults.is_empty() {
        return Err(faults);
    }
    let mut canvas = Canvas::new(width, height, encode);
    draw(&mut canvas, kind, patches, Area { x: 0, y: 0, width, height });
    let (codes, fields) = canvas.finish();
    let frame = Frame::from_sixteen_bit(width, height, false, codes);
    // The size was checked, so the frame exists; a wrong one would still be said and not be shown.
    frame.map(|frame| ChartFrame { frame, fields }).ok_or_else(|| vec![too_large(width, height)])
}

fn size_fault(kind: ChartKind, width: usize, height: usize) -> Option<Diagnostic> {
    let (least_width, least_height) = kind.smallest_size();
    if width < least_width || height < least_height {
        let message = format!("a frame of {width} × {height} pixels is too small for the {} chart", kind.id());
        return Some(
            Diagnostic::error(&codes::CHART_IMPOSSIBLE, message)
                .help(format!("it needs at least {least_width} × {least_height} pixels")),
        );
    }
    pixel_count(width, height).is_none().then(|| too_large(width, height))
}

fn too_large(width: usize, height: usize) -> Diagnostic {
    Diagnostic::error(&codes::CHART_IMPOSSIBLE, format!("a frame of {width} × {height} pixels is too large"))
        .help(format!("the most is {MAX_SIDE} pixels a side and {} megapixels in all", MAX_PIXELS / 1_000_000))
}

fn patches_fault(kind: ChartKind, patches: &[(String, Rgb)]) -> Option<Diagnostic> {
    let impossible =
        |message: String, help: &str| Some(Diagnostic::error(&codes::CHART_IMPOSSIBLE, message).help(help));
    if matches!(kind, ChartKind::GreyScale | ChartKind::HueSweep | ChartKind::ExposureSweep) {
        return None;
    }
    if let ChartKind::PatchesAt(stops) = kind
        && !(-12.0..=12.0).contains(&stops)
    {
        return impossible(
            format!("the patches can't be shown at {stops} stops"),
            "choose an exposure from -12 to +12 stops",
        );
    }
    if patches.is_empty() || patches.len() > MAX_PATCHES {
        return impossible(format!("a chart can't have {} patches", patches.len()), "give 1 to 240 patches");
    }
    let (name, linear) = patches.iter().find(|(_, linear)| !linear.iter().all(|value| value.is_finite()))?;
    impossible(format!("the patch {name} has the light {linear:?}"), "every channel must be a finite number")
}

/// The 10-bit code of a signal of 0..1, full range.
pub(super) fn code10(signal: f64) -> u16 {
    (signal * CODE10_MAX + 0.5) as u16
}

/// The sidecar of a test frame: comma-separated, one line for each field under a line of headings (RFC 4180, but with
/// LF). Linear and signal have 9 decimals; a code is on the 10-bit scale, full range.
#[must_use]
pub fn sidecar(chart: &ChartFrame) -> String {
    let mut text = String::from(
        "field,stops,x,y,width,height,linear_r,linear_g,linear_b,\
         signal_r,signal_g,signal_b,code10_r,code10_g,code10_b,clipped\n",
    );
    for field in &chart.fields {
        let [lr, lg, lb] = field.linear;
        let [sr, sg, sb] = field.signal;
        let [cr, cg, cb] = field.code10;
        let clipped = if field.clipped { "yes" } else { "no" };
        let (name, stops) = (quoted(&field.name), field.stops);
        let Field { x, y, width, height, .. } = field;
        text.push_str(&format!(
            "{name},{stops},{x},{y},{width},{height},{lr:.9},{lg:.9},{lb:.9},{sr:.9},{sg:.9},{sb:.9},{cr},{cg},{cb},{clipped}\n"
        ));
    }
    text
}

fn quoted(text: &str) -> String {
    if text.contains([',', '"', '\n', '\r']) { format!("\"{}\"", text.replace('"', "\"\"")) } else { text.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_with_commas_and_quotes_stay_one_cell() {
        assert_eq!(quoted("sea, deep \"blue\""), "\"sea, deep \"\"blue\"\"\"");
        assert_eq!(quoted("foliage -2"), "foliage -2");
    }

    #[test]
    fn every_kind_is_found_by_its_name() {
        for kind in ChartKind::ALL {
            assert_eq!(ChartKind::find(&kind.id().to_uppercase()), Some(*kind), "{}", kind.id());
        }
        assert_eq!(ChartKind::find("greyscale"), Some(ChartKind::GreyScale));
        assert_eq!(ChartKind::find("stripes"), None);
    }
}

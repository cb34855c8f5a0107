//! The published curves that a table may go between: camera encodings and display encodings alike.

use crate::colour::displays::{Display, DisplayEncoding};
use crate::colour::encodings::{Curve, ENCODINGS, Functions};

/// Peak of the displays that need one, cd/m²: the usual mastering peak (common practice).
const PEAK_NITS: f64 = 1000.0;

/// A curve between signal and light.
#[derive(Clone, Copy, Debug)]
pub(super) enum Transfer {
    /// Scene light, grey at 0.18.
    Camera(Curve),
    /// Display light, white at 1.
    Display(Display),
}

impl Transfer {
    /// Every published curve, each exposure index for itself. Curves that differ in name only stand once.
    pub(super) fn all() -> Vec<Self> {
        let mut all: Vec<Self> = camera_curves().into_iter().map(Self::Camera).collect();
        let displays = DisplayEncoding::ALL.into_iter().filter(|encoding| *encoding != DisplayEncoding::Gamma24);
        all.extend(displays.map(|encoding| Self::Display(Display::new(encoding, PEAK_NITS))));
        all
    }

    pub(super) fn decode(&self, signal: f64) -> f64 {
        match self {
            Self::Camera(curve) => curve.decode(signal),
            Self::Display(display) => display.decode([signal; 3])[1],
        }
    }

    pub(super) fn encode(&self, light: f64) -> f64 {
        match self {
            Self::Camera(curve) => curve.encode(light),
            Self::Display(display) => display.encode([light; 3])[1],
        }
    }

    pub(super) fn is_linear(&self) -> bool {
        matches!(self, Self::Camera(curve) if curve.encoding().id == "linear")
    }

    pub(super) fn is_camera(&self) -> bool {
        matches!(self, Self::Camera(_)) && !self.is_linear()
    }

    /// Its name in messages.
    pub(super) fn name(&self) -> String {
        match self {
            Self::Camera(curve) => curve_name(curve),
            Self::Display(display) if display.encoding().needs_peak() => {
                format!("{} {PEAK_NITS} nits", display.encoding().id())
            }
            Self::Display(display) => display.encoding().id().to_owned(),
        }
    }
}

/// Every camera curve, each exposure index for itself.
pub(super) fn camera_curves() -> Vec<Curve> {
    let mut curves = Vec::new();
    for encoding in ENCODINGS {
        match encoding.functions {
            Functions::Fixed { .. } => curves.extend(Curve::new(encoding, None)),
            Functions::ByExposureIndex { indices, .. } => {
                curves.extend(indices.iter().filter_map(|index| Curve::new(encoding, Some(*index)).ok()));
            }
        }
    }
    curves
}

/// A curve's name with its exposure index: `logc3 EI 800`.
pub(super) fn curve_name(curve: &Curve) -> String {
    let index = curve.exposure_index().map_or(String::new(), |index| format!(" EI {index}"));
    format!("{}{index}", curve.encoding().id)
}

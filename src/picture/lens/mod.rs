//! What hangs before the camera, simulated on a still: a diffusion filter on the lens, and haze in the air.
//!
//! For previews only. Both look at a pixel's neighbours, and no LUT can: whatever comes from here is labelled
//! ([`Lens::label`]) and never part of a LUT. Section "Lens simulation" of `docs/seeing.md` has the equations.

mod blur;
mod caption;
mod compare;
mod filter;
mod kernel;
mod through;

pub use caption::burnt;
pub use compare::{Comparison, compare};
pub use filter::{Halo, LensFilter, MOST_RADIUS};
pub use through::{Seen, Shown, show};

use crate::diagnostics::{Diagnostic, codes};

/// What hangs before the camera.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Lens {
    /// The filter on the lens.
    pub filter: LensFilter,
    /// Haze between the lens and the scene.
    pub haze: Haze,
}

impl Lens {
    /// Whether it changes nothing.
    #[must_use]
    pub fn is_identity(&self) -> bool {
        self.filter.is_identity() && self.haze.is_identity()
    }

    /// What must stand in a picture that it was applied to, and in the picture's metadata. `None` where it changes nothing.
    ///
    /// ```
    /// use lookwright::picture::lens::{Haze, Lens, LensFilter};
    /// let lens = Lens { filter: LensFilter::grade("1/4").unwrap(), haze: Haze::default() };
    /// assert_eq!(lens.label().unwrap(), "lens diffusion 1/4 simulated: on the lens, not in the LUT");
    /// ```
    #[must_use]
    pub fn label(&self) -> Option<String> {
        let filter = (!self.filter.is_identity())
            .then(|| format!("lens diffusion {} simulated: on the lens, not in the LUT", self.filter.name()));
        let haze = (!self.haze.is_identity()).then(|| self.haze.label());
        match (filter, haze) {
            (Some(filter), Some(haze)) => Some(format!("{filter} · {haze}")),
            (filter, haze) => filter.or(haze),
        }
    }
}

/// A veil of the frame's mean light, the same at every distance: a stand-in, for real haze grows with distance.
///
/// out = (1 − share) · x + share · (m + neutral · (Y − m)), with m the frame's mean and Y the neutral of m's luminance.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Haze {
    share: f64,
    neutral: f64,
}

impl Haze {
    /// The largest share of haze. This project's own choice: with more there is hardly a picture.
    pub const MOST: f64 = 0.5;

    /// Haze that takes a `share` of each pixel (0..0.5) and gives as much of the frame's mean back, from the mean's own colour
    /// (`neutral` 0) to the neutral of its luminance (1). With `neutral` 0 each channel's mean stays what it was, else the
    /// luminance's.
    ///
    /// # Errors
    /// A share or a neutral outside its range.
    pub fn new(share: f64, neutral: f64) -> Result<Self, Diagnostic> {
        within("share of the haze", share, [0.0, Self::MOST])?;
        within("neutral of the haze", neutral, [0.0, 1.0])?;
        Ok(Self { share, neutral })
    }

    /// How much of each pixel becomes veil.
    #[must_use]
    pub fn share(&self) -> f64 {
        self.share
    }

    /// How neutral the veil is.
    #[must_use]
    pub fn neutral(&self) -> f64 {
        self.neutral
    }

    /// Whether it changes nothing.
    #[must_use]
    pub fn is_identity(&self) -> bool {
        self.share == 0.0
    }

    fn label(&self) -> String {
        // To a tenth, and without one where it is none.
        let percent = (self.share * 1000.0).round() / 10.0;
        format!("haze {percent} % simulated: the same at every distance, a stand-in, not in the LUT")
    }
}

/// Whether a number lies in its range.
fn within(what: &str, value: f64, [least, most]: [f64; 2]) -> Result<(), Diagnostic> {
    if (least..=most).contains(&value) {
        return Ok(());
    }
    let message = format!("the {what} can't be {value}: expected {least} to {most}, found {value}");
    Err(Diagnostic::error(&codes::PREVIEW_IMPOSSIBLE, message).help(format!("write a number from {least} to {most}")))
}

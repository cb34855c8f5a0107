//! Diffusion filters for a lens: by grade, like a recipe's `[diffusion]`, or by numbers.

use super::within;
use crate::diagnostics::{Diagnostic, codes, nearest};
use crate::maths::exp2;
use crate::plan::Diffusion;
use crate::recipe::diffusion_preset;
use crate::recipe::parameter::DIFFUSION_GRADES;

/// The widest halo, σ as a fraction of the picture's height. This project's own choice: wider ones are a veil.
pub const MOST_RADIUS: f64 = 0.5;

/// The largest veil, as in a recipe.
const MOST_VEIL: f64 = 0.5;

/// How a grade shares out what it takes from a pixel: this project's own starting point, measured from no filter.
///
/// From one halo to the next the light in its middle falls about tenfold, so that they run into one and no shell is seen.
///
/// Near: softness and the glow around lamps. σ as a fraction of the picture's height, share of what stays near.
const NEAR: [(f64, f64); 3] = [(0.003, 0.55), (0.008, 0.33), (0.018, 0.12)];

/// Far: what lifts the shadows. The rest of it is the veil.
const FAR: [(f64, f64); 3] = [(0.055, 0.5), (0.11, 0.2), (0.25, 0.1)];

/// The part of the light that a filter spreads as one Gaussian.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Halo {
    /// Share of the light, 0..1.
    pub share: f64,
    /// σ as a fraction of the picture's height, above 0 and at most [`MOST_RADIUS`].
    pub radius: f64,
}

/// A diffusion filter: shares of the light that it spreads, and how far.
///
/// out = (1 − Σ aᵢ − v) · x + Σ aᵢ · (x ∗ Gᵢ) + v · mean
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LensFilter {
    name: String,
    halos: Vec<Halo>,
    veil: f64,
}

impl LensFilter {
    /// The filter of a grade: "1/8", "1/4", "1/2", "1" or "2", in tune with the recipe's preset of that grade.
    ///
    /// # Errors
    /// Another grade.
    pub fn grade(grade: &str) -> Result<Self, Diagnostic> {
        let Some(preset) = diffusion_preset(grade) else {
            let known = DIFFUSION_GRADES.join(", ");
            let message = format!("there is no diffusion filter of that grade: expected {known}, found \"{grade}\"");
            let near = nearest(grade, DIFFUSION_GRADES);
            let help = near.map_or_else(|| format!("write one of {known}"), |near| format!("did you mean \"{near}\"?"));
            return Err(Diagnostic::error(&codes::UNKNOWN_NAME, message).help(help));
        };
        Ok(Self { name: grade.to_owned(), ..Self::like(&preset) })
    }

    /// The filter that a recipe's diffusion stands for, as far as one can be told from the other: a point of light loses the
    /// most that the recipe takes from a highlight, and what goes far is the recipe's veil. Knee, softness and bleach say nothing
    /// about a filter.
    #[must_use]
    pub fn like(diffusion: &Diffusion) -> Self {
        let far = diffusion.veil;
        let near = (1.0 - exp2(-diffusion.loss_stops) - far).max(0.0);
        let halo = |of: f64| move |(radius, part): (f64, f64)| Halo { share: of * part, radius };
        let halos: Vec<Halo> = NEAR.into_iter().map(halo(near)).chain(FAR.into_iter().map(halo(far))).collect();
        let veil = far * (1.0 - FAR.iter().map(|(_, part)| part).sum::<f64>());
        Self::clean("like the recipe's", halos, veil)
    }

    /// A filter by its numbers. `name` stands in labels.
    ///
    /// # Errors
    /// A share, radius or veil outside its range, or more light than there is.
    pub fn new(name: &str, halos: &[Halo], veil: f64) -> Result<Self, Diagnostic> {
        within("veil", veil, [0.0, MOST_VEIL])?;
        for halo in halos {
            within("share of a halo", halo.share, [0.0, 1.0])?;
            let radius = halo.radius;
            if !(radius > 0.0 && radius <= MOST_RADIUS) {
                let message = format!(
                    "the radius of a halo can't be {radius}: expected above 0 to {MOST_RADIUS}, found {radius}"
                );
                let help = "write σ as a fraction of the picture's height, such as 0.02";
                return Err(Diagnostic::error(&codes::PREVIEW_IMPOSSIBLE, message).help(help));
            }
        }
        let filter = Self::clean(name, halos.to_vec(), veil);
        let sum = filter.spread();
        // A hair more is rounding of shares that were written to sum to 1.
        if sum > 1.0 + 1e-9 {
            let message = format!(
                "a filter can't spread more light than there is: expected shares and veil of at most 1 in all, found {sum}"
            );
            return Err(Diagnostic::error(&codes::PREVIEW_IMPOSSIBLE, message).help("take smaller shares"));
        }
        Ok(filter)
    }

    /// Without the halos that have no light, so that what does nothing costs nothing.
    fn clean(name: &str, mut halos: Vec<Halo>, veil: f64) -> Self {
        halos.retain(|halo| halo.share != 0.0);
        Self { name: name.to_owned(), halos, veil }
    }

    /// What it is called in labels: the grade, or the name that was given to its numbers.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Its halos, those without light left out.
    #[must_use]
    pub fn halos(&self) -> &[Halo] {
        &self.halos
    }

    /// The share of the light that becomes a veil over the whole frame.
    #[must_use]
    pub fn veil(&self) -> f64 {
        self.veil
    }

    /// The share of a pixel's light that it takes away from its place.
    #[must_use]
    pub fn spread(&self) -> f64 {
        self.halos.iter().map(|halo| halo.share).sum::<f64>() + self.veil
    }

    /// Whether it changes nothing.
    #[must_use]
    pub fn is_identity(&self) -> bool {
        self.halos.is_empty() && self.veil == 0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::gamuts::ACESCG;
    use crate::maths::{GREY, log2};
    use crate::picture::Frame;
    use crate::picture::lens::{Haze, Lens};
    use crate::pipeline::DiffusionBlock;

    /// How far the light that a grade adds to a shadow may lie from what the recipe's veil adds, on the frame below (measured: 3 % at
    /// most). `docs/seeing.md` states it.
    const LIFT: f64 = 0.05;

    /// Squares of a tenth of the height, six stops under grey and as bright as makes grey of the whole: what a recipe's veil
    /// takes a frame to be. In the middle of the dark ones both lift by about the same.
    #[test]
    fn a_grade_lifts_shadows_like_its_preset() {
        let (width, height, square) = (400, 200, 20);
        let dark = GREY / 64.0;
        let level =
            |x: usize, y: usize| if (x / square + y / square).is_multiple_of(2) { dark } else { 2.0 * GREY - dark };
        let values = (0..width * height * 3).map(|index| level(index / 3 % width, index / 3 / width) as f32).collect();
        let frame = Frame::from_floats(width, height, false, values).expect("a frame");
        for grade in DIFFUSION_GRADES {
            let lens = Lens { filter: LensFilter::grade(grade).expect("a grade"), haze: Haze::default() };
            let seen = lens.on_light(&frame, &ACESCG).frame;
            let [x, y] = [10 * square + square / 2, 4 * square + square / 2];
            let lifted = seen.pixel(x, y).expect("in the frame")[1];
            let wanted = DiffusionBlock::new(&diffusion_preset(grade).expect("a grade")).apply([dark; 3])[1];
            let error = (lifted - dark) / (wanted - dark) - 1.0;
            assert!(
                error.abs() < LIFT,
                "{grade}: {lifted} for {wanted}, {error:+.3}; {:+.3} stops",
                log2(lifted / wanted)
            );
        }
    }
}

//! A display's picture on a computer screen: the signal of the look's display → sRGB.

use crate::colour::displays::{Display, DisplayEncoding};
use crate::colour::gamuts;
use crate::maths::Rgb;
use crate::pipeline::transform;
use crate::plan::Plan;
use nalgebra::Matrix3;

/// Light this little below none is rounding of the matrices, not a colour that the screen lacks.
const ROUNDING: f64 = 1e-9;

/// Shows what a display shows, on an sRGB screen (IEC 61966-2-1).
///
/// The display's signal is decoded to light, its white adapted to D65, its colours brought to BT.709 primaries and encoded.
/// White stays white: a display of 1000 cd/m² is shown as if the eye had adapted to it, so that an HDR picture
/// keeps its gradation and loses its brightness.
#[derive(Clone, Debug)]
pub struct Screen {
    display: Display,
    screen: Display,
    to_screen: Matrix3<f64>,
}

impl Screen {
    /// A screen that shows what the display of a plan shows. Its white is the light of `white_nits` on that display,
    /// above 0; `None` takes the display's own white. Where it lies below, what is brighter leaves the screen's range.
    #[must_use]
    pub fn new(plan: &Plan, white_nits: Option<f64>) -> Self {
        let gain = white_nits.map_or(1.0, |nits| plan.display.peak_nits / nits);
        let (from, to) = (plan.display.gamut, &gamuts::SRGB);
        Self {
            display: Display::new(plan.display.encoding, plan.display.peak_nits),
            screen: Display::new(DisplayEncoding::Srgb, 100.0),
            to_screen: to.from_xyz() * plan.adaptation.matrix(from.white_xyz(), to.white_xyz()) * from.to_xyz() * gain,
        }
    }

    /// The screen's signal for a display's signal. The display's is held to 0..1 first, as a display does; the screen's is
    /// not: colours that sRGB lacks lie above 1, or below 0, where they are left as light.
    #[must_use]
    pub fn signal(&self, signal: Rgb) -> Rgb {
        let held = signal.map(|value| if value.is_nan() { 0.0 } else { value.clamp(0.0, 1.0) });
        let light = transform(&self.to_screen, self.display.decode(held));
        let signal = self.screen.encode(light);
        [0, 1, 2].map(|channel| if light[channel] < -ROUNDING { light[channel] } else { signal[channel] })
    }

    /// Whether a display's signal can go to a computer screen as it is: a power between 2.2 and 2.4 or sRGB itself, on BT.709
    /// primaries. Nobody will see that anything is wrong, though shadows are not shown exactly.
    #[must_use]
    pub fn is_close(plan: &Plan) -> bool {
        use DisplayEncoding::{Bt1886, Gamma22, Gamma24, Srgb};
        matches!(plan.display.encoding, Bt1886 | Gamma22 | Gamma24 | Srgb)
            && (plan.display.gamut.red, plan.display.gamut.green, plan.display.gamut.blue)
                == (gamuts::SRGB.red, gamuts::SRGB.green, gamuts::SRGB.blue)
    }
}

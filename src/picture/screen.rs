//! A display's picture on a computer screen: the signal of the look's display → sRGB or Display P3.

use crate::colour::adaptation::Adaptation;
use crate::colour::displays::{Display, DisplayEncoding, srgb_encode_row};
use crate::colour::gamuts::Gamut;
use crate::formats::icc::Profile;
use crate::maths::Rgb;
use crate::maths::rows::pow_row;
use crate::pipeline::{Row, transform};
use crate::plan::{DisplayTarget, Plan};
use nalgebra::Matrix3;

/// Light this little below none is rounding of the matrices, not a colour that the screen lacks.
const ROUNDING: f64 = 1e-9;

/// A kind of computer screen. Both have the white D65 and the curve of IEC 61966-2-1.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ScreenKind {
    /// sRGB (IEC 61966-2-1): the primaries of BT.709.
    #[default]
    Srgb,
    /// Display P3: the primaries of P3, which hold all of sRGB's colours and more.
    DisplayP3,
}

impl ScreenKind {
    /// The profile of a picture for such a screen. Without it a Display P3 picture is shown too pale.
    #[must_use]
    pub fn profile(self) -> Profile {
        match self {
            Self::Srgb => Profile::SRGB,
            Self::DisplayP3 => Profile::DISPLAY_P3,
        }
    }

    fn gamut(self) -> &'static Gamut {
        self.profile().gamut()
    }
}

/// Shows what a display shows, on a computer screen.
///
/// The display's signal is decoded to light, its white adapted to D65, its colours brought to the screen's primaries and encoded.
/// White stays white: a display of 1000 cd/m² is shown as if the eye had adapted to it, so that an HDR picture
/// keeps its gradation and loses its brightness.
#[derive(Clone, Debug)]
pub struct Screen {
    display: Display,
    screen: Display,
    to_screen: Matrix3<f64>,
}

impl Screen {
    /// An sRGB screen that shows what the display of a plan shows. Its white is the light of `white_nits` on that display,
    /// above 0; `None` takes the display's own white. Where it lies below, what is brighter leaves the screen's range.
    #[must_use]
    pub fn new(plan: &Plan, white_nits: Option<f64>) -> Self {
        Self::of_kind(ScreenKind::Srgb, plan, white_nits)
    }

    /// A screen of either kind, else as [`Self::new`].
    #[must_use]
    pub fn of_kind(kind: ScreenKind, plan: &Plan, white_nits: Option<f64>) -> Self {
        Self::of_display(kind, &plan.display, plan.adaptation, white_nits)
    }

    /// A screen that shows what any display shows, its white brought to the screen's by `adaptation`; else as [`Self::new`].
    #[must_use]
    pub fn of_display(
        kind: ScreenKind,
        shown: &DisplayTarget,
        adaptation: Adaptation,
        white_nits: Option<f64>,
    ) -> Self {
        let gain = white_nits.map_or(1.0, |nits| shown.peak_nits / nits);
        let (from, to) = (shown.gamut, kind.gamut());
        Self {
            display: Display::new(shown.encoding, shown.peak_nits),
            screen: Display::new(DisplayEncoding::Srgb, 100.0),
            to_screen: to.from_xyz() * adaptation.matrix(from.white_xyz(), to.white_xyz()) * from.to_xyz() * gain,
        }
    }

    /// The screen's signal for a display's signal. The display's is held to 0..1 first, as a display does; the screen's is
    /// not: colours that it lacks lie above 1, or below 0, where they are left as light.
    #[must_use]
    pub fn signal(&self, signal: Rgb) -> Rgb {
        let held = signal.map(|value| if value.is_nan() { 0.0 } else { value.clamp(0.0, 1.0) });
        let light = transform(&self.to_screen, self.display.decode(held));
        let signal = self.screen.encode(light);
        [0, 1, 2].map(|channel| if light[channel] < -ROUNDING { light[channel] } else { signal[channel] })
    }

    /// The same for many signals, which the screen's replace: within 1e-14 of those of [`Self::signal`], sooner.
    pub(super) fn signals(&self, signals: &mut [Rgb]) {
        let held = |value: f64| if value.is_nan() { 0.0 } else { value.clamp(0.0, 1.0) };
        let mut row = Row::default();
        row.fill_pixels(signals.iter().map(|signal| signal.map(held)));
        match self.display.power() {
            Some(power) => row.channels().into_iter().for_each(|channel| pow_row(channel, power)),
            None => row.each(|signal| self.display.decode(signal)),
        }
        // Light that is below 0 by rounding only is none; what is left below 0 stays light.
        let rounded = |light: f64| if (-ROUNDING..0.0).contains(&light) { 0.0 } else { light };
        row.each(|light| transform(&self.to_screen, light).map(rounded));
        row.channels().into_iter().for_each(srgb_encode_row);
        signals.iter_mut().zip(row.pixels()).for_each(|(signal, shown)| *signal = shown);
    }

    /// Whether a display's signal can go to a computer screen as it is: a power between 2.2 and 2.4 or sRGB's curve, on the
    /// primaries and white of the screen. Nobody will see that anything is wrong, though shadows are not shown exactly.
    #[must_use]
    pub fn is_close_to(kind: ScreenKind, shown: &DisplayTarget) -> bool {
        use DisplayEncoding::{Bt1886, Gamma22, Gamma24, Srgb};
        let colours = |gamut: &Gamut| [gamut.red, gamut.green, gamut.blue, gamut.white];
        matches!(shown.encoding, Bt1886 | Gamma22 | Gamma24 | Srgb) && colours(shown.gamut) == colours(kind.gamut())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::gamuts;
    use proptest::prelude::*;

    proptest! {
        /// Against the same worked out for one signal, with the C library's powers.
        #[test]
        fn many_signals_are_as_each_alone(
            signals in prop::collection::vec([-0.2..1.2, -0.2..1.2, -0.2..1.2], 1..40),
            encoding in prop::sample::select(DisplayEncoding::ALL.to_vec()),
            gain in 0.2..5.0,
        ) {
            let shown = DisplayTarget { encoding, gamut: &gamuts::BT2020, peak_nits: 600.0 };
            let screen = Screen::of_display(ScreenKind::Srgb, &shown, Adaptation::Bradford, Some(600.0 / gain));
            let mut together = signals.clone();
            screen.signals(&mut together);
            for (signal, shown) in signals.into_iter().zip(together) {
                let alone = screen.signal(signal);
                for (shown, alone) in shown.into_iter().zip(alone) {
                    prop_assert!((shown - alone).abs() <= 1e-14 * alone.abs().max(1.0), "{signal:?}: {shown} instead of {alone}");
                }
            }
        }
    }
}

//! Two colours side by side, as two cameras or monitors show them.

use super::page::one_line;
use crate::colour::difference::{Lab, lab_to_xyz};
use crate::colour::displays::{Display, DisplayEncoding};
use crate::colour::gamuts::{BT709, xy_to_xyz};
use crate::colour::whites::D65;
use crate::show::consistency::Worst;
use maud::{Markup, html};
use nalgebra::Vector3;

/// The worst colour of a pair, left as `a` shows it, right as `b` does.
pub(super) fn swatches(worst: &Worst, [a, b]: [&str; 2]) -> Markup {
    let [left, right] = [worst.lab_a, worst.lab_b].map(srgb);
    let label = format!("left: {} shows {left}; right: {} shows {right}", one_line(a), one_line(b));
    html! {
        svg.swatch viewBox="0 0 48 20" role="img" aria-label=(label) {
            rect width="24" height="20" fill=(left) {}
            rect x="24" width="24" height="20" fill=(right) {}
            rect.frame x=".5" y=".5" width="47" height="19" {}
        }
    }
}

/// CIELAB against a monitor's white as an sRGB colour whose white stands for it (IEC 61966-2-1); what sRGB does not hold is
/// clipped.
pub(super) fn srgb([l, a, b]: [f64; 3]) -> String {
    let xyz = lab_to_xyz(Lab { l, a, b }, xy_to_xyz([D65.x, D65.y]).into());
    let linear: [f64; 3] = (BT709.from_xyz() * Vector3::from(xyz)).into();
    // The peak has no meaning for sRGB.
    let signal = Display::new(DisplayEncoding::Srgb, 100.0).encode(linear.map(|value| value.clamp(0.0, 1.0)));
    let [r, g, b] = signal.map(|value| (value * 255.0).round() as u8);
    format!("#{r:02x}{g:02x}{b:02x}")
}

#[cfg(test)]
mod tests {
    use super::srgb;

    #[test]
    fn known_colours_become_their_srgb_codes() {
        // White, black and the middle of CIELAB's scale; the last by hand: Y = ((50 + 16) / 116)³ = 0.1842, sRGB 0.4663 · 255.
        assert_eq!(srgb([100.0, 0.0, 0.0]), "#ffffff");
        assert_eq!(srgb([0.0, 0.0, 0.0]), "#000000");
        assert_eq!(srgb([50.0, 0.0, 0.0]), "#777777");
        // sRGB red, from its definition: L* 53.24, a* 80.09, b* 67.20 (D65).
        assert_eq!(srgb([53.24, 80.09, 67.20]), "#ff0000");
        // Brighter than white, and no number at all.
        assert_eq!(srgb([140.0, 0.0, 0.0]), "#ffffff");
        assert_eq!(srgb([f64::NAN; 3]), "#000000");
    }
}

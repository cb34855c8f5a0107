//! Which camera signals pictures hold, so that faults there can be told from faults in colours that no camera records.

use super::patches::PATCH_STOPS;
use super::viewer::record_patch;
use crate::colour::adaptation::Adaptation;
use crate::colour::chart::{CHART, SKINS};
use crate::maths::Rgb;
use crate::plan::Camera;

/// Signals whose channels lie within this of each other are near grey, and pictures hold them: about 40 ten-bit codes.
const NEAR_GREY: f64 = 0.04;

/// The camera signals between grey, the chart and the skins, at −3..+3 stops.
///
/// In a logarithmic signal exposure moves a colour along the grey axis, so the region is a prism: its section is the convex
/// hull of the patches' differences of channels, and it ends at the brightest signal that a patch reaches.
#[derive(Clone, Debug)]
pub struct PictureColours {
    /// Corners in (r − g, b − g), counter-clockwise.
    hull: Vec<[f64; 2]>,
    brightest: f64,
}

impl PictureColours {
    /// The region for a camera.
    #[must_use]
    pub fn of(camera: &Camera, adaptation: Adaptation) -> Self {
        let from_xyz = camera.gamut.from_xyz();
        let mut points = vec![[0.0, 0.0]];
        let mut brightest = 0.0_f64;
        for patch in CHART.iter().chain(&SKINS) {
            for stops in -PATCH_STOPS..=PATCH_STOPS {
                let [r, g, b] = record_patch(camera, &from_xyz, adaptation, patch, f64::from(stops));
                points.push([r - g, b - g]);
                brightest = brightest.max(r).max(g).max(b);
            }
        }
        Self { hull: convex_hull(points), brightest }
    }

    /// Whether pictures hold a camera signal, 0..1.
    #[must_use]
    pub fn hold(&self, [r, g, b]: Rgb) -> bool {
        let (low, high) = (r.min(g).min(b), r.max(g).max(b));
        if high > self.brightest {
            return false;
        }
        let point = [r - g, b - g];
        let next = self.hull.iter().cycle().skip(1);
        high - low <= NEAR_GREY || self.hull.iter().zip(next).all(|(from, to)| turn(*from, *to, point) >= 0.0)
    }
}

/// Twice the area of a triangle, positive if it is walked counter-clockwise.
fn turn(a: [f64; 2], b: [f64; 2], c: [f64; 2]) -> f64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
}

/// Corners of the convex hull, counter-clockwise. Source: Andrew (1979), Another efficient algorithm for convex hulls in
/// two dimensions, Inf. Process. Lett. 9(5) (from memory).
fn convex_hull(mut points: Vec<[f64; 2]>) -> Vec<[f64; 2]> {
    points.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    let chain = |points: &mut dyn Iterator<Item = [f64; 2]>| {
        let mut chain: Vec<[f64; 2]> = Vec::new();
        for point in points {
            while chain.len() >= 2 && turn(chain[chain.len() - 2], chain[chain.len() - 1], point) <= 0.0 {
                chain.pop();
            }
            chain.push(point);
        }
        // The last point is the first of the other chain.
        chain.pop();
        chain
    };
    let mut hull = chain(&mut points.iter().copied());
    hull.extend(chain(&mut points.iter().rev().copied()));
    hull
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::encodings::{self, Curve};
    use crate::colour::gamuts;

    #[test]
    fn a_square_is_the_hull_of_what_lies_in_it() {
        let points = vec![[0.5, 0.5], [0.0, 0.0], [1.0, 0.0], [0.2, 0.9], [1.0, 1.0], [0.0, 1.0], [0.5, 0.0]];
        assert_eq!(convex_hull(points), [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]);
    }

    #[test]
    fn greys_and_patches_are_held_and_primaries_are_not() {
        let curve = Curve::new(encodings::find("s-log3").expect("a curve"), None).expect("a curve");
        let camera = Camera { curve, gamut: gamuts::find("s-gamut3.cine").expect("a gamut") };
        let colours = PictureColours::of(&camera, Adaptation::Bradford);
        let from_xyz = camera.gamut.from_xyz();
        for patch in CHART.iter().chain(&SKINS) {
            // Not the outermost: a corner of the hull is inside only up to rounding.
            let signal =
                record_patch(&camera, &from_xyz, Adaptation::Bradford, patch, 0.0).map(|v| 0.41 + 0.99 * (v - 0.41));
            assert!(colours.hold(signal), "{} at {signal:?}", patch.name);
        }
        assert!(colours.hold([0.4; 3]) && colours.hold([0.0; 3]));
        for corner in [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [0.9, 0.2, 0.9], [1.0; 3]] {
            assert!(!colours.hold(corner), "{corner:?}");
        }
    }
}

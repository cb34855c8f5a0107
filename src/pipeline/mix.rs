//! Mix: a look at part of its strength, or beyond it, held against the plain conversion of the same light.

use super::clips::Clips;
use super::colour::DisplayCones;
use super::row::Row;
use super::tone::ToneBlock;
use super::{Block, transform};
use crate::colour::adaptation::Adaptation;
use crate::maths::rows::cbrt_row;

/// Mixes look and plain conversion in Oklab, on the display side.
///
/// L, a and b are linear in the cube roots of the cone values, so the roots are mixed. Where both agree, as a look that tints
/// nothing and the plain conversion do on greys, the mix is the same light: grey keeps its place at every strength.
#[derive(Clone, Debug)]
pub struct MixBlock {
    strength: f64,
    look: Vec<Block>,
    plain: Vec<Block>,
    cones: DisplayCones,
}

impl MixBlock {
    pub(super) fn new(strength: f64, look: Vec<Block>, plain: Vec<Block>, adaptation: Adaptation) -> Self {
        Self { strength, look, plain, cones: DisplayCones::new(adaptation) }
    }

    /// The tone block, which both ways share.
    pub(super) fn tone(&self) -> Option<&ToneBlock> {
        self.look.iter().find_map(|block| if let Block::Tone(tone) = block { Some(tone) } else { None })
    }

    /// Linear ACEScg of the scene in, display-linear ACEScg out.
    pub(super) fn apply(&self, row: &mut Row, clips: &mut Clips) {
        let mut plain = row.clone();
        // What the look's grade cuts is counted; the plain way has no grade and cuts nothing.
        self.look.iter().for_each(|block| block.apply(row, clips));
        self.plain.iter().for_each(|block| block.apply(&mut plain, clips));
        for side in [&mut *row, &mut plain] {
            side.each(|rgb| transform(&self.cones.to_cones, rgb));
            side.channels().into_iter().for_each(cbrt_row);
        }
        let t = self.strength;
        for (look, plain) in row.channels().into_iter().zip(plain.channels()) {
            for (look, plain) in look.iter_mut().zip(plain) {
                *look = (1.0 - t) * *plain + t * *look;
            }
        }
        row.each(|roots| transform(&self.cones.from_cones, roots.map(|root| root * root * root)));
    }
}

//! Grade: ASC CDL v1.2 in `ACEScct`, without the clamp at 1.
//!
//! Sources: ASC CDL Transfer Functions and Interchange Syntax v1.2 (bibliography: asc-cdl); AMPAS S-2016-001
//! (bibliography: aces-s-2016-001).

use super::clips::Clips;
use crate::colour::cdl::saturate;
use crate::colour::encodings::acescct;
use crate::maths::{Rgb, pow};
use crate::plan::Cdl;

/// The grade block.
#[derive(Clone, Debug)]
pub struct CdlBlock {
    grade: Cdl,
}

impl CdlBlock {
    pub(super) fn new(grade: &Cdl) -> Self {
        Self { grade: *grade }
    }

    /// The grade.
    pub(crate) fn grade(&self) -> &Cdl {
        &self.grade
    }

    /// Linear ACEScg in and out. Values that the floor cuts, and values that stop being finite, are counted.
    pub fn apply(&self, rgb: Rgb, clips: &mut Clips) -> Rgb {
        let Cdl { slope, offset, power, saturation } = &self.grade;
        let mut floored = false;
        let mut graded = [0.0; 3];
        for i in 0..3 {
            let value = acescct::encode(rgb[i]) * slope[i] + offset[i];
            floored |= value < 0.0;
            graded[i] = pow(value.max(0.0), power[i]);
        }
        let linear = saturate(graded, *saturation).map(acescct::decode);
        clips.grade_floor += u64::from(floored);
        if linear.iter().any(|value| !value.is_finite()) {
            clips.not_finite += 1;
            return [0.0; 3];
        }
        linear
    }
}

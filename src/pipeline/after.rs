//! After: a table from post over the display's signal, the look's own signal in and out.

use super::clips::{CLIP_TOLERANCE, Clips};
use crate::maths::Rgb;
use crate::plan::After;

/// The last block before the levels of the device.
#[derive(Clone, Debug)]
pub struct AfterBlock {
    after: After,
}

impl AfterBlock {
    pub(super) fn new(after: &After) -> Self {
        Self { after: after.clone() }
    }

    /// Signal of the display in and out, both 0..1. Pixels that the table's domain holds, or that it sends out of 0..1, are counted.
    #[must_use]
    pub fn apply(&self, signal: Rgb, clips: &mut Clips) -> Rgb {
        let After { tables, interpolation, input_levels, output_levels } = &self.after;
        let input = signal.map(|value| input_levels.to_signal(value));
        let domain = tables.domain();
        let outside = |i: usize| input[i] < domain.min[i] - CLIP_TOLERANCE || input[i] > domain.max[i] + CLIP_TOLERANCE;
        let output = tables.sample(input, *interpolation).map(|value| output_levels.from_signal(value));
        let beyond = output.iter().any(|value| !(-CLIP_TOLERANCE..=1.0 + CLIP_TOLERANCE).contains(value));
        clips.after_held += u64::from(beyond || (0..3).any(outside));
        output.map(|value| value.clamp(0.0, 1.0))
    }
}

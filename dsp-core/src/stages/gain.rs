//! Plain gain on every channel.

use crate::control::ramp::Ramp;
use crate::primitives::frame::Frame;

/// Multiplies frames that start at `index` within the step; a gain that rests at 1 leaves every bit.
pub(crate) fn apply(gain: &Ramp, frames: &mut [Frame], index: usize) {
    if gain.rests_at(1.0) {
        return;
    }
    if let Some(gain) = gain.rest() {
        frames.iter_mut().for_each(|frame| *frame *= Frame::splat(gain));
        return;
    }
    gain.with_each(frames, index, |frame, gain| *frame *= Frame::splat(gain));
}

//! Plain gain on every channel.

use crate::frame::Frame;
use crate::ramp::Ramp;

/// Multiplies frames that start at `index` within the step; a gain that rests at 1 leaves every bit.
pub(crate) fn apply(gain: &Ramp, frames: &mut [Frame], index: usize) {
    if gain.rests_at(1.0) {
        return;
    }
    for (n, frame) in frames.iter_mut().enumerate() {
        *frame *= Frame::splat(gain.at(index + n));
    }
}

//! Applies a gain to every channel.

use crate::control::ramp::Ramp;
use crate::primitives::frame::Frame;

/// Multiplies frames; the first is sample `index` of the step. A constant gain of 1 leaves every bit unchanged.
pub(crate) fn apply(gain: &Ramp, frames: &mut [Frame], index: usize) {
    if gain.rests_at(1.0) {
        return;
    }
    if let Some(gain) = gain.rest() {
        let (fours, last) = frames.as_chunks_mut::<4>();
        fours
            .iter_mut()
            .for_each(|four| *four = four.map(|frame| frame * gain));
        last.iter_mut().for_each(|frame| *frame *= Frame::splat(gain));
        return;
    }
    gain.with_each(frames, index, |frame, gain| *frame *= Frame::splat(gain));
}

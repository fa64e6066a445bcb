//! Plain gain on every channel.

use crate::ramp::Ramp;

/// Multiplies samples that start at `index` within the step; a gain that rests at 1 leaves every bit.
pub(crate) fn apply(gain: &Ramp, audio: &mut [&mut [f32]], index: usize) {
    if gain.rests_at(1.0) {
        return;
    }
    for channel in audio {
        for (n, sample) in channel.iter_mut().enumerate() {
            *sample = (f64::from(*sample) * gain.at(index + n)) as f32;
        }
    }
}

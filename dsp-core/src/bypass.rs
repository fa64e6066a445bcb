//! Bypass: a fade between the processed voice and the delayed input, with the latency kept.

use crate::crossfade::Crossfade;
use crate::timing::Timing;

/// The fade.
pub(crate) struct Bypass {
    fade: Crossfade,
}

impl Bypass {
    pub fn new(timing: Timing, on: bool) -> Self {
        Self {
            fade: Crossfade::new(timing, on),
        }
    }

    pub fn reset(&mut self, on: bool) {
        self.fade.reset(on);
    }

    /// Moves the fade to the end of the coming step.
    pub fn step(&mut self, on: bool) {
        self.fade.step(on);
    }

    /// Fades towards `dry` in samples that start at `index` within the step; at both ends every bit is the source's.
    pub fn process(&self, audio: &mut [&mut [f32]], dry: &[Vec<f32>], index: usize) {
        let share = self.fade.ramp();
        if share.rests_at(0.0) {
            return;
        }
        for (channel, dry) in audio.iter_mut().zip(dry) {
            let dry = &dry[..channel.len()];
            if share.rests_at(1.0) {
                channel.copy_from_slice(dry);
                continue;
            }
            for (n, (sample, &dry)) in channel.iter_mut().zip(dry).enumerate() {
                let wet = f64::from(*sample);
                *sample = (wet + share.at(index + n) * (f64::from(dry) - wet)) as f32;
            }
        }
    }
}

//! Listen: the output, what is removed from it, or what the detector hears. None is louder than the voice that it is
//! taken from, and each fades into the next.

use crate::crossfade::Crossfade;
use crate::settings::{Listen, Settings};
use crate::state_variable::{HighPass, Memory};
use crate::timing::Timing;

/// The fades and the detector's filter, with its coefficients at the start and at the end of a step.
pub(crate) struct ListenSwitch {
    timing: Timing,
    removed: Crossfade,
    detector: Crossfade,
    from: HighPass,
    to: HighPass,
    filters: Vec<Memory>,
}

impl ListenSwitch {
    pub fn new(channels: usize, timing: Timing, settings: &Settings) -> Self {
        Self {
            timing,
            removed: Crossfade::new(timing, settings.output.listen == Listen::Removed),
            detector: Crossfade::new(timing, settings.output.listen == Listen::Detector),
            from: high_pass(settings, timing),
            to: high_pass(settings, timing),
            filters: vec![Memory::default(); channels],
        }
    }

    pub fn reset(&mut self, settings: &Settings) {
        self.removed.reset(settings.output.listen == Listen::Removed);
        self.detector.reset(settings.output.listen == Listen::Detector);
        self.to = high_pass(settings, self.timing);
        self.from = self.to;
        self.filters.fill(Memory::default());
    }

    /// Moves the fades to the end of the coming step.
    pub fn step(&mut self, settings: &Settings) {
        self.removed.step(settings.output.listen == Listen::Removed);
        self.detector.step(settings.output.listen == Listen::Detector);
        self.from = self.to;
        self.to = high_pass(settings, self.timing);
        self.filters.iter_mut().for_each(Memory::flush_denormals);
    }

    /// Replaces the output by what is listened to, in samples that start at `index` within the step. `levelled` is
    /// the voice as it leaves the leveller.
    pub fn process(&mut self, audio: &mut [&mut [f32]], levelled: &[Vec<f32>], index: usize) {
        let (removed, detector) = (*self.removed.ramp(), *self.detector.ramp());
        let resting = removed.rests_at(0.0) && detector.rests_at(0.0);
        let per_sample = 1.0 / self.timing.step_samples as f64;
        for ((filter, channel), levelled) in self.filters.iter_mut().zip(audio).zip(levelled) {
            for (n, (sample, &levelled)) in channel.iter_mut().zip(levelled).enumerate() {
                let (output, levelled) = (f64::from(*sample), f64::from(levelled));
                let high_pass = self.from.towards(&self.to, (index + n + 1) as f64 * per_sample);
                let detected = high_pass.process(filter, levelled);
                if !resting {
                    let (removed, detector) = (removed.at(index + n), detector.at(index + n));
                    let kept = 1.0 - removed - detector;
                    *sample = (kept * output + removed * (levelled - output) + detector * detected) as f32;
                }
            }
        }
    }
}

fn high_pass(settings: &Settings, timing: Timing) -> HighPass {
    HighPass::new(f64::from(settings.sibilance.from_hz), timing.sample_rate_hz)
}

//! Part: splits the track into the voice and its breaths. What two inserts with the same settings play, one for each part,
//! adds up to the whole.

use crate::clock::timing::Timing;
use crate::control::crossfade::Crossfade;
use crate::control::ramp::Ramp;
use crate::primitives::frame::Frame;
use crate::settings::Part;

/// The fade at each edge of a breath: long enough for no click, short against the gap between a breath and a word (common
/// practice, no source: 5 to 10 ms).
const FADE_MS: f32 = 9.0;

/// The breaths' share of the track, which depends on the input alone, and the gains of both parts.
pub(crate) struct PartSplit {
    step_samples: usize,
    fade_steps: usize,
    /// Steps that the fade has gone towards the breath.
    faded_steps: usize,
    is_breath: bool,
    share: Ramp,
    voice: Crossfade,
    breaths: Crossfade,
}

fn has_voice(part: Part) -> bool {
    part != Part::Breaths
}

fn has_breaths(part: Part) -> bool {
    part != Part::Voice
}

/// The fade's curve, from 0 to 1, whose slope and bend are 0 at both ends (common practice, no source): one that is only flat
/// there throws -74 dB of a tone of 1 kHz out of 500 ... 2000 Hz.
fn curve(way: f64) -> f64 {
    way * way * way * (10.0 + way * (6.0 * way - 15.0))
}

impl PartSplit {
    pub fn new(timing: Timing, part: Part) -> Self {
        Self {
            step_samples: timing.step_samples,
            fade_steps: timing.steps(FADE_MS),
            faded_steps: 0,
            is_breath: false,
            share: Ramp::resting(0.0),
            voice: Crossfade::new(timing, has_voice(part)),
            breaths: Crossfade::new(timing, has_breaths(part)),
        }
    }

    pub fn reset(&mut self, part: Part) {
        (self.faded_steps, self.is_breath) = (0, false);
        self.share = Ramp::resting(0.0);
        self.voice.reset(has_voice(part));
        self.breaths.reset(has_breaths(part));
    }

    /// Takes whether the hop that is heard belongs to a breath.
    pub fn update_hop(&mut self, is_breath: bool) {
        self.is_breath = is_breath;
    }

    /// Moves the fades one step on.
    pub fn update_step(&mut self, part: Part) {
        let faded_steps = if self.is_breath {
            (self.faded_steps + 1).min(self.fade_steps)
        } else {
            self.faded_steps.saturating_sub(1)
        };
        if faded_steps != self.faded_steps || self.share.rest().is_none() {
            self.faded_steps = faded_steps;
            let share = curve(faded_steps as f64 / self.fade_steps as f64);
            self.share.continue_to(share, self.step_samples);
        }
        self.voice.update_step(has_voice(part));
        self.breaths.update_step(has_breaths(part));
    }

    /// True if it leaves the whole.
    pub fn rests(&self) -> bool {
        let breaths_rest = self.breaths.ramp().rests_at(1.0) || self.share.rests_at(0.0);
        breaths_rest && self.voice.ramp().rests_at(1.0)
    }

    /// Leaves what belongs to the part; the first frame is sample `index` of the step. The whole is left to the bit.
    pub fn process(&self, frames: &mut [Frame], index: usize) {
        if self.rests() {
            return;
        }
        let (voice, breaths) = (self.voice.ramp(), self.breaths.ramp());
        for (n, frame) in frames.iter_mut().enumerate() {
            let (voice, breaths) = (voice.at(index + n), breaths.at(index + n));
            *frame *= Frame::splat(voice + (breaths - voice) * self.share.at(index + n));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The gain of a part at every sample, over a rest, a breath of 30 ms and a rest.
    fn gains(part: Part) -> Vec<f64> {
        let timing = Timing::new(48_000.0);
        let mut split = PartSplit::new(timing, part);
        let hops = |ms| timing.hops(ms);
        let (from, to, end) = (hops(20.0), hops(50.0), hops(80.0));
        let mut gains = Vec::new();
        for hop in 0..end {
            split.update_hop((from..to).contains(&hop));
            for _ in 0..timing.hop_samples / timing.step_samples {
                split.update_step(part);
                let mut frames = vec![Frame::splat(1.0); timing.step_samples];
                let (before, after) = frames.split_at_mut(5);
                split.process(before, 0);
                split.process(after, 5);
                gains.extend(frames.iter().map(|frame| frame.to_array()[0]));
            }
        }
        gains
    }

    #[test]
    fn the_parts_add_up_and_fade_within_10_ms() {
        let (whole, voice, breaths) = (gains(Part::Whole), gains(Part::Voice), gains(Part::Breaths));
        assert!(whole.iter().all(|&gain| gain == 1.0));
        for (voice, breath) in voice.iter().zip(&breaths) {
            assert!((voice + breath - 1.0).abs() < 1e-15 && (0.0..=1.0).contains(breath));
        }
        let fading = breaths
            .iter()
            .filter(|gain| (0.001..0.999).contains(*gain))
            .count();
        let fade_ms = fading as f64 / 2.0 / 48.0;
        assert!((5.0..10.0).contains(&fade_ms), "{fade_ms} ms");
        assert_eq!((breaths[0], breaths[48 * 40], breaths[48 * 78]), (0.0, 1.0, 0.0));
    }
}

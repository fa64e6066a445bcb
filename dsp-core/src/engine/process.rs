//! The audio path: takes in up to a hop at a time, and passes a control step at a time through the stages.

use std::ops::Range;

use super::side::{Side, process_sides};
use super::{Engine, MAX_CHANNELS, ahead, heard_plan};
use crate::clock::timeline::GridPosition;
use crate::clock::timing::{LONGEST_STEP_SAMPLES, STEPS_PER_HOP};
use crate::control::ramp::Ramp;
use crate::primitives::denormal::{Peak, sanitize};
use crate::primitives::frame::{load, store};
use crate::report::HopReport;
use crate::stages::gain;

impl Engine {
    /// Sets the position of the next sample on the song's timeline, in samples. Call it before [`Self::process`].
    ///
    /// At a start and after a jump the grid of steps and hops is aligned to the timeline, so that a sibilant is treated
    /// the same wherever playback began. Without a position the grid starts at the first sample. Does not allocate.
    pub fn locate(&mut self, position_samples: i64) {
        if self.timeline.jumps_to(position_samples) {
            self.align_grid(GridPosition::of_sample(position_samples, self.timing));
        }
    }

    /// Processes `audio` in place: one slice per channel, all of one length, any length. `reference` is the voice on the
    /// side-chain, one slice per channel of that same length, or empty if there is none. Calls `on_hop` after each hop
    /// of analysis.
    pub fn process(
        &mut self,
        audio: &mut [&mut [f32]],
        reference: &[&[f32]],
        on_hop: &mut impl FnMut(&HopReport),
    ) {
        self.process_hops(audio, reference, on_hop);
    }

    /// Compiled once, with the stages.
    fn process_hops(
        &mut self,
        audio: &mut [&mut [f32]],
        reference: &[&[f32]],
        on_hop: &mut dyn FnMut(&HopReport),
    ) {
        let length = audio.iter().map(|channel| channel.len()).min().unwrap_or(0);
        self.timeline.advance(length);
        let channels = self.config.channels.min(audio.len());
        let mut start = 0;
        while start < length {
            let end = length.min(start + self.timing.hop_samples - self.into_hop_samples);
            self.take_in(&mut slices(audio, start..end)[..channels]);
            while start < end {
                let step_samples = self.timing.step_samples;
                let index = self.into_hop_samples % step_samples;
                if index == 0 {
                    self.update_step((end - start).div_ceil(step_samples));
                }
                let step_end = end.min(start + step_samples - index);
                self.analyse_reference(reference, start, step_end);
                self.give_out(&mut slices(audio, start..step_end)[..channels], index);
                self.into_hop_samples += step_end - start;
                start = step_end;
            }
            if self.into_hop_samples == self.timing.hop_samples {
                self.end_hop(on_hop);
            }
        }
    }

    /// Continues as if the grid had run since the start of the song.
    fn align_grid(&mut self, position: GridPosition) {
        self.into_hop_samples = position.into_hop_samples;
        self.own_voice.align_grid(position);
        if let Some(reference) = &mut self.reference_voice {
            reference.align_grid(position);
        }
        for side in &mut self.sides {
            side.align_grid(position);
        }
        self.window_powers.fill(self.own_voice.window_power());
        if !self.into_hop_samples.is_multiple_of(self.timing.step_samples) {
            self.update_step(1);
        }
    }

    /// Sets the gain targets for the next step, the first of `steps` that begin within what has been taken in.
    fn update_step(&mut self, steps: usize) {
        let changed = self.settings.step();
        if changed {
            self.plan.update(self.settings.current(), self.timing);
        }
        let plan = &self.plan;
        if !self.leveller.next_step() {
            let first = self.into_hop_samples / self.timing.step_samples;
            let steps = if self.settings.leveller_rests() { steps } else { 1 };
            let window_powers = &self.window_powers[first..first + steps];
            self.leveller
                .update_steps(window_powers, self.class, &plan.leveller);
        }
        let settings = changed.then(|| self.settings.current());
        for side in &mut self.sides {
            side.update_step(plan, settings, self.leveller.gain().target());
        }
        let plan = heard_plan(&self.sides, plan);
        self.listen.update_step(&plan.listen);
        self.output_gain
            .continue_to(plan.output_gain, self.timing.step_samples);
        self.bypass.update_step(plan.settings.output.bypass);
    }

    /// Takes samples, all within one hop, into the analysis and the delay, which puts older ones in their place.
    fn take_in(&mut self, audio: &mut [&mut [f32]]) {
        for channel in audio.iter_mut() {
            sanitize(channel, &mut self.input_peak);
        }
        self.own_voice.push(audio);
        self.delay.process(audio);
        let samples = audio.first().map_or(0, |channel| channel.len());
        self.processed_samples += samples as i64;
        let step_samples = self.timing.step_samples;
        let (start, end) = (self.into_hop_samples, self.into_hop_samples + samples);
        for step in start / step_samples..end / step_samples {
            self.own_voice.end_step((step + 1) * step_samples);
            self.window_powers[step + 1] = self.own_voice.window_power();
        }
    }

    /// Makes the output of delayed samples, all within one step; the first is sample `index` of the step.
    fn give_out(&mut self, audio: &mut [&mut [f32]], index: usize) {
        let leveller_gain = match ahead(&self.sides) {
            Some(ahead) => *ahead.leveller_gain().ramp(),
            None => *self.leveller.gain(),
        };
        if self.only_gains_act() {
            self.apply_gains(&leveller_gain, audio, index);
        } else {
            self.pass_stages(&leveller_gain, audio, index);
        }
    }

    /// True if every stage but leveller and output gain leaves the voice as it is.
    fn only_gains_act(&self) -> bool {
        let switches_rest = !self.bypass.is_active() && !self.listen.is_active();
        switches_rest && self.sides.iter().all(Side::rests)
    }

    /// What [`Self::pass_stages`] does where [`Self::only_gains_act`], to the bit, in one pass.
    fn apply_gains(&mut self, leveller_gain: &Ramp, audio: &mut [&mut [f32]], index: usize) {
        let length = audio.first().map_or(0, |channel| channel.len());
        let channels_per_side = (audio.len() / self.sides.len()).max(1);
        let (gains, peak) = ([leveller_gain, &self.output_gain], &mut self.output_peak);
        for (side, audio) in self.sides.iter_mut().zip(audio.chunks_mut(channels_per_side)) {
            side.history().write(length, |run, levelled| {
                let (index, channels) = (index + run.start, audio.len());
                let audio = &mut slices(audio, run)[..channels];
                gain::apply_both(gains, audio, index, levelled, peak);
            });
        }
    }

    /// Passes samples through every stage.
    fn pass_stages(&mut self, leveller_gain: &Ramp, audio: &mut [&mut [f32]], index: usize) {
        let length = audio.first().map_or(0, |channel| channel.len());
        let frames = &mut self.frames[..length];
        let (dry, levelled) = (&mut self.dry[..length], &mut self.levelled[..length]);

        load(frames, audio);
        if self.bypass.is_active() {
            dry.copy_from_slice(frames);
        }
        gain::apply(leveller_gain, frames, index);
        if self.listen.is_active() {
            levelled.copy_from_slice(frames);
        }
        let (sides, copy) = (&mut self.sides[..], &mut self.copy[..]);
        process_sides(sides, frames, copy, |side, frames| side.reduce(frames, index));
        self.listen.process(frames, levelled, index);
        process_sides(sides, frames, copy, |side, frames| side.split(frames, index));
        gain::apply(&self.output_gain, frames, index);
        self.bypass.process(frames, dry, index);
        store(frames, audio, &mut self.output_peak);
    }

    /// Passes the samples of the reference voice to its analysis. Missing channels or samples count as silence.
    fn analyse_reference(&mut self, reference: &[&[f32]], start: usize, end: usize) {
        let Some(voice) = &mut self.reference_voice else {
            return;
        };
        let mut copies = [[0f32; LONGEST_STEP_SAMPLES]; MAX_CHANNELS];
        for (copy, channel) in copies.iter_mut().zip(reference) {
            let samples = channel.get(start..end).unwrap_or(&[]);
            copy[..samples.len()].copy_from_slice(samples);
        }
        let [left, right] = &mut copies;
        let mut chunk = [&mut left[..end - start], &mut right[..end - start]];
        let chunk = &mut chunk[..self.config.reference_channels];
        for channel in chunk.iter_mut() {
            sanitize(channel, &mut Peak::default());
        }
        voice.push(chunk);
        let into_hop_samples = self.into_hop_samples + end - start;
        if into_hop_samples.is_multiple_of(self.timing.step_samples) {
            voice.end_step(into_hop_samples);
        }
    }

    /// Ends a hop.
    fn end_hop(&mut self, on_hop: &mut dyn FnMut(&HopReport)) {
        self.into_hop_samples = 0;
        self.window_powers[0] = self.window_powers[STEPS_PER_HOP];
        self.update_hop();
        on_hop(&self.report);
        (self.input_peak, self.output_peak) = (Peak::default(), Peak::default());
    }
}

/// These samples of every channel (at most two); channels that are missing are empty.
fn slices<'a>(audio: &'a mut [&mut [f32]], samples: Range<usize>) -> [&'a mut [f32]; MAX_CHANNELS] {
    match audio {
        [] => [&mut [], &mut []],
        [mono] => [&mut mono[samples], &mut []],
        [left, right, ..] => [&mut left[samples.clone()], &mut right[samples]],
    }
}

#[cfg(test)]
mod tests {
    use crate::engine::{Engine, EngineConfig};
    use crate::settings::{Channels, Lookahead, Settings};
    use crate::test_signals::white_noise;

    #[test]
    fn the_leveller_hears_the_level_of_before_in_the_next_hop_and_after_a_jump() {
        let config = EngineConfig {
            sample_rate_hz: 48_000.0,
            channels: 1,
            link: Channels::Linked,
            reference_channels: 0,
            lookahead: Lookahead::Long,
        };
        let mut engine = Engine::new(config, &Settings::all_on());
        engine.locate(0);
        let mut noise = white_noise(64 * 20 + 40, 5);
        let (hops, into_third_step) = noise.split_at_mut(64 * 20);
        engine.process(&mut [hops], &[], &mut |_| {});
        assert_eq!(engine.window_powers[0], engine.own_voice.window_power());
        engine.process(&mut [into_third_step], &[], &mut |_| {});
        let before = engine.own_voice.window_power();
        assert!(before > 0.1);
        engine.locate(54_321);
        assert!(engine.window_powers.iter().all(|&power| power == before));
    }
}

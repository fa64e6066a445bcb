//! The audio path: splits a block into control steps and passes each through the stages.

use super::side::process_sides;
use super::{Engine, MAX_CHANNELS, ahead, heard_plan};
use crate::clock::timeline::GridPosition;
use crate::clock::timing::{LONGEST_STEP_SAMPLES, STEPS_PER_HOP};
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
        let length = audio.iter().map(|channel| channel.len()).min().unwrap_or(0);
        self.timeline.advance(length);
        let mut start = 0;
        while start < length {
            if self.step_position_samples == 0 {
                self.update_step();
            }
            let end = length.min(start + self.timing.step_samples - self.step_position_samples);
            self.analyse_reference(reference, start, end);
            self.process_chunk(audio, start, end);
            self.step_position_samples += end - start;
            self.processed_samples += (end - start) as i64;
            start = end;
            if self.step_position_samples == self.timing.step_samples {
                self.step_position_samples = 0;
                self.end_step(on_hop);
            }
        }
    }

    /// Continues as if the grid had run since the start of the song.
    fn align_grid(&mut self, position: GridPosition) {
        self.steps_into_hop = position.into_hop_samples / self.timing.step_samples;
        self.step_position_samples = position.into_hop_samples % self.timing.step_samples;
        self.own_voice.align_grid(position);
        if let Some(reference) = &mut self.reference_voice {
            reference.align_grid(position);
        }
        for side in &mut self.sides {
            side.align_grid(position);
        }
        if self.step_position_samples > 0 {
            self.update_step();
        }
    }

    /// Sets the gain targets for the next step.
    fn update_step(&mut self) {
        let changed = self.settings.step();
        if changed {
            self.plan.update(self.settings.current(), self.timing);
        }
        let plan = &self.plan;
        let window_power = if plan.settings.leveller.on {
            self.own_voice.window_power()
        } else {
            0.0
        };
        self.leveller
            .update_step(window_power, self.class, &plan.leveller);
        let settings = changed.then(|| self.settings.current());
        for side in &mut self.sides {
            side.update_step(plan, settings, self.leveller.target_gain());
        }
        let plan = heard_plan(&self.sides, plan);
        self.listen.update_step(&plan.listen);
        self.output_gain
            .continue_to(plan.output_gain, self.timing.step_samples);
        self.bypass.update_step(plan.settings.output.bypass);
    }

    /// Passes the samples from `start` to `end`, all within one step, through every stage.
    fn process_chunk(&mut self, audio: &mut [&mut [f32]], start: usize, end: usize) {
        let index = self.step_position_samples;
        let channels = self.config.channels.min(audio.len());
        let mut chunk: [&mut [f32]; MAX_CHANNELS] = match audio {
            [] => [&mut [], &mut []],
            [mono] => [&mut mono[start..end], &mut []],
            [left, right, ..] => [&mut left[start..end], &mut right[start..end]],
        };
        let chunk = &mut chunk[..channels];
        let length = end - start;
        let frames = &mut self.frames[..length];
        let (dry, levelled) = (&mut self.dry[..length], &mut self.levelled[..length]);

        for channel in chunk.iter_mut() {
            sanitize(channel, &mut self.input_peak);
        }
        self.own_voice.push(chunk);

        self.delay.process(chunk);
        load(frames, chunk);
        if self.bypass.is_active() {
            dry.copy_from_slice(frames);
        }
        match ahead(&self.sides) {
            Some(ahead) => ahead.leveller_gain().process(frames, index),
            None => self.leveller.process(frames, index),
        }
        if self.listen.is_active() {
            levelled.copy_from_slice(frames);
        }
        let (sides, copy) = (&mut self.sides[..], &mut self.copy[..]);
        process_sides(sides, frames, copy, |side, frames| side.reduce(frames, index));
        self.listen.process(frames, levelled, index);
        process_sides(sides, frames, copy, |side, frames| side.split(frames, index));
        gain::apply(&self.output_gain, frames, index);
        self.bypass.process(frames, dry, index);
        store(frames, chunk, &mut self.output_peak);
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
    }

    /// Ends a step; the last step of a hop also ends the hop.
    fn end_step(&mut self, on_hop: &mut impl FnMut(&HopReport)) {
        self.own_voice.end_step();
        if let Some(reference) = &mut self.reference_voice {
            reference.end_step();
        }
        self.steps_into_hop += 1;
        if self.steps_into_hop == STEPS_PER_HOP {
            self.steps_into_hop = 0;
            self.update_hop();
            on_hop(&self.report);
            (self.input_peak, self.output_peak) = (Peak::default(), Peak::default());
        }
    }
}

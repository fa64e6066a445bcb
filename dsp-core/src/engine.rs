//! The orchestrator: every stage by name, in the order in which the signal flows.

use crate::clock::timeline::{Place, Timeline};
use crate::clock::timing::{LONGEST_STEP_SAMPLES, STEPS_PER_HOP, Timing};
use crate::control::plan::Plan;
use crate::control::ramp::Ramp;
use crate::control::smoothing::SettingsGlide;
use crate::primitives::decibels::lufs_from_power;
use crate::primitives::denormal::{change, sanitized};
use crate::primitives::frame::{Frame, load, store};
use crate::report::{Class, HopReport, SpectrumView};
use crate::settings::{Lookahead, Settings};
use crate::stages::breath::Breath;
use crate::stages::bypass::Bypass;
use crate::stages::delay::LookaheadDelay;
use crate::stages::leveller::Leveller;
use crate::stages::listen::ListenSwitch;
use crate::stages::sibilance::Sibilance;
use crate::voice::adaptive_threshold::AdaptiveThreshold;
use crate::voice::voice_source::{ListenedVoice, VoiceSource};

/// The most channels that a voice can have.
const MOST_CHANNELS: usize = 2;

/// What fixes the size of every buffer and the latency.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EngineConfig {
    /// Sample rate, 8000 ... 384 000 Hz (tuned for 44 100 ... 192 000).
    pub sample_rate_hz: f64,
    /// Channels of the voice: 1 or 2. Detection is linked.
    pub channels: usize,
    /// Channels of the reference voice: 0 (no side-chain), 1 or 2.
    pub reference_channels: usize,
    /// The lookahead, hence the latency.
    pub lookahead: Lookahead,
}

/// The whole sound of Siskin.
pub struct Engine {
    config: EngineConfig,
    timing: Timing,
    timeline: Timeline,
    settings: SettingsGlide,
    plan: Plan,
    own: ListenedVoice,
    reference: Option<ListenedVoice>,
    voice_source: VoiceSource,
    delay: LookaheadDelay,
    leveller: Leveller,
    sibilance: Sibilance,
    breath: Breath,
    listen: ListenSwitch,
    output_gain: Ramp,
    bypass: Bypass,
    /// The sound of a chunk on its way.
    frames: Vec<Frame>,
    /// The delayed input of a chunk, for bypass.
    dry: Vec<Frame>,
    /// The levelled voice of a chunk, for Listen.
    levelled: Vec<Frame>,
    step_position_samples: usize,
    steps_into_hop: usize,
    heard_samples: i64,
    class: Class,
    report: HopReport,
    input_peak: f32,
    output_peak: f32,
}

impl Engine {
    /// An engine that is ready to run. Allocates all that it will ever need for this configuration.
    #[must_use]
    pub fn new(config: EngineConfig, settings: &Settings) -> Self {
        let config = EngineConfig {
            channels: config.channels.clamp(1, MOST_CHANNELS),
            reference_channels: config.reference_channels.min(MOST_CHANNELS),
            ..config
        };
        let timing = Timing::new(config.sample_rate_hz);
        let glide = SettingsGlide::new(timing, settings);
        let plan = Plan::new(glide.current(), timing);
        let start_lufs = plan.settings.follow.start_lufs;
        let channels = config.channels;
        let chunk = vec![Frame::ZERO; timing.step_samples];
        let mut engine = Self {
            config,
            timing,
            timeline: Timeline::new(timing),
            own: ListenedVoice::new(channels, timing, start_lufs),
            reference: (config.reference_channels > 0)
                .then(|| ListenedVoice::new(config.reference_channels, timing, start_lufs)),
            voice_source: VoiceSource::new(timing),
            delay: LookaheadDelay::new(channels, config.sample_rate_hz, config.lookahead),
            leveller: Leveller::new(timing, config.lookahead.samples(config.sample_rate_hz)),
            sibilance: Sibilance::new(timing, &plan.sibilance),
            breath: Breath::new(timing),
            listen: ListenSwitch::new(timing, &plan.listen),
            output_gain: Ramp::resting(1.0),
            bypass: Bypass::new(timing, plan.settings.output.bypass),
            frames: chunk.clone(),
            dry: chunk.clone(),
            levelled: chunk,
            step_position_samples: 0,
            steps_into_hop: 0,
            heard_samples: 0,
            class: Class::Quiet,
            report: HopReport::default(),
            input_peak: 0.0,
            output_peak: 0.0,
            settings: glide,
            plan,
        };
        engine.reset();
        engine
    }

    /// Takes new settings from the next control step on (at most 1/3 ms later). Never allocates. Values outside their
    /// range are clamped, values that are not numbers are ignored.
    pub fn set(&mut self, settings: &Settings) {
        self.settings.set(settings);
    }

    /// Changes the lookahead and resets. Never allocates.
    pub fn set_lookahead(&mut self, lookahead: Lookahead) {
        self.config.lookahead = lookahead;
        self.delay.set_length(self.latency_samples());
        self.leveller.set_lookahead(self.latency_samples());
        self.reset();
    }

    /// Forgets all sound: what follows is exactly a first run with the current settings.
    pub fn reset(&mut self) {
        self.timeline.reset();
        self.settings.reset();
        self.plan = Plan::new(self.settings.current(), self.timing);
        let (plan, start_lufs) = (&self.plan, self.plan.settings.follow.start_lufs);
        self.own.reset(start_lufs);
        if let Some(reference) = &mut self.reference {
            reference.reset(start_lufs);
        }
        self.voice_source.reset();
        self.delay.reset();
        self.leveller.reset(&plan.leveller, start_lufs);
        self.sibilance.reset(&plan.sibilance);
        self.breath.reset();
        self.listen.reset(&plan.listen);
        self.output_gain = Ramp::resting(plan.output_gain);
        self.bypass.reset(plan.settings.output.bypass);
        (
            self.step_position_samples,
            self.steps_into_hop,
            self.heard_samples,
        ) = (0, 0, 0);
        self.class = Class::Quiet;
        (self.input_peak, self.output_peak) = (0.0, 0.0);
        self.report = HopReport::default();
    }

    /// The spectrum of the last window of analysis, as the input has it.
    #[must_use]
    pub fn spectrum(&self) -> SpectrumView<'_> {
        let spectrum = self.own.spectrum();
        SpectrumView {
            bin_hz: spectrum.bin_hz() as f32,
            powers: spectrum.powers(),
        }
    }

    /// Samples between two reports.
    #[must_use]
    pub fn hop_samples(&self) -> usize {
        self.timing.hop_samples
    }

    /// How far the output lags the input, in samples.
    #[must_use]
    pub fn latency_samples(&self) -> usize {
        self.config.lookahead.samples(self.config.sample_rate_hz)
    }

    /// Tells where on the song's timeline the next sample lies, in samples, before it is processed. At a start and
    /// after a jump the grid on which everything is decided is laid on that timeline, so that a sibilant is treated alike
    /// wherever playback began. Without it the grid starts with the first sample. Never allocates.
    pub fn locate(&mut self, position_samples: i64) {
        if self.timeline.jumps_to(position_samples) {
            self.lay_grid(Place::of(position_samples, self.timing));
        }
    }

    /// Processes `audio` (one slice a channel, all of one length, any length) in place. `reference` is the voice
    /// on the side-chain, one slice a channel of that same length, or empty where there is none. `on_hop` is
    /// called after each hop of analysis.
    pub fn process(
        &mut self,
        audio: &mut [&mut [f32]],
        reference: &[&[f32]],
        on_hop: &mut impl FnMut(&HopReport),
    ) {
        let length = audio.iter().map(|channel| channel.len()).min().unwrap_or(0);
        self.timeline.pass(length);
        let mut start = 0;
        while start < length {
            if self.step_position_samples == 0 {
                self.decide();
            }
            let end = length.min(start + self.timing.step_samples - self.step_position_samples);
            self.hear_reference(reference, start, end);
            self.process_chunk(audio, start, end);
            self.step_position_samples += end - start;
            self.heard_samples += (end - start) as i64;
            start = end;
            if self.step_position_samples == self.timing.step_samples {
                self.step_position_samples = 0;
                self.end_step(on_hop);
            }
        }
    }

    /// Goes on as if the grid had run since the song began.
    fn lay_grid(&mut self, place: Place) {
        self.steps_into_hop = place.into_hop_samples / self.timing.step_samples;
        self.step_position_samples = place.into_hop_samples % self.timing.step_samples;
        self.own.lay_grid(place);
        if let Some(reference) = &mut self.reference {
            reference.lay_grid(place);
        }
        if self.step_position_samples > 0 {
            self.decide();
        }
    }

    /// Moves every gain to where it shall be at the end of the coming step.
    fn decide(&mut self) {
        if self.settings.step() {
            self.plan.follow(self.settings.current(), self.timing);
        }
        let plan = &self.plan;
        let window_power = if plan.settings.leveller.on {
            self.own.window_power()
        } else {
            0.0
        };
        self.leveller.decide(window_power, self.class, &plan.leveller);
        self.sibilance.step(&plan.sibilance);
        self.breath.step(&plan.breath);
        self.listen.step(&plan.listen);
        self.output_gain
            .continue_to(plan.output_gain, self.timing.step_samples);
        self.bypass.step(plan.settings.output.bypass);
    }

    /// The way of the signal.
    fn process_chunk(&mut self, audio: &mut [&mut [f32]], start: usize, end: usize) {
        let index = self.step_position_samples;
        let channels = self.config.channels.min(audio.len());
        let mut chunk: [&mut [f32]; MOST_CHANNELS] = match audio {
            [] => [&mut [], &mut []],
            [mono] => [&mut mono[start..end], &mut []],
            [left, right, ..] => [&mut left[start..end], &mut right[start..end]],
        };
        let chunk = &mut chunk[..channels];
        let length = end - start;
        let frames = &mut self.frames[..length];
        let (dry, levelled) = (&mut self.dry[..length], &mut self.levelled[..length]);

        self.input_peak = sanitize(chunk).max(self.input_peak);
        self.own.push(chunk);

        self.delay.process(chunk);
        load(frames, chunk);
        if self.bypass.is_heard() {
            dry.copy_from_slice(frames);
        }
        self.leveller.process(frames, index);
        if self.listen.is_heard() {
            levelled.copy_from_slice(frames);
        }
        self.sibilance.process(frames, index);
        self.breath.process(frames, index);
        self.listen.process(frames, levelled, index);
        crate::stages::gain::apply(&self.output_gain, frames, index);
        self.bypass.process(frames, dry, index);
        self.output_peak = store(frames, chunk).max(self.output_peak);
    }

    fn hear_reference(&mut self, reference: &[&[f32]], start: usize, end: usize) {
        let Some(voice) = &mut self.reference else { return };
        let mut safe = [[0f32; LONGEST_STEP_SAMPLES]; MOST_CHANNELS];
        for (safe, channel) in safe.iter_mut().zip(reference) {
            let heard = channel.get(start..end).unwrap_or(&[]);
            safe[..heard.len()].copy_from_slice(heard);
        }
        let [left, right] = &mut safe;
        let mut chunk = [&mut left[..end - start], &mut right[..end - start]];
        let chunk = &mut chunk[..self.config.reference_channels];
        sanitize(chunk);
        voice.push(chunk);
    }

    /// Closes a step; after the last of a hop, listens to what the hop held.
    fn end_step(&mut self, on_hop: &mut impl FnMut(&HopReport)) {
        self.own.end_step();
        if let Some(reference) = &mut self.reference {
            reference.end_step();
        }
        self.steps_into_hop += 1;
        if self.steps_into_hop == STEPS_PER_HOP {
            self.steps_into_hop = 0;
            self.end_hop();
            on_hop(&self.report);
            (self.input_peak, self.output_peak) = (0.0, 0.0);
        }
    }

    /// Analysis, follower, threshold, gain computers: once a hop, in this order.
    fn end_hop(&mut self) {
        let plan = &self.plan;
        let leveller_power_gain = self.leveller.power_gain();
        if let Some(reference) = &mut self.reference {
            reference.end_hop(1.0, plan.follow_hops);
        }
        let heard = self
            .own
            .end_hop(self.leveller.reduction_power_gain(), plan.follow_hops);
        self.class = heard.class;
        if self.own.follower().hops_since_voice() == 0 {
            self.leveller.hear_voice(heard.power);
        }
        let power = heard.power * leveller_power_gain;
        let voice_lufs = self.voice_source.decide(
            &self.own,
            self.leveller.makeup_db(),
            self.reference.as_ref(),
            &plan.settings.follow,
        );
        let threshold_lufs = AdaptiveThreshold {
            voice_lufs,
            proportion_lu: plan.settings.sibilance.proportion_lu,
        }
        .lufs();
        let decision = self.sibilance.decide(
            (self.class, self.own.spectrum()),
            leveller_power_gain,
            threshold_lufs,
            &plan.sibilance,
        );
        self.breath.decide(
            (self.class, self.own.spectrum()),
            leveller_power_gain,
            voice_lufs,
            &plan.breath,
        );
        self.report = HopReport {
            centre_sample: self.heard_samples - self.timing.window_samples as i64 / 2,
            class: self.class,
            voice_lufs,
            threshold_lufs,
            sibilance_lufs: decision.level_lufs,
            momentary_lufs: lufs_from_power(power),
            sibilance_gain_db: -self.sibilance.reduction_db(),
            edge_hz: self.sibilance.edge_hz(&plan.sibilance),
            sibilance_depth_db: -self.sibilance.depth_db(),
            breath_gain_db: -self.breath.reduction_db(),
            leveller_gain_db: -self.leveller.reduction_db(),
            leveller_makeup_db: self.leveller.makeup_db(),
            follows_reference: self.voice_source.follows_reference(),
            voice_heard: self.own.follower().heard() || self.voice_source.follows_reference(),
            input_peak: self.input_peak,
            output_peak: self.output_peak,
        };
    }
}

/// Makes every channel safe to process; gives the greatest magnitude.
fn sanitize(chunk: &mut [&mut [f32]]) -> f32 {
    chunk
        .iter_mut()
        .map(|channel| change(channel, sanitized))
        .fold(0.0, f32::max)
}

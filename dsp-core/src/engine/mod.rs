//! The engine: owns every stage and runs them in the order of the signal.
//!
//! Three rates: samples (`process`), control steps of 1/3 ms (`update_step`: gain targets) and hops of analysis of 4/3 ms
//! (`update_hop`: classes, levels, thresholds). Methods of the two rates are named alike in every stage.

mod ahead;
mod hop;
mod process;
mod side;

use crate::clock::timeline::Timeline;
use crate::clock::timing::{STEPS_PER_HOP, Timing};
use crate::control::plan::Plan;
use crate::control::ramp::Ramp;
use crate::control::smoothing::SettingsGlide;
use crate::primitives::denormal::Peak;
use crate::primitives::frame::Frame;
use crate::report::{Class, HopReport, SpectrumView};
use crate::settings::{Channels, Lookahead, Settings};
use crate::stages::bypass::Bypass;
use crate::stages::delay::LookaheadDelay;
use crate::stages::leveller::Leveller;
use crate::stages::listen::ListenSwitch;
use crate::voice::tracked_voice::TrackedVoice;
use crate::voice::voice_source::VoiceSource;
use ahead::Ahead;
use side::Side;

/// The largest number of channels of a voice.
const MAX_CHANNELS: usize = 2;

/// The configuration that fixes buffer sizes and latency.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EngineConfig {
    /// Sample rate, 8000 ... 384 000 Hz (tuned for 44 100 ... 192 000).
    pub sample_rate_hz: f64,
    /// Channels of the voice: 1 or 2.
    pub channels: usize,
    /// Whether they are heard and treated as one.
    pub link: Channels,
    /// Channels of the reference voice: 0 (no side-chain), 1 or 2.
    pub reference_channels: usize,
    /// The lookahead, which is also the latency.
    pub lookahead: Lookahead,
}

/// The complete signal processor: input in, processed voice out, a report per hop.
pub struct Engine {
    config: EngineConfig,
    timing: Timing,
    timeline: Timeline,
    settings: SettingsGlide,
    plan: Plan,
    own_voice: TrackedVoice,
    reference_voice: Option<TrackedVoice>,
    voice_source: VoiceSource,
    delay: LookaheadDelay,
    leveller: Leveller,
    /// Sibilance, breath and Part: one for all channels, or one for each.
    sides: Vec<Side>,
    /// The one that the report is of.
    reported_side: usize,
    listen: ListenSwitch,
    output_gain: Ramp,
    bypass: Bypass,
    /// The signal of the current chunk between the stages.
    frames: Vec<Frame>,
    /// The delayed input of the chunk, for bypass.
    dry: Vec<Frame>,
    /// The levelled voice of the chunk, for Listen.
    levelled: Vec<Frame>,
    /// The signal of the chunk for the second of two sides.
    copy: Vec<Frame>,
    /// Where the next sample lies in its hop.
    into_hop_samples: usize,
    processed_samples: i64,
    class: Class,
    /// Mean squares of the analysis window before each step of the hop, and at its end.
    window_powers: [f64; STEPS_PER_HOP + 1],
    report: HopReport,
    input_peak: Peak,
    output_peak: Peak,
}

impl Engine {
    /// Makes an engine that is ready to run, and allocates everything that it needs for this configuration.
    #[must_use]
    pub fn new(config: EngineConfig, settings: &Settings) -> Self {
        let config = EngineConfig {
            channels: config.channels.clamp(1, MAX_CHANNELS),
            reference_channels: config.reference_channels.min(MAX_CHANNELS),
            ..config
        };
        let timing = Timing::new(config.sample_rate_hz);
        let glide = SettingsGlide::new(timing, settings);
        let plan = Plan::new(glide.current(), timing);
        let start_lufs = plan.settings.follow.start_lufs;
        let channels = config.channels;
        let chunk = vec![Frame::ZERO; timing.step_samples];
        let latency_samples = config.lookahead.samples(config.sample_rate_hz);
        let ahead_hops = ahead_hops(config.lookahead, timing);
        let own_voice = TrackedVoice::new(channels, config.link, timing, start_lufs);
        let ahead = |side| {
            let spectrum = own_voice.spectrum(side);
            Ahead::new(timing, &plan, latency_samples, ahead_hops, spectrum)
        };
        let side = |side| {
            let ahead = config.lookahead.keeps_hops().then(|| ahead(side));
            Side::new(timing, &plan, ahead)
        };
        let sides: Vec<_> = (0..config.link.sides(channels)).map(side).collect();
        let mut engine = Self {
            config,
            timing,
            timeline: Timeline::new(timing),
            own_voice,
            reference_voice: (config.reference_channels > 0)
                .then(|| TrackedVoice::new(config.reference_channels, Channels::Linked, timing, start_lufs)),
            voice_source: VoiceSource::new(timing),
            delay: LookaheadDelay::new(channels, config.sample_rate_hz, config.lookahead),
            leveller: Leveller::new(timing, latency_samples - ahead_hops * timing.hop_samples),
            copy: vec![Frame::ZERO; if sides.len() > 1 { timing.step_samples } else { 0 }],
            sides,
            reported_side: 0,
            listen: ListenSwitch::new(timing, &plan.listen),
            output_gain: Ramp::resting(1.0),
            bypass: Bypass::new(timing, plan.settings.output.bypass),
            frames: chunk.clone(),
            dry: chunk.clone(),
            levelled: chunk,
            into_hop_samples: 0,
            processed_samples: 0,
            class: Class::Quiet,
            window_powers: [0.0; STEPS_PER_HOP + 1],
            report: HopReport::default(),
            input_peak: Peak::default(),
            output_peak: Peak::default(),
            settings: glide,
            plan,
        };
        engine.reset();
        engine
    }

    /// Uses new settings from the next control step on (at most 1/3 ms later). Values outside their range are clamped,
    /// values that are not numbers are ignored. Does not allocate.
    pub fn set(&mut self, settings: &Settings) {
        self.settings.set(settings);
    }

    /// Changes the lookahead and resets. Does not allocate. Returns false, and changes nothing, if the other lookahead needs
    /// another engine, because only one of the two keeps hops.
    pub fn set_lookahead(&mut self, lookahead: Lookahead) -> bool {
        if lookahead.keeps_hops() != self.config.lookahead.keeps_hops() {
            return false;
        }
        self.config.lookahead = lookahead;
        self.delay.set_length(self.latency_samples());
        self.leveller
            .set_lookahead(self.latency_samples() - self.ahead_hops() * self.timing.hop_samples);
        self.reset();
        true
    }

    /// Whether the engine has the sides that channels linked like this are heard as; other sides need another engine.
    #[must_use]
    pub fn has_sides_of(&self, link: Channels) -> bool {
        link.sides(self.config.channels) == self.sides.len()
    }

    /// Clears all state: the following run equals, to the bit, the first run of a new engine with the current settings.
    pub fn reset(&mut self) {
        self.timeline.reset();
        self.settings.reset();
        self.plan = Plan::new(self.settings.current(), self.timing);
        let (plan, start_lufs) = (&self.plan, self.plan.settings.follow.start_lufs);
        self.own_voice.reset(start_lufs);
        if let Some(reference) = &mut self.reference_voice {
            reference.reset(start_lufs);
        }
        self.voice_source.reset();
        self.delay.reset();
        self.leveller.reset(&plan.leveller, start_lufs);
        for side in &mut self.sides {
            side.reset(plan, self.leveller.gain().target());
        }
        self.reported_side = 0;
        self.listen.reset(&plan.listen);
        self.output_gain = Ramp::resting(plan.output_gain);
        self.bypass.reset(plan.settings.output.bypass);
        (self.into_hop_samples, self.processed_samples) = (0, 0);
        self.class = Class::Quiet;
        self.window_powers = [0.0; STEPS_PER_HOP + 1];
        (self.input_peak, self.output_peak) = (Peak::default(), Peak::default());
        self.report = HopReport::default();
    }

    /// The spectrum of the analysis window that the last report is about.
    #[must_use]
    pub fn spectrum(&self) -> SpectrumView<'_> {
        let side = self.reported_side;
        let spectrum = self.own_voice.spectrum(side);
        SpectrumView {
            bin_hz: spectrum.bin_hz() as f32,
            powers: self.sides[side]
                .ahead()
                .map_or(spectrum.powers(), Ahead::spectrum),
        }
    }

    /// Samples between two reports.
    #[must_use]
    pub fn hop_samples(&self) -> usize {
        self.timing.hop_samples
    }

    /// Index of the next input sample, in samples since the last reset: what reports count in.
    #[must_use]
    pub fn next_sample(&self) -> i64 {
        self.processed_samples
    }

    /// Delay from input to output, samples.
    #[must_use]
    pub fn latency_samples(&self) -> usize {
        self.config.lookahead.samples(self.config.sample_rate_hz)
    }

    /// Hops that are analysed and not heard yet.
    fn ahead_hops(&self) -> usize {
        ahead_hops(self.config.lookahead, self.timing)
    }
}

/// What is known of the hops to come; `None` if they are heard at once. Where two sides know of them, what both share.
fn ahead(sides: &[Side]) -> Option<&Ahead> {
    sides.first().and_then(Side::ahead)
}

/// The plan of what is heard.
fn heard_plan<'a>(sides: &'a [Side], newest: &'a Plan) -> &'a Plan {
    ahead(sides).map_or(newest, Ahead::plan)
}

/// Whole hops by which a lookahead is longer than the analysis needs; 0 if it keeps none.
fn ahead_hops(lookahead: Lookahead, timing: Timing) -> usize {
    let samples = |lookahead: Lookahead| lookahead.samples(timing.sample_rate_hz);
    samples(lookahead).saturating_sub(samples(Lookahead::Long)) / timing.hop_samples
}

//! The orchestrator: every stage by name, in the order in which the signal flows.

use crate::report::HopReport;
use crate::settings::{Lookahead, Settings};

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
    settings: Settings,
}

impl Engine {
    /// An engine that is ready to run. Allocates all that it will ever need for this configuration.
    #[must_use]
    pub fn new(config: EngineConfig, settings: &Settings) -> Self {
        Self {
            config,
            settings: *settings,
        }
    }

    /// Takes new settings from the next sample on. Never allocates. Values outside their range are clamped,
    /// values that are not numbers are ignored.
    pub fn set(&mut self, settings: &Settings) {
        self.settings = *settings;
    }

    /// Changes the lookahead and resets. Never allocates.
    pub fn set_lookahead(&mut self, lookahead: Lookahead) {
        self.config.lookahead = lookahead;
    }

    /// Forgets all sound: what follows is exactly a first run with the current settings.
    pub fn reset(&mut self) {}

    /// How far the output lags the input, in samples.
    #[must_use]
    pub fn latency_samples(&self) -> usize {
        self.config.lookahead.samples(self.config.sample_rate_hz)
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
        let _ = (audio, reference, on_hop);
    }
}

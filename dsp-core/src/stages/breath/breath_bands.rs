//! The two bands that distinguish a breath from a voice.
//!
//! A breath has almost no power where a voice has its pitch and first formant (Nakano et al. 2008: breaths peak near 1.6 to
//! 1.7 kHz; Werner et al. 2023).

use std::ops::Range;

use crate::analysis::{Band, Spectrum};
use crate::clock::timing::Timing;

/// The band of a voice's pitch and first formant.
pub(super) const VOICE_HZ: Range<f64> = 100.0..500.0;
/// The band with most of a breath's power.
pub(super) const BREATH_HZ: Range<f64> = 500.0..2800.0;
/// Highest power of the voice band relative to the breath band in a breath (-10 dB). Rough vowels of real voices have about
/// equal power in both, synthetic breaths a hundredth.
const MAX_VOICE_SHARE: f64 = 0.1;
/// A single hop above this ratio (-5 dB) is the start of a word, whatever the mean of the breath before: the low end of a
/// voice appears before its period is detected.
const WORD_SHARE: f64 = 0.3;

/// The powers of a hop, or their mean.
#[derive(Clone, Copy, Default)]
pub(super) struct BreathPowers {
    pub voice: f64,
    pub breath: f64,
    /// Above the breath band.
    pub treble: f64,
    pub all: f64,
}

/// The bins of each band.
pub(super) struct BreathBands {
    voice: Band,
    breath: Band,
    treble: Band,
    all: Band,
}

impl BreathBands {
    pub fn new(timing: Timing) -> Self {
        Self {
            voice: Band::new(timing, VOICE_HZ),
            breath: Band::new(timing, BREATH_HZ),
            treble: Band::new(timing, BREATH_HZ.end..f64::INFINITY),
            all: Band::new(timing, VOICE_HZ.start..f64::INFINITY),
        }
    }

    pub fn powers(&self, spectrum: &Spectrum) -> BreathPowers {
        BreathPowers {
            voice: spectrum.power(&self.voice),
            breath: spectrum.power(&self.breath),
            treble: spectrum.power(&self.treble),
            all: spectrum.power(&self.all),
        }
    }
}

impl BreathPowers {
    pub fn lack_voice(&self) -> bool {
        self.voice < MAX_VOICE_SHARE * self.breath
    }

    pub fn start_a_word(&self) -> bool {
        self.voice > WORD_SHARE * self.breath
    }

    pub fn move_towards(&mut self, now: &Self, share: f64) {
        self.voice += (now.voice - self.voice) * share;
        self.breath += (now.breath - self.breath) * share;
        self.treble += (now.treble - self.treble) * share;
        self.all += (now.all - self.all) * share;
    }
}

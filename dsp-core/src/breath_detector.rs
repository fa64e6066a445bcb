//! What tells a breath from the other noises of a voice: rough vowels, f, th and h, the starts of words.
//!
//! A breath has next to no power where a voice has its pitch and first formant (Nakano et al. 2008: breaths peak near 1.6
//! to 1.7 kHz; Werner et al. 2023), it lasts longer than a consonant, and it seldom follows a voice without a gap.

use crate::analysis::Spectrum;
use crate::report::Class;
use crate::timing::Timing;

/// Where a voice has its pitch and first formant, and where a breath has its power.
const VOICE_HZ: (f64, f64) = (100.0, 500.0);
const BREATH_HZ: (f64, f64) = (500.0, 2800.0);
/// The most of the one that a breath has beside the other, as a ratio of powers (-10 dB): rough vowels of real voices
/// have about as much of both, synthetic breaths a hundredth.
const VOICE_SHARE: f64 = 0.1;
/// Noise that has lasted this long is a breath; where it follows a voice at once, as f and th do, it must outlast them
/// (Jongman, Wayland & Wong 2000: f and th last some 150 to 170 ms in careful speech, less in running words).
const PROOF_MS: f32 = 20.0;
const PROOF_AFTER_VOICE_MS: f32 = 60.0;
/// A gap shorter than this is none.
const GAP_MS: f32 = 30.0;
/// A breath may pass for silence or for a voice without a low end for this long: narrow noise is periodic now and then.
const DOUBT_MS: f32 = 12.0;
/// Memory of the powers: breaths swell and fade over tens of milliseconds.
const MEMORY_MS: f32 = 25.0;

/// The noise that sounds, as far as it has shown itself.
pub(crate) struct BreathDetector {
    hops: usize,
    needed_hops: usize,
    doubtful_hops: usize,
    hops_since_voice: usize,
    voice_power: f64,
    breath_power: f64,
    power: f64,
    memory_hops: usize,
    proof_hops: usize,
    proof_after_voice_hops: usize,
    gap_hops: usize,
    doubt_hops: usize,
}

impl BreathDetector {
    pub fn new(timing: Timing) -> Self {
        Self {
            hops: 0,
            needed_hops: 0,
            doubtful_hops: 0,
            hops_since_voice: 0,
            voice_power: 0.0,
            breath_power: 0.0,
            power: 0.0,
            memory_hops: timing.hops(MEMORY_MS),
            proof_hops: timing.hops(PROOF_MS),
            proof_after_voice_hops: timing.hops(PROOF_AFTER_VOICE_MS),
            gap_hops: timing.hops(GAP_MS),
            doubt_hops: timing.hops(DOUBT_MS),
        }
    }

    pub fn reset(&mut self) {
        (self.hops, self.needed_hops, self.doubtful_hops) = (0, 0, 0);
        self.hops_since_voice = 0;
        (self.voice_power, self.breath_power, self.power) = (0.0, 0.0, 0.0);
    }

    /// Takes the class and the spectrum of a hop; gives the mean power of the breath that sounds, if one does.
    pub fn hear(&mut self, class: Class, spectrum: &Spectrum) -> Option<f64> {
        let voice_power = spectrum.band_power(VOICE_HZ.0, VOICE_HZ.1);
        let breath_power = spectrum.band_power(BREATH_HZ.0, BREATH_HZ.1);
        if !self.goes_on(class, voice_power < VOICE_SHARE * breath_power) {
            self.hops = 0;
            self.hops_since_voice = match class {
                Class::Quiet => self.hops_since_voice.saturating_add(1),
                _ => 0,
            };
            return None;
        }
        if self.hops == 0 {
            self.begin();
        }
        self.hops_since_voice = self.hops_since_voice.saturating_add(1);
        self.hops = self.hops.saturating_add(1);
        let share = 1.0 / self.hops.min(self.memory_hops) as f64;
        let towards = |mean: &mut f64, power: f64| *mean += (power - *mean) * share;
        towards(&mut self.voice_power, voice_power);
        towards(&mut self.breath_power, breath_power);
        towards(&mut self.power, spectrum.band_power(VOICE_HZ.0, f64::INFINITY));
        let proven = self.hops >= self.needed_hops && self.voice_power < VOICE_SHARE * self.breath_power;
        proven.then_some(self.power)
    }

    /// Whether a breath begins or goes on; `lacks_voice` is that the hop has no low end.
    fn goes_on(&mut self, class: Class, lacks_voice: bool) -> bool {
        if class == Class::Breath {
            self.doubtful_hops = 0;
            return true;
        }
        self.doubtful_hops = self.doubtful_hops.saturating_add(1);
        let may_be_breath = class == Class::Quiet || (class == Class::Voice && lacks_voice);
        self.hops > 0 && may_be_breath && self.doubtful_hops <= self.doubt_hops
    }

    fn begin(&mut self) {
        self.needed_hops = if self.hops_since_voice < self.gap_hops {
            self.proof_after_voice_hops
        } else {
            self.proof_hops
        };
    }
}

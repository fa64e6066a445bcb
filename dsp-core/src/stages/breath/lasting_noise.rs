//! Finds clear breaths that are known whole before they are heard: noise that stands out of the background, has next to no low
//! end and lasts longer than a consonant.
//!
//! Since time need not be saved, noise is a breath only once it has lasted. In return it may begin and end within what the
//! classifier still takes for background, and it may be as bright as a soft sibilant.

use super::breath_bands::{BreathBands, BreathPowers};
use crate::analysis::Spectrum;
use crate::clock::timing::Timing;
use crate::primitives::softest_power::SoftestPower;
use crate::report::Class;

// The limits below were searched on the tuning half of the labelled voices and of the real breaths (`tests/python/breaths`).

/// How long noise must last to be a breath. Of weak fricatives and aspirated stops few are longer; breaths last 50 to 1225 ms
/// (Nakano et al. 2008).
const SHORTEST_MS: f32 = 120.0;
/// How long a breath may be taken for a voice or a sibilant, or be background, without ending: a word must not lose its start.
const WORD_TOLERANCE_MS: f32 = 12.0;
const QUIET_TOLERANCE_MS: f32 = 15.0;
/// Averaging time of the powers: breaths rise and fall over tens of milliseconds.
const AVERAGE_MS: f32 = 25.0;
/// Highest mean power of the voice band relative to the breath band (-14 dB): synthetic breaths have 20 dB less in it, breathy
/// ends of words up to 10 dB. Real breaths have 4 to 15 dB less and are found by their likeness.
const MAX_VOICE_SHARE: f64 = 0.04;
/// Power of the breath band over the softest of the last seconds at which noise may begin or go on (6 dB), and which a breath
/// has on average (9 dB).
const ABOVE_BACKGROUND: f64 = 4.0;
const BREATH_ABOVE_BACKGROUND: f64 = 8.0;
/// Highest power of the treble relative to the breath band in a breath (3 dB); sibilants have 10 dB and more.
const MAX_TREBLE: f64 = 2.0;

/// The current noise.
pub(super) struct LastingNoise {
    bands: BreathBands,
    softest_breath: SoftestPower,
    shortest_hops: usize,
    word_tolerance_hops: usize,
    quiet_tolerance_hops: usize,
    average_hops: usize,
    hops: usize,
    other_class_hops: usize,
    mean: BreathPowers,
}

impl LastingNoise {
    pub fn new(timing: Timing) -> Self {
        Self {
            bands: BreathBands::new(timing),
            softest_breath: SoftestPower::new(timing),
            shortest_hops: timing.hops(SHORTEST_MS),
            word_tolerance_hops: timing.hops(WORD_TOLERANCE_MS),
            quiet_tolerance_hops: timing.hops(QUIET_TOLERANCE_MS),
            average_hops: timing.hops(AVERAGE_MS),
            hops: 0,
            other_class_hops: 0,
            mean: BreathPowers::default(),
        }
    }

    pub fn reset(&mut self) {
        self.softest_breath.reset();
        (self.hops, self.other_class_hops) = (0, 0);
    }

    /// Aligns to the song what is searched in spans; `hop` is the number of the next hop, counted from the start of the song.
    pub fn align_spans(&mut self, hop: i64) {
        self.softest_breath.align_spans(hop);
    }

    /// Takes the class and the spectrum of a hop; returns the mean power of the breath if the noise so far is one.
    pub fn update_hop(&mut self, class: Class, spectrum: &Spectrum) -> Option<f64> {
        let now = self.bands.powers(spectrum);
        let background = self.softest_breath.update_hop(now.breath);
        let is_noise = match class {
            Class::Breath => true,
            Class::Quiet => now.breath > ABOVE_BACKGROUND * background,
            Class::Sibilant => self.hops > 0 && self.mean.treble < MAX_TREBLE * self.mean.breath,
            Class::Voice => false,
        };
        if self.is_word(&now) || !self.continues(is_noise, class, &now) {
            self.hops = 0;
            return None;
        }
        self.hops = self.hops.saturating_add(1);
        self.mean
            .move_towards(&now, 1.0 / self.hops.min(self.average_hops) as f64);
        let is_breath = self.hops >= self.shortest_hops
            && self.mean.voice < MAX_VOICE_SHARE * self.mean.breath
            && self.mean.breath > BREATH_ABOVE_BACKGROUND * background;
        is_breath.then_some(self.mean.all)
    }

    /// True if a word begins with this hop: its low end stands out of the noise before, as no fluctuation of that does.
    fn is_word(&self, now: &BreathPowers) -> bool {
        self.hops > 0 && now.start_a_word() && now.voice > self.mean.breath
    }

    /// True if noise begins or goes on.
    fn continues(&mut self, is_noise: bool, class: Class, now: &BreathPowers) -> bool {
        if is_noise {
            self.other_class_hops = 0;
            return true;
        }
        self.other_class_hops = self.other_class_hops.saturating_add(1);
        let tolerance_hops = match class {
            Class::Quiet => self.quiet_tolerance_hops,
            Class::Voice if !now.lack_voice() => 0,
            _ => self.word_tolerance_hops,
        };
        self.hops > 0 && self.other_class_hops <= tolerance_hops
    }

    /// Hops of the current noise so far.
    pub fn hops(&self) -> usize {
        self.hops
    }
}

#[cfg(test)]
mod tests {
    use super::super::breath_bands::{BREATH_HZ, VOICE_HZ};
    use super::*;

    /// Time of one class and spectrum until a breath is found, if within a second.
    fn found_after_ms(noise: &mut LastingNoise, class: Class, spectrum: &Spectrum) -> Option<f32> {
        (1..750)
            .find(|_| noise.update_hop(class, spectrum).is_some())
            .map(|hops| hops as f32 * 4.0 / 3.0)
    }

    /// Noise like a breath's above 500 Hz, with a share of it below.
    fn breath(low_share: f64, gain: f64) -> Spectrum {
        Spectrum::of_two_bands(VOICE_HZ, low_share * gain, BREATH_HZ.start..8000.0, 3.0 * gain)
    }

    /// After half a second of background.
    fn after_background() -> LastingNoise {
        let mut noise = LastingNoise::new(Timing::new(48_000.0));
        assert_eq!(found_after_ms(&mut noise, Class::Quiet, &breath(1.0, 1e-3)), None);
        noise
    }

    #[test]
    fn noise_that_lasts_is_a_breath_and_what_is_shorter_is_none() {
        let mut noise = after_background();
        let found_ms = found_after_ms(&mut noise, Class::Breath, &breath(0.01, 1.0)).unwrap();
        assert!((119.0..122.0).contains(&found_ms), "{found_ms} ms");
        assert_eq!(noise.hops(), 90, "since its first hop");
    }

    #[test]
    fn a_breath_may_pass_for_background_and_a_loud_background_is_none() {
        assert!(found_after_ms(&mut after_background(), Class::Quiet, &breath(0.01, 0.02)).is_some());
        assert!(found_after_ms(&mut after_background(), Class::Quiet, &breath(0.01, 0.003)).is_none());
        assert!(found_after_ms(&mut after_background(), Class::Breath, &breath(0.01, 0.005)).is_none());
    }

    #[test]
    fn neither_rough_voice_nor_a_sibilant_is_a_breath() {
        assert_eq!(
            found_after_ms(&mut after_background(), Class::Breath, &breath(1.0, 1.0)),
            None
        );
        assert_eq!(
            found_after_ms(&mut after_background(), Class::Sibilant, &breath(0.01, 1.0)),
            None
        );
    }

    #[test]
    fn a_breath_goes_on_through_single_hops_of_other_classes_and_ends_with_a_word() {
        let mut noise = after_background();
        found_after_ms(&mut noise, Class::Breath, &breath(0.01, 1.0));
        for class in [Class::Sibilant, Class::Quiet, Class::Voice, Class::Breath] {
            assert!(noise.update_hop(class, &breath(0.01, 1.0)).is_some(), "{class:?}");
        }
        let word = Spectrum::of_two_bands(VOICE_HZ, 2.0, BREATH_HZ, 1.0);
        assert!(
            noise.update_hop(Class::Breath, &word).is_none(),
            "before its period is found"
        );
        assert!(noise.update_hop(Class::Voice, &word).is_none());
        assert!(
            noise.update_hop(Class::Breath, &breath(0.01, 1.0)).is_none(),
            "begins anew"
        );
    }
}

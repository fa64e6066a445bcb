//! Distinguishes breaths from other noises of a voice: rough vowels, f, th, h and the starts of words.
//!
//! A breath has almost no low end, it lasts longer than a consonant, and it rarely follows a voice without a gap.

use super::breath_bands::{BreathBands, BreathPowers};
use crate::analysis::Spectrum;
use crate::clock::timing::Timing;
use crate::report::Class;

/// How long noise must last to be confirmed as a breath. Directly after a voice, where f and th occur, it must last longer.
const CONFIRM_MS: f32 = 20.0;
const CONFIRM_AFTER_VOICE_MS: f32 = 60.0;
/// A shorter gap after a voice does not count as a gap.
const MIN_GAP_MS: f32 = 30.0;
/// How long a breath may be classified as silence without ending. Narrow noise may also be classified as a voice without a
/// low end or as a sibilant, but for a shorter time, because a word must not lose its start.
const QUIET_TOLERANCE_MS: f32 = 15.0;
const WORD_TOLERANCE_MS: f32 = 12.0;
/// A breath that resumes within this time needs no new confirmation, unless a voice lies between.
const RESUME_MS: f32 = 150.0;
/// Averaging time of the powers: breaths rise and fall over tens of milliseconds.
const AVERAGE_MS: f32 = 25.0;

/// The times above in hops.
struct Times {
    confirm: usize,
    confirm_after_voice: usize,
    gap: usize,
    quiet_tolerance: usize,
    word_tolerance: usize,
    resume: usize,
    average: usize,
}

/// The current noise and what is known of it.
pub(crate) struct BreathDetector {
    bands: BreathBands,
    times: Times,
    hops: usize,
    needed_hops: usize,
    other_class_hops: usize,
    hops_since_voice: usize,
    hops_since_breath: usize,
    powers: BreathPowers,
}

impl BreathDetector {
    pub fn new(timing: Timing) -> Self {
        let times = Times {
            confirm: timing.hops(CONFIRM_MS),
            confirm_after_voice: timing.hops(CONFIRM_AFTER_VOICE_MS),
            gap: timing.hops(MIN_GAP_MS),
            quiet_tolerance: timing.hops(QUIET_TOLERANCE_MS),
            word_tolerance: timing.hops(WORD_TOLERANCE_MS),
            resume: timing.hops(RESUME_MS),
            average: timing.hops(AVERAGE_MS),
        };
        Self {
            bands: BreathBands::new(timing),
            hops: 0,
            needed_hops: 0,
            other_class_hops: 0,
            hops_since_voice: 0,
            hops_since_breath: times.resume,
            powers: BreathPowers::default(),
            times,
        }
    }

    pub fn reset(&mut self) {
        (self.hops, self.needed_hops, self.other_class_hops) = (0, 0, 0);
        self.hops_since_voice = 0;
        self.hops_since_breath = self.times.resume;
        self.powers = BreathPowers::default();
    }

    /// Takes the class and the spectrum of a hop; returns the mean power of the breath if one is confirmed.
    pub fn update_hop(&mut self, class: Class, spectrum: &Spectrum) -> Option<f64> {
        self.hops_since_voice = self.hops_since_voice.saturating_add(1);
        self.hops_since_breath = self.hops_since_breath.saturating_add(1);
        let Some(now) = self.powers_of_breath(class, spectrum) else {
            self.hops = 0;
            if class == Class::Voice {
                self.hops_since_voice = 0;
                self.hops_since_breath = self.times.resume;
            }
            return None;
        };
        if self.hops == 0 {
            self.needed_hops = self.hops_to_confirm();
        }
        self.hops = self.hops.saturating_add(1);
        self.powers
            .move_towards(&now, 1.0 / self.hops.min(self.times.average) as f64);
        let confirmed = self.hops >= self.needed_hops && self.powers.lack_voice() && !now.start_a_word();
        if confirmed {
            self.hops_since_breath = 0;
        }
        confirmed.then_some(self.powers.all)
    }

    /// The powers of the hop if a breath begins or continues with it.
    fn powers_of_breath(&mut self, class: Class, spectrum: &Spectrum) -> Option<BreathPowers> {
        if self.hops == 0 && class != Class::Breath {
            return None;
        }
        let now = self.bands.powers(spectrum);
        self.continues(class, now.lack_voice()).then_some(now)
    }

    /// True if a breath begins or continues; `lacks_voice` is true if the hop has no low end.
    fn continues(&mut self, class: Class, lacks_voice: bool) -> bool {
        if class == Class::Breath {
            self.other_class_hops = 0;
            return true;
        }
        self.other_class_hops = self.other_class_hops.saturating_add(1);
        let allowed_hops = match class {
            Class::Quiet => self.times.quiet_tolerance,
            Class::Voice if !lacks_voice => 0,
            _ => self.times.word_tolerance,
        };
        self.hops > 0 && self.other_class_hops <= allowed_hops
    }

    /// True if a breath may be confirmed soon, or was confirmed a short time ago.
    pub fn is_breath_possible(&self) -> bool {
        self.hops > 0 || self.hops_since_breath < self.times.resume
    }

    /// How long noise that begins now must last to be confirmed as a breath.
    fn hops_to_confirm(&self) -> usize {
        if self.hops_since_breath < self.times.resume {
            1
        } else if self.hops_since_voice < self.times.gap {
            self.times.confirm_after_voice
        } else {
            self.times.confirm
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::breath_bands::{BREATH_HZ, VOICE_HZ};
    use super::*;

    fn detector() -> BreathDetector {
        BreathDetector::new(Timing::new(48_000.0))
    }

    /// Time of one class with one share of low end until a breath is confirmed, if within a second.
    fn confirmed_after_ms(detector: &mut BreathDetector, class: Class, low_share: f64) -> Option<f32> {
        let spectrum = Spectrum::of_two_bands(VOICE_HZ, low_share, BREATH_HZ, 1.0);
        (1..750)
            .find(|_| detector.update_hop(class, &spectrum).is_some())
            .map(|hops| hops as f32 * 4.0 / 3.0)
    }

    #[test]
    fn a_breath_is_confirmed_sooner_after_a_rest_than_after_a_voice() {
        let mut after_rest = detector();
        confirmed_after_ms(&mut after_rest, Class::Quiet, 0.0);
        let soon_ms = confirmed_after_ms(&mut after_rest, Class::Breath, 0.01).unwrap();
        let mut after_voice = detector();
        confirmed_after_ms(&mut after_voice, Class::Voice, 1.0);
        let later_ms = confirmed_after_ms(&mut after_voice, Class::Breath, 0.01).unwrap();
        assert!((18.0..22.0).contains(&soon_ms), "{soon_ms} ms");
        assert!((58.0..62.0).contains(&later_ms), "{later_ms} ms");
    }

    #[test]
    fn rough_voice_is_not_a_breath() {
        assert_eq!(confirmed_after_ms(&mut detector(), Class::Breath, 0.5), None);
    }

    #[test]
    fn a_breath_survives_misclassified_hops_and_ends_with_a_word() {
        let breath = Spectrum::of_two_bands(VOICE_HZ, 0.01, BREATH_HZ, 1.0);
        let word = Spectrum::of_two_bands(VOICE_HZ, 2.0, BREATH_HZ, 1.0);
        let mut detector = detector();
        confirmed_after_ms(&mut detector, Class::Quiet, 0.0);
        confirmed_after_ms(&mut detector, Class::Breath, 0.01);
        for class in [Class::Voice, Class::Quiet, Class::Sibilant, Class::Breath] {
            assert!(detector.update_hop(class, &breath).is_some(), "{class:?}");
        }
        assert!(
            detector.update_hop(Class::Breath, &word).is_none(),
            "a word before its period is detected"
        );
        assert!(detector.update_hop(Class::Voice, &word).is_none());
        assert!(
            detector.update_hop(Class::Breath, &breath).is_none(),
            "not confirmed again after a voice"
        );
    }
}

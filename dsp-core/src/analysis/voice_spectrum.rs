//! The spectrum of the voice: the mean power of its vowels in each band. Hops are compared with it band by band, so that
//! neither the level nor a dark or bright microphone matters much.

use crate::clock::timing::Timing;
use crate::voice::power_window::PowerWindow;

use super::band_powers::{BandPowers, ratio_db};

/// Length of voiced material that is averaged: several vowels, but less than half a second, so that the start of playback
/// is soon irrelevant. On labelled voices 200 ms is worse and 500 ms no better.
const AVERAGE_MS: f32 = 400.0;
/// Voiced material that is needed before the spectrum is used.
const KNOWN_MS: f32 = 40.0;
/// Periodicity and brightness of hops that are certainly voiced, neither breath nor z. They do not depend on the voice
/// spectrum itself, because otherwise a wrong spectrum would remain.
const VOICED_ABOVE: f32 = 0.35;
const DARK_BELOW_DB: f32 = -6.0;
/// Power ratio below which a hop cannot be a soft word of this voice (the gate of the voice follower lies at -12 dB).
const OTHER_VOICE: f64 = 0.01;
/// After this much of such material the older part is dropped: it was a knock or a shout into the microphone.
const OTHER_VOICE_MS: f32 = 100.0;
/// The voice that is assumed until one is known, dB relative to the power of the hop: louder than the hop and brighter
/// than most voices, so that only a clear sibilant is detected.
const ASSUMED_DB: BandDeviation = BandDeviation {
    formants_db: 3.0,
    upper_db: -8.0,
    high_db: -15.0,
};

/// Band levels of a hop relative to those of the voice, dB.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct BandDeviation {
    pub formants_db: f32,
    pub upper_db: f32,
    pub high_db: f32,
}

/// The mean power of the voice in each band.
pub(crate) struct VoiceSpectrum {
    formants: PowerWindow,
    upper: PowerWindow,
    high: PowerWindow,
    average_hops: usize,
    known_hops: usize,
    other_voice_hops: usize,
    longest_other_voice_hops: usize,
}

impl VoiceSpectrum {
    pub fn new(timing: Timing) -> Self {
        let average_hops = timing.hops(AVERAGE_MS);
        Self {
            formants: PowerWindow::new(average_hops),
            upper: PowerWindow::new(average_hops),
            high: PowerWindow::new(average_hops),
            average_hops,
            known_hops: timing.hops(KNOWN_MS),
            other_voice_hops: 0,
            longest_other_voice_hops: timing.hops(OTHER_VOICE_MS),
        }
    }

    pub fn reset(&mut self) {
        self.formants.clear();
        self.upper.clear();
        self.high.clear();
        self.other_voice_hops = 0;
    }

    /// Adds a hop if it is certainly voiced. Soft word edges count too: they are softer in every band, so the shape of the
    /// spectrum remains.
    pub fn update(&mut self, powers: &BandPowers, periodicity: f32) {
        if periodicity > VOICED_ABOVE && powers.brightness_db() < DARK_BELOW_DB {
            let length_hops = self.hops_of_this_voice(powers);
            self.formants.push(powers.formants, length_hops);
            self.upper.push(powers.upper, length_hops);
            self.high.push(powers.high, length_hops);
        }
    }

    /// How many of the last hops belong to this voice, the new one included.
    fn hops_of_this_voice(&mut self, powers: &BandPowers) -> usize {
        self.other_voice_hops = if powers.formants < OTHER_VOICE * self.formants.mean() {
            self.other_voice_hops + 1
        } else {
            self.other_voice_hops.saturating_sub(1)
        };
        if self.other_voice_hops < self.longest_other_voice_hops {
            return self.average_hops;
        }
        self.other_voice_hops = 0;
        self.longest_other_voice_hops
    }

    /// Band levels of a hop relative to those of the voice; `total_power` is the power of the whole hop.
    pub fn deviation_db(&self, powers: &BandPowers, total_power: f64) -> BandDeviation {
        if self.formants.len() < self.known_hops {
            BandDeviation {
                formants_db: ratio_db(powers.formants, total_power) - ASSUMED_DB.formants_db,
                upper_db: ratio_db(powers.upper, total_power) - ASSUMED_DB.upper_db,
                high_db: ratio_db(powers.high, total_power) - ASSUMED_DB.high_db,
            }
        } else {
            BandDeviation {
                formants_db: ratio_db(powers.formants, self.formants.mean()),
                upper_db: ratio_db(powers.upper, self.upper.mean()),
                high_db: ratio_db(powers.high, self.high.mean()),
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::band_powers::examples::{S, VOWEL};
    use super::*;

    fn trained_on(vowel: &BandPowers) -> VoiceSpectrum {
        let mut voice = VoiceSpectrum::new(Timing::new(48_000.0));
        (0..100).for_each(|_| voice.update(vowel, 0.9));
        voice
    }

    /// A shelf that lifts the high band and half of the upper one.
    fn with_microphone(bands: &BandPowers, gain: f64) -> BandPowers {
        BandPowers {
            upper: gain.sqrt() * bands.upper,
            high: gain * bands.high,
            ..*bands
        }
    }

    #[test]
    fn microphone_response_does_not_change_the_deviation() {
        let plain = trained_on(&VOWEL).deviation_db(&S, 1.0);
        assert!(plain.high_db > 15.0 && plain.formants_db < -15.0, "{plain:?}");
        for gain in [0.125, 8.0] {
            let shaped =
                trained_on(&with_microphone(&VOWEL, gain)).deviation_db(&with_microphone(&S, gain), 1.0);
            assert!(
                (shaped.high_db - plain.high_db).abs() < 1e-3,
                "{shaped:?}, {plain:?}"
            );
            assert!(
                (shaped.upper_db - plain.upper_db).abs() < 1e-3,
                "{shaped:?}, {plain:?}"
            );
        }
    }

    #[test]
    fn sibilants_and_noise_do_not_change_it() {
        let mut voice = trained_on(&VOWEL);
        let before = voice.deviation_db(&S, 1.0);
        (0..500).for_each(|_| voice.update(&S, 0.9));
        (0..500).for_each(|_| voice.update(&with_microphone(&VOWEL, 0.5), 0.2));
        assert_eq!(voice.deviation_db(&S, 1.0), before);
    }

    #[test]
    fn earlier_voice_is_forgotten_after_400_ms() {
        let mut voice = trained_on(&with_microphone(&VOWEL, 4.0));
        (0..300).for_each(|_| voice.update(&VOWEL, 0.9));
        let fresh = trained_on(&VOWEL).deviation_db(&S, 1.0);
        assert!((voice.deviation_db(&S, 1.0).high_db - fresh.high_db).abs() < 1e-3);
    }

    #[test]
    fn a_knock_is_forgotten_after_100_ms_of_voice() {
        let times = |bands: &BandPowers, gain: f64| BandPowers {
            formants: gain * bands.formants,
            middle: gain * bands.middle,
            upper: gain * bands.upper,
            high: gain * bands.high,
        };
        let fresh = trained_on(&VOWEL).deviation_db(&S, 1.0);
        let mut voice = trained_on(&times(&VOWEL, 1e4));
        (0..70).for_each(|_| voice.update(&VOWEL, 0.9));
        assert!(voice.deviation_db(&S, 1.0).high_db < fresh.high_db - 20.0);
        (0..10).for_each(|_| voice.update(&VOWEL, 0.9));
        assert!((voice.deviation_db(&S, 1.0).high_db - fresh.high_db).abs() < 1e-3);

        let mut voice = trained_on(&VOWEL);
        (0..80).for_each(|_| voice.update(&times(&VOWEL, 0.03), 0.9));
        (0..80).for_each(|_| voice.update(&VOWEL, 0.9));
        (0..80).for_each(|_| voice.update(&times(&VOWEL, 0.03), 0.9));
        assert!(
            (voice.deviation_db(&S, 1.0).high_db - fresh.high_db).abs() < 4.0,
            "a soft word must not count as another voice"
        );
    }

    #[test]
    fn before_any_voice_only_a_clear_sibilant_deviates() {
        let voice = VoiceSpectrum::new(Timing::new(48_000.0));
        assert!(voice.deviation_db(&S, 4.3e-3).high_db > 12.0);
        assert!(voice.deviation_db(&VOWEL, 1.4e-2).high_db < -8.0);
    }
}

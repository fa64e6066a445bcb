//! The colour of the voice: how its own vowels spread over the bands. A hop is told from the voice by how far it stands
//! above or below it in each band; hence neither a dark nor a bright microphone, nor level, matters much.

use crate::clock::timing::Timing;
use crate::voice::power_window::PowerWindow;

use super::bands::{Bands, ratio_db};

/// Voiced material that the colour is the mean of: long enough to hold several vowels, short enough to be forgotten
/// before playback has gone on for half a second. On labelled voices 200 ms is worse, 500 ms no better.
const MEMORY_MS: f32 = 400.0;
/// Voiced material without which no voice is known.
const HEARD_MS: f32 = 40.0;
/// Periodicity and brightness by which a hop is voiced without doubt: neither a breath nor a z. They do not depend on the
/// colour itself, or one that was once wrong would stay so.
const VOICED_FROM: f32 = 0.35;
const DARK_BELOW_DB: f32 = -6.0;
/// Voiced material so far under the mean is no soft word of the voice, which is some 12 dB softer at most (the gate of the
/// voice follower), but ...
const OTHER_VOICE: f64 = 0.01;
/// ... another voice once it lasts: what came before it, a blow or a shout into the microphone, is forgotten.
const OTHER_VOICE_MS: f32 = 100.0;
/// Where no voice is known yet, one is assumed that is louder than the hop and brighter than most, dB re the hop's own
/// power: only what is plainly a sibilant counts as one.
const ASSUMED_DB: Stand = Stand {
    formants_db: 3.0,
    upper_db: -8.0,
    high_db: -15.0,
};

/// How far the bands of a hop stand above those of the voice.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Stand {
    pub formants_db: f32,
    pub upper_db: f32,
    pub high_db: f32,
}

/// The mean power of the voice in each band.
pub(crate) struct VoiceColour {
    formants: PowerWindow,
    upper: PowerWindow,
    high: PowerWindow,
    memory_hops: usize,
    heard_hops: usize,
    other_voice_hops: usize,
    longest_other_voice_hops: usize,
}

impl VoiceColour {
    pub fn new(timing: Timing) -> Self {
        let memory_hops = timing.hops(MEMORY_MS);
        Self {
            formants: PowerWindow::new(memory_hops),
            upper: PowerWindow::new(memory_hops),
            high: PowerWindow::new(memory_hops),
            memory_hops,
            heard_hops: timing.hops(HEARD_MS),
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

    /// Takes the powers of a hop, if they are the voice's. Soft edges of words count too: they are softer in every band,
    /// so that the colour stays.
    pub fn hear(&mut self, powers: &Bands, periodicity: f32) {
        if periodicity > VOICED_FROM && powers.brightness_db() < DARK_BELOW_DB {
            let length_hops = self.hops_that_count(powers);
            self.formants.push(powers.formants, length_hops);
            self.upper.push(powers.upper, length_hops);
            self.high.push(powers.high, length_hops);
        }
    }

    /// How much of the memory is this voice, the coming hop included.
    fn hops_that_count(&mut self, powers: &Bands) -> usize {
        self.other_voice_hops = if powers.formants < OTHER_VOICE * self.formants.mean() {
            self.other_voice_hops + 1
        } else {
            self.other_voice_hops.saturating_sub(1)
        };
        if self.other_voice_hops < self.longest_other_voice_hops {
            return self.memory_hops;
        }
        self.other_voice_hops = 0;
        self.longest_other_voice_hops
    }

    /// How far the bands of a hop stand above those of the voice, dB; `total_power` is that of the whole hop.
    pub fn stand(&self, powers: &Bands, total_power: f64) -> Stand {
        if self.formants.len() < self.heard_hops {
            Stand {
                formants_db: ratio_db(powers.formants, total_power) - ASSUMED_DB.formants_db,
                upper_db: ratio_db(powers.upper, total_power) - ASSUMED_DB.upper_db,
                high_db: ratio_db(powers.high, total_power) - ASSUMED_DB.high_db,
            }
        } else {
            Stand {
                formants_db: ratio_db(powers.formants, self.formants.mean()),
                upper_db: ratio_db(powers.upper, self.upper.mean()),
                high_db: ratio_db(powers.high, self.high.mean()),
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::bands::examples::{S, VOWEL};
    use super::*;

    fn heard(vowel: &Bands) -> VoiceColour {
        let mut colour = VoiceColour::new(Timing::new(48_000.0));
        (0..100).for_each(|_| colour.hear(vowel, 0.9));
        colour
    }

    /// A shelf that lifts the high band and half of the upper one.
    fn before_a_microphone(bands: &Bands, gain: f64) -> Bands {
        Bands {
            upper: gain.sqrt() * bands.upper,
            high: gain * bands.high,
            ..*bands
        }
    }

    #[test]
    fn no_microphone_changes_how_a_hop_stands_against_its_voice() {
        let plain = heard(&VOWEL).stand(&S, 1.0);
        assert!(plain.high_db > 15.0 && plain.formants_db < -15.0, "{plain:?}");
        for gain in [0.125, 8.0] {
            let stand = heard(&before_a_microphone(&VOWEL, gain)).stand(&before_a_microphone(&S, gain), 1.0);
            assert!(
                (stand.high_db - plain.high_db).abs() < 1e-3,
                "{stand:?}, {plain:?}"
            );
            assert!(
                (stand.upper_db - plain.upper_db).abs() < 1e-3,
                "{stand:?}, {plain:?}"
            );
        }
    }

    #[test]
    fn sibilants_and_noise_teach_it_nothing() {
        let mut colour = heard(&VOWEL);
        let before = colour.stand(&S, 1.0);
        (0..500).for_each(|_| colour.hear(&S, 0.9));
        (0..500).for_each(|_| colour.hear(&before_a_microphone(&VOWEL, 0.5), 0.2));
        assert_eq!(colour.stand(&S, 1.0), before);
    }

    #[test]
    fn what_came_before_400_ms_of_voice_is_forgotten() {
        let mut colour = heard(&before_a_microphone(&VOWEL, 4.0));
        (0..300).for_each(|_| colour.hear(&VOWEL, 0.9));
        let fresh = heard(&VOWEL).stand(&S, 1.0);
        assert!((colour.stand(&S, 1.0).high_db - fresh.high_db).abs() < 1e-3);
    }

    #[test]
    fn a_blow_is_forgotten_after_100_ms_of_voice() {
        let times = |bands: &Bands, gain: f64| Bands {
            formants: gain * bands.formants,
            middle: gain * bands.middle,
            upper: gain * bands.upper,
            high: gain * bands.high,
        };
        let fresh = heard(&VOWEL).stand(&S, 1.0);
        let mut colour = heard(&times(&VOWEL, 1e4));
        (0..70).for_each(|_| colour.hear(&VOWEL, 0.9));
        assert!(colour.stand(&S, 1.0).high_db < fresh.high_db - 20.0);
        (0..10).for_each(|_| colour.hear(&VOWEL, 0.9));
        assert!((colour.stand(&S, 1.0).high_db - fresh.high_db).abs() < 1e-3);

        let mut colour = heard(&VOWEL);
        (0..80).for_each(|_| colour.hear(&times(&VOWEL, 0.03), 0.9));
        (0..80).for_each(|_| colour.hear(&VOWEL, 0.9));
        (0..80).for_each(|_| colour.hear(&times(&VOWEL, 0.03), 0.9));
        assert!(
            (colour.stand(&S, 1.0).high_db - fresh.high_db).abs() < 4.0,
            "a soft word is no other voice"
        );
    }

    #[test]
    fn before_any_voice_only_what_is_plainly_a_sibilant_stands_out() {
        let colour = VoiceColour::new(Timing::new(48_000.0));
        assert!(colour.stand(&S, 4.3e-3).high_db > 12.0);
        assert!(colour.stand(&VOWEL, 1.4e-2).high_db < -8.0);
    }
}

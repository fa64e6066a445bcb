//! How like a breath a hop is, by how what lies around it stands against the voice and the background.
//!
//! A breath is a steady noise among the upper formants of the voice. There it stands out of the background; below, it lies far
//! under the voice, and above it does not rise as a sibilant does.

use std::ops::Range;

use crate::analysis::{Band, Spectrum};
use crate::clock::timing::Timing;
use crate::primitives::decibels::db_from_power;
use crate::primitives::softest_power::SoftestPower;
use crate::report::Class;
use crate::voice::power_window::PowerWindow;

/// The first formant, the upper formants, and above them as far as recordings of 16 kHz go.
const BANDS_HZ: [Range<f64>; 3] = [250.0..1000.0, 1800.0..5200.0, 5200.0..7500.0];
/// What counts as around a hop, to either side.
const AROUND_MS: f32 = 60.0;
/// The voice is the mean of so much of it.
const VOICE_MS: f32 = 2000.0;
/// What the background adds to the first formant, relative to its softest: hum and rumble are no voice. The rest is at least
/// this share (-15 dB).
const BACKGROUND_LOW: f64 = 2.0;
const LEAST_SHARE: f64 = 0.03;
/// A hop of a noise lies less than 8 dB below what is around it, and 3 dB above the background.
const BELOW_AROUND: f64 = 0.16;
const ABOVE_BACKGROUND: f64 = 2.0;
/// What is averaged for that, to either side: single hops of a noise lie far below its mean.
const OWN_HOPS: usize = 1;
/// Periodicity of the low band above which a hop is a vowel, whatever it resembles: hum under a breath reads 0.4 to 0.85, a sung
/// vowel 0.8 to 1.
const VOWEL_PERIODICITY: f32 = 0.85;
/// A hop begins a word if its first formant is this strong (6 dB) against the upper formants around it: the low end of a word is
/// heard before its period is found, and hum varies by less.
const WORD_LOW: f64 = 4.0;
/// Keeps ratios finite in digital silence: -140 dB of full scale.
const SILENCE: f64 = 1e-14;
/// Makes levels positive, as their window wants them, dB.
const OFFSET_DB: f32 = 200.0;

/// What a feature adds to the logarithm of the odds: a parabola, within a range.
struct Evidence {
    range_db: [f32; 2],
    per_db: f32,
    per_square_db: f32,
}

/// In this order: the upper formants against those of the voice; the first formant against that of the voice, and what is above
/// likewise, both against the upper formants; these against the background; and how uneven they are, which is the level of their
/// mean power over the mean of their levels.
///
/// Fitted by logistic regression on the tuning half of the labelled breaths and voices, as recorded and levelled hard; each real
/// voice with breaths counts alike, and all synthetic breaths as one.
const EVIDENCE: [Evidence; 5] = [
    Evidence {
        range_db: [-40.0, 5.0],
        per_db: -0.12,
        per_square_db: -0.0011,
    },
    Evidence {
        range_db: [-40.0, 20.0],
        per_db: -0.2777,
        per_square_db: -0.004_56,
    },
    Evidence {
        range_db: [-25.0, 35.0],
        per_db: 0.0105,
        per_square_db: -0.013_46,
    },
    Evidence {
        range_db: [0.0, 30.0],
        per_db: 0.4122,
        per_square_db: -0.007_24,
    },
    Evidence {
        range_db: [0.0, 20.0],
        per_db: -0.4007,
        per_square_db: 0.011_48,
    },
];
const LOG_ODDS_AT_ZERO: f32 = -5.496;

/// What is known around a hop, of the voice and of the background.
pub(super) struct BreathLikeness {
    bands: [Band; 3],
    around: [PowerWindow; 3],
    levels_db: PowerWindow,
    around_hops: usize,
    softest_low: SoftestPower,
    softest_middle: SoftestPower,
    /// Mean power of the voice in each band.
    voice: [f64; 3],
    voice_hops: usize,
    longest_voice_hops: usize,
}

impl BreathLikeness {
    pub fn new(timing: Timing) -> Self {
        let around_hops = timing.hops(AROUND_MS);
        let window = || PowerWindow::new(2 * around_hops + 1);
        Self {
            bands: BANDS_HZ.map(|band_hz| Band::new(timing, band_hz)),
            around: [window(), window(), window()],
            levels_db: window(),
            around_hops,
            softest_low: SoftestPower::new(timing),
            softest_middle: SoftestPower::new(timing),
            voice: [0.0; 3],
            voice_hops: 0,
            longest_voice_hops: timing.hops(VOICE_MS),
        }
    }

    pub fn reset(&mut self) {
        self.around.iter_mut().for_each(PowerWindow::clear);
        self.levels_db.clear();
        self.softest_low.reset();
        self.softest_middle.reset();
        (self.voice, self.voice_hops) = ([0.0; 3], 0);
    }

    /// Aligns to the song what is searched in spans.
    pub fn align_spans(&mut self, hop: i64) {
        self.softest_low.align_spans(hop);
        self.softest_middle.align_spans(hop);
    }

    /// Hops from the one that is judged to the newest.
    pub fn lag_hops(&self) -> i64 {
        self.around_hops as i64
    }

    /// Takes the newest hop; returns the logarithm of the odds that the one in the middle of what is known, of this periodicity,
    /// belongs to a breath. None if that is part of a word or a gap, and before there was a voice.
    pub fn update_hop(&mut self, class: Class, spectrum: &Spectrum, periodicity: f32) -> Option<f32> {
        let powers = self.bands.each_ref().map(|band| spectrum.power(band));
        if class == Class::Voice {
            self.follow_voice(powers);
        }
        let length = 2 * self.around_hops + 1;
        for (around, power) in self.around.iter_mut().zip(powers) {
            around.push(power, length);
        }
        let level_db = db_from_power(powers[1] + SILENCE);
        self.levels_db.push(f64::from(level_db + OFFSET_DB), length);
        let low_background = BACKGROUND_LOW * self.softest_low.update_hop(powers[0]);
        let background = self.softest_middle.update_hop(powers[1]);
        let is_known = self.voice_hops > 0 && self.levels_db.len() == length;
        let is_judged =
            is_known && periodicity <= VOWEL_PERIODICITY && self.is_noise(low_background, background);
        is_judged.then(|| log_odds(&self.features_db(low_background, background)))
    }

    /// True unless the hop in the middle begins a word or is a gap.
    fn is_noise(&self, low_background: f64, background: f64) -> bool {
        let middle = self.around[1].mean();
        let is_word = self.own(0) - low_background > WORD_LOW * middle;
        !is_word && self.own(1) > (BELOW_AROUND * middle).max(ABOVE_BACKGROUND * background)
    }

    /// The power of the hop in the middle in a band.
    fn own(&self, band: usize) -> f64 {
        let averaged = self.around_hops - OWN_HOPS..=self.around_hops + OWN_HOPS;
        let sum: f64 = averaged.map(|hop| self.around[band].at(hop)).sum();
        sum / (2 * OWN_HOPS + 1) as f64
    }

    fn follow_voice(&mut self, powers: [f64; 3]) {
        self.voice_hops = (self.voice_hops + 1).min(self.longest_voice_hops);
        let share = 1.0 / self.voice_hops as f64;
        for (voice, power) in self.voice.iter_mut().zip(powers) {
            *voice += share * (power - *voice);
        }
    }

    /// In the order of [`EVIDENCE`].
    fn features_db(&self, low_background: f64, background: f64) -> [f32; 5] {
        let [low, middle, high] = self.around.each_ref().map(PowerWindow::mean);
        let low = (low - low_background).max(LEAST_SHARE * low);
        let against_voice_db = |band: usize, power: f64| ratio_db(power, self.voice[band]);
        let middle_db = against_voice_db(1, middle);
        [
            middle_db,
            against_voice_db(0, low) - middle_db,
            against_voice_db(2, high) - middle_db,
            ratio_db(middle, background),
            db_from_power(middle + SILENCE) + OFFSET_DB - self.levels_db.mean() as f32,
        ]
    }
}

fn ratio_db(one: f64, other: f64) -> f32 {
    db_from_power((one + SILENCE) / (other + SILENCE))
}

fn log_odds(features_db: &[f32; 5]) -> f32 {
    let parts = features_db.iter().zip(&EVIDENCE).map(|(db, evidence)| {
        let [lowest_db, highest_db] = evidence.range_db;
        let db = db.clamp(lowest_db, highest_db);
        db * (evidence.per_db + db * evidence.per_square_db)
    });
    LOG_ODDS_AT_ZERO + parts.sum::<f32>()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// First formant, and everything from the upper ones up.
    fn spectrum(low: f64, upper: f64) -> Spectrum {
        Spectrum::of_two_bands(
            BANDS_HZ[0].clone(),
            low,
            BANDS_HZ[1].start..BANDS_HZ[2].end,
            upper,
        )
    }

    fn last(likeness: &mut BreathLikeness, class: Class, spectrum: &Spectrum, time_ms: f32) -> Option<f32> {
        let hops = Timing::new(48_000.0).hops(time_ms);
        let periodicity = if class == Class::Voice { 0.95 } else { 0.6 };
        (0..hops)
            .map(|_| likeness.update_hop(class, spectrum, periodicity))
            .last()?
    }

    /// After a voice and a rest with some background.
    fn after_voice() -> BreathLikeness {
        let mut likeness = BreathLikeness::new(Timing::new(48_000.0));
        last(&mut likeness, Class::Voice, &spectrum(1.0, 0.1), 300.0);
        last(&mut likeness, Class::Quiet, &spectrum(1e-5, 1e-6), 300.0);
        likeness
    }

    #[test]
    fn noise_among_the_upper_formants_is_like_a_breath_at_every_level() {
        for gain in [0.1, 1.0] {
            let breath = spectrum(0.003 * gain, 0.02 * gain);
            let log_odds = last(&mut after_voice(), Class::Quiet, &breath, 150.0);
            assert!(log_odds > Some(2.0), "{log_odds:?}");
        }
    }

    #[test]
    fn a_vowel_the_background_and_a_sibilant_are_not() {
        let judged = |class, spectrum: &Spectrum| last(&mut after_voice(), class, spectrum, 150.0);
        assert_eq!(judged(Class::Voice, &spectrum(1.0, 0.1)), None);
        assert_eq!(judged(Class::Quiet, &spectrum(1e-5, 1e-6)), None);
        let s = Spectrum::of_two_bands(BANDS_HZ[1].clone(), 0.005, BANDS_HZ[2].clone(), 2.0);
        let log_odds = judged(Class::Sibilant, &s);
        assert!(log_odds < Some(0.0), "{log_odds:?}");
    }

    #[test]
    fn neither_a_gap_nor_the_start_of_a_word_is_its_surroundings() {
        let breath = spectrum(0.003, 0.02);
        for (between, expected) in [
            (spectrum(1e-5, 1e-5), false),
            (spectrum(0.2, 0.02), false),
            (breath.clone(), true),
        ] {
            let mut likeness = after_voice();
            last(&mut likeness, Class::Breath, &breath, 100.0);
            last(&mut likeness, Class::Breath, &between, 30.0);
            let judged = last(&mut likeness, Class::Breath, &breath, 45.0);
            assert_eq!(judged.is_some(), expected, "{judged:?}");
        }
    }

    #[test]
    fn nothing_is_told_before_there_was_a_voice() {
        let mut likeness = BreathLikeness::new(Timing::new(48_000.0));
        last(&mut likeness, Class::Quiet, &spectrum(1e-5, 1e-6), 300.0);
        assert_eq!(
            last(&mut likeness, Class::Breath, &spectrum(0.003, 0.02), 150.0),
            None
        );
    }
}

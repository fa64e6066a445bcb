//! Band powers of a hop, from which the classifier's features are made.

use crate::clock::timing::Timing;
use crate::primitives::decibels::db_from_power;

use super::band::Band;
use super::spectrum::Spectrum;

/// Rumble below this frequency is left out of the total power.
const AUDIBLE_FROM_HZ: f64 = 150.0;
/// The range of the second formant (Peterson & Barney 1952: 840 to 2790 Hz). The first formant is left out: room hum lies
/// there, and with it an s under a fading vowel is found later.
const FORMANTS_HZ: (f64, f64) = (500.0, 2800.0);
/// Breaths peak here (Nakano et al. 2008: 1.6 to 1.7 kHz), and sibilants have little power.
const MIDDLE_HZ: (f64, f64) = (1000.0, 1800.0);
/// The peak of sh (Jongman, Wayland & Wong 2000: 3.8 kHz) and of a low whistled s; higher formants lie here too.
const UPPER_HZ: (f64, f64) = (1800.0, 5200.0);
/// The peak of s (Jongman, Wayland & Wong 2000: 6.8 kHz), above every strong formant.
const HIGH_HZ: (f64, f64) = (5200.0, 14_000.0);
/// Weight of the upper band against the high band, as a power ratio (-6.5 dB): it also holds formants of vowels and
/// whispers.
const UPPER_WEIGHT: f64 = 0.223_872;
/// Added to both powers of a ratio, so that digital silence reads 0 dB.
const SILENCE_POWER: f64 = 1e-13;

/// K-weighted mean square of a hop in each band, summed over channels.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct BandPowers {
    pub formants: f64,
    pub middle: f64,
    pub upper: f64,
    pub high: f64,
}

const _: () = assert!(MIDDLE_HZ.1 == UPPER_HZ.0 && UPPER_HZ.1 == HIGH_HZ.0);
/// All edges of the bands above in order. The bands overlap; the ranges between edges do not, so each bin is summed once.
const EDGES_HZ: [f64; 8] = [
    AUDIBLE_FROM_HZ,
    FORMANTS_HZ.0,
    MIDDLE_HZ.0,
    UPPER_HZ.0,
    FORMANTS_HZ.1,
    UPPER_HZ.1,
    HIGH_HZ.1,
    f64::INFINITY,
];

/// The bins between each two neighbouring edges.
pub(crate) struct BandRanges {
    ranges: [Band; EDGES_HZ.len() - 1],
}

impl BandRanges {
    pub fn new(timing: Timing) -> Self {
        Self {
            ranges: std::array::from_fn(|n| Band::new(timing, (EDGES_HZ[n], EDGES_HZ[n + 1]))),
        }
    }

    /// The band powers, and the total power above [`AUDIBLE_FROM_HZ`].
    pub fn powers(&self, spectrum: &Spectrum) -> (BandPowers, f64) {
        let powers: [f64; EDGES_HZ.len() - 1] = std::array::from_fn(|n| spectrum.power(&self.ranges[n]));
        let [_, low_formants, middle, shared, upper, high, _] = powers;
        let bands = BandPowers {
            formants: low_formants + middle + shared,
            middle,
            upper: shared + upper,
            high,
        };
        (bands, powers.iter().sum())
    }
}

impl BandPowers {
    /// Treble relative to formants, dB: below -6 in vowels, nasals and liquids.
    pub fn brightness_db(&self) -> f32 {
        self.treble_relative_to_db(self.formants)
    }

    /// Treble relative to the middle band, where breaths and whispers peak, dB: above 8 in most sibilants, even with a dark
    /// microphone, and below 1 in most breaths.
    pub fn sharpness_db(&self) -> f32 {
        self.treble_relative_to_db(self.middle)
    }

    fn treble_relative_to_db(&self, power: f64) -> f32 {
        ratio_db(self.high.max(UPPER_WEIGHT * self.upper), power)
    }
}

/// A power ratio in decibels; 0 if both are silent.
pub(crate) fn ratio_db(power: f64, reference: f64) -> f32 {
    db_from_power((power + SILENCE_POWER) / (reference + SILENCE_POWER))
}

/// What tests are tried on: powers of an s, of a breath and of a vowel, all invented.
#[cfg(test)]
pub(crate) mod examples {
    use super::BandPowers;

    pub const S: BandPowers = BandPowers {
        formants: 1e-4,
        middle: 2e-5,
        upper: 1e-4,
        high: 4e-3,
    };
    pub const BREATH: BandPowers = BandPowers {
        formants: 1e-4,
        middle: 6e-5,
        upper: 7e-5,
        high: 2e-5,
    };
    pub const VOWEL: BandPowers = BandPowers {
        formants: 1e-2,
        middle: 4e-3,
        upper: 9e-4,
        high: 3e-5,
    };
}

#[cfg(test)]
mod tests {
    use super::examples::{BREATH, S, VOWEL};
    use super::*;

    #[test]
    fn a_sibilant_is_sharp_and_bright_a_vowel_dark_and_a_breath_dull() {
        assert!(S.sharpness_db() > 8.0 && S.brightness_db() > 8.0);
        assert!(BREATH.sharpness_db() < 1.0, "{} dB", BREATH.sharpness_db());
        assert!(VOWEL.brightness_db() < -10.0, "{} dB", VOWEL.brightness_db());
    }

    #[test]
    fn silence_is_nothing_in_particular() {
        let silence = BandPowers::default();
        assert_eq!((silence.sharpness_db(), silence.brightness_db()), (0.0, 0.0));
    }
}

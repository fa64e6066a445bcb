//! The bands by which classes are told apart.

use crate::clock::timing::Timing;
use crate::primitives::decibels::db_from_power;

use super::band::Band;
use super::spectrum::Spectrum;

/// Rumble below a voice says nothing of how loud the voice is.
const AUDIBLE_FROM_HZ: f64 = 150.0;
/// The second formant and what lies about it (Peterson & Barney 1952: 840 to 2790 Hz), without the first: during an s the
/// hum of a room sounds there, and an s under a fading vowel is found later where it counts too.
const FORMANTS_HZ: (f64, f64) = (500.0, 2800.0);
/// Where breaths peak (Nakano et al. 2008: 1.6 to 1.7 kHz), and where sibilants have least.
const MIDDLE_HZ: (f64, f64) = (1000.0, 1800.0);
/// The peak of sh (Jongman, Wayland & Wong 2000: 3.8 kHz) with its skirt, and of a low whistled s; formants too.
const UPPER_HZ: (f64, f64) = (1800.0, 5200.0);
/// The peak of s (Jongman, Wayland & Wong 2000: 6.8 kHz), above every formant that carries power.
const HIGH_HZ: (f64, f64) = (5200.0, 14_000.0);
/// The upper band holds formants of vowels and whispers too: it must stand this much higher to be as bright (6.5 dB, as a
/// ratio of powers).
const UPPER_LESS: f64 = 0.223_872;
/// Silence of a file, where no ratio of powers says anything.
const NOTHING: f64 = 1e-13;

/// K-weighted mean square of a hop in each band.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Bands {
    pub formants: f64,
    pub middle: f64,
    pub upper: f64,
    pub high: f64,
}

const _: () = assert!(MIDDLE_HZ.1 == UPPER_HZ.0 && UPPER_HZ.1 == HIGH_HZ.0);
/// Where one stretch of the spectrum ends and the next begins: every edge of the bands above, so that each bin is summed
/// once.
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

/// The bins of each stretch.
pub(crate) struct BandRanges {
    stretches: [Band; EDGES_HZ.len() - 1],
}

impl BandRanges {
    pub fn new(timing: Timing) -> Self {
        Self {
            stretches: std::array::from_fn(|n| Band::new(timing, (EDGES_HZ[n], EDGES_HZ[n + 1]))),
        }
    }

    /// The powers of the bands, and of all that is audible.
    pub fn powers(&self, spectrum: &Spectrum) -> (Bands, f64) {
        let powers: [f64; EDGES_HZ.len() - 1] = std::array::from_fn(|n| spectrum.power(&self.stretches[n]));
        let [_, low_formants, middle, shared, upper, high, _] = powers;
        let bands = Bands {
            formants: low_formants + middle + shared,
            middle,
            upper: shared + upper,
            high,
        };
        (bands, powers.iter().sum())
    }
}

impl Bands {
    /// By how much the treble outweighs the formants, dB: below -6 in vowels, nasals and liquids.
    pub fn brightness_db(&self) -> f32 {
        self.treble_over_db(self.formants)
    }

    /// By how much the treble outweighs the middle, where breaths and whispers peak, dB: above 8 in most sibilants, even
    /// before a dark microphone, below 1 in most breaths.
    pub fn sharpness_db(&self) -> f32 {
        self.treble_over_db(self.middle)
    }

    fn treble_over_db(&self, power: f64) -> f32 {
        ratio_db(self.high.max(UPPER_LESS * self.upper), power)
    }
}

/// A ratio of powers in decibels; 0 where both are silent.
pub(crate) fn ratio_db(power: f64, reference: f64) -> f32 {
    db_from_power((power + NOTHING) / (reference + NOTHING))
}

/// What tests are tried on: powers of an s, of a breath and of a vowel, all invented.
#[cfg(test)]
pub(crate) mod examples {
    use super::Bands;

    pub const S: Bands = Bands {
        formants: 1e-4,
        middle: 2e-5,
        upper: 1e-4,
        high: 4e-3,
    };
    pub const BREATH: Bands = Bands {
        formants: 1e-4,
        middle: 6e-5,
        upper: 7e-5,
        high: 2e-5,
    };
    pub const VOWEL: Bands = Bands {
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
        let silence = Bands::default();
        assert_eq!((silence.sharpness_db(), silence.brightness_db()), (0.0, 0.0));
    }
}

//! Band powers of a hop, from which the classifier's features are made.

use std::ops::Range;

use crate::clock::timing::Timing;
use crate::primitives::decibels::db_from_power;

use super::band::Band;
use super::spectrum::Spectrum;

/// Rumble below this frequency is left out of the total power.
const AUDIBLE_FROM_HZ: f64 = 150.0;
/// The range of the second formant (Peterson & Barney 1952: 840 to 2790 Hz). The first formant is left out: room hum lies
/// there, and with it an s under a fading vowel is found later.
const FORMANTS_HZ: Range<f64> = 500.0..2800.0;
/// Breaths peak here (Nakano et al. 2008: 1.6 to 1.7 kHz), and sibilants have little power.
const MIDDLE_HZ: Range<f64> = 1000.0..1800.0;
/// The peak of sh (Jongman, Wayland & Wong 2000: 3.8 kHz) and of a low whistled s; higher formants lie here too.
const UPPER_HZ: Range<f64> = 1800.0..5200.0;
/// The peak of s (Jongman, Wayland & Wong 2000: 6.8 kHz), above every strong formant.
const HIGH_HZ: Range<f64> = 5200.0..14_000.0;
/// Upper edge of what the level of a voice is made of: the noise of consonants lies above.
const VOICE_UNTIL_HZ: f64 = 4000.0;
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

const _: () = assert!(MIDDLE_HZ.end == UPPER_HZ.start && UPPER_HZ.end == HIGH_HZ.start);
/// All edges of the bands above in order. The bands overlap; the ranges between edges do not, so each bin is summed once.
const EDGES_HZ: [f64; 9] = [
    AUDIBLE_FROM_HZ,
    FORMANTS_HZ.start,
    MIDDLE_HZ.start,
    UPPER_HZ.start,
    FORMANTS_HZ.end,
    VOICE_UNTIL_HZ,
    UPPER_HZ.end,
    HIGH_HZ.end,
    f64::INFINITY,
];

/// Powers of a hop that are not band powers: what counts as voice, and everything, both above [`AUDIBLE_FROM_HZ`].
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct TotalPowers {
    pub voice: f64,
    pub all: f64,
}

/// The bins between each two neighbouring edges.
pub(crate) struct BandRanges {
    ranges: [Band; EDGES_HZ.len() - 1],
}

impl BandRanges {
    pub fn new(timing: Timing) -> Self {
        Self {
            ranges: std::array::from_fn(|n| Band::new(timing, EDGES_HZ[n]..EDGES_HZ[n + 1])),
        }
    }

    /// The band powers, and the totals.
    pub fn powers(&self, spectrum: &Spectrum) -> (BandPowers, TotalPowers) {
        let powers: [f64; EDGES_HZ.len() - 1] = std::array::from_fn(|n| spectrum.power(&self.ranges[n]));
        let [low, low_formants, middle, shared, upper_voice, upper_top, high, _] = powers;
        let formants = low_formants + middle + shared;
        let bands = BandPowers {
            formants,
            middle,
            upper: shared + upper_voice + upper_top,
            high,
        };
        let totals = TotalPowers {
            voice: low + formants + upper_voice,
            all: powers.iter().sum(),
        };
        (bands, totals)
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

/// Inputs for tests of mechanisms: band powers with the proportions of an s, a breath and a vowel, made up.
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
    use super::super::spectrum::SpectrumAnalyser;
    use super::*;
    use crate::loudness::k_weighting::KWeighting;
    use crate::primitives::decibels::lufs_from_power;
    use ebur128::{EbuR128, Mode};
    use std::f64::consts::TAU;

    const RATE_HZ: u32 = 48_000;

    /// One second of a tone.
    fn tone(frequency_hz: f64, amplitude: f64) -> Vec<f32> {
        (0..RATE_HZ)
            .map(|n| (amplitude * (TAU * frequency_hz * f64::from(n) / f64::from(RATE_HZ)).sin()) as f32)
            .collect()
    }

    fn ebur128_lufs(signal: &[f32]) -> f32 {
        let mut meter = EbuR128::new(1, RATE_HZ, Mode::M).expect("meter");
        meter.add_frames_f32(signal).expect("frames");
        meter.loudness_momentary().expect("loudness") as f32
    }

    /// The mean band powers of a signal, without the hops in which the first window fills.
    fn mean_powers(signal: &[f32]) -> BandPowers {
        let timing = Timing::new(f64::from(RATE_HZ));
        let mut spectrum = SpectrumAnalyser::new(1, timing, &KWeighting::new(timing.sample_rate_hz));
        let ranges = BandRanges::new(timing);
        let hops: Vec<BandPowers> = signal
            .chunks_exact(timing.hop_samples)
            .map(|hop| {
                spectrum.push(&[&mut hop.to_vec()]);
                ranges.powers(spectrum.analyse()).0
            })
            .skip(8)
            .collect();
        let mean = |power: fn(&BandPowers) -> f64| hops.iter().map(power).sum::<f64>() / hops.len() as f64;
        BandPowers {
            formants: mean(|hop| hop.formants),
            middle: mean(|hop| hop.middle),
            upper: mean(|hop| hop.upper),
            high: mean(|hop| hop.high),
        }
    }

    #[test]
    fn a_tone_reads_its_ebur128_loudness_in_its_bands_and_little_elsewhere() {
        for (frequency_hz, in_bands) in [
            (1400.0, [true, true, false, false]),
            (2300.0, [true, false, true, false]),
            (3900.0, [false, false, true, false]),
            (9000.0, [false, false, false, true]),
        ] {
            let signal = tone(frequency_hz, 0.1);
            let expected_lufs = ebur128_lufs(&signal);
            let powers = mean_powers(&signal);
            let bands = [powers.formants, powers.middle, powers.upper, powers.high];
            for (power, in_band) in bands.into_iter().zip(in_bands) {
                let off_lu = lufs_from_power(power) - expected_lufs;
                assert!(
                    if in_band {
                        off_lu.abs() < 0.1
                    } else {
                        off_lu < -30.0
                    },
                    "{off_lu} LU at {frequency_hz} Hz: {powers:?}"
                );
            }
        }
    }

    #[test]
    fn sharpness_and_brightness_are_differences_of_ebur128_loudness() {
        let (low, high) = (tone(1400.0, 0.1), tone(9000.0, 0.2));
        let both: Vec<f32> = low.iter().zip(&high).map(|(low, high)| low + high).collect();
        let expected_db = ebur128_lufs(&high) - ebur128_lufs(&low);
        let powers = mean_powers(&both);
        for difference_db in [powers.sharpness_db(), powers.brightness_db()] {
            assert!(
                (difference_db - expected_db).abs() < 0.1,
                "{difference_db} dB, {expected_db} dB expected"
            );
        }
    }

    #[test]
    fn silence_is_neither_sharp_nor_bright() {
        let silence = BandPowers::default();
        assert_eq!((silence.sharpness_db(), silence.brightness_db()), (0.0, 0.0));
    }
}

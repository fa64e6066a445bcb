//! The sound of a close breath.

use std::f64::consts::TAU;

use crate::measurement::models::Biquad;
use crate::measurement::voices::corpus::resample::resampled;
use crate::measurement::voices::singer::fricatives::raised_cosine;
use crate::measurement::voices::singer::random::Random;

/// The resonance that gives the peak, Hz: 1.6 to 1.7 kHz in Nakano et al. (2008), wider here, as mouths differ.
const PEAK_HZ: [f64; 2] = [1400.0, 1900.0];
/// The other resonances of an open mouth that takes air in, Hz, each moved by up to a fifth (from memory).
const OTHERS_HZ: [f64; 3] = [500.0, 2600.0, 3500.0];
const MOVED: f64 = 0.2;
/// Sharpness of a resonance: common practice, no source.
const QUALITY: [f64; 2] = [2.5, 4.0];
/// Level of the others re the peak, dB an octave away from it: the falling slope of Werner et al. (2023), its figure
/// from memory.
const SLOPE_DB_PER_OCTAVE: [f64; 2] = [-10.0, -6.0];
/// Above this all of it falls by 6 dB an octave more, Hz: common practice, no source.
const DULL_HZ: f64 = 5000.0;
/// Where the breath is loudest, as a share of it: it swells longer than it falls (common practice, no source).
const SUMMIT: [f64; 2] = [0.5, 0.75];
/// The resonances ring in before the breath is heard, s.
const SETTLING_S: f64 = 0.02;

/// The mouth breathes at this rate, Hz, whatever the recording's: near half of a low rate its filters would be bent.
const RATE_HZ: f64 = 48_000.0;

/// A breath of this length, at no level in particular: noise through a mouth of its own, swelling and falling.
pub fn breath(length_samples: usize, sample_rate_hz: f64, random: &mut Random) -> Vec<f32> {
    let own_samples = length_samples as f64 * RATE_HZ / sample_rate_hz;
    let own = swelling(own_samples.ceil() as usize, random);
    let mut sound = resampled(&own, RATE_HZ, sample_rate_hz);
    sound.resize(length_samples, 0.0);
    sound
}

/// A breath at the mouth's own rate.
fn swelling(length_samples: usize, random: &mut Random) -> Vec<f32> {
    let mut mouth = Mouth::random(random);
    let length = length_samples as f64;
    let summit = random.between(SUMMIT[0], SUMMIT[1]) * length;
    for _ in 0..(SETTLING_S * RATE_HZ) as usize {
        mouth.process(random.noise());
    }
    (0..length_samples)
        .map(|sample| {
            let position = sample as f64 + 0.5;
            let rise = raised_cosine(position / summit);
            let fall = raised_cosine((length - position) / (length - summit));
            (mouth.process(random.noise()) * rise.min(fall)) as f32
        })
        .collect()
}

/// Resonances side by side, each with its gain, and what dulls them all.
struct Mouth {
    resonances: Vec<(f64, Biquad)>,
    dull_share: f64,
    dulled: f64,
}

impl Mouth {
    fn random(random: &mut Random) -> Self {
        let peak_hz = random.between(PEAK_HZ[0], PEAK_HZ[1]);
        let slope_db = random.between(SLOPE_DB_PER_OCTAVE[0], SLOPE_DB_PER_OCTAVE[1]);
        let others_hz = OTHERS_HZ.map(|hz| hz * random.between(1.0 - MOVED, 1.0 + MOVED));
        let resonances = others_hz.into_iter().chain([peak_hz]).map(|hz| {
            let level_db = slope_db * (hz / peak_hz).log2().abs();
            let quality = random.between(QUALITY[0], QUALITY[1]);
            let gain = 10_f64.powf(level_db / 20.0);
            (gain, Biquad::band_pass(hz, quality, RATE_HZ))
        });
        Self {
            resonances: resonances.collect(),
            dull_share: 1.0 - (-TAU * DULL_HZ / RATE_HZ).exp(),
            dulled: 0.0,
        }
    }

    fn process(&mut self, input: f64) -> f64 {
        let resonances = self.resonances.iter_mut();
        let sum: f64 = resonances
            .map(|(gain, resonance)| *gain * resonance.process(input))
            .sum();
        self.dulled += self.dull_share * (sum - self.dulled);
        self.dulled
    }
}

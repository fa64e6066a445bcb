//! A double that a mixer has distorted.

use std::f64::consts::FRAC_1_SQRT_2;

use super::level::{Voice, at_voice_level, scaled};
use crate::measurement::models::Biquad;
use crate::measurement::voices::corpus::Recording;
use crate::measurement::voices::corpus::resample::resampled;

/// Peaks of a voice over its level, dB, and how far they are driven over the clip's knee, dB: common practice, no
/// source. With both the same the voice's own level lies at the knee.
const CREST_DB: f64 = 12.0;
const DRIVE_DB: f64 = 12.0;
/// How far the clip is off its middle: of a tone at the knee the second harmonic then lies 22 dB and the third 27 dB
/// under it (common practice, no source).
const BIAS: f64 = 0.3;
/// Below this the offset that the bias leaves is taken away, Hz.
const DC_HZ: f64 = 20.0;
/// The clip runs at this many times the rate, so that few of its harmonics fold back into the band.
const OVERSAMPLING: f64 = 4.0;

/// The voice through the clip, as loud as before.
pub fn distort(recording: &Recording) -> Recording {
    let rate_hz = recording.sample_rate_hz;
    let voice_lufs = Voice::of(recording).lufs();
    if voice_lufs == f64::NEG_INFINITY {
        return recording.clone();
    }
    let driven = scaled(&recording.audio, DRIVE_DB - CREST_DB - voice_lufs);
    let clipped: Vec<f32> = resampled(&driven, rate_hz, OVERSAMPLING * rate_hz)
        .iter()
        .map(|sample| ((f64::from(*sample) + BIAS).tanh() - BIAS.tanh()) as f32)
        .collect();
    let mut dc = Biquad::high_pass(DC_HZ, FRAC_1_SQRT_2, rate_hz);
    let audio = resampled(&clipped, OVERSAMPLING * rate_hz, rate_hz)
        .iter()
        .map(|sample| dc.process(f64::from(*sample)) as f32)
        .collect();
    at_voice_level(recording, audio)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::conditions::tests::{power_at_db, songs, tone};
    use crate::measurement::voices::signals::{peak, power_db};

    #[test]
    fn the_voice_is_as_loud_as_before_and_flatter_without_an_offset() {
        for song in songs() {
            let after = distort(song);
            let change_lu = Voice::of(&after).lufs() - Voice::of(song).lufs();
            assert!(change_lu.abs() < 0.1, "{change_lu:.2} LU");
            // Peak over root mean square.
            let crest_db = |audio: &[f32]| 20.0 * f64::from(peak(audio)).log10() - power_db(audio);
            let [before_db, after_db] = [song, &after].map(|recording| crest_db(&recording.audio));
            assert!(after_db < before_db - 5.0, "{before_db:.1} to {after_db:.1} dB");
            let offset = after.audio.iter().copied().map(f64::from).sum::<f64>() / after.audio.len() as f64;
            assert!(offset.abs() < 1e-4, "{offset}");
        }
    }

    #[test]
    fn even_and_odd_harmonics_of_a_tone_are_heard_and_nothing_folds_back() {
        for rate_hz in [16_000.0, 48_000.0] {
            let after = distort(&tone(1500.0, rate_hz)).audio;
            let re_tone_db = |hz| power_at_db(&after, rate_hz, hz) - power_at_db(&after, rate_hz, 1500.0);
            for (hz, asked_db) in [(3000.0, -22.0), (4500.0, -27.0)] {
                let error_db = re_tone_db(hz) - asked_db;
                assert!(error_db.abs() < 1.0, "{hz} Hz: {error_db:+.1} dB");
            }
            // At 16 kHz the seventh harmonic would fold to 5500 Hz, 75 dB under the tone.
            assert!(re_tone_db(5500.0) < -100.0, "{:.1} dB", re_tone_db(5500.0));
        }
    }
}

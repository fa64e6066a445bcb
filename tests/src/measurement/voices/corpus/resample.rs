//! A recording at another sample rate.

use std::ops::Range;

pub use siskin_host::resampled;

use super::recording::Recording;

/// The recording at `sample_rate_hz`, Hz, with the labels where the sounds are: resampled through the Fourier
/// transform (crate `rubato`), its delay taken out.
///
/// # Panics
/// Where a rate is no whole number of Hz above 25.
pub fn to_rate(recording: &Recording, sample_rate_hz: f64) -> Recording {
    let audio = resampled(&recording.audio, recording.sample_rate_hz, sample_rate_hz);
    let moved = |sample: usize| {
        let moved = sample as f64 * sample_rate_hz / recording.sample_rate_hz;
        (moved.round() as usize).min(audio.len())
    };
    let phones = recording
        .phones
        .iter()
        .map(|phone| {
            let Range { start, end } = phone.span;
            phone.at(moved(start)..moved(end))
        })
        .collect();
    Recording {
        sample_rate_hz,
        phones,
        ..recording.with_audio(audio)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::levels::near;
    use crate::measurement::voices::corpus::Sound;
    use crate::measurement::voices::signals::{power_db, sine};

    const RATES_HZ: [f64; 6] = [16_000.0, 22_050.0, 44_100.0, 48_000.0, 96_000.0, 192_000.0];

    fn tone(hz: f64, rate_hz: f64) -> Vec<f32> {
        sine(hz, rate_hz, rate_hz as usize)
    }

    /// One second of silence with a label and a tone of 1 kHz from 300 to 500 ms.
    fn labelled(rate_hz: f64) -> Recording {
        let span = (0.3 * rate_hz) as usize..(0.5 * rate_hz) as usize;
        let mut audio = vec![0.0; rate_hz as usize];
        audio[span.clone()].copy_from_slice(&tone(1000.0, rate_hz)[span.clone()]);
        Recording::made_here(rate_hz, audio, [("a", Sound::Vowel, span)])
    }

    #[test]
    fn tones_keep_level_and_phase_between_all_rates() {
        for from_hz in RATES_HZ {
            for to_hz in RATES_HZ {
                for hz in [200.0, 3000.0, 6800.0] {
                    let asked = tone(hz, to_hz);
                    let got = resampled(&tone(hz, from_hz), from_hz, to_hz);
                    assert_eq!(got.len(), asked.len());
                    // The tone begins and ends in an instant: what rings there is the filter's own.
                    let inner = asked.len() / 5..asked.len() * 4 / 5;
                    let error: Vec<f32> = inner.clone().map(|n| got[n] - asked[n]).collect();
                    let error_db = power_db(&error) - power_db(&asked[inner]);
                    assert!(
                        error_db < -60.0,
                        "{hz} Hz, {from_hz} to {to_hz} Hz: {error_db:.1} dB"
                    );
                }
            }
        }
    }

    #[test]
    fn what_the_new_rate_cannot_hold_is_gone() {
        let got = resampled(&tone(9000.0, 48_000.0), 48_000.0, 16_000.0);
        let inner = &got[got.len() / 5..got.len() * 4 / 5];
        assert!(power_db(inner) < -80.0, "{} dB", power_db(inner));
    }

    #[test]
    fn labels_land_where_the_sound_does() {
        for from_hz in RATES_HZ {
            for to_hz in RATES_HZ {
                let moved = to_rate(&labelled(from_hz), to_hz);
                let asked = (0.3 * to_hz).round() as usize..(0.5 * to_hz).round() as usize;
                assert_eq!(moved.phones[0].span, asked, "{from_hz} to {to_hz} Hz");
                let [inside, outside] = [0.31..0.49, 0.51..0.69].map(|span: Range<f64>| {
                    power_db(&moved.audio[(span.start * to_hz) as usize..(span.end * to_hz) as usize])
                });
                near(inside, -3.01, 0.1, (from_hz, to_hz));
                assert!(outside < -50.0, "{from_hz} to {to_hz} Hz: {outside} dB");
            }
        }
    }
}

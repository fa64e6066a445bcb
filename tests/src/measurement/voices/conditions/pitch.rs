//! The voice at a higher pitch.

use super::level::at_voice_level;
use super::time_scale::faster;
use crate::measurement::voices::corpus::Recording;
use crate::measurement::voices::corpus::resample::resampled;

/// Every sound higher by so many semitones, formants too, as a change of tape speed does; then as long as before. The
/// voice is as loud as before, and the labels stay, within 8 ms.
pub fn up(recording: &Recording, semitones: f64) -> Recording {
    let rate_hz = recording.sample_rate_hz;
    // Resamplers go from one whole number of Hz to another: 0.1 cents off at most.
    let slower_hz = (rate_hz / (semitones / 12.0).exp2()).round();
    let higher = resampled(&recording.audio, rate_hz, slower_hz);
    let mut audio = faster(&higher, rate_hz, slower_hz / rate_hz);
    audio.resize(recording.audio.len(), 0.0);
    Recording {
        precision: recording.precision.on_a_grid(),
        ..at_voice_level(recording, audio)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::conditions::level::Voice;
    use crate::measurement::voices::conditions::tests::{peak_hz, songs, tone};

    #[test]
    fn a_tone_is_so_many_semitones_higher() {
        for (semitones, asked_hz) in [(3.0, 523.3), (7.0, 659.3), (12.0, 880.0)] {
            let hz = peak_hz(&up(&tone(440.0, 48_000.0), semitones).audio, 48_000.0);
            assert!((hz - asked_hz).abs() < 0.03 * asked_hz, "{semitones}: {hz} Hz");
        }
    }

    #[test]
    fn the_voice_stays_where_its_labels_are_and_as_loud() {
        for song in songs() {
            let after = up(song, 7.0);
            assert_eq!(after.audio.len(), song.audio.len());
            let [before, after] = [song, &after].map(Voice::of);
            assert!((before.lufs() - after.lufs()).abs() < 0.1);
            for s in [10.0, 30.0, 50.0] {
                let sample = (s * song.sample_rate_hz) as usize;
                let change_lu = after.lufs_near(sample) - before.lufs_near(sample);
                assert!(change_lu.abs() < 2.0, "at {s} s {change_lu:+.1} LU");
            }
        }
    }
}

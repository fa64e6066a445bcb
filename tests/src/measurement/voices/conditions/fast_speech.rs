//! The same words in less time.

use super::time_scale::faster;
use crate::measurement::voices::corpus::Recording;

/// Brisk and hurried speech against a calm reading: common practice for time compression, no source.
pub const BRISK: f64 = 1.3;
pub const HURRIED: f64 = 1.6;

/// The recording `speed` times as fast at its own pitch. Grains are moved by up to 8 ms: labels are no longer exact.
pub fn compressed(recording: &Recording, speed: f64) -> Recording {
    let audio = faster(&recording.audio, recording.sample_rate_hz, speed);
    let scaled = |sample: usize| ((sample as f64 / speed).round() as usize).min(audio.len());
    let phones = recording.phones.iter();
    let phones = phones.map(|phone| phone.at(scaled(phone.span.start)..scaled(phone.span.end)));
    Recording {
        phones: phones.filter(|phone| !phone.span.is_empty()).collect(),
        precision: recording.precision.on_a_grid(),
        ..recording.with_audio(audio)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::conditions::level::Voice;
    use crate::measurement::voices::conditions::tests::{joined, level_lufs, songs};
    use crate::measurement::voices::corpus::{Precision, Sound};

    #[test]
    fn labels_go_with_the_sounds() {
        for song in songs() {
            let after = compressed(song, HURRIED);
            assert_eq!(after.phones.len(), song.phones.len());
            assert_eq!(after.precision, Precision::Grid10Ms);
            assert!((after.duration_s() * HURRIED - song.duration_s()).abs() < 0.01);
            let change_lu = Voice::of(&after).lufs() - Voice::of(song).lufs();
            assert!(change_lu.abs() < 0.7, "vowels {change_lu:+.2} LU");
            let [before_lufs, after_lufs] =
                [song, &after].map(|one| level_lufs(&joined(one, Sound::Sibilant), one.sample_rate_hz));
            let change_lu = after_lufs - before_lufs;
            assert!(change_lu.abs() < 1.5, "sibilants {change_lu:+.2} LU");
        }
    }
}

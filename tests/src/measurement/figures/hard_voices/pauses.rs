//! The voice level where nobody speaks.

use std::ops::Range;

use crate::measurement::figures::properties::{Played, RATE_HZ};
use crate::measurement::voices::corpus::{Precision, Recording, Sound};

/// The shortest pause, s.
const SHORTEST_S: f64 = 0.25;
/// How far a label on a grid may be off, s: two steps of it.
const GRID_S: f64 = 0.02;

/// Labelled rests between two sounds, with the breaths in them, and the one after the last sound.
pub fn pauses(recording: &Recording) -> Vec<Range<usize>> {
    let margin = match recording.precision {
        Precision::Exact => 0,
        Precision::Grid10Ms | Precision::Unlabelled => (GRID_S * RATE_HZ) as usize,
    };
    let is_quiet = |sound: Sound| matches!(sound, Sound::Rest | Sound::Breath);
    let quiet = recording
        .phones
        .chunk_by(|one, two| is_quiet(one.sound) == is_quiet(two.sound))
        .filter(|run| is_quiet(run[0].sound));
    quiet
        .filter_map(|run| Some(run.first()?.span.start + margin..run.last()?.span.end.checked_sub(margin)?))
        .filter(|pause| pause.end >= pause.start + (SHORTEST_S * RATE_HZ) as usize)
        .filter(|pause| pause.start > margin)
        .collect()
}

/// The reading in each pause that is farthest from what it was at the end of the word before, LU; pauses before any
/// voice was heard are left out.
pub fn deviations_lu(played: &Played, recording: &Recording) -> Vec<f32> {
    let farthest = |pause: Range<usize>| {
        let hops = played.within(&pause);
        let at_end = hops.first().filter(|report| report.voice_detected)?;
        let moves = hops.iter().map(|report| report.voice_lufs - at_end.voice_lufs);
        moves.reduce(|one, two| if two.abs() > one.abs() { two } else { one })
    };
    pauses(recording).into_iter().filter_map(farthest).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use siskin_dsp::HopReport;

    fn recording(phones: &[(Sound, Range<usize>)]) -> Recording {
        let labels = phones.iter().map(|(sound, span)| ("", *sound, span.clone()));
        Recording::made_here(RATE_HZ, vec![0.0; 96_000], labels)
    }

    #[test]
    fn rests_and_their_breaths_are_one_pause_and_short_ones_are_none() {
        let recording = recording(&[
            (Sound::Rest, 0..20_000),
            (Sound::Vowel, 20_000..30_000),
            (Sound::Rest, 30_000..34_000),
            (Sound::Breath, 34_000..40_000),
            (Sound::Rest, 40_000..44_000),
            (Sound::Vowel, 44_000..60_000),
            (Sound::Rest, 60_000..65_000),
            (Sound::Vowel, 65_000..70_000),
            (Sound::Rest, 70_000..96_000),
        ]);
        assert_eq!(pauses(&recording), [30_000..44_000, 70_000..96_000]);
    }

    #[test]
    fn the_farthest_reading_of_a_pause_is_told_with_its_sign() {
        let recording = recording(&[(Sound::Vowel, 0..30_000), (Sound::Rest, 30_000..96_000)]);
        let report = |centre_sample, voice_lufs| HopReport {
            centre_sample,
            voice_lufs,
            voice_detected: true,
            ..HopReport::default()
        };
        let played = Played {
            audio: Vec::new(),
            reports: vec![
                report(29_000, -10.0),
                report(30_000, -20.0),
                report(50_000, -19.0),
                report(60_000, -27.0),
            ],
        };
        assert_eq!(deviations_lu(&played, &recording), [-7.0]);
    }
}

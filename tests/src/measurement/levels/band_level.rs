//! Levels of a band over many short stretches, at any rate, without a transform of the whole.

use std::ops::Range;

use super::band::above;
use super::loudness::{k_weighted, lufs};

/// What is cut out on either side of a stretch, s: the band's edge has rung by then.
const MARGIN_S: f64 = 0.05;

/// K-weighted level of what lies above `from_hz` over each stretch, LUFS; minus infinity where a stretch is silent or
/// beyond the sound.
pub fn band_lufs(audio: &[f32], sample_rate_hz: f64, spans: &[Range<usize>], from_hz: f64) -> Vec<f32> {
    let margin = (MARGIN_S * sample_rate_hz) as usize;
    spans
        .iter()
        .map(|span| {
            let end = (span.end + margin).min(audio.len());
            let start = span.start.saturating_sub(margin).min(end);
            let band = above(&audio[start..end], sample_rate_hz, from_hz);
            let weighted = k_weighted(&band, sample_rate_hz);
            let within = |sample: usize| sample.saturating_sub(start).min(weighted.len());
            lufs(&weighted[within(span.start)..within(span.end)])
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::levels::read_sibilants;
    use crate::measurement::voices::singer::{Kind, Section, sing};

    #[test]
    fn reads_what_a_transform_of_the_whole_reads() {
        let song = sing(48_000.0, 1);
        let spans = song.spans(Section::Verse, Kind::Sibilant);
        let whole = read_sibilants(&song.audio, 48_000.0, &spans, &[], 4000.0);
        let short = band_lufs(&song.audio, 48_000.0, &spans, 4000.0);
        assert!(spans.len() > 20);
        for (whole, short) in whole.iter().zip(short) {
            assert!((whole.sibilance_lufs - short).abs() < 0.1, "{whole:?}, {short}");
        }
    }

    #[test]
    fn silence_and_what_lies_beyond_the_sound_read_minus_infinity() {
        let levels = band_lufs(&[0.0; 4800], 48_000.0, &[100..300, 9000..9100], 4000.0);
        assert_eq!(levels, [f32::NEG_INFINITY; 2]);
    }
}

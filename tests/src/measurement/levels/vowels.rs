//! What happened to labelled vowels.

use std::ops::Range;

use super::loudness::{energy, k_weighted};

/// Length of a hop, s.
const HOP_S: f64 = 0.01;

/// Change of K-weighted level from `before` to `after`, dB, of each whole 10 ms hop of each vowel; the two are
/// aligned to the sample. Hops that are silent before, or beyond the end of either, are left out.
pub fn vowel_changes_db(
    before: &[f32],
    after: &[f32],
    sample_rate_hz: f64,
    vowels: &[Range<usize>],
) -> Vec<f32> {
    let hop = (HOP_S * sample_rate_hz).round() as usize;
    let [before, after] = [before, after].map(|audio| k_weighted(audio, sample_rate_hz));
    vowels
        .iter()
        .flat_map(|vowel| vowel.clone().step_by(hop).map(move |start| (start, vowel.end)))
        .filter(|(start, end)| start + hop <= *end)
        .filter_map(|(start, _)| {
            let energies = (
                energy(before.get(start..start + hop)?),
                energy(after.get(start..start + hop)?),
            );
            (energies.0 > 0.0).then(|| (10.0 * (energies.1 / energies.0).log10()) as f32)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::signals::noise;
    use std::slice;

    const RATE_HZ: f64 = 48_000.0;

    #[test]
    fn reads_a_gain_on_every_whole_hop_of_the_vowels_alone() {
        let before: Vec<f32> = noise(3).take(9600).collect();
        let mut after = before.clone();
        after[4800..].iter_mut().for_each(|sample| *sample *= 0.5);
        let changes_db = vowel_changes_db(&before, &after, RATE_HZ, &[100..2100, 5000..6920]);
        assert_eq!(changes_db.len(), 4 + 4);
        assert!(
            changes_db[..4].iter().all(|change| *change == 0.0),
            "{changes_db:?}"
        );
        assert!(
            changes_db[4..]
                .iter()
                .all(|change| (change + 6.0206).abs() < 0.05),
            "{changes_db:?}"
        );
    }

    #[test]
    fn leaves_out_silence_and_what_lies_beyond_the_end() {
        let beyond_the_end = 0..9600;
        let silence = [0.0; 4800];
        let changes_db = vowel_changes_db(&silence, &silence, RATE_HZ, slice::from_ref(&beyond_the_end));
        assert!(changes_db.is_empty(), "{changes_db:?}");
        let sound: Vec<f32> = noise(3).take(4800).collect();
        let changes_db = vowel_changes_db(&sound, &sound, RATE_HZ, &[beyond_the_end]);
        assert_eq!(changes_db, [0.0; 10]);
    }
}

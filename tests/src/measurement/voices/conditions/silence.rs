//! Where nobody speaks.

use std::ops::Range;

use super::level::Voice;
use crate::measurement::levels::{k_weighted, lufs};
use crate::measurement::voices::corpus::{Recording, Sound};

/// Length over which a gap is listened to, s, and how far under the voice all of it must lie, LU: labels may leave
/// out what was said, and a breath must be the loudest thing in its place.
const BLOCK_S: f64 = 0.05;
const QUIET_LU: f64 = -30.0;

/// Stretches between the first and the last sound that no label fills but a rest, and in which nothing is heard, of
/// `shortest_samples` or more, in order. None where there are no labels.
pub fn gaps(recording: &Recording, shortest_samples: usize) -> Vec<Range<usize>> {
    let sounding: Vec<&Range<usize>> = recording
        .phones
        .iter()
        .filter(|phone| phone.sound != Sound::Rest)
        .map(|phone| &phone.span)
        .collect();
    let between: Vec<Range<usize>> = sounding
        .windows(2)
        .map(|pair| pair[0].end..pair[1].start)
        .filter(|gap| gap.start + shortest_samples <= gap.end)
        .collect();
    let weighted = k_weighted(&recording.audio, recording.sample_rate_hz);
    let quiet_lufs = Voice::of(recording).lufs() + QUIET_LU;
    let block_samples = (BLOCK_S * recording.sample_rate_hz) as usize;
    let quiet = |gap: &Range<usize>| {
        let blocks = weighted[gap.clone()].chunks(block_samples);
        blocks.map(lufs).all(|block| f64::from(block) < quiet_lufs)
    };
    between.into_iter().filter(quiet).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::conditions::tests::songs;

    #[test]
    fn a_gap_in_which_something_is_heard_is_none() {
        let [song, _] = songs();
        let shortest_samples = (0.35 * song.sample_rate_hz) as usize;
        let all = gaps(song, shortest_samples);
        let mut spoken = song.clone();
        let said = all[0].start + 1000..all[0].start + 2000;
        spoken.audio[said].fill(0.1);
        assert_eq!(gaps(&spoken, shortest_samples), all[1..]);
    }

    #[test]
    fn what_no_label_fills_is_a_gap_between_labels_alone() {
        let [song, _] = songs();
        let shortest_samples = (0.35 * song.sample_rate_hz) as usize;
        let mut unlabelled = song.clone();
        unlabelled.phones.retain(|phone| phone.sound != Sound::Rest);
        assert_eq!(gaps(&unlabelled, shortest_samples), gaps(song, shortest_samples));
        unlabelled.phones.clear();
        assert!(gaps(&unlabelled, 1).is_empty());
    }
}

//! A hard-panned pair: a double left, another right, and each says something else.

use std::ops::Range;

use siskin_dsp::{Channels, Lookahead, Settings};

use super::tally::Tally;
use crate::measurement::figures::detector::Share;
use crate::measurement::figures::properties::{BeforeAfter, Play, RATE_HZ, Voice};
use crate::measurement::levels::vowel_changes_db;

/// Where the other side begins, as a share of the voice: in no ratio to the times that a short clip is played again.
const OTHER_SHARE: f64 = 0.381_966;
/// Where its end meets its beginning it fades, s.
const FADE_S: f64 = 0.005;

/// One side of the pair.
struct Side {
    audio: Vec<f32>,
    sibilants: Vec<Range<usize>>,
    vowels: Vec<Range<usize>>,
}

impl Side {
    /// The voice from `start` on, and its beginning after its end.
    fn of(voice: &Voice, start: usize) -> Self {
        let length = voice.levelled.len();
        let mut audio = voice.levelled.clone();
        audio.rotate_left(start);
        let fade = ((FADE_S * RATE_HZ) as usize).max(1);
        let seam = length - start;
        for (sample, value) in audio.iter_mut().enumerate() {
            let away = sample.abs_diff(seam);
            if start > 0 && away < fade {
                *value *= away as f32 / fade as f32;
            }
        }
        let moved = |spans: Vec<Range<usize>>| -> Vec<Range<usize>> {
            let whole = spans
                .into_iter()
                .filter(|span| span.end <= start || span.start >= start);
            let mut moved: Vec<_> = whole
                .map(|span| {
                    let first = (span.start + length - start) % length;
                    first..first + span.len()
                })
                .collect();
            moved.sort_by_key(|span| span.start);
            moved
        };
        Self {
            audio,
            sibilants: moved(voice.sibilants()),
            vowels: moved(voice.vowels()),
        }
    }
}

/// Both sides through one insert; what each comes to.
pub fn hard_panned(voice: &Voice, link: Channels, lookahead: Lookahead) -> Tally {
    let start = (OTHER_SHARE * voice.levelled.len() as f64) as usize;
    let sides = [0, start].map(|start| Side::of(voice, start));
    let given: Vec<Vec<f32>> = sides.iter().map(|side| side.audio.clone()).collect();
    let settings = Settings::default();
    let play = Play::new(RATE_HZ, &given, &settings);
    let played = Play {
        link,
        lookahead,
        ..play
    }
    .run();
    let settled = voice.heard_after(0);
    let mut tally = Tally::default();
    for (side, after) in sides.iter().zip(&played.audio) {
        let heard = side.sibilants.iter().filter(|span| span.start > settled);
        let heard: Vec<_> = heard.cloned().collect();
        let errors_lu = BeforeAfter::new(&side.audio, after).errors_lu(&heard, &side.vowels);
        tally.errors_lu.extend(errors_lu);
        tally.hold_against_known_labels(&side.audio, &heard, &side.vowels);
        let changes_db = vowel_changes_db(&side.audio, after, RATE_HZ, &side.vowels);
        tally.changed_vowels += Share::of(changes_db, |change_db| change_db.abs() > Tally::CHANGED_DB);
    }
    tally
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_other_side_says_something_else_with_its_own_labels() {
        let voice = Voice::singer(1);
        let start = voice.levelled.len() / 3;
        let [left, right] = [0, start].map(|start| Side::of(&voice, start));
        assert_eq!(left.sibilants, voice.sibilants());
        assert!(right.sibilants.len() + 1 >= left.sibilants.len());
        let span = right.sibilants[3].clone();
        let was = span.start + start..span.end + start;
        assert!(left.sibilants.contains(&was));
        assert_eq!(right.audio[span], left.audio[was]);
    }
}

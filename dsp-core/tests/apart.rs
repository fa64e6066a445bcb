//! Channels apart: each side is treated as if it were alone.

mod signals;

use signals::{Score, VERSE, aligned, level_db, line, linked_engine, stereo};
use siskin_dsp::{Channels, Lookahead, Settings};

const RATE_HZ: f64 = 48_000.0;
/// From one word's vowel into the other one's fricative.
const SHIFT_SAMPLES: usize = (0.195 * RATE_HZ) as usize;
/// The first words fill the voice level.
const SETTLED_SAMPLES: usize = RATE_HZ as usize;

/// A stretch of sound, samples.
type Span = (usize, usize);

/// Two voices, one to each side: while one is at an s, the other one sings. With the fricatives of each.
fn duet() -> ([Vec<f32>; 2], [Vec<Span>; 2]) {
    let left = line(VERSE, RATE_HZ, 1);
    let other = Score {
        pitch_hz: 220.0,
        ..VERSE
    };
    let right = line(other, RATE_HZ, 2);
    let shifted = [
        &vec![0.0; SHIFT_SAMPLES],
        &right.audio[..right.audio.len() - SHIFT_SAMPLES],
    ]
    .concat();
    let later = right
        .fricatives
        .iter()
        .map(|(start, end)| (start + SHIFT_SAMPLES, end + SHIFT_SAMPLES))
        .filter(|&(_, end)| end < shifted.len());
    let settled = |spans: Vec<Span>| {
        spans
            .into_iter()
            .filter(|span| span.0 > SETTLED_SAMPLES)
            .collect()
    };
    let fricatives = [settled(left.fricatives), settled(later.collect())];
    ([left.audio, shifted], fricatives)
}

fn played(link: Channels, lookahead: Lookahead, input: &[Vec<f32>]) -> Vec<Vec<f32>> {
    let mut engine = linked_engine(RATE_HZ, (input.len(), link), lookahead, &Settings::default());
    aligned(&mut engine, input)
}

fn gain_db(input: &[f32], output: &[f32], (start, end): Span) -> f64 {
    level_db(&output[start..end]) - level_db(&input[start..end])
}

/// The middle of the vowel before a fricative: a quarter of a second long.
fn vowel_before((start, _): Span) -> Span {
    let ms = (1e-3 * RATE_HZ) as usize;
    (start - 200 * ms, start - 50 * ms)
}

#[test]
fn a_voice_on_each_side_is_treated_as_if_it_were_alone() {
    let (voices, fricatives) = duet();
    for lookahead in [Lookahead::Long, Lookahead::Mixing] {
        let apart = played(Channels::Apart, lookahead, &voices);
        let linked = played(Channels::Linked, lookahead, &voices);
        let mut worst_linked_db = 0.0_f64;
        for side in 0..2 {
            let alone =
                played(Channels::Linked, lookahead, std::slice::from_ref(&voices[side])).swap_remove(0);
            for &fricative in &fricatives[side] {
                let [with_other, by_itself] =
                    [&apart[side], &alone].map(|output| gain_db(&voices[side], output, fricative));
                assert!(by_itself < -2.0, "{lookahead:?}: {by_itself} dB at {fricative:?}");
                assert!(
                    (with_other - by_itself).abs() < 0.5,
                    "{lookahead:?}, side {side}: {with_other} dB, alone {by_itself} dB"
                );
                let vowel = vowel_before(fricative);
                let vowel_db = gain_db(&voices[side], &apart[side], vowel);
                assert!(
                    vowel_db.abs() < 0.1,
                    "{lookahead:?}, side {side}: vowel {vowel_db} dB"
                );
                let linked_db = gain_db(&voices[side], &linked[side], fricative);
                worst_linked_db = worst_linked_db.max((linked_db - by_itself).abs());
            }
        }
        // Linked, a vowel on one side hides the s on the other.
        assert!(worst_linked_db > 2.0, "{lookahead:?}: {worst_linked_db} dB");
    }
}

#[test]
fn one_voice_on_both_sides_is_treated_as_linked() {
    let voice = stereo(&line(VERSE, RATE_HZ, 3).audio, 1.0);
    for lookahead in Lookahead::ALL {
        let [linked, apart] = Channels::ALL.map(|link| played(link, lookahead, &voice));
        let difference: Vec<f32> = linked[1].iter().zip(&apart[1]).map(|(a, b)| a - b).collect();
        let left_db = level_db(&difference) - level_db(&voice[1]);
        assert!(left_db < -120.0, "{lookahead:?}: {left_db} dB");
        assert_eq!(apart[0], apart[1], "{lookahead:?}");
    }
}

#[test]
fn a_voice_on_one_side_alone_is_treated_as_mono() {
    let voice = line(VERSE, RATE_HZ, 4).audio;
    let silence = vec![0.0; voice.len()];
    for lookahead in Lookahead::ALL {
        let mono = played(Channels::Apart, lookahead, std::slice::from_ref(&voice)).swap_remove(0);
        for (side, input) in [[voice.clone(), silence.clone()], [silence.clone(), voice.clone()]]
            .iter()
            .enumerate()
        {
            let output = played(Channels::Apart, lookahead, input);
            // Until a voice is heard, the start level is that of both sides.
            let from = (0.25 * RATE_HZ) as usize;
            let difference: Vec<f32> = mono[from..]
                .iter()
                .zip(&output[side][from..])
                .map(|(a, b)| a - b)
                .collect();
            let left_db = level_db(&difference) - level_db(&voice);
            assert!(left_db < -100.0, "{lookahead:?}, side {side}: {left_db} dB");
            assert!(output[1 - side].iter().all(|&sample| sample == 0.0));
        }
    }
}

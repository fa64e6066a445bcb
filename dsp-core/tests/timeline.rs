//! With a reported position the grid of hops is aligned to the song and not to the start of playback.

mod programmes;
mod signals;

use programmes::{Gaps, RATE_HZ, tone};
use proptest::prelude::*;
use signals::{Line, Score, engine, level_db, line, stereo};
use siskin_dsp::{Engine, Lookahead, Settings};

/// The longest period of the grid at 48 kHz, samples: the noise floor is searched in spans of 188 hops of 64.
const SPAN_SAMPLES: i64 = 188 * 64;

fn song() -> Line {
    let score = Score {
        pitch_hz: 180.0,
        vowel_db: -22.0,
        fricative_db: -18.0,
        peak_hz: 6500.0,
        words: 12,
        edge_ms: 4.0,
    };
    line(score, RATE_HZ, 11)
}

fn all_on() -> Settings {
    let mut settings = Settings::default();
    settings.leveller.on = true;
    settings.breath.on = true;
    settings.sibilance.proportion_lu = -12.0;
    settings
}

/// Processes `audio`; before each block `position_of` its first sample is reported, if it is not `None`.
fn run_with_positions(
    engine: &mut Engine,
    audio: &[Vec<f32>],
    blocks: &[usize],
    position_of: impl Fn(usize) -> Option<i64>,
) -> Vec<Vec<f32>> {
    let mut output = audio.to_vec();
    let (mut start, mut lengths) = (0, blocks.iter().cycle());
    while start < audio[0].len() {
        let end = audio[0].len().min(start + lengths.next().expect("block lengths"));
        if let Some(position) = position_of(start) {
            engine.locate(position);
        }
        let mut views: Vec<&mut [f32]> = output
            .iter_mut()
            .map(|channel| &mut channel[start..end])
            .collect();
        engine.process(&mut views, &[], &mut |_| {});
        start = end;
    }
    output
}

/// The reduction of each fricative after sample `first`, per channel, in a run that started at sample `from`, dB.
fn reductions_db(song: &Line, played: &[Vec<f32>], from: usize, first: usize, latency: usize) -> Vec<f64> {
    let given = stereo(&song.audio, -0.5);
    let fricatives = song.fricatives.iter().filter(|(start, _)| *start > first);
    fricatives
        .flat_map(|&(start, end)| {
            let lost = given.iter().zip(played).map(move |(given, played)| {
                let after = &played[start - from + latency..end - from + latency];
                level_db(&given[start..end]) - level_db(after)
            });
            lost.collect::<Vec<_>>()
        })
        .collect()
}

/// The largest difference of a reduction from that of a run from the start, over several start positions.
fn largest_difference_db(reported: bool) -> f64 {
    let (song, settings) = (song(), Settings::default());
    let position = |from: usize| move |sample: usize| reported.then_some((from + sample) as i64);
    let play = |from: usize| {
        let mut engine = engine(RATE_HZ, 2, Lookahead::Long, &settings);
        let latency = engine.latency_samples();
        let mut audio = song.audio[from..].to_vec();
        audio.extend(std::iter::repeat_n(0.0, latency));
        (
            run_with_positions(&mut engine, &stereo(&audio, -0.5), &[480], position(from)),
            latency,
        )
    };
    let (top, latency) = play(0);
    (0..8)
        .map(|start| {
            let from = 30_011 + start * 2711;
            // Three vowels are more than half a second.
            let first = from + 60_000;
            let here = reductions_db(&song, &play(from).0, from, first, latency);
            let top = reductions_db(&song, &top, 0, first, latency);
            assert!(here.len() > 4 && top.iter().all(|db| *db > 2.0));
            let differences = here.iter().zip(&top).map(|(here, top)| (here - top).abs());
            differences.fold(0.0, f64::max)
        })
        .fold(0.0, f64::max)
}

#[test]
fn reductions_do_not_depend_on_the_start_of_playback() {
    let (with_position, without) = (largest_difference_db(true), largest_difference_db(false));
    println!("worst of 8 starts: {with_position:.3} dB, {without:.3} dB without positions");
    assert!(with_position < 0.01, "{with_position} dB");
    assert!(without > 0.02, "the grid makes no difference here: {without} dB");
}

#[test]
fn a_jump_does_not_change_the_output_of_idle_stages() {
    let mut settings = Settings::default();
    settings.sibilance.on = false;
    let mut engine = engine(RATE_HZ, 2, Lookahead::Long, &settings);
    let given = stereo(&song().audio, -0.5);
    // Repeated jumps back, by a length that is not a whole number of hops.
    let played = run_with_positions(&mut engine, &given, &[700], |sample| {
        Some(1000 + (sample % 21_000) as i64)
    });
    let latency = engine.latency_samples();
    for (given, played) in given.iter().zip(&played) {
        assert!(given[..given.len() - latency] == played[latency..]);
    }
}

#[test]
fn a_jump_makes_no_click() {
    let mut settings = all_on();
    settings.leveller.threshold_db = -30.0;
    let programme = tone(120_000);
    // The level varies three times per second, so that the leveller's gain moves at the jump.
    let swelling: Vec<Vec<f32>> = programme
        .audio
        .iter()
        .map(|channel| {
            let swell = |n: usize| 0.6 + 0.4 * (n as f32 / 16_000.0 * std::f32::consts::TAU).sin();
            channel.iter().enumerate().map(|(n, x)| swell(n) * x).collect()
        })
        .collect();
    let play = |jump: i64| {
        let mut engine = engine(RATE_HZ, 2, Lookahead::Long, &settings);
        run_with_positions(&mut engine, &swelling, &[512], |sample| {
            let jumped = if sample > 80_000 { jump } else { 0 };
            Some(sample as i64 + jumped)
        })
    };
    let (resting, moved) = (play(0), play(1_000_037));
    let gaps = Gaps::new(programme.bands_hz);
    for (moved, resting) in moved.iter().zip(&resting) {
        assert_ne!(moved, resting, "nothing jumped");
        let click_db = gaps.click_db(moved, [resting, resting], 80_000..90_000);
        assert!(click_db < -80.0, "{click_db} dB");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn continuous_positions_give_identical_output_in_any_blocks(
        start in -200_000i64..200_000,
        blocks in prop::collection::vec(1usize..3000, 1..12),
    ) {
        let given = stereo(&song().audio, -0.5);
        let play = |blocks: &[usize], start: i64| {
            let mut engine = engine(RATE_HZ, 2, Lookahead::Long, &all_on());
            run_with_positions(&mut engine, &given, blocks, |sample| Some(start + sample as i64))
        };
        let whole = play(&[given[0].len()], start);
        prop_assert!(whole == play(&blocks, start));
        // Only where on the grid the sound begins matters.
        prop_assert!(whole == play(&[512], start.rem_euclid(SPAN_SAMPLES)));
    }

    #[test]
    fn a_start_on_the_grid_equals_a_run_without_positions(spans in -300i64..300) {
        let given = stereo(&song().audio, -0.5);
        let play = |position: Option<i64>| {
            let mut engine = engine(RATE_HZ, 2, Lookahead::Long, &all_on());
            run_with_positions(&mut engine, &given, &[512], |sample| Some(position? + sample as i64))
        };
        prop_assert!(play(Some(spans * SPAN_SAMPLES)) == play(None));
    }
}

//! The stages around the sibilance stage: breaths, Listen, the reference voice.

mod signals;

use signals::{Noise, Score, VERSE, aligned, engine, fricative, level_db, line, residual_db, run, vowel};
use siskin_dsp::{Channels, Class, Engine, EngineConfig, HopReport, Listen, Lookahead, Settings};

const RATE_HZ: f64 = 48_000.0;
/// Alternating vowels and breaths; breaths peak near 1.65 kHz (Nakano et al. 2008).
fn breathing(breath_db: f64) -> (Vec<f32>, Vec<(usize, usize)>) {
    let mut noise = Noise::new(21);
    let (mut audio, mut breaths) = (Vec::new(), Vec::new());
    for _ in 0..6 {
        audio.extend(vowel(24_000, 150.0, -22.0, RATE_HZ));
        audio.extend(vec![0.0; 4800]);
        breaths.push((audio.len(), audio.len() + 19_200));
        audio.extend(fricative(19_200, 1650.0, breath_db, RATE_HZ, &mut noise));
        audio.extend(vec![0.0; 4800]);
    }
    (
        audio
            .iter()
            .map(|&x| (x + 3e-5 * noise.sample()) as f32)
            .collect(),
        breaths,
    )
}

#[test]
fn only_breaths_are_reduced_to_their_proportion() {
    let mut settings = Settings::default();
    settings.sibilance.on = false;
    settings.breath.on = true;
    // Breaths at -34 dB lie about 11 LU below this voice; the setting is 20 LU: a reduction of 9 dB, unless Range limits it.
    for (range_db, expected_db) in [(24.0, 9.0), (4.0, 4.0)] {
        settings.breath.range_db = range_db;
        let (audio, breaths) = breathing(-34.0);
        let stereo = [audio.clone(), audio.iter().map(|x| -0.7 * x).collect()];
        let output = aligned(&mut engine(RATE_HZ, 2, Lookahead::Long, &settings), &stereo);
        for (input, output) in stereo.iter().zip(&output) {
            let lost_db = |from: usize, to: usize| level_db(&input[from..to]) - level_db(&output[from..to]);
            for &(start, end) in &breaths[1..5] {
                let lost = lost_db(start + 2400, end - 1200);
                assert!((lost - expected_db).abs() < 2.0, "{lost} dB of {expected_db} dB");
                assert!(
                    lost_db(end + 4800, end + 28_800).abs() < 0.1,
                    "the word after a breath was touched"
                );
            }
        }
    }
}

#[test]
fn the_low_cut_acts_on_breaths_only() {
    let mut settings = Settings::default();
    settings.sibilance.on = false;
    settings.breath.on = true;
    settings.breath.range_db = 0.0;
    settings.breath.low_cut_hz = Some(1000.0);
    let (audio, breaths) = breathing(-34.0);
    let output = aligned(
        &mut engine(RATE_HZ, 1, Lookahead::Long, &settings),
        std::slice::from_ref(&audio),
    );
    for &(start, end) in &breaths[1..5] {
        let (start, end, word) = (start + 2400, end - 1200, end + 9600..end + 24_000);
        assert!(
            level_db(&audio[start..end]) - level_db(&output[0][start..end]) > 0.2,
            "nothing was cut"
        );
        assert_eq!(audio[word.clone()], output[0][word]);
    }
}

#[test]
fn removed_part_and_output_add_up_to_the_input() {
    let line = line(VERSE, RATE_HZ, 31);
    let input = vec![line.audio.clone(), line.audio.iter().map(|x| 0.5 * x).collect()];
    let listened = |listen: Listen| {
        let mut settings = Settings::default();
        settings.output.listen = listen;
        aligned(&mut engine(RATE_HZ, 2, Lookahead::Long, &settings), &input)
    };
    let (output, removed, detector) = (
        listened(Listen::Output),
        listened(Listen::Removed),
        listened(Listen::Detector),
    );
    for channel in 0..2 {
        let sum: Vec<f32> = output[channel]
            .iter()
            .zip(&removed[channel])
            .map(|(a, b)| a + b)
            .collect();
        assert!(residual_db(&input[channel], &sum) < -120.0);
        for (start, end) in &line.fricatives[1..] {
            assert!(
                level_db(&removed[channel][*start..*end]) > -60.0,
                "nothing was removed"
            );
            assert!(level_db(&detector[channel][*start..*end]) <= level_db(&input[channel][*start..*end]));
        }
        assert!(level_db(&detector[channel]) < level_db(&input[channel]));
    }
}

fn follow(reference: &[f32], track: &[f32]) -> Vec<HopReport> {
    let config = EngineConfig {
        sample_rate_hz: RATE_HZ,
        channels: 2,
        link: Channels::Linked,
        reference_channels: 2,
        lookahead: Lookahead::Long,
    };
    let mut engine = Engine::new(config, &Settings::default());
    let (mut left, mut right) = (track.to_vec(), track.to_vec());
    let mut reports = Vec::new();
    engine.process(
        &mut [&mut left, &mut right],
        &[reference, reference],
        &mut |report| reports.push(*report),
    );
    reports
}

#[test]
fn the_threshold_follows_the_reference_and_falls_back_without_a_jump() {
    let track = line(Score { words: 24, ..VERSE }, RATE_HZ, 41).audio;
    let lead = line(
        Score {
            vowel_db: -14.0,
            words: 6,
            ..VERSE
        },
        RATE_HZ,
        42,
    )
    .audio;
    let louder: Vec<f32> = lead.iter().map(|x| 2.0 * x).collect();
    let (plain, raised) = (follow(&lead, &track), follow(&louder, &track));
    let at = |seconds: f64| (seconds * RATE_HZ / 64.0) as usize;
    let moved_lu = raised[at(2.0)].voice_lufs - plain[at(2.0)].voice_lufs;
    assert!(
        plain[at(2.0)].follows_reference && (moved_lu - 6.02).abs() < 0.05,
        "{moved_lu} LU"
    );

    let last = plain[plain.len() - 1];
    let alone = follow(&vec![0.0; track.len()], &track);
    assert!(!last.follows_reference && !alone[alone.len() - 1].follows_reference);
    assert!((last.voice_lufs - alone[alone.len() - 1].voice_lufs).abs() < 0.1);
    let steps = plain[at(3.0)..]
        .windows(2)
        .map(|pair| (pair[1].voice_lufs - pair[0].voice_lufs).abs());
    assert!(
        steps.fold(0.0, f32::max) < 0.5,
        "the voice level jumped where the reference ended"
    );
}

#[test]
fn breaths_are_classified_as_breaths() {
    let (audio, breaths) = breathing(-34.0);
    let reports = run(
        &mut engine(RATE_HZ, 1, Lookahead::Long, &Settings::default()),
        &[audio],
        &[512],
    )
    .reports;
    for &(start, end) in &breaths {
        let within = (start as i64 + 1200)..(end as i64 - 600);
        let hops: Vec<Class> = reports
            .iter()
            .filter(|r| within.contains(&r.centre_sample))
            .map(|r| r.class)
            .collect();
        let share = hops.iter().filter(|&&class| class == Class::Breath).count() as f64 / hops.len() as f64;
        assert!(share > 0.9, "{share} of the hops of a breath");
    }
}

//! Properties that hold for any signal, block size, sample rate and settings.

mod signals;

use proptest::prelude::*;
use signals::{
    Noise, Score, VERSE, aligned, engine, level_db, line, reductions_db, residual_db, run, stereo,
};
use siskin_dsp::{Channels, Engine, EngineConfig, Lookahead, Settings};

fn idle() -> Settings {
    let mut settings = Settings::default();
    settings.sibilance.on = false;
    settings
}

fn all_on() -> Settings {
    let mut settings = Settings::default();
    settings.leveller.on = true;
    settings.leveller.makeup_db = 6.0;
    settings.leveller.auto_makeup = true;
    settings.breath.on = true;
    settings.breath.low_cut_hz = Some(650.0);
    settings.output.gain_db = -3.0;
    settings
}

#[test]
fn idle_output_is_the_delayed_input_bit_for_bit() {
    let mut on_but_below_threshold = Settings::default();
    on_but_below_threshold.sibilance.proportion_lu = 12.0;
    on_but_below_threshold.breath.on = true;
    on_but_below_threshold.breath.range_db = 0.0;
    let mut bypassed = all_on();
    bypassed.output.bypass = true;
    for lookahead in [Lookahead::None, Lookahead::Short, Lookahead::Long] {
        for settings in [idle(), on_but_below_threshold, bypassed] {
            for rate_hz in [44_100.0, 48_000.0, 192_000.0] {
                let input = stereo(&line(VERSE, rate_hz, 1).audio, 0.6);
                let output = aligned(&mut engine(rate_hz, 2, lookahead, &settings), &input);
                for (channel, (input, output)) in input.iter().zip(&output).enumerate() {
                    let differing = input
                        .iter()
                        .zip(output)
                        .filter(|(a, b)| a.to_bits() != b.to_bits())
                        .count();
                    assert_eq!(differing, 0, "channel {channel}, {lookahead:?}, {rate_hz} Hz");
                }
            }
        }
    }
}

#[test]
fn input_gain_changes_only_the_output_level() {
    let line = line(VERSE, 48_000.0, 2);
    let input = stereo(&line.audio, 0.6);
    let plain = aligned(
        &mut engine(48_000.0, 2, Lookahead::Long, &Settings::default()),
        &input,
    );
    assert!(
        reductions_db(&line, &plain[0]).iter().all(|&db| db > 3.0),
        "nothing was reduced"
    );
    for gain_db in [-18.0f64, -7.3, 12.0] {
        let gain = 10f64.powf(gain_db / 20.0) as f32;
        let scaled: Vec<Vec<f32>> = input
            .iter()
            .map(|c| c.iter().map(|x| gain * x).collect())
            .collect();
        let output = aligned(
            &mut engine(48_000.0, 2, Lookahead::Long, &Settings::default()),
            &scaled,
        );
        for (plain, output) in plain.iter().zip(&output) {
            let undone: Vec<f32> = output.iter().map(|x| x / gain).collect();
            let residual = residual_db(plain, &undone);
            assert!(residual <= -60.0, "{residual} dB at {gain_db} dB");
        }
    }
}

#[test]
fn a_run_after_reset_equals_the_first_run() {
    let input = stereo(&line(VERSE, 48_000.0, 3).audio, 0.6);
    let mut other = VERSE;
    (other.vowel_db, other.fricative_db) = (-8.0, -12.0);
    let loud = stereo(&line(other, 48_000.0, 4).audio, 0.6);
    let mut engine = engine(48_000.0, 2, Lookahead::Long, &all_on());
    let first = run(&mut engine, &input, &[512]);
    engine.reset();
    run(&mut engine, &loud, &[301]);
    engine.reset();
    let again = run(&mut engine, &input, &[512]);
    assert!(first.output == again.output && first.reports == again.reports);
}

#[test]
fn reduction_is_the_same_at_every_rate() {
    let reference = {
        let line = line(VERSE, 48_000.0, 5);
        let output = aligned(
            &mut engine(48_000.0, 1, Lookahead::Long, &Settings::default()),
            std::slice::from_ref(&line.audio),
        );
        mean(&reductions_db(&line, &output[0]))
    };
    assert!(reference > 3.0);
    for rate_hz in [44_100.0, 88_200.0, 96_000.0, 176_400.0, 192_000.0] {
        let line = line(VERSE, rate_hz, 5);
        let output = aligned(
            &mut engine(rate_hz, 1, Lookahead::Long, &Settings::default()),
            std::slice::from_ref(&line.audio),
        );
        let reduction = mean(&reductions_db(&line, &output[0]));
        assert!(
            (reduction - reference).abs() < 0.5,
            "{reduction} dB at {rate_hz} Hz, {reference} dB at 48 kHz"
        );
    }
}

#[test]
fn the_reduction_is_complete_at_the_onset_and_gone_after_the_end() {
    let mut settings = Settings::default();
    settings.sibilance.reach = 1.0;
    let line = line(
        Score {
            edge_ms: 0.5,
            words: 24,
            ..VERSE
        },
        48_000.0,
        6,
    );
    let output = aligned(
        &mut engine(48_000.0, 1, Lookahead::Long, &settings),
        std::slice::from_ref(&line.audio),
    );
    let gain_db = |from: usize, to: usize| level_db(&output[0][from..to]) - level_db(&line.audio[from..to]);
    let events = || line.fricatives.iter().skip(1);
    let steady: Vec<f64> = events()
        .map(|&(start, end)| gain_db(start + 2000, end - 1000))
        .collect();
    let onset: Vec<f64> = events()
        .map(|&(start, _)| gain_db(start + 48, start + 96))
        .collect();
    // A single onset of noise reads its level only to within a decibel or two, so the mean over many is compared.
    assert!(mean(&steady) < -3.0, "{} dB", mean(&steady));
    assert!(
        mean(&onset) <= 0.9 * mean(&steady),
        "{} dB of {} dB",
        mean(&onset),
        mean(&steady)
    );
    assert!(
        onset
            .iter()
            .zip(&steady)
            .all(|(onset, steady)| *onset <= 0.6 * steady)
    );
    for after in events().map(|&(_, end)| gain_db(end + 960, end + 1440)) {
        assert!(after > -0.5, "{after} dB 20 ms after the end");
    }
}

/// Inserts invalid samples at several places of every channel.
fn with_invalid_samples(channels: &[Vec<f32>], values: &[f32]) -> Vec<Vec<f32>> {
    let mut result = channels.to_vec();
    for (n, &value) in values.iter().enumerate() {
        for (channel, samples) in result.iter_mut().enumerate() {
            let start = 30_000 + 1000 * n + 500 * channel;
            samples[start..start + 1 + 90 * n].fill(value);
        }
    }
    result
}

#[test]
fn invalid_samples_act_as_silence() {
    let invalid = [
        f32::NAN,
        -f32::NAN,
        f32::INFINITY,
        f32::NEG_INFINITY,
        1e-40,
        -1e-44,
        f32::MIN_POSITIVE,
    ];
    let clean = stereo(&line(VERSE, 48_000.0, 7).audio, 0.6);
    let run_both = |audio: &[Vec<f32>], block: usize| {
        let config = EngineConfig {
            sample_rate_hz: 48_000.0,
            channels: 2,
            link: Channels::Linked,
            reference_channels: 2,
            lookahead: Lookahead::Long,
        };
        let mut engine = Engine::new(config, &all_on());
        let (mut output, mut reports) = (audio.to_vec(), Vec::new());
        for start in (0..audio[0].len()).step_by(block) {
            let end = audio[0].len().min(start + block);
            let mut views: Vec<&mut [f32]> = output
                .iter_mut()
                .map(|channel| &mut channel[start..end])
                .collect();
            // Channels swapped: the invalid samples of the reference lie elsewhere.
            let reference = [&audio[1][start..end], &audio[0][start..end]];
            engine.process(&mut views, &reference, &mut |report| reports.push(*report));
        }
        (output, reports)
    };
    let silent = run_both(&with_invalid_samples(&clean, &invalid.map(|_| 0.0)), 64);
    assert!(silent.0 != run_both(&clean, 64).0);
    for block in [1, 64, 4096] {
        let dirty = run_both(&with_invalid_samples(&clean, &invalid), block);
        assert!(dirty.0 == silent.0 && dirty.1 == silent.1, "blocks of {block}");
        assert!(dirty.0.iter().flatten().all(|x| x.is_normal() || *x == 0.0));
    }
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

fn settings() -> impl Strategy<Value = Settings> {
    let sibilance = (
        -24f32..12.0,
        1f32..20.0,
        0f32..24.0,
        2000f32..10_000.0,
        0f32..=1.0,
        0.1f32..10.0,
        5f32..200.0,
    );
    let rest = (
        (any::<bool>(), any::<bool>()),
        any::<bool>(),
        prop::option::of(40f32..1000.0),
        -24f32..24.0,
        50f32..3000.0,
    );
    (sibilance, rest).prop_map(
        |((proportion, ratio, range, from, reach, attack, release), rest)| {
            let mut settings = Settings::default();
            let sibilance = &mut settings.sibilance;
            (sibilance.proportion_lu, sibilance.ratio, sibilance.range_db) = (proportion, ratio, range);
            (sibilance.from_hz, sibilance.reach) = (from, reach);
            (sibilance.attack_ms, sibilance.release_ms) = (attack, release);
            (settings.leveller.on, settings.leveller.auto_makeup) = rest.0;
            (settings.breath.on, settings.breath.low_cut_hz) = (rest.1, rest.2);
            (settings.output.gain_db, settings.follow.time_ms) = (rest.3, rest.4);
            settings
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(16))]

    #[test]
    fn any_mixture_of_blocks_gives_identical_output(
        settings in settings(),
        blocks in prop::collection::vec(1usize..=8192, 1..12),
        small in prop::collection::vec(1usize..40, 1..12),
        rate_hz in prop::sample::select(vec![44_100.0, 48_000.0, 96_000.0]),
        seed in 1u64..1000,
    ) {
        let input = stereo(&line(Score { words: 3, ..VERSE }, rate_hz, seed).audio, 0.6);
        let whole = run(&mut engine(rate_hz, 2, Lookahead::Long, &settings), &input, &[usize::MAX / 2]);
        for blocks in [blocks, small, vec![1]] {
            let cut = run(&mut engine(rate_hz, 2, Lookahead::Long, &settings), &input, &blocks);
            prop_assert!(whole.output == cut.output);
            prop_assert!(whole.reports == cut.reports);
        }
    }

    #[test]
    fn reduction_exceeds_neither_range_nor_the_excess(
        settings in settings(), fricative_db in -40f64..-12.0, peak_hz in 3800f64..9000.0, seed in 1u64..1000,
    ) {
        let mut settings = settings;
        (settings.leveller.on, settings.breath.on, settings.output.gain_db) = (false, false, 0.0);
        let line = line(Score { fricative_db, peak_hz, words: 4, ..VERSE }, 48_000.0, seed);
        let run = run(&mut engine(48_000.0, 1, Lookahead::Long, &settings), std::slice::from_ref(&line.audio), &[512]);
        for report in &run.reports {
            let reduction_db = -report.sibilance_gain_db;
            prop_assert!((0.0..=settings.sibilance.range_db + 1e-3).contains(&reduction_db), "{reduction_db} dB");
        }
        let output = &run.output[0][run.latency_samples..];
        for (&(start, end), lost_db) in line.fricatives.iter().skip(1).zip(reductions_db(&line, output)) {
            prop_assert!(lost_db <= f64::from(settings.sibilance.range_db) + 0.1, "{lost_db} dB lost");
            let during = (start as i64 + 500)..(end as i64 - 500);
            let reports = || run.reports.iter().filter(|r| during.contains(&r.centre_sample) && r.sibilance_lufs > -100.0);
            let excess: Vec<f64> = reports().map(|r| f64::from((r.sibilance_lufs - r.threshold_lufs).max(0.0))).collect();
            let applied: Vec<f64> = reports().map(|r| -f64::from(r.sibilance_gain_db)).collect();
            if !excess.is_empty() {
                prop_assert!(mean(&applied) <= mean(&excess) + 0.3, "{} of {}", mean(&applied), mean(&excess));
            }
        }
    }
}

#[test]
fn silence_gives_silence_without_denormals() {
    let mut noise = Noise::new(9);
    let mut signal: Vec<f32> = (0..9600).map(|_| 0.5 * noise.sample() as f32).collect();
    signal.extend(vec![0.0; 480_000]);
    let output = run(
        &mut engine(48_000.0, 1, Lookahead::Long, &all_on()),
        &[signal],
        &[480],
    )
    .output;
    assert!(output[0].iter().all(|x| x.is_normal() || *x == 0.0));
    assert!(output[0][400_000..].iter().all(|x| *x == 0.0));
}

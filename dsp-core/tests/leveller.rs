//! The leveller on steady sounds: distortion of a tone, clicks of switches and steps, automatic makeup.

mod signals;

use std::f64::consts::TAU;

use realfft::RealFftPlanner;
use signals::{Noise, engine, level_db, run, stereo, vowel};
use siskin_dsp::{Class, HopReport, LevellerSettings, Lookahead, Settings};

const RATE_HZ: f64 = 48_000.0;

fn tone(frequency_hz: f64, peak_db: f64, seconds: f64) -> Vec<f32> {
    let peak = 10f64.powf(peak_db / 20.0);
    (0..(seconds * RATE_HZ) as usize)
        .map(|n| (peak * (TAU * frequency_hz * n as f64 / RATE_HZ).sin()) as f32)
        .collect()
}

fn with_leveller(leveller: LevellerSettings) -> Settings {
    let mut settings = Settings::default();
    settings.sibilance.on = false;
    settings.leveller = leveller;
    settings
}

fn on() -> LevellerSettings {
    LevellerSettings {
        on: true,
        ..LevellerSettings::default()
    }
}

/// Amplitude of one frequency over whole periods.
fn amplitude(signal: &[f32], frequency_hz: f64) -> f64 {
    let (real, imaginary) = signal
        .iter()
        .enumerate()
        .fold((0.0, 0.0), |(real, imaginary), (n, &x)| {
            let phase = TAU * frequency_hz * n as f64 / RATE_HZ;
            (
                real + f64::from(x) * phase.cos(),
                imaginary + f64::from(x) * phase.sin(),
            )
        });
    2.0 * f64::hypot(real, imaginary) / signal.len() as f64
}

#[test]
fn distortion_of_a_low_tone_at_10_db_reduction_is_low() {
    for release_ms in [LevellerSettings::default().release_ms, 10.0] {
        let settings = with_leveller(LevellerSettings { release_ms, ..on() });
        // The mean of the channels' powers is 1.3 dB under the first channel's; 3/4 dB less for each dB above -30 dB.
        let input = stereo(&tone(200.0, -15.4, 3.0), -0.7);
        let run = run(
            &mut engine(RATE_HZ, 2, Lookahead::Long, &settings),
            &input,
            &[512],
        );
        let last = run.reports.last().unwrap();
        assert!(
            last.class == Class::Voice && (last.leveller_gain_db + 10.0).abs() < 0.5,
            "{last:?}"
        );
        for (channel, output) in run.output.iter().enumerate() {
            let steady = &output[output.len() - RATE_HZ as usize..];
            let harmonics: f64 = (2..100)
                .map(|n| amplitude(steady, 200.0 * f64::from(n)).powi(2))
                .sum();
            let percent = 100.0 * harmonics.sqrt() / amplitude(steady, 200.0);
            println!("THD {percent:.1e} % in channel {channel} at a release of {release_ms} ms");
            assert!(
                percent < 0.5,
                "{percent} % in channel {channel} at {release_ms} ms"
            );
        }
    }
}

/// Energy more than an octave from 1 kHz, relative to all energy, dB, with a Hann window.
fn beside_1_khz_db(signal: &[f32]) -> f64 {
    let transform = RealFftPlanner::<f64>::new().plan_fft_forward(signal.len());
    let mut windowed = transform.make_input_vec();
    for (n, (windowed, &x)) in windowed.iter_mut().zip(signal).enumerate() {
        *windowed = f64::from(x) * (0.5 - 0.5 * (TAU * (n as f64 + 0.5) / signal.len() as f64).cos());
    }
    let mut bins = transform.make_output_vec();
    transform
        .process(&mut windowed, &mut bins)
        .expect("lengths of the plan");
    let bin_hz = RATE_HZ / signal.len() as f64;
    let (mut beside, mut all) = (0.0, 0.0);
    for (bin, value) in bins.iter().enumerate() {
        all += value.norm_sqr();
        if !(500.0..2000.0).contains(&(bin as f64 * bin_hz)) {
            beside += value.norm_sqr();
        }
    }
    10.0 * (beside / all).log10()
}

/// A tone with a change of settings in the middle, at an odd sample; returns half a second before and after it, per channel.
fn stepped(before: LevellerSettings, after: LevellerSettings) -> (Vec<Vec<f32>>, Vec<HopReport>) {
    let input = stereo(&tone(1000.0, -10.0, 4.0), -0.7);
    let middle = input[0].len() / 2 + 333;
    let mut engine = engine(RATE_HZ, 2, Lookahead::Long, &with_leveller(before));
    let part = |from: usize, to: usize| {
        input
            .iter()
            .map(|channel| channel[from..to].to_vec())
            .collect::<Vec<_>>()
    };
    let first = run(&mut engine, &part(0, middle), &[512]);
    engine.set(&with_leveller(after));
    let second = run(&mut engine, &part(middle, input[0].len()), &[512]);
    let around = first
        .output
        .iter()
        .zip(&second.output)
        .map(|(first, second)| [&first[first.len() - 24_000..], &second[..24_000]].concat())
        .collect();
    (around, second.reports)
}

#[track_caller]
fn assert_no_click(before: LevellerSettings, after: LevellerSettings, most_db: f64) {
    let (around, reports) = stepped(before, after);
    let gain_db = |report: &HopReport| report.leveller_gain_db + report.leveller_makeup_db;
    let moved_db = gain_db(&reports[reports.len() - 1]) - gain_db(&reports[0]);
    assert!(moved_db.abs() > 3.0, "{moved_db} dB: nothing was changed");
    for (channel, around) in around.iter().enumerate() {
        let beside_db = beside_1_khz_db(around);
        println!("{moved_db:+.1} dB add {beside_db:.1} dB beside the tone in channel {channel}");
        assert!(
            beside_db < most_db,
            "{beside_db} dB in channel {channel}, moved by {moved_db} dB"
        );
    }
}

#[test]
fn a_switch_does_not_click() {
    let off = LevellerSettings::default();
    let loud = LevellerSettings {
        makeup_db: 20.0,
        ..on()
    };
    let auto = LevellerSettings {
        auto_makeup: true,
        ..on()
    };
    for (one, other) in [(off, on()), (off, loud), (on(), auto)] {
        assert_no_click(one, other, -80.0);
        assert_no_click(other, one, -80.0);
    }
}

#[test]
fn a_step_does_not_click() {
    // The fastest attack is shorter than a period of the tone: it follows the ripple of the detector.
    for (attack_ms, most_db) in [(4.0, -80.0), (0.1, -65.0)] {
        let on = LevellerSettings { attack_ms, ..on() };
        for (one, other) in [
            (
                LevellerSettings {
                    threshold_db: -60.0,
                    ..on
                },
                LevellerSettings {
                    threshold_db: 0.0,
                    ..on
                },
            ),
            (
                LevellerSettings { ratio: 1.0, ..on },
                LevellerSettings { ratio: 20.0, ..on },
            ),
            (
                on,
                LevellerSettings {
                    threshold_db: -10.0,
                    knee_db: 36.0,
                    ..on
                },
            ),
            (
                LevellerSettings {
                    makeup_db: -12.0,
                    ..on
                },
                LevellerSettings {
                    makeup_db: 20.0,
                    ..on
                },
            ),
        ] {
            assert_no_click(one, other, most_db);
            assert_no_click(other, one, most_db);
        }
    }
}

#[test]
fn changing_attack_and_release_does_not_affect_a_steady_tone() {
    let slow = LevellerSettings {
        attack_ms: 100.0,
        release_ms: 1000.0,
        ..on()
    };
    let (around, reports) = stepped(on(), slow);
    assert!(reports[0].leveller_gain_db < -5.0, "nothing was levelled");
    assert!(around.iter().all(|around| beside_1_khz_db(around) < -120.0));
}

/// A sung voice in both channels, with one level per second.
fn song(levels_db: &[f64]) -> Vec<Vec<f32>> {
    let notes = levels_db
        .iter()
        .flat_map(|&level_db| vowel(RATE_HZ as usize, 150.0, level_db, RATE_HZ));
    let mut noise = Noise::new(3);
    stereo(
        &notes
            .map(|x| (x + 1e-5 * noise.sample()) as f32)
            .collect::<Vec<_>>(),
        -0.7,
    )
}

/// The change of level over the last seconds, dB, and all reports.
fn change_db(input: &[Vec<f32>], leveller: LevellerSettings, last_s: usize) -> (Vec<f64>, Vec<HopReport>) {
    let mut engine = engine(RATE_HZ, 2, Lookahead::Long, &with_leveller(leveller));
    let latency = engine.latency_samples();
    let run = run(&mut engine, input, &[480]);
    let changes = input
        .iter()
        .zip(&run.output)
        .map(|(input, output)| {
            let (end, length) = (input.len(), last_s * RATE_HZ as usize);
            level_db(&output[end - length..]) - level_db(&input[end - length - latency..end - latency])
        })
        .collect();
    (changes, run.reports)
}

const HARD: LevellerSettings = LevellerSettings {
    on: true,
    threshold_db: -45.0,
    ratio: 10.0,
    knee_db: 30.0,
    attack_ms: 4.0,
    release_ms: 120.0,
    makeup_db: 0.0,
    auto_makeup: false,
};

#[test]
fn the_reported_gain_matches_the_output() {
    let leveller = LevellerSettings {
        makeup_db: 7.0,
        ..HARD
    };
    let (changes_db, reports) = change_db(&song(&[-20.0; 3]), leveller, 1);
    let last = reports.last().unwrap();
    assert!(
        last.leveller_gain_db < -15.0 && last.leveller_makeup_db == 7.0,
        "{last:?}"
    );
    for change_db in changes_db {
        let reported_db = f64::from(last.leveller_gain_db + last.leveller_makeup_db);
        assert!(
            (change_db - reported_db).abs() < 0.1,
            "{change_db} dB, reported {reported_db} dB"
        );
    }
}

#[test]
fn automatic_makeup_restores_the_level_and_manual_makeup_adds_to_it() {
    for level_db in [-40.0, -30.0, -20.0] {
        let input = song(&[level_db; 4]);
        let (levelled_db, _) = change_db(&input, HARD, 2);
        assert!(
            levelled_db[0] < -3.0,
            "nothing was levelled: {levelled_db:?} dB at {level_db} dB"
        );
        for manual_db in [0.0, -6.0] {
            let leveller = LevellerSettings {
                auto_makeup: true,
                makeup_db: manual_db,
                ..HARD
            };
            let (changes_db, reports) = change_db(&input, leveller, 2);
            for change_db in &changes_db {
                let off_db = change_db - f64::from(manual_db);
                assert!(off_db.abs() < 1.0, "{off_db} dB off at {level_db} dB");
            }
            // It has settled after half a second of voice, although the start level is far from some of these voices.
            let settled: Vec<f32> = reports[375..]
                .iter()
                .map(|report| report.leveller_makeup_db)
                .collect();
            let last_db = settled[settled.len() - 1];
            assert!(
                settled.iter().all(|db| (db - last_db).abs() < 1.0),
                "{} to {last_db} dB",
                settled[0]
            );
        }
    }
}

#[test]
fn automatic_makeup_neither_jumps_nor_undoes_the_with_leveller() {
    let loud_then_soft = song(&[-14.0, -14.0, -14.0, -14.0, -32.0, -32.0, -32.0, -32.0]);
    let auto = LevellerSettings {
        auto_makeup: true,
        ..HARD
    };
    let ([plain_db, auto_db], reports) = {
        let (plain, _) = change_db(&loud_then_soft, HARD, 2);
        let (auto, reports) = change_db(&loud_then_soft, auto, 2);
        ([plain[0], auto[0]], reports)
    };
    // The soft part is raised by the reduction of the loud one: 18 dB apart before, 2 dB after.
    let loud_db = reports[2900].leveller_makeup_db;
    assert!(loud_db > 20.0, "{loud_db} dB");
    assert!(
        (auto_db - plain_db - f64::from(loud_db)).abs() < 1.0,
        "{plain_db}, {auto_db} and {loud_db} dB"
    );
    let steps = reports[375..]
        .windows(2)
        .map(|pair| (pair[1].leveller_makeup_db - pair[0].leveller_makeup_db).abs());
    let fastest_db = steps.fold(0.0, f32::max) * 750.0;
    assert!(fastest_db < 6.0, "{fastest_db} dB a second");
}

#[test]
fn automatic_makeup_is_limited() {
    let auto = LevellerSettings {
        auto_makeup: true,
        threshold_db: -60.0,
        ..HARD
    };
    let (_, reports) = change_db(&song(&[-6.0; 3]), auto, 1);
    let last = reports.last().unwrap();
    assert!(
        last.leveller_gain_db < -35.0 && last.leveller_makeup_db <= 30.0,
        "{last:?}"
    );
}

//! The lookahead for mixing: what is decided from both sides of a sound.

mod signals;

use signals::{
    Noise, Score, VERSE, aligned, automated, engine, fricative, level_db, line, reductions_db, run, stereo,
    vowel,
};
use siskin_dsp::{Class, Lookahead, Settings};

const RATE_HZ: f64 = 48_000.0;

fn mixing(channels: usize, settings: &Settings) -> siskin_dsp::Engine {
    engine(RATE_HZ, channels, Lookahead::Mixing, settings)
}

fn samples(ms: f64) -> usize {
    (1e-3 * ms * RATE_HZ) as usize
}

/// Sounds one after another over a faint background, and where each begins and ends.
fn song(sounds: &[Vec<f64>]) -> (Vec<f32>, Vec<(usize, usize)>) {
    let mut noise = Noise::new(3);
    let (mut audio, mut places) = (Vec::new(), Vec::new());
    for sound in sounds {
        places.push((audio.len(), audio.len() + sound.len()));
        audio.extend(sound.iter().map(|x| (x + 3e-5 * noise.sample()) as f32));
    }
    (audio, places)
}

fn voice(ms: f64, level_db: f64) -> Vec<f64> {
    vowel(samples(ms), 160.0, level_db, RATE_HZ)
}

fn s(ms: f64, level_db: f64, seed: u64) -> Vec<f64> {
    fricative(samples(ms), 6839.0, level_db, RATE_HZ, &mut Noise::new(seed))
}

fn rest(ms: f64) -> Vec<f64> {
    vec![0.0; samples(ms)]
}

fn gain_db(input: &[f32], output: &[f32], (start, end): (usize, usize)) -> f64 {
    level_db(&output[start..end]) - level_db(&input[start..end])
}

fn played(input: &[f32], settings: &Settings) -> Vec<f32> {
    aligned(&mut mixing(1, settings), &[input.to_vec()]).swap_remove(0)
}

#[test]
fn it_is_300_ms_at_every_rate() {
    for (rate_hz, expected) in [
        (44_100.0, 13_230),
        (48_000.0, 14_400),
        (96_000.0, 28_800),
        (192_000.0, 57_600),
    ] {
        let engine = engine(rate_hz, 1, Lookahead::Mixing, &Settings::default());
        assert_eq!(engine.latency_samples(), expected);
    }
}

/// The s before any voice of a new section is held against that section, whatever came before the rest.
#[test]
fn the_first_sibilant_after_a_rest_and_a_jump_meets_the_new_section() {
    let mut settings = Settings::default();
    settings.sibilance.range_db = 24.0;
    let steady = {
        let (audio, places) = song(&[
            voice(1500.0, -24.0),
            rest(1200.0),
            s(120.0, -24.0, 5),
            voice(800.0, -24.0),
        ]);
        gain_db(&audio, &played(&audio, &settings), places[2])
    };
    assert!(steady < -4.0, "{steady} dB");
    for before_db in [-42.0, -36.0, -12.0, -6.0] {
        let (audio, places) = song(&[
            voice(1500.0, before_db),
            rest(1200.0),
            s(120.0, -24.0, 5),
            voice(800.0, -24.0),
        ]);
        let first = gain_db(&audio, &played(&audio, &settings), places[2]);
        assert!(
            (first - steady).abs() < 0.5,
            "{first} dB after {before_db} dB, {steady} dB without a jump"
        );
    }
}

#[test]
fn the_reduction_stands_at_the_onset_even_with_a_slow_attack() {
    for attack_ms in [0.5, 5.0, 10.0] {
        let mut settings = Settings::default();
        (settings.sibilance.reach, settings.sibilance.attack_ms) = (1.0, attack_ms);
        let line = line(
            Score {
                edge_ms: 0.2,
                words: 24,
                ..VERSE
            },
            RATE_HZ,
            6,
        );
        let output = played(&line.audio, &settings);
        let mean = |from: usize, to: usize| {
            let gains = line
                .fricatives
                .iter()
                .map(|&(start, _)| gain_db(&line.audio, &output, (start + from, start + to)));
            gains.sum::<f64>() / line.fricatives.len() as f64
        };
        let (onset, steady) = (mean(48, 96), mean(960, 5760));
        assert!(
            steady < -3.0 && onset <= 0.95 * steady,
            "{onset} dB of {steady} dB, attack {attack_ms} ms"
        );
    }
}

#[test]
fn a_burst_within_a_vowel_is_left_alone_and_one_after_a_closure_is_not() {
    let settings = Settings::default();
    let burst = |index: usize| {
        let mut vowel = voice(600.0, -24.0);
        let noise = s(3.0, -20.0, 8);
        let start = samples(300.0);
        vowel[start..start + noise.len()]
            .iter_mut()
            .zip(&noise)
            .for_each(|(x, noise)| *x = *noise);
        let (audio, places) = song(&[
            voice(1000.0, -24.0),
            vowel,
            rest(60.0),
            s(25.0, -18.0, 9),
            voice(600.0, -24.0),
        ]);
        let output = played(&audio, &settings);
        if index == 0 {
            let start = places[1].0 + start;
            gain_db(&audio, &output, (start, start + noise.len()))
        } else {
            gain_db(&audio, &output, places[3])
        }
    };
    assert!(burst(0).abs() < 0.1, "{} dB", burst(0));
    assert!(burst(1) < -2.0, "{} dB", burst(1));
}

/// Automation moves what it should at the same sample of the song as with a constant setting.
#[test]
fn settings_take_effect_at_their_sample_of_the_song() {
    let mut idle = Settings::default();
    idle.sibilance.on = false;
    let mut quieter = idle;
    quieter.output.gain_db = -20.0;
    let changed_at = 24_011;
    let mut audio = vec![vec![0.5f32; 72_000]];
    let mut engine = mixing(1, &idle);
    let latency = engine.latency_samples();
    audio = automated(&mut engine, &audio, &[(changed_at, quieter)], &[333]).0;
    let output = &audio[0][latency..];
    assert!(output[..changed_at].iter().all(|x| *x == 0.5), "too early");
    // A glide is through to 99 % within 40 ms.
    let arrived = output[changed_at + 1950];
    assert!((arrived - 0.05).abs() < 0.006, "{arrived}");
    assert!(output[changed_at + 960] < 0.2, "too late");
}

#[test]
fn listen_and_bypass_are_as_late_as_the_sound() {
    let line = line(VERSE, RATE_HZ, 2);
    let (on, mut bypassed) = (Settings::default(), Settings::default());
    bypassed.output.bypass = true;
    let changed_at = line.fricatives[4].0 - 4800;
    let input = [line.audio.clone(), vec![0.0; 14_400]].concat();
    let (output, _) = automated(
        &mut mixing(1, &on),
        std::slice::from_ref(&input),
        &[(changed_at, bypassed)],
        &[512],
    );
    let output = &output[0][14_400..];
    assert!(
        gain_db(&line.audio, output, line.fricatives[3]) < -3.0,
        "bypassed too early"
    );
    let (start, end) = line.fricatives[4];
    assert_eq!(output[start..end], line.audio[start..end], "bypassed too late");
}

#[test]
fn a_breath_is_held_from_its_first_millisecond_and_released_before_the_voice() {
    let mut settings = Settings::default();
    settings.breath.on = true;
    settings.breath.proportion_lu = -30.0;
    let breath = fricative(samples(300.0), 1650.0, -40.0, RATE_HZ, &mut Noise::new(4));
    let (audio, places) = song(&[voice(1500.0, -20.0), rest(300.0), breath, voice(500.0, -20.0)]);
    let output = played(&audio, &settings);
    let (start, end) = places[2];
    let (first, middle) = (
        gain_db(&audio, &output, (start, start + samples(5.0))),
        gain_db(&audio, &output, (start + samples(100.0), end - samples(50.0))),
    );
    assert!(middle < -6.0, "{middle} dB");
    assert!(
        (first - middle).abs() < 0.15 * middle.abs(),
        "{first} dB of {middle} dB"
    );
    let onset = gain_db(&audio, &output, (end, end + samples(5.0)));
    assert!(onset.abs() < 0.1, "{onset} dB of the voice");
}

#[test]
fn reports_are_about_what_is_heard() {
    let line = line(VERSE, RATE_HZ, 7);
    let input = [line.audio.clone(), vec![0.0; 14_400]].concat();
    let mut engine = mixing(1, &Settings::default());
    let run = run(&mut engine, &[input], &[480]);
    for pair in run.reports.windows(2) {
        assert_eq!(pair[1].centre_sample - pair[0].centre_sample, 64);
    }
    for &(start, end) in &line.fricatives {
        let inside = (start + 500) as i64..(end - 500) as i64;
        let reports: Vec<_> = run
            .reports
            .iter()
            .filter(|report| inside.contains(&report.centre_sample))
            .collect();
        assert!(reports.len() > 50);
        assert!(
            reports
                .iter()
                .all(|report| report.class == Class::Sibilant && report.sibilance_gain_db < -2.0)
        );
    }
    // When a report comes, the sound that it is about is a window away from the output.
    let (first, number) = (run.reports[0].centre_sample, 64);
    assert_eq!(first, number - 128 - (14_400 - 256));
}

#[test]
fn it_sounds_alike_at_every_rate_and_in_any_blocks() {
    let reduction_db = |rate_hz: f64| {
        let line = line(VERSE, rate_hz, 5);
        let output = aligned(
            &mut engine(rate_hz, 1, Lookahead::Mixing, &Settings::default()),
            std::slice::from_ref(&line.audio),
        );
        let reductions = reductions_db(&line, &output[0]);
        reductions.iter().sum::<f64>() / reductions.len() as f64
    };
    let reference_db = reduction_db(RATE_HZ);
    assert!(reference_db > 3.0);
    for rate_hz in [44_100.0, 88_200.0, 96_000.0, 192_000.0] {
        let other_db = reduction_db(rate_hz);
        assert!(
            (other_db - reference_db).abs() < 0.3,
            "{other_db} dB at {rate_hz} Hz, {reference_db} dB at 48 kHz"
        );
    }
    let mut settings = Settings::default();
    (settings.leveller.on, settings.breath.on) = (true, true);
    let mut other = settings;
    (
        other.sibilance.proportion_lu,
        other.sibilance.from_hz,
        other.output.gain_db,
    ) = (-12.0, 3000.0, -3.0);
    let input = stereo(&line(VERSE, RATE_HZ, 4).audio, 0.6);
    let changes = [(20_011, other), (61_001, settings)];
    let whole = automated(&mut mixing(2, &settings), &input, &changes, &[usize::MAX / 2]);
    for blocks in [&[1][..], &[7, 1000, 64], &[512]] {
        let cut = automated(&mut mixing(2, &settings), &input, &changes, blocks);
        assert!(cut.0 == whole.0 && cut.1 == whole.1, "blocks of {blocks:?}");
    }
    let mut engine = mixing(2, &settings);
    let first = run(&mut engine, &input, &[512]);
    engine.reset();
    let again = run(&mut engine, &input, &[512]);
    assert!(first.output == again.output && first.reports == again.reports);
}

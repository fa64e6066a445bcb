//! The voice level is moved by the voice alone: not by what decays or echoes after a word, and not by sibilants; and bright
//! vowels are not sibilants.

mod signals;

use signals::{Noise, engine, fricative, run, vowel};
use siskin_dsp::{Class, HopReport, Lookahead, Settings};
use std::f64::consts::TAU;

const RATE_HZ: f64 = 48_000.0;
const PITCH_HZ: f64 = 180.0;
const VOICE_DB: f64 = -20.0;
/// The most that the level may fall in a pause, LU.
const MOST_FALL_LU: f32 = 3.0;

fn samples(length_ms: f64) -> usize {
    (length_ms * 1e-3 * RATE_HZ) as usize
}

fn gain(db: f64) -> f64 {
    10f64.powf(db / 20.0)
}

/// Reports on a mono sound over the noise of a quiet room.
fn listen_with(audio: &[f64], settings: &Settings) -> Vec<HopReport> {
    let mut noise = Noise::new(3);
    let audio = audio.iter().map(|x| (x + 1e-5 * noise.sample()) as f32).collect();
    run(
        &mut engine(RATE_HZ, 1, Lookahead::Long, settings),
        &[audio],
        &[512],
    )
    .reports
}

fn listen(audio: &[f64]) -> Vec<HopReport> {
    listen_with(audio, &Settings::default())
}

fn between(reports: &[HopReport], from_ms: f64, to_ms: f64) -> impl Iterator<Item = &HopReport> {
    let range = samples(from_ms) as i64..samples(to_ms) as i64;
    reports
        .iter()
        .filter(move |report| range.contains(&report.centre_sample))
}

/// The fall of the voice level after a time, LU.
fn fall_lu(reports: &[HopReport], ms: f64) -> f32 {
    let before = between(reports, ms - 10.0, ms)
        .next()
        .expect("a report")
        .voice_lufs;
    let lowest = between(reports, ms, f64::INFINITY).map(|report| report.voice_lufs);
    before - lowest.fold(f32::INFINITY, f32::min)
}

fn sung(length_ms: f64, level_db: f64) -> Vec<f64> {
    vowel(samples(length_ms), PITCH_HZ, level_db, RATE_HZ)
}

fn rest(length_ms: f64) -> Vec<f64> {
    vec![0.0; samples(length_ms)]
}

/// Vowels of 250 ms that swell and fade, with short gaps, then a rest; and when the last one ends, ms.
fn words(count: usize) -> (Vec<f64>, f64) {
    let mut audio = Vec::new();
    for _ in 0..count {
        let length = samples(250.0);
        let shape = |n: usize| (std::f64::consts::PI * n as f64 / length as f64).sin().sqrt();
        let sound = sung(250.0, VOICE_DB);
        audio.extend(sound.iter().enumerate().map(|(n, x)| shape(n) * x));
        audio.extend(rest(60.0));
    }
    let end_ms = 1e3 * audio.len() as f64 / RATE_HZ - 60.0;
    audio.extend(rest(1500.0));
    (audio, end_ms)
}

#[test]
fn a_short_softer_vowel_before_a_rest_does_not_lower_the_voice_level() {
    for softer_db in [13.0, 16.0, 20.0] {
        for length_ms in [100.0, 110.0, 125.0, 140.0] {
            let audio = [
                sung(2500.0, VOICE_DB),
                sung(length_ms, VOICE_DB - softer_db),
                rest(800.0),
            ]
            .concat();
            let fall = fall_lu(&listen(&audio), 2490.0);
            assert!(
                fall < MOST_FALL_LU,
                "it falls by {fall} LU for {length_ms} ms at -{softer_db} dB"
            );
        }
    }
}

/// Reverberation by some thousand echoes a second of random signs: `level_db` is its energy relative to the sound's.
fn reverberated(audio: &[f64], rt60_s: f64, level_db: f64) -> Vec<f64> {
    let mut noise = Noise::new(11);
    let echoes: Vec<(usize, f64)> = (0..(800.0 * rt60_s) as usize)
        .map(|n| {
            let at_s = (n as f64 + 0.5 + 0.5 * noise.sample()) / 800.0;
            (
                samples(1e3 * at_s) + 480,
                noise.sample().signum() * gain(-60.0 * at_s / rt60_s),
            )
        })
        .collect();
    let energy: f64 = echoes.iter().map(|(_, echo)| echo * echo).sum();
    let wet = gain(level_db) / energy.sqrt();
    let mut out = audio.to_vec();
    for (late, echo) in echoes {
        let echo = wet * echo;
        out.iter_mut()
            .skip(late)
            .zip(audio)
            .for_each(|(out, dry)| *out += echo * dry);
    }
    out
}

#[test]
fn reverberation_does_not_lower_the_voice_level() {
    let (dry, end_ms) = words(5);
    for (rt60_s, level_db) in [
        (0.3, -6.0),
        (0.6, -6.0),
        (0.6, -12.0),
        (1.2, -12.0),
        (2.5, -12.0),
        (1.2, -20.0),
        (2.5, -20.0),
    ] {
        let fall = fall_lu(&listen(&reverberated(&dry, rt60_s, level_db)), end_ms - 20.0);
        assert!(
            fall < MOST_FALL_LU,
            "it falls by {fall} LU after {rt60_s} s at {level_db} dB"
        );
    }
}

#[test]
fn an_echo_does_not_lower_the_voice_level() {
    let (dry, end_ms) = words(5);
    for late_ms in [60.0, 120.0, 200.0, 300.0, 400.0] {
        for softer_db in [12.0, 14.0, 18.0] {
            let mut audio = dry.clone();
            let echo = gain(-softer_db);
            audio
                .iter_mut()
                .skip(samples(late_ms))
                .zip(&dry)
                .for_each(|(out, dry)| *out += echo * dry);
            let fall = fall_lu(&listen(&audio), end_ms - 20.0);
            assert!(
                fall < MOST_FALL_LU,
                "it falls by {fall} LU with an echo of -{softer_db} dB after {late_ms} ms"
            );
        }
    }
}

#[test]
fn a_fade_out_is_followed() {
    let (line, _) = words(16);
    let length = samples(16.0 * 310.0);
    let faded: Vec<f64> = line[..length]
        .iter()
        .enumerate()
        .map(|(n, x)| gain(-24.0 * n as f64 / length as f64) * x)
        .collect();
    let reports = listen(&faded);
    let first = between(&reports, 300.0, 310.0)
        .next()
        .expect("a report")
        .voice_lufs;
    for second in [2.0, 3.0, 4.0, 4.9] {
        let now = between(&reports, 1e3 * second - 5.0, 1e3 * second + 5.0)
            .next()
            .expect("a report");
        let faded_lu = first - now.voice_lufs;
        let expected_lu = (24.0 * (second - 0.2) / (length as f64 / RATE_HZ)) as f32;
        assert!(
            (faded_lu - expected_lu).abs() < 4.0,
            "{faded_lu} LU after {second} s, not {expected_lu}"
        );
    }
}

#[test]
fn sibilants_do_not_move_the_voice_level() {
    let line = |sibilants_db: f64| {
        let mut noise = Noise::new(7);
        let mut audio = Vec::new();
        for word in 0..12 {
            audio.extend(sung(160.0, VOICE_DB));
            let peak_hz = if word % 2 == 0 { 6839.0 } else { 5200.0 };
            let mut hiss = fricative(samples(70.0), peak_hz, VOICE_DB - 6.0, RATE_HZ, &mut noise);
            if word % 3 == 0 {
                // A z: the voice hums on.
                let hum = |n: usize| (TAU * PITCH_HZ * n as f64 / RATE_HZ).sin() * gain(VOICE_DB - 12.0);
                hiss.iter_mut().enumerate().for_each(|(n, x)| *x += hum(n));
            }
            audio.extend(hiss.iter().map(|x| gain(sibilants_db) * x));
        }
        listen(&audio)
    };
    let (loud, soft) = (line(0.0), line(-15.0));
    let moved = loud
        .iter()
        .zip(&soft)
        .filter(|(report, _)| report.centre_sample > 24_000);
    let moved = moved.map(|(loud, soft)| loud.voice_lufs - soft.voice_lufs);
    let most = moved.fold(0.0, |most: f32, lu| most.max(lu.abs()));
    assert!(most < 0.5, "the voice level moves by {most} LU");
}

/// A vowel with harmonics up to 14 kHz that lose 5 dB an octave; it rises and falls within 12 ms.
fn bright_vowel(length_ms: f64, pitch_hz: f64) -> Vec<f64> {
    let harmonics = (14_000.0 / pitch_hz) as i32;
    let length = samples(length_ms);
    let edge = samples(12.0);
    let sound = (0..length).map(|n| {
        let turns = pitch_hz * n as f64 / RATE_HZ;
        let harmonic = |k: i32| f64::from(k).powf(-0.83) * (TAU * f64::from(k) * turns).cos();
        let swell = (n.min(length - 1 - n) as f64 / edge as f64).min(1.0);
        0.05 * swell * (1..=harmonics).map(harmonic).sum::<f64>()
    });
    sound.collect()
}

#[test]
fn bright_vowels_are_not_sibilants_and_sibilants_between_them_are() {
    let mut noise = Noise::new(13);
    let (mut audio, mut vowels, mut sibilants) = (Vec::new(), Vec::new(), Vec::new());
    for pitch_hz in [110.0, 170.0, 260.0, 390.0, 560.0].repeat(3) {
        let mut add = |sound: Vec<f64>, spans: &mut Vec<(usize, usize)>| {
            spans.push((audio.len(), audio.len() + sound.len()));
            audio.extend(sound);
        };
        add(bright_vowel(300.0, pitch_hz), &mut vowels);
        add(
            fricative(samples(110.0), 7000.0, -26.0, RATE_HZ, &mut noise),
            &mut sibilants,
        );
        add(bright_vowel(220.0, 1.1 * pitch_hz), &mut vowels);
        audio.extend(rest(200.0));
    }
    let reports = listen(&audio);
    let share = |spans: &[(usize, usize)]| {
        let inside = |report: &&HopReport| {
            let at = report.centre_sample;
            spans
                .iter()
                .any(|&(from, to)| at >= from as i64 + 480 && at + 480 < to as i64)
        };
        let hops: Vec<_> = reports.iter().filter(inside).collect();
        let hit = hops
            .iter()
            .filter(|report| report.class == Class::Sibilant)
            .count();
        hit as f64 / hops.len() as f64
    };
    assert!(share(&vowels) < 0.01, "{} of the vowels", share(&vowels));
    assert!(share(&sibilants) > 0.95, "{} of the sibilants", share(&sibilants));
}

//! Detector accuracy on synthetic signals: the class is independent of level and phase, and the voice level is held through
//! everything that is not voice and found again soon.

mod signals;

use signals::{Noise, Run, engine, fricative, run, vowel};
use siskin_dsp::{Class, HopReport, Lookahead, Settings};

const RATE_HZ: f64 = 48_000.0;
const PITCH_HZ: f64 = 150.0;
const VOICE_DB: f64 = -24.0;

/// A track, built sound by sound over background noise.
struct Track {
    audio: Vec<f64>,
    noise: Noise,
}

impl Track {
    fn new() -> Self {
        Self {
            audio: Vec::new(),
            noise: Noise::new(5),
        }
    }

    fn samples(length_ms: f64) -> usize {
        (length_ms * 1e-3 * RATE_HZ) as usize
    }

    fn sing(mut self, length_ms: f64, level_db: f64) -> Self {
        let sound = vowel(Self::samples(length_ms), PITCH_HZ, level_db, RATE_HZ);
        self.audio.extend(sound);
        self
    }

    /// s peaks at 6839 Hz (Jongman, Wayland & Wong 2000), a breath near 1650 Hz (Nakano et al. 2008).
    fn hiss(mut self, peak_hz: f64, length_ms: f64, level_db: f64) -> Self {
        let sound = fricative(
            Self::samples(length_ms),
            peak_hz,
            level_db,
            RATE_HZ,
            &mut self.noise,
        );
        self.audio.extend(sound);
        self
    }

    fn rest(mut self, length_ms: f64) -> Self {
        let length = self.audio.len() + Self::samples(length_ms);
        self.audio.resize(length, 0.0);
        self
    }

    /// Adds white noise 60 dB below the voice and, if wanted, hum 40 dB below it: 50 Hz and nine harmonics.
    fn with_background(mut self, hum: bool) -> Vec<f32> {
        let hiss = 10f64.powf((VOICE_DB - 60.0) / 20.0) * 3f64.sqrt();
        let hum_gain = if hum {
            10f64.powf((VOICE_DB - 40.0) / 20.0)
        } else {
            0.0
        };
        let mains = |n: usize| -> f64 {
            let turns = 50.0 * n as f64 / RATE_HZ;
            let harmonic = |h: f64| (std::f64::consts::TAU * h * turns + h).sin() / h;
            (1..=10).map(|h| harmonic(f64::from(h))).sum()
        };
        let noise = &mut self.noise;
        let mixed =
            |(n, sample): (usize, &f64)| (sample + hiss * noise.sample() + hum_gain * mains(n)) as f32;
        self.audio.iter().enumerate().map(mixed).collect()
    }
}

/// Runs the engine in stereo with a softer right channel.
fn run_stereo(audio: &[f32], settings: &Settings) -> Run {
    let right = audio.iter().map(|sample| 0.7 * sample).collect();
    run(
        &mut engine(RATE_HZ, 2, Lookahead::Long, settings),
        &[audio.to_vec(), right],
        &[512],
    )
}

fn at(reports: &[HopReport], ms: f64) -> HopReport {
    let sample = (ms * 1e-3 * RATE_HZ) as i64;
    let after = reports.iter().find(|report| report.centre_sample >= sample);
    *after.expect("a report at that time")
}

fn voice_lufs(reports: &[HopReport], ms: f64) -> f32 {
    at(reports, ms).voice_lufs
}

#[test]
fn the_voice_level_is_held_through_sibilants_breaths_and_rests() {
    for hum in [false, true] {
        let audio = Track::new()
            .sing(1500.0, VOICE_DB)
            .hiss(6839.0, 400.0, VOICE_DB)
            .rest(300.0)
            .hiss(1650.0, 800.0, VOICE_DB - 18.0)
            .rest(8000.0)
            .sing(500.0, VOICE_DB)
            .with_background(hum);
        let reports = run_stereo(&audio, &Settings::default()).reports;
        let before = voice_lufs(&reports, 1450.0);
        for ms in (1550..10_990).step_by(40) {
            let now = voice_lufs(&reports, f64::from(ms));
            assert!(
                (now - before).abs() < 0.15,
                "hum {hum}: {now} LUFS at {ms} ms, {before} before"
            );
        }
        assert_eq!(at(&reports, 1700.0).class, Class::Sibilant);
        assert_eq!(at(&reports, 2600.0).class, Class::Breath);
    }
}

#[test]
fn sibilants_bias_the_voice_level_by_less_than_half_a_lu() {
    let sung = |sibilant: bool| {
        let word = |track: Track| {
            let track = track.sing(300.0, VOICE_DB);
            if sibilant {
                track.hiss(6839.0, 100.0, VOICE_DB)
            } else {
                track
            }
        };
        (0..20)
            .fold(Track::new(), |track, _| word(track))
            .with_background(false)
    };
    let mean_lufs = |audio: &[f32]| {
        let reports = run_stereo(audio, &Settings::default()).reports;
        let voiced: Vec<f32> = reports
            .iter()
            .filter(|report| report.class == Class::Voice && report.centre_sample > 24_000)
            .map(|report| report.voice_lufs)
            .collect();
        assert!(voiced.len() > 2000, "too few voiced hops");
        voiced.iter().sum::<f32>() / voiced.len() as f32
    };
    let bias_lu = mean_lufs(&sung(true)) - mean_lufs(&sung(false));
    assert!(bias_lu.abs() < 0.5, "{bias_lu} LU");
}

#[test]
fn the_level_settles_within_300_ms_of_voice_after_start_and_seek() {
    let audio = Track::new()
        .rest(200.0)
        .sing(1000.0, VOICE_DB)
        .with_background(false);
    let settled = voice_lufs(&run_stereo(&audio, &Settings::default()).reports, 1150.0);
    for start_lufs in [-50.0, -24.0, -6.0] {
        let mut settings = Settings::default();
        settings.follow.start_lufs = start_lufs;
        let mut engine = engine(RATE_HZ, 1, Lookahead::Long, &settings);
        run(
            &mut engine,
            &[Track::new().sing(800.0, VOICE_DB - 18.0).with_background(false)],
            &[512],
        );
        engine.reset();
        let reports = run(&mut engine, std::slice::from_ref(&audio), &[512]).reports;
        assert_eq!(voice_lufs(&reports, 100.0), start_lufs, "before any voice");
        // One channel in place of two, of which the other is 3.1 dB softer: 1.7 LU less.
        let off = voice_lufs(&reports, 500.0) - (settled - 10.0 * 1.49f32.log10());
        assert!(off.abs() < 0.5, "from {start_lufs} LUFS: off by {off} LU");
    }
}

#[test]
fn the_level_settles_within_300_ms_of_voice_after_a_change_of_18_db() {
    for change_db in [18.0, -18.0] {
        for rest_ms in [0.0, 900.0] {
            let audio = Track::new()
                .sing(2000.0, VOICE_DB)
                .rest(rest_ms)
                .sing(1500.0, VOICE_DB + change_db)
                .with_background(false);
            let reports = run_stereo(&audio, &Settings::default()).reports;
            let settled = voice_lufs(&reports, 3400.0 + rest_ms);
            let off = voice_lufs(&reports, 2300.0 + rest_ms) - settled;
            assert!(
                off.abs() < 0.5,
                "{change_db} dB, rest of {rest_ms} ms: off by {off} LU"
            );
            let moved = settled - voice_lufs(&reports, 1900.0);
            assert!(
                (f64::from(moved) - change_db).abs() < 1.0,
                "it moved by {moved} LU"
            );
        }
    }
}

/// A line with words, sibilants, breaths and rests.
fn line() -> Vec<f32> {
    let word = |track: Track| track.sing(260.0, VOICE_DB).hiss(6839.0, 130.0, VOICE_DB - 3.0);
    let phrase = |track: Track| {
        word(word(track))
            .rest(250.0)
            .hiss(1650.0, 300.0, VOICE_DB - 15.0)
            .rest(150.0)
    };
    (0..4)
        .fold(Track::new(), |track, _| phrase(track))
        .with_background(false)
}

fn shares(reports: &[HopReport]) -> [f64; 3] {
    [Class::Voice, Class::Sibilant, Class::Breath].map(|class| {
        let hops = reports.iter().filter(|report| report.class == class).count();
        hops as f64 / reports.len() as f64
    })
}

#[test]
fn the_class_does_not_depend_on_level() {
    let line = line();
    let classes = |gain_db: f32| -> Vec<Class> {
        let gain = 10f32.powf(gain_db / 20.0);
        let audio: Vec<f32> = line.iter().map(|sample| gain * sample).collect();
        let reports = run_stereo(&audio, &Settings::default()).reports;
        reports.iter().map(|report| report.class).collect()
    };
    let plain = classes(0.0);
    for gain_db in [-18.0, 12.0] {
        let differ = classes(gain_db)
            .iter()
            .zip(&plain)
            .filter(|(a, b)| a != b)
            .count();
        // Rounding may change the class where a feature lies on a threshold.
        assert!(
            differ * 1000 <= plain.len(),
            "{differ} of {} hops at {gain_db} dB",
            plain.len()
        );
    }
}

#[test]
fn a_voice_out_of_phase_between_channels_is_detected() {
    let line = line();
    let reports = |right: f32| {
        let right = line.iter().map(|sample| right * sample).collect();
        let mut engine = engine(RATE_HZ, 2, Lookahead::Long, &Settings::default());
        run(&mut engine, &[line.clone(), right], &[512]).reports
    };
    let (in_phase, out_of_phase) = (reports(1.0), reports(-1.0));
    let [voice, sibilant, breath] = shares(&in_phase);
    assert!(
        voice > 0.3 && sibilant > 0.15 && breath > 0.15,
        "{:?}",
        shares(&in_phase)
    );
    for (a, b) in shares(&in_phase).into_iter().zip(shares(&out_of_phase)) {
        assert!((a - b).abs() < 0.02, "{a} in phase, {b} out of phase");
    }
    let off = voice_lufs(&out_of_phase, 1500.0) - voice_lufs(&in_phase, 1500.0);
    assert!(off.abs() < 0.2, "{off} LU");
}

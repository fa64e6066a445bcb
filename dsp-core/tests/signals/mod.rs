//! Test signals (seeded, at any sample rate) and runs of the engine.

#![allow(dead_code, missing_docs)]

use siskin_dsp::{Channels, Engine, EngineConfig, HopReport, Lookahead, Settings};
use std::f64::consts::{PI, TAU};

/// Peterson & Barney 1952, men, /ah/: formants in hertz (from memory).
const FORMANTS_HZ: [f64; 3] = [730.0, 1090.0, 2440.0];
const BANDWIDTHS_HZ: [f64; 3] = [90.0, 110.0, 150.0];

/// White noise in -1 ... 1 from a seed.
pub struct Noise(u64);

impl Noise {
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1)
    }

    pub fn sample(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    }
}

/// A sung vowel of RMS `level_db` (dBFS, full-scale square 0).
pub fn vowel(samples: usize, pitch_hz: f64, level_db: f64, rate_hz: f64) -> Vec<f64> {
    let resonance = |f: f64| -> f64 {
        FORMANTS_HZ
            .iter()
            .zip(BANDWIDTHS_HZ)
            .map(|(&centre, width)| {
                let (s, p) = (f * f, centre * centre + width * width / 4.0);
                p / ((p - s).powi(2) + s * width * width).sqrt()
            })
            .product::<f64>()
            / (1.0 + (f / 300.0).powi(2)).sqrt()
    };
    let harmonics: Vec<(f64, f64)> = (1..)
        .map(|k| k as f64 * pitch_hz)
        .take_while(|&f| f < 5000.0)
        .map(|f| (f, resonance(f)))
        .collect();
    let raw = (0..samples)
        .map(|n| {
            let t = n as f64 / rate_hz;
            harmonics
                .iter()
                .map(|&(f, a)| a * (TAU * f * t).sin())
                .sum::<f64>()
        })
        .collect();
    scaled(raw, level_db)
}

/// Fricative noise: two resonances at `peak_hz`, RMS `level_db`.
pub fn fricative(samples: usize, peak_hz: f64, level_db: f64, rate_hz: f64, noise: &mut Noise) -> Vec<f64> {
    let mut bands = [
        BandPass::new(peak_hz, 1.6, rate_hz),
        BandPass::new(peak_hz, 1.6, rate_hz),
    ];
    let raw = (0..samples + 2000)
        .map(|_| bands.iter_mut().fold(noise.sample(), |x, band| band.process(x)))
        .skip(2000)
        .collect();
    scaled(raw, level_db)
}

fn scaled(signal: Vec<f64>, level_db: f64) -> Vec<f64> {
    let rms = (signal.iter().map(|x| x * x).sum::<f64>() / signal.len() as f64).sqrt();
    let gain = 10f64.powf(level_db / 20.0) / rms;
    signal.into_iter().map(|x| x * gain).collect()
}

/// Constant-peak band-pass of the Audio EQ Cookbook (W3C Note 2021).
struct BandPass {
    b0: f64,
    a: [f64; 2],
    x: [f64; 2],
    y: [f64; 2],
}

impl BandPass {
    fn new(centre_hz: f64, q: f64, rate_hz: f64) -> Self {
        let w = 2.0 * PI * centre_hz / rate_hz;
        let alpha = w.sin() / (2.0 * q);
        let a0 = 1.0 + alpha;
        Self {
            b0: alpha / a0,
            a: [-2.0 * w.cos() / a0, (1.0 - alpha) / a0],
            x: [0.0; 2],
            y: [0.0; 2],
        }
    }

    fn process(&mut self, x: f64) -> f64 {
        let y = self.b0 * (x - self.x[1]) - self.a[0] * self.y[0] - self.a[1] * self.y[1];
        self.x = [x, self.x[0]];
        self.y = [y, self.y[0]];
        y
    }
}

/// A line of alternating vowels and fricatives, with the start and end of each fricative in samples.
pub struct Line {
    pub audio: Vec<f32>,
    pub fricatives: Vec<(usize, usize)>,
    pub rate_hz: f64,
}

/// The description of a line.
#[derive(Clone, Copy)]
pub struct Score {
    pub pitch_hz: f64,
    pub vowel_db: f64,
    pub fricative_db: f64,
    pub peak_hz: f64,
    pub words: usize,
    /// Fade-in and fade-out of each sound.
    pub edge_ms: f64,
}

/// The line of most tests.
pub const VERSE: Score = Score {
    pitch_hz: 160.0,
    vowel_db: -24.0,
    fricative_db: -26.0,
    peak_hz: 6839.0,
    words: 8,
    edge_ms: 4.0,
};

/// Two channels of one signal; `right` is the gain of the second.
pub fn stereo(signal: &[f32], right: f32) -> Vec<Vec<f32>> {
    vec![signal.to_vec(), signal.iter().map(|x| right * x).collect()]
}

/// Vowels of 250 ms, fricatives of 140 ms, over background noise at -85 dBFS.
pub fn line(score: Score, rate_hz: f64, seed: u64) -> Line {
    let samples = |ms: f64| (ms * 1e-3 * rate_hz) as usize;
    let mut noise = Noise::new(seed);
    let (mut audio, mut fricatives) = (Vec::new(), Vec::new());
    let edge = samples(score.edge_ms);
    let edged = |mut sound: Vec<f64>| {
        let length = sound.len();
        for n in 0..edge {
            let share = n as f64 / edge as f64;
            sound[n] *= share;
            sound[length - 1 - n] *= share;
        }
        sound
    };
    for _ in 0..score.words {
        audio.extend(edged(vowel(
            samples(250.0),
            score.pitch_hz,
            score.vowel_db,
            rate_hz,
        )));
        let start = audio.len();
        audio.extend(edged(fricative(
            samples(140.0),
            score.peak_hz,
            score.fricative_db,
            rate_hz,
            &mut noise,
        )));
        fricatives.push((start, audio.len()));
    }
    audio.extend(edged(vowel(
        samples(250.0),
        score.pitch_hz,
        score.vowel_db,
        rate_hz,
    )));
    let audio = audio
        .into_iter()
        .map(|x| (x + 1e-4 * noise.sample()) as f32)
        .collect();
    Line {
        audio,
        fricatives,
        rate_hz,
    }
}

/// The result of a run.
pub struct Run {
    pub output: Vec<Vec<f32>>,
    pub reports: Vec<HopReport>,
    pub latency_samples: usize,
}

pub fn engine(rate_hz: f64, channels: usize, lookahead: Lookahead, settings: &Settings) -> Engine {
    linked_engine(rate_hz, (channels, Channels::Linked), lookahead, settings)
}

/// An engine for channels that are linked or apart.
pub fn linked_engine(
    rate_hz: f64,
    (channels, link): (usize, Channels),
    lookahead: Lookahead,
    settings: &Settings,
) -> Engine {
    let config = EngineConfig {
        sample_rate_hz: rate_hz,
        channels,
        link,
        reference_channels: 0,
        lookahead,
    };
    Engine::new(config, settings)
}

/// Processes `input` (one vector per channel) in blocks whose lengths cycle through `blocks`.
pub fn run(engine: &mut Engine, input: &[Vec<f32>], blocks: &[usize]) -> Run {
    let (output, reports) = automated(engine, input, &[], blocks);
    Run {
        output,
        reports,
        latency_samples: engine.latency_samples(),
    }
}

/// New settings at a sample.
pub type Change = (usize, Settings);

/// Processes `input` with `changes` in order of their samples; blocks end at each change.
pub fn automated(
    engine: &mut Engine,
    input: &[Vec<f32>],
    changes: &[Change],
    blocks: &[usize],
) -> (Vec<Vec<f32>>, Vec<HopReport>) {
    let (mut output, mut reports) = (input.to_vec(), Vec::new());
    let (mut start, mut next, mut lengths) = (0, 0, blocks.iter().cycle());
    while start < input[0].len() {
        while next < changes.len() && changes[next].0 <= start {
            engine.set(&changes[next].1);
            next += 1;
        }
        let due = changes.get(next).map_or(usize::MAX, |change| change.0);
        let end = input[0]
            .len()
            .min(start + lengths.next().expect("block lengths"))
            .min(due);
        let mut views: Vec<&mut [f32]> = output
            .iter_mut()
            .map(|channel| &mut channel[start..end])
            .collect();
        engine.process(&mut views, &[], &mut |report| reports.push(*report));
        start = end;
    }
    (output, reports)
}

/// The output of a run with blocks of 512 samples, with the latency removed.
pub fn aligned(engine: &mut Engine, input: &[Vec<f32>]) -> Vec<Vec<f32>> {
    let latency = engine.latency_samples();
    let padded: Vec<Vec<f32>> = input
        .iter()
        .map(|channel| {
            channel
                .iter()
                .copied()
                .chain(std::iter::repeat_n(0.0, latency))
                .collect()
        })
        .collect();
    let run = run(engine, &padded, &[512]);
    run.output
        .into_iter()
        .map(|channel| channel[latency..].to_vec())
        .collect()
}

/// Mean square in dB.
pub fn level_db(signal: &[f32]) -> f64 {
    10.0 * (signal.iter().map(|&x| f64::from(x).powi(2)).sum::<f64>() / signal.len() as f64 + 1e-30).log10()
}

/// Level of the difference relative to the level of `reference`, dB.
pub fn residual_db(reference: &[f32], other: &[f32]) -> f64 {
    let difference: Vec<f32> = reference.iter().zip(other).map(|(a, b)| a - b).collect();
    level_db(&difference) - level_db(reference)
}

/// The reduction of each fricative, dB, without the first (the voice is not known yet).
pub fn reductions_db(line: &Line, output: &[f32]) -> Vec<f64> {
    line.fricatives
        .iter()
        .skip(1)
        .map(|&(start, end)| level_db(&line.audio[start..end]) - level_db(&output[start..end]))
        .collect()
}

//! Times the whole engine with `criterion`: `cargo bench -p siskin-dsp`, or with a filter, as in `-- "48 kHz stereo"`. Only
//! ratios within one run are meaningful; `cargo xtask bench` measures the published figures.

#[path = "../tests/signals/mod.rs"]
mod signals;

use std::hint::black_box;

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use siskin_dsp::{Channels, Engine, EngineConfig, Lookahead, Settings};

use signals::{Noise, fricative, vowel};

/// Seconds of every sound.
const SECONDS: f64 = 1.0;
const MAIN_RATE_HZ: f64 = 48_000.0;
const RATES_HZ: [f64; 4] = [44_100.0, MAIN_RATE_HZ, 96_000.0, 192_000.0];
const BLOCKS: [usize; 5] = [32, 64, 128, 512, 2048];
const MAIN_BLOCK: usize = 512;

/// The default settings, and settings with every stage on.
fn settings() -> [(&'static str, Settings); 2] {
    [("as new", Settings::default()), ("all on", Settings::all_on())]
}

fn engine(rate_hz: f64, channels: usize, settings: &Settings) -> Engine {
    let config = EngineConfig {
        sample_rate_hz: rate_hz,
        channels,
        link: Channels::Linked,
        reference_channels: 0,
        lookahead: Lookahead::Long,
    };
    Engine::new(config, settings)
}

/// Test signals by name: background noise, a vowel, an s, and all of them in turn.
fn sounds(rate_hz: f64) -> [(&'static str, Vec<f32>); 4] {
    let length = (SECONDS * rate_hz) as usize;
    let mut noise = Noise::new(1);
    let quiet: Vec<f64> = (0..length).map(|_| 1e-4 * noise.sample()).collect();
    let voiced = vowel(length, 180.0, -20.0, rate_hz);
    let sibilant = fricative(length, 6800.0, -22.0, rate_hz, &mut noise);
    let turn = (0.15 * rate_hz) as usize;
    let mixed = (0..length).map(|n| [&voiced, &sibilant, &voiced, &quiet][n / turn % 4][n]);
    let mixed: Vec<f64> = mixed.collect();
    [
        ("quiet", quiet),
        ("voiced", voiced),
        ("sibilant", sibilant),
        ("mixed", mixed),
    ]
    .map(|(name, sound)| (name, sound.into_iter().map(|sample| sample as f32).collect()))
}

/// Processes the whole signal once, in blocks; the second channel is softer.
fn play(engine: &mut Engine, channels: usize, sound: &[f32], block: usize) {
    let mut work = [vec![0f32; block], vec![0f32; block]];
    for input in sound.chunks_exact(block) {
        let [left, right] = &mut work;
        left.copy_from_slice(input);
        right
            .iter_mut()
            .zip(input)
            .for_each(|(right, input)| *right = 0.6 * input);
        let mut views = [left.as_mut_slice(), right.as_mut_slice()];
        engine.process(&mut views[..channels], &[], &mut |report| {
            black_box(report);
        });
        black_box(&work);
    }
}

fn channels_name(channels: usize) -> &'static str {
    if channels == 1 { "mono" } else { "stereo" }
}

/// What is varied, and its value.
struct Case<'a> {
    group: &'a str,
    name: &'a str,
    rate_hz: f64,
    block: usize,
}

/// Times both settings, mono and stereo, with one signal.
fn whole(criterion: &mut Criterion, case: &Case, sound: &[f32]) {
    let Case {
        name, rate_hz, block, ..
    } = *case;
    let mut group = criterion.benchmark_group(case.group);
    group.throughput(Throughput::Elements((sound.len() / block * block) as u64));
    for (setting, settings) in settings() {
        for channels in [1, 2] {
            let mut engine = engine(rate_hz, channels, &settings);
            let name = format!("{name} {}, {setting}", channels_name(channels));
            group.bench_function(BenchmarkId::from_parameter(name), |bencher| {
                bencher.iter(|| play(&mut engine, channels, sound, block));
            });
        }
    }
    group.finish();
}

fn rates(criterion: &mut Criterion) {
    for rate_hz in RATES_HZ {
        let [.., (_, mixed)] = sounds(rate_hz);
        let case = Case {
            group: "rate",
            name: &format!("{} kHz", rate_hz / 1e3),
            rate_hz,
            block: MAIN_BLOCK,
        };
        whole(criterion, &case, &mixed);
    }
}

fn blocks(criterion: &mut Criterion) {
    let [.., (_, mixed)] = sounds(MAIN_RATE_HZ);
    for block in BLOCKS {
        let case = Case {
            group: "block",
            name: &block.to_string(),
            rate_hz: MAIN_RATE_HZ,
            block,
        };
        whole(criterion, &case, &mixed);
    }
}

fn inputs(criterion: &mut Criterion) {
    for (name, sound) in sounds(MAIN_RATE_HZ) {
        let case = Case {
            group: "input",
            name,
            rate_hz: MAIN_RATE_HZ,
            block: MAIN_BLOCK,
        };
        whole(criterion, &case, &sound);
    }
}

/// Calls outside the audio path: when a song is opened, after a seek, and when a parameter changes.
fn calls(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("call");
    let [(_, as_new), (_, all_on)] = settings();
    for channels in [1, 2] {
        let name = channels_name(channels);
        group.bench_function(format!("new {name}"), |bencher| {
            bencher.iter(|| engine(MAIN_RATE_HZ, channels, black_box(&all_on)));
        });
        let mut made = engine(MAIN_RATE_HZ, channels, &all_on);
        group.bench_function(format!("reset {name}"), |bencher| bencher.iter(|| made.reset()));
        let mut turn = [all_on, as_new].into_iter().cycle();
        group.bench_function(format!("set {name}"), |bencher| {
            bencher.iter(|| turn.next().iter().for_each(|settings| made.set(settings)));
        });
    }
    group.finish();
}

criterion_group!(chain, rates, blocks, inputs, calls);
criterion_main!(chain);

//! With any input and any automation the output is finite and bounded, and the engine recovers quickly.

mod extreme_signals;
mod parameters;
mod signals;

use extreme_signals::EXTREME_SIGNALS;
use parameters::Dice;
use proptest::prelude::*;
use signals::{Line, Noise, Score, engine, level_db, line, run, stereo};
use siskin_dsp::{Channels, Engine, EngineConfig, Listen, Lookahead, Settings};

/// Recovery time after an extreme signal, and how closely the level of each vowel and fricative then matches a run without
/// it.
#[derive(Clone, Copy)]
struct Recovery {
    after_s: f64,
    within_db: f64,
}

/// The goal is 0.1 dB; a full-scale square of 1 s leaves 0.15 dB.
const RECOVERY: Recovery = Recovery {
    after_s: 0.5,
    within_db: 0.2,
};
/// With the leveller on, which recovers only during voice, and more slowly after a longer signal. Half a second of a square
/// 24 dB over full scale leaves 0.42 dB after 5 s.
const LEVELLER_RECOVERY: Recovery = Recovery {
    after_s: 5.0,
    within_db: 0.5,
};
/// Overshoot of the filters: a high-pass doubles the peak of a square.
const OVERSHOOT: f32 = 2.0;
/// The engine clamps its input to +60 dBFS.
const LOUDEST: f32 = 1e3;

/// A phrase; phrases are separated by rests.
const PHRASE: Score = Score {
    pitch_hz: 160.0,
    vowel_db: -24.0,
    fricative_db: -24.0,
    peak_hz: 6839.0,
    words: 2,
    edge_ms: 4.0,
};
const REST_S: f64 = 0.1;

/// Phrases over background noise at -85 dBFS.
fn song(phrases: u64, rate_hz: f64, seed: u64) -> Line {
    let mut background = Noise::new(seed);
    let (mut audio, mut fricatives) = (Vec::new(), Vec::new());
    for phrase in 0..phrases {
        let line = line(PHRASE, rate_hz, seed.wrapping_add(phrase));
        fricatives.extend(
            line.fricatives
                .iter()
                .map(|(from, to)| (from + audio.len(), to + audio.len())),
        );
        audio.extend(line.audio);
        audio.extend((0..(REST_S * rate_hz) as usize).map(|_| 1e-4 * background.sample() as f32));
    }
    Line {
        audio,
        fricatives,
        rate_hz,
    }
}

/// Settings that reduce sibilants by about 11 dB, less than Range, so that every error of the voice level shows, and breaths.
fn active_settings() -> Settings {
    let mut settings = Settings::default();
    settings.sibilance.proportion_lu = -12.0;
    settings.sibilance.range_db = 24.0;
    settings.breath.on = true;
    settings.breath.low_cut_hz = Some(650.0);
    settings.output.gain_db = -3.0;
    settings
}

fn levelled() -> Settings {
    let mut settings = active_settings();
    settings.leveller.on = true;
    settings.leveller.makeup_db = 6.0;
    settings
}

fn peak(signal: &[f32]) -> f32 {
    let sizes = signal.iter().filter(|x| x.is_finite()).map(|x| x.abs());
    sizes.fold(0.0, f32::max).min(LOUDEST)
}

fn is_zero_or_normal(sample: f32) -> bool {
    sample == 0.0 || sample.is_normal()
}

/// The largest gain from input to output: makeup (which also glides while the leveller is off) and output gain, or the dry
/// path.
fn loudest_gain(settings: &Settings) -> f32 {
    10f32.powf((settings.leveller.makeup_db.max(0.0) + settings.output.gain_db.max(0.0)) / 20.0)
}

/// The fricatives and the vowels around them, without the transitions: there the class may depend on how loud the last
/// seconds were.
fn sounds(line: &Line) -> Vec<(usize, usize)> {
    let samples = |ms: f64| (1e-3 * ms * line.rate_hz) as usize;
    line.fricatives
        .iter()
        .flat_map(|&(from, to)| {
            let [edge, most] = [25.0, 225.0].map(samples);
            [
                (from - most, from - edge),
                (from + edge, to - edge),
                (to + edge, to + most),
            ]
        })
        .collect()
}

/// The largest level difference between two outputs over the sounds of `line` that start at `from` or later. Panics if there
/// are too few.
fn difference_db(line: &Line, latency: usize, from: usize, outputs: [&[Vec<f32>]; 2]) -> f64 {
    let later: Vec<_> = sounds(line)
        .into_iter()
        .filter(|&(start, _)| start >= from)
        .collect();
    assert!(later.len() >= 3, "too few sounds to compare");
    let level =
        |output: &[f32], (start, end): (usize, usize)| level_db(&output[start + latency..end + latency]);
    outputs[0]
        .iter()
        .zip(outputs[1])
        .flat_map(|(one, other)| {
            later
                .iter()
                .map(|&sound| (level(one, sound) - level(other, sound)).abs())
        })
        .fold(0.0, f64::max)
}

/// Inserts each extreme signal into a song; checks that the output is bounded and the engine recovers.
fn check_recovery(settings: &Settings, rate_hz: f64, length_s: f64, recovery: Recovery) {
    let phrases = 4 + recovery.after_s as u64;
    let song = song(phrases, rate_hz, 3);
    let clean = stereo(&song.audio, 0.6);
    let latency = Lookahead::Long.samples(rate_hz);
    let play =
        |input: &[Vec<f32>]| run(&mut engine(rate_hz, 2, Lookahead::Long, settings), input, &[512]).output;
    let clean_output = play(&clean);
    let (start, end) = (rate_hz as usize * 3 / 2, ((1.5 + length_s) * rate_hz) as usize);
    for (name, sample) in EXTREME_SIGNALS {
        let mut disturbed = clean.clone();
        for channel in &mut disturbed {
            channel[start..end]
                .iter_mut()
                .enumerate()
                .for_each(|(n, disturbed)| *disturbed = sample(n, rate_hz));
        }
        let output = play(&disturbed);
        let at = format!("{name} for {length_s} s at {rate_hz} Hz");
        assert!(output != clean_output, "{at}: nothing was disturbed");
        for (input, output) in disturbed.iter().zip(&output) {
            assert!(
                output.iter().all(|&x| is_zero_or_normal(x)),
                "{at}: NaN, infinite or denormal"
            );
            let bound = OVERSHOOT * peak(input) * loudest_gain(settings);
            assert!(peak(output) <= bound, "{at}: {} over {bound}", peak(output));
        }
        let from = end + (recovery.after_s * rate_hz) as usize;
        let left_db = difference_db(&song, latency, from, [&clean_output, &output]);
        println!("{at}: {left_db:.3} dB difference remains");
        assert!(
            left_db <= recovery.within_db,
            "{at}: {left_db:.2} dB difference remains"
        );
    }
}

#[test]
fn extreme_signals_are_bounded_and_forgotten_after_half_a_second() {
    for length_s in [0.002, 0.05, 0.4, 1.0] {
        check_recovery(&active_settings(), 48_000.0, length_s, RECOVERY);
    }
}

#[test]
fn the_leveller_recovers_from_extreme_signals() {
    for length_s in [0.05, 0.5] {
        check_recovery(&levelled(), 48_000.0, length_s, LEVELLER_RECOVERY);
    }
}

#[test]
fn extreme_signals_are_forgotten_at_every_rate() {
    for rate_hz in [44_056.0, 44_123.45, 96_000.0, 192_000.0] {
        check_recovery(&active_settings(), rate_hz, 0.1, RECOVERY);
    }
}

#[test]
fn extreme_signals_are_bounded_at_every_rate() {
    let mut settings = levelled();
    for rate_hz in [
        8000.0, 11_025.0, 22_050.0, 44_056.0, 44_100.0, 44_123.45, 88_200.0, 176_400.0, 384_000.0,
    ] {
        for (channels, lookahead) in [(1, Lookahead::None), (2, Lookahead::Long)] {
            for listen in [Listen::Output, Listen::Removed, Listen::Detector] {
                settings.output.listen = listen;
                let mut engine = engine(rate_hz, channels, lookahead, &settings);
                for (name, sample) in EXTREME_SIGNALS {
                    let signal: Vec<f32> = (0..rate_hz as usize / 20).map(|n| sample(n, rate_hz)).collect();
                    let output = run(&mut engine, &vec![signal.clone(); channels], &[512]).output;
                    // The signal before still decays.
                    let bound = OVERSHOOT * LOUDEST * loudest_gain(&settings);
                    let at = format!("{name} at {rate_hz} Hz");
                    assert!(
                        output.iter().flatten().all(|&x| is_zero_or_normal(x)),
                        "{at}: NaN, infinite or denormal"
                    );
                    assert!(output.iter().all(|channel| peak(channel) <= bound), "{at}");
                }
            }
        }
    }
}

/// The bound of the output that follows from the last tenths of a second.
#[derive(Default)]
struct Bound {
    /// Per stretch of constant settings: its end, its peak and its gain.
    stretches: Vec<(usize, f32, f32)>,
}

impl Bound {
    fn take(&mut self, end: usize, memory: usize, peak: f32, gain: f32) -> f32 {
        self.stretches.push((end, peak, gain));
        self.stretches.retain(|stretch| stretch.0 + memory >= end);
        let most =
            |value: fn(&(usize, f32, f32)) -> f32| self.stretches.iter().map(value).fold(0.0, f32::max);
        OVERSHOOT * most(|stretch| stretch.1) * most(|stretch| stretch.2)
    }
}

/// Changes settings and levels at random every 1 to 4000 samples; checks that the output is bounded.
fn random_run(
    engine: &mut Engine,
    dice: &mut Dice,
    input: &[Vec<f32>],
    reference: &[f32],
    rate_hz: f64,
) -> Result<(), TestCaseError> {
    let memory = (0.2 * rate_hz) as usize;
    let mut bound = Bound::default();
    let (length, mut start, mut level) = (input[0].len(), 0, 1.0);
    while start < length {
        let end = length.min(start + dice.between(1, 4000));
        let settings = dice.settings();
        engine.set(&settings);
        if dice.between(0, 40) == 0 {
            level = 10f32.powf(1.2 * dice.share() - 0.6);
        }
        let mut audio: Vec<Vec<f32>> = input
            .iter()
            .map(|channel| channel[start..end].iter().map(|x| level * x).collect())
            .collect();
        let peak_in = audio.iter().map(|channel| peak(channel)).fold(0.0, f32::max);
        let allowed = bound.take(end, memory, peak_in, loudest_gain(&settings));
        let mut views: Vec<&mut [f32]> = audio.iter_mut().map(|channel| &mut channel[..]).collect();
        engine.process(&mut views, &[&reference[start..end]; 2], &mut |_| ());
        for channel in &audio {
            prop_assert!(channel.iter().all(|&x| is_zero_or_normal(x)));
            prop_assert!(
                peak(channel) <= allowed,
                "{} over {allowed} at {start}",
                peak(channel)
            );
        }
        start = end;
    }
    Ok(())
}

/// Processes one block with a reference.
fn process_with_reference(engine: &mut Engine, input: &[Vec<f32>], reference: &[f32]) -> Vec<Vec<f32>> {
    let mut output = input.to_vec();
    let mut views: Vec<&mut [f32]> = output.iter_mut().map(|channel| &mut channel[..]).collect();
    engine.process(&mut views, &[reference; 2], &mut |_| ());
    output
}

/// Length of a random run; all cases together are more than ten minutes.
const RANDOM_RUN_S: f64 = 26.0;
const RANDOM_RUNS: u32 = 24;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(RANDOM_RUNS))]

    #[test]
    fn random_automation_is_bounded_and_forgotten(
        seed in any::<u64>(),
        rate_hz in prop::sample::select(vec![44_100.0, 44_056.0, 44_123.45, 48_000.0, 48_000.0, 88_200.0]),
        channels in 1usize..=2,
        link in prop::sample::select(Channels::ALL.to_vec()),
    ) {
        let song = song(2, rate_hz, seed);
        // Whole hops, so that the undisturbed run lies on the same grid.
        let random_run_samples = (RANDOM_RUN_S * rate_hz) as usize / 4096 * 4096;
        let voice: Vec<f32> = song.audio.iter().copied().cycle().take(random_run_samples).collect();
        let config = EngineConfig { sample_rate_hz: rate_hz, channels, link, reference_channels: 2, lookahead: Lookahead::Long };
        let mut dice = Dice::new(seed);
        let mut engine = Engine::new(config, &dice.settings());
        random_run(&mut engine, &mut dice, &stereo(&voice, 0.6)[..channels], &voice, rate_hz)?;

        let input = stereo(&song.audio, 0.6)[..channels].to_vec();
        let settings = active_settings();
        engine.set(&settings);
        let after = process_with_reference(&mut engine, &input, &song.audio);
        let undisturbed = process_with_reference(&mut Engine::new(config, &settings), &input, &song.audio);
        // After half a second of voice: the follower's 400 ms must be filled with it.
        let from = (0.9 * rate_hz) as usize;
        let left_db = difference_db(&song, Lookahead::Long.samples(rate_hz), from, [&after, &undisturbed]);
        prop_assert!(left_db <= RECOVERY.within_db, "{left_db} dB difference remains");
    }
}

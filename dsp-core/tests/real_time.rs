//! The audio thread never allocates and never panics. A guard aborts the test at the first allocation, and tests run with
//! debug assertions and overflow checks.

mod extreme_signals;
mod parameters;
mod signals;

use assert_no_alloc::{AllocDisabler, assert_no_alloc};
use extreme_signals::EXTREME_SIGNALS;
use parameters::Dice;
use signals::{Score, line};
use siskin_dsp::{Channels, Engine, EngineConfig, Listen, Lookahead, Settings};

#[global_allocator]
static GUARD: AllocDisabler = AllocDisabler;

#[test]
fn nothing_allocates_after_new() {
    let score = Score {
        pitch_hz: 170.0,
        vowel_db: -20.0,
        fricative_db: -18.0,
        peak_hz: 6500.0,
        words: 4,
        edge_ms: 4.0,
    };
    let voice = line(score, 48_000.0, 1).audio;
    let mut settings = Settings::default();
    settings.leveller.on = true;
    settings.leveller.auto_makeup = true;
    settings.breath.on = true;
    for (channels, link, reference_channels, lookahead) in [
        (1, Channels::Linked, 0, Lookahead::Long),
        (2, Channels::Linked, 0, Lookahead::Long),
        (2, Channels::Linked, 2, Lookahead::Long),
        (2, Channels::Apart, 2, Lookahead::Long),
        (2, Channels::Linked, 2, Lookahead::Mixing),
        (2, Channels::Apart, 2, Lookahead::Mixing),
    ] {
        let config = EngineConfig {
            sample_rate_hz: 48_000.0,
            channels,
            link,
            reference_channels,
            lookahead,
        };
        let mut engine = Engine::new(config, &settings);
        let (mut left, mut right) = (voice.clone(), voice.clone());
        let mut hops = 0;
        assert_no_alloc(|| {
            for start in (0..voice.len()).step_by(333) {
                let end = voice.len().min(start + 333);
                let mut changed = settings;
                changed.sibilance.from_hz = 3000.0 + start as f32 / 20.0;
                changed.output.listen = [Listen::Output, Listen::Removed, Listen::Detector][start / 9000 % 3];
                changed.breath.low_cut_hz = Some(600.0);
                changed.output.bypass = start > 40_000;
                engine.set(&changed);
                engine.locate((start % 20_000) as i64);
                let reference = [&voice[start..end], &voice[start..end]];
                let mut audio = [&mut left[start..end], &mut right[start..end]];
                engine.process(
                    &mut audio[..channels],
                    &reference[..reference_channels],
                    &mut |_| hops += 1,
                );
            }
            let is_mixing = lookahead == Lookahead::Mixing;
            // The other kind would need memory.
            assert_eq!(engine.set_lookahead(Lookahead::Mixing), is_mixing);
            assert_eq!(engine.set_lookahead(Lookahead::Short), !is_mixing);
            engine.reset();
        });
        assert!(hops > 1000);
    }
}

/// Samples per configuration of the random run.
const RANDOM_RUN_SAMPLES: usize = 2_000_000;
const LONGEST_BLOCK_SAMPLES: usize = 2048;

/// Random blocks, settings, extreme signals and resets; returns the number of hops.
fn random_run(
    engine: &mut Engine,
    dice: &mut Dice,
    buffers: &mut [Vec<f32>; 2],
    config: EngineConfig,
) -> usize {
    let (mut hops, mut position) = (0, 0);
    while position < RANDOM_RUN_SAMPLES {
        let length = dice.between(0, LONGEST_BLOCK_SAMPLES);
        let (_, signal) = EXTREME_SIGNALS[dice.between(0, EXTREME_SIGNALS.len() - 1)];
        for buffer in buffers.iter_mut() {
            let fill = |(n, sample): (usize, &mut f32)| *sample = signal(position + n, config.sample_rate_hz);
            buffer[..length].iter_mut().enumerate().for_each(fill);
        }
        engine.set(&dice.settings());
        match dice.between(0, 200) {
            0 => engine.reset(),
            1 => {
                engine.set_lookahead(Lookahead::ALL[dice.between(0, 3)]);
            }
            _ => {}
        }
        let [left, right] = buffers;
        let reference = [0.5; LONGEST_BLOCK_SAMPLES];
        engine.process(
            &mut [&mut left[..length], &mut right[..length]][..config.channels],
            &[&reference[..length]; 2][..config.reference_channels],
            &mut |_| hops += 1,
        );
        assert!(buffers[..config.channels].iter().flatten().all(|x| x.is_finite()));
        position += length;
    }
    hops
}

#[test]
fn random_settings_and_extreme_signals_neither_allocate_nor_panic() {
    for (rate_hz, channels, link, reference_channels, lookahead) in [
        (8000.0, 1, Channels::Apart, 0, Lookahead::Long),
        (44_123.45, 2, Channels::Apart, 1, Lookahead::Long),
        (48_000.0, 2, Channels::Linked, 2, Lookahead::Long),
        (384_000.0, 2, Channels::Linked, 0, Lookahead::Long),
        (8000.0, 1, Channels::Linked, 0, Lookahead::Mixing),
        (48_000.0, 2, Channels::Apart, 2, Lookahead::Mixing),
        (384_000.0, 2, Channels::Linked, 0, Lookahead::Mixing),
    ] {
        let config = EngineConfig {
            sample_rate_hz: rate_hz,
            channels,
            link,
            reference_channels,
            lookahead,
        };
        let mut dice = Dice::new(channels as u64 + rate_hz as u64);
        let mut engine = Engine::new(config, &dice.settings());
        let mut buffers = [vec![0.0; LONGEST_BLOCK_SAMPLES], vec![0.0; LONGEST_BLOCK_SAMPLES]];
        let hops = assert_no_alloc(|| random_run(&mut engine, &mut dice, &mut buffers, config));
        assert!(hops > RANDOM_RUN_SAMPLES / 600, "{hops} hops at {rate_hz} Hz");
    }
}

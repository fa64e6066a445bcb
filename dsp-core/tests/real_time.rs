//! The audio thread never allocates: the guard aborts the test at the first allocation.

mod signals;

use assert_no_alloc::{AllocDisabler, assert_no_alloc};
use signals::{Score, line};
use siskin_dsp::{Engine, EngineConfig, Listen, Lookahead, Settings};

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
    for (channels, reference_channels) in [(1, 0), (2, 0), (2, 2)] {
        let config = EngineConfig {
            sample_rate_hz: 48_000.0,
            channels,
            reference_channels,
            lookahead: Lookahead::Long,
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
                let reference = [&voice[start..end], &voice[start..end]];
                let mut audio = [&mut left[start..end], &mut right[start..end]];
                engine.process(
                    &mut audio[..channels],
                    &reference[..reference_channels],
                    &mut |_| hops += 1,
                );
            }
            engine.set_lookahead(Lookahead::Short);
            engine.reset();
        });
        assert!(hops > 1000);
    }
}

//! The edge of the reduction follows each sibilant: less is lost below its own band than with a fixed edge.
#![expect(clippy::unwrap_used, reason = "a test may stop at what it did not expect")]

use siskin_dsp::{Engine, EngineConfig, Lookahead, Settings};
use siskin_tests::corpus::{Corpus, Recording, from_song};
use siskin_tests::measure::mean;
use siskin_tests::moving_edge::{EdgeReading, FixedShelf, SibilantClass, read_edges};
use siskin_tests::oracle::{HARD_LEVELLER, boost, compress};
use siskin_tests::voices::sing;

const FULL_BAND_HZ: f64 = 44_100.0;

fn processed(audio: &[f32], rate_hz: f64, settings: &Settings) -> Vec<f32> {
    let config = EngineConfig {
        sample_rate_hz: rate_hz,
        channels: 1,
        reference_channels: 0,
        lookahead: Lookahead::Long,
    };
    let mut engine = Engine::new(config, settings);
    let latency = engine.latency_samples();
    let mut audio = audio.to_vec();
    audio.extend(vec![0.0; latency]);
    engine.process(&mut [&mut audio], &[], &mut |_| ());
    audio.split_off(latency)
}

fn readings(recording: &Recording, settings: &Settings) -> Vec<EdgeReading> {
    let rate_hz = recording.sample_rate_hz;
    let before = boost(
        &compress(&recording.audio, rate_hz, &HARD_LEVELLER).audio,
        rate_hz,
    );
    let after = processed(&before, rate_hz, settings);
    let fixed = FixedShelf {
        from_hz: f64::from(settings.sibilance.from_hz),
        reach: f64::from(settings.sibilance.reach),
        sample_rate_hz: rate_hz,
    };
    read_edges(recording, (&before, &after), &fixed)
}

#[test]
fn explore() {
    let mut sets = vec![(
        "song",
        vec![from_song(&sing(48_000.0, 1)), from_song(&sing(48_000.0, 2026))],
    )];
    let corpus = Corpus::of_this_run().unwrap();
    let (full, part): (Vec<_>, Vec<_>) = corpus
        .recordings
        .into_iter()
        .partition(|r| r.sample_rate_hz >= FULL_BAND_HZ);
    sets.push(("full", full));
    sets.push(("part", part));
    for reach in [0.0, 0.25, 0.5] {
        let mut settings = Settings::default();
        settings.sibilance.reach = reach;
        for (name, set) in &sets {
            let all: Vec<EdgeReading> = set.iter().flat_map(|r| readings(r, &settings)).collect();
            for class in SibilantClass::ALL {
                let of: Vec<_> = all.iter().filter(|r| r.class == class).collect();
                let m = |f: &dyn Fn(&EdgeReading) -> f64| {
                    mean(&of.iter().map(|r| f(r) as f32).collect::<Vec<_>>())
                };
                println!(
                    "{reach} {name:5} {:6} n {:4} own {:6.0} taken {:5.2} below {:5.2} fixed {:5.2}",
                    class.name(),
                    of.len(),
                    m(&|r| r.own_from_hz),
                    m(&|r| r.taken_db),
                    m(&|r| r.below_db),
                    m(&|r| r.fixed_below_db)
                );
            }
        }
    }
}

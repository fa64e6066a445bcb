//! Breaths.
#![expect(clippy::unwrap_used, reason = "a test may stop at what it did not expect")]

use siskin_dsp::{Engine, EngineConfig, HopReport, Lookahead, Settings};
use siskin_tests::conditions::Condition;
use siskin_tests::corpus::{Corpus, Recording, Sound, from_song};
use siskin_tests::measure::{Energies, k_weighted, mean};
use siskin_tests::oracle::{HARD_LEVELLER, boost, compress};
use siskin_tests::voices::sing;

fn run(recording: &Recording, settings: &Settings) -> (Vec<f32>, Vec<HopReport>) {
    let config = EngineConfig {
        sample_rate_hz: recording.sample_rate_hz,
        channels: 1,
        reference_channels: 0,
        lookahead: Lookahead::Long,
    };
    let mut engine = Engine::new(config, settings);
    let latency = engine.latency_samples();
    let mut audio = recording.audio.clone();
    audio.extend(vec![0.0; latency]);
    let mut reports = Vec::new();
    engine.process(&mut [&mut audio], &[], &mut |r| reports.push(*r));
    (audio.split_off(latency), reports)
}

fn explore_one(name: &str, recordings: &[Recording]) {
    let mut settings = Settings::default();
    settings.breath.on = true;
    let mut errors = Vec::new();
    let mut lost: Vec<(Sound, f32)> = Vec::new();
    let mut flutter = Vec::new();
    for r in recordings {
        let (after, reports) = run(r, &settings);
        let (b, a) = (
            Energies::new(&k_weighted(&r.audio, r.sample_rate_hz)),
            Energies::new(&k_weighted(&after, r.sample_rate_hz)),
        );
        for p in &r.phones {
            let m = p.span.len() / 8;
            let skip = (0.08 * r.sample_rate_hz) as usize;
            let span = if p.sound == Sound::Breath {
                if p.span.len() < 2 * skip {
                    continue;
                }
                p.span.start + skip..p.span.end - m
            } else {
                p.span.start + m..p.span.end - m
            };
            let hops: Vec<&HopReport> = reports
                .iter()
                .filter(|h| span.contains(&(h.centre_sample.max(0) as usize)))
                .collect();
            if hops.is_empty() {
                continue;
            }
            let gain = mean(&hops.iter().map(|h| h.breath_gain_db).collect::<Vec<_>>());
            if p.sound == Sound::Breath {
                let voice = hops[0].voice_lufs;
                if !hops[0].voice_heard {
                    continue;
                }
                let before = b.lufs(&span) - voice;
                let asked = (before + 20.0).clamp(0.0, 12.0);
                let got = b.lufs(&span) - a.lufs(&span);
                errors.push((got - asked, before, asked, got));
                let steps: Vec<f32> = hops[hops.len() / 4..]
                    .windows(2)
                    .map(|w| (w[1].breath_gain_db - w[0].breath_gain_db).abs())
                    .collect();
                flutter.push(steps.iter().sum::<f32>() / steps.len().max(1) as f32);
            } else {
                lost.push((p.sound, -gain));
            }
        }
    }
    let e: Vec<f32> = errors.iter().filter(|e| e.2 > 0.0).map(|e| e.0).collect();
    let share = |lim: f32| e.iter().filter(|e| e.abs() <= lim).count() as f32 / e.len() as f32;
    println!(
        "{name}: breaths {} asked {} mean err {:.2} within1 {:.2} within2 {:.2} flutter dB/hop {:.3}",
        errors.len(),
        e.len(),
        mean(&e),
        share(1.0),
        share(2.0),
        mean(&flutter)
    );
    for e in errors.iter().filter(|e| e.2 > 0.0 && e.0.abs() > 2.0).take(6) {
        println!("   {e:.1?}");
    }
    for s in [
        Sound::Vowel,
        Sound::Sonorant,
        Sound::WeakFricative,
        Sound::Stop,
        Sound::Sibilant,
        Sound::VoicedSibilant,
        Sound::Rest,
    ] {
        let l: Vec<f32> = lost.iter().filter(|l| l.0 == s).map(|l| l.1).collect();
        println!(
            "   {s:?} n {} mean {:.3} >0.5 {:.3} >3 {:.3}",
            l.len(),
            mean(&l),
            l.iter().filter(|l| **l > 0.5).count() as f32 / l.len() as f32,
            l.iter().filter(|l| **l > 3.0).count() as f32 / l.len() as f32
        );
    }
}

#[test]
fn explore() {
    let songs: Vec<Recording> = [1, 7, 2026].map(|s| from_song(&sing(48_000.0, s))).into();
    let levelled = |r: &Recording| {
        r.with_audio(boost(
            &compress(&r.audio, r.sample_rate_hz, &HARD_LEVELLER).audio,
            r.sample_rate_hz,
        ))
    };
    explore_one("songs", &songs);
    explore_one("songs levelled", &songs.iter().map(levelled).collect::<Vec<_>>());
    let corpus = Corpus::of_this_run().unwrap();
    let (real, synth): (Vec<_>, Vec<_>) = corpus
        .recordings
        .into_iter()
        .partition(|r| r.origin == siskin_tests::corpus::Origin::Real);
    for (name, set) in [("real", real), ("synth", synth)] {
        let breathy: Vec<Recording> = set.iter().map(|r| Condition::CloseBreaths.apply(r, 1)).collect();
        explore_one(name, &breathy);
        explore_one(
            &format!("{name} levelled"),
            &breathy.iter().map(levelled).collect::<Vec<_>>(),
        );
    }
}

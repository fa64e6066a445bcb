//! Part: the voice without its breaths and the breaths alone add up to the whole, and nothing but the output differs.

mod parameters;
mod programmes;
mod signals;

use parameters::Dice;
use programmes::{Gaps, RATE_HZ, tone};
use proptest::prelude::*;
use signals::{Change, Noise, automated, engine, fricative, level_db, linked_engine, vowel};
use siskin_dsp::{Channels, HopReport, Lookahead, Part, Settings};

/// -120 dB of full scale.
const NOTHING: f32 = 1e-6;
/// The limit for clicks of the automation tests, relative to the programme.
const CLICK_DB: f64 = -80.0;

/// A vowel, then three times an s, a rest, a breath and a vowel; and where the breaths lie.
fn song(rate_hz: f64, seed: u64) -> (Vec<f32>, Vec<(usize, usize)>) {
    let samples = |ms: f64| (ms * 1e-3 * rate_hz) as usize;
    let mut noise = Noise::new(seed);
    let (mut audio, mut breaths) = (vowel(samples(700.0), 160.0, -20.0, rate_hz), Vec::new());
    for _ in 0..3 {
        audio.extend(fricative(samples(120.0), 6800.0, -24.0, rate_hz, &mut noise));
        audio.extend(vec![0.0; samples(150.0)]);
        let start = audio.len();
        // Breaths peak near 1.65 kHz (Nakano et al. 2008).
        audio.extend(fricative(samples(250.0), 1650.0, -38.0, rate_hz, &mut noise));
        breaths.push((start, audio.len()));
        audio.extend(vowel(samples(300.0), 160.0, -20.0, rate_hz));
    }
    audio.extend(vec![0.0; samples(400.0)]);
    let audio = audio.iter().map(|x| (x + 1e-5 * noise.sample()) as f32).collect();
    (audio, breaths)
}

fn with_part(settings: &Settings, part: Part) -> Settings {
    let mut settings = *settings;
    settings.output.part = part;
    settings
}

/// What a part plays, and reports.
fn play(part: Part, input: &[Vec<f32>], lookahead: Lookahead) -> (Vec<Vec<f32>>, Vec<HopReport>) {
    let settings = with_part(&untouched(), part);
    let latency = engine(RATE_HZ, input.len(), lookahead, &settings).latency_samples();
    let longer = |channel: &Vec<f32>| [&channel[..], &vec![0.0; latency]].concat();
    let input: Vec<Vec<f32>> = input.iter().map(longer).collect();
    let mut engine = engine(RATE_HZ, input.len(), lookahead, &settings);
    let (mut output, reports) = automated(&mut engine, &input, &[], &[512]);
    output
        .iter_mut()
        .for_each(|channel| drop(channel.drain(..latency)));
    (output, reports)
}

/// Settings with which the whole is the input.
fn untouched() -> Settings {
    let mut settings = Settings::default();
    settings.sibilance.on = false;
    settings
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn parts_add_up_to_the_whole_under_any_settings(
        seed in any::<u64>(),
        blocks in prop::collection::vec(prop::collection::vec(1usize..=4096, 1..8), 3),
        rate_hz in prop::sample::select(vec![44_100.0, 48_000.0, 96_000.0]),
        lookahead in prop::sample::select(Lookahead::ALL.to_vec()),
        link in prop::sample::select(Channels::ALL.to_vec()),
        position in 0i64..1_000_000,
    ) {
        let (voice, _) = song(rate_hz, seed);
        let input = [voice.clone(), voice.iter().map(|x| 0.6 * x).collect()];
        let mut dice = Dice::new(seed);
        // Bypass is the untouched track in every part.
        let mut settings = || {
            let mut settings = dice.settings();
            settings.output.bypass = false;
            settings
        };
        let start = settings();
        let changes: Vec<Change> = (1..20).map(|index| (index * voice.len() / 20, settings())).collect();
        let parts = [Part::Whole, Part::Voice, Part::Breaths];
        let [whole, voice, breaths] = [0, 1, 2].map(|index| {
            let of = |settings: &Settings| with_part(settings, parts[index]);
            let changes: Vec<Change> = changes.iter().map(|(at, settings)| (*at, of(settings))).collect();
            let mut engine = linked_engine(rate_hz, (2, link), lookahead, &of(&start));
            engine.locate(position);
            automated(&mut engine, &input, &changes, &blocks[index]).0
        });
        for channel in 0..2 {
            let peak = whole[channel].iter().fold(0.0_f32, |peak, x| peak.max(x.abs()));
            prop_assert!(peak > 1e-3);
            // Single precision is relative: what a gain lifts above full scale may err by as much more.
            let limit = NOTHING * peak.max(1.0);
            for ((whole, voice), breath) in whole[channel].iter().zip(&voice[channel]).zip(&breaths[channel]) {
                let residual = f64::from(*voice) + f64::from(*breath) - f64::from(*whole);
                prop_assert!(residual.abs() <= f64::from(limit), "{residual} of {peak}");
            }
        }
    }
}

#[test]
fn each_part_holds_its_own() {
    let (audio, breaths) = song(RATE_HZ, 3);
    // A fade that begins once a breath is known, or known to be over, is late where nothing is known ahead.
    for (lookahead, late_ms, over_ms) in [
        (Lookahead::None, 30.0, 15.0),
        (Lookahead::Long, 30.0, 10.0),
        (Lookahead::Mixing, 10.0, 10.0),
    ] {
        let [voice, alone] = [Part::Voice, Part::Breaths].map(|part| {
            play(part, std::slice::from_ref(&audio), lookahead)
                .0
                .swap_remove(0)
        });
        let [late, over] = [late_ms, over_ms].map(|ms: f64| (ms * 48.0) as usize);
        for &(start, end) in &breaths {
            let inside = start + late..end - 480;
            assert!(
                alone[inside.clone()] == audio[inside.clone()],
                "{lookahead:?}: the breath"
            );
            assert!(
                voice[inside].iter().all(|&x| x == 0.0),
                "{lookahead:?}: its voice"
            );
        }
        // A vowel, an s and a rest.
        let mut others: Vec<(usize, usize)> = breaths.windows(2).map(|two| (two[0].1, two[1].0)).collect();
        others.push((0, breaths[0].0));
        for (start, end) in others {
            let inside = start + over..end - 480;
            assert!(
                voice[inside.clone()] == audio[inside.clone()],
                "{lookahead:?}: the voice"
            );
            assert!(
                alone[inside].iter().all(|&x| x == 0.0),
                "{lookahead:?}: its breaths"
            );
        }
    }
}

#[test]
fn the_voice_is_whole_from_its_onset_on_with_the_lookahead_for_mixing() {
    let (audio, breaths) = song(RATE_HZ, 4);
    let voice = play(Part::Voice, std::slice::from_ref(&audio), Lookahead::Mixing)
        .0
        .swap_remove(0);
    for &(_, end) in &breaths {
        for span in [end..end + 240, end + 240..end + 960] {
            let change_db = level_db(&voice[span.clone()]) - level_db(&audio[span]);
            assert!(change_db.abs() < 0.1, "{change_db} dB");
        }
    }
}

/// The second channel carries a tone so faint that it changes no decision, under the gain of the first.
#[test]
fn no_edge_of_a_breath_clicks() {
    let (audio, breaths) = song(RATE_HZ, 5);
    let faint: Vec<f32> = tone(audio.len()).audio[0].iter().map(|x| 1e-5 * x).collect();
    let input = [audio, faint];
    let gaps = Gaps::new(tone(0).bands_hz);
    for lookahead in [Lookahead::Long, Lookahead::Mixing] {
        let whole = play(Part::Whole, &input, lookahead).0;
        for part in [Part::Voice, Part::Breaths] {
            let parted = play(part, &input, lookahead).0;
            let span = breaths[0].0..breaths[2].1;
            assert!(parted[1][span.clone()].contains(&0.0), "it has edges");
            let click_db = gaps.click_db(&parted[1], [&whole[1], &whole[1]], span);
            println!("{lookahead:?}, {part:?}: {click_db:.1} dB");
            assert!(click_db <= CLICK_DB, "{lookahead:?}, {part:?}: {click_db} dB");
        }
    }
}

#[test]
fn another_part_takes_over_without_a_click() {
    let programme = tone(96_000);
    let input = &programme.audio[..1];
    let gaps = Gaps::new(programme.bands_hz);
    let [whole, alone] = [Part::Whole, Part::Breaths].map(|part| with_part(&untouched(), part));
    let play = |from: &Settings, changes: &[Change]| {
        automated(
            &mut engine(RATE_HZ, 1, Lookahead::Long, from),
            input,
            changes,
            &[512],
        )
        .0
    };
    let resting = [&whole, &alone].map(|settings| play(settings, &[]).swap_remove(0));
    assert!(resting[0] != resting[1]);
    for (from, to) in [(&whole, &alone), (&alone, &whole)] {
        let moved = play(from, &[(57_611, *to)]).swap_remove(0);
        let click_db = gaps.click_db(&moved, [&resting[0], &resting[1]], 57_611..80_000);
        assert!(click_db <= CLICK_DB, "{click_db} dB");
        let arrived = if to.output.part == Part::Whole {
            &resting[0]
        } else {
            &resting[1]
        };
        assert!(moved[70_000..] == arrived[70_000..]);
    }
}

#[test]
fn parts_change_no_report_but_the_output_peak() {
    let (audio, _) = song(RATE_HZ, 6);
    for lookahead in [Lookahead::Long, Lookahead::Mixing] {
        let [whole, voice, alone] = [Part::Whole, Part::Voice, Part::Breaths]
            .map(|part| play(part, std::slice::from_ref(&audio), lookahead).1);
        assert!(whole.iter().any(|report| report.is_breath));
        for parted in [voice, alone] {
            assert!(parted != whole, "the output's peak");
            for (report, whole) in parted.iter().zip(&whole) {
                let report = HopReport {
                    output_peak: whole.output_peak,
                    ..*report
                };
                assert_eq!(report, *whole);
            }
        }
    }
}

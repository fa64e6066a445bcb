//! Both formats under hosts that go through the standards call by call. What one format alone has is in *conform_clap* and
//! *conform_vst3*; hosts that break the rules are in *conform_mistakes*, rules that the plug-ins must keep in *host_rules*.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW};
use siskin_tests::hosts::fixtures::{
    ALL_STAGES, LAYOUTS, NO_STAGE, RATE_HZ, both, both_with, every_insert, play, play_new, silence, voice,
    vst3_insert, with_lead,
};
use siskin_tests::hosts::{HostBlock, Insert, ParamEvent, ProcessStatus, Transport, blocks};
use siskin_tests::measurement::levels::near;
use siskin_tests::measurement::voices::signals::{noise, power_db};

const LENGTH: usize = 48_000;

/// `blocks` with a silent side-chain where `name` has one.
fn with_silence(name: &str, blocks: Vec<HostBlock>) -> Vec<HostBlock> {
    let samples = blocks.iter().map(|block| block.samples).sum();
    with_lead(name, blocks, &silence(samples))
}

/// Plays `blocks` in a new insert of each format with every stage on, and holds them to `expected`.
fn assert_both_play(layout: (&str, usize), blocks: &[HostBlock], expected: &[Vec<f32>], case: &str) {
    for mut insert in both_with(layout.0, layout.1, ALL_STAGES) {
        insert.activate(RATE_HZ, 8192).unwrap();
        let mut played = with_silence(layout.0, blocks.to_vec());
        assert!(
            play(&mut insert, &mut played) == expected,
            "{} {layout:?} {case}",
            insert.format()
        );
        for (played, given) in played.iter().zip(blocks).filter(|(block, _)| !block.in_place) {
            assert_eq!(
                played.inputs[0].channels, given.inputs[0].channels,
                "an input was changed"
            );
        }
        assert!(
            played.iter().all(|block| block.outputs[0].constant_mask == 0),
            "{case}"
        );
    }
}

#[test]
fn two_hundred_inserts_come_and_go_in_any_order() {
    for format in 0..2 {
        let mut alive: Vec<Insert> = Vec::new();
        for turn in 0..200_usize {
            let [clap, vst3] = both([SISKIN, SISKIN_FOLLOW][turn % 2]);
            alive.push(if format == 0 { clap } else { vst3 });
            if turn % 3 == 2 {
                drop(alive.swap_remove((turn * 7919) % alive.len()));
            }
        }
        assert_eq!(alive.len(), 134);
        for insert in &mut alive {
            serde_json::from_slice::<serde_json::Value>(&insert.save_json().unwrap()).unwrap();
        }
    }
}

#[test]
fn values_arrive_by_flush_and_by_block_active_or_not() {
    for (name, mut insert) in every_insert() {
        let parameters = insert.parameters();
        let expect = |insert: &mut Insert, number, value: f64| {
            let read = insert.value(number).unwrap();
            near(read, value, 1e-6, (insert.format(), name, number));
        };
        for parameter in &parameters {
            insert.set(parameter.number, parameter.highest).unwrap();
            expect(&mut insert, parameter.number, parameter.highest);
        }
        insert.activate(RATE_HZ, 512).unwrap();
        for parameter in &parameters {
            let number = parameter.number;
            let event = |sample, value| vec![ParamEvent::value(sample, number, value)];
            let mut block = with_silence(name, blocks(&voice(1, 2, RATE_HZ, 512), &[512])).remove(0);
            block.events = event(511, 0.0);
            assert_eq!(insert.process(&mut block).unwrap(), ProcessStatus::Continue);
            expect(&mut insert, number, 0.0);
            match &mut insert {
                Insert::Clap(plugin) => drop(plugin.flush(&event(0, parameter.highest)).unwrap()),
                Insert::Vst3(insert) => {
                    let mut flush = HostBlock::without_sound(event(0, parameter.highest));
                    assert_eq!(insert.process(&mut flush), ProcessStatus::Continue);
                }
            }
            expect(&mut insert, number, parameter.highest);
        }
    }
}

#[test]
fn unknown_parameters_are_ignored() {
    for mut insert in both(SISKIN) {
        let state = insert.save_state().unwrap();
        insert.activate(RATE_HZ, 512).unwrap();
        let mut block = HostBlock::new(&voice(1, 2, RATE_HZ, 512));
        for number in [0, 1, 4_000_000_000, u32::MAX] {
            block.events.push(ParamEvent::value(100, number, 1.0));
            block.events.push(ParamEvent::modulation(100, number, 1.0));
        }
        assert_eq!(insert.process(&mut block).unwrap(), ProcessStatus::Continue);
        assert_eq!(insert.save_state().unwrap(), state);
        insert.deactivate();
        let _refused_or_ignored = insert.set(1, 1.0);
        assert_eq!(insert.save_state().unwrap(), state);
    }
    assert!(!vst3_insert(SISKIN).set(1, 1.0));
}

#[test]
fn in_place_processing_sounds_as_out_of_place() {
    for layout in LAYOUTS {
        let sound = voice(1, layout.1, RATE_HZ, LENGTH);
        let apart = blocks(&sound, &[512, 33]);
        let expected = play_new(layout, RATE_HZ, apart.clone());
        assert_ne!(expected, sound, "nothing was done");
        assert_both_play(layout, &apart, &expected, "out of place");
        let mut in_place = apart;
        in_place.iter_mut().for_each(|block| block.in_place = true);
        assert_both_play(layout, &in_place, &expected, "in place");
    }
}

#[test]
fn flagged_silence_is_silence_and_no_output_is_flagged() {
    let mut sound = voice(1, 2, RATE_HZ, LENGTH);
    for channel in &mut sound {
        channel[LENGTH / 2..].fill(0.0);
    }
    let plain = blocks(&sound, &[480]);
    let mut flagged = plain.clone();
    for block in &mut flagged {
        block.inputs[0].flag_silence();
        block.outputs[0].constant_mask = 0b11;
    }
    assert!(flagged.iter().any(|block| block.inputs[0].constant_mask != 0));
    let expected = play_new((SISKIN, 2), RATE_HZ, plain);
    assert_both_play((SISKIN, 2), &flagged, &expected, "flagged");
}

#[test]
fn transport_that_runs_on_from_the_start_or_stands_changes_nothing() {
    let sound = voice(1, 2, RATE_HZ, LENGTH);
    let plain = blocks(&sound, &[512]);
    let expected = play_new((SISKIN, 2), RATE_HZ, plain.clone());
    for loop_s in [None, Some((1.0, 1.02))] {
        for (playing, stride) in [(true, 512), (false, 110_400), (false, 0)] {
            let mut blocks = plain.clone();
            for (index, block) in blocks.iter_mut().enumerate().filter(|(index, _)| index % 4 != 3) {
                block.transport = Some(Transport {
                    playing,
                    position_s: (index * stride) as f64 / RATE_HZ,
                    tempo_bpm: 60.0 + (index % 5) as f64 * 33.0,
                    metre: Some((index as u16 % 7, 4)),
                    loop_s,
                });
            }
            let case = format!("{playing} {stride} {loop_s:?}");
            assert_both_play((SISKIN, 2), &blocks, &expected, &case);
        }
    }
}

#[test]
fn tail_is_long_enough_and_a_stopped_insert_starts_as_new() {
    let sound = voice(1, 2, RATE_HZ, LENGTH);
    let expected = play_new((SISKIN, 2), RATE_HZ, blocks(&sound, &[512]));
    for mut insert in both_with(SISKIN, 2, ALL_STAGES) {
        insert.activate(RATE_HZ, 512).unwrap();
        let loud: Vec<Vec<f32>> = (1..=2).map(|seed| noise(seed).take(24_000).collect()).collect();
        play(&mut insert, &mut blocks(&loud, &[512]));
        let tail = insert.tail_samples().unwrap();
        assert_eq!(
            tail,
            insert.latency_samples().unwrap() + 3840,
            "the latency and 80 ms"
        );
        for mut channel in play(&mut insert, &mut blocks(&silence(48_000), &[512])) {
            let rest = channel.split_off(tail);
            assert!(channel.iter().any(|&sample| sample != 0.0));
            assert!(power_db(&rest[..480]) < -120.0, "{} dB", power_db(&rest[..480]));
            assert!(
                rest[24_000..].iter().all(|&sample| sample == 0.0),
                "no exact silence in the end"
            );
        }
        insert.forget(false).unwrap();
        assert!(
            play(&mut insert, &mut blocks(&sound, &[512])) == expected,
            "{}",
            insert.format()
        );
    }
}

#[test]
fn every_rate_delays_by_the_lookahead_and_sounds_alike_in_both_formats() {
    let sizes = [1, 8192, 77, 63, 64, 65, 2, 1000, 480];
    let odd_hz = [8000.0, 44_056.0, 44_123.45, 88_200.0, 384_000.0];
    let rates = odd_hz.map(|rate_hz| (rate_hz, &["5 ms"][..]));
    let all = ["0 ms", "2 ms", "5 ms", "300 ms"];
    // 300 ms at 192 kHz are more than the sound.
    let common = [(44_100.0, &all[..]), (48_000.0, &all), (192_000.0, &all[..3])];
    for (rate_hz, lookaheads) in rates.into_iter().chain(common) {
        for (name, channels) in LAYOUTS {
            let sound = voice(1, channels, rate_hz, 20_000);
            for lookahead in lookaheads {
                let settings = [NO_STAGE, &[("look", *lookahead)]].concat();
                for mut insert in both_with(name, channels, &settings) {
                    let case = format!(
                        "{} {name} {channels} {lookahead} at {rate_hz} Hz",
                        insert.format()
                    );
                    insert.activate(rate_hz, 8192).unwrap();
                    let latency = insert.latency_samples().unwrap();
                    let lookahead_ms: f64 = lookahead.trim_end_matches(" ms").parse().unwrap();
                    assert_eq!(
                        latency,
                        (1e-3 * lookahead_ms * rate_hz).round() as usize,
                        "{case}"
                    );
                    let output = play(&mut insert, &mut with_silence(name, blocks(&sound, &sizes)));
                    for (output, input) in output.iter().zip(&sound) {
                        assert!(output[..latency].iter().all(|&sample| sample == 0.0));
                        assert!(output[latency..] == input[..20_000 - latency], "{case}");
                    }
                }
            }
            let worked = both_with(name, channels, ALL_STAGES).map(|mut insert| {
                insert.activate(rate_hz, 8192).unwrap();
                play(&mut insert, &mut with_silence(name, blocks(&sound, &sizes)))
            });
            assert!(worked[0].iter().flatten().all(|sample| sample.is_finite()));
            assert!(
                worked[0] == worked[1] && worked[0] != sound,
                "{name} {channels} at {rate_hz} Hz"
            );
        }
    }
}

#[test]
fn inserts_activated_often_or_reset_are_as_new() {
    for (name, channels) in LAYOUTS {
        let sound = voice(1, channels, RATE_HZ, LENGTH);
        let expected = play_new((name, channels), RATE_HZ, blocks(&sound, &[512]));
        for mut insert in both_with(name, channels, ALL_STAGES) {
            for turn in 0..30_usize {
                if name == SISKIN {
                    insert.arrange(1 + turn % 2).unwrap();
                }
                let turned = if name == SISKIN { 1 + turn % 2 } else { channels };
                let rate_hz = [44_100.0, 96_000.0, 48_000.0, 192_000.0][turn % 4];
                let most = [64, 8192, 1, 480][turn % 4];
                insert.activate(rate_hz, most).unwrap();
                if turn % 3 != 0 {
                    let sound = voice(1, turned, rate_hz, most.min(700));
                    play(&mut insert, &mut with_silence(name, blocks(&sound, &[most])));
                }
                if turn % 5 == 0 {
                    insert.forget(false).unwrap();
                }
                insert.deactivate();
            }
            insert.arrange(channels).unwrap();
            insert.activate(RATE_HZ, 512).unwrap();
            let first = play(&mut insert, &mut with_silence(name, blocks(&sound, &[512])));
            assert!(first == expected, "{} {name} {channels}", insert.format());
            for resets in 0..3 {
                // Other sound first, and not a whole number of hops of it.
                let other: Vec<Vec<f32>> = (5..5 + channels as u64)
                    .map(|seed| noise(seed).take(5000 + resets).collect())
                    .collect();
                play(&mut insert, &mut with_silence(name, blocks(&other, &[301])));
                insert.forget(true).unwrap();
                let again = play(&mut insert, &mut with_silence(name, blocks(&sound, &[512])));
                assert!(again == expected, "{} {name}, reset {resets}", insert.format());
            }
        }
    }
}

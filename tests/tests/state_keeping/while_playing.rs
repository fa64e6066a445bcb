//! States that are loaded while sound runs.

use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, insert};
use siskin_tests::hosts::clap::state_from_json;
use siskin_tests::hosts::fixtures::{RATE_HZ, voice};
use siskin_tests::hosts::{ParamEvent, blocks, joined};
use siskin_tests::measurement::voices::signals::{noise, peak};

use super::everything_moved;

#[test]
fn states_are_saved_and_loaded_during_processing() {
    for name in [SISKIN, SISKIN_FOLLOW] {
        let mut plugin = insert(name);
        let one = plugin.save_state().unwrap();
        plugin
            .load_state(&state_from_json(everything_moved(name).as_bytes()))
            .unwrap();
        plugin
            .set_all(&[("lev_gain", "0 dB"), ("out_gain", "0 dB")])
            .unwrap();
        let other = plugin.save_state().unwrap();
        plugin.activate(RATE_HZ, 64).unwrap();
        let mut given = blocks(&voice(1, 2, RATE_HZ, 480_000), &[64, 63]);
        let mut turns = 0;
        plugin
            .process_while(&mut given, |plugin| {
                turns += 1;
                plugin.load_state([&one, &other][turns % 2]).unwrap();
                assert_eq!(plugin.save_state().unwrap(), *[&one, &other][turns % 2]);
            })
            .unwrap();
        assert!(turns > 20, "{turns} turns");
        let output = joined(&given);
        assert_eq!(output[0].len(), 480_000);
        // +24 dB of output gain, on what peaks below 1.
        assert!(
            output
                .iter()
                .flatten()
                .all(|sample| sample.is_finite() && sample.abs() < 32.0)
        );
        println!("{name}: {turns} states while ten seconds sounded");
    }
}

/// Settings anywhere in their ranges, as a state.
fn random_state(seed: u64) -> Vec<u8> {
    let mut shares = noise(seed).map(|sample| f64::from(0.5 + 0.5 * sample));
    let mut plugin = insert(SISKIN);
    for parameter in plugin.parameters().to_vec() {
        // Listen and Bypass are levels of their own.
        let share = shares.next().unwrap();
        // 300 ms waits for the next activation.
        let share = if parameter.id == "look" {
            2.0 / 3.0 * share
        } else {
            share
        };
        if !["listen", "bypass"].contains(&parameter.id.as_str()) {
            let event = ParamEvent::value(0, parameter.clap_id, parameter.at(share));
            plugin.flush(&[event]).unwrap();
        }
    }
    plugin.save_state().unwrap()
}

fn play(states: [&[u8]; 2], sound: &[Vec<f32>], load_at: usize) -> Vec<Vec<f32>> {
    let mut plugin = insert(SISKIN);
    plugin.load_state(states[0]).unwrap();
    plugin.activate(RATE_HZ, 64).unwrap();
    plugin.serve_requests();
    let mut given: Vec<_> = blocks(sound, &[64]);
    let (before, after) = given.split_at_mut(load_at / 64);
    plugin.process_all(before).unwrap();
    plugin.load_state(states[1]).unwrap();
    plugin.process_all(after).unwrap();
    joined(&given)
}

/// Peaks of `sound` in windows of 5 ms.
fn peaks(sound: &[f32]) -> Vec<f32> {
    sound.chunks(240).map(peak).collect()
}

#[test]
fn loading_a_state_is_no_louder_than_the_louder_of_the_two() {
    /// 1 dB: a makeup is there before the leveller that it makes up for. 0.7 dB was the most of 24 pairs of settings
    /// from anywhere in all ranges.
    const MARGIN: f32 = 1.122;
    /// Windows to either side: the lookahead, by which the two may lie apart, and a hop.
    const APART: usize = 3;
    let sound = voice(1, 2, RATE_HZ, 96_000);
    let load_at = 46_080;
    for pair in 0..24 {
        let (one, other) = (random_state(2 * pair + 100), random_state(2 * pair + 101));
        let loaded = play([&one, &other], &sound, load_at);
        let mut bounds = vec![
            play([&one, &one], &sound, load_at),
            play([&other, &other], &sound, load_at),
        ];
        // As the new settings begin by themselves, which another lookahead makes them do.
        let rest: Vec<Vec<f32>> = sound.iter().map(|channel| channel[load_at..].to_vec()).collect();
        let begun = play([&other, &other], &rest, 0);
        bounds.push(
            begun
                .into_iter()
                .map(|channel| [vec![0.0; load_at], channel].concat())
                .collect(),
        );
        for channel in 0..2 {
            let bounds: Vec<Vec<f32>> = bounds.iter().map(|sound| peaks(&sound[channel])).collect();
            let loaded = peaks(&loaded[channel]);
            for (window, &peak) in loaded.iter().enumerate() {
                let around = window.saturating_sub(APART)..(window + APART + 1).min(loaded.len());
                let bound = bounds
                    .iter()
                    .flat_map(|bound| &bound[around.clone()])
                    .fold(1e-4_f32, |bound, &peak| bound.max(peak));
                assert!(
                    peak <= bound * MARGIN,
                    "pair {pair}, channel {channel}, {} ms: {peak} above {bound}",
                    window * 5
                );
            }
        }
    }
}

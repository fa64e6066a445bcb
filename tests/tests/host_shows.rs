//! What hosts show of an insert beyond its parameters, and samples of 64 bits, in both formats.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, insert};
use siskin_tests::hosts::clap::Plugin;
use siskin_tests::hosts::fixtures::{RATE_HZ, play, voice, vst3_insert, with_lead};
use siskin_tests::hosts::vst3::Setup;
use siskin_tests::hosts::{Bus, HostBlock, Insert, ParamEvent, blocks};

const BLOCK: usize = 480;

fn cut(name: &str, sound: &[Vec<f32>]) -> Vec<HostBlock> {
    with_lead(name, blocks(sound, &[BLOCK]), sound)
}

#[test]
fn every_parameter_is_on_one_controller_page() {
    for name in [SISKIN, SISKIN_FOLLOW] {
        let mut plugin = insert(name);
        let pages = plugin.controller_pages().unwrap();
        let names: Vec<&str> = pages.iter().map(|page| page.name.as_str()).collect();
        assert_eq!(names, ["Sibilance", "Leveller", "Follow and Breath", "Output"]);
        assert!(pages.iter().all(|page| page.section == name));
        let mut shown: Vec<String> = pages
            .into_iter()
            .flat_map(|page| page.parameters)
            .flatten()
            .collect();
        let mut all: Vec<String> = plugin.parameters().iter().map(|known| known.id.clone()).collect();
        shown.sort();
        all.sort();
        assert_eq!(shown, all);
    }
}

fn gain_db(plugin: &mut Plugin, sound: &[Vec<f32>]) -> f64 {
    for block in &mut cut(SISKIN, sound) {
        plugin.process(block).unwrap();
    }
    plugin.gain_adjustment_db().unwrap()
}

#[test]
fn gain_adjustment_is_what_the_stages_take_away() {
    let loud = voice(1, 2, RATE_HZ, 96_000);
    let with = |settings: &[(&str, &str)]| {
        let mut plugin = insert(SISKIN);
        plugin.set_all(settings).unwrap();
        plugin.activate(RATE_HZ, BLOCK).unwrap();
        assert_eq!(plugin.gain_adjustment_db().unwrap(), 0.0, "before any sound");
        plugin
    };
    let off = [("lev_on", "off"), ("sib_on", "off"), ("br_on", "off")];
    assert_eq!(gain_db(&mut with(&off), &loud), 0.0);
    let levelled = [
        ("lev_on", "on"),
        ("lev_thr", "-40 dB"),
        ("sib_on", "off"),
        ("br_on", "off"),
    ];
    let mut plugin = with(&levelled);
    let reduced = gain_db(&mut plugin, &loud);
    assert!((-60.0..-3.0).contains(&reduced), "{reduced}");
    let bypass = plugin.parameter("bypass").unwrap().clap_id;
    plugin.flush(&[ParamEvent::value(0, bypass, 1.0)]).unwrap();
    assert_eq!(gain_db(&mut plugin, &loud[..]), 0.0, "bypassed");
}

#[test]
fn gain_reduction_in_vst3_is_that_of_clap() {
    let loud = voice(1, 2, RATE_HZ, 96_000);
    for name in [SISKIN, SISKIN_FOLLOW] {
        let mut plugin = insert(name);
        plugin
            .set_all(&[("lev_on", "on"), ("lev_thr", "-40 dB")])
            .unwrap();
        let mut insert = vst3_insert(name);
        let state = plugin.save_state().unwrap();
        assert!(insert.load_state(&state[8..]));
        assert_eq!(insert.gain_reduction_db(), Some(0.0), "before any sound");
        plugin.activate(RATE_HZ, BLOCK).unwrap();
        assert!(insert.activate(RATE_HZ, BLOCK));
        let mut blocks = cut(name, &loud);
        plugin.process_all(&mut blocks.clone()).unwrap();
        insert.process_all(&mut blocks);
        let reduced_db = insert.gain_reduction_db().unwrap();
        assert!((-60.0..-3.0).contains(&reduced_db), "{name}: {reduced_db}");
        assert_eq!(reduced_db, plugin.gain_adjustment_db().unwrap(), "{name}");
    }
}

/// 64-bit samples come out as those of 32 bits do, bit for bit, also in place.
#[test]
fn wide_samples_sound_as_narrow_ones() {
    let sound = voice(1, 2, RATE_HZ, 96_000);
    for name in [SISKIN, SISKIN_FOLLOW] {
        for in_place in [false, true] {
            let narrow = cut(name, &sound);
            let mut wide = narrow.clone();
            for block in &mut wide {
                (block.wide, block.in_place) = (true, in_place);
            }
            let [clap_narrow, clap_wide] = [narrow.clone(), wide.clone()].map(|blocks| clap(name, blocks));
            assert!(clap_narrow.iter().flatten().any(|&sample| sample != 0.0));
            assert!(clap_wide == clap_narrow, "{name}, CLAP, in place: {in_place}");
            let vst3_wide = vst3(name, wide);
            assert!(vst3_wide == clap_narrow, "{name}, VST3, in place: {in_place}");
        }
    }
}

fn clap(name: &str, mut blocks: Vec<HostBlock>) -> Vec<Vec<f32>> {
    let mut insert = Insert::Clap(insert(name));
    insert.activate(RATE_HZ, BLOCK).unwrap();
    play(&mut insert, &mut blocks)
}

fn vst3(name: &str, mut blocks: Vec<HostBlock>) -> Vec<Vec<f32>> {
    let mut insert = vst3_insert(name);
    assert_eq!(insert.sample_sizes(), [true, true]);
    let setup = Setup {
        sample_rate_hz: RATE_HZ,
        most_samples: BLOCK,
        offline: false,
    };
    assert!(insert.set_up_for(setup, true) && insert.set_active(true) && insert.set_processing(true));
    play(&mut Insert::Vst3(insert), &mut blocks)
}

/// A bus without a channel is silence, and an output without one is not written to.
#[test]
fn wide_block_with_missing_channels_is_safe() {
    let sound = voice(1, 2, RATE_HZ, 48_000);
    let mut plugin = insert(SISKIN);
    plugin.activate(RATE_HZ, BLOCK).unwrap();
    let mut block = cut(SISKIN, &sound).remove(0);
    block.wide = true;
    let mut without_input = block.clone();
    without_input.inputs = vec![Bus::of(Some(vec![None, None]))];
    plugin.process(&mut without_input).unwrap();
    assert!(
        without_input
            .output()
            .iter()
            .flatten()
            .all(|sample| sample.is_finite())
    );
    let mut without_output = block.clone();
    without_output.outputs[0].channels.as_mut().unwrap()[1] = None;
    let untouched = without_output.outputs.clone();
    plugin.process(&mut without_output).unwrap();
    assert_eq!(without_output.outputs[0].sound(), untouched[0].sound());
}

//! Automation does not click and gives the same output with any block sizes.
//!
//! A click is energy that a change adds at frequencies where the programme has none (for a tone of 1 kHz outside 500 ...
//! 2000 Hz), relative to the programme, in windows of 171 ms around the change.

mod parameters;
mod programmes;
mod signals;

use parameters::{Dice, Parameter, parameter, parameters};
use programmes::{Gaps, Programme, RATE_HZ, breath, sibilant, tone};
use proptest::prelude::*;
use signals::{Change, Score, automated, engine, level_db, line, residual_db};
use siskin_dsp::{Lookahead, Settings};
use std::ops::Range;

/// The limit for clicks, relative to the programme.
const CLICK_DB: f64 = -80.0;
/// Exceptions by programme and parameter, with the limit that they reach. Stages that act within a millisecond also follow a
/// changed setting that fast.
const LOUDER_CLICKS_DB: &[(&str, &str, f64)] = &[
    ("sibilant", "lev_gain", -49.0),
    ("sibilant", "lev_auto", -74.0),
    ("sibilant", "sib_on", -32.0),
    ("sibilant", "sib_prop", -39.0),
    ("sibilant", "sib_ratio", -41.0),
    ("sibilant", "sib_range", -41.0),
    ("sibilant", "sib_from", -34.0),
    ("sibilant", "sib_reach", -60.0),
    ("breath", "lev_on", -53.0),
    ("breath", "br_on", -59.0),
    ("breath", "br_cut", -73.0),
];

/// The sample of a change, not at the start of a control step, hop or block.
const STEP_AT: usize = 57_611;
/// The sample at which the slowest stage has settled.
const MOVED_BY: usize = STEP_AT + 24_000;
const LENGTH: usize = MOVED_BY + 8192;

/// Settings with which every stage acts on its programme.
fn active_settings() -> Settings {
    let mut settings = Settings::default();
    settings.leveller.on = true;
    settings.leveller.threshold_db = -22.0;
    settings.sibilance.proportion_lu = -12.0;
    settings.sibilance.range_db = 18.0;
    settings.breath.on = true;
    settings.breath.proportion_lu = -28.0;
    settings.breath.low_cut_hz = Some(600.0);
    settings
}

/// A programme and the measurement of clicks in it.
struct ClickTest {
    programme: Programme,
    gaps: Gaps,
}

impl ClickTest {
    fn new(programme: Programme) -> Self {
        Self {
            gaps: Gaps::new(programme.bands_hz),
            programme,
        }
    }

    fn run(&self, channels: usize, settings: &Settings, changes: &[Change]) -> Vec<Vec<f32>> {
        let input = &self.programme.audio[..channels];
        automated(
            &mut engine(RATE_HZ, channels, Lookahead::Long, settings),
            input,
            changes,
            &[512],
        )
        .0
    }

    /// The loudest click in any channel, relative to two runs with constant settings.
    fn click_db(&self, moved: &[Vec<f32>], resting: [&[Vec<f32>]; 2], span: Range<usize>) -> f64 {
        (0..moved.len())
            .map(|channel| {
                let resting = [0, 1].map(|end| &resting[end][channel][..]);
                self.gaps.click_db(&moved[channel], resting, span.clone())
            })
            .fold(f64::NEG_INFINITY, f64::max)
    }

    fn limit_db(&self, id: &str) -> f64 {
        LOUDER_CLICKS_DB
            .iter()
            .find(|(programme, listed, _)| *programme == self.programme.name && *listed == id)
            .map_or(CLICK_DB, |(_, _, limit_db)| *limit_db)
    }

    /// Steps a parameter between its ends and its default; returns the loudest click, and whether the parameter changes the
    /// output of this programme.
    fn step(&self, channels: usize, parameter: &Parameter) -> (f64, bool) {
        let values = [parameter.range.0, parameter.range.1, parameter.default];
        let settings = values.map(|value| parameter.at(&active_settings(), value));
        let resting = settings.map(|settings| self.run(channels, &settings, &[]));
        let mut worst_db = f64::NEG_INFINITY;
        for (from, to) in [(0, 1), (1, 0), (2, 0), (2, 1)] {
            let moved = self.run(channels, &settings[from], &[(STEP_AT, settings[to])]);
            let click_db = self.click_db(&moved, [&resting[from], &resting[to]], STEP_AT..MOVED_BY);
            worst_db = worst_db.max(click_db);
        }
        let [one, other] = [0, 1].map(|end| &resting[end][channels - 1][STEP_AT..]);
        (worst_db, residual_db(one, other) > -40.0)
    }

    fn steps(&self, channels: usize, moving: &[&str]) {
        let mut failed = Vec::new();
        for parameter in &parameters() {
            let (click_db, does) = self.step(channels, parameter);
            let (programme, id) = (self.programme.name, &parameter.id);
            println!("{programme}, {channels} channels, {id}: {click_db:.1} dB");
            assert!(
                does || !moving.contains(&parameter.id.as_str()),
                "{} does nothing",
                parameter.id
            );
            if click_db > self.limit_db(&parameter.id) {
                failed.push(format!("{} {click_db:.1} dB", parameter.id));
            }
        }
        assert!(
            failed.is_empty(),
            "{}, {channels} channels: {failed:?}",
            self.programme.name
        );
    }
}

#[test]
fn no_step_clicks_on_a_tone() {
    let test = ClickTest::new(tone(LENGTH));
    let moving = [
        "lev_on",
        "lev_thr",
        "lev_ratio",
        "lev_knee",
        "lev_gain",
        "out_gain",
        "listen: Output or Removed",
        "listen: Output or Detector",
        "listen: Removed or Detector",
        "bypass",
    ];
    test.steps(2, &moving);
    test.steps(1, &moving);
}

#[test]
fn no_step_clicks_on_a_sibilant() {
    let moving = [
        "lev_gain",
        "sib_on",
        "sib_prop",
        "sib_ratio",
        "sib_range",
        "sib_from",
        "sib_reach",
        "out_gain",
        "listen: Output or Removed",
        "listen: Output or Detector",
        "listen: Removed or Detector",
        "bypass",
    ];
    ClickTest::new(sibilant(LENGTH)).steps(2, &moving);
}

#[test]
fn no_step_clicks_on_a_breath() {
    let moving = [
        "lev_gain", "br_on", "br_prop", "br_range", "br_cut", "out_gain", "bypass",
    ];
    ClickTest::new(breath(LENGTH)).steps(2, &moving);
}

/// Changes that move a parameter up and down, one every `every` samples.
fn swept(parameter: &Parameter, period_samples: usize, every: usize) -> Vec<Change> {
    let (low, high) = parameter.range;
    (STEP_AT..STEP_AT + 16_800)
        .step_by(every)
        .map(|sample| {
            let phase = ((sample - STEP_AT) % period_samples) as f32 / period_samples as f32;
            let share = 1.0 - (2.0 * phase - 1.0).abs();
            (
                sample,
                parameter.at(&active_settings(), low + share * (high - low)),
            )
        })
        .collect()
}

#[test]
fn sweeps_ramps_and_fast_switching_do_not_click_on_a_tone() {
    let test = ClickTest::new(tone(LENGTH));
    for parameter in &parameters() {
        let ends =
            [parameter.range.0, parameter.range.1].map(|value| parameter.at(&active_settings(), value));
        let resting = ends.map(|settings| test.run(2, &settings, &[]));
        // Slow and fine like an automation curve, fast and coarse like a hand on a control, and a period of 20 ms.
        for (period, every) in [(16_000, 64), (4801, 511), (960, 8)] {
            let moved = test.run(2, &ends[0], &swept(parameter, period, every));
            let click_db = test.click_db(&moved, [&resting[0], &resting[1]], STEP_AT..MOVED_BY);
            let limit_db = test.limit_db(&parameter.id);
            assert!(
                click_db <= limit_db,
                "{}, every {every}: {click_db:.1} dB",
                parameter.id
            );
        }
    }
}

#[test]
fn a_change_is_complete_within_40_ms_and_exact_in_the_end() {
    let test = ClickTest::new(tone(LENGTH));
    for (id, from, to) in [
        ("out_gain", 24.0, -24.0),
        ("out_gain", -24.0, 24.0),
        ("bypass", 0.0, 1.0),
        ("bypass", 1.0, 0.0),
    ] {
        let parameter = parameter(id);
        let ends = [from, to].map(|value| parameter.at(&active_settings(), value));
        let resting = ends.map(|settings| test.run(2, &settings, &[]));
        let moved = test.run(2, &ends[0], &[(STEP_AT, ends[1])]);
        for channel in 0..2 {
            let through = STEP_AT + 1920..STEP_AT + 2160;
            let [before_db, after_db] = [0, 1].map(|end| level_db(&resting[end][channel][through.clone()]));
            let left_db = (level_db(&moved[channel][through]) - after_db).abs();
            assert!(
                left_db < 0.02 * (before_db - after_db).abs(),
                "{id}: {left_db} dB are left"
            );
            assert!(moved[channel][..STEP_AT] == resting[0][channel][..STEP_AT]);
            assert!(
                moved[channel][STEP_AT + 9600..] == resting[1][channel][STEP_AT + 9600..],
                "{id}"
            );
        }
    }
}

/// Random settings at random samples.
fn changes(seed: u64, length: usize) -> Vec<Change> {
    let mut dice = Dice::new(seed);
    let mut at = 0;
    std::iter::from_fn(|| {
        at += dice.between(1, 4000);
        (at < length).then(|| (at, dice.settings()))
    })
    .collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn automation_gives_the_same_output_in_any_mixture_of_blocks(
        seed in any::<u64>(),
        blocks in prop::collection::vec(1usize..=8192, 1..12),
        small in prop::collection::vec(1usize..40, 1..12),
        rate_hz in prop::sample::select(vec![44_100.0, 48_000.0, 96_000.0]),
        channels in 1usize..=2,
    ) {
        let score = Score { pitch_hz: 160.0, vowel_db: -24.0, fricative_db: -24.0, peak_hz: 6839.0, words: 4, edge_ms: 4.0 };
        let voice = line(score, rate_hz, seed).audio;
        let input = [voice.clone(), voice.iter().map(|x| 0.6 * x).collect()];
        let changes = changes(seed, voice.len());
        prop_assert!(changes.len() > 10);
        let start = Dice::new(seed ^ 1).settings();
        let play = |blocks: &[usize]| {
            automated(&mut engine(rate_hz, channels, Lookahead::Long, &start), &input[..channels], &changes, blocks)
        };
        let whole = play(&[usize::MAX / 2]);
        prop_assert!(whole.0 != input[..channels]);
        for blocks in [blocks, small, vec![1]] {
            let cut = play(&blocks);
            prop_assert!(whole.0 == cut.0);
            prop_assert!(whole.1 == cut.1);
        }
    }
}

//! Bits that must not change: identity, blocks, resets, bounces, and an insert gain.

use siskin_dsp::Settings;

use super::defaults::RATE_HZ;
use super::findings::Findings;
use super::play::{Layout, Play, Played};
use super::quantity::Quantity;
use super::treatment::Treatment;
use super::voice::Voice;
use crate::measurement::levels::residual_db;
use crate::measurement::voices::singer::random::Random;

/// How much of a voice is played in many blockings, s: a block of one sample is slow, and a difference shows at once.
const BLOCKS_S: f64 = 12.0;
/// The largest block of a host, samples.
const LARGEST_BLOCK: f64 = 8192.0;
/// In which bits are compared: one channel would show no more.
const LAYOUT: Layout = Layout::Different;
/// Input gains, dB (the row "level invariance").
const GAINS_DB: [f32; 2] = [-18.0, 12.0];

/// Every stage at work.
fn all_on() -> Settings {
    let mut settings = Settings::default();
    settings.leveller.on = true;
    settings.leveller.makeup_db = 6.0;
    settings.breath.on = true;
    settings.breath.low_cut_hz = Some(650.0);
    settings.sibilance.proportion_lu = -12.0;
    settings.output.gain_db = -3.0;
    settings
}

/// Settings under which nothing is to be done: Sibilance off, Ranges of 0 dB, bypass.
fn nothing_to_do() -> [Settings; 3] {
    let mut off = Settings::default();
    off.sibilance.on = false;
    let mut no_range = Settings::default();
    // A loud s over a weak voice may be 20 LU over it, above every Proportion: it is Range that leaves nothing to do.
    no_range.sibilance.range_db = 0.0;
    no_range.breath.on = true;
    no_range.breath.range_db = 0.0;
    let mut bypassed = all_on();
    bypassed.output.bypass = true;
    [off, no_range, bypassed]
}

/// Nothing to do: samples that differ from the input.
pub fn identity(voice: &Voice) -> Findings {
    let mut findings = Findings::default();
    for (settings, layout) in nothing_to_do().iter().zip([LAYOUT, Layout::Mono, LAYOUT]) {
        let given = layout.lay(&voice.levelled);
        let played = Play::new(RATE_HZ, &given, settings).run();
        let differing = played.differing_samples(&given);
        findings.note_one(Quantity::IdentityDiffering, &voice.line, differing as f32);
    }
    findings
}

/// Input gains of -18 and +12 dB: what they change beyond themselves, in every channel.
pub fn invariance(voice: &Voice, treatment: &Treatment) -> Findings {
    let mut findings = Findings::default();
    if let Some(layout) = treatment.layouts().last() {
        let given = layout.lay(&treatment.given(voice));
        let plain = treatment.treat(&given);
        for gain_db in GAINS_DB {
            let gain = 10f32.powf(gain_db / 20.0);
            let with_gain = |gain: f32, sound: &[Vec<f32>]| -> Vec<Vec<f32>> {
                let scaled = |channel: &Vec<f32>| channel.iter().map(|sample| gain * sample).collect();
                sound.iter().map(scaled).collect()
            };
            let undone = with_gain(1.0 / gain, &treatment.treat(&with_gain(gain, &given)));
            // Until a voice is heard the threshold rests on the start level, which no gain moves.
            let heard = voice.heard_after(0).min(voice.levelled.len());
            let channels = plain.iter().zip(&undone).filter(|(one, _)| heard < one.len());
            let residuals = channels.map(|(one, two)| residual_db(&one[heard..], &two[heard..]));
            findings.note(Quantity::InvarianceResidual, &voice.line, residuals);
        }
    }
    findings
}

/// Blocks of 1 to 8192 samples in mixtures, every stage at work: samples and reports that differ from one block.
pub fn blocks(voice: &Voice) -> Findings {
    let settings = all_on();
    let length = voice.levelled.len().min((BLOCKS_S * RATE_HZ) as usize);
    let mut random = Random::new(length as u64, 5);
    let mut mixture = |largest: f64| -> Vec<usize> {
        let sizes = (0..40).map(|_| random.between(0.0, largest.ln()).exp().round() as usize);
        sizes.map(|size| size.max(1)).collect()
    };
    let mixtures = [vec![1], mixture(LARGEST_BLOCK), mixture(40.0)];
    let mut findings = Findings::default();
    let given = LAYOUT.lay(&voice.levelled[..length]);
    let whole = [length.max(1)];
    let play = |blocks| {
        Play {
            blocks,
            ..Play::new(RATE_HZ, &given, &settings)
        }
        .run()
    };
    let in_one = play(&whole);
    for blocks in &mixtures {
        let differing = differing(&in_one, &play(blocks));
        findings.note_one(Quantity::BlockDiffering, &voice.line, differing);
    }
    findings
}

/// A reset after other sound, and a second bounce: samples and reports that differ from the first run.
pub fn repeats(voice: &Voice) -> Findings {
    let settings = all_on();
    let given = LAYOUT.lay(&voice.levelled);
    let play = Play::new(RATE_HZ, &given, &settings);
    let mut engine = play.engine();
    let first = play.run_on(&mut engine);
    engine.reset();
    let other = &voice.raw.audio[..voice.raw.audio.len() / 3];
    let other = LAYOUT.lay(&crate::measurement::voices::conditions::scaled(other, 14.0));
    let other = Play {
        blocks: &[301],
        ..Play::new(RATE_HZ, &other, &settings)
    };
    drop(other.run_on(&mut engine));
    engine.reset();
    let again = play.run_on(&mut engine);
    let mut findings = Findings::default();
    findings.note_one(Quantity::ResetDiffering, &voice.line, differing(&first, &again));
    findings.note_one(
        Quantity::BounceDiffering,
        &voice.line,
        differing(&first, &play.run()),
    );
    findings
}

/// Samples that differ, and reports.
fn differing(one: &Played, other: &Played) -> f32 {
    let reports = one.reports.iter().zip(&other.reports);
    let reports =
        reports.filter(|(one, other)| one != other).count() + one.reports.len().abs_diff(other.reports.len());
    (one.differing_samples(&other.audio) + reports) as f32
}

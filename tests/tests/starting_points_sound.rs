//! What the starting points do to sound, in the built bundle: behind a lead, and with nothing connected.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, insert};
use siskin_tests::hosts::clap::{Plugin, Render};
use siskin_tests::measurement::levels::{
    above, k_weighted, lufs, mean, residual_db, share_within, vowel_changes_db,
};
use siskin_tests::measurement::models::levelled_hard;
use siskin_tests::measurement::voices::signals::{parts, phrases, power_db};
use siskin_tests::measurement::voices::singer::{Kind, Section, Song, sing};

const RATE_HZ: f64 = 48_000.0;
/// "Detect from" of every starting point, Hz.
const FROM_HZ: f64 = 4000.0;
/// Two seconds: four phrases.
const LENGTH: usize = 96_000;

fn started(plug_in: &str, word: &str) -> Plugin {
    let mut plugin = insert(plug_in);
    plugin.load_preset(word).unwrap();
    plugin
}

/// A voice in two channels that differ: its sibilants peak at `sibilant_peak`.
fn voice(seed: u64, sibilant_peak: f32) -> Vec<Vec<f32>> {
    (seed..seed + 2)
        .map(|seed| phrases(RATE_HZ as f32, LENGTH, seed, 0.3, sibilant_peak))
        .collect()
}

fn play(plugin: &mut Plugin, voice: &[Vec<f32>], reference: &[Vec<f32>]) -> Vec<Vec<f32>> {
    let job = Render {
        reference,
        ..Render::new(RATE_HZ, voice)
    };
    plugin.render(&job, &mut |_| {}).unwrap().audio
}

#[test]
fn each_follows_its_own_track_without_a_reference() {
    let (phrases, song) = (voice(1, 0.9), levelled(&sing(RATE_HZ, 1)));
    // A breath track needs breaths.
    for (word, voice) in [
        ("double", &phrases),
        ("backing-stack", &phrases),
        ("breath-track", &song),
    ] {
        let render = |source: &str| {
            let mut plugin = started(SISKIN_FOLLOW, word);
            plugin.set("fol_src", source).unwrap();
            play(&mut plugin, voice, &[])
        };
        let alone = render("Reference voice");
        assert!(alone == render("This track"), "{word}");
        assert!(alone != *voice, "{word}: nothing was done");
    }
}

#[test]
fn tracks_behind_a_lead_have_softer_sibilants_and_whole_vowels() {
    // Soft enough for no Range to be the limit.
    let (voice, lead) = (voice(1, 0.25), voice(5, 0.25));
    // Of the last phrase, between its slopes.
    let sibilant = (1.82 * RATE_HZ) as usize..(1.94 * RATE_HZ) as usize;
    let vowel = (1.56 * RATE_HZ) as usize..(1.72 * RATE_HZ) as usize;
    let levels_db = |plug_in: &str, word: &str, reference: &[Vec<f32>]| -> Vec<f64> {
        let audio = play(&mut started(plug_in, word), &voice, reference);
        let channels = audio.iter().zip(&voice);
        channels
            .map(|(output, input)| {
                let vowel_db = residual_db(&input[vowel.clone()], &output[vowel.clone()]);
                assert!(vowel_db < -40.0, "{word}: vowels changed by {vowel_db} dB");
                power_db(&above(output, RATE_HZ, FROM_HZ)[sibilant.clone()])
            })
            .collect()
    };
    let own = levels_db(SISKIN, "lead", &[]);
    let double = levels_db(SISKIN_FOLLOW, "double", &lead);
    let stack = levels_db(SISKIN_FOLLOW, "backing-stack", &lead);
    for channel in 0..2 {
        assert!(double[channel] < own[channel] - 2.0, "{double:?} {own:?}");
        assert!(stack[channel] < double[channel] - 1.0, "{stack:?} {double:?}");
    }
}

/// A singer's song as it leaves a hard leveller and a boost of the top end, in two channels 6 dB apart.
fn levelled(song: &Song) -> Vec<Vec<f32>> {
    let levelled = levelled_hard(&song.audio, RATE_HZ);
    let softer = levelled.iter().map(|sample| 0.5 * sample).collect();
    vec![levelled, softer]
}

#[test]
fn levelled_voice_keeps_its_vowels_and_has_softer_breaths() {
    let [first, second, third] = [1, 7, 2026].map(|seed| sing(RATE_HZ, seed));
    let lead = levelled(&first);
    for (plug_in, word, song, reference) in [
        (SISKIN, "lead", &first, &[][..]),
        (SISKIN_FOLLOW, "double", &second, &lead),
        (SISKIN_FOLLOW, "backing-stack", &third, &lead),
    ] {
        let before = levelled(song);
        let after = play(&mut started(plug_in, word), &before, reference);
        for ((before, after), section) in before
            .iter()
            .zip(&after)
            .flat_map(|pair| Section::ALL.map(|section| (pair, section)))
        {
            let changes_db =
                |kind: Kind| vowel_changes_db(before, after, RATE_HZ, &song.spans(section, kind));
            let vowels_db = changes_db(Kind::Vowel);
            let (vowel_db, share) = (mean(&vowels_db), share_within(&vowels_db, 0.5));
            let place = format!(
                "{word}, {}: vowels {vowel_db:+.3} dB, {share:.3} within 0.5 dB",
                section.name()
            );
            assert!(vowel_db.abs() <= 0.1 && share > 0.99, "{place}");
            // The verse's breaths are soft enough as they are.
            let breath_db = mean(&changes_db(Kind::Breath));
            assert!(
                section == Section::Verse || breath_db < -0.2,
                "{place}, breaths {breath_db:+.1} dB"
            );
        }
    }
}

/// The samples of a song that are breaths, or those that are not; silence for the others.
fn only(song: &Song, breaths: bool) -> Vec<f32> {
    let mut audio = song.audio.clone();
    for label in &song.labels {
        if (label.kind == Kind::Breath) != breaths {
            audio[label.start..label.end].fill(0.0);
        }
    }
    audio
}

/// Levels, LU re the vowels of the lead in the same section, of every breath but the first of a section: that one is held
/// against the voice before it, which may be another by far.
fn breaths_lu(song: &Song, audio: &[f32]) -> Vec<f32> {
    let (lead, audio) = (k_weighted(&song.audio, RATE_HZ), k_weighted(audio, RATE_HZ));
    let of_section = |section: Section| {
        let vowels_lufs = lufs(&parts(&lead, song.spans(section, Kind::Vowel)));
        let breaths = song.spans(section, Kind::Breath).into_iter().skip(1);
        breaths
            .map(|span| lufs(&audio[span]) - vowels_lufs)
            .collect::<Vec<_>>()
    };
    Section::ALL.into_iter().flat_map(of_section).collect()
}

fn below(audio: &[f32], hz: f64) -> Vec<f32> {
    let high = above(audio, RATE_HZ, hz);
    audio.iter().zip(high).map(|(all, high)| all - high).collect()
}

#[test]
fn breath_track_lies_under_the_lead_without_rumble() {
    /// Loud enough that there is something to do, and farther from the voice than what the stage takes for a word's start.
    const TO_BE_HELD_LU: std::ops::Range<f32> = -19.0..-10.0;
    let song = sing(RATE_HZ, 1);
    let lead = vec![only(&song, false); 2];
    // Close to the microphone, each channel in its own way.
    let breaths: Vec<Vec<f32>> = [4.0, 3.0]
        .map(|gain| only(&song, true).iter().map(|sample| gain * sample).collect())
        .into();
    let audio = play(&mut started(SISKIN_FOLLOW, "breath-track"), &breaths, &lead);
    for (before, after) in breaths.iter().zip(&audio) {
        let [before_lu, after_lu] = [before, after].map(|audio| breaths_lu(&song, audio));
        let [low_before_lu, low_after_lu] =
            [before, after].map(|audio| breaths_lu(&song, &below(audio, 300.0)));
        let held: Vec<usize> = (0..before_lu.len())
            .filter(|&breath| TO_BE_HELD_LU.contains(&before_lu[breath]))
            .collect();
        assert!(held.len() >= 5, "{before_lu:.1?}");
        let over_held =
            |of: &dyn Fn(usize) -> f32| held.iter().map(|&breath| of(breath)).collect::<Vec<f32>>();

        // Asked: -20 LU, and what the low cut takes beside.
        let proportions_lu = over_held(&|breath| after_lu[breath]);
        assert!((mean(&proportions_lu) + 21.0).abs() < 2.0, "{proportions_lu:.1?}");
        assert!(
            proportions_lu.iter().all(|lu| (-25.0..-17.5).contains(lu)),
            "{proportions_lu:.1?}"
        );
        let change_db = mean(&over_held(&|breath| after_lu[breath] - before_lu[breath]));
        let low_change_db = mean(&over_held(&|breath| low_after_lu[breath] - low_before_lu[breath]));
        assert!(
            low_change_db < change_db - 5.0,
            "{low_change_db} dB, {change_db} dB"
        );
    }
}

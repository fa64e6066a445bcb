//! The main job on a whole song, through the built bundle: every section's sibilants keep their proportion to the
//! voice, whatever the seed of the singer, and wherever playback starts.

use std::ops::Range;

use siskin_dsp::{Engine, EngineConfig, HopReport, Lookahead, Settings, SibilanceSettings};
use siskin_tests::host::Render;
use siskin_tests::measure::{
    above, asked_reduction_db, k_weighted, lufs, mean, read_sibilants, share_within, vowel_changes_db,
};
use siskin_tests::oracle::{HARD_LEVELLER, boost, compress};
use siskin_tests::pieces;
use siskin_tests::voices::{Kind, Section, Song, sing};

const RATE_HZ: f64 = 48_000.0;
const FROM_HZ: f64 = 4000.0;
/// Any singer will do; each draws its own levels, lengths and noise.
const SEEDS: [u64; 3] = [1, 7, 2026];

/// The song as it leaves a hard leveller and a boost of the top end.
fn levelled_and_boosted(song: &Song) -> Vec<f32> {
    boost(&compress(&song.audio, RATE_HZ, &HARD_LEVELLER).audio, RATE_HZ)
}

fn proportions_lu(song: &Song, section: Section, audio: &[f32]) -> Vec<f32> {
    let (sibilants, vowels) = (
        song.spans(section, Kind::Sibilant),
        song.spans(section, Kind::Vowel),
    );
    let readings = read_sibilants(audio, RATE_HZ, &sibilants, &vowels, FROM_HZ);
    readings.iter().map(|reading| reading.proportion_lu()).collect()
}

/// What a new insert makes of a sibilant whose band lies `excess_lu` above the threshold.
fn asked_db(excess_lu: f32) -> f32 {
    let settings = SibilanceSettings::default();
    asked_reduction_db(excess_lu, settings.ratio, settings.range_db)
}

/// The bundle's Siskin at its defaults, in stereo, the second channel 6 dB down.
fn through_the_bundle(audio: &[f32]) -> Vec<Vec<f32>> {
    let voice = [audio.to_vec(), audio.iter().map(|sample| 0.5 * sample).collect()];
    let mut insert = pieces::insert("Siskin");
    let rendering = insert.render(&Render::new(RATE_HZ, &voice), &mut |_frames| {});
    rendering.expect("the bundle renders the song").audio
}

fn reports(audio: &[f32]) -> Vec<HopReport> {
    let config = EngineConfig {
        sample_rate_hz: RATE_HZ,
        channels: 1,
        reference_channels: 0,
        lookahead: Lookahead::Long,
    };
    let mut engine = Engine::new(config, &Settings::default());
    let mut audio = audio.to_vec();
    let mut reports = Vec::new();
    engine.process(&mut [&mut audio], &[], &mut |report| reports.push(*report));
    reports
}

fn mean_over(reports: &[HopReport], span: Range<i64>, say: impl Fn(&HopReport) -> f32) -> f32 {
    let within = reports
        .iter()
        .filter(|report| span.contains(&report.centre_sample));
    mean(&within.map(say).collect::<Vec<_>>())
}

#[test]
fn every_section_keeps_its_proportion_measured_from_outside() {
    for seed in SEEDS {
        let song = sing(RATE_HZ, seed);
        let before = levelled_and_boosted(&song);
        for (channel, after) in through_the_bundle(&before).into_iter().enumerate() {
            for section in Section::ALL {
                let place = format!("seed {seed}, channel {channel}, {}", section.name());
                let proportion_lu = SibilanceSettings::default().proportion_lu;
                let untamed = proportions_lu(&song, section, &before);
                let errors: Vec<f32> = proportions_lu(&song, section, &after)
                    .iter()
                    .zip(&untamed)
                    .map(|(after, before)| after - (before - asked_db(before - proportion_lu)))
                    .collect();
                assert!(mean(&untamed) > -4.5, "{place}: nothing to do");
                assert!(
                    mean(&errors).abs() <= 0.5,
                    "{place}: {:+.2} LU off on average",
                    mean(&errors)
                );
                assert!(
                    share_within(&errors, 2.0) >= 0.95,
                    "{place}: {:.2} within 2 LU",
                    share_within(&errors, 2.0)
                );
                let before: Vec<f32> = if channel == 0 {
                    before.clone()
                } else {
                    before.iter().map(|sample| 0.5 * sample).collect()
                };
                let changes = vowel_changes_db(&before, &after, RATE_HZ, &song.spans(section, Kind::Vowel));
                assert!(
                    mean(&changes).abs() <= 0.1,
                    "{place}: vowels {:+.3} dB",
                    mean(&changes)
                );
                assert!(
                    share_within(&changes, 0.5) > 0.99,
                    "{place}: vowels beyond 0.5 dB"
                );
            }
        }
    }
}

#[test]
fn sibilants_come_out_where_the_stages_own_threshold_asks() {
    let band = |audio: &[f32]| k_weighted(&above(audio, RATE_HZ, FROM_HZ), RATE_HZ);
    for seed in SEEDS {
        let song = sing(RATE_HZ, seed);
        let before = levelled_and_boosted(&song);
        // Linked detection hears both channels together: the trace must see what the bundle sees.
        let mut insert = pieces::insert("Siskin");
        insert.select_channels(1).expect("a mono layout");
        let voice = [before.clone()];
        let after = insert
            .render(&Render::new(RATE_HZ, &voice), &mut |_frames| {})
            .expect("a rendering")
            .audio;
        let reports = reports(&before);
        let (before, after) = (band(&before), band(&after[0]));
        for section in [Section::Verse, Section::Chorus] {
            let errors: Vec<f32> = song
                .spans(section, Kind::Sibilant)
                .into_iter()
                .map(|span| {
                    let threshold =
                        mean_over(&reports, span.start as i64..span.end as i64, |r| r.threshold_lufs);
                    let input = lufs(&before[span.clone()]);
                    lufs(&after[span]) - (input - asked_db(input - threshold))
                })
                .collect();
            let share = share_within(&errors, 1.0);
            assert!(
                share >= 0.95,
                "seed {seed}, {}: {share:.2} within 1 LU",
                section.name()
            );
        }
    }
}

/// Samples at which half a second of labelled vowels has passed since `start`.
fn half_a_second_of_voice_after(song: &Song, start: usize) -> usize {
    let mut needed = (0.5 * RATE_HZ) as usize;
    for label in song
        .labels
        .iter()
        .filter(|label| label.kind == Kind::Vowel && label.end > start)
    {
        let from = label.start.max(start);
        if label.end - from >= needed {
            return from + needed;
        }
        needed -= label.end - from;
    }
    usize::MAX
}

#[test]
fn playback_may_start_anywhere() {
    let song = sing(RATE_HZ, 2026);
    let audio = levelled_and_boosted(&song);
    let from_the_top = reports(&audio);
    let mut compared = 0;
    for start in (0..audio.len()).step_by((3.7 * RATE_HZ) as usize).skip(1) {
        let from_here = reports(&audio[start..]);
        let settled = half_a_second_of_voice_after(&song, start);
        let sibilants = song
            .labels
            .iter()
            .filter(|label| label.kind == Kind::Sibilant && label.start > settled);
        for label in sibilants {
            let (begin, end, shift) = (label.start as i64, label.end as i64, start as i64);
            let top_db = mean_over(&from_the_top, begin..end, |r| r.sibilance_gain_db);
            let here_db = mean_over(&from_here, begin - shift..end - shift, |r| r.sibilance_gain_db);
            compared += 1;
            assert!(
                (top_db - here_db).abs() <= 0.5,
                "{top_db} dB from the top, {here_db} dB from {start}"
            );
        }
    }
    assert!(compared > 300, "only {compared} sibilants were compared");
}

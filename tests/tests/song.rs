//! The main job on a whole song, through the built bundle: every section's sibilants keep their proportion to the
//! voice, whatever the seed of the singer. The measures are those of `cargo xtask properties`.

use std::sync::LazyLock;

use siskin_dsp::Settings;
use siskin_tests::hosts::built;
use siskin_tests::hosts::clap::Render;
use siskin_tests::measurement::figures::properties::{
    BeforeAfter, Layout, Play, Quantity, RATE_HZ, SINGERS, Voice, both_channels, double, errors_lu, from_hz,
    own_rule, proportions_lu, sibilance_settings, sibilant_asked_db,
};
use siskin_tests::measurement::levels::{mean, near, share_within, vowel_changes_db};

/// The singers, each with her levelled song.
static VOICES: LazyLock<[Voice; 3]> = LazyLock::new(|| SINGERS.map(Voice::singer));

/// A new insert of the bundle on these channels.
fn through_the_bundle(voice: &[Vec<f32>]) -> Vec<Vec<f32>> {
    let mut insert = built::insert(built::SISKIN);
    insert.select_channels(voice.len()).expect("mono and stereo");
    let rendering = insert.render(&Render::new(RATE_HZ, voice), &mut |_frames| {});
    rendering.expect("the bundle renders the song").audio
}

#[test]
fn every_section_keeps_its_proportion_measured_from_outside() {
    for voice in VOICES.iter() {
        let given = Layout::Scaled.lay(&voice.levelled);
        let rendered = through_the_bundle(&given);
        assert_eq!(rendered.len(), 2);
        for (channel, (before, after)) in given.iter().zip(&rendered).enumerate() {
            let levels = BeforeAfter::new(before, after);
            for passage in &voice.passages {
                let place = format!("{}, channel {channel}", passage.name);
                let untamed = proportions_lu(before, &passage.sibilants, &passage.vowels);
                assert!(mean(&untamed) > -4.5, "{place}: nothing to do");
                let errors = levels.errors_lu(&passage.sibilants, &passage.vowels);
                assert_eq!(errors.len(), passage.sibilants.len());
                near(mean(&errors), 0.0, 0.5, &place);
                assert!(
                    share_within(&errors, 2.0) >= 0.95,
                    "{place}: {:.2} within 2 LU",
                    share_within(&errors, 2.0)
                );
                let changes = vowel_changes_db(before, after, RATE_HZ, &passage.vowels);
                near(mean(&changes), 0.0, 0.1, &place);
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
    for voice in VOICES.iter() {
        let findings = own_rule(voice);
        let passages: Vec<_> = findings.passages(Quantity::OwnError).collect();
        assert_eq!(passages.len(), 3);
        for (passage, errors) in passages {
            assert!(errors.len() > 10, "{passage}: only {} sibilants", errors.len());
            let share = share_within(errors, 1.0);
            assert!(share >= 0.95, "{passage}: {share:.2} within 1 LU");
        }
    }
}

#[test]
fn the_bundle_sounds_as_the_engine_that_the_properties_are_measured_on() {
    let voice = &VOICES[0];
    for layout in [Layout::Mono, Layout::Different] {
        let given = layout.lay(&voice.levelled);
        let settings = Settings::default();
        let played = Play::new(RATE_HZ, &given, &settings).run();
        assert_ne!(played.differing_samples(&given), 0, "nothing was done");
        assert_eq!(
            played.differing_samples(&through_the_bundle(&given)),
            0,
            "{layout:?}"
        );
    }
}

#[test]
fn a_double_in_the_bundle_keeps_its_proportion_to_the_lead() {
    let lead = &VOICES[0];
    let track = double(lead);
    let settings = sibilance_settings().sibilance;
    for gain in [0.25_f32, 4.0] {
        let moved: Vec<f32> = track.audio.iter().map(|sample| gain * sample).collect();
        let mut insert = built::insert(built::SISKIN_FOLLOW);
        for (id, value) in [
            ("sib_prop", format!("{} LU", settings.proportion_lu)),
            ("sib_range", format!("{} dB", settings.range_db)),
        ] {
            insert.set(id, &value).expect("a parameter of the insert");
        }
        let (voice, reference) = (both_channels(&moved), both_channels(&lead.levelled));
        let job = Render {
            reference: &reference,
            ..Render::new(RATE_HZ, &voice)
        };
        let after = insert.render(&job, &mut |_frames| {}).expect("a rendering").audio;
        assert_eq!(after.len(), 2);
        let rule = (from_hz(), sibilant_asked_db);
        let errors = errors_lu(lead, (&moved, &after), &track.events, rule);
        assert!(errors.len() > 100, "only {} sibilants", errors.len());
        let share = share_within(&errors, 2.0);
        assert!(share >= 0.95, "gain {gain}: {share:.3} within 2 LU of the lead");
    }
}

//! What a survey doubts and proposes, on the singer's voice and on what is done to it.

use siskin_dsp::{Channels, Class, HopReport, Settings, SongSection, section_of};
use siskin_host::audio_file::Audio;
use siskin_host::resampled;
use siskin_tests::measurement::models::levelled_hard;
use siskin_tests::measurement::voices::signals::{noise, peak};
use siskin_tests::measurement::voices::singer::{sing, sing_along};

use super::doubts::Doubted;
use super::listen::{Heard, listen};
use super::propose::Role;
use super::sibilants::EventListener;

const RATE_HZ: u32 = 48_000;
/// Enough of the song for a proposal, s.
const SECONDS: usize = 20;

fn sung(seed: u64) -> Vec<f32> {
    let mut audio = sing(f64::from(RATE_HZ), seed).audio;
    audio.truncate(SECONDS * RATE_HZ as usize);
    audio
}

/// What is doubted of a track.
fn doubts(role: Role, audio: &[f32], reference: Option<&Audio>) -> Vec<String> {
    let voice = Audio::new(RATE_HZ, vec![audio.to_vec()]);
    let mut settings = Settings::default();
    // Where this singer's sibilants begin: there is nothing to set but Proportion.
    settings.sibilance.from_hz = 3000.0;
    let heard: Heard = listen(&voice, None, Channels::Linked, &settings);
    let proposal = role.proposal(&heard, &settings.sibilance);
    let doubted = Doubted {
        role,
        voice: &voice,
        heard: &heard,
        sections: &heard.levels.sections(),
        is_natural: proposal.is_natural,
        reference: reference.map(|reference| (reference, RATE_HZ)),
    };
    doubted.doubts()
}

#[test]
fn a_good_levelled_lead_raises_no_doubt_and_bad_ones_say_what_is_wrong() {
    let raw = sung(3);
    let loud = levelled_hard(&raw, f64::from(RATE_HZ));
    let peak = peak(&loud);
    let good: Vec<f32> = loud.iter().map(|sample| 0.5 / peak * sample).collect();
    assert_eq!(doubts(Role::Lead, &good, None), [""; 0]);
    let natural = "The sibilants are natural already: there is nothing to do.";
    // The verse's median lies at the edge of what is natural, the chorus' deep in it.
    let chorus = sing(f64::from(RATE_HZ), 3).audio.split_off(raw.len());
    assert_eq!(doubts(Role::Lead, &chorus, None), [natural]);
    assert_eq!(
        doubts(Role::Lead, &vec![0.0; good.len()], None),
        ["No voice was found."]
    );
    let clipped: Vec<f32> = good
        .iter()
        .map(|sample| (3.0 * sample).clamp(-1.0, 1.0))
        .collect();
    assert!(doubts(Role::Lead, &clipped, None)[0].starts_with("The input is clipped in "));
    let hiss = |amplitude: f32| {
        std::iter::zip(&good, noise(1)).map(move |(sample, noise)| sample + amplitude * noise)
    };
    assert!(doubts(Role::Lead, &hiss(0.03).collect::<Vec<_>>(), None)[0].starts_with("The noise is only "));
    assert_eq!(
        doubts(Role::Lead, &hiss(0.0003).collect::<Vec<_>>(), None),
        [""; 0]
    );
    let narrow = resampled(&resampled(&good, 48_000.0, 16_000.0), 16_000.0, 48_000.0);
    let said = doubts(Role::Lead, &narrow, None);
    assert!(
        said.len() == 1 && said[0].starts_with("The sibilants end at "),
        "{said:?}"
    );
}

#[test]
fn references_that_do_not_fit_are_told() {
    let lead = Audio::new(RATE_HZ, vec![sung(3)]);
    let mut double = sing_along(f64::from(RATE_HZ), 3, 4).audio;
    double.truncate(lead.length());
    let of = |double: &[f32]| doubts(Role::Double, double, Some(&lead));
    assert_eq!(of(&double), [""; 0]);
    let late = |samples: usize| [vec![0.0; samples], double[..double.len() - samples].to_vec()].concat();
    assert_eq!(of(&late(960)), [""; 0], "20 ms are as good as none");
    assert_eq!(
        of(&late(57_600)),
        ["The track seems to be 1.20 s later than the lead: align them."]
    );
    assert_eq!(
        of(&double[28_800..]),
        [
            "The track is 0.6 s shorter than the lead.",
            "The track seems to be 0.60 s earlier than the lead: align them."
        ]
    );
    assert_eq!(of(&sung(9)), [""; 0], "another song has no place that would fit");
}

#[test]
fn events_are_held_against_the_rule() {
    let mut settings = Settings::default();
    settings.sibilance.range_db = 4.0;
    let mut listener = EventListener::new(f64::from(RATE_HZ), &settings);
    let mut events = Vec::new();
    let mut play = |class, sibilance_lufs: f32, hops: usize| {
        for _ in 0..hops {
            let report = HopReport {
                class,
                voice_detected: true,
                voice_lufs: -20.0,
                sibilance_lufs,
                sibilance_gain_db: -3.0,
                ..HopReport::default()
            };
            events.extend(listener.add(&report, 0.01));
        }
    };
    play(Class::Sibilant, -20.0, 10);
    play(Class::Voice, -120.0, 10);
    // Too short for a level.
    play(Class::Sibilant, -20.0, 1);
    play(Class::Voice, -120.0, 10);
    play(Class::Sibilant, -23.0, 10);
    play(Class::Voice, -120.0, 1);
    let [cut_off, held] = events[..] else {
        panic!("{events:?}")
    };
    // 6 LU over the threshold, of which 6 : 1 takes five, less a third at the knee; Range ends that at four.
    assert!(
        (cut_off.asked_lu + 4.0).abs() < 1e-3 && cut_off.is_limited,
        "{cut_off:?}"
    );
    assert!((cut_off.before_lu).abs() < 1e-3 && (cut_off.error_lu() - 1.0).abs() < 1e-3);
    assert!((held.asked_lu + 5.5).abs() < 0.3 && !held.is_limited, "{held:?}");
}

#[test]
fn times_belong_to_the_section_that_has_begun() {
    let section = |start_s: f32, end_s: f32| SongSection {
        start_s,
        end_s,
        voice_lufs: -20.0,
    };
    let sections = [section(1.0, 5.0), section(8.0, 9.0)];
    let of = |seconds: f32| section_of(&sections, seconds);
    assert_eq!([0.0, 1.0, 6.0, 8.0, 99.0].map(of), [1, 1, 1, 2, 2]);
    assert_eq!(section_of(&[], 3.0), 0);
}

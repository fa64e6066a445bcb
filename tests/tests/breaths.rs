//! Breaths are held in proportion to the voice, also where a leveller has brought them up to it, and nothing else is.

use siskin_dsp::Settings;
use siskin_tests::measurement::figures::breathing::{BreathReading, Breathing, OtherReading};
use siskin_tests::measurement::figures::properties::Play;
use siskin_tests::measurement::levels::{mean, share_within};
use siskin_tests::measurement::models::levelled_hard;
use siskin_tests::measurement::voices::conditions::Condition;
use siskin_tests::measurement::voices::corpus::{Corpus, Recording, Sound, from_song};
use siskin_tests::measurement::voices::singer::sing;

/// The least that must be asked of a breath for its reading to say anything, dB.
const SOMETHING_DB: f32 = 3.0;

fn settings() -> Settings {
    let mut settings = Settings::default();
    settings.breath.on = true;
    settings
}

/// Everything that was read of some recordings.
#[derive(Default)]
struct Readings {
    breaths: Vec<BreathReading>,
    others: Vec<OtherReading>,
    falls_back_db: Vec<f32>,
}

impl Readings {
    fn of(recordings: &[Recording]) -> Self {
        let mut all = Self::default();
        for recording in recordings {
            let voice = [recording.audio.clone()];
            let played = Play::new(recording.sample_rate_hz, &voice, &settings()).run();
            let breathing = Breathing::new(recording, &played);
            all.breaths.extend(breathing.breaths(&settings().breath));
            all.others.extend(breathing.others());
            all.falls_back_db.extend(breathing.falls_back_db());
        }
        all
    }

    fn lost_db(&self, is: impl Fn(Sound) -> bool) -> Vec<f32> {
        let those = self.others.iter().filter(|other| is(other.sound));
        those.map(|other| other.lost_db).collect()
    }

    /// Prints and asserts that nothing but breaths was held; `within_1_db` is the least share of breaths held to 1 dB.
    fn assert_held(&self, name: &str, within_1_db: f32) {
        let asked = self
            .breaths
            .iter()
            .filter(|breath| breath.asked_db >= SOMETHING_DB);
        let errors: Vec<f32> = asked.map(|breath| breath.lost_db - breath.asked_db).collect();
        let voice = self.lost_db(|sound| sound.is_voice() || sound.is_sibilant());
        let weak = self.lost_db(|sound| sound == Sound::WeakFricative);
        let falls = &self.falls_back_db;
        println!(
            "{name}: {} breaths, {:+.2} dB on average, {:.1} % within 1 dB; {} voiced or sibilant, {:.3} dB, {:.2} % beyond \
             0.5 dB; {} f th h, {:.3} dB, {:.2} % beyond 1 dB; {} words after a breath, {:.1} % without a fall back",
            errors.len(),
            mean(&errors),
            100.0 * share_within(&errors, 1.0),
            voice.len(),
            mean(&voice),
            100.0 * (1.0 - share_within(&voice, 0.5)),
            weak.len(),
            mean(&weak),
            100.0 * (1.0 - share_within(&weak, 1.0)),
            falls.len(),
            100.0 * share_within(falls, 0.2),
        );
        assert!(
            errors.len() > 8 && voice.len() > 100 && weak.len() > 20,
            "{name}: too little to tell"
        );
        assert!(share_within(&errors, 1.0) >= within_1_db, "{name}: breaths");
        assert!(
            mean(&voice) <= 0.1 && share_within(&voice, 0.5) > 0.99,
            "{name}: the voice was touched"
        );
        assert!(
            share_within(&weak, 1.0) >= 0.95,
            "{name}: f, th and h were held as breaths"
        );
        assert!(
            share_within(falls, 0.2) >= 0.8,
            "{name}: the gain fell back between breath and word"
        );
    }
}

fn levelled(recording: &Recording) -> Recording {
    recording.with_audio(levelled_hard(&recording.audio, recording.sample_rate_hz))
}

#[test]
fn the_singers_breaths_are_held_and_nothing_else_is() {
    let songs = [1, 7, 2026].map(|seed| from_song(&sing(48_000.0, seed)));
    Readings::of(&songs).assert_held("songs", 0.95);
    Readings::of(&songs.each_ref().map(levelled)).assert_held("songs, levelled", 0.95);
}

#[test]
fn breaths_between_the_words_of_other_voices_are_held_and_nothing_else_is() {
    let corpus = Corpus::of_this_run().unwrap();
    let recordings = corpus.recordings.iter();
    let breathing: Vec<Recording> = recordings
        .map(|recording| Condition::CloseBreaths.apply(recording, 1))
        .collect();
    Readings::of(&breathing).assert_held("corpus", 0.43);
    let levelled: Vec<Recording> = breathing.iter().map(levelled).collect();
    Readings::of(&levelled).assert_held("corpus, levelled", 0.9);
}

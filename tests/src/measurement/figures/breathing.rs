//! What the breath stage does to labelled breaths, and to all that is none.

use siskin_dsp::BreathSettings;

use crate::measurement::figures::properties::{BACK_S, Played, last_of};
use crate::measurement::levels::{Energies, k_weighted, lufs_from_power};
use crate::measurement::voices::corpus::{Phone, Recording, Sound};

/// A breath is held from here on, s: it must have shown that it is one.
const SHOWN_S: f64 = 0.08;
/// What is left out at the end of a label, s: a breath fades into the room.
const FADE_S: f64 = 0.03;
/// How far into the word after a breath the gain is followed, s.
const INTO_WORD_S: f64 = 0.1;

/// One labelled breath.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BreathReading {
    /// What its level asked for, dB, from 0 to Range.
    pub asked_db: f32,
    /// What it lost, K-weighted, dB.
    pub lost_db: f32,
}

/// Some other sound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OtherReading {
    /// What it is.
    pub sound: Sound,
    /// What the breath stage took from it on average, dB.
    pub lost_db: f32,
}

/// A recording as it was played, and what was reported meanwhile.
pub struct Breathing<'a> {
    recording: &'a Recording,
    played: &'a Played,
    before: Energies,
    after: Energies,
}

impl<'a> Breathing<'a> {
    /// The recording, mono, and what came out.
    pub fn new(recording: &'a Recording, played: &'a Played) -> Self {
        let [before, after] = [&recording.audio, &played.audio[0]]
            .map(|audio| Energies::new(&k_weighted(audio, recording.sample_rate_hz)));
        Self {
            recording,
            played,
            before,
            after,
        }
    }

    /// Breaths long enough to be held, once a voice was heard. What is asked of them follows from the labelled vowels before
    /// them: against the reported voice level, one that falls in a pause would pass for a soft voice.
    pub fn breaths(&self, settings: &BreathSettings) -> Vec<BreathReading> {
        let held = self.recording.of(Sound::Breath).filter_map(|phone| {
            let span =
                phone.span.start + self.samples(SHOWN_S)..phone.span.end.saturating_sub(self.samples(FADE_S));
            let first = self.played.within(&span).first()?;
            let voice_lufs = self
                .vowels_lufs(phone.span.start)
                .filter(|_| first.voice_detected)?;
            let level_lu = self.before.lufs(&span) - voice_lufs;
            Some(BreathReading {
                asked_db: (level_lu - settings.proportion_lu).clamp(0.0, settings.range_db),
                lost_db: self.before.lufs(&span) - self.after.lufs(&span),
            })
        });
        held.collect()
    }

    /// Level of the last labelled vowels before a moment, LUFS.
    fn vowels_lufs(&self, until: usize) -> Option<f32> {
        let last = last_of(&self.recording.vowels(), until, self.samples(BACK_S));
        let power = self.before.power_within(last, &(0..until))?;
        (power > 0.0).then(|| lufs_from_power(power))
    }

    /// Everything else that is labelled.
    pub fn others(&self) -> Vec<OtherReading> {
        let others = self
            .recording
            .phones
            .iter()
            .filter(|phone| phone.sound != Sound::Breath);
        others
            .filter_map(|phone| {
                let hops = self.played.within(&phone.span);
                (!hops.is_empty()).then(|| OtherReading {
                    sound: phone.sound,
                    lost_db: -hops.iter().map(|hop| hop.breath_gain_db).sum::<f32>() / hops.len() as f32,
                })
            })
            .collect()
    }

    /// From each breath into the word after it: how far the gain ever falls back on its way up, dB, not negative.
    pub fn falls_back_db(&self) -> Vec<f32> {
        let phones = &self.recording.phones;
        let pairs = phones
            .iter()
            .enumerate()
            .filter(|(_, phone)| phone.sound == Sound::Breath);
        pairs
            .filter_map(|(index, breath)| {
                let spoken =
                    |phone: &&Phone| !matches!(phone.sound, Sound::Rest | Sound::Breath | Sound::Other);
                let word = phones[index..].iter().find(spoken)?;
                let start = breath.span.end.saturating_sub(self.samples(FADE_S));
                let hops = self
                    .played
                    .within(&(start..word.span.start + self.samples(INTO_WORD_S)));
                let (_, fall_db) = hops
                    .iter()
                    .fold((f32::NEG_INFINITY, 0f32), |(highest, fall), hop| {
                        let gain_db = hop.breath_gain_db;
                        (highest.max(gain_db), fall.max(highest - gain_db))
                    });
                Some(fall_db)
            })
            .collect()
    }

    fn samples(&self, seconds: f64) -> usize {
        (seconds * self.recording.sample_rate_hz) as usize
    }
}

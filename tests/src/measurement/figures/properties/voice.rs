//! A labelled voice as it arrives at the insert: levelled hard, its top boosted.

use std::ops::Range;

use super::defaults::RATE_HZ;
use super::phrases::{repeated, sounding};
use crate::measurement::models::levelled_hard;
use crate::measurement::voices::conditions::driven;
use crate::measurement::voices::corpus::resample::to_rate;
use crate::measurement::voices::corpus::{Half, Origin, Precision, Recording, Sound, from_song};
use crate::measurement::voices::singer::{Kind, Section, sing};

/// The singers who stand for the synthetic voice of our own: any seeds would do.
pub const SINGERS: [u64; 3] = [1, 7, 2026];
/// A clip that is shorter is played again and again until it lasts as long, s: a voice must have been heard before
/// anything can be said of its sibilants.
const SHORTEST_S: f64 = 3.0;
/// Voiced material after which a voice counts as heard, s (the row "start anywhere").
const HEARD_S: f64 = 0.5;

/// Where a voice comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum VoiceKind {
    /// The seeded singer of this rig.
    Singer,
    /// Another speech synthesiser.
    Synthetic,
    /// A person.
    Real,
}

impl VoiceKind {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Singer, Self::Synthetic, Self::Real];

    /// Its name for a person.
    pub fn name(self) -> &'static str {
        match self {
            Self::Singer => "singer",
            Self::Synthetic => "synthetic",
            Self::Real => "real",
        }
    }
}

/// Labels that are read together: a section of a song, or a whole recording.
#[derive(Debug, Clone, PartialEq)]
pub struct Passage {
    /// Unique among all voices' passages but for clips of one line, which are read together.
    pub name: String,
    /// Its labelled sibilants where they sound, samples, in order.
    pub sibilants: Vec<Range<usize>>,
    /// Its labelled vowels, samples, in order.
    pub vowels: Vec<Range<usize>>,
}

/// One labelled voice, mono, at 48 kHz.
#[derive(Debug, Clone)]
pub struct Voice {
    /// The line of a table that it belongs to: clips of one source and language share one.
    pub line: String,
    /// Where it comes from.
    pub kind: VoiceKind,
    /// The seed of the singer, if it is one.
    pub seed: Option<u64>,
    /// Whether thresholds may be searched on it.
    pub half: Half,
    /// The rate at which it was recorded, Hz: it holds nothing above half of that.
    pub own_rate_hz: f64,
    /// Before levelling, with every label.
    pub raw: Recording,
    /// After the hard leveller and the boost of the top: what the insert is given.
    pub levelled: Vec<f32>,
    /// Its labels by passage, in order.
    pub passages: Vec<Passage>,
}

impl Voice {
    /// The seeded singer's whole song, in three passages; as in the demo, the chorus loses some 20 dB.
    pub fn singer(seed: u64) -> Self {
        let song = sing(RATE_HZ, seed);
        let line = format!("singer, seed {seed}");
        let passages = Section::ALL.map(|section| Passage {
            name: format!("{line}, {}", section.name().to_lowercase()),
            sibilants: song.spans(section, Kind::Sibilant),
            vowels: song.spans(section, Kind::Vowel),
        });
        Self {
            levelled: levelled(&song.audio),
            kind: VoiceKind::Singer,
            seed: Some(seed),
            half: Half::of_singer(seed),
            own_rate_hz: RATE_HZ,
            raw: from_song(&song),
            passages: passages.into(),
            line,
        }
    }

    /// A recording of the corpus, brought to 48 kHz and to such a level that its loudest vowels lose 20 dB; a short
    /// one is played again and again. None of what is not labelled.
    pub fn of(recording: &Recording) -> Option<Self> {
        if recording.precision == Precision::Unlabelled {
            return None;
        }
        let raw = driven(&repeated(&to_rate(recording, RATE_HZ), SHORTEST_S));
        let line = line(recording);
        let levelled = levelled(&raw.audio);
        let mut voice = Self {
            line,
            kind: match recording.origin {
                Origin::Real => VoiceKind::Real,
                Origin::Synthetic => VoiceKind::Synthetic,
            },
            seed: None,
            half: Half::of(recording),
            own_rate_hz: recording.sample_rate_hz,
            levelled,
            raw,
            passages: Vec::new(),
        };
        let passage = voice.passage_of(&voice.raw.with_audio(voice.levelled.clone()));
        voice.passages.push(passage);
        Some(voice)
    }

    /// The labels of a recording, as this voice has it, in one passage. Those of a singer are whole while they are exact.
    pub(crate) fn passage_of(&self, recording: &Recording) -> Passage {
        let labels = recording.spans(Sound::is_sibilant);
        let is_whole = self.seed.is_some() && recording.precision == Precision::Exact;
        Passage {
            name: self.line.clone(),
            sibilants: if is_whole {
                labels
            } else {
                sounding(&recording.audio, &labels)
            },
            vowels: recording.vowels(),
        }
    }

    /// Every labelled sibilant, in order.
    pub fn sibilants(&self) -> Vec<Range<usize>> {
        let sibilants = self.passages.iter().flat_map(|passage| &passage.sibilants);
        sibilants.cloned().collect()
    }

    /// Every labelled vowel, in order.
    pub fn vowels(&self) -> Vec<Range<usize>> {
        let vowels = self.passages.iter().flat_map(|passage| &passage.vowels);
        vowels.cloned().collect()
    }

    /// The sibilants of one of its passages that begin once the voice has been heard.
    pub fn heard_sibilants(&self, passage: &Passage) -> Vec<Range<usize>> {
        let settled = self.heard_after(0);
        let sibilants = passage.sibilants.iter();
        sibilants.filter(|span| span.start > settled).cloned().collect()
    }

    /// The sibilants that begin after `sample`.
    pub fn sibilants_after(&self, sample: usize) -> Vec<Range<usize>> {
        let mut sibilants = self.sibilants();
        sibilants.retain(|span| span.start > sample);
        sibilants
    }

    /// The sample at which half a second of labelled vowels has passed since `start`; beyond every sample where that
    /// never comes.
    pub fn heard_after(&self, start: usize) -> usize {
        let vowels = self.passages.iter().flat_map(|passage| &passage.vowels);
        after_so_much(vowels, start, (HEARD_S * RATE_HZ) as usize)
    }

    /// Whether labels are exact to the sample.
    pub fn is_exact(&self) -> bool {
        self.raw.precision == Precision::Exact
    }
}

/// The sample at which `needed` samples of the spans have passed since `start`.
pub fn after_so_much<'a>(
    spans: impl Iterator<Item = &'a Range<usize>>,
    start: usize,
    mut needed: usize,
) -> usize {
    for span in spans.filter(|span| span.end > start) {
        let from = span.start.max(start);
        if span.end - from >= needed {
            return from + needed;
        }
        needed -= span.end - from;
    }
    usize::MAX
}

/// Less than this is nothing to Siskin: -600 dBFS.
const NOTHING: f32 = 1e-30;

/// The hard leveller of the demo and the boost of the top end. The boost rings on through digital silence, down to where
/// Siskin takes it for nothing: that is cut off here.
pub fn levelled(raw: &[f32]) -> Vec<f32> {
    let heard = levelled_hard(raw, RATE_HZ).into_iter();
    heard
        .map(|sample| if sample.abs() >= NOTHING { sample } else { 0.0 })
        .collect()
}

/// A synthetic recording has a line of its own; of the real ones, those of one package and language share one.
fn line(recording: &Recording) -> String {
    let package = recording.name.split('-').next().unwrap_or_default();
    match recording.origin {
        Origin::Synthetic => recording.name.clone(),
        Origin::Real => format!("{package}, {}", recording.language),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn half_a_second_of_voice_is_counted_from_where_one_starts() {
        let spans = [0..100, 200..300, 1000..2000];
        assert_eq!(after_so_much(spans.iter(), 0, 150), 250);
        assert_eq!(after_so_much(spans.iter(), 250, 150), 1100);
        assert_eq!(after_so_much(spans.iter(), 1500, 600), usize::MAX);
    }

    #[test]
    fn a_singer_has_three_passages_that_are_levelled() {
        let voice = Voice::singer(1);
        assert_eq!(voice.passages.len(), 3);
        assert!(
            voice
                .passages
                .iter()
                .all(|passage| passage.sibilants.len() > 10 && !passage.vowels.is_empty())
        );
        assert_eq!(voice.levelled.len(), voice.raw.audio.len());
        let settled = voice.heard_after(0);
        assert!(settled > 24_000 && settled < 5 * 48_000, "{settled}");
    }
}

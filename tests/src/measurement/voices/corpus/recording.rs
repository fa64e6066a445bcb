//! One labelled recording, whatever registry it came from.

use std::ops::Range;

use serde::Deserialize;

/// Where a voice comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// A person before a microphone.
    Real,
    /// A speech synthesiser that reports when it spoke what.
    Synthetic,
}

/// How far a label can be trusted in time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Precision {
    /// To the sample.
    Exact,
    /// An aligner's grid of 10 ms.
    #[serde(rename = "grid_10_ms")]
    Grid10Ms,
    /// There are no labels, or too few to score events by.
    Unlabelled,
}

impl Precision {
    /// What is left of it where sounds were moved by some ms: at best that of a grid.
    pub fn on_a_grid(self) -> Self {
        match self {
            Self::Exact => Self::Grid10Ms,
            other => other,
        }
    }
}

/// The kinds of sound that a detector of sibilance tells apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Sound {
    /// s, sh, ch.
    Sibilant,
    /// z, zh, j: how much of them is frication differs from voice to voice.
    VoicedSibilant,
    /// f, v, th, dh, h and their like.
    WeakFricative,
    /// A vowel or diphthong.
    Vowel,
    /// A nasal, liquid or glide.
    Sonorant,
    /// A closure and its burst.
    Stop,
    /// A breath.
    Breath,
    /// Nobody speaks.
    Rest,
    /// Whatever the labels do not name: noises, unknown words.
    Other,
}

impl Sound {
    /// s, sh, ch, z, zh, j.
    pub fn is_sibilant(self) -> bool {
        matches!(self, Self::Sibilant | Self::VoicedSibilant)
    }

    /// As a person calls it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Sibilant => "s sh ch",
            Self::VoicedSibilant => "z zh j",
            Self::WeakFricative => "f v th dh h",
            Self::Vowel => "vowel",
            Self::Sonorant => "nasal, liquid, glide",
            Self::Stop => "stop",
            Self::Breath => "breath",
            Self::Rest => "rest",
            Self::Other => "other",
        }
    }

    /// A vowel, nasal, liquid or glide: what a voice level is made of.
    pub fn is_voice(self) -> bool {
        matches!(self, Self::Vowel | Self::Sonorant)
    }
}

/// One label.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Phone {
    /// As the source writes it.
    pub symbol: String,
    /// What it is.
    pub sound: Sound,
    /// In samples.
    pub span: Range<usize>,
}

impl Phone {
    /// A label.
    pub fn new(symbol: &str, sound: Sound, span: Range<usize>) -> Self {
        let symbol = symbol.into();
        Self { symbol, sound, span }
    }

    /// The same label elsewhere.
    pub fn at(&self, span: Range<usize>) -> Self {
        Self::new(&self.symbol, self.sound, span)
    }
}

/// A mono recording and its labels.
#[derive(Debug, Clone)]
pub struct Recording {
    /// Its name within the corpus, unique.
    pub name: String,
    /// The package that it came from, with its version.
    pub source: String,
    /// Real or synthetic.
    pub origin: Origin,
    /// ISO 639-1.
    pub language: String,
    /// How far the labels can be trusted.
    pub precision: Precision,
    /// Sample rate, Hz.
    pub sample_rate_hz: f64,
    /// The sound, full scale 1.
    pub audio: Vec<f32>,
    /// In order, without overlap; there may be gaps.
    pub phones: Vec<Phone>,
}

impl Recording {
    /// The recording with another sound in place of its own.
    pub fn with_audio(&self, audio: Vec<f32>) -> Self {
        // Field by field, so that its own sound is not copied first.
        Self {
            audio,
            name: self.name.clone(),
            source: self.source.clone(),
            language: self.language.clone(),
            phones: self.phones.clone(),
            ..*self
        }
    }

    /// A synthetic sound of a test with exact labels: symbol, kind and place of each.
    #[cfg(test)]
    pub fn made_here(
        sample_rate_hz: f64,
        audio: Vec<f32>,
        labels: impl IntoIterator<Item = (&'static str, Sound, Range<usize>)>,
    ) -> Self {
        let phone = |(symbol, sound, span)| Phone::new(symbol, sound, span);
        Self {
            name: "made here".into(),
            source: "made here".into(),
            origin: Origin::Synthetic,
            language: "en".into(),
            precision: Precision::Exact,
            sample_rate_hz,
            audio,
            phones: labels.into_iter().map(phone).collect(),
        }
    }

    /// How long it lasts, s.
    pub fn duration_s(&self) -> f64 {
        self.audio.len() as f64 / self.sample_rate_hz
    }

    /// The phones of one kind, in order.
    pub fn of(&self, sound: Sound) -> impl Iterator<Item = &Phone> {
        self.phones.iter().filter(move |phone| phone.sound == sound)
    }

    /// Where the phones of such kinds lie, in order.
    pub fn spans(&self, is: impl Fn(Sound) -> bool) -> Vec<Range<usize>> {
        let phones = self.phones.iter().filter(|phone| is(phone.sound));
        phones.map(|phone| phone.span.clone()).collect()
    }

    /// Where the vowels lie, in order.
    pub fn vowels(&self) -> Vec<Range<usize>> {
        self.spans(|sound| sound == Sound::Vowel)
    }
}

//! What was sung, when.

use std::ops::Range;

/// A part of the song.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Section {
    /// Quiet.
    Verse,
    /// Breathy, a little louder.
    Middle,
    /// Shouted.
    Chorus,
}

impl Section {
    /// The sections in the order of the song.
    pub const ALL: [Section; 3] = [Section::Verse, Section::Middle, Section::Chorus];

    /// Its name for a person.
    pub fn name(self) -> &'static str {
        match self {
            Section::Verse => "Verse",
            Section::Middle => "Middle",
            Section::Chorus => "Chorus",
        }
    }
}

/// The kinds of sound that a detector of sibilance tells apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A vowel or diphthong.
    Vowel,
    /// A nasal, liquid or glide.
    Sonorant,
    /// The frication of s, z, sh, zh, ch and j, and the burst of t.
    Sibilant,
    /// f, v, th, dh and h.
    Fricative,
    /// A closure, or the burst of any stop but t.
    Stop,
    /// A breath taken in.
    Breath,
    /// Nothing but the room.
    Rest,
}

/// One stretch of the song; the labels of a song are in order and leave no gap.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label {
    /// The phoneme in the letters of ARPAbet, lower case; "breath" and "rest" else.
    pub symbol: &'static str,
    /// What it is.
    pub kind: Kind,
    /// Where in the song.
    pub section: Section,
    /// Its first sample.
    pub start: usize,
    /// The sample after its last.
    pub end: usize,
}

/// A mono song and its labels.
#[derive(Debug, Clone)]
pub struct Song {
    /// Sample rate, Hz.
    pub sample_rate_hz: f64,
    /// The sound, full scale 1.
    pub audio: Vec<f32>,
    /// What was sung, from the first sample to the last.
    pub labels: Vec<Label>,
}

impl Song {
    /// The samples of a section, from its first label's start to its last label's end.
    pub fn section_span(&self, section: Section) -> Range<usize> {
        let mut labels = self.labels.iter().filter(|label| label.section == section);
        let first = labels.next();
        let last = labels.next_back().or(first);
        first.map_or(0, |label| label.start)..last.map_or(0, |label| label.end)
    }

    /// Where one kind of sound lies in one section, in samples, in order.
    pub fn spans(&self, section: Section, kind: Kind) -> Vec<Range<usize>> {
        self.labels
            .iter()
            .filter(|label| label.section == section && label.kind == kind)
            .map(|label| label.start..label.end)
            .collect()
    }

    /// How long it lasts, s.
    pub fn duration_s(&self) -> f64 {
        self.audio.len() as f64 / self.sample_rate_hz
    }
}

//! Sums that can be added over recordings.

use super::breaths::BreathFigures;
use super::confusion::Confusion;
use super::false_events::FalseEventFigures;
use super::onset::OnsetFigures;
use super::recall::SibilantFigures;
use super::voice_level::VoiceLevelFigures;
use super::weak_fricatives::WeakFricativeFigures;

/// All that is counted of one recording, or of many.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Figures {
    /// Labelled recordings.
    pub recordings: usize,
    /// Their length, s.
    pub duration_s: f64,
    /// Recall of sibilants.
    pub sibilants: SibilantFigures,
    /// Vowels and sonorants taken for sibilants.
    pub false_events: FalseEventFigures,
    /// f, th, h and v, dh taken for sibilants.
    pub weak_fricatives: WeakFricativeFigures,
    /// Breaths.
    pub breaths: BreathFigures,
    /// Errors of onsets.
    pub onsets: OnsetFigures,
    /// Errors of the voice level.
    pub voice_level: VoiceLevelFigures,
    /// Hops by label and class.
    pub confusion: Confusion,
}

summed!(Figures {
    recordings,
    duration_s,
    sibilants,
    false_events,
    weak_fricatives,
    breaths,
    onsets,
    voice_level,
    confusion
} joined {});

//! Sums that can be added over recordings, and shares of events.

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

/// Some of a number of events.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Share {
    /// Those that it is true of.
    pub part: usize,
    /// All of them.
    pub whole: usize,
}

impl Share {
    /// How many of `events` it is true of.
    pub fn of<T>(events: impl IntoIterator<Item = T>, is_true: impl Fn(&T) -> bool) -> Self {
        events.into_iter().fold(Self::default(), |share, event| Self {
            part: share.part + usize::from(is_true(&event)),
            whole: share.whole + 1,
        })
    }

    /// In percent; none where there are no events.
    pub fn percent(&self) -> Option<f64> {
        (self.whole > 0).then(|| 100.0 * self.part as f64 / self.whole as f64)
    }
}

summed!(Share { part, whole } joined {});

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_and_adds() {
        let mut share = Share::of([1, 2, 3, 4], |number| *number > 3);
        assert_eq!(share.percent(), Some(25.0));
        share += Share::of([5, 6, 7, 8], |_| true);
        assert_eq!(share.percent(), Some(62.5));
        assert_eq!(Share::default().percent(), None);
    }
}

//! Accuracy of the engine's detector: labelled recordings in, figures and the single worst cases out.
//!
//! A recording is run through [`siskin_dsp::Engine`]: mono, long lookahead, default settings but Proportion -12 LU, and
//! every [`siskin_dsp::HopReport`] is kept. The reports are then compared with the labels and with levels that are
//! measured apart from the engine. The contract:
//!
//! - **Sibilance energy**: K-weighted (ITU-R BS.1770-5) energy above 4 kHz, in linear phase, so that a vowel at full
//!   scale leaks nothing. **Sibilance level**: its mean over a label, LUFS.
//! - **Voice level**: mean K-weighted level of the labelled vowels within 1 s either side of an event; of all vowels of
//!   the recording where there are none so near.
//! - **Recalled**: at least half of the sibilance energy within a label, widened on each side by its precision (0 where
//!   exact, 20 ms on a grid of 10 ms), lies in hops of class Sibilant. Counted are all s, sh, ch, and those z, zh, j
//!   that are *strong*: sibilance level within 12 LU of the voice level. An s, sh or ch more than 30 LU under the voice
//!   is *elided*: an aligner placed what nobody spoke. Those are counted apart.
//! - **False event**: a run of hops of class Sibilant, reduced by more than 1 dB in at least one of them, that touches
//!   nothing but labelled vowels and sonorants, also when widened by 10 ms (exact) or 30 ms (grid) on each side.
//! - **Weak fricatives**: an f, th or h is *called* sibilant where it is recalled by the rule above, and *reduced*
//!   where moreover the reduction in the label, weighted by sibilance energy, exceeds 1 dB. v and dh are kept apart.
//! - **Breaths** of 50 to 1225 ms (Nakano et al. 2008): called breath where at least half of the hops, 10 ms off each
//!   end, are of class Breath; called sibilant where at least a quarter are of class Sibilant. Precision: of the runs of
//!   class Breath of 50 ms or more, the share whose middle lies in a labelled breath; only where breaths are labelled.
//! - **Onset error**, exact labels and recalled s, sh, ch only. The onset is acoustic: between 20 ms before the label
//!   and its end, the moment from which the sibilance level over 2 ms stays within 10 dB of the label's mean for 10
//!   ms. With `lead` the lookahead less half a window, a run of class Sibilant has no error where its first hop's
//!   centre lies between the onset, or the label's start where that comes first, and a lead after the onset: then the
//!   gain is in place when the sound leaves the delay, and not before the sound. Otherwise the error is the distance to
//!   that interval, negative where early. A sibilant that is joined to what is as loud above 4 kHz, or whose run
//!   begins in a labelled sibilant or stop before it (class Sibilant holds the burst of t), has no onset of its own;
//!   those are counted apart.
//! - **Voice level error**: per recording with at least 2 s of labelled vowels and sonorants, the mean power of
//!   `voice_lufs` over the hops within them (without the first 0.5 s), gated as BS.1770-5 gates (10 LU under the
//!   mean), against the gated loudness of those stretches joined, by the crate `ebur128`; and at each labelled
//!   sibilant, `voice_lufs` against the voice level above.
//! - **Confusion matrix**: hops by label and class, 10 ms off the edges of labels.
//!
//! The bounds without a source are the project's own.

mod breaths;
mod cases;
mod confusion;
mod false_events;
mod figures;
mod listen;
mod onset;
mod recall;
mod scene;
mod voice_level;
mod weak_fricatives;

#[cfg(test)]
mod tests;

pub use breaths::BreathFigures;
pub use cases::{Case, Mishap};
pub use confusion::{CLASSES, Confusion, SOUNDS};
pub use false_events::FalseEventFigures;
pub use figures::{Figures, Share};
pub use listen::{Hearing, PROPORTION_LU};
pub use onset::OnsetFigures;
pub use recall::SibilantFigures;
pub use voice_level::VoiceLevelFigures;
pub use weak_fricatives::WeakFricativeFigures;

use crate::measurement::voices::corpus::{Precision, Recording};
use scene::Scene;

/// What came of one recording, or of many.
#[derive(Debug, Clone, Default)]
pub struct Score {
    /// Sums over all events.
    pub figures: Figures,
    /// What went wrong, the worst first.
    pub cases: Vec<Case>,
}

/// Runs the recording through the engine and compares its reports with the labels.
pub fn score(recording: &Recording) -> Score {
    judge(recording, &Hearing::of(recording))
}

/// Compares what was detected in a recording with its labels. A recording without labels gives nothing but its length.
pub fn judge(recording: &Recording, hearing: &Hearing) -> Score {
    if recording.precision == Precision::Unlabelled {
        return Score::default();
    }
    let scene = Scene::new(recording, hearing);
    let sibilants = recall::events(&scene);
    let onsets = onset::events(&scene, &sibilants);
    let false_events = false_events::events(&scene);
    let weak = weak_fricatives::events(&scene);
    let breaths = breaths::events(&scene);
    let figures = Figures {
        recordings: 1,
        duration_s: recording.duration_s(),
        sibilants: SibilantFigures::of(&sibilants),
        false_events: FalseEventFigures::of(&false_events, recording.duration_s()),
        weak_fricatives: WeakFricativeFigures::of(&weak),
        breaths: BreathFigures::of(&scene, &breaths),
        onsets: OnsetFigures::of(&onsets),
        voice_level: VoiceLevelFigures::of(&scene, &sibilants),
        confusion: Confusion::of(&scene),
    };
    let cases = [
        recall::cases(&sibilants),
        onset::cases(&onsets),
        false_events::cases(&scene, &false_events),
        weak_fricatives::cases(&weak),
        breaths::cases(&breaths),
    ];
    Score {
        figures,
        cases: cases::worst_first(cases.into_iter().flatten()),
    }
}

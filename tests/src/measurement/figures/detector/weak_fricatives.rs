//! f, th and h, which are no sibilants.

use super::cases::{Case, Mishap};
use super::figures::Share;
use super::scene::{REDUCED_DB, Scene};
use crate::measurement::voices::corpus::{Phone, Sound};

/// How the sources write the voiced ones: v and dh in ARPAbet and here, and eSpeak NG's mnemonics for v, dh and the
/// Spanish soft b.
const VOICED_SYMBOLS: &[&str] = &["v", "v;", "V", "dh", "DH", "D", "B"];

/// One labelled weak fricative.
#[derive(Debug, Clone)]
pub struct WeakFricativeEvent<'a> {
    pub phone: &'a Phone,
    pub called: bool,
    /// Reduction, dB, not negative.
    pub reduction_db: f32,
}

impl WeakFricativeEvent<'_> {
    fn is_voiced(&self) -> bool {
        VOICED_SYMBOLS.contains(&self.phone.symbol.as_str())
    }

    fn is_reduced(&self) -> bool {
        self.called && self.reduction_db > REDUCED_DB
    }
}

/// Weak fricatives that were taken for sibilants.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct WeakFricativeFigures {
    /// f, th, h that were called sibilant.
    pub unvoiced_called: Share,
    /// f, th, h that were called sibilant and reduced.
    pub unvoiced_reduced: Share,
    /// v, dh that were called sibilant.
    pub voiced_called: Share,
    /// v, dh that were called sibilant and reduced.
    pub voiced_reduced: Share,
}

impl WeakFricativeFigures {
    pub(super) fn of(events: &[WeakFricativeEvent<'_>]) -> Self {
        let of = |voiced: bool| events.iter().filter(move |event| event.is_voiced() == voiced);
        Self {
            unvoiced_called: Share::of(of(false), |event| event.called),
            unvoiced_reduced: Share::of(of(false), |event| event.is_reduced()),
            voiced_called: Share::of(of(true), |event| event.called),
            voiced_reduced: Share::of(of(true), |event| event.is_reduced()),
        }
    }
}

summed!(WeakFricativeFigures {
    unvoiced_called,
    unvoiced_reduced,
    voiced_called,
    voiced_reduced
} joined {});

/// Every labelled weak fricative, in order.
pub fn events<'a>(scene: &Scene<'a>) -> Vec<WeakFricativeEvent<'a>> {
    let phones = scene.recording.of(Sound::WeakFricative);
    phones
        .map(|phone| WeakFricativeEvent {
            phone,
            called: scene.is_recalled(&phone.span),
            reduction_db: scene.mean_reduction_db(&phone.span),
        })
        .collect()
}

/// Those that were reduced.
pub fn cases(events: &[WeakFricativeEvent<'_>]) -> Vec<Case> {
    let reduced = events.iter().filter(|event| event.is_reduced());
    reduced
        .map(|event| Case::of(event.phone, Mishap::WeakFricativeReduced, event.reduction_db))
        .collect()
}

//! Which sibilants were heard.

use super::cases::{Case, Mishap};
use super::figures::Share;
use super::listen::PROPORTION_LU;
use super::scene::Scene;
use crate::measurement::voices::corpus::{Phone, Sound};

/// A voiced sibilant counts from this sibilance level re the voice on, LU: under it, it hardly sounds as one.
const STRONG_LU: f32 = -12.0;
/// Under this sibilance level re the voice a sibilant was not spoken, LU: natural ones lie 6 to 17 LU under the vowels.
const ELIDED_LU: f32 = -30.0;

/// One labelled sibilant.
#[derive(Debug, Clone)]
pub struct SibilantEvent<'a> {
    pub phone: &'a Phone,
    /// Voice level around it, LUFS; none where no vowel is labelled in the whole recording.
    pub voice_lufs: Option<f32>,
    /// Sibilance level minus voice level, LU.
    pub proportion_lu: Option<f32>,
    pub recalled: bool,
}

impl SibilantEvent<'_> {
    fn is_voiced(&self) -> bool {
        self.phone.sound == Sound::VoicedSibilant
    }

    /// Whether it ought to be heard.
    pub fn is_counted(&self) -> bool {
        let is_strong = self.proportion_lu.is_some_and(|lu| lu >= STRONG_LU);
        let is_elided = self.proportion_lu.is_some_and(|lu| lu < ELIDED_LU);
        if self.is_voiced() { is_strong } else { !is_elided }
    }
}

/// Recall of sibilants.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct SibilantFigures {
    /// s, sh, ch that were recalled.
    pub unvoiced: Share,
    /// Strong z, zh, j that were recalled.
    pub voiced: Share,
    /// s, sh, ch that were labelled but not spoken; they count nowhere else.
    pub elided: usize,
    /// z, zh, j that are not strong; they count nowhere else.
    pub weak_voiced: usize,
}

impl SibilantFigures {
    pub(super) fn of(events: &[SibilantEvent<'_>]) -> Self {
        let recalled_of = |voiced: bool| {
            let counted = events
                .iter()
                .filter(|event| event.is_counted() && event.is_voiced() == voiced);
            Share::of(counted, |event| event.recalled)
        };
        let left_out_of = |voiced: bool| {
            events
                .iter()
                .filter(|event| !event.is_counted() && event.is_voiced() == voiced)
                .count()
        };
        Self {
            unvoiced: recalled_of(false),
            voiced: recalled_of(true),
            elided: left_out_of(false),
            weak_voiced: left_out_of(true),
        }
    }

    /// Both together.
    pub fn both(&self) -> Share {
        let mut both = self.unvoiced;
        both += self.voiced;
        both
    }
}

summed!(SibilantFigures {
    unvoiced,
    voiced,
    elided,
    weak_voiced
} joined {});

/// Every labelled sibilant, in order.
pub fn events<'a>(scene: &Scene<'a>) -> Vec<SibilantEvent<'a>> {
    let is_sibilant = |phone: &&Phone| phone.sound.is_sibilant();
    let phones = scene.recording.phones.iter().filter(is_sibilant);
    phones
        .map(|phone| {
            let voice_lufs = scene.voice_lufs(&phone.span);
            SibilantEvent {
                phone,
                voice_lufs,
                proportion_lu: voice_lufs.map(|voice_lufs| scene.levels.band.lufs(&phone.span) - voice_lufs),
                recalled: scene.is_recalled(&phone.span),
            }
        })
        .collect()
}

/// Those that ought to have been heard and were not.
pub fn cases(events: &[SibilantEvent<'_>]) -> Vec<Case> {
    let missed = events
        .iter()
        .filter(|event| event.is_counted() && !event.recalled);
    missed
        .map(|event| {
            let over_db = event.proportion_lu.map_or(0.0, |lu| lu - PROPORTION_LU);
            Case::of(event.phone, Mishap::SibilantMissed, over_db)
        })
        .collect()
}

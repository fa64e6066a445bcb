//! Breaths.

use std::ops::RangeInclusive;

use siskin_dsp::{Class, HopReport};

use super::cases::{Case, Mishap};
use super::figures::Share;
use super::scene::{Scene, greatest_reduction_db, middle, narrowed, share_of};
use crate::measurement::voices::corpus::{Phone, Sound};

/// How long breaths last, ms (Nakano et al. 2008).
const BREATHS_MS: RangeInclusive<f64> = 50.0..=1225.0;
/// What is left out at each end of a label, ms: a breath fades in and out.
const EDGE_MS: f64 = 10.0;
/// Shares of a breath's hops from which it is called so.
const CALLED_BREATH: f32 = 0.5;
const CALLED_SIBILANT: f32 = 0.25;
/// Breath proportion, LU, for the severity of a missed one: the default of the plug-in.
const BREATH_PROPORTION_LU: f32 = -20.0;

/// One labelled breath.
#[derive(Debug, Clone)]
pub struct BreathEvent<'a> {
    phone: &'a Phone,
    called_breath: bool,
    called_sibilant: bool,
    /// Level minus voice level, LU.
    proportion_lu: Option<f32>,
    /// Greatest reduction by the sibilance stage, dB, not negative.
    reduction_db: f32,
}

/// Breaths that were heard, and runs of class Breath that were breaths.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct BreathFigures {
    /// Breaths that were called so.
    pub called_breath: Share,
    /// Breaths that were called sibilant.
    pub called_sibilant: Share,
    /// Runs of class Breath that lie on a labelled breath.
    pub precision: Share,
}

impl BreathFigures {
    pub(super) fn of(scene: &Scene<'_>, events: &[BreathEvent<'_>]) -> Self {
        Self {
            called_breath: Share::of(events, |event| event.called_breath),
            called_sibilant: Share::of(events, |event| event.called_sibilant),
            precision: precision(scene),
        }
    }
}

summed!(BreathFigures {
    called_breath,
    called_sibilant,
    precision
} joined {});

/// Runs of class Breath against the labels; nothing where no breath is labelled.
fn precision(scene: &Scene<'_>) -> Share {
    let labels: Vec<&Phone> = scene.recording.of(Sound::Breath).collect();
    if labels.is_empty() {
        return Share::default();
    }
    let shortest = scene.samples(*BREATHS_MS.start());
    let runs = scene.hearing.runs(Class::Breath);
    let spans = runs
        .map(|run: &[HopReport]| scene.hearing.span(run))
        .filter(|span| span.len() >= shortest);
    Share::of(spans, |span| {
        labels.iter().any(|label| label.span.contains(&middle(span)))
    })
}

/// Every labelled breath, in order.
pub fn events<'a>(scene: &Scene<'a>) -> Vec<BreathEvent<'a>> {
    let lasts = |phone: &&Phone| BREATHS_MS.contains(&scene.ms(phone.span.len() as f64));
    let labels = scene.recording.of(Sound::Breath).filter(lasts);
    labels
        .map(|phone| {
            let hops = scene
                .hearing
                .within(&narrowed(&phone.span, scene.samples(EDGE_MS)));
            BreathEvent {
                phone,
                called_breath: share_of(Class::Breath, hops) >= CALLED_BREATH,
                called_sibilant: share_of(Class::Sibilant, hops) >= CALLED_SIBILANT,
                proportion_lu: scene
                    .voice_lufs(&phone.span)
                    .map(|voice_lufs| scene.levels.voice.lufs(&phone.span) - voice_lufs),
                reduction_db: greatest_reduction_db(hops),
            }
        })
        .collect()
}

/// Those that were not heard as breaths, or as sibilants.
pub fn cases(events: &[BreathEvent<'_>]) -> Vec<Case> {
    let misheard = events
        .iter()
        .filter(|event| !event.called_breath || event.called_sibilant);
    misheard
        .map(|event| {
            let (mishap, severity_db) = if event.called_sibilant {
                (Mishap::BreathCalledSibilant, event.reduction_db)
            } else {
                let over = |proportion_lu| proportion_lu - BREATH_PROPORTION_LU;
                (Mishap::BreathMissed, event.proportion_lu.map_or(0.0, over))
            };
            Case::of(event.phone, mishap, severity_db)
        })
        .collect()
}

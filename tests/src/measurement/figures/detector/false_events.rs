//! Vowels, nasals and liquids that were taken for sibilants.

use std::ops::Range;

use siskin_dsp::{Class, HopReport};

use super::cases::{Case, Mishap};
use super::scene::{REDUCED_DB, Scene, greatest_reduction_db, widened};
use crate::measurement::levels::common;
use crate::measurement::voices::corpus::{Phone, Precision};

/// What lies nearer to another label may belong to that, ms: with exact labels, and on a grid of 10 ms.
const EXACT_MARGIN_MS: f64 = 10.0;
const GRID_MARGIN_MS: f64 = 30.0;

/// One run of hops of class Sibilant where there is no sibilant.
#[derive(Debug, Clone, PartialEq)]
pub struct FalseEvent {
    pub span: Range<usize>,
    /// Greatest reduction within, dB, not negative.
    pub reduction_db: f32,
}

/// False events over time.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct FalseEventFigures {
    /// How many there were.
    pub events: usize,
    /// Length of the labelled recordings, s.
    pub duration_s: f64,
}

impl FalseEventFigures {
    pub(super) fn of(events: &[FalseEvent], duration_s: f64) -> Self {
        Self {
            events: events.len(),
            duration_s,
        }
    }

    /// Events per minute; none where there are no recordings.
    pub fn per_minute(&self) -> Option<f64> {
        (self.duration_s > 0.0).then(|| 60.0 * self.events as f64 / self.duration_s)
    }
}

summed!(FalseEventFigures { events, duration_s } joined {});

/// Every false event, in order.
pub fn events(scene: &Scene<'_>) -> Vec<FalseEvent> {
    let runs = scene.hearing.runs(Class::Sibilant);
    runs.filter_map(|run: &[HopReport]| {
        let event = FalseEvent {
            span: scene.hearing.span(run),
            reduction_db: greatest_reduction_db(run),
        };
        (event.reduction_db > REDUCED_DB && is_voiced_all_over(scene, &event.span)).then_some(event)
    })
    .collect()
}

/// Whether a span and its margins lie in labelled vowels and sonorants alone.
fn is_voiced_all_over(scene: &Scene<'_>, span: &Range<usize>) -> bool {
    let margin_ms = match scene.recording.precision {
        Precision::Exact => EXACT_MARGIN_MS,
        Precision::Grid10Ms | Precision::Unlabelled => GRID_MARGIN_MS,
    };
    let wide = common(
        &widened(span, scene.samples(margin_ms)),
        &(0..scene.recording.audio.len()),
    );
    let voiced = voiced(scene).map(|phone| common(&phone.span, &wide).len());
    !wide.is_empty() && voiced.sum::<usize>() == wide.len()
}

fn voiced<'a>(scene: &Scene<'a>) -> impl Iterator<Item = &'a Phone> {
    let phones = scene.recording.phones.iter();
    phones.filter(|phone| phone.sound.is_voice())
}

/// Every false event, with the symbols that it touches.
pub fn cases(scene: &Scene<'_>, events: &[FalseEvent]) -> Vec<Case> {
    events
        .iter()
        .map(|event| {
            let touched = voiced(scene).filter(|phone| !common(&phone.span, &event.span).is_empty());
            let symbols: Vec<&str> = touched.map(|phone| phone.symbol.as_str()).collect();
            Case {
                mishap: Mishap::FalseSibilant,
                symbol: symbols.join(" "),
                span: event.span.clone(),
                severity_db: event.reduction_db,
            }
        })
        .collect()
}

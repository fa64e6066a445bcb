//! Whether the verdict comes in time.

use std::ops::Range;

use siskin_dsp::{Class, HopReport};

use super::cases::{Case, Mishap};
use super::recall::SibilantEvent;
use super::scene::{Scene, greatest_reduction_db};
use crate::measurement::levels::common;
use crate::measurement::voices::corpus::{Phone, Precision, Sound};

/// How long before its label a sibilant may begin, ms.
const BEFORE_LABEL_MS: f64 = 20.0;
/// Over which the sibilance level is smoothed, ms.
const SMOOTHING_MS: f64 = 2.0;
/// Share of the label's mean power that the onset reaches: 10 dB less.
const ONSET_POWER: f64 = 0.1;
/// How long it must stay there, ms: shorter than any sibilant, longer than a click.
const SUSTAINED_MS: f64 = 10.0;
/// Error from which on it is a case to look at, ms: the goal for 95 % of all.
const CASE_MS: f32 = 4.0;

/// The onset of one recalled sibilant.
#[derive(Debug, Clone)]
pub struct OnsetEvent<'a> {
    phone: &'a Phone,
    /// Distance to the interval of no error, ms, negative where early; none where it has no onset of its own.
    error_ms: Option<f32>,
    /// Greatest reduction within the label, dB, not negative.
    reduction_db: f32,
    /// Length of the label, ms.
    label_ms: f32,
}

/// Errors of onsets.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct OnsetFigures {
    /// Signed, ms: negative where early.
    pub errors_ms: Vec<f32>,
    /// Recalled s, sh, ch that have no onset of their own.
    pub without: usize,
}

impl OnsetFigures {
    pub(super) fn of(events: &[OnsetEvent<'_>]) -> Self {
        Self {
            errors_ms: events.iter().filter_map(|event| event.error_ms).collect(),
            without: events.iter().filter(|event| event.error_ms.is_none()).count(),
        }
    }

    /// Median of the signed error, ms; none where there are no onsets.
    pub fn signed_median_ms(&self) -> Option<f32> {
        quantile(self.errors_ms.clone(), 0.5)
    }

    /// Quantile (0 to 1) of the size of the error, ms; none where there are no onsets.
    pub fn absolute_quantile_ms(&self, quantile_of_all: f64) -> Option<f32> {
        let sizes = self.errors_ms.iter().map(|error_ms| error_ms.abs()).collect();
        quantile(sizes, quantile_of_all)
    }
}

summed!(OnsetFigures { without } joined { errors_ms });

/// The smallest value that at least `quantile` of all do not exceed.
fn quantile(mut values: Vec<f32>, quantile: f64) -> Option<f32> {
    values.sort_by(f32::total_cmp);
    let rank = (quantile * values.len() as f64).ceil() as usize;
    values.get(rank.saturating_sub(1)).copied()
}

/// The onset of every recalled s, sh, ch; nothing where labels are not exact.
pub fn events<'a>(scene: &Scene<'_>, sibilants: &[SibilantEvent<'a>]) -> Vec<OnsetEvent<'a>> {
    if scene.recording.precision != Precision::Exact {
        return Vec::new();
    }
    let heard = sibilants
        .iter()
        .filter(|event| event.is_counted() && event.recalled && event.phone.sound == Sound::Sibilant);
    heard
        .map(|event| {
            let label = &event.phone.span;
            OnsetEvent {
                phone: event.phone,
                error_ms: onset(scene, label).and_then(|onset| error_ms(scene, onset, label)),
                reduction_db: greatest_reduction_db(scene.hearing.within(label)),
                label_ms: scene.ms(label.len() as f64) as f32,
            }
        })
        .collect()
}

/// The sample from which a sibilant sounds. None where its surroundings are as loud as itself in the band, so that it
/// has no onset of its own, or where it never lasts.
fn onset(scene: &Scene<'_>, label: &Range<usize>) -> Option<usize> {
    let half_a_smoothing = scene.samples(SMOOTHING_MS / 2.0);
    let sustained = scene.samples(SUSTAINED_MS);
    let enough = ONSET_POWER * scene.levels.band.power(label);
    let is_loud = |sample: usize| {
        let around = sample.saturating_sub(half_a_smoothing)..sample + half_a_smoothing;
        scene.levels.band.power(&around) >= enough
    };
    let from = label.start.saturating_sub(scene.samples(BEFORE_LABEL_MS));
    let mut loud_since = from;
    for sample in from..label.end {
        if !is_loud(sample) {
            loud_since = sample + 1;
        } else if sample + 1 - loud_since >= sustained {
            return (loud_since > from || from == 0).then_some(loud_since);
        }
    }
    None
}

/// Distance of the first run of class Sibilant on a sound to the interval of no error, ms, negative where early. None
/// where that run begins in another sibilant or in the burst of a stop: it is right to, and says nothing about this onset.
fn error_ms(scene: &Scene<'_>, onset: usize, label: &Range<usize>) -> Option<f32> {
    let sounding = onset..label.end;
    let mut runs = scene.hearing.runs(Class::Sibilant);
    let touches = |run: &&[HopReport]| !common(&scene.hearing.span(run), &sounding).is_empty();
    let begin = runs.find(touches)?.first()?.centre_sample;
    if begins_in_another(scene, begin, label) {
        return None;
    }
    // Labels are exact here: what is heard from a label's start on, as the burst of ch, is not before the sound.
    let in_time = onset.min(label.start) as i64..=(onset + scene.hearing.lead_samples) as i64;
    let error_samples = begin - begin.clamp(*in_time.start(), *in_time.end());
    Some(scene.ms(error_samples as f64) as f32)
}

/// Whether a sample lies in what may be called sibilant too, before `label`.
fn begins_in_another(scene: &Scene<'_>, begin: i64, label: &Range<usize>) -> bool {
    let may_sound_so = |sound: Sound| sound.is_sibilant() || sound == Sound::Stop;
    let mut before = scene
        .recording
        .phones
        .iter()
        .filter(|phone| phone.span.end <= label.start && may_sound_so(phone.sound));
    usize::try_from(begin).is_ok_and(|begin| before.any(|phone| phone.span.contains(&begin)))
}

/// Those that are far off.
pub fn cases(events: &[OnsetEvent<'_>]) -> Vec<Case> {
    let off = events.iter().filter_map(|event| {
        let error_ms = event.error_ms.filter(|error_ms| error_ms.abs() > CASE_MS)?;
        Some((event, error_ms))
    });
    off.map(|(event, error_ms)| {
        let mishap = if error_ms < 0.0 {
            Mishap::OnsetEarly(-error_ms)
        } else {
            Mishap::OnsetLate(error_ms)
        };
        let severity_db = event.reduction_db * (error_ms.abs() / event.label_ms).min(1.0);
        Case::of(event.phone, mishap, severity_db)
    })
    .collect()
}

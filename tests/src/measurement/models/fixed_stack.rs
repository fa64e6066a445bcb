//! The practice that one insert replaces: a sibilance stage with a fixed threshold before the leveller, and one at the
//! end.

use std::ops::Range;

use super::{FixedSibilanceSettings, levelled_hard, tame};
use crate::measurement::levels::{SibilantReading, above, mean, read_sibilants};

/// A stage but for its threshold: a new insert's ratio, range, attack and release.
const STAGE: FixedSibilanceSettings = FixedSibilanceSettings {
    from_hz: 4000.0,
    threshold_db: 0.0,
    ratio: 6.0,
    range_db: 12.0,
    attack_ms: 0.5,
    release_ms: 30.0,
};
/// Where the offset of the thresholds is searched, dB re the level of the sibilants for which it is set.
const OFFSETS_DB: [f64; 2] = [-18.0, 12.0];
/// Halvings of that stretch: to a tenth of a decibel.
const HALVINGS: usize = 8;

/// Two stages about the hard leveller, their thresholds set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FixedStack {
    /// Threshold before the leveller, mean square of the band, dB re full scale.
    pub first_threshold_db: f64,
    /// Threshold after the boost, the same.
    pub last_threshold_db: f64,
    /// How far both lie from the mean level that the sibilants for which they are set have at that place, dB.
    pub offset_db: f64,
}

/// The part of a voice for which a mixer sets the stack by listening.
#[derive(Clone, Copy)]
pub struct SetFor<'a> {
    /// The voice before everything.
    pub raw: &'a [f32],
    /// Its rate, Hz.
    pub sample_rate_hz: f64,
    /// The sibilants that are listened to, samples; at least one.
    pub sibilants: &'a [Range<usize>],
    /// The vowels around them, samples.
    pub vowels: &'a [Range<usize>],
    /// What is to become of a sibilant of this proportion, LU, by its proportion after the leveller and the boost.
    pub asked_lu: fn(f32) -> f32,
}

impl FixedStack {
    /// Most that one stage takes away, dB.
    pub const RANGE_DB: f64 = STAGE.range_db;

    /// Both thresholds lie the same offset from the level that the sibilants have at that place; the offset is
    /// searched until they come out at the proportion that is asked for, on average, as a careful mixer would set it.
    pub fn set_for(part: &SetFor<'_>) -> Self {
        let rate_hz = part.sample_rate_hz;
        let untamed = levelled_hard(part.raw, rate_hz);
        let asked: Vec<f32> = proportions_lu(part, &untamed)
            .into_iter()
            .map(part.asked_lu)
            .collect();
        let target_lu = mean(&asked);
        let levels_db = [part.raw, &untamed].map(|audio| band_level_db(audio, part));
        let at = |offset_db: f64| Self {
            first_threshold_db: levels_db[0] + offset_db,
            last_threshold_db: levels_db[1] + offset_db,
            offset_db,
        };
        let [mut low_db, mut high_db] = OFFSETS_DB;
        for _ in 0..HALVINGS {
            let middle_db = low_db.midpoint(high_db);
            if mean(&proportions_lu(part, &at(middle_db).whole(part.raw, rate_hz))) > target_lu {
                high_db = middle_db;
            } else {
                low_db = middle_db;
            }
        }
        at(low_db.midpoint(high_db))
    }

    /// The voice through all of it.
    pub fn whole(&self, raw: &[f32], sample_rate_hz: f64) -> Vec<f32> {
        self.last(&self.levelled(raw, sample_rate_hz), sample_rate_hz)
    }

    /// The voice through the first stage, the leveller and the boost.
    pub fn levelled(&self, raw: &[f32], sample_rate_hz: f64) -> Vec<f32> {
        let first = tame(raw, sample_rate_hz, &stage(self.first_threshold_db));
        levelled_hard(&first, sample_rate_hz)
    }

    /// A levelled voice through the last stage.
    pub fn last(&self, levelled: &[f32], sample_rate_hz: f64) -> Vec<f32> {
        tame(levelled, sample_rate_hz, &stage(self.last_threshold_db))
    }
}

fn stage(threshold_db: f64) -> FixedSibilanceSettings {
    FixedSibilanceSettings {
        threshold_db,
        ..STAGE
    }
}

/// Proportions of the sibilants for which the stack is set, LU; those without a vowel near are left out.
fn proportions_lu(part: &SetFor<'_>, audio: &[f32]) -> Vec<f32> {
    let readings = read_sibilants(
        audio,
        part.sample_rate_hz,
        part.sibilants,
        part.vowels,
        STAGE.from_hz,
    );
    let proportions = readings.iter().map(SibilantReading::proportion_lu);
    proportions.filter(|proportion| proportion.is_finite()).collect()
}

/// Mean level of the band over the sibilants, dBFS.
fn band_level_db(audio: &[f32], part: &SetFor<'_>) -> f64 {
    let band = above(audio, part.sample_rate_hz, STAGE.from_hz);
    let sibilants = part.sibilants.iter().flat_map(|span| &band[span.clone()]);
    let squares: Vec<f32> = sibilants.map(|sample| sample * sample).collect();
    10.0 * f64::from(mean(&squares)).log10()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::singer::{Kind, Section, sing};

    #[test]
    fn the_section_for_which_it_is_set_comes_out_as_asked_on_average() {
        // A line and a half: the whole song takes long.
        let song = sing(48_000.0, 1);
        let raw = &song.audio[..8 * 48_000];
        let within = |kind| -> Vec<Range<usize>> {
            let mut spans = song.spans(Section::Verse, kind);
            spans.retain(|span| span.end <= raw.len());
            spans
        };
        let (sibilants, vowels) = (within(Kind::Sibilant), within(Kind::Vowel));
        assert!(sibilants.len() > 5, "only {} sibilants", sibilants.len());
        let part = SetFor {
            raw,
            sample_rate_hz: 48_000.0,
            sibilants: &sibilants,
            vowels: &vowels,
            asked_lu: |proportion_lu| proportion_lu.min(-8.0),
        };
        let stack = FixedStack::set_for(&part);
        let untamed = levelled_hard(raw, 48_000.0);
        let [before, after] =
            [&untamed, &stack.whole(raw, 48_000.0)].map(|audio| mean(&proportions_lu(&part, audio)));
        assert!(before > -6.0, "{before} LU: nothing to do");
        assert!((after + 8.0).abs() < 0.5, "{after} LU");
    }
}

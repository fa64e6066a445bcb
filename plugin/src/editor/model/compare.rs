//! Two settings to compare, "1" and "2". They exist while the insert is loaded; the song saves only the active one.
//!
//! Equal loudness uses the gain that each setting applies to the voice, measured on voiced material while it was active, so
//! the two need not play the same bars. The louder one is turned down. Only where Output gain reaches its lower end is the
//! softer one turned up, by at most 6 dB.

use std::collections::BTreeMap;

use siskin_dsp::{Class, HopReport};

use crate::params::Parameter;

/// Not part of a setting: they do not shape the sound.
const EXCLUDED: [&str; 4] = ["look", "chan", "listen", "bypass"];
/// The parameter that equal loudness sets.
pub const OUTPUT_GAIN: &str = "out_gain";
/// Prefix of the parameters that change the voice level.
const LEVELLER: &str = "lev_";
/// Voice that is needed to measure a loudness, seconds.
const MEASURED_AFTER_S: f32 = 2.0;
/// Highest boost by equal loudness, dB.
const MAX_BOOST_DB: f32 = 6.0;
/// Lower end of Output gain, dB.
const MIN_GAIN_DB: f32 = -24.0;
/// Softer hops are not measured, LUFS.
const SILENCE_LUFS: f32 = -70.0;

/// Normalized values by parameter id.
pub type Values = BTreeMap<&'static str, f32>;

/// One of the two settings.
#[derive(Debug, Clone, Default)]
struct Setting {
    /// `None` until the first switch away from it: until then it is a copy of the other.
    values: Option<Values>,
    loudness: Loudness,
}

/// Measurement of a setting's gain on the voice.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
struct Loudness {
    input_power: f64,
    output_power: f64,
    measured_s: f32,
}

impl Loudness {
    fn add_report(&mut self, report: &HopReport, hop_s: f32) {
        if report.class == Class::Voice && report.level_lufs > SILENCE_LUFS {
            let gain_db = report.leveller_gain_db + report.leveller_makeup_db;
            self.output_power += power(report.level_lufs);
            self.input_power += power(report.level_lufs - gain_db);
            self.measured_s += hop_s;
        }
    }

    /// The gain, dB, once enough voice was measured.
    fn gain_db(&self) -> Option<f32> {
        (self.measured_s >= MEASURED_AFTER_S)
            .then(|| (10.0 * (self.output_power / self.input_power).log10()) as f32)
    }
}

/// The mean square of a level after K-weighting, re 0 LUFS.
pub fn power(lufs: f32) -> f64 {
    10f64.powf(f64::from(lufs) / 10.0)
}

/// Both settings.
#[derive(Debug, Clone, Default)]
pub struct Compare {
    settings: [Setting; 2],
    /// Index of the active setting.
    active: usize,
}

/// Output gains for equal loudness, dB.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EqualGains {
    /// Of the active setting.
    pub active_db: f32,
    /// Of the other setting.
    pub other_db: f32,
}

impl Compare {
    /// Index of the active setting, 0 or 1.
    pub fn active(&self) -> usize {
        self.active
    }

    /// Whether the other setting differs from the values in use.
    pub fn differs(&self, current: &Values) -> bool {
        let other = &self.settings[1 - self.active];
        other
            .values
            .as_ref()
            .is_some_and(|values| *values != without_excluded(current))
    }

    /// Adds a report to the measurement of the active setting.
    pub fn add_report(&mut self, report: &HopReport, hop_s: f32) {
        self.settings[self.active].loudness.add_report(report, hop_s);
    }

    /// Discards the measurement of the active setting, after its leveller was changed.
    pub fn forget_loudness(&mut self) {
        self.settings[self.active].loudness = Loudness::default();
    }

    /// Stores the values in use and activates setting `to`; returns its values if it was not active.
    pub fn switch_to(&mut self, to: usize, current: &Values) -> Option<Values> {
        if to == self.active || to > 1 {
            return None;
        }
        let from = self.active;
        self.settings[from].values = Some(without_excluded(current));
        self.active = to;
        if self.settings[to].values.is_none() {
            self.settings[to] = self.settings[from].clone();
        }
        self.settings[to].values.clone()
    }

    /// Copies the values in use to the other setting.
    pub fn copy(&mut self, current: &Values) {
        self.settings[self.active].values = Some(without_excluded(current));
        self.settings[1 - self.active] = self.settings[self.active].clone();
    }

    /// How much louder the active setting is than the other, LU, once both were measured. `plain_db` converts a normalized gain
    /// to dB.
    pub fn louder_lu(&self, active_db: f32, plain_db: impl Fn(f32) -> f32) -> Option<f32> {
        let other = &self.settings[1 - self.active];
        let other_db = plain_db(*other.values.as_ref()?.get(OUTPUT_GAIN)?);
        let voice_db = |index: usize| self.settings[index].loudness.gain_db();
        Some((voice_db(self.active)? + active_db) - (voice_db(1 - self.active)? + other_db))
    }

    /// Output gains with which both are equally loud, once both were measured. `plain_db` converts a normalized gain to dB.
    pub fn equal_gains(&self, active_db: f32, plain_db: impl Fn(f32) -> f32) -> Option<EqualGains> {
        let louder_db = self.louder_lu(active_db, &plain_db)?;
        let other = &self.settings[1 - self.active];
        let other_db = plain_db(*other.values.as_ref()?.get(OUTPUT_GAIN)?);
        Some(if louder_db > 0.0 {
            let (active_db, other_db) = equalized(active_db, other_db, louder_db);
            EqualGains { active_db, other_db }
        } else {
            let (other_db, active_db) = equalized(other_db, active_db, -louder_db);
            EqualGains { active_db, other_db }
        })
    }

    /// Stores a new Output gain of the other setting, normalized.
    pub fn set_other_gain(&mut self, normalized: f32) {
        if let Some(values) = &mut self.settings[1 - self.active].values {
            values.insert(OUTPUT_GAIN, normalized);
        }
    }
}

/// The louder setting's gain lowered by `by_db`, and the softer one's raised by the rest where the range ends.
fn equalized(louder_db: f32, softer_db: f32, by_db: f32) -> (f32, f32) {
    let lowered_db = (louder_db - by_db).max(MIN_GAIN_DB);
    let rest_db = by_db - (louder_db - lowered_db);
    (lowered_db, softer_db + rest_db.clamp(0.0, MAX_BOOST_DB))
}

fn without_excluded(values: &Values) -> Values {
    let kept = values.iter().filter(|(id, _)| !EXCLUDED.contains(id));
    kept.map(|(id, value)| (*id, *value)).collect()
}

/// The values that change the voice level.
pub fn leveller_values(values: &Values) -> Values {
    let leveller = values.iter().filter(|(id, _)| id.starts_with(LEVELLER));
    leveller.map(|(id, value)| (*id, *value)).collect()
}

/// The values in use.
pub fn current_values(controls: &[Parameter]) -> Values {
    controls
        .iter()
        .map(|control| (control.id(), control.base()))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn values(proportion: f32, gain: f32, bypass: f32) -> Values {
        Values::from([("sib_prop", proportion), (OUTPUT_GAIN, gain), ("bypass", bypass)])
    }

    /// Plays 3 s of voice that the leveller turns up by `gain_db`.
    fn play(compare: &mut Compare, lufs: f32, gain_db: f32) {
        (0..300).for_each(|_| {
            compare.add_report(
                &HopReport {
                    class: Class::Voice,
                    level_lufs: lufs + gain_db,
                    leveller_makeup_db: gain_db,
                    ..HopReport::default()
                },
                0.01,
            );
        });
    }

    fn plain_db(normalized: f32) -> f32 {
        -24.0 + 48.0 * normalized
    }

    #[test]
    fn setting_2_starts_as_a_copy_and_each_keeps_its_values() {
        let mut compare = Compare::default();
        let one = values(0.1, 0.5, 0.0);
        let two = compare.switch_to(1, &one).unwrap();
        assert_eq!(two, without_excluded(&one));
        assert!(!compare.differs(&one));
        let changed = values(0.7, 0.5, 1.0);
        assert!(compare.differs(&changed));
        assert_eq!(compare.switch_to(0, &changed).unwrap()["sib_prop"], 0.1);
        let back = compare.switch_to(1, &one).unwrap();
        assert_eq!(back["sib_prop"], 0.7);
        assert!(!back.contains_key("bypass"), "bypass stays as it is");
        assert_eq!(compare.switch_to(1, &one), None);
    }

    #[test]
    fn a_copy_makes_both_the_same() {
        let mut compare = Compare::default();
        compare.switch_to(1, &values(0.1, 0.5, 0.0));
        let now = values(0.7, 0.2, 0.0);
        compare.copy(&now);
        assert!(!compare.differs(&now));
        assert_eq!(compare.switch_to(0, &now), Some(without_excluded(&now)));
    }

    #[test]
    fn equal_loudness_lowers_the_louder_setting() {
        let mut compare = Compare::default();
        play(&mut compare, -20.0, 0.0);
        compare.switch_to(1, &values(0.1, 0.5, 0.0));
        compare.forget_loudness();
        assert_eq!(
            compare.equal_gains(0.0, plain_db),
            None,
            "setting 2 is not measured yet"
        );
        play(&mut compare, -30.0, 9.0);
        let equal = compare.equal_gains(0.0, plain_db).unwrap();
        assert!(
            (equal.active_db + 9.0).abs() < 1e-3 && equal.other_db == 0.0,
            "{equal:?}"
        );
        // With the softer setting active, the other one is lowered.
        compare.switch_to(0, &values(0.1, 0.5, 0.0));
        let equal = compare.equal_gains(0.0, plain_db).unwrap();
        assert!(
            (equal.other_db + 9.0).abs() < 1e-3 && equal.active_db == 0.0,
            "{equal:?}"
        );
    }

    #[test]
    fn equal_loudness_boosts_by_at_most_6_db() {
        let mut compare = Compare::default();
        play(&mut compare, -20.0, 0.0);
        compare.switch_to(1, &values(0.1, 0.5, 0.0));
        compare.forget_loudness();
        play(&mut compare, -20.0, 40.0);
        let equal = compare.equal_gains(-20.0, plain_db).unwrap();
        assert_eq!((equal.active_db, equal.other_db), (-24.0, 6.0));
    }
}

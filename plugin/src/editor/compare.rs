//! Two settings to compare, "1" and "2". They live with the insert while it is loaded; the song saves the one that is
//! heard, as it always does, and no other.
//!
//! Equal loudness goes by how much each of them turns the voice up or down, measured on voiced material while it was
//! heard, so that the two need not have heard the same bars. The louder one is turned down; only where Output gain
//! ends is the softer one turned up, and never by more than 6 dB.

use std::collections::BTreeMap;

use siskin_dsp::{Class, HopReport};

/// What is compared is the sound: what is listened to, bypass and latency stay.
const LEFT_OUT: [&str; 3] = ["look", "listen", "bypass"];
/// What equal loudness sets.
pub const OUTPUT_GAIN: &str = "out_gain";
/// What moves the voice's own level.
const LEVELLER: &str = "lev_";
/// Voice that must have been heard before a loudness is known, seconds.
pub const ENOUGH_S: f32 = 2.0;
/// The most that equal loudness turns anything up, dB.
const MOST_UP_DB: f32 = 6.0;
/// The ends of Output gain, dB.
const LEAST_GAIN_DB: f32 = -24.0;
/// Below this nothing counts, LUFS.
const SILENCE_LUFS: f32 = -70.0;

/// Values by id, normalized.
pub type Values = BTreeMap<&'static str, f32>;

/// One of the two.
#[derive(Debug, Clone, Default)]
struct Setting {
    /// `None` until it was left for the first time: until then it is the other's copy.
    values: Option<Values>,
    loudness: Loudness,
}

/// How much a setting turns the voice up, so far.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
struct Loudness {
    power_in: f64,
    power_out: f64,
    heard_s: f32,
}

impl Loudness {
    fn hear(&mut self, report: &HopReport, hop_s: f32) {
        if report.class == Class::Voice && report.momentary_lufs > SILENCE_LUFS {
            let gain_db = report.leveller_gain_db + report.leveller_makeup_db;
            self.power_out += power(report.momentary_lufs);
            self.power_in += power(report.momentary_lufs - gain_db);
            self.heard_s += hop_s;
        }
    }

    /// dB, once enough was heard.
    fn gain_db(&self) -> Option<f32> {
        (self.heard_s >= ENOUGH_S).then(|| (10.0 * (self.power_out / self.power_in).log10()) as f32)
    }
}

fn power(lufs: f32) -> f64 {
    10f64.powf(f64::from(lufs) / 10.0)
}

/// Both, and which is heard.
#[derive(Debug, Clone, Default)]
pub struct Compare {
    settings: [Setting; 2],
    heard: usize,
}

/// What equal loudness asks for: the new Output gains of the setting that is heard and of the other, dB.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EqualGains {
    /// Of the one that is heard.
    pub heard_db: f32,
    /// Of the other.
    pub other_db: f32,
}

impl Compare {
    /// 0 or 1: the setting that is heard.
    pub fn heard(&self) -> usize {
        self.heard
    }

    /// Whether the other setting differs from `now`.
    pub fn differ(&self, now: &Values) -> bool {
        let other = &self.settings[1 - self.heard];
        other
            .values
            .as_ref()
            .is_some_and(|values| *values != compared(now))
    }

    /// Takes a report; a leveller that has moved since makes its loudness unknown again.
    pub fn hear(&mut self, report: &HopReport, hop_s: f32) {
        self.settings[self.heard].loudness.hear(report, hop_s);
    }

    /// The leveller of the setting that is heard was changed: what was measured no longer holds.
    pub fn forget_loudness(&mut self) {
        self.settings[self.heard].loudness = Loudness::default();
    }

    /// Keeps `now` and goes to setting `to`; gives what must be set for it, if anything.
    pub fn go_to(&mut self, to: usize, now: &Values) -> Option<Values> {
        if to == self.heard || to > 1 {
            return None;
        }
        let left = self.heard;
        self.settings[left].values = Some(compared(now));
        self.heard = to;
        if self.settings[to].values.is_none() {
            self.settings[to] = self.settings[left].clone();
        }
        self.settings[to].values.clone()
    }

    /// Makes the other setting a copy of what is heard.
    pub fn copy(&mut self, now: &Values) {
        self.settings[self.heard].values = Some(compared(now));
        self.settings[1 - self.heard] = self.settings[self.heard].clone();
    }

    /// The Output gains with which both are as loud, where both are known. Gains are read and written in dB by `plain_db`.
    pub fn equal_gains(&self, heard_db: f32, plain_db: impl Fn(f32) -> f32) -> Option<EqualGains> {
        let other = &self.settings[1 - self.heard];
        let other_db = plain_db(*other.values.as_ref()?.get(OUTPUT_GAIN)?);
        let voice_db = |index: usize| self.settings[index].loudness.gain_db();
        let louder_db = (voice_db(self.heard)? + heard_db) - (voice_db(1 - self.heard)? + other_db);
        Some(if louder_db > 0.0 {
            let (heard_db, other_db) = evened(heard_db, other_db, louder_db);
            EqualGains { heard_db, other_db }
        } else {
            let (other_db, heard_db) = evened(other_db, heard_db, -louder_db);
            EqualGains { heard_db, other_db }
        })
    }

    /// Keeps the other's new Output gain, normalized.
    pub fn set_other_gain(&mut self, normalized: f32) {
        if let Some(values) = &mut self.settings[1 - self.heard].values {
            values.insert(OUTPUT_GAIN, normalized);
        }
    }
}

/// The louder setting's gain lowered by `by_db`, and the softer one's raised by what is left at the end of the travel.
fn evened(louder_db: f32, softer_db: f32, by_db: f32) -> (f32, f32) {
    let lowered_db = (louder_db - by_db).max(LEAST_GAIN_DB);
    let left_db = by_db - (louder_db - lowered_db);
    (lowered_db, softer_db + left_db.clamp(0.0, MOST_UP_DB))
}

fn compared(now: &Values) -> Values {
    let kept = now.iter().filter(|(id, _)| !LEFT_OUT.contains(id));
    kept.map(|(id, value)| (*id, *value)).collect()
}

/// The part of `values` that moves the voice's own level.
pub fn leveller_part(values: &Values) -> Values {
    let part = values.iter().filter(|(id, _)| id.starts_with(LEVELLER));
    part.map(|(id, value)| (*id, *value)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn values(proportion: f32, gain: f32, bypass: f32) -> Values {
        Values::from([("sib_prop", proportion), (OUTPUT_GAIN, gain), ("bypass", bypass)])
    }

    /// Voice of 3 s that a leveller turns up by `gain_db`.
    fn hear(compare: &mut Compare, lufs: f32, gain_db: f32) {
        (0..300).for_each(|_| {
            compare.hear(
                &HopReport {
                    class: Class::Voice,
                    momentary_lufs: lufs + gain_db,
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
    fn the_second_setting_begins_as_a_copy_and_each_keeps_its_own() {
        let mut compare = Compare::default();
        let one = values(0.1, 0.5, 0.0);
        let two = compare.go_to(1, &one).unwrap();
        assert_eq!(two, compared(&one));
        assert!(!compare.differ(&one));
        let changed = values(0.7, 0.5, 1.0);
        assert!(compare.differ(&changed));
        assert_eq!(compare.go_to(0, &changed).unwrap()["sib_prop"], 0.1);
        let back = compare.go_to(1, &one).unwrap();
        assert_eq!(back["sib_prop"], 0.7);
        assert!(!back.contains_key("bypass"), "bypass stays as it is");
        assert_eq!(compare.go_to(1, &one), None);
    }

    #[test]
    fn a_copy_makes_both_the_same() {
        let mut compare = Compare::default();
        compare.go_to(1, &values(0.1, 0.5, 0.0));
        let now = values(0.7, 0.2, 0.0);
        compare.copy(&now);
        assert!(!compare.differ(&now));
        assert_eq!(compare.go_to(0, &now), Some(compared(&now)));
    }

    #[test]
    fn equal_loudness_lowers_the_louder_whatever_bars_each_has_heard() {
        let mut compare = Compare::default();
        hear(&mut compare, -20.0, 0.0);
        compare.go_to(1, &values(0.1, 0.5, 0.0));
        compare.forget_loudness();
        assert_eq!(compare.equal_gains(0.0, plain_db), None, "nothing heard of 2 yet");
        hear(&mut compare, -30.0, 9.0);
        let equal = compare.equal_gains(0.0, plain_db).unwrap();
        assert!(
            (equal.heard_db + 9.0).abs() < 1e-3 && equal.other_db == 0.0,
            "{equal:?}"
        );
        // From the other side it is the other that is lowered.
        compare.go_to(0, &values(0.1, 0.5, 0.0));
        let equal = compare.equal_gains(0.0, plain_db).unwrap();
        assert!(
            (equal.other_db + 9.0).abs() < 1e-3 && equal.heard_db == 0.0,
            "{equal:?}"
        );
    }

    #[test]
    fn nothing_is_turned_up_by_more_than_six_decibels() {
        let mut compare = Compare::default();
        hear(&mut compare, -20.0, 0.0);
        compare.go_to(1, &values(0.1, 0.5, 0.0));
        compare.forget_loudness();
        hear(&mut compare, -20.0, 40.0);
        let equal = compare.equal_gains(-20.0, plain_db).unwrap();
        assert_eq!((equal.heard_db, equal.other_db), (-24.0, 6.0));
    }
}

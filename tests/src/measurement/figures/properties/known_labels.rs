//! The rule applied by a stage that knows where every vowel and every sibilant lies: what a perfect detector could reach
//! with so much past and so much lookahead.

use std::ops::Range;

use siskin_dsp::SibilanceSettings;

use super::defaults::{RATE_HZ, asked_db, asked_lu, from_hz};
use super::findings::Findings;
use super::quantity::Quantity;
use super::voice::Voice;
use crate::measurement::levels::{SibilanceMeter, lufs_from_power};

/// From one gain to the next, samples at 48 kHz: a hop of the engine.
const HOP_SAMPLES: usize = 64;
/// Labelled vowels before a sound that count as its voice, s: the follower's default.
pub(crate) const BACK_S: f64 = 0.4;
/// How far from a sibilant its voice is read, s: the rule's own reach. What lies farther back counts only where nothing
/// nearer is known.
const REACH_S: f64 = 1.0;

/// How much a stage with known labels knows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KnownLabels {
    /// How far it sees ahead of the hop whose gain it sets, s.
    pub ahead_s: f64,
    /// Whether vowels that lie ahead count as the voice.
    pub voice_ahead: bool,
}

impl KnownLabels {
    /// The last 400 ms of labelled vowels, at 5 ms of lookahead.
    pub const BACK: Self = Self {
        ahead_s: 0.005,
        voice_ahead: false,
    };
    /// The same and the labelled vowels of the next 300 ms.
    pub const BOTH_SIDES: Self = Self {
        ahead_s: 0.3,
        voice_ahead: true,
    };

    /// Errors against the rule, LU, of every sibilant that has a labelled vowel within 1 s, in order.
    pub fn errors_lu(&self, audio: &[f32], sibilants: &[Range<usize>], vowels: &[Range<usize>]) -> Vec<f32> {
        let levels = SibilanceMeter::new(audio, RATE_HZ, from_hz());
        let error = |span: &Range<usize>| {
            let reach = samples(REACH_S);
            let around = span.start.saturating_sub(reach)..span.end + reach;
            let voice_lufs = lufs_from_power(voice_power(&levels, vowels, &around)?);
            let before_lufs = levels.band.lufs(span);
            let after_lufs = self.after_lufs(&levels, span, vowels);
            let error_lu = after_lufs - voice_lufs - asked_lu(before_lufs - voice_lufs);
            before_lufs.is_finite().then_some(error_lu)
        };
        sibilants.iter().filter_map(error).collect()
    }

    /// Level of a sibilant's band after its hops got their gains, LUFS.
    fn after_lufs(&self, levels: &SibilanceMeter, span: &Range<usize>, vowels: &[Range<usize>]) -> f32 {
        let hops = span.clone().step_by(HOP_SAMPLES);
        let after: f64 = hops
            .map(|start| {
                let hop = start..(start + HOP_SAMPLES).min(span.end);
                let reduction_db = self.reduction_db(levels, span, hop.end, vowels);
                levels.band.energy(&hop) * 10_f64.powf(-f64::from(reduction_db) / 10.0)
            })
            .sum();
        lufs_from_power(after / span.len().max(1) as f64)
    }

    /// What the rule asks at a moment of a sibilant, dB, not negative. Before any vowel nothing is known.
    fn reduction_db(
        &self,
        levels: &SibilanceMeter,
        span: &Range<usize>,
        now: usize,
        vowels: &[Range<usize>],
    ) -> f32 {
        let known = now + samples(self.ahead_s);
        let sibilance_lufs = levels.band.lufs(&(span.start..span.end.min(known)));
        let back = last_of(vowels, now, samples(BACK_S));
        let ahead = vowels
            .iter()
            .filter(|_| self.voice_ahead)
            .map(|vowel| vowel.start.max(now)..vowel.end.min(known))
            .filter(|vowel| !vowel.is_empty());
        let heard: Vec<Range<usize>> = back.into_iter().chain(ahead).collect();
        let near = now.saturating_sub(samples(REACH_S))..known;
        let power = voice_power(levels, &heard, &near).or_else(|| voice_power(levels, &heard, &(0..known)));
        let proportion_lu = SibilanceSettings::default().proportion_lu;
        power.map_or(0.0, |power| {
            asked_db(sibilance_lufs - lufs_from_power(power) - proportion_lu)
        })
    }
}

/// What both come to on the sibilants of which the proportion from outside is read.
pub fn known_labels(voice: &Voice) -> Findings {
    let mut findings = Findings::default();
    for passage in &voice.passages {
        let heard = voice.heard_sibilants(passage);
        for (known, quantity) in [
            (KnownLabels::BACK, Quantity::KnownBackError),
            (KnownLabels::BOTH_SIDES, Quantity::KnownBothSidesError),
        ] {
            let errors_lu = known.errors_lu(&voice.levelled, &heard, &passage.vowels);
            findings.note(quantity, &passage.name, errors_lu);
        }
    }
    findings
}

fn samples(time_s: f64) -> usize {
    (time_s * RATE_HZ) as usize
}

/// Mean square of what of the vowels lies within some bounds; none where that is nothing, or silent.
fn voice_power(levels: &SibilanceMeter, vowels: &[Range<usize>], bounds: &Range<usize>) -> Option<f64> {
    let power = levels.voice.power_within(vowels.iter().cloned(), bounds);
    power.filter(|power| *power > 0.0)
}

/// The last stretches of vowels before a moment, `length` samples together.
pub(crate) fn last_of(vowels: &[Range<usize>], now: usize, mut length: usize) -> Vec<Range<usize>> {
    let mut last = Vec::new();
    for vowel in vowels.iter().rev().filter(|vowel| vowel.start < now) {
        if length == 0 {
            break;
        }
        let end = vowel.end.min(now);
        let start = vowel.start.max(end.saturating_sub(length));
        length -= end - start;
        last.push(start..end);
    }
    last
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::levels::above;
    use crate::measurement::voices::signals::{noise, sine};

    /// A second of a tone, a sibilant of 0.2 s, and a second of a tone at another level.
    fn song(second_level: f32) -> (Vec<f32>, Vec<Range<usize>>, Vec<Range<usize>>) {
        let tone = sine(300.0, RATE_HZ, 105_600).into_iter();
        let mut audio: Vec<f32> = tone.map(|sample| 0.2 * sample).collect();
        let hiss = above(&noise(5).take(9600).collect::<Vec<_>>(), RATE_HZ, 5000.0);
        audio.splice(48_000..57_600, hiss.iter().map(|sample| 0.3 * sample));
        audio[57_600..]
            .iter_mut()
            .for_each(|sample| *sample *= second_level);
        let vowels = vec![0..48_000, 57_600..105_600];
        (audio, std::iter::once(48_000..57_600).collect(), vowels)
    }

    #[test]
    fn an_even_voice_is_met_by_both() {
        let (audio, sibilants, vowels) = song(1.0);
        for known in [KnownLabels::BACK, KnownLabels::BOTH_SIDES] {
            let errors_lu = known.errors_lu(&audio, &sibilants, &vowels);
            assert!(errors_lu.len() == 1 && errors_lu[0].abs() < 0.3, "{errors_lu:?}");
        }
    }

    #[test]
    fn who_sees_both_sides_is_nearer_where_the_voice_changes() {
        let (audio, sibilants, vowels) = song(0.3);
        let [back_lu, both_lu] = [KnownLabels::BACK, KnownLabels::BOTH_SIDES]
            .map(|known| known.errors_lu(&audio, &sibilants, &vowels)[0]);
        assert!(back_lu > 1.5, "{back_lu}");
        assert!(both_lu.abs() < 0.5 * back_lu, "{both_lu} against {back_lu}");
    }

    #[test]
    fn the_last_of_the_vowels_is_cut_where_there_is_enough() {
        let vowels = [0..100, 200..300, 400..500];
        assert_eq!(last_of(&vowels, 450, 120), [400..450, 230..300]);
        assert_eq!(last_of(&vowels, 90, 1000), vec![0..90]);
        assert!(last_of(&vowels, 0, 10).is_empty());
    }
}

//! Breaths that are known before they are heard: each is reduced from its first hop on, and released before the voice begins.

use std::ops::Range;

use super::breath_likeness::BreathLikeness;
use super::lasting_noise::LastingNoise;
use super::likely_breath::LikelyBreath;
use crate::analysis::{AnalysedHops, Band, Spectrum};
use crate::clock::timing::Timing;
use crate::report::Class;

/// How long before a breath its reduction may begin: three time constants of the attack.
const ONSET_MS: f32 = 24.0;
/// How long before a breath the low cut starts to settle.
const NEAR_MS: f32 = 60.0;
/// What is averaged for the power of a breath, to either side of a hop.
const POWER_MS: f32 = 12.0;
/// How long before a voice or a sibilant a reduction is released: four time constants of the release before a voice.
const RELEASE_MS: f32 = 6.0;

/// What is known of the breath that is heard.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct KnownBreath {
    /// Its mean power at the leveller's output, if it is reduced now.
    pub power: Option<f64>,
    /// True if this very hop belongs to it.
    pub is_heard: bool,
    /// True if a voice or a sibilant is heard, or is about to be.
    pub is_before_voice: bool,
    /// True if a breath is heard, or is about to be.
    pub is_near: bool,
}

/// Finds breaths and marks their hops.
pub(crate) struct WholeBreaths {
    noise: LastingNoise,
    likeness: BreathLikeness,
    likely: LikelyBreath,
    all: Band,
    power_hops: i64,
    /// The last hop that is marked, if there is one.
    last_marked: Option<i64>,
    /// The last breath that was found in either way, as far as it is marked.
    marked_noise: Range<i64>,
    marked_likely: Range<i64>,
    onset_hops: i64,
    near_hops: i64,
    release_hops: i64,
}

impl WholeBreaths {
    pub fn new(timing: Timing) -> Self {
        let hops = |time_ms| timing.hops(time_ms) as i64;
        Self {
            noise: LastingNoise::new(timing),
            likeness: BreathLikeness::new(timing),
            likely: LikelyBreath::new(timing),
            all: Band::new(timing, 0.0..f64::INFINITY),
            power_hops: hops(POWER_MS),
            last_marked: None,
            marked_noise: 0..0,
            marked_likely: 0..0,
            onset_hops: hops(ONSET_MS),
            near_hops: hops(NEAR_MS),
            release_hops: hops(RELEASE_MS),
        }
    }

    pub fn reset(&mut self) {
        self.noise.reset();
        self.likeness.reset();
        self.likely.reset();
        self.last_marked = None;
        (self.marked_noise, self.marked_likely) = (0..0, 0..0);
    }

    /// Aligns to the song what is searched in spans.
    pub fn align_spans(&mut self, hop: i64) {
        self.noise.align_spans(hop);
        self.likeness.align_spans(hop);
    }

    /// Takes the newest hop. Once a breath is confirmed, all its hops since its first are marked, as far back as `heard`.
    pub fn push(&mut self, hops: &mut AnalysedHops, spectrum: &Spectrum, heard: i64) {
        let newest = hops.newest();
        let class = hops.class(newest);
        if let Some(power) = self.noise.update_hop(class, spectrum) {
            let breath = newest + 1 - self.noise.hops() as i64..newest + 1;
            let fresh = fresh(&mut self.marked_noise, breath);
            self.mark(hops, fresh, power, heard);
        }
        let judged = newest - self.likeness.lag_hops();
        let log_odds = self
            .likeness
            .update_hop(class, spectrum, hops.at(judged).periodicity);
        if let Some(count) = self.likely.update_hop(log_odds, hops.class(judged)) {
            let power = self.power_around(hops, judged);
            let fresh = fresh(&mut self.marked_likely, judged + 1 - count as i64..judged + 1);
            self.mark(hops, fresh, power, heard);
        }
    }

    /// Mean power of a breath about a hop.
    fn power_around(&self, hops: &AnalysedHops, hop: i64) -> f64 {
        let around = hop - self.power_hops..=hop + self.power_hops;
        let sum: f32 = around.map(|hop| self.all.sum(hops.spectrum(hop))).sum();
        f64::from(sum) / (2 * self.power_hops + 1) as f64
    }

    /// Marks hops of a breath that ends with the last of them so far.
    fn mark(&mut self, hops: &mut AnalysedHops, fresh: Range<i64>, power: f64, heard: i64) {
        let last = fresh.end - 1;
        let power = power as f32 * hops.at(last).power_gain;
        for hop in fresh.start.max(heard)..fresh.end {
            hops.at_mut(hop).breath.get_or_insert(power);
        }
        self.last_marked = self.last_marked.max(Some(last));
    }

    /// What is known when a hop is heard.
    pub fn known(&self, hops: &AnalysedHops, heard: i64) -> KnownBreath {
        // A voice is found some milliseconds after it begins, but it ends the breath at once. Within a breath that is known
        // whole, a few hops of narrow noise without a low end may have been taken for a voice.
        let is_voice = |hop: i64| hops.class(hop) != Class::Quiet && hops.at(hop).breath.is_none();
        let within = |count: i64| -> Range<i64> { heard..(heard + count).min(hops.newest() + 1) };
        let is_before_voice = within(self.release_hops).any(is_voice);
        let is_marked = |&hop: &i64| hops.at(hop).breath.is_some();
        let coming = self.last_marked.filter(|&last| last >= heard);
        let first = coming.and_then(|_| within(self.near_hops).find(is_marked));
        let begins = first.filter(|&first| {
            let is_free = |hop: i64| hops.class(hop) == Class::Quiet;
            !is_before_voice && first < heard + self.onset_hops && (heard..first).all(is_free)
        });
        KnownBreath {
            power: begins.and_then(|first| hops.at(first).breath).map(f64::from),
            is_heard: first == Some(heard) && !is_before_voice,
            is_before_voice,
            is_near: first.is_some(),
        }
    }
}

/// What of a breath is not `marked` yet; it will be.
fn fresh(marked: &mut Range<i64>, breath: Range<i64>) -> Range<i64> {
    let before = std::mem::replace(marked, breath.clone());
    let start = if before.start == breath.start {
        before.end
    } else {
        breath.start
    };
    start..breath.end
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analysis::AnalysedHop;
    use crate::report::HopReport;

    /// Below 1 kHz, and from the upper formants on.
    fn spectrum(low: f64, upper: f64) -> Spectrum {
        Spectrum::of_two_bands(250.0..1000.0, low, 1800.0..7500.0, upper)
    }

    #[test]
    fn a_breath_that_passes_for_background_is_marked_from_its_first_hop_to_its_last() {
        let timing = Timing::new(48_000.0);
        let mut hops = AnalysedHops::new(timing, 512);
        let mut breaths = WholeBreaths::new(timing);
        let rest = spectrum(1e-5, 1e-6);
        let parts = [
            (Class::Voice, spectrum(1.0, 0.1), 300.0),
            (Class::Quiet, rest.clone(), 200.0),
            (Class::Quiet, spectrum(0.003, 0.02), 200.0),
            (Class::Quiet, rest, 100.0),
        ];
        for (class, spectrum, time_ms) in &parts {
            for _ in 0..timing.hops(*time_ms) {
                let report = HopReport {
                    class: *class,
                    ..HopReport::default()
                };
                let hop = AnalysedHop {
                    report,
                    periodicity: if *class == Class::Voice { 0.95 } else { 0.6 },
                    power_gain: 1.0,
                    ..AnalysedHop::default()
                };
                hops.push(hop, spectrum);
                breaths.push(&mut hops, spectrum, 0);
            }
        }
        let marked = |hop: &i64| hops.at(*hop).breath.is_some();
        let (begins, ends) = (timing.hops(500.0) as i64, timing.hops(700.0) as i64);
        let within: Vec<i64> = (begins - 100..hops.newest()).filter(marked).collect();
        // Three hops are averaged where a noise begins and ends.
        let expected: Vec<i64> = (begins - 1..ends + 1).collect();
        assert_eq!(within, expected);
    }
}

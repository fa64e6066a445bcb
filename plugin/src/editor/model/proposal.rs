//! A proposal for Proportion and Detect from, measured on a few seconds of singing.

use siskin_dsp::{Class, HopReport};

use super::history::Sibilant;
use crate::telemetry::SpectrumFrame;

/// Singing that is needed, seconds.
const SINGING_S: f32 = 8.0;
/// Sibilants that are needed.
const MIN_SIBILANTS: usize = 6;
/// Natural s and sh are 6 to 8 LU below the vowels (Jongman, Wayland & Wong 2000, from their levels by consonant). A lower
/// proportion sounds like a lisp.
const NATURAL_LU: f32 = -7.0;
/// In a natural voice no sibilant is louder than the voice.
const MAX_LU: f32 = 0.0;
/// Fraction of the sibilants, from the softest, that a proposal leaves unchanged.
const UNCHANGED_SHARE: f32 = 0.25;
/// The lower edge of a sibilant has this fraction of its power above the formants below it, as in the engine.
const EDGE_POWER_SHARE: f32 = 0.1;
/// Formants and hum are below this, Hz.
const ABOVE_FORMANTS_HZ: f32 = 1500.0;
/// Fraction of the sibilants, from the darkest, whose lower edge may be below the proposal.
const EDGE_QUANTILE: f32 = 0.15;
/// The proposal is this factor below the lower edge, so that the detector covers all of it.
const EDGE_MARGIN: f32 = 0.95;
/// Range of Detect from, Hz.
const FROM_HZ: std::ops::RangeInclusive<f32> = 2000.0..=10_000.0;

/// Measurements and the values proposed from them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Proposal {
    /// Proportion, LU.
    pub proportion_lu: f32,
    /// Detect from, Hz.
    pub from_hz: f32,
    /// Number of sibilants.
    pub sibilants: usize,
    /// Median proportion of the sibilants at the input, LU.
    pub median_lu: f32,
    /// Lower edge of most sibilants, Hz.
    pub edge_hz: f32,
}

/// Collects measurements until they suffice for a proposal.
#[derive(Debug, Clone, Default)]
pub struct ProposalListener {
    singing_s: f32,
    proportions_lu: Vec<f32>,
    edges_hz: Vec<f32>,
    /// Does not change once made: what is shown is what is applied.
    proposal: Option<Proposal>,
}

impl ProposalListener {
    /// Adds a report.
    pub fn add_report(&mut self, report: &HopReport, hop_s: f32) {
        if matches!(report.class, Class::Voice | Class::Sibilant) {
            self.singing_s += hop_s;
        }
    }

    /// Adds a sibilant that has ended.
    pub fn add_sibilant(&mut self, sibilant: &Sibilant) {
        self.proportions_lu
            .push(sibilant.level_lufs - sibilant.voice_lufs);
    }

    /// Adds a spectrum.
    pub fn add_spectrum(&mut self, frame: &SpectrumFrame) {
        if frame.class == Class::Sibilant {
            self.edges_hz.extend(edge_hz(frame));
        }
    }

    /// Fraction of the singing that is needed, 0 to 1.
    pub fn progress(&self) -> f32 {
        (self.singing_s / SINGING_S).min(1.0)
    }

    /// What is still missing, as text.
    pub fn progress_text(&self) -> String {
        let (missing_s, count) = (SINGING_S - self.singing_s, self.proportions_lu.len());
        if self.singing_s == 0.0 {
            "No voice yet: play the song".to_owned()
        } else if missing_s > 0.0 {
            format!("{missing_s:.0} s of singing to go, {count} sibilants so far")
        } else {
            let more = MIN_SIBILANTS.saturating_sub(count);
            format!("{more} sibilants to go, {count} so far")
        }
    }

    /// The proposal, once there is one.
    pub fn proposal(&self) -> Option<Proposal> {
        self.proposal
    }

    /// Makes the proposal once the measurements suffice.
    pub fn update(&mut self) {
        if self.proposal.is_none() {
            self.proposal = self.compute();
        }
    }

    fn compute(&self) -> Option<Proposal> {
        let sibilants = self.proportions_lu.len();
        if self.singing_s < SINGING_S || sibilants < MIN_SIBILANTS || self.edges_hz.is_empty() {
            return None;
        }
        let edge_hz = quantile(&self.edges_hz, EDGE_QUANTILE)?;
        Some(Proposal {
            proportion_lu: round_to(
                quantile(&self.proportions_lu, UNCHANGED_SHARE)?.clamp(NATURAL_LU, MAX_LU),
                0.5,
            ),
            from_hz: round_to(
                (edge_hz * EDGE_MARGIN).clamp(*FROM_HZ.start(), *FROM_HZ.end()),
                100.0,
            ),
            sibilants,
            median_lu: quantile(&self.proportions_lu, 0.5)?,
            edge_hz,
        })
    }
}

impl Proposal {
    /// Measurements and proposal, line by line.
    pub fn text(&self) -> [String; 4] {
        let side = if self.median_lu > 0.0 { "above" } else { "below" };
        let reason = if self.proportion_lu == NATURAL_LU {
            "as in a natural voice"
        } else {
            "the softest quarter stays unchanged"
        };
        [
            format!(
                "{} sibilants, median {:.1} LU {side} the voice.",
                self.sibilants,
                self.median_lu.abs()
            ),
            format!(
                "Most have their energy above {}.",
                crate::params::readout::hertz(self.edge_hz)
            ),
            format!(
                "Proportion {}: {reason}.",
                crate::params::readout::level(self.proportion_lu, "LU")
            ),
            format!("Detect from {}.", crate::params::readout::hertz(self.from_hz)),
        ]
    }
}

/// Lower edge of a sibilant, Hz.
fn edge_hz(frame: &SpectrumFrame) -> Option<f32> {
    let first = (ABOVE_FORMANTS_HZ / frame.bin_hz).ceil() as usize;
    let powers = frame.powers.get(first..)?;
    let edge_power = EDGE_POWER_SHARE * powers.iter().sum::<f32>();
    let mut below = 0.0;
    let bin = powers.iter().position(|power| {
        below += power;
        edge_power > 0.0 && below >= edge_power
    })?;
    Some((first + bin) as f32 * frame.bin_hz)
}

/// The quantile of `values` at `share`, 0 to 1.
fn quantile(values: &[f32], share: f32) -> Option<f32> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f32::total_cmp);
    let last = sorted.len().checked_sub(1)?;
    sorted.get((share * last as f32).round() as usize).copied()
}

fn round_to(value: f32, to: f32) -> f32 {
    (value / to).round() * to
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::telemetry::SPECTRUM_BINS;

    fn sibilant(proportion_lu: f32) -> Sibilant {
        Sibilant {
            level_lufs: -20.0 + proportion_lu,
            voice_lufs: -20.0,
            ..Sibilant::default()
        }
    }

    fn noise_from(hz: f32) -> SpectrumFrame {
        let bin_hz = 187.5;
        let mut powers = [0.0; SPECTRUM_BINS];
        for (bin, power) in powers.iter_mut().enumerate() {
            *power = if bin as f32 * bin_hz >= hz { 1e-5 } else { 1e-9 };
        }
        SpectrumFrame {
            class: Class::Sibilant,
            bin_hz,
            powers,
        }
    }

    fn listened(proportions_lu: &[f32], singing_s: f32) -> ProposalListener {
        let mut listener = ProposalListener::default();
        let report = HopReport {
            class: Class::Voice,
            ..HopReport::default()
        };
        (0..(singing_s * 100.0) as usize).for_each(|_| listener.add_report(&report, 0.01));
        for &lu in proportions_lu {
            listener.add_sibilant(&sibilant(lu));
            listener.add_spectrum(&noise_from(4500.0));
        }
        listener.update();
        listener
    }

    #[test]
    fn no_proposal_before_enough_singing_and_sibilants() {
        assert!(ProposalListener::default().progress_text().contains("voice"));
        let short = listened(&[0.0; 9], 5.0);
        assert_eq!(short.proposal(), None);
        assert!(
            short.progress_text().contains("3 s of singing"),
            "{}",
            short.progress_text()
        );
        assert!((short.progress() - 0.625).abs() < 0.01);
        let few = listened(&[0.0; 2], 9.0);
        assert_eq!(few.proposal(), None);
        assert!(
            few.progress_text().contains("4 sibilants to go"),
            "{}",
            few.progress_text()
        );
        let mut silent = ProposalListener::default();
        silent.add_report(&HopReport::default(), 60.0);
        assert_eq!(silent.progress(), 0.0, "silence is not singing");
    }

    #[test]
    fn a_levelled_voice_keeps_its_softest_sibilants() {
        let proposal = listened(&[2.0, 1.0, 0.0, -1.0, -4.0, -4.0, -3.8, 3.0, 2.0], 9.0)
            .proposal()
            .unwrap();
        assert_eq!(proposal.proportion_lu, -4.0);
        assert_eq!(proposal.sibilants, 9);
        assert!(
            (4500.0..6500.0).contains(&proposal.edge_hz),
            "{} Hz",
            proposal.edge_hz
        );
        assert!(proposal.from_hz < proposal.edge_hz && proposal.from_hz % 100.0 == 0.0);
        assert!(proposal.text()[0].contains("9 sibilants"));
    }

    #[test]
    fn a_proposal_does_not_change_once_made() {
        let mut listener = listened(&[0.0; 8], 9.0);
        let shown = listener.proposal().unwrap();
        (0..20).for_each(|_| listener.add_sibilant(&sibilant(-9.0)));
        listener.update();
        assert_eq!(listener.proposal(), Some(shown));
    }

    #[test]
    fn proposals_stay_between_natural_and_voice_level() {
        assert_eq!(listened(&[-15.0; 8], 9.0).proposal().unwrap().proportion_lu, -7.0);
        assert_eq!(listened(&[9.0; 8], 9.0).proposal().unwrap().proportion_lu, 0.0);
    }
}

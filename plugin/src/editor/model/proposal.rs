//! A proposal for Proportion and Detect from, measured on a few seconds of singing.

use siskin_dsp::{
    DetectFromListener, HopReport, ProportionListener, ProportionProposal, SibilanceSettings, SpectrumView,
};

use crate::params::readout;
use crate::telemetry::SpectrumFrame;

/// Measurements and the values proposed from them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Proposal {
    /// Proportion, and the sibilants that it was computed from.
    pub proportion: ProportionProposal,
    /// Detect from, Hz; `None` where the sibilants are natural and the detector covers them: nothing needs to change.
    pub from_hz: Option<f32>,
    /// Lower edge of most sibilants, Hz.
    pub edge_hz: f32,
}

/// Collects measurements until they suffice for a proposal.
#[derive(Debug, Clone, Default)]
pub struct ProposalListener {
    proportion: ProportionListener,
    detect_from: DetectFromListener,
    /// Does not change once it is sure: what is shown is what is applied.
    proposal: Option<Proposal>,
}

impl ProposalListener {
    /// Adds a report.
    pub fn add_report(&mut self, report: &HopReport, hop_s: f32) {
        if !self.is_complete() {
            self.proportion.add(report, hop_s);
        }
    }

    /// Adds a spectrum.
    pub fn add_spectrum(&mut self, frame: &SpectrumFrame) {
        if !self.is_complete() {
            let spectrum = SpectrumView {
                bin_hz: frame.bin_hz,
                powers: &frame.powers,
            };
            self.detect_from.add(frame.class, spectrum);
        }
    }

    /// Fraction of the singing that is needed, 0 to 1.
    pub fn progress(&self) -> f32 {
        let heard_s = self.proportion.singing_s();
        heard_s / (heard_s + self.proportion.missing_s()).max(f32::EPSILON)
    }

    /// What is still missing, as text.
    pub fn progress_text(&self) -> String {
        let (missing_s, count) = (self.proportion.missing_s(), self.proportion.sibilants());
        if self.proportion.singing_s() == 0.0 {
            "No voice yet: play the song".to_owned()
        } else if missing_s > 0.0 {
            format!("{missing_s:.0} s of singing to go, {count} sibilants so far")
        } else {
            let more = self.proportion.missing_sibilants();
            format!("{more} sibilants to go, {count} so far")
        }
    }

    /// The proposal, once there is one.
    pub fn proposal(&self) -> Option<Proposal> {
        self.proposal
    }

    /// Whether the proposal is sure: more singing does not change it any more.
    fn is_complete(&self) -> bool {
        self.proposal
            .is_some_and(|proposal| proposal.proportion.is_sure())
    }

    /// Makes the proposal for a sibilance stage with these settings once the measurements suffice.
    pub fn update(&mut self, settings: &SibilanceSettings) {
        if !self.is_complete() {
            self.proposal = self.compute(settings);
        }
    }

    fn compute(&self, settings: &SibilanceSettings) -> Option<Proposal> {
        let proportion = self.proportion.proposal(settings.ratio)?;
        let from = self.detect_from.proposal()?;
        Some(Proposal {
            proportion,
            from_hz: from.change(&proportion, settings.from_hz),
            edge_hz: from.edge_hz,
        })
    }
}

impl Proposal {
    /// Measurements and proposal, line by line.
    pub fn text(&self) -> [String; 4] {
        let found = &self.proportion;
        let side = if found.median_lu > 0.0 { "above" } else { "below" };
        let measured = format!(
            "{} sibilants, median {:.1} LU {side} the voice.",
            found.sibilants,
            found.median_lu.abs()
        );
        let reason = if found.is_natural() {
            "natural sibilants stay as they are"
        } else {
            "most leave as in a natural voice"
        };
        let proportion = format!(
            "Proportion {}: {reason}.",
            readout::level(found.proportion_lu, "LU")
        );
        let from = match self.from_hz {
            Some(from_hz) => format!(
                "Detect from {}: most have their energy above {}.",
                readout::hertz(from_hz),
                readout::hertz(self.edge_hz)
            ),
            None => "Detect from stays as it is.".to_owned(),
        };
        let within = format!("within {:.1} LU", found.uncertainty_lu.max(0.1));
        let sure = if found.is_sure() {
            format!("Sure {within}.")
        } else {
            format!("Not sure yet, only {within}: play more singing.")
        };
        [measured, sure, proportion, from]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use siskin_dsp::Class;

    use crate::telemetry::SPECTRUM_BINS;

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

    const HOP_S: f32 = 0.01;

    /// Singing in which these sibilants follow one another, their noise above 4.5 kHz.
    fn listened(proportions_lu: &[f32], singing_s: f32) -> ProposalListener {
        let mut listener = ProposalListener::default();
        let mut add = |class, sibilance_lufs, hops: usize| {
            let report = HopReport {
                class,
                voice_detected: true,
                voice_lufs: -20.0,
                sibilance_lufs,
                ..HopReport::default()
            };
            (0..hops).for_each(|_| listener.add_report(&report, HOP_S));
            listener.add_spectrum(&noise_from(4500.0));
        };
        let sung_s = singing_s - 0.1 * proportions_lu.len() as f32;
        add(Class::Voice, -120.0, (sung_s / HOP_S).round() as usize);
        for &lu in proportions_lu {
            add(Class::Sibilant, lu - 20.0, 10);
            add(Class::Quiet, -120.0, 1);
        }
        listener.update(&SibilanceSettings::default());
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
    fn a_levelled_voice_gets_both_values_and_a_natural_one_no_change() {
        let loud = listened(&[0.5; 9], 9.0).proposal().unwrap();
        assert_eq!(loud.proportion.proportion_lu, -6.5);
        assert!((4500.0..6500.0).contains(&loud.edge_hz), "{} Hz", loud.edge_hz);
        let from_hz = loud.from_hz.unwrap();
        assert!(from_hz < loud.edge_hz && from_hz % 100.0 == 0.0);
        assert!(loud.text()[0].contains("9 sibilants") && loud.text()[1].starts_with("Sure"));
        let natural = listened(&[-7.0; 9], 9.0).proposal().unwrap();
        assert_eq!((natural.proportion.proportion_lu, natural.from_hz), (-6.0, None));
        let too_high = SibilanceSettings {
            from_hz: 9000.0,
            ..SibilanceSettings::default()
        };
        let mut listener = listened(&[-7.0; 9], 9.0);
        listener.proposal = None;
        listener.update(&too_high);
        assert!(
            listener.proposal().unwrap().from_hz.is_some(),
            "the detector misses most of it"
        );
    }

    #[test]
    fn an_unsure_proposal_asks_for_more_and_a_sure_one_does_not_change() {
        let varied = [-9.0, -3.0, 0.0, 3.0, 6.0, 9.0];
        let mut unsure = listened(&varied, 9.0);
        let first = unsure.proposal().unwrap();
        assert!(first.text()[1].contains("play more"), "{:?}", first.text());
        let more = |listener: &mut ProposalListener| {
            for lu in [1.5; 30] {
                let report = HopReport {
                    class: Class::Sibilant,
                    voice_detected: true,
                    sibilance_lufs: lu,
                    ..HopReport::default()
                };
                (0..10).for_each(|_| listener.add_report(&report, HOP_S));
                listener.add_report(&HopReport::default(), HOP_S);
                listener.update(&SibilanceSettings::default());
            }
            listener.proposal().unwrap()
        };
        let sure = more(&mut unsure);
        assert!(sure.proportion.is_sure() && sure.proportion.sibilants > 6);
        assert_eq!(more(&mut unsure), sure, "it does not change once it is sure");
    }
}

//! A proposal for `Detect from` from spectra of sibilants. Not for the audio thread: it allocates.

use super::ProportionProposal;
use crate::report::{Class, SpectrumView};

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
/// Step of a proposal, Hz.
const STEP_HZ: f32 = 100.0;

/// Collects the lower edges of sibilants.
#[derive(Debug, Clone, Default)]
pub struct DetectFromListener {
    edges_hz: Vec<f32>,
}

/// A proposal and what it was computed from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DetectFromProposal {
    /// Lower edge of most sibilants, Hz.
    pub edge_hz: f32,
    /// Proposed Detect from, Hz: just below it.
    pub from_hz: f32,
}

impl DetectFromListener {
    /// Adds a spectrum of this class.
    pub fn add(&mut self, class: Class, spectrum: SpectrumView<'_>) {
        if class == Class::Sibilant {
            self.edges_hz.extend(edge_hz(spectrum));
        }
    }

    /// The proposal from what was heard so far; `None` before the first sibilant.
    #[must_use]
    pub fn proposal(&self) -> Option<DetectFromProposal> {
        let edge_hz = quantile(&self.edges_hz, EDGE_QUANTILE)?;
        let from_hz = (edge_hz * EDGE_MARGIN).clamp(*FROM_HZ.start(), *FROM_HZ.end());
        Some(DetectFromProposal {
            edge_hz,
            from_hz: (from_hz / STEP_HZ).round() * STEP_HZ,
        })
    }
}

impl DetectFromProposal {
    /// What to set where Detect from is `now_hz`: nothing where the sibilants are natural and the detector covers them.
    #[must_use]
    pub fn change(&self, proportion: &ProportionProposal, now_hz: f32) -> Option<f32> {
        let stays = proportion.is_natural() && now_hz <= self.edge_hz;
        (!stays).then_some(self.from_hz)
    }
}

/// Lower edge of a sibilant, Hz.
fn edge_hz(spectrum: SpectrumView<'_>) -> Option<f32> {
    let first = (ABOVE_FORMANTS_HZ / spectrum.bin_hz).ceil() as usize;
    let powers = spectrum.powers.get(first..)?;
    let edge_power = EDGE_POWER_SHARE * powers.iter().sum::<f32>();
    let mut below = 0.0;
    let bin = powers.iter().position(|power| {
        below += power;
        edge_power > 0.0 && below >= edge_power
    })?;
    Some((first + bin) as f32 * spectrum.bin_hz)
}

/// The quantile of `values` at `share`, 0 to 1.
fn quantile(values: &[f32], share: f32) -> Option<f32> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f32::total_cmp);
    let last = sorted.len().checked_sub(1)?;
    sorted.get((share * last as f32).round() as usize).copied()
}

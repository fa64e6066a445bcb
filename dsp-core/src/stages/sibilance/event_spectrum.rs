//! The mean spectrum of what comes of a sibilant that is known whole.

use std::ops::Range;

use crate::analysis::{AnalysedHops, Spectrum};

/// Every fourth window is added: they touch and do not overlap.
const STRIDE_HOPS: usize = 4;

/// The mean of some windows at the leveller's output.
pub(crate) struct EventSpectrum {
    spectrum: Spectrum,
}

impl EventSpectrum {
    /// With the bins of `bins`.
    pub fn new(bins: &Spectrum) -> Self {
        Self {
            spectrum: bins.clone(),
        }
    }

    /// Reads the mean over hops, of which there is at least one.
    pub fn update_hop(&mut self, hops: &AnalysedHops, range: Range<i64>) {
        let powers = self.spectrum.powers_mut();
        powers.fill(0.0);
        let count = range.clone().step_by(STRIDE_HOPS).count() as f32;
        for hop in range.step_by(STRIDE_HOPS) {
            let share = hops.at(hop).power_gain / count;
            for (mean, power) in powers.iter_mut().zip(hops.spectrum(hop)) {
                *mean += share * power;
            }
        }
    }

    pub fn spectrum(&self) -> &Spectrum {
        &self.spectrum
    }
}

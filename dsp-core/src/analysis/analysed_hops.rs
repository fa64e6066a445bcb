//! Hops that were analysed and are not heard yet, with all that is decided later from both sides of them.

use crate::analysis::Spectrum;
use crate::clock::timing::Timing;
use crate::report::{Class, HopReport};

use super::band::Band;

/// The band in which sibilants are found whole: above the strong formants.
const TREBLE_FROM_HZ: f64 = 4000.0;
/// The band that holds most of a vowel's power and little of a sibilant's.
const BODY_HZ: std::ops::Range<f64> = 150.0..2000.0;

/// One analysed hop.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct AnalysedHop {
    /// What is known of the hop when it is analysed; the gains of the late stages are not.
    pub report: HopReport,
    /// What the glide between two voices adds to the voice level, LU.
    pub glide_lu: f32,
    /// Periodicity of the low band, 0 ... 1.
    pub periodicity: f32,
    /// Power gain of the leveller, makeup included.
    pub power_gain: f32,
    /// K-weighted mean squares at the leveller's output, above 4 kHz and below 2 kHz.
    pub treble: f32,
    pub body: f32,
    /// Mean power of the breath that the hop belongs to, at the leveller's output.
    pub breath: Option<f32>,
}

/// The last hops with their spectra. Hops are numbered from the reset on.
pub(crate) struct AnalysedHops {
    hops: Vec<AnalysedHop>,
    spectra: Vec<f32>,
    bins: usize,
    treble: Band,
    body: Band,
    newest: i64,
}

impl AnalysedHops {
    /// Keeps at least the last `kept_hops`.
    pub fn new(timing: Timing, kept_hops: usize) -> Self {
        let capacity = kept_hops.next_power_of_two();
        Self {
            hops: vec![AnalysedHop::default(); capacity],
            spectra: vec![0.0; capacity * timing.bins()],
            bins: timing.bins(),
            treble: Band::new(timing, TREBLE_FROM_HZ..f64::INFINITY),
            body: Band::new(timing, BODY_HZ),
            newest: -1,
        }
    }

    /// Forgets every hop; each is `silence` until another is pushed.
    pub fn reset(&mut self, silence: AnalysedHop) {
        self.hops.fill(silence);
        self.spectra.fill(0.0);
        self.newest = -1;
    }

    /// Adds a hop and its spectrum.
    pub fn push(&mut self, hop: AnalysedHop, spectrum: &Spectrum) {
        self.newest += 1;
        let slot = self.slot(self.newest);
        let power = |band: &Band| (spectrum.power(band) * f64::from(hop.power_gain)) as f32;
        self.hops[slot] = AnalysedHop {
            treble: power(&self.treble),
            body: power(&self.body),
            ..hop
        };
        self.spectra[slot * self.bins..][..self.bins].copy_from_slice(spectrum.powers());
    }

    /// The number of the newest hop; -1 after a reset.
    pub fn newest(&self) -> i64 {
        self.newest
    }

    /// One of the last hops.
    pub fn at(&self, hop: i64) -> &AnalysedHop {
        &self.hops[self.slot(hop)]
    }

    pub fn at_mut(&mut self, hop: i64) -> &mut AnalysedHop {
        let slot = self.slot(hop);
        &mut self.hops[slot]
    }

    pub fn class(&self, hop: i64) -> Class {
        self.at(hop).report.class
    }

    /// The spectrum of one of the last hops, K-weighted mean square per bin of the input.
    pub fn spectrum(&self, hop: i64) -> &[f32] {
        &self.spectra[self.slot(hop) * self.bins..][..self.bins]
    }

    fn slot(&self, hop: i64) -> usize {
        hop as usize & (self.hops.len() - 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hops_are_kept_with_their_spectra_until_others_take_their_place() {
        let timing = Timing::new(48_000.0);
        let mut hops = AnalysedHops::new(timing, 200);
        for number in 0..1000 {
            let hop = AnalysedHop {
                glide_lu: number as f32,
                power_gain: 2.0,
                ..AnalysedHop::default()
            };
            let spectrum = Spectrum::of_two_bands(200.0..1000.0, 1.0, 5000.0..8000.0, f64::from(number));
            hops.push(hop, &spectrum);
        }
        assert_eq!(hops.newest(), 999);
        for number in 800..1000 {
            let hop = hops.at(number);
            assert_eq!(hop.glide_lu, number as f32);
            assert!(
                (hop.treble / (2.0 * number as f32) - 1.0).abs() < 1e-4,
                "{}",
                hop.treble
            );
            assert!((hop.body - 2.0).abs() < 1e-4, "{}", hop.body);
            let power: f32 = hops.spectrum(number).iter().sum();
            assert!((power / (number as f32 + 1.0) - 1.0).abs() < 1e-4, "{power}");
        }
    }
}

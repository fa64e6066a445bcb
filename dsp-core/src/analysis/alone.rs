//! Parts of the analysis alone, for benchmarks.

use super::bands::{BandRanges, Bands};
use super::periodicity::Periodicity;
use super::spectrum::SpectrumAnalyser;
use crate::clock::timing::Timing;
use crate::loudness::k_weighting::KWeighting;

/// The period, from hops that are gathered as the spectrum gathers them.
pub(crate) struct PeriodAlone {
    periodicity: Periodicity,
    hop: [Vec<f32>; 2],
    filled: usize,
}

impl PeriodAlone {
    pub fn new(timing: Timing) -> Self {
        Self {
            periodicity: Periodicity::new(timing),
            hop: [vec![0.0; timing.hop_samples], vec![0.0; timing.hop_samples]],
            filled: 0,
        }
    }

    pub fn step(&mut self, audio: &[&mut [f32]], ends_hop: bool) {
        for (hop, channel) in self.hop.iter_mut().zip(audio) {
            hop[self.filled..self.filled + channel.len()].copy_from_slice(channel);
        }
        self.filled += audio.first().map_or(0, |channel| channel.len());
        if ends_hop {
            let channels = self.hop.iter().take(audio.len());
            self.periodicity.analyse(channels.map(Vec::as_slice));
            self.filled = 0;
        }
    }
}

/// Window, transform and powers.
pub(crate) struct SpectrumAlone(SpectrumAnalyser);

impl SpectrumAlone {
    pub fn new(channels: usize, timing: Timing) -> Self {
        let weighting = KWeighting::new(timing.sample_rate_hz);
        Self(SpectrumAnalyser::new(channels, timing, &weighting))
    }

    pub fn step(&mut self, audio: &[&mut [f32]], ends_hop: bool) {
        self.0.push(audio);
        if ends_hop {
            self.0.analyse();
        }
    }
}

/// Sums over bands of one spectrum.
pub(crate) struct BandsAlone {
    spectrum: SpectrumAlone,
    ranges: BandRanges,
    last: Bands,
}

impl BandsAlone {
    pub fn new(channels: usize, timing: Timing) -> Self {
        Self {
            spectrum: SpectrumAlone::new(channels, timing),
            ranges: BandRanges::new(timing),
            last: Bands::default(),
        }
    }

    pub fn step(&mut self, ends_hop: bool) {
        if ends_hop {
            (self.last, _) = self.ranges.powers(self.spectrum.0.last());
        }
    }
}

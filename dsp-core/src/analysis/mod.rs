//! Analysis of the input: one spectrum and one class per hop.

mod analysed_hops;
mod band;
pub(crate) mod band_powers;
mod classifier;
mod mirrored_bins;
mod noise_floor;
mod noise_shape;
pub(crate) mod periodicity;
pub(crate) mod spectrum;
mod transform;
mod treble_pulses;
mod treble_rise;
mod voice_spectrum;

pub(crate) use analysed_hops::{AnalysedHop, AnalysedHops};
pub(crate) use band::Band;
pub(crate) use spectrum::Spectrum;

use band_powers::BandRanges;
use classifier::{Classifier, Features};
use noise_floor::NoiseFloor;
use noise_shape::NoiseShape;
use periodicity::Periodicity;
use spectrum::SpectrumAnalyser;
use treble_pulses::TreblePulses;
use voice_spectrum::VoiceSpectrum;

use crate::clock::timeline::GridPosition;
use crate::clock::timing::Timing;
use crate::loudness::k_weighting::KWeighting;
use crate::report::Class;

/// The analysis of one hop.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct HopAnalysis {
    pub class: Class,
    /// Periodicity of the low band, 0 ... 1.
    pub periodicity: f32,
    /// K-weighted mean square of what counts as voice, and of everything.
    pub voice_power: f32,
    pub power: f32,
}

/// The analysis of one voice, mono or stereo (linked).
pub(crate) struct Analysis {
    spectrum: SpectrumAnalyser,
    ranges: BandRanges,
    periodicity: Periodicity,
    pulses: TreblePulses,
    noise_floor: NoiseFloor,
    voice_spectrum: VoiceSpectrum,
    noise_shape: NoiseShape,
    classifier: Classifier,
}

impl Analysis {
    pub fn new(channels: usize, timing: Timing, weighting: &KWeighting) -> Self {
        Self {
            spectrum: SpectrumAnalyser::new(channels, timing, weighting),
            ranges: BandRanges::new(timing),
            periodicity: Periodicity::new(timing),
            pulses: TreblePulses::new(timing),
            noise_floor: NoiseFloor::new(timing),
            voice_spectrum: VoiceSpectrum::new(timing),
            noise_shape: NoiseShape::new(timing),
            classifier: Classifier::new(timing),
        }
    }

    pub fn reset(&mut self) {
        self.spectrum.reset();
        self.periodicity.reset();
        self.pulses.reset();
        self.noise_floor.reset();
        self.voice_spectrum.reset();
        self.noise_shape.reset();
        self.classifier.reset();
    }

    /// Continues as if the grid had run since the start of the song.
    pub fn align_grid(&mut self, position: GridPosition) {
        self.spectrum.align_hop(position.into_hop_samples);
        self.noise_floor.align_spans(position.hop);
    }

    /// Adds samples; they must not reach beyond the end of the current hop.
    pub fn push(&mut self, audio: &[&mut [f32]]) {
        self.spectrum.push(audio);
    }

    /// The samples of the step that ends `into_hop_samples` after the start of the current hop, one slice per channel.
    pub fn step(&self, into_hop_samples: usize) -> impl Iterator<Item = &[f32]> {
        self.spectrum.step(into_hop_samples)
    }

    /// The window that ends with the completed hop, one slice per channel.
    pub fn window(&self) -> impl Iterator<Item = &[f32]> {
        self.spectrum.window()
    }

    /// Analyses the window that ends with the completed hop.
    #[inline(always)]
    pub fn update_hop(&mut self) -> HopAnalysis {
        let periodicity = self.periodicity.update(self.spectrum.newest_hop(0));
        self.pulses
            .update(self.spectrum.newest_hop(self.pulses.before_samples()));
        let spectrum = self.spectrum.analyse();
        let (bands, totals) = self.ranges.powers(spectrum);
        let features = Features {
            background: self.noise_floor.is_background(totals.all),
            deviation: self.voice_spectrum.deviation_db(&bands, totals.all),
            sharpness_db: self.noise_shape.update(&bands, self.classifier.last_was_noise()),
            periodicity,
        };
        if !features.background {
            self.voice_spectrum.update(&bands, features.periodicity);
        }
        let pulsing = || self.pulses.similarity(self.periodicity.lag());
        HopAnalysis {
            class: self.classifier.classify(&features, pulsing),
            periodicity,
            voice_power: totals.voice as f32,
            power: totals.all as f32,
        }
    }

    /// The spectrum of that window.
    pub fn spectrum(&self) -> &Spectrum {
        self.spectrum.last()
    }
}

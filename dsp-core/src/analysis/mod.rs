//! What the input holds: one pass over the samples, one verdict a hop.

mod classifier;
mod periodicity;
mod spectrum;

pub(crate) use spectrum::Spectrum;

use classifier::{Classifier, Features};
use periodicity::Periodicity;
use spectrum::SpectrumAnalyser;

use crate::k_weighting::KWeighting;
use crate::report::Class;
use crate::timing::Timing;

/// The bands by which sibilants are told from vowels, apart from the band in which their level is measured. Jongman,
/// Wayland & Wong 2000: s peaks near 6.8 kHz, sh near 3.8 kHz; Peterson & Barney 1952: first and second formants end
/// below 3 kHz, the third of bright vowels below 3.5 kHz. An edge at 4.2 kHz leaves the skirt of sh and clears those: of
/// 3.2 to 4.8 kHz it parted the two best on labelled voices without losing sh.
const VOWEL_BAND_HZ: (f64, f64) = (150.0, 2800.0);
const SIBILANT_BAND_HZ: (f64, f64) = (4200.0, 14_000.0);

/// The analysis of one voice, mono or stereo (linked).
pub(crate) struct Analysis {
    spectrum: SpectrumAnalyser,
    periodicity: Periodicity,
    classifier: Classifier,
}

impl Analysis {
    pub fn new(channels: usize, timing: Timing, weighting: &KWeighting) -> Self {
        Self {
            spectrum: SpectrumAnalyser::new(channels, timing, weighting),
            periodicity: Periodicity::new(timing),
            classifier: Classifier::new(timing),
        }
    }

    pub fn reset(&mut self) {
        self.spectrum.reset();
        self.periodicity.reset();
        self.classifier.reset();
    }

    /// Takes samples that end within the current hop or at its end.
    pub fn push(&mut self, audio: &[&[f32]]) {
        self.spectrum.push(audio);
        self.periodicity.push(audio);
    }

    /// The class of the window that ends with the hop just filled.
    pub fn analyse(&mut self) -> Class {
        let spectrum = self.spectrum.analyse();
        let vowel_band_power = spectrum.band_power(VOWEL_BAND_HZ.0, VOWEL_BAND_HZ.1);
        let sibilant_band_power = spectrum.band_power(SIBILANT_BAND_HZ.0, SIBILANT_BAND_HZ.1);
        let features = Features {
            power: spectrum.band_power(VOWEL_BAND_HZ.0, f64::INFINITY),
            vowel_band_power,
            sibilant_band_power,
            periodicity: self.periodicity.analyse(),
        };
        self.classifier.classify(&features)
    }

    /// The spectrum of that window.
    pub fn spectrum(&self) -> &Spectrum {
        self.spectrum.last()
    }
}

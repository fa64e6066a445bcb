//! What the input holds: one pass over the samples, one verdict a hop.

#[cfg(feature = "stages-alone")]
pub(crate) mod alone;
mod band;
mod bands;
mod classifier;
mod colour;
mod noise_shape;
mod periodicity;
mod rise;
mod room;
mod spectrum;
mod transform;

pub(crate) use band::Band;
pub(crate) use spectrum::Spectrum;

use bands::BandRanges;
use classifier::{Classifier, Features};
use colour::VoiceColour;
use noise_shape::NoiseShape;
use periodicity::Periodicity;
use room::Room;
use spectrum::SpectrumAnalyser;

use crate::clock::timeline::Place;
use crate::clock::timing::Timing;
use crate::loudness::k_weighting::KWeighting;
use crate::report::Class;

/// The analysis of one voice, mono or stereo (linked).
pub(crate) struct Analysis {
    spectrum: SpectrumAnalyser,
    ranges: BandRanges,
    periodicity: Periodicity,
    room: Room,
    colour: VoiceColour,
    noise_shape: NoiseShape,
    classifier: Classifier,
}

impl Analysis {
    pub fn new(channels: usize, timing: Timing, weighting: &KWeighting) -> Self {
        Self {
            spectrum: SpectrumAnalyser::new(channels, timing, weighting),
            ranges: BandRanges::new(timing),
            periodicity: Periodicity::new(timing),
            room: Room::new(timing),
            colour: VoiceColour::new(timing),
            noise_shape: NoiseShape::new(timing),
            classifier: Classifier::new(timing),
        }
    }

    pub fn reset(&mut self) {
        self.spectrum.reset();
        self.periodicity.reset();
        self.room.reset();
        self.colour.reset();
        self.noise_shape.reset();
        self.classifier.reset();
    }

    /// Goes on as if the grid had run since the song began.
    pub fn lay_grid(&mut self, place: Place) {
        self.spectrum.lay_hop(place.into_hop_samples);
        self.room.lay_spans(place.hop);
    }

    /// Takes samples that end within the current hop or at its end.
    pub fn push(&mut self, audio: &[&mut [f32]]) {
        self.spectrum.push(audio);
    }

    /// The class of the window that ends with the hop just filled.
    pub fn analyse(&mut self) -> Class {
        let periodicity = self.periodicity.analyse(self.spectrum.newest_hop());
        let spectrum = self.spectrum.analyse();
        let (bands, power) = self.ranges.powers(spectrum);
        let features = Features {
            quiet: self.room.is_all(power),
            stand: self.colour.stand(&bands, power),
            sharpness_db: self
                .noise_shape
                .sharpness_db(&bands, self.classifier.heard_noise()),
            periodicity,
        };
        if !features.quiet {
            self.colour.hear(&bands, features.periodicity);
        }
        self.classifier.classify(&features)
    }

    /// The spectrum of that window.
    pub fn spectrum(&self) -> &Spectrum {
        self.spectrum.last()
    }
}

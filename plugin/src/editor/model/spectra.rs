//! The spectra that are shown: a running mean of the voice, and the mean of the last sibilant.

use siskin_dsp::Class;

use crate::telemetry::{SPECTRUM_BINS, SpectrumFrame};

/// Weight of a new spectrum in the running mean of the voice: about 100 ms of memory at thirty spectra a second.
const VOICE_WEIGHT: f32 = 0.3;

/// A mean spectrum.
#[derive(Debug, Clone, PartialEq)]
pub struct MeanSpectrum {
    /// Bin spacing, Hz.
    pub bin_hz: f32,
    /// K-weighted mean square.
    pub powers: [f32; SPECTRUM_BINS],
    frames: u32,
}

/// The spectra that are shown.
#[derive(Debug, Clone, Default)]
pub struct HeldSpectra {
    /// Running mean of the voice.
    pub voice: Option<MeanSpectrum>,
    /// Mean of the last sibilant, or of the current one so far.
    pub sibilant: Option<MeanSpectrum>,
    last_class: Class,
}

impl HeldSpectra {
    /// Adds a spectrum.
    pub fn add(&mut self, frame: &SpectrumFrame) {
        match frame.class {
            Class::Voice => match &mut self.voice {
                Some(voice) if voice.bin_hz == frame.bin_hz => voice.move_to(frame, VOICE_WEIGHT),
                voice => *voice = Some(MeanSpectrum::new(frame)),
            },
            Class::Sibilant => match &mut self.sibilant {
                Some(sibilant) if self.last_class == Class::Sibilant && sibilant.bin_hz == frame.bin_hz => {
                    let share = 1.0 / (sibilant.frames + 1) as f32;
                    sibilant.move_to(frame, share);
                }
                sibilant => *sibilant = Some(MeanSpectrum::new(frame)),
            },
            Class::Quiet | Class::Breath => {}
        }
        self.last_class = frame.class;
    }
}

impl MeanSpectrum {
    fn new(frame: &SpectrumFrame) -> Self {
        Self {
            bin_hz: frame.bin_hz,
            powers: frame.powers,
            frames: 1,
        }
    }

    fn move_to(&mut self, frame: &SpectrumFrame, share: f32) {
        for (power, new) in self.powers.iter_mut().zip(frame.powers) {
            *power += share * (new - *power);
        }
        self.frames += 1;
    }

    /// Frequency, Hz, and level, dB, of each bin above 0 Hz.
    pub fn points(&self) -> impl Iterator<Item = (f32, f32)> {
        let level_db = |power: f32| 10.0 * power.max(1e-14).log10();
        let points = self.powers.iter().enumerate().skip(1);
        points.map(move |(bin, power)| (bin as f32 * self.bin_hz, level_db(*power)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn frame(class: Class, power: f32) -> SpectrumFrame {
        SpectrumFrame {
            class,
            bin_hz: 187.5,
            powers: [power; SPECTRUM_BINS],
        }
    }

    #[test]
    fn a_sibilant_is_the_mean_of_its_frames_and_stays_until_the_next() {
        let mut spectra = HeldSpectra::default();
        for (class, power) in [
            (Class::Sibilant, 9.0),
            (Class::Voice, 1.0),
            (Class::Sibilant, 1.0),
            (Class::Sibilant, 3.0),
            (Class::Quiet, 0.0),
            (Class::Breath, 0.0),
        ] {
            spectra.add(&frame(class, power));
        }
        assert_eq!(spectra.sibilant.unwrap().powers[5], 2.0);
        assert_eq!(spectra.voice.unwrap().powers[5], 1.0);
    }

    #[test]
    fn the_voice_mean_follows_the_voice() {
        let mut spectra = HeldSpectra::default();
        spectra.add(&frame(Class::Voice, 0.0));
        (0..20).for_each(|_| spectra.add(&frame(Class::Voice, 1.0)));
        let powers = spectra.voice.unwrap();
        assert!(powers.powers[3] > 0.99);
        let (hz, db) = powers.points().next().unwrap();
        assert!(hz == 187.5 && db.abs() < 0.05);
    }
}

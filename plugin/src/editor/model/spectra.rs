//! The spectra that are shown: a running mean of the voice, and the mean of the last sibilant.

use std::collections::VecDeque;

use siskin_dsp::Class;
use siskin_editor_layout::TALLY;

use crate::telemetry::{SPECTRUM_BINS, SpectrumFrame};

/// Weight of a new spectrum in the running mean of the voice: about 100 ms of memory at thirty spectra a second.
const VOICE_WEIGHT: f32 = 0.3;

/// Sibilants whose spectra are kept: more than eight seconds hold.
const KEPT_SIBILANTS: usize = 4 * TALLY;

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
    /// Mean of each of the last sibilants, the current one so far, with the time at which it began.
    sibilants: VecDeque<(f64, MeanSpectrum)>,
}

impl HeldSpectra {
    /// Adds a spectrum. `sibilant_from_s` is when the current or the last sibilant began.
    pub fn add(&mut self, frame: &SpectrumFrame, sibilant_from_s: Option<f64>) {
        match (frame.class, sibilant_from_s) {
            (Class::Voice, _) => match &mut self.voice {
                Some(voice) if voice.bin_hz == frame.bin_hz => voice.move_to(frame, VOICE_WEIGHT),
                voice => *voice = Some(MeanSpectrum::new(frame)),
            },
            (Class::Sibilant, Some(from_s)) => self.add_to_sibilant(frame, from_s),
            _ => {}
        }
    }

    fn add_to_sibilant(&mut self, frame: &SpectrumFrame, from_s: f64) {
        match self.sibilants.back_mut() {
            Some((began_s, sibilant)) if *began_s == from_s && sibilant.bin_hz == frame.bin_hz => {
                let share = 1.0 / (sibilant.frames + 1) as f32;
                sibilant.move_to(frame, share);
            }
            _ => {
                self.sibilants.push_back((from_s, MeanSpectrum::new(frame)));
                if self.sibilants.len() > KEPT_SIBILANTS {
                    self.sibilants.pop_front();
                }
            }
        }
    }

    /// Mean of the last sibilant, or of the current one so far.
    pub fn last_sibilant(&self) -> Option<&MeanSpectrum> {
        self.sibilants.back().map(|(_, sibilant)| sibilant)
    }

    /// Mean of the sibilant that began at `from_s`; `None` where it was too short for a spectrum.
    pub fn sibilant(&self, from_s: f64) -> Option<&MeanSpectrum> {
        let mut sibilants = self.sibilants.iter();
        let (_, sibilant) = sibilants.find(|(began_s, _)| *began_s == from_s)?;
        Some(sibilant)
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

    /// Level at a frequency, dB.
    pub fn level_db(&self, hz: f32) -> Option<f32> {
        let bin = (hz / self.bin_hz).round() as usize;
        self.powers.get(bin).map(|power| level_db(*power))
    }

    /// Frequency, Hz, and level, dB, of each bin above 0 Hz.
    pub fn points(&self) -> impl Iterator<Item = (f32, f32)> {
        let points = self.powers.iter().enumerate().skip(1);
        points.map(move |(bin, power)| (bin as f32 * self.bin_hz, level_db(*power)))
    }
}

fn level_db(power: f32) -> f32 {
    10.0 * power.max(1e-14).log10()
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
    fn a_sibilant_is_the_mean_of_its_frames_and_is_found_again() {
        let mut spectra = HeldSpectra::default();
        for (class, power, from_s) in [
            (Class::Sibilant, 9.0, 1.0),
            (Class::Voice, 1.0, 1.0),
            (Class::Sibilant, 1.0, 2.0),
            (Class::Sibilant, 3.0, 2.0),
            (Class::Quiet, 0.0, 2.0),
            (Class::Breath, 0.0, 2.0),
        ] {
            spectra.add(&frame(class, power), Some(from_s));
        }
        assert_eq!(spectra.last_sibilant().unwrap().powers[5], 2.0);
        assert_eq!(spectra.sibilant(1.0).unwrap().powers[5], 9.0);
        assert_eq!(spectra.sibilant(1.5), None);
        assert_eq!(spectra.voice.unwrap().powers[5], 1.0);
    }

    #[test]
    fn spectra_of_sibilants_are_bounded() {
        let mut spectra = HeldSpectra::default();
        for index in 0..3 * KEPT_SIBILANTS {
            spectra.add(&frame(Class::Sibilant, 1.0), Some(index as f64));
        }
        assert_eq!(spectra.sibilants.len(), KEPT_SIBILANTS);
    }

    #[test]
    fn the_voice_mean_follows_the_voice() {
        let mut spectra = HeldSpectra::default();
        spectra.add(&frame(Class::Voice, 0.0), None);
        (0..20).for_each(|_| spectra.add(&frame(Class::Voice, 1.0), None));
        let powers = spectra.voice.unwrap();
        assert!(powers.powers[3] > 0.99);
        let (hz, db) = powers.points().next().unwrap();
        assert!(hz == 187.5 && db.abs() < 0.05);
        assert!(powers.level_db(1000.0).unwrap().abs() < 0.05);
        assert_eq!(powers.level_db(1e6), None);
    }
}

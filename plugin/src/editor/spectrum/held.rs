//! The spectra that are shown: the voice as it moves, the last sibilant as a whole.

use siskin_dsp::Class;

use crate::telemetry::{SPECTRUM_BINS, SpectrumFrame};

/// What a new spectrum of the voice weighs against those before: some 100 ms of memory at thirty a second.
const NEW_VOICE: f32 = 0.3;

/// Mean powers per bin.
#[derive(Debug, Clone, PartialEq)]
pub struct Powers {
    /// From one bin to the next, Hz.
    pub bin_hz: f32,
    /// K-weighted mean square.
    pub powers: [f32; SPECTRUM_BINS],
    frames: u32,
}

/// What is shown.
#[derive(Debug, Clone, Default)]
pub struct Held {
    /// The voice.
    pub voice: Option<Powers>,
    /// The last sibilant, or the one that sounds so far.
    pub sibilant: Option<Powers>,
    before: Class,
}

impl Held {
    /// Takes a spectrum.
    pub fn hear(&mut self, frame: &SpectrumFrame) {
        match frame.class {
            Class::Voice => match &mut self.voice {
                Some(voice) if voice.bin_hz == frame.bin_hz => voice.move_to(frame, NEW_VOICE),
                voice => *voice = Some(Powers::of(frame)),
            },
            Class::Sibilant => match &mut self.sibilant {
                Some(sibilant) if self.before == Class::Sibilant && sibilant.bin_hz == frame.bin_hz => {
                    let share = 1.0 / (sibilant.frames + 1) as f32;
                    sibilant.move_to(frame, share);
                }
                sibilant => *sibilant = Some(Powers::of(frame)),
            },
            Class::Quiet | Class::Breath => {}
        }
        self.before = frame.class;
    }
}

impl Powers {
    fn of(frame: &SpectrumFrame) -> Self {
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

    /// The frequency of each bin that is shown, Hz, and its level, dB.
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
    fn a_sibilant_is_the_mean_of_its_own_frames_and_stays_until_the_next() {
        let mut held = Held::default();
        for (class, power) in [
            (Class::Sibilant, 9.0),
            (Class::Voice, 1.0),
            (Class::Sibilant, 1.0),
            (Class::Sibilant, 3.0),
            (Class::Quiet, 0.0),
            (Class::Breath, 0.0),
        ] {
            held.hear(&frame(class, power));
        }
        assert_eq!(held.sibilant.unwrap().powers[5], 2.0);
        assert_eq!(held.voice.unwrap().powers[5], 1.0);
    }

    #[test]
    fn the_voice_moves_towards_what_sounds() {
        let mut held = Held::default();
        held.hear(&frame(Class::Voice, 0.0));
        (0..20).for_each(|_| held.hear(&frame(Class::Voice, 1.0)));
        let powers = held.voice.unwrap();
        assert!(powers.powers[3] > 0.99);
        let (hz, db) = powers.points().next().unwrap();
        assert!(hz == 187.5 && db.abs() < 0.05);
    }
}

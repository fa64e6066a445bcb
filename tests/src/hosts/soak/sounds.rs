//! Hostile and ordinary sound for random hosts.

use super::random::Random;
use crate::measurement::voices::signals::phrases;

/// A sound of one kind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Kind {
    /// Nothing.
    Silence,
    /// Phrases that hold what a voice makes an insert do.
    Voice,
    /// White noise.
    Noise,
    /// A constant.
    Constant,
    /// A square wave at full scale and 24 dB above.
    Square,
    /// Single samples.
    Clicks,
    /// Numbers too small to be normal.
    Denormals,
    /// Numbers that are none, and infinite ones, among others.
    NoNumbers,
}

/// Every kind, the usual ones more often.
const KINDS: [Kind; 11] = [
    Kind::Silence,
    Kind::Voice,
    Kind::Voice,
    Kind::Voice,
    Kind::Voice,
    Kind::Noise,
    Kind::Constant,
    Kind::Square,
    Kind::Clicks,
    Kind::Denormals,
    Kind::NoNumbers,
];

/// Sounds, block after block.
#[derive(Debug, Clone)]
pub struct Sounds {
    voice: Vec<f32>,
    at: usize,
}

impl Sounds {
    /// Sounds for one insert.
    pub fn new(random: &mut Random) -> Self {
        Self {
            voice: phrases(48_000.0, 96_000, random.next_u64(), 0.3, 0.9),
            at: random.below(96_000),
        }
    }

    /// The next `samples` samples of each of `channels` channels, of some kind.
    pub fn next(&mut self, random: &mut Random, channels: usize, samples: usize) -> Vec<Vec<f32>> {
        let kind = *random.of(&KINDS);
        let gain = 10.0_f32.powf((random.share() * 48.0 - 36.0) as f32 / 20.0);
        self.at += samples;
        (0..channels)
            .map(|channel| {
                (0..samples)
                    .map(|sample| gain * self.sample(random, kind, self.at + sample + 331 * channel))
                    .collect()
            })
            .collect()
    }

    fn sample(&self, random: &mut Random, kind: Kind, at: usize) -> f32 {
        match kind {
            Kind::Silence => 0.0,
            Kind::Voice => self.voice[at % self.voice.len()],
            Kind::Noise => random.share() as f32 * 2.0 - 1.0,
            Kind::Constant => 0.5,
            Kind::Square if at % 100 < 50 => 16.0,
            Kind::Square => -16.0,
            Kind::Clicks if at.is_multiple_of(997) => 1.0,
            Kind::Clicks => 0.0,
            Kind::Denormals => f32::from_bits((random.next_u64() & 0x807F_FFFF) as u32),
            Kind::NoNumbers => *random.of(&[
                f32::NAN,
                f32::INFINITY,
                f32::NEG_INFINITY,
                1.0,
                -0.0,
                f32::MAX,
                0.1,
            ]),
        }
    }
}

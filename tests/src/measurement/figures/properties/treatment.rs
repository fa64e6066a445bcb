//! What is held against the properties: Siskin, or the practice that it replaces.

use siskin_dsp::Settings;

use super::defaults::RATE_HZ;
use super::play::{Layout, Play};
use super::voice::Voice;
use crate::measurement::models::FixedStack;

/// A way to treat the sibilants of a voice at 48 kHz.
#[derive(Debug, Clone, Copy)]
pub enum Treatment {
    /// A new insert at its defaults, after the leveller.
    Siskin,
    /// Two stages with fixed thresholds, one before the leveller and one after the boost.
    FixedStack(FixedStack),
}

impl Treatment {
    /// What the stage after the leveller is given of a voice.
    pub fn given(&self, voice: &Voice) -> Vec<f32> {
        match self {
            Self::Siskin => voice.levelled.clone(),
            Self::FixedStack(stack) => stack.levelled(&voice.raw.audio, RATE_HZ),
        }
    }

    /// The stage after the leveller: one vector a channel, in step with what it was given.
    pub fn treat(&self, given: &[Vec<f32>]) -> Vec<Vec<f32>> {
        self.treat_at(given, &[])
    }

    /// The same in a host that reports these positions (see [`Play::positions`]).
    fn treat_at(&self, given: &[Vec<f32>], positions: &[(usize, i64)]) -> Vec<Vec<f32>> {
        match self {
            Self::Siskin => {
                let settings = Settings::default();
                let play = Play::new(RATE_HZ, given, &settings);
                Play { positions, ..play }.run().audio
            }
            Self::FixedStack(stack) => {
                let channels = given.iter();
                channels.map(|channel| stack.last(channel, RATE_HZ)).collect()
            }
        }
    }

    /// A mono sound through the stage after the leveller, in a host that reports these positions.
    pub fn treat_mono(&self, given: &[f32], positions: &[(usize, i64)]) -> Vec<f32> {
        self.treat_at(&[given.to_vec()], positions)
            .into_iter()
            .next()
            .unwrap_or_default()
    }

    /// The layouts in which it is heard. The fixed stages are mono: with two channels they would be linked too, and
    /// show the same.
    pub fn layouts(&self) -> &'static [Layout] {
        match self {
            Self::Siskin => &[Layout::Mono, Layout::Scaled],
            Self::FixedStack(_) => &[Layout::Mono],
        }
    }
}

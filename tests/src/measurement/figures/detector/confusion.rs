//! What was heard of each sound.

use std::ops::AddAssign;

use siskin_dsp::Class;

use super::scene::{Scene, narrowed};
use crate::measurement::voices::corpus::Sound;

/// The rows of the matrix.
pub const SOUNDS: [Sound; 8] = [
    Sound::Sibilant,
    Sound::VoicedSibilant,
    Sound::WeakFricative,
    Sound::Vowel,
    Sound::Sonorant,
    Sound::Stop,
    Sound::Breath,
    Sound::Rest,
];
/// The columns of the matrix.
pub const CLASSES: [Class; 4] = [Class::Sibilant, Class::Voice, Class::Breath, Class::Quiet];
/// What is left out at each edge of a label, ms: there one sound turns into another.
const EDGE_MS: f64 = 10.0;

/// Hops by labelled sound and class.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Confusion {
    /// One row a sound of [`SOUNDS`], one column a class of [`CLASSES`].
    pub hops: [[usize; CLASSES.len()]; SOUNDS.len()],
}

impl Confusion {
    pub(super) fn of(scene: &Scene<'_>) -> Self {
        let mut hops = [[0; CLASSES.len()]; SOUNDS.len()];
        let edge = scene.samples(EDGE_MS);
        for (row, sound) in hops.iter_mut().zip(SOUNDS) {
            for phone in scene.recording.of(sound) {
                let heard = scene.hearing.within(&narrowed(&phone.span, edge));
                for (count, class) in row.iter_mut().zip(CLASSES) {
                    *count += heard.iter().filter(|report| report.class == class).count();
                }
            }
        }
        Self { hops }
    }

    /// The matrix in percent of each row; a row without hops is none.
    pub fn percent(&self) -> [Option<[f64; CLASSES.len()]>; SOUNDS.len()] {
        self.hops.map(|row| {
            let all: usize = row.iter().sum();
            (all > 0).then(|| row.map(|count| 100.0 * count as f64 / all as f64))
        })
    }
}

impl AddAssign for Confusion {
    fn add_assign(&mut self, other: Self) {
        for (row, other) in self.hops.iter_mut().zip(other.hops) {
            for (count, other) in row.iter_mut().zip(other) {
                *count += other;
            }
        }
    }
}

//! The singer's chance: the same in every run with one seed.

use crate::measurement::voices::signals;

/// A stream of random numbers.
pub struct Random(Box<dyn Iterator<Item = f32>>);

impl Random {
    /// A stream of its own for a seed and a use.
    pub fn new(seed: u64, purpose: u64) -> Self {
        // The first numbers of nearby seeds are alike; the hundredth are not.
        Self(Box::new(
            signals::noise(seed.wrapping_mul(1_000_003).wrapping_add(purpose)).skip(100),
        ))
    }

    /// White noise, between -1 and 1.
    pub fn noise(&mut self) -> f64 {
        f64::from(self.0.next().unwrap_or_default())
    }

    /// Evenly between two values.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * 0.5 * (self.noise() + 1.0)
    }
}

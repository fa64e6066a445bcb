//! The starting point that was chosen last, whose name is shown until something changes.

use super::compare::Values;

/// Normalized values closer than this are equal.
const SAME: f32 = 1e-4;

/// A starting point and what it set.
#[derive(Debug, Clone, PartialEq)]
pub struct Chosen {
    /// Its name.
    pub name: String,
    /// What it set.
    pub values: Values,
}

impl Chosen {
    /// Whether nothing that it set has changed since.
    pub fn is_current(&self, current: &Values) -> bool {
        self.values.iter().all(|(id, value)| {
            let now = current.get(id);
            now.is_some_and(|now| (now - value).abs() < SAME)
        })
    }
}

//! A value that moves in a straight line over one control step.

/// Start and end of a step. The value at a sample depends on the sample's place in the step alone, so a step may be
/// cut by block borders anywhere.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Ramp {
    from: f64,
    to: f64,
    per_sample: f64,
}

impl Ramp {
    /// A value at rest.
    pub fn resting(value: f64) -> Self {
        Self {
            from: value,
            to: value,
            per_sample: 0.0,
        }
    }

    /// Goes on from where the last step ended, to `to` at the last sample of the next.
    pub fn continue_to(&mut self, to: f64, step_samples: usize) {
        self.from = self.to;
        self.to = to;
        self.per_sample = (self.to - self.from) / step_samples as f64;
    }

    /// The value at sample `index` of the step.
    pub fn at(&self, index: usize) -> f64 {
        self.from + self.per_sample * (index + 1) as f64
    }

    /// True when the whole step is exactly `value`.
    pub fn rests_at(&self, value: f64) -> bool {
        self.from == value && self.to == value
    }
}

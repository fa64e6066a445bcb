//! A biquad in transposed direct form II: coefficients apart from memory.

/// Normalised coefficients (`a0` = 1).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Coefficients {
    pub b: [f64; 3],
    pub a: [f64; 2],
}

impl Coefficients {
    /// Power gain at `radians` per sample.
    pub fn power_gain(&self, radians: f64) -> f64 {
        let (cos1, cos2) = (radians.cos(), (2.0 * radians).cos());
        let squared = |c0: f64, c1: f64, c2: f64| {
            c0 * c0 + c1 * c1 + c2 * c2 + 2.0 * (c0 * c1 + c1 * c2) * cos1 + 2.0 * c0 * c2 * cos2
        };
        squared(self.b[0], self.b[1], self.b[2]) / squared(1.0, self.a[0], self.a[1])
    }
}

/// The memory of one section.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Biquad {
    s1: f64,
    s2: f64,
}

impl Biquad {
    pub fn process(&mut self, coefficients: &Coefficients, x: f64) -> f64 {
        let Coefficients { b, a } = coefficients;
        let y = b[0] * x + self.s1;
        self.s1 = b[1] * x - a[0] * y + self.s2;
        self.s2 = b[2] * x - a[1] * y;
        y
    }

    pub fn flush_denormals(&mut self) {
        self.s1 = crate::denormal::flushed(self.s1);
        self.s2 = crate::denormal::flushed(self.s2);
    }
}

//! A biquad in transposed direct form II: coefficients apart from memory.

use crate::frame::Frame;

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

/// The memory of one section, of every channel.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Biquad {
    s1: Frame,
    s2: Frame,
}

impl Biquad {
    /// The output is multiplied out of the recursion, which is therefore no longer than a product and a sum.
    pub fn process(&mut self, coefficients: &Coefficients, x: Frame) -> Frame {
        let Coefficients { b, a } = *coefficients;
        let y = x * b[0] + self.s1;
        let next = (x * (b[1] - a[0] * b[0]) + self.s2) - self.s1 * a[0];
        self.s2 = x * (b[2] - a[1] * b[0]) - self.s1 * a[1];
        self.s1 = next;
        y
    }

    pub fn flush_denormals(&mut self) {
        self.s1 = crate::denormal::flushed(self.s1);
        self.s2 = crate::denormal::flushed(self.s2);
    }
}

//! A biquad in transposed direct form II, with coefficients and state in separate types.

use crate::primitives::frame::Frame;

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

/// Coefficients of one filter per lane. The output term is multiplied out of the recursion, which shortens it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct LaneCoefficients {
    direct: Frame,
    into_first: Frame,
    into_second: Frame,
    first_again: Frame,
    first_into_second: Frame,
}

impl LaneCoefficients {
    pub fn new(lanes: [&Coefficients; 2]) -> Self {
        let each = |of: &dyn Fn(&Coefficients) -> f64| Frame::new(lanes.map(of));
        Self {
            direct: each(&|c| c.b[0]),
            into_first: each(&|c| c.b[1] - c.a[0] * c.b[0]),
            into_second: each(&|c| c.b[2] - c.a[1] * c.b[0]),
            first_again: each(&|c| c.a[0]),
            first_into_second: each(&|c| c.a[1]),
        }
    }
}

/// The state of one section in each lane.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Biquad {
    s1: Frame,
    s2: Frame,
}

impl Biquad {
    /// Filters one sample per lane. The recursion is one product and one sum long.
    pub fn process(&mut self, lanes: &LaneCoefficients, x: Frame) -> Frame {
        let y = x * lanes.direct + self.s1;
        let next = (x * lanes.into_first + self.s2) - self.s1 * lanes.first_again;
        self.s2 = x * lanes.into_second - self.s1 * lanes.first_into_second;
        self.s1 = next;
        y
    }

    /// Sets negligible state to zero.
    pub fn flush_denormals(&mut self) {
        self.s1 = crate::primitives::denormal::flushed(self.s1);
        self.s2 = crate::primitives::denormal::flushed(self.s2);
    }
}

//! State-variable filters with trapezoidal integrators (Zavalishin, *The Art of VA Filter Design*; Simper, *Linear
//! Trapezoidal Integrated SVF*): stable however fast their corner moves.

use wide::f64x2;

use crate::primitives::frame::Frame;
use crate::primitives::tangent::tangent;

/// Butterworth damping `1/Q` of a single section.
const DAMPING: f64 = std::f64::consts::SQRT_2;
/// Highest corner as a share of the sample rate; the warped frequency grows without limit above it.
const MAX_CORNER: f64 = 0.45;

/// The warped frequency `tan(pi f / fs)`, with the corner limited to stay below Nyquist.
pub(crate) fn warped(corner_hz: f64, sample_rate_hz: f64) -> f64 {
    tangent(std::f64::consts::PI * (corner_hz / sample_rate_hz).min(MAX_CORNER))
}

/// Input weights of the two integrators of a section, solved for a corner and a damping.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Integrators {
    a1: f64,
    a2: f64,
    a3: f64,
}

impl Integrators {
    /// A section with its corner at `warped_corner` = `tan(pi f / fs)` and a damping of `1/Q`.
    pub fn new(warped_corner: f64, damping: f64) -> Self {
        let a1 = 1.0 / (1.0 + warped_corner * (warped_corner + damping));
        let a2 = warped_corner * a1;
        Self {
            a1,
            a2,
            a3: warped_corner * a2,
        }
    }

    /// The same for two corners.
    pub fn pair(warped_corner: f64x2, damping: f64) -> [Self; 2] {
        let a1 = f64x2::ONE / (warped_corner * (warped_corner + damping) + 1.0);
        let a2 = warped_corner * a1;
        let (a3, a2, a1) = ((warped_corner * a2).to_array(), a2.to_array(), a1.to_array());
        std::array::from_fn(|lane| Self {
            a1: a1[lane],
            a2: a2[lane],
            a3: a3[lane],
        })
    }
}

/// The state of the two integrators of one section, both channels.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct FilterState {
    band: Frame,
    low: Frame,
}

impl FilterState {
    /// The state after a constant input of `x`.
    pub fn settled_at(x: Frame) -> Self {
        Self {
            band: Frame::ZERO,
            low: x,
        }
    }

    /// Filters a sample; returns the band-pass and the low-pass. The high-pass is the sample minus the low-pass and the damped
    /// band-pass.
    pub fn process(&mut self, integrators: &Integrators, x: Frame) -> (Frame, Frame) {
        let Integrators { a1, a2, a3 } = *integrators;
        let rest = x - self.low;
        let band = self.band * a1 + rest * a2;
        let low = self.low + self.band * a2 + rest * a3;
        self.advance(integrators, x);
        (band, low)
    }

    /// The same with a longer recursion and fewer products: for integrators that are new with each sample.
    pub fn process_moving(&mut self, integrators: &Integrators, x: Frame) -> (Frame, Frame) {
        let Integrators { a1, a2, a3 } = *integrators;
        let rest = x - self.low;
        let band = self.band * a1 + rest * a2;
        let low = self.low + self.band * a2 + rest * a3;
        self.band = band + band - self.band;
        self.low = low + low - self.low;
        (band, low)
    }

    /// Updates the state by a sample without computing outputs.
    ///
    /// The new state is twice the outputs of [`Self::process`] minus the old state, multiplied out so that the recursion is
    /// one product and two sums long.
    pub fn advance(&mut self, integrators: &Integrators, x: Frame) {
        let Integrators { a1, a2, a3 } = *integrators;
        let (band, rest) = (self.band, x - self.low);
        self.band = band * (2.0 * a1 - 1.0) + rest * (2.0 * a2);
        self.low = (self.low + band * (2.0 * a2)) + rest * (2.0 * a3);
    }

    /// Sets negligible state to zero.
    pub fn flush_denormals(&mut self) {
        self.band = crate::primitives::denormal::flushed(self.band);
        self.low = crate::primitives::denormal::flushed(self.low);
    }
}

/// A Butterworth high-pass, 12 dB per octave.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct HighPass {
    warped_corner: f64,
    integrators: Integrators,
}

impl HighPass {
    pub fn new(corner_hz: f64, sample_rate_hz: f64) -> Self {
        Self::at(warped(corner_hz, sample_rate_hz))
    }

    fn at(warped_corner: f64) -> Self {
        Self {
            warped_corner,
            integrators: Integrators::new(warped_corner, DAMPING),
        }
    }

    /// Filters one sample.
    pub fn process(&self, memory: &mut FilterState, x: Frame) -> Frame {
        let (band, low) = memory.process(&self.integrators, x);
        x - band * DAMPING - low
    }

    /// Updates the state by samples without computing outputs.
    pub fn advance(&self, memory: &mut FilterState, frames: &[Frame]) {
        frames.iter().for_each(|&x| memory.advance(&self.integrators, x));
    }
}

/// A high-pass over one control step; its corner moves linearly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct MovingHighPass {
    from: HighPass,
    to: HighPass,
}

impl MovingHighPass {
    pub fn resting(high_pass: HighPass) -> Self {
        Self {
            from: high_pass,
            to: high_pass,
        }
    }

    /// Starts the next step at the end of the last one.
    pub fn continue_to(&mut self, to: HighPass) {
        (self.from, self.to) = (self.to, to);
    }

    /// The filter at the end of the step.
    pub fn end(&self) -> &HighPass {
        &self.to
    }

    /// The filter of the step if its corner rests.
    pub fn rest(&self) -> Option<&HighPass> {
        (self.from.warped_corner == self.to.warped_corner).then_some(&self.to)
    }

    /// The filter after `share` of the step.
    pub fn at(&self, share: f64) -> HighPass {
        let (from, to) = (self.from.warped_corner, self.to.warped_corner);
        self.rest()
            .copied()
            .unwrap_or_else(|| HighPass::at(from + (to - from) * share))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_signals::response_db;

    // scipy.signal 1.17.1: butter(2, 4000, 'high', fs=48000), freqz.
    #[test]
    fn the_high_pass_matches_scipy() {
        let high_pass = HighPass::new(4000.0, 48_000.0);
        for (frequency_hz, scipy_db) in [
            (500.0, -36.5217),
            (2000.0, -12.5909),
            (4000.0, -3.0103),
            (9000.0, -0.1109),
        ] {
            let mut memory = FilterState::default();
            let db = response_db(frequency_hz, 48_000.0, |x| high_pass.process(&mut memory, x));
            assert!((db - scipy_db).abs() < 1e-3, "{db} dB at {frequency_hz} Hz");
        }
    }
}

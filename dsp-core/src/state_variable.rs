//! State-variable filters with trapezoidal integrators (Zavalishin, *The Art of VA Filter Design*; Simper, *Linear
//! Trapezoidal Integrated SVF*): stable however fast their corner moves.

/// Butterworth damping `1/Q` of a single section.
const DAMPING: f64 = std::f64::consts::SQRT_2;
/// Corners stay below this share of the sample rate, where the warp runs away.
const HIGHEST_CORNER: f64 = 0.45;

/// `tan(pi f / fs)` of a corner that is kept below Nyquist.
pub(crate) fn warped(corner_hz: f64, sample_rate_hz: f64) -> f64 {
    (std::f64::consts::PI * (corner_hz / sample_rate_hz).min(HIGHEST_CORNER)).tan()
}

/// What the two integrators of a section weigh their inputs with: corner and damping, solved once.
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
}

/// The two integrators of one section of one channel.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Memory {
    band: f64,
    low: f64,
}

impl Memory {
    /// Takes a sample; gives the section's band-pass and low-pass. The high-pass is what is left of the sample when
    /// the low-pass and the damped band-pass are taken off.
    pub fn process(&mut self, integrators: &Integrators, x: f64) -> (f64, f64) {
        let Integrators { a1, a2, a3 } = *integrators;
        let v3 = x - self.low;
        let band = a1 * self.band + a2 * v3;
        let low = self.low + a2 * self.band + a3 * v3;
        self.band = 2.0 * band - self.band;
        self.low = 2.0 * low - self.low;
        (band, low)
    }

    pub fn flush_denormals(&mut self) {
        self.band = crate::denormal::flushed(self.band);
        self.low = crate::denormal::flushed(self.low);
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

    /// The high-pass whose corner lies on the straight line from `self` to `to`.
    pub fn towards(&self, to: &Self, share: f64) -> Self {
        if self == to {
            return *to;
        }
        Self::at(self.warped_corner + (to.warped_corner - self.warped_corner) * share)
    }

    /// Filters one sample of the channel whose memory this is.
    pub fn process(&self, memory: &mut Memory, x: f64) -> f64 {
        let (band, low) = memory.process(&self.integrators, x);
        x - DAMPING * band - low
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // scipy.signal 1.17.1: butter(2, 4000, 'high', fs=48000), freqz.
    #[test]
    fn the_high_pass_is_scipys() {
        let high_pass = HighPass::new(4000.0, 48_000.0);
        for (frequency_hz, scipy_db) in [
            (500.0, -36.5217),
            (2000.0, -12.5909),
            (4000.0, -3.0103),
            (9000.0, -0.1109),
        ] {
            let mut memory = Memory::default();
            let (mut real, mut imaginary) = (0.0, 0.0);
            for n in 0..8192 {
                let y = high_pass.process(&mut memory, if n == 0 { 1.0 } else { 0.0 });
                let phase = std::f64::consts::TAU * frequency_hz * f64::from(n) / 48_000.0;
                real += y * phase.cos();
                imaginary += y * phase.sin();
            }
            let db: f64 = 10.0 * (real * real + imaginary * imaginary).log10();
            assert!((db - scipy_db).abs() < 1e-3, "{db} dB at {frequency_hz} Hz");
        }
    }
}

//! State-variable filters with trapezoidal integrators (Zavalishin, *The Art of VA Filter Design*; Simper, *Linear
//! Trapezoidal Integrated SVF*): stable however fast their coefficients move.

/// Coefficients of one section, as plain numbers that may be interpolated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Coefficients {
    /// Warped corner, `tan(pi f / fs)`.
    pub g: f64,
    /// Damping, `1/Q`.
    pub k: f64,
    /// Output mix: input, band, low.
    pub mix: [f64; 3],
}

/// Butterworth damping, and the `S = 1` of the Audio EQ Cookbook's shelves.
const DAMPING: f64 = std::f64::consts::SQRT_2;
/// Corners stay below this share of the sample rate, where the warp runs away.
const HIGHEST_CORNER: f64 = 0.45;

/// `tan(pi f / fs)` of a corner that is kept below Nyquist.
pub(crate) fn warped(corner_hz: f64, sample_rate_hz: f64) -> f64 {
    (std::f64::consts::PI * (corner_hz / sample_rate_hz).min(HIGHEST_CORNER)).tan()
}

impl Coefficients {
    /// High shelf of `gain_db` far above the corner, half of it at the corner; the identity at 0 dB. Its closed form
    /// is the Audio EQ Cookbook's (W3C Note 2021) high shelf with `S = 1`.
    pub fn high_shelf(warped_corner: f64, gain_db: f64) -> Self {
        let root = 10f64.powf(gain_db / 40.0);
        Self {
            g: warped_corner * root.sqrt(),
            k: DAMPING,
            mix: [root * root, DAMPING * (1.0 - root) * root, 1.0 - root * root],
        }
    }

    /// Butterworth high-pass, 12 dB per octave.
    pub fn high_pass(warped_corner: f64) -> Self {
        Self {
            g: warped_corner,
            k: DAMPING,
            mix: [1.0, -DAMPING, -1.0],
        }
    }

    /// A point on the straight line from `self` to `to`.
    pub fn towards(&self, to: &Self, share: f64) -> Self {
        let line = |from: f64, to: f64| from + (to - from) * share;
        Self {
            g: line(self.g, to.g),
            k: line(self.k, to.k),
            mix: [
                line(self.mix[0], to.mix[0]),
                line(self.mix[1], to.mix[1]),
                line(self.mix[2], to.mix[2]),
            ],
        }
    }
}

/// Power gain of [`Coefficients::high_shelf`] where the frequency is `warped_ratio` = `tan(pi f/fs) / tan(pi fc/fs)`
/// times the corner; `root` is `10^(gain_db / 40)`.
pub(crate) fn high_shelf_power_gain(warped_ratio: f32, root: f32) -> f32 {
    let squared = warped_ratio * warped_ratio;
    let damping = 2.0 * root * squared;
    let numerator = (1.0 - root * squared).powi(2) + damping;
    let denominator = (root - squared).powi(2) + damping;
    root * root * numerator / denominator
}

/// The two integrators of one channel.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct StateVariable {
    band: f64,
    low: f64,
}

impl StateVariable {
    pub fn process(&mut self, coefficients: &Coefficients, x: f64) -> f64 {
        let Coefficients { g, k, mix } = *coefficients;
        let a1 = 1.0 / (1.0 + g * (g + k));
        let a2 = g * a1;
        let v3 = x - self.low;
        let v1 = a1 * self.band + a2 * v3;
        let v2 = self.low + a2 * self.band + g * a2 * v3;
        self.band = 2.0 * v1 - self.band;
        self.low = 2.0 * v2 - self.low;
        mix[0] * x + mix[1] * v1 + mix[2] * v2
    }

    pub fn flush_denormals(&mut self) {
        self.band = crate::denormal::flushed(self.band);
        self.low = crate::denormal::flushed(self.low);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn measured_db(coefficients: &Coefficients, frequency_hz: f64, rate_hz: f64) -> f64 {
        let mut filter = StateVariable::default();
        let (mut real, mut imaginary) = (0.0, 0.0);
        for n in 0..8192 {
            let y = filter.process(coefficients, if n == 0 { 1.0 } else { 0.0 });
            let phase = std::f64::consts::TAU * frequency_hz * f64::from(n) / rate_hz;
            real += y * phase.cos();
            imaginary += y * phase.sin();
        }
        10.0 * (real * real + imaginary * imaginary).log10()
    }

    // Audio EQ Cookbook (W3C Note 2021), high shelf, 6 kHz, -6 dB, S = 1, 48 kHz: the closed form's values.
    #[test]
    fn the_shelf_is_the_cookbooks() {
        let shelf = Coefficients::high_shelf(warped(6000.0, 48_000.0), -6.0);
        for (frequency_hz, cookbook_db) in [
            (3000.0, -0.324),
            (6000.0, -3.0),
            (8000.0, -4.699),
            (12_000.0, -5.816),
        ] {
            let db = measured_db(&shelf, frequency_hz, 48_000.0);
            assert!((db - cookbook_db).abs() < 2e-3, "{db} at {frequency_hz} Hz");
        }
    }

    #[test]
    fn the_predicted_shelf_is_the_measured_one() {
        for (rate_hz, corner_hz, gain_db) in [
            (44_100.0, 2000.0, -12.0),
            (48_000.0, 5600.0, -24.0),
            (96_000.0, 300.0, -3.0),
        ] {
            let shelf = Coefficients::high_shelf(warped(corner_hz, rate_hz), gain_db);
            for frequency_hz in [1000.0, 4000.0, 9000.0, 15_000.0] {
                let ratio = warped(frequency_hz, rate_hz) / warped(corner_hz, rate_hz);
                let predicted = high_shelf_power_gain(ratio as f32, 10f32.powf(gain_db as f32 / 40.0));
                let measured_db = measured_db(&shelf, frequency_hz, rate_hz);
                assert!(
                    (f64::from(10.0 * predicted.log10()) - measured_db).abs() < 0.02,
                    "{frequency_hz} Hz"
                );
            }
        }
    }

    #[test]
    fn at_0_db_the_shelf_is_the_identity() {
        let shelf = Coefficients::high_shelf(warped(3000.0, 48_000.0), 0.0);
        assert_eq!(shelf.mix, [1.0, 0.0, 0.0]);
    }
}

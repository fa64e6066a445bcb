//! How much a level wanders at the pace of syllables.

use realfft::RealFftPlanner;

/// Mean square of what lies between two frequencies in a signal that is sampled at `rate_hz`: its mean is taken off, a
/// Hann window (Welch 1967) put on over its whole length. In the square of the signal's unit: for decibels, dB squared.
///
/// # Panics
/// Never: the lengths are those of the plan.
pub fn band_mean_square(signal: &[f32], rate_hz: f64, (low_hz, high_hz): (f64, f64)) -> f32 {
    let length = signal.len();
    let mean = signal.iter().map(|&value| f64::from(value)).sum::<f64>() / length.max(1) as f64;
    let transform = RealFftPlanner::<f64>::new().plan_fft_forward(length);
    let mut windowed = transform.make_input_vec();
    let mut window_power = 0.0;
    for (n, (windowed, &value)) in windowed.iter_mut().zip(signal).enumerate() {
        let weight = 0.5 - 0.5 * (std::f64::consts::TAU * (n as f64 + 0.5) / length as f64).cos();
        window_power += weight * weight;
        *windowed = weight * (f64::from(value) - mean);
    }
    let mut bins = transform.make_output_vec();
    transform
        .process(&mut windowed, &mut bins)
        .expect("lengths of the plan");
    let bin_hz = rate_hz / length as f64;
    let within = bins
        .iter()
        .enumerate()
        .filter(|(bin, _)| (low_hz..high_hz).contains(&(*bin as f64 * bin_hz)));
    let power: f64 = within.map(|(_, bin)| bin.norm_sqr()).sum();
    (2.0 * power / (window_power * length as f64)) as f32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slow_wave_counts_in_its_band_alone() {
        let wave: Vec<f32> = (0..7500)
            .map(|n| 3.0 + 2.0 * (std::f32::consts::TAU * 5.0 * n as f32 / 750.0).sin())
            .collect();
        let within = band_mean_square(&wave, 750.0, (2.0, 8.0));
        assert!((within - 2.0).abs() < 0.01, "{within}");
        let beside = band_mean_square(&wave, 750.0, (8.0, 50.0));
        assert!(beside < 1e-3, "{beside}");
    }
}

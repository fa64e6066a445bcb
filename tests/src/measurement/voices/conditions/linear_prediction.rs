//! Linear prediction: a mouth as a filter of poles, and what excites it (Makhoul 1975, from memory).

/// Power that is added to the lag 0 so that the filter stays stable, as a share: a floor 90 dB down.
const FLOOR: f64 = 1e-9;

/// The coefficients of 1 + a1 z^-1 + ... + an z^-n that leave the least of `frame`, by autocorrelation and the
/// recursion of Levinson and Durbin: always of minimum phase. No more than 1 where the frame is silent.
pub fn predictor(frame: &[f64], order: usize) -> Vec<f64> {
    let lag = |lag: usize| -> f64 {
        frame
            .iter()
            .zip(&frame[lag.min(frame.len())..])
            .map(|(one, two)| one * two)
            .sum()
    };
    let lags: Vec<f64> = (0..=order).map(lag).collect();
    let mut coefficients = vec![1.0];
    let mut left = lags[0] * (1.0 + FLOOR);
    for step in 1..=order {
        if left <= 0.0 {
            break;
        }
        let ahead: f64 = coefficients
            .iter()
            .zip(lags[..=step].iter().rev())
            .map(|(one, two)| one * two)
            .sum();
        let reflection = -ahead / left;
        coefficients.push(0.0);
        let turned: Vec<f64> = coefficients.iter().rev().map(|one| reflection * one).collect();
        for (coefficient, turned) in coefficients.iter_mut().zip(turned) {
            *coefficient += turned;
        }
        left *= 1.0 - reflection * reflection;
    }
    coefficients
}

/// What the prediction leaves of a sound that was silent before.
pub fn residual(sound: &[f64], coefficients: &[f64]) -> Vec<f64> {
    (0..sound.len())
        .map(|sample| {
            let past = sound[..=sample].iter().rev();
            coefficients.iter().zip(past).map(|(one, two)| one * two).sum()
        })
        .collect()
}

/// The sound that leaves this residual, ringing on for `tail` samples.
pub fn synthesis(residual: &[f64], coefficients: &[f64], tail: usize) -> Vec<f64> {
    let mut sound: Vec<f64> = Vec::with_capacity(residual.len() + tail);
    for sample in 0..residual.len() + tail {
        let past = sound.iter().rev();
        let predicted: f64 = coefficients[1..]
            .iter()
            .zip(past)
            .map(|(one, two)| one * two)
            .sum();
        sound.push(residual.get(sample).copied().unwrap_or_default() - predicted);
    }
    sound
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::signals::noise;

    fn white(seed: u64) -> Vec<f64> {
        noise(seed).take(20_000).map(f64::from).collect()
    }

    #[test]
    fn the_poles_of_a_known_mouth_are_found() {
        // Poles at radius 0.95 and an eighth of the rate, and at 0.8 on the real axis.
        let pair = 2.0 * 0.95 * std::f64::consts::FRAC_1_SQRT_2;
        let known = [1.0, -pair - 0.8, 0.9025 + 0.8 * pair, -0.8 * 0.9025];
        let found = predictor(&synthesis(&white(3), &known, 0), 3);
        for (found, known) in found.iter().zip(known) {
            assert!((found - known).abs() < 0.03, "{found} and {known}");
        }
    }

    #[test]
    fn synthesis_undoes_the_residual() {
        let sound = white(4);
        let coefficients = predictor(&sound[..1000], 20);
        let again = synthesis(&residual(&sound, &coefficients), &coefficients, 10);
        assert_eq!(again.len(), sound.len() + 10);
        for (one, two) in again.iter().zip(&sound) {
            assert!((one - two).abs() < 1e-9);
        }
    }

    #[test]
    fn silence_predicts_nothing() {
        assert_eq!(predictor(&[0.0; 100], 8), [1.0]);
    }
}

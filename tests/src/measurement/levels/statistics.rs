//! Figures that sum up many.

use super::loudness::energy;

/// Share of `errors`, 0 to 1, whose size is at most `bound`; an error that is no number is not within. 0 where
/// there are none.
pub fn share_within(errors: &[f32], bound: f32) -> f32 {
    let within = errors.iter().filter(|error| error.abs() <= bound).count();
    within as f32 / errors.len().max(1) as f32
}

/// Arithmetic mean; 0 where there are no values.
pub fn mean(values: &[f32]) -> f32 {
    let sum: f64 = values.iter().copied().map(f64::from).sum();
    (sum / values.len().max(1) as f64) as f32
}

/// Power of the difference of two signals, dB re the power of `reference`; minus infinity where they are equal, and
/// what only the longer of the two holds counts as difference.
pub fn residual_db(reference: &[f32], other: &[f32]) -> f32 {
    let shared = reference.len().min(other.len());
    let difference: Vec<f32> = reference.iter().zip(other).map(|(one, two)| one - two).collect();
    let residual = energy(&difference) + energy(&reference[shared..]) + energy(&other[shared..]);
    if residual == 0.0 {
        f32::NEG_INFINITY
    } else {
        (10.0 * (residual / energy(reference)).log10()) as f32
    }
}

/// Panics where a figure is farther from what is expected than it may be, and names the case.
#[track_caller]
pub fn near(figure: impl Into<f64>, expected: impl Into<f64>, tolerance: f64, case: impl std::fmt::Debug) {
    let (figure, expected) = (figure.into(), expected.into());
    assert!(
        (figure - expected).abs() <= tolerance,
        "{case:?}: {figure} and not {expected} +- {tolerance}"
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_count_sizes_up_to_the_bound() {
        assert_eq!(share_within(&[-1.0, 0.5, 1.5, f32::NAN], 1.0), 0.5);
        assert_eq!(share_within(&[], 1.0), 0.0);
    }

    #[test]
    fn mean_of_some_and_of_none() {
        assert_eq!(mean(&[1.0, 2.0, 6.0]), 3.0);
        assert_eq!(mean(&[]), 0.0);
    }

    #[test]
    fn residual_is_relative_to_the_reference() {
        let reference = [1.0, -1.0, 1.0, -1.0];
        let louder = reference.map(|sample| 1.1 * sample);
        assert!((residual_db(&reference, &louder) + 20.0).abs() < 1e-4);
        assert_eq!(residual_db(&reference, &reference), f32::NEG_INFINITY);
        assert!((residual_db(&reference, &reference[..2]) + 3.0103).abs() < 1e-4);
        assert_eq!(residual_db(&[0.0; 2], &[1.0; 2]), f32::INFINITY);
    }
}

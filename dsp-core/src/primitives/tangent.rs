//! The tangent to ten digits in a fraction of the time of the exact one: filters whose corners move take one or two a step.

/// The tangent of an angle from 0 to 1.42, beyond any corner's.
///
/// A fraction of the half angle (Lambert's continued fraction, cut after six parts), and from it that of the angle.
pub(crate) fn tangent(angle: f64) -> f64 {
    let half = 0.5 * angle;
    let square = half * half;
    let over = half * (10_395.0 + square * (21.0 * square - 1260.0));
    let under = 10_395.0 + square * (square * (210.0 - square) - 4725.0);
    2.0 * over * under / (under * under - over * over)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn it_is_off_by_less_than_a_billionth(angle in 1e-6f64..1.42) {
            prop_assert!((tangent(angle) / angle.tan() - 1.0).abs() < 2e-10, "{}", tangent(angle) / angle.tan() - 1.0);
        }
    }
}

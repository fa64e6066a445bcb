//! A value that moves smoothly over a control step.

use std::ops::{Add, Mul};

use wide::{f64x2, f64x4};

/// Places of [`Ramp::places`].
pub(crate) const LANES: usize = 4;

/// A value over a step: a segment of a quadratic B-spline whose control points are the targets of this step and the two
/// before (common practice, no source). Value and slope are continuous, the value stays within the three targets, and it
/// lags by half a step.
///
/// A linear ramp saves one multiplication, but its corners produce images of the control rate: after a fall of 48 dB within
/// 40 ms a tone of 1 kHz leaves -78 dB above 4 kHz; this curve leaves -112 dB.
///
/// The value at a sample depends only on the sample's index in the step, so blocks may end anywhere.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Ramp {
    /// The targets of the last three steps, the newest last.
    targets: [f64; 3],
    start: f64,
    per_sample: f64,
    per_square_sample: f64,
    /// True if the three targets are one: asked for far more often than it changes.
    rests: bool,
}

impl Ramp {
    /// A constant value.
    pub fn resting(value: f64) -> Self {
        Self {
            targets: [value; 3],
            start: value,
            per_sample: 0.0,
            per_square_sample: 0.0,
            rests: true,
        }
    }

    /// Starts a step towards `to`. The value is halfway there at the end of this step and arrives at the end of the next if
    /// that has the same target.
    pub fn continue_to(&mut self, to: f64, step_samples: usize) {
        if self.rests_at(to) {
            return;
        }
        let [_, before, from] = self.targets;
        self.targets = [before, from, to];
        self.rests = before == from && from == to;
        let per_sample = 1.0 / step_samples as f64;
        let (entering, leaving) = ((from - before) * per_sample, (to - from) * per_sample);
        self.start = 0.5 * (before + from);
        self.per_sample = entering;
        self.per_square_sample = 0.5 * (leaving - entering) * per_sample;
    }

    /// The value at sample `index` of the step.
    pub fn at(&self, index: usize) -> f64 {
        self.at_places(f64::from(index as u32 + 1))
    }

    /// Calls `each` with every item and its value; the first item is sample `index` of the step. The values equal those of
    /// [`Self::at`] to the bit, and are computed two at a time.
    #[inline]
    pub fn with_each<T>(&self, items: &mut [T], index: usize, mut each: impl FnMut(&mut T, f64)) {
        let (pairs, last) = items.as_chunks_mut::<2>();
        let place_of_last = index + 2 * pairs.len();
        let mut samples = f64x2::splat(f64::from(index as u32)) + f64x2::new([1.0, 2.0]);
        for [first, second] in pairs {
            let [value, next] = self.at_places(samples).to_array();
            each(first, value);
            each(second, next);
            samples += 2.0;
        }
        last.iter_mut()
            .for_each(|item| each(item, self.at(place_of_last)));
    }

    /// The places of sample `index` of the step and of the three after it.
    pub fn places(index: usize) -> f64x4 {
        f64x4::splat(f64::from(index as u32)) + f64x4::new([1.0, 2.0, 3.0, 4.0])
    }

    /// The value at a place, which is 1 for the first sample of the step, or at several in lanes.
    pub fn at_places<P>(&self, places: P) -> P
    where
        P: Copy + Mul<Output = P> + Mul<f64, Output = P>,
        f64: Add<P, Output = P>,
    {
        self.start + places * (self.per_sample + places * self.per_square_sample)
    }

    /// The target of the step.
    pub fn target(&self) -> f64 {
        let [.., target] = self.targets;
        target
    }

    /// The value of the step if it is constant.
    pub fn rest(&self) -> Option<f64> {
        self.rests.then_some(self.targets[0])
    }

    /// True if the value is exactly `value` during the whole step.
    pub fn rests_at(&self, value: f64) -> bool {
        self.rests && self.targets[0] == value
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const STEP_SAMPLES: usize = 16;

    proptest! {
        #[test]
        fn it_is_smooth_stays_in_range_and_comes_to_rest(values in prop::collection::vec(-8f64..8.0, 1..20)) {
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

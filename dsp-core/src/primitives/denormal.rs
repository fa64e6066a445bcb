//! Keeps denormals, NaN and infinities out of filter states. Denormals may take the processor a hundred times as long, and
//! hosts do not reliably switch them off.

use wide::{f32x4, f64x2};

/// Filter state below this is negligible: far below any signal, far above denormals.
const NEGLIGIBLE: f64 = 1e-25;
/// +60 dBFS: above any signal, and low enough that every detector recovers within half a second.
const MAX_MAGNITUDE: f32 = 1e3;
/// -600 dBFS: no gain in the path turns a larger sample into a denormal.
const MIN_MAGNITUDE: f32 = 1e-30;

/// `value` with negligible lanes set to zero.
pub(crate) fn flushed(value: f64x2) -> f64x2 {
    value & value.abs().simd_ge(f64x2::splat(NEGLIGIBLE))
}

/// Output samples with everything below -600 dBFS set to zero.
pub(crate) fn flushed_output(samples: f32x4) -> f32x4 {
    samples & samples.abs().simd_ge(f32x4::splat(MIN_MAGNITUDE))
}

/// Samples that are safe to process: NaN, infinities and everything below -600 dBFS become zero, the rest is clamped to
/// +60 dBFS. Other samples are unchanged, to the bit.
fn sanitized(samples: f32x4) -> f32x4 {
    let magnitudes = samples.abs();
    let valid = magnitudes.simd_ge(f32x4::splat(MIN_MAGNITUDE)) & magnitudes.simd_le(f32x4::splat(f32::MAX));
    let clamped = samples
        .fast_max(f32x4::splat(-MAX_MAGNITUDE))
        .fast_min(f32x4::splat(MAX_MAGNITUDE));
    clamped & valid
}

/// The largest magnitude of samples. It is kept in lanes until it is asked for.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Peak {
    lanes: f32x4,
}

impl Peak {
    pub fn add(&mut self, samples: f32x4) {
        self.lanes = self.lanes.fast_max(samples.abs());
    }

    pub fn magnitude(&self) -> f32 {
        self.lanes.to_array().into_iter().fold(0.0, f32::max)
    }
}

/// Makes samples safe to process, four at a time; `peak` takes the result.
pub(crate) fn sanitize(samples: &mut [f32], peak: &mut Peak) {
    let mut safe = |four: [f32; 4]| {
        let four = sanitized(f32x4::new(four));
        peak.add(four);
        four.to_array()
    };
    let (fours, rest) = samples.as_chunks_mut();
    fours.iter_mut().for_each(|four| *four = safe(*four));
    if !rest.is_empty() {
        let mut last = [0.0; 4];
        last[..rest.len()].copy_from_slice(rest);
        rest.copy_from_slice(&safe(last)[..rest.len()]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn invalid_samples_become_zero_and_loud_ones_are_clamped() {
        let (nan, infinite) = (f32::NAN, f32::INFINITY);
        let given = [
            0.5, nan, -1e9, 1e-31, -1e-29, infinite, -infinite, 1e3, -0.25, -nan, 3e38,
        ];
        let safe = [0.5, 0.0, -1e3, 0.0, -1e-29, 0.0, 0.0, 1e3, -0.25, 0.0, 1e3];
        for start in 0..given.len() {
            let mut samples = given;
            let mut peak = Peak::default();
            sanitize(&mut samples[start..], &mut peak);
            assert_eq!(samples[start..], safe[start..]);
            assert_eq!(peak.magnitude(), 1e3);
        }
    }

    #[test]
    fn small_values_become_zero_per_channel() {
        let faded = flushed_output(f32x4::from([1e-31, -1e-29, -1e-31, 0.5]));
        assert_eq!(faded.to_array(), [0.0, -1e-29, 0.0, 0.5]);
        assert_eq!(flushed(f64x2::new([-1e-24, 1e-26])).to_array(), [-1e-24, 0.0]);
    }
}

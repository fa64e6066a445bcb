//! Numbers that must not reach a filter's memory: the processor may take a hundred times as long for denormals, and
//! no framework is trusted to switch them off.

use wide::{f32x4, f64x2};

/// Far below any sound, far above the denormals of `f32` and `f64`.
const NOTHING: f64 = 1e-25;
/// +60 dBFS: beyond any signal, and little enough that what listens has forgotten it within half a second.
const LOUDEST: f32 = 1e3;
/// -600 dBFS: no gain in the path makes a denormal of more than this.
const SOFTEST: f32 = 1e-30;

/// `value`, or zero on each channel where it is too small to matter.
pub(crate) fn flushed(value: f64x2) -> f64x2 {
    value & value.abs().simd_ge(f64x2::splat(NOTHING))
}

/// Samples on their way out: nothing in place of what a filter leaves when it fades below -600 dBFS.
pub(crate) fn audible(samples: f32x4) -> f32x4 {
    samples & samples.abs().simd_ge(f32x4::splat(SOFTEST))
}

/// Samples that are safe to process: zero for what is no number and for less than -600 dBFS, clamped to +-60 dBFS. Any
/// other sample stays as it is, to the bit.
pub(crate) fn sanitized(samples: f32x4) -> f32x4 {
    let magnitudes = samples.abs();
    let sound = magnitudes.simd_ge(f32x4::splat(SOFTEST)) & magnitudes.simd_le(f32x4::splat(f32::MAX));
    let clamped = samples
        .fast_max(f32x4::splat(-LOUDEST))
        .fast_min(f32x4::splat(LOUDEST));
    clamped & sound
}

/// Changes samples four at a time, and gives the greatest magnitude that comes of it.
pub(crate) fn change(samples: &mut [f32], to: impl Fn(f32x4) -> f32x4) -> f32 {
    let mut peaks = f32x4::ZERO;
    let mut changed = |four: [f32; 4]| {
        let four = to(f32x4::from(four));
        peaks = peaks.fast_max(four.abs());
        four.to_array()
    };
    let (fours, rest) = samples.as_chunks_mut();
    fours.iter_mut().for_each(|four| *four = changed(*four));
    if !rest.is_empty() {
        let mut last = [0.0; 4];
        last[..rest.len()].copy_from_slice(rest);
        rest.copy_from_slice(&changed(last)[..rest.len()]);
    }
    peaks.to_array().into_iter().fold(0.0, f32::max)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_sound_is_silenced_what_is_too_loud_clamped_and_the_rest_left_wherever_it_stands() {
        let (nan, infinite) = (f32::NAN, f32::INFINITY);
        let given = [
            0.5, nan, -1e9, 1e-31, -1e-29, infinite, -infinite, 1e3, -0.25, -nan, 3e38,
        ];
        let safe = [0.5, 0.0, -1e3, 0.0, -1e-29, 0.0, 0.0, 1e3, -0.25, 0.0, 1e3];
        for start in 0..given.len() {
            let mut samples = given;
            let peak = change(&mut samples[start..], sanitized);
            assert_eq!(samples[start..], safe[start..]);
            assert_eq!(peak, 1e3);
        }
    }

    #[test]
    fn a_fading_filter_ends_in_silence_on_its_own_channel() {
        let faded = audible(f32x4::from([1e-31, -1e-29, -1e-31, 0.5]));
        assert_eq!(faded.to_array(), [0.0, -1e-29, 0.0, 0.5]);
        assert_eq!(flushed(f64x2::new([-1e-24, 1e-26])).to_array(), [-1e-24, 0.0]);
    }
}

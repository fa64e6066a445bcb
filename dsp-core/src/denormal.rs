//! Numbers that must not reach a filter's memory: the processor may take a hundred times as long for denormals, and
//! no framework is trusted to switch them off.

use crate::frame::Frame;

/// Far below any sound, far above the denormals of `f32` and `f64`.
const NOTHING: f64 = 1e-25;
/// +60 dBFS: beyond any signal, and little enough that what listens has forgotten it within half a second.
const LOUDEST: f32 = 1e3;
/// -600 dBFS: no gain in the path makes a denormal of more than this.
const SOFTEST: f32 = 1e-30;

/// `value`, or zero on each channel where it is too small to matter.
pub(crate) fn flushed(value: Frame) -> Frame {
    value & value.abs().simd_ge(Frame::splat(NOTHING))
}

/// A sample on its way out: nothing in place of what a filter leaves when it fades below -600 dBFS.
pub(crate) fn audible(sample: f32) -> f32 {
    if sample.abs() < SOFTEST { 0.0 } else { sample }
}

/// A sample that is safe to process: zero for what is no number and for less than -600 dBFS, clamped to +-60 dBFS. Any
/// other sample stays as it is, to the bit.
pub(crate) fn sanitized(sample: f32) -> f32 {
    let magnitude = sample.abs();
    // Without a branch, so that several samples are looked at at once.
    let is_sound = (SOFTEST..=f32::MAX).contains(&magnitude) | (magnitude == 0.0);
    if is_sound {
        sample.clamp(-LOUDEST, LOUDEST)
    } else {
        0.0
    }
}

//! Numbers that must not reach a filter's memory: the processor may take a hundred times as long for denormals, and
//! no framework is trusted to switch them off.

/// Far below any sound, far above the denormals of `f32` and `f64`.
const NOTHING: f64 = 1e-25;
/// +120 dBFS: beyond any signal, far from overflow after every gain in the path.
const LOUDEST: f32 = 1e6;

/// `value`, or zero where it is too small to matter.
pub(crate) fn flushed(value: f64) -> f64 {
    if value.abs() < NOTHING { 0.0 } else { value }
}

/// A sample that is safe to process: zero for denormals and what is no number, clamped to +-120 dBFS. Any other sample
/// stays as it is, to the bit.
pub(crate) fn sanitized(sample: f32) -> f32 {
    if sample.is_normal() {
        if sample.abs() <= LOUDEST {
            sample
        } else {
            LOUDEST.copysign(sample)
        }
    } else if sample == 0.0 {
        sample
    } else {
        0.0
    }
}

//! Compression ratios.

/// The slope of a compressor curve above the knee, `1 - 1/ratio`: reduction per decibel of excess. 1 for an infinite ratio.
pub(crate) fn slope_from_ratio(ratio: f32) -> f32 {
    if ratio.is_finite() {
        1.0 - 1.0 / ratio.max(1.0)
    } else {
        1.0
    }
}

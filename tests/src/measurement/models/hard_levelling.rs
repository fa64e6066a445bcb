//! What a mixer puts on a voice that has to stay in front of a dense track: a hard leveller and a boost of the top end.

use super::{CompressorSettings, compress, high_shelf};

/// The leveller: a soft knee and a quick attack, about 20 dB down where the voice is shouted (common practice, no
/// source).
pub const HARD_LEVELLER: CompressorSettings = CompressorSettings {
    threshold_db: -38.0,
    ratio: 10.0,
    knee_db: 18.0,
    attack_ms: 4.0,
    release_ms: 120.0,
    makeup_db: 21.0,
};
/// The boost that follows it (common practice, no source).
const BOOST_FROM_HZ: f64 = 8000.0;
const BOOST_DB: f64 = 6.0;

/// A voice through both.
pub fn levelled_hard(audio: &[f32], sample_rate_hz: f64) -> Vec<f32> {
    boost(
        &compress(audio, sample_rate_hz, &HARD_LEVELLER).audio,
        sample_rate_hz,
    )
}

/// The boost of the top end alone.
pub fn boost(audio: &[f32], sample_rate_hz: f64) -> Vec<f32> {
    high_shelf(audio, sample_rate_hz, BOOST_FROM_HZ, BOOST_DB)
}

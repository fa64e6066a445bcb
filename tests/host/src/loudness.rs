//! Loudness of a programme.

use ebur128::{EbuR128, Mode};

/// Gated loudness (ITU-R BS.1770-5) of a programme of one or two channels of one length, LUFS, by the crate `ebur128`. Minus
/// infinity where all is silent.
///
/// # Panics
/// Where the rate is none that `ebur128` takes (16 Hz to 2.8 MHz), or the channels differ in length.
pub fn programme_lufs(channels: &[impl AsRef<[f32]>], sample_rate_hz: u32) -> f32 {
    let mut meter =
        EbuR128::new(channels.len() as u32, sample_rate_hz, Mode::I).expect("a common sample rate");
    let channels: Vec<&[f32]> = channels.iter().map(AsRef::as_ref).collect();
    meter
        .add_frames_planar_f32(&channels)
        .expect("channels of one length");
    meter.loudness_global().expect("a meter of integrated loudness") as f32
}

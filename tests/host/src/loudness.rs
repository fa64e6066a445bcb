//! Loudness of a programme.

use ebur128::{EbuR128, Mode};

/// A meter of gated loudness (ITU-R BS.1770-5), by the crate `ebur128`.
pub struct LoudnessMeter(EbuR128);

impl LoudnessMeter {
    /// A meter for one or two channels.
    ///
    /// # Panics
    /// Where the rate is none that `ebur128` takes (16 Hz to 2.8 MHz).
    pub fn new(channels: usize, sample_rate_hz: u32) -> Self {
        Self(EbuR128::new(channels as u32, sample_rate_hz, Mode::I).expect("a common sample rate"))
    }

    /// Adds sound.
    ///
    /// # Panics
    /// Where the channels differ in number or length from what they should be.
    pub fn add(&mut self, channels: &[impl AsRef<[f32]>]) {
        let channels: Vec<&[f32]> = channels.iter().map(AsRef::as_ref).collect();
        let added = self.0.add_frames_planar_f32(&channels);
        added.expect("channels of one length");
    }

    /// The loudness of all that was added, LUFS. Minus infinity where all is silent.
    ///
    /// # Panics
    /// Never: the meter is one of integrated loudness.
    pub fn lufs(&self) -> f32 {
        self.0.loudness_global().expect("a meter of integrated loudness") as f32
    }
}

/// Gated loudness of a programme of one or two channels of one length, LUFS. Minus infinity where all is silent.
///
/// # Panics
/// As [`LoudnessMeter`].
pub fn programme_lufs(channels: &[impl AsRef<[f32]>], sample_rate_hz: u32) -> f32 {
    let mut meter = LoudnessMeter::new(channels.len(), sample_rate_hz);
    meter.add(channels);
    meter.lufs()
}

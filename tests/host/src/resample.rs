//! A sound at another sample rate.

use rubato::audioadapter_buffers::owned::InterleavedOwned;
use rubato::{Fft, FixedSync, Resampler, WindowFunction};

/// Blocks per second: of 40 ms, since at every rate in use that is a whole, even number of samples, so that the delay
/// of the filter is whole too; and its edge is a few per cent wide.
const BLOCKS_PER_S: usize = 25;

/// The sound at another rate, as long in time, to the nearest sample.
///
/// # Panics
/// Where a rate is no whole number of Hz above 25.
pub fn resampled(audio: &[f32], from_hz: f64, to_hz: f64) -> Vec<f32> {
    let [from, to] = [from_hz, to_hz].map(|rate_hz| {
        assert!(rate_hz.fract() == 0.0, "{rate_hz} Hz is no whole rate");
        rate_hz as usize
    });
    if from == to {
        return audio.to_vec();
    }
    let window = WindowFunction::BlackmanHarris2;
    let block_samples = from / BLOCKS_PER_S;
    let mut resampler = Fft::<f64>::new_custom(from, to, block_samples, 1, 1, window, FixedSync::Both)
        .expect("rates above 25 Hz");
    let samples: Vec<f64> = audio.iter().copied().map(f64::from).collect();
    let mono =
        InterleavedOwned::new_from(samples, 1, audio.len()).expect("one channel, as long as its samples");
    let output = resampler
        .process_all(&mono, audio.len(), None)
        .expect("room for the whole sound");
    let length = (audio.len() as f64 * to_hz / from_hz).round() as usize;
    let samples = output.take_data().into_iter().map(|sample| sample as f32);
    samples.chain(std::iter::repeat(0.0)).take(length).collect()
}

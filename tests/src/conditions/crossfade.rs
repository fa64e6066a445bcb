//! Fading over from one sound to another and back.

use crate::voices::fricatives::raised_cosine;

/// Puts a sound, as long as the stretch, in its place, fading over inside both ends.
pub fn crossfade(stretch: &mut [f32], sound: &[f32], fade_samples: f64) {
    let length = stretch.len();
    for (index, (sample, new)) in stretch.iter_mut().zip(sound).enumerate() {
        let from_edge = index.min(length - 1 - index) as f64 + 0.5;
        let share = raised_cosine(from_edge / fade_samples) as f32;
        *sample += share * (new - *sample);
    }
}

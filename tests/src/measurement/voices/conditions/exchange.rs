//! One part of a sound for another.

use crate::measurement::voices::singer::fricatives::raised_cosine;

/// Puts `new` in place of `old`, which is part of the stretch, fading over inside both ends; all three are of one
/// length.
pub fn exchange(stretch: &mut [f32], old: &[f32], new: &[f32], fade_samples: f64) {
    let length = stretch.len();
    let change = old.iter().zip(new).map(|(old, new)| new - old);
    for (index, (sample, change)) in stretch.iter_mut().zip(change).enumerate() {
        let from_edge = index.min(length - 1 - index) as f64 + 0.5;
        *sample += raised_cosine(from_edge / fade_samples) as f32 * change;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_gives_way_to_another_and_the_rest_stays() {
        let mut stretch = [1.5; 100];
        exchange(&mut stretch, &[1.0; 100], &[-2.0; 100], 10.0);
        assert!((stretch[0] - 1.5).abs() < 0.1 && (stretch[99] - 1.5).abs() < 0.1);
        assert_eq!(stretch[10..90], [-1.5; 80]);
        assert!(stretch[..10].windows(2).all(|pair| pair[1] < pair[0]));
        assert!(stretch[90..].windows(2).all(|pair| pair[1] > pair[0]));
    }
}

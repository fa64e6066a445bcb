//! Energies of many stretches of one sound.

use std::ops::Range;

use super::loudness::lufs_from_power;

/// Energies of any stretch of one signal, summed once.
#[derive(Debug, Clone)]
pub struct Energies {
    /// Sum of squares before each sample, and of all.
    sums: Vec<f64>,
}

impl Energies {
    /// Of one sound.
    pub fn new(audio: &[f32]) -> Self {
        let squares = audio.iter().map(|&sample| f64::from(sample).powi(2));
        let sums = squares.scan(0.0, |sum, square| {
            *sum += square;
            Some(*sum)
        });
        Self {
            sums: std::iter::once(0.0).chain(sums).collect(),
        }
    }

    /// Sum of squares over a stretch; beyond the recording there is nothing.
    pub fn energy(&self, span: &Range<usize>) -> f64 {
        let before = |sample: usize| self.sums[sample.min(self.sums.len() - 1)];
        before(span.end.max(span.start)) - before(span.start)
    }

    /// Mean square over a stretch; 0 over an empty one.
    pub fn power(&self, span: &Range<usize>) -> f64 {
        self.energy(span) / span.len().max(1) as f64
    }

    /// Mean square over what of some stretches lies within `bounds`; none where nothing does.
    pub fn power_within(
        &self,
        stretches: impl IntoIterator<Item = Range<usize>>,
        bounds: &Range<usize>,
    ) -> Option<f64> {
        let (energy, length) = stretches
            .into_iter()
            .map(|stretch| common(&stretch, bounds))
            .fold((0.0, 0), |(energy, length), stretch| {
                (energy + self.energy(&stretch), length + stretch.len())
            });
        (length > 0).then(|| energy / length as f64)
    }

    /// Level of a stretch of a K-weighted sound, LUFS.
    pub fn lufs(&self, span: &Range<usize>) -> f32 {
        lufs_from_power(self.power(span))
    }
}

/// What two stretches share; empty where they share nothing.
pub(crate) fn common(one: &Range<usize>, two: &Range<usize>) -> Range<usize> {
    let start = one.start.max(two.start);
    start..one.end.min(two.end).max(start)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stretches_add_up_and_end_with_the_recording() {
        let energies = Energies::new(&[1.0, 2.0, 3.0]);
        assert_eq!(energies.energy(&(0..2)), 5.0);
        assert_eq!(energies.energy(&(1..9)), 13.0);
        assert_eq!(energies.energy(&(7..9)), 0.0);
        assert_eq!(energies.power(&(1..3)), 6.5);
        assert_eq!(energies.power(&(1..1)), 0.0);
        assert_eq!(energies.power_within([0..2, 2..9], &(1..3)), Some(6.5));
        assert_eq!(energies.power_within([0..1, 2..3], &(1..2)), None);
        assert_eq!(common(&(0..10), &(5..20)), 5..10);
    }
}

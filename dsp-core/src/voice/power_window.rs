//! The mean of the last powers, over a window of variable length.

/// The last powers, oldest first, and their mean. The running sum is compensated for rounding (Knuth, *The Art of Computer
/// Programming*, 4.2.2, theorem B, from memory), so it never has to be computed anew.
pub(crate) struct PowerWindow {
    /// In single precision, rounded before they are summed, so that exactly the added value is subtracted later.
    powers: Vec<f32>,
    newest: usize,
    len: usize,
    sum: f64,
    rounding: f64,
}

impl PowerWindow {
    /// An empty window that can hold `capacity` powers.
    pub fn new(capacity: usize) -> Self {
        Self {
            powers: vec![0.0; capacity],
            newest: 0,
            len: 0,
            sum: 0.0,
            rounding: 0.0,
        }
    }

    pub fn clear(&mut self) {
        (self.newest, self.len) = (0, 0);
        (self.sum, self.rounding) = (0.0, 0.0);
    }

    pub fn len(&self) -> usize {
        self.len
    }

    pub fn sum(&self) -> f64 {
        (self.sum + self.rounding).max(0.0)
    }

    /// The mean; 0 if the window is empty.
    pub fn mean(&self) -> f64 {
        if self.len == 0 {
            0.0
        } else {
            self.sum() / self.len as f64
        }
    }

    /// Adds a power and drops the oldest until at most `length` are left.
    pub fn push(&mut self, power: f64, length: usize) {
        let power = power as f32;
        let length = length.min(self.powers.len());
        while self.len >= length {
            self.add(-self.at(0));
            self.len -= 1;
        }
        self.newest += 1;
        if self.newest == self.powers.len() {
            self.newest = 0;
        }
        self.powers[self.newest] = power;
        self.len += 1;
        self.add(f64::from(power));
    }

    fn add(&mut self, power: f64) {
        let sum = self.sum + power;
        let added = sum - self.sum;
        self.rounding += (self.sum - (sum - added)) + (power - added);
        self.sum = sum;
    }

    /// The powers, oldest first.
    pub fn iter(&self) -> impl Iterator<Item = f64> {
        (0..self.len).map(|age| self.at(age))
    }

    /// The power at an index counted from the oldest.
    pub fn at(&self, age_from_oldest: usize) -> f64 {
        let index = self.newest + self.powers.len() + 1 + age_from_oldest - self.len;
        let wrapped = if index < self.powers.len() {
            index
        } else {
            index - self.powers.len()
        };
        f64::from(self.powers[wrapped])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_mean_is_exact_after_a_passage_180_db_louder() {
        let mut window = PowerWindow::new(64);
        (0..100_000).for_each(|n| window.push(1e6 * (1.0 + f64::from(n % 7)), 50));
        (0..50).for_each(|n| window.push(1e-12 * (1.0 + f64::from(n % 5)), 50));
        assert!((window.mean() / 3e-12 - 1.0).abs() < 1e-3, "{}", window.mean());
    }

    proptest! {
        #[test]
        fn the_mean_covers_exactly_the_last_values(values in prop::collection::vec(1e-9f64..1.0, 1..400), length in 1usize..50) {
            let mut window = PowerWindow::new(64);
            for (index, &value) in values.iter().enumerate() {
                window.push(value, length);
                let expected = &values[(index + 1).saturating_sub(length)..=index];
                let mean = expected.iter().sum::<f64>() / expected.len() as f64;
                prop_assert!((window.mean() - mean).abs() < 1e-7 * mean);
            }
        }
    }
}

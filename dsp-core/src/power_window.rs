//! The mean of the last powers, over a window whose length is set with each value.

/// The last powers, oldest first, and their mean.
pub(crate) struct PowerWindow {
    powers: Vec<f64>,
    newest: usize,
    len: usize,
    sum: f64,
}

impl PowerWindow {
    /// An empty window that can hold `capacity` powers.
    pub fn new(capacity: usize) -> Self {
        Self {
            powers: vec![0.0; capacity],
            newest: 0,
            len: 0,
            sum: 0.0,
        }
    }

    pub fn clear(&mut self) {
        (self.newest, self.len, self.sum) = (0, 0, 0.0);
    }

    pub fn len(&self) -> usize {
        self.len
    }

    pub fn sum(&self) -> f64 {
        self.sum
    }

    /// Zero while it is empty.
    pub fn mean(&self) -> f64 {
        if self.len == 0 {
            0.0
        } else {
            self.sum / self.len as f64
        }
    }

    /// Adds one and drops the oldest until at most `length` stay.
    pub fn push(&mut self, power: f64, length: usize) {
        let length = length.min(self.powers.len());
        while self.len >= length {
            self.sum -= self.powers[self.index(0)];
            self.len -= 1;
        }
        self.newest = (self.newest + 1) % self.powers.len();
        self.powers[self.newest] = power;
        self.len += 1;
        self.sum += power;
        // Once a turn the sum is made afresh, before rounding adds up to anything.
        if self.newest == 0 {
            self.sum = self.iter().sum();
        }
    }

    /// Oldest first.
    pub fn iter(&self) -> impl Iterator<Item = f64> {
        (0..self.len).map(|age| self.at(age))
    }

    /// The power that so many came before, of those in the window.
    pub fn at(&self, age_from_oldest: usize) -> f64 {
        self.powers[self.index(age_from_oldest)]
    }

    fn index(&self, age_from_oldest: usize) -> usize {
        (self.newest + self.powers.len() + 1 + age_from_oldest - self.len) % self.powers.len()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn the_mean_is_that_of_the_last_values(values in prop::collection::vec(1e-9f64..1.0, 1..400), length in 1usize..50) {
            let mut window = PowerWindow::new(64);
            for (index, &value) in values.iter().enumerate() {
                window.push(value, length);
                let expected = &values[(index + 1).saturating_sub(length)..=index];
                let mean = expected.iter().sum::<f64>() / expected.len() as f64;
                prop_assert!((window.mean() - mean).abs() < 1e-12);
            }
        }
    }
}

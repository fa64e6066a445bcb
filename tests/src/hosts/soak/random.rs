//! Random numbers that are the same again from the same seed.

/// A xorshift generator (Marsaglia 2003).
#[derive(Debug, Clone)]
pub struct Random(u64);

impl Random {
    /// The generator of one seed.
    pub fn new(seed: u64) -> Self {
        let mut random = Self(seed.wrapping_add(1).wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
        // The first numbers of small seeds are alike.
        for _ in 0..8 {
            random.next_u64();
        }
        random
    }

    /// 64 bits, never all zero.
    pub fn next_u64(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    /// A number from 0 up to but not `count`.
    pub fn below(&mut self, count: usize) -> usize {
        ((self.next_u64() >> 16) % count.max(1) as u64) as usize
    }

    /// A number from 0 to 1.
    pub fn share(&mut self) -> f64 {
        (self.next_u64() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Once in `count` times.
    pub fn once_in(&mut self, count: usize) -> bool {
        self.below(count) == 0
    }

    /// One of `choices`.
    pub fn of<'a, T>(&mut self, choices: &'a [T]) -> &'a T {
        &choices[self.below(choices.len())]
    }
}

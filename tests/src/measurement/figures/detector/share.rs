//! How many of how many.

/// Some of a number of events.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Share {
    /// Those that it is true of.
    pub part: usize,
    /// All of them.
    pub whole: usize,
}

impl Share {
    /// How many of `events` it is true of.
    pub fn of<T>(events: impl IntoIterator<Item = T>, is_true: impl Fn(&T) -> bool) -> Self {
        events.into_iter().fold(Self::default(), |share, event| Self {
            part: share.part + usize::from(is_true(&event)),
            whole: share.whole + 1,
        })
    }

    /// In percent; none where there are no events.
    pub fn percent(&self) -> Option<f64> {
        (self.whole > 0).then(|| 100.0 * self.part as f64 / self.whole as f64)
    }
}

summed!(Share { part, whole } joined {});

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_and_adds() {
        let mut share = Share::of([1, 2, 3, 4], |number| *number > 3);
        assert_eq!(share.percent(), Some(25.0));
        share += Share::of([5, 6, 7, 8], |_| true);
        assert_eq!(share.percent(), Some(62.5));
        assert_eq!(Share::default().percent(), None);
    }
}

//! The contest: everything that is timed, in turn.

use std::time::Duration;

use super::BenchError;

/// What one run of an entry is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// Frames: a sample of every channel.
    Frame,
    /// Calls of one function.
    Call,
}

/// Something to be timed.
pub struct Entry<'a> {
    /// For a person, and unique.
    pub name: String,
    /// What a run is counted in.
    pub unit: Unit,
    /// How many of them a run holds.
    pub units: usize,
    /// Sample rate of what is played, Hz; of no meaning for calls.
    pub sample_rate_hz: f64,
    /// One run, always the same work; tells how long that took.
    pub run: Box<dyn FnMut() -> Result<Duration, BenchError> + 'a>,
}

/// What came of an entry.
#[derive(Debug, Clone, PartialEq)]
pub struct Timed {
    /// The entry's name.
    pub name: String,
    /// What a run is counted in.
    pub unit: Unit,
    /// Sample rate of what was played, Hz.
    pub sample_rate_hz: f64,
    /// Nanoseconds a unit, round by round, the quickest first.
    pub rounds_ns: Vec<f64>,
}

impl Timed {
    /// Nanoseconds a frame or call in the quickest round.
    #[must_use]
    pub fn ns(&self) -> f64 {
        self.rounds_ns.first().copied().unwrap_or(f64::NAN)
    }

    /// How much longer the middle round took than the quickest, %.
    #[must_use]
    pub fn spread_percent(&self) -> f64 {
        let middle = self.rounds_ns.get(self.rounds_ns.len() / 2);
        middle.map_or(f64::NAN, |middle| 100.0 * (middle / self.ns() - 1.0))
    }

    /// How many seconds of sound are made in one second of one core.
    #[must_use]
    pub fn times_real_time(&self) -> f64 {
        1e9 / (self.ns() * self.sample_rate_hz)
    }
}

/// Runs every entry once to warm up, then all of them in turn, `rounds` times. `progress` hears of each round.
///
/// # Errors
///
/// The first that an entry meets.
pub fn contest(
    mut entries: Vec<Entry<'_>>,
    rounds: usize,
    mut progress: impl FnMut(usize),
) -> Result<Vec<Timed>, BenchError> {
    let mut times = vec![Vec::with_capacity(rounds); entries.len()];
    for entry in &mut entries {
        (entry.run)()?;
    }
    for round in 0..rounds {
        for (entry, times) in entries.iter_mut().zip(&mut times) {
            times.push((entry.run)()?.as_secs_f64() * 1e9 / entry.units as f64);
        }
        progress(round + 1);
    }
    let timed = entries.into_iter().zip(times).map(|(entry, mut rounds_ns)| {
        rounds_ns.sort_by(f64::total_cmp);
        Timed {
            name: entry.name,
            unit: entry.unit,
            sample_rate_hz: entry.sample_rate_hz,
            rounds_ns,
        }
    });
    Ok(timed.collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_quickest_round_counts_and_the_warm_up_does_not() {
        let mut ms = [1, 9, 4, 6].into_iter();
        let entry = Entry {
            name: "four runs".into(),
            unit: Unit::Frame,
            units: 1000,
            sample_rate_hz: 48_000.0,
            run: Box::new(|| Ok(Duration::from_millis(ms.next().unwrap()))),
        };
        let timed = &contest(vec![entry], 3, |_| {}).unwrap()[0];
        assert!((timed.ns() - 4000.0).abs() < 1e-6);
        assert!((timed.spread_percent() - 50.0).abs() < 1e-6);
        assert!((timed.times_real_time() - 1e9 / 4000.0 / 48_000.0).abs() < 1e-6);
    }
}

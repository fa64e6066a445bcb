//! The contest: everything that is timed, in turn.

use std::time::Duration;

use anyhow::Result;

/// Something to be timed.
pub struct Entry<'a> {
    /// For a person, and unique.
    pub name: String,
    /// Frames that a run holds: a sample of every channel each.
    pub frames: usize,
    /// Sample rate of what is played, Hz.
    pub sample_rate_hz: f64,
    /// One run, always the same work; returns how long each of its pieces took.
    pub run: Box<dyn FnMut() -> Result<Vec<Duration>> + 'a>,
}

/// What came of an entry.
#[derive(Debug, Clone, PartialEq)]
pub struct Timed {
    /// The entry's name.
    pub name: String,
    /// Sample rate of what was played, Hz.
    pub sample_rate_hz: f64,
    /// Nanoseconds a frame, each piece of the run as it was in its quickest round.
    pub ns: f64,
    /// Nanoseconds a frame, round by round, the quickest first.
    pub rounds_ns: Vec<f64>,
}

/// Seconds of sound in a piece of a run: short, so that a quiet moment of the machine is enough for it, and alike for all,
/// so that nobody needs a longer one.
pub(super) const PIECE_S: f64 = 2.0;

/// Whole blocks of `block` samples in a piece.
pub(super) fn piece_blocks(sample_rate_hz: f64, block: usize) -> usize {
    ((PIECE_S * sample_rate_hz) as usize / block).max(1)
}

impl Timed {
    /// How much longer the middle round took than the quickest pieces together, %.
    pub fn spread_percent(&self) -> f64 {
        let middle = self.rounds_ns.get(self.rounds_ns.len() / 2);
        middle.map_or(f64::NAN, |middle| 100.0 * (middle / self.ns - 1.0))
    }

    /// How many seconds of sound are made in one second of one core.
    pub fn times_real_time(&self) -> f64 {
        1e9 / (self.ns * self.sample_rate_hz)
    }
}

/// Runs every entry once to warm up, then all of them in turn, `rounds` times. `progress` gets each round.
pub fn contest(
    mut entries: Vec<Entry<'_>>,
    rounds: usize,
    mut progress: impl FnMut(usize),
) -> Result<Vec<Timed>> {
    let mut rows: Vec<Vec<Vec<Duration>>> = vec![Vec::with_capacity(rounds); entries.len()];
    for entry in &mut entries {
        (entry.run)()?;
    }
    for round in 0..rounds {
        for (entry, runs) in entries.iter_mut().zip(&mut rows) {
            runs.push((entry.run)()?);
        }
        progress(round + 1);
    }
    let timed = entries.into_iter().zip(rows);
    Ok(timed.map(|(entry, runs)| Timed::of(entry, &runs)).collect())
}

impl Timed {
    /// `runs` hold the time of each piece, round by round.
    fn of(entry: Entry<'_>, runs: &[Vec<Duration>]) -> Self {
        let a_frame = |time: Duration| time.as_secs_f64() * 1e9 / entry.frames as f64;
        let pieces = runs.first().map_or(0, Vec::len);
        let quickest = (0..pieces).filter_map(|piece| runs.iter().map(|run| run[piece]).min());
        let mut rounds_ns: Vec<f64> = runs.iter().map(|run| a_frame(run.iter().sum())).collect();
        rounds_ns.sort_by(f64::total_cmp);
        Self {
            ns: a_frame(quickest.sum()),
            rounds_ns,
            sample_rate_hz: entry.sample_rate_hz,
            name: entry.name,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_quickest_pieces_count_and_the_warm_up_does_not() {
        // Two pieces a run: the quickest are 1 and 3 ms.
        let mut ms = [0, 0, 1, 8, 2, 4, 9, 3].map(Duration::from_millis).into_iter();
        let entry = Entry {
            name: "four runs".into(),
            frames: 1000,
            sample_rate_hz: 48_000.0,
            run: Box::new(|| Ok(ms.by_ref().take(2).collect())),
        };
        let timed = &contest(vec![entry], 3, |_| {}).unwrap()[0];
        assert!((timed.ns - 4000.0).abs() < 1e-6);
        // The middle round took 9 ms.
        assert!((timed.spread_percent() - 125.0).abs() < 1e-6);
        assert!((timed.times_real_time() - 1e9 / 4000.0 / 48_000.0).abs() < 1e-6);
    }
}

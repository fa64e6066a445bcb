//! How periodic the low band is: the highest normalised autocorrelation at the lags of a voice's fundamental. A vowel
//! reads near 1, a breath or a sibilant well below 0.6.
//!
//! The correlation runs recursively over an exponential window, so that each hop costs one multiply-add for each lag
//! and decimated sample (the normalised cross-correlation of the pitch-tracking literature: Talkin 1995, from memory).

use wide::f32x4;

use crate::clock::timing::Timing;

/// Decimated samples in a hop, at any rate: 6 kHz at 48 kHz, room for the first formant, which carries the period.
const FRESH: usize = 8;
/// 600 Hz ... 66 Hz at the decimated rate of 6 kHz: speech and most singing; higher notes show at twice their period.
const SHORTEST_LAG: usize = 10;
const LONGEST_LAG: usize = 90;
const LAGS: usize = LONGEST_LAG - SHORTEST_LAG + 1;
/// Lags that are correlated side by side.
const LANES: usize = 4;
const GROUPS: usize = LAGS.div_ceil(LANES);
/// Memory of the correlation: two periods of a low voice.
const MEMORY_MS: f32 = 10.0;
/// Rumble below a voice would look periodic at every lag.
const HIGH_PASS_HZ: f64 = 80.0;
/// The period is clearest below the second formant.
const LOW_PASS_HZ: f64 = 900.0;
/// What the channels are mixed by: unequal, so that a voice that is out of phase between left and right does not cancel.
const CHANNEL_WEIGHTS: [f32; 2] = [1.0, 0.6];
/// Energy under which nothing is correlated, far below any recording.
const NOTHING: f32 = 1e-18;

/// The running correlation of one (mono) low band. Lags run from the longest to the shortest, as the past lies in memory.
pub(crate) struct Periodicity {
    decimation: usize,
    high_pass_decay: f32,
    low_pass_decay: f32,
    rumble: f32,
    smooth: f32,
    hop_decay: f32,
    /// Decimated samples, oldest first: the longest lag, then the hop.
    history: [f32; LONGEST_LAG + FRESH],
    energy: f32,
    correlations: [f32x4; GROUPS],
    energies: [f32x4; GROUPS],
}

impl Periodicity {
    pub fn new(timing: Timing) -> Self {
        let decimation = timing.hop_samples / FRESH;
        let decimated_hz = timing.sample_rate_hz / decimation as f64;
        let decay = |corner_hz: f64| (-std::f64::consts::TAU * corner_hz / decimated_hz).exp() as f32;
        Self {
            decimation,
            high_pass_decay: decay(HIGH_PASS_HZ),
            low_pass_decay: decay(LOW_PASS_HZ),
            rumble: 0.0,
            smooth: 0.0,
            hop_decay: timing.hop_decay(MEMORY_MS),
            history: [0.0; LONGEST_LAG + FRESH],
            energy: 0.0,
            correlations: [f32x4::ZERO; GROUPS],
            energies: [f32x4::ZERO; GROUPS],
        }
    }

    pub fn reset(&mut self) {
        self.history.fill(0.0);
        self.correlations.fill(f32x4::ZERO);
        self.energies.fill(f32x4::ZERO);
        (self.rumble, self.smooth, self.energy) = (0.0, 0.0, 0.0);
    }

    /// The periodicity at the end of a hop, 0 ... 1, from the hop's samples, one slice a channel.
    pub fn analyse<'a>(&mut self, hop: impl Iterator<Item = &'a [f32]>) -> f32 {
        let fresh = self.decimate(hop);
        self.history.copy_within(FRESH.., 0);
        let fresh = fresh.map(|sample| self.low_band(sample));
        self.history[LONGEST_LAG..].copy_from_slice(&fresh);
        let highest = self.correlate();
        if self.energy < NOTHING {
            self.reset();
        }
        highest.min(1.0)
    }

    fn decimate<'a>(&self, hop: impl Iterator<Item = &'a [f32]>) -> [f32; FRESH] {
        let mut fresh = [0.0; FRESH];
        for (channel, weight) in hop.zip(CHANNEL_WEIGHTS) {
            let share = weight / self.decimation as f32;
            for (fresh, samples) in fresh.iter_mut().zip(channel.chunks_exact(self.decimation)) {
                *fresh += share * samples.iter().sum::<f32>();
            }
        }
        fresh
    }

    fn low_band(&mut self, sample: f32) -> f32 {
        self.rumble = sample + self.high_pass_decay * (self.rumble - sample);
        let above_rumble = sample - self.rumble;
        self.smooth = above_rumble + self.low_pass_decay * (self.smooth - above_rumble);
        self.smooth
    }

    /// Moves the correlations on by a hop; gives the highest, normalised. It is found among their squares.
    fn correlate(&mut self) -> f32 {
        let (history, decay) = (&self.history, f32x4::splat(self.hop_decay));
        let squares = history.map(|sample| sample * sample);
        let energy: f32 = squares[LONGEST_LAG..].iter().sum();
        self.energy = self.hop_decay * self.energy + energy;
        let (now, floor) = (f32x4::splat(self.energy), f32x4::splat(NOTHING * NOTHING));
        let fresh: [f32x4; FRESH] = std::array::from_fn(|n| f32x4::splat(history[LONGEST_LAG + n]));
        let mut reading = [f32x4::ZERO; GROUPS];
        for (group, reading) in reading.iter_mut().enumerate() {
            let first = LANES * group;
            let (past, past_squares) = (&history[first..], &squares[first..]);
            let correlation = past
                .array_windows()
                .zip(&fresh)
                .fold(f32x4::ZERO, |sum, (past, now)| sum + f32x4::from(*past) * *now);
            let energy = past_squares
                .array_windows()
                .take(FRESH)
                .fold(f32x4::ZERO, |sum, squares| sum + f32x4::from(*squares));
            self.correlations[group] = decay * self.correlations[group] + correlation;
            self.energies[group] = decay * self.energies[group] + energy;
            let positive = self.correlations[group].fast_max(f32x4::ZERO);
            let norm = now * self.energies[group];
            *reading = (positive * positive / norm) & norm.simd_gt(floor);
        }
        highest(&reading).sqrt()
    }
}

/// The highest reading; what stands after the shortest lag in the last group is none.
fn highest(readings: &[f32x4; GROUPS]) -> f32 {
    let (last, whole) = (readings[GROUPS - 1], &readings[..GROUPS - 1]);
    let highest = whole
        .iter()
        .fold(f32x4::ZERO, |highest, &reading| highest.fast_max(reading));
    let lags = &last.to_array()[..LAGS - LANES * (GROUPS - 1)];
    highest
        .to_array()
        .iter()
        .chain(lags)
        .fold(0.0, |highest, &reading| reading.max(highest))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(rate_hz: f64, signal: impl Fn(usize) -> f32) -> f32 {
        let timing = Timing::new(rate_hz);
        let mut periodicity = Periodicity::new(timing);
        let mut last = 0.0;
        for hop in 0..80 {
            let samples: Vec<f32> = (0..timing.hop_samples)
                .map(|n| signal(hop * timing.hop_samples + n))
                .collect();
            last = periodicity.analyse([&samples[..]].into_iter());
        }
        last
    }

    #[test]
    fn a_pulse_train_is_periodic_and_noise_is_not() {
        for rate_hz in [44_100.0, 48_000.0, 96_000.0, 192_000.0] {
            for pitch_hz in [90.0, 200.0, 520.0] {
                let reading = run(rate_hz, |n| {
                    let phase = (n as f64 * pitch_hz / rate_hz).fract();
                    (-8.0 * phase).exp() as f32
                });
                assert!(reading > 0.85, "{reading} at {pitch_hz} Hz, {rate_hz} Hz");
            }
            let reading = run(rate_hz, |n| {
                let hash = (n as u32).wrapping_mul(2_654_435_761) ^ 0x9e37_79b9;
                let hash = (hash ^ (hash >> 15)).wrapping_mul(2_246_822_519);
                ((hash ^ (hash >> 13)) >> 8) as f32 / 8_388_608.0 - 1.0
            });
            assert!(reading < 0.6, "{reading} for noise at {rate_hz} Hz");
        }
    }
}

//! Periodicity of the low band: the highest normalised autocorrelation at the lags of a voice's fundamental. A vowel reads
//! near 1, a breath or a sibilant well below 0.6.
//!
//! The correlation is updated recursively over an exponential window, so that a hop costs one multiply-add per lag and
//! decimated sample (the normalised cross-correlation of pitch tracking: Talkin 1995, from memory).

use wide::f32x4;

use crate::clock::timing::Timing;

/// Decimated samples per hop at any rate: 6 kHz at 48 kHz, enough for the first formant, which carries the period.
pub(super) const FRESH: usize = 8;
/// 600 Hz ... 66 Hz at the decimated rate of 6 kHz: speech and most singing. Higher notes appear at twice their period.
const SHORTEST_LAG: usize = 10;
pub(super) const LONGEST_LAG: usize = 90;
const LAGS: usize = LONGEST_LAG - SHORTEST_LAG + 1;
/// SIMD width: lags per group.
const LANES: usize = 4;
const GROUPS: usize = LAGS.div_ceil(LANES);
/// Groups of the shortest lags, whose energies are new in each hop.
const FRESH_GROUPS: usize = FRESH / LANES;
/// Time constant of the correlation: two periods of a low voice.
const TIME_CONSTANT_MS: f32 = 10.0;
/// Rumble below the voice would correlate at every lag.
const HIGH_PASS_HZ: f64 = 80.0;
/// The period is clearest below the second formant.
const LOW_PASS_HZ: f64 = 900.0;
/// Mixing weights, unequal so that a voice out of phase between left and right does not cancel.
const CHANNEL_WEIGHTS: [f32; 2] = [1.0, 0.6];
/// Energy below which the correlation is 0, far below any recording.
const MIN_ENERGY: f32 = 1e-18;

/// The running correlation of the mono low band. Lags are stored from the longest to the shortest, like the history.
pub(crate) struct Periodicity {
    decimation: usize,
    high_pass_decay: f32,
    low_pass_decay: f32,
    high_pass_state: f32,
    low_pass_state: f32,
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
            high_pass_state: 0.0,
            low_pass_state: 0.0,
            hop_decay: timing.hop_decay(TIME_CONSTANT_MS),
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
        (self.high_pass_state, self.low_pass_state, self.energy) = (0.0, 0.0, 0.0);
    }

    /// Takes the samples of a hop, one slice per channel; returns the periodicity at its end, 0 ... 1.
    #[inline(always)]
    pub fn update<'a>(&mut self, hop: impl Iterator<Item = &'a [f32]>) -> f32 {
        let fresh = self.decimate(hop);
        self.history.copy_within(FRESH.., 0);
        let fresh = fresh.map(|sample| self.low_band(sample));
        self.history[LONGEST_LAG..].copy_from_slice(&fresh);
        let highest = self.correlate();
        if self.energy < MIN_ENERGY {
            self.reset();
        }
        highest.min(1.0)
    }

    #[inline(always)]
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
        self.high_pass_state = sample + self.high_pass_decay * (self.high_pass_state - sample);
        let high_passed = sample - self.high_pass_state;
        self.low_pass_state = high_passed + self.low_pass_decay * (self.low_pass_state - high_passed);
        self.low_pass_state
    }

    /// Updates the correlations by a hop; returns the highest, normalised. Squares are compared to save square roots.
    #[inline(always)]
    fn correlate(&mut self) -> f32 {
        self.update_energies();
        let (history, decay) = (&self.history, f32x4::splat(self.hop_decay));
        let fresh: [f32x4; FRESH] = std::array::from_fn(|n| f32x4::splat(history[LONGEST_LAG + n]));
        for (group, correlations) in self.correlations.iter_mut().enumerate() {
            let correlation = history[LANES * group..]
                .array_windows()
                .zip(&fresh)
                .fold(f32x4::ZERO, |sum, (past, now)| sum + f32x4::from(*past) * *now);
            *correlations = decay * *correlations + correlation;
        }
        highest(&self.readings()).sqrt()
    }

    /// The squares of the normalised correlations; 0 where one is negative.
    #[inline(always)]
    fn readings(&self) -> [f32x4; GROUPS] {
        let (now, floor) = (f32x4::splat(self.energy), f32x4::splat(MIN_ENERGY * MIN_ENERGY));
        std::array::from_fn(|group| {
            let positive = self.correlations[group].fast_max(f32x4::ZERO);
            let norm = now * self.energies[group];
            (positive * positive / norm) & norm.simd_gt(floor)
        })
    }

    /// The lag of the highest correlation of the last hop, decimated samples: the period, or a multiple of it. Few hops need it,
    /// so their readings are computed anew and not kept.
    pub fn lag(&self) -> usize {
        let readings = self.readings();
        let highest = highest(&readings);
        let mut lags = readings.iter().flat_map(|four| four.to_array()).take(LAGS);
        LONGEST_LAG - lags.position(|reading| reading == highest).unwrap_or(0)
    }

    /// Updates the energies by a hop. Those of a lag were those of a lag shorter by a hop one hop ago.
    #[inline(always)]
    fn update_energies(&mut self) {
        let squares = self.history.map(|sample| sample * sample);
        let energy: f32 = squares[LONGEST_LAG..].iter().sum();
        self.energy = self.hop_decay * self.energy + energy;
        let decay = f32x4::splat(self.hop_decay);
        let mut shortest = [f32x4::ZERO; FRESH_GROUPS];
        for (n, shortest) in shortest.iter_mut().enumerate() {
            let group = GROUPS - FRESH_GROUPS + n;
            let energy = squares[LANES * group..]
                .array_windows()
                .take(FRESH)
                .fold(f32x4::ZERO, |sum, squares| sum + f32x4::from(*squares));
            *shortest = decay * self.energies[group] + energy;
        }
        self.energies.copy_within(FRESH_GROUPS.., 0);
        self.energies[GROUPS - FRESH_GROUPS..].copy_from_slice(&shortest);
    }
}

/// The highest reading. The last group is not full: lanes after the shortest lag are skipped.
#[inline(always)]
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
    use crate::test_signals::white_noise;

    const HOPS: usize = 80;

    fn run(rate_hz: f64, signal: impl Fn(usize) -> f32) -> f32 {
        let timing = Timing::new(rate_hz);
        let mut periodicity = Periodicity::new(timing);
        let mut last = 0.0;
        for hop in 0..HOPS {
            let samples: Vec<f32> = (0..timing.hop_samples)
                .map(|n| signal(hop * timing.hop_samples + n))
                .collect();
            last = periodicity.update([&samples[..]].into_iter());
        }
        last
    }

    #[test]
    fn pulse_trains_read_high_and_noise_reads_low() {
        for rate_hz in [44_100.0, 48_000.0, 96_000.0, 192_000.0] {
            for pitch_hz in [90.0, 200.0, 520.0] {
                let reading = run(rate_hz, |n| {
                    let phase = (n as f64 * pitch_hz / rate_hz).fract();
                    (-8.0 * phase).exp() as f32
                });
                assert!(reading > 0.85, "{reading} at {pitch_hz} Hz, {rate_hz} Hz");
            }
            let noise = white_noise(HOPS * Timing::new(rate_hz).hop_samples, 1);
            let reading = run(rate_hz, |n| noise[n]);
            assert!(reading < 0.6, "{reading} for noise at {rate_hz} Hz");
        }
    }
}

//! How periodic the low band is: the highest normalised autocorrelation at the lags of a voice's fundamental. A vowel
//! reads near 1, a breath or a sibilant well below 0.6.
//!
//! The correlation runs recursively over an exponential window, so that each hop costs one multiply-add for each lag
//! and decimated sample (the normalised cross-correlation of the pitch-tracking literature: Talkin 1995, from memory).

use super::slide;
use crate::timing::Timing;

/// The decimated rate at 48 kHz: room for the first formant, which carries the period.
const DECIMATION_STEPS: f64 = 0.5;
/// 600 Hz ... 66 Hz at the decimated rate of 6 kHz: speech and most singing; higher notes show at twice their period.
const SHORTEST_LAG: usize = 10;
const LONGEST_LAG: usize = 90;
const LAGS: usize = LONGEST_LAG - SHORTEST_LAG + 1;
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

/// The running correlation of one (mono) low band.
pub(crate) struct Periodicity {
    decimation: usize,
    accumulated: f32,
    accumulated_samples: usize,
    high_pass_decay: f32,
    low_pass_decay: f32,
    rumble: f32,
    smooth: f32,
    hop_decay: f32,
    history: Vec<f32>,
    fresh: usize,
    energy: f32,
    correlations: [f32; LAGS],
    energies: [f32; LAGS],
}

impl Periodicity {
    pub fn new(timing: Timing) -> Self {
        let decimation = ((timing.step_samples as f64 * DECIMATION_STEPS) as usize).max(1);
        let decimated_hz = timing.sample_rate_hz / decimation as f64;
        let decay = |corner_hz: f64| (-std::f64::consts::TAU * corner_hz / decimated_hz).exp() as f32;
        Self {
            decimation,
            accumulated: 0.0,
            accumulated_samples: 0,
            high_pass_decay: decay(HIGH_PASS_HZ),
            low_pass_decay: decay(LOW_PASS_HZ),
            rumble: 0.0,
            smooth: 0.0,
            hop_decay: timing.hop_decay(MEMORY_MS),
            history: vec![0.0; LONGEST_LAG + timing.hop_samples / decimation],
            fresh: 0,
            energy: 0.0,
            correlations: [0.0; LAGS],
            energies: [0.0; LAGS],
        }
    }

    pub fn reset(&mut self) {
        self.history.fill(0.0);
        self.correlations.fill(0.0);
        self.energies.fill(0.0);
        (self.accumulated, self.rumble, self.smooth, self.energy) = (0.0, 0.0, 0.0, 0.0);
        (self.accumulated_samples, self.fresh) = (0, 0);
    }

    /// The hop goes on as if it had begun `into_hop_samples` ago; of a decimated sample that had begun nothing is kept.
    pub fn lay_hop(&mut self, into_hop_samples: usize) {
        let fresh = into_hop_samples / self.decimation;
        slide(&mut self.history, self.fresh, fresh);
        self.fresh = fresh;
        self.accumulated = 0.0;
        self.accumulated_samples = into_hop_samples % self.decimation;
    }

    /// Takes samples that end within the current hop or at its end.
    pub fn push(&mut self, audio: &[&[f32]]) {
        let length = audio.first().map_or(0, |channel| channel.len());
        for n in 0..length {
            let mix = |sum: f32, (channel, weight): (&&[f32], &f32)| sum + weight * channel[n];
            self.accumulated += audio.iter().zip(&CHANNEL_WEIGHTS).fold(0.0, mix);
            self.accumulated_samples += 1;
            if self.accumulated_samples == self.decimation {
                self.take(self.accumulated / self.decimation as f32);
                self.accumulated = 0.0;
                self.accumulated_samples = 0;
            }
        }
    }

    fn take(&mut self, sample: f32) {
        self.rumble = sample + self.high_pass_decay * (self.rumble - sample);
        let above_rumble = sample - self.rumble;
        self.smooth = above_rumble + self.low_pass_decay * (self.smooth - above_rumble);
        self.history[LONGEST_LAG + self.fresh] = self.smooth;
        self.fresh += 1;
    }

    /// The periodicity at the end of the hop just filled, 0 ... 1.
    pub fn analyse(&mut self) -> f32 {
        let fresh = &self.history[LONGEST_LAG..];
        self.energy = self.hop_decay * self.energy + fresh.iter().map(|x| x * x).sum::<f32>();
        let mut highest = 0f32;
        for index in 0..LAGS {
            let delayed = &self.history[LONGEST_LAG - SHORTEST_LAG - index..][..fresh.len()];
            let (mut correlation, mut energy) = (0.0, 0.0);
            for (now, before) in fresh.iter().zip(delayed) {
                correlation += now * before;
                energy += before * before;
            }
            self.correlations[index] = self.hop_decay * self.correlations[index] + correlation;
            self.energies[index] = self.hop_decay * self.energies[index] + energy;
            let norm = self.energy * self.energies[index];
            if norm > NOTHING * NOTHING {
                highest = highest.max(self.correlations[index] / norm.sqrt());
            }
        }
        self.history.copy_within(self.fresh.., 0);
        self.fresh = 0;
        self.flush_denormals();
        highest.min(1.0)
    }

    fn flush_denormals(&mut self) {
        if self.energy < NOTHING {
            self.reset();
        }
    }
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
            periodicity.push(&[&samples]);
            last = periodicity.analyse();
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

//! Five backing voices in one track.

use std::f64::consts::{PI, TAU};

use super::level::at_voice_level;
use crate::measurement::voices::corpus::Recording;
use crate::measurement::voices::singer::random::Random;

const VOICES: usize = 5;
/// Farthest out of tune, cents, and from the first take to the last, s: common practice for stacked takes, no source.
const DETUNE_CENTS: f64 = 15.0;
const LATEST_S: f64 = 0.025;
/// The pitch of each voice wanders about the others', Hz: so slowly that no vibrato is heard.
const WANDER_HZ: [f64; 2] = [0.2, 0.5];

/// Five copies of the voice, each late and out of tune by amounts that wander, as loud as before. The labels lie in
/// the middle of the takes, and their edges blur by 12.5 ms to either side: none of them is exact any more.
pub fn stack(recording: &Recording, seed: u64) -> Recording {
    let mut random = Random::new(seed, 4);
    let kernel = Kernel::new();
    let middle_samples = LATEST_S / 2.0 * recording.sample_rate_hz;
    let mut sum = vec![0.0; recording.audio.len()];
    for _ in 0..VOICES {
        let delay = Delay::random(recording.sample_rate_hz, &mut random);
        for (sample, sum) in sum.iter_mut().enumerate() {
            let position = sample as f64 + middle_samples - delay.samples_at(sample);
            *sum += kernel.read(&recording.audio, position);
        }
    }
    let audio = sum.into_iter().map(|sample| sample as f32).collect();
    Recording {
        precision: recording.precision.on_a_grid(),
        ..at_voice_level(recording, audio)
    }
}

/// A delay that swings: while it shrinks the voice is sharp, while it grows it is flat.
struct Delay {
    middle_samples: f64,
    swing_samples: f64,
    /// Radians per sample, and at sample 0.
    speed: f64,
    phase: f64,
}

impl Delay {
    fn random(sample_rate_hz: f64, random: &mut Random) -> Self {
        let speed = TAU * random.between(WANDER_HZ[0], WANDER_HZ[1]) / sample_rate_hz;
        // The pitch is off by the slope of the delay, which is at most its swing times its speed.
        let off = (random.between(0.3, 1.0) * DETUNE_CENTS / 1200.0).exp2() - 1.0;
        let latest_samples = LATEST_S * sample_rate_hz;
        let swing_samples = (off / speed).min(latest_samples / 2.0);
        Self {
            middle_samples: random.between(swing_samples, latest_samples - swing_samples),
            swing_samples,
            speed,
            phase: random.between(0.0, TAU),
        }
    }

    fn samples_at(&self, sample: usize) -> f64 {
        self.middle_samples + self.swing_samples * (self.phase + self.speed * sample as f64).sin()
    }
}

/// Reads between samples: a sinc under a Hann window.
struct Kernel(Vec<f64>);

impl Kernel {
    /// Samples on each side that are heard, and points per sample, between which it runs straight: its errors lie
    /// under -90 dB up to a fifth of the rate and under -50 dB up to two fifths.
    const REACH: usize = 16;
    const FINENESS: usize = 512;

    fn new() -> Self {
        let height = |point: usize| {
            let distance = point as f64 / Self::FINENESS as f64;
            let window = 0.5 + 0.5 * (PI * distance / Self::REACH as f64).cos();
            if point == 0 {
                1.0
            } else {
                window * (PI * distance).sin() / (PI * distance)
            }
        };
        Self((0..=Self::REACH * Self::FINENESS + 1).map(height).collect())
    }

    fn height(&self, distance: f64) -> f64 {
        let point = distance.abs() * Self::FINENESS as f64;
        let [low, high] = [self.0[point as usize], self.0[point as usize + 1]];
        low + point.fract() * (high - low)
    }

    /// The sound at a position; silence lies before and after it.
    fn read(&self, audio: &[f32], position: f64) -> f64 {
        let middle = position.floor() as isize;
        let reach = Self::REACH as isize;
        let first = (middle + 1 - reach).max(0);
        let last = (middle + reach).min(audio.len() as isize - 1);
        (first..=last)
            .map(|sample| f64::from(audio[sample as usize]) * self.height(position - sample as f64))
            .sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::conditions::level::Voice;
    use crate::measurement::voices::conditions::tests::{songs, tone};
    use crate::measurement::voices::corpus::Precision;
    use crate::measurement::voices::signals::power_db;

    #[test]
    fn the_stack_is_as_loud_as_the_voice_and_its_labels_are_no_longer_exact() {
        for song in songs() {
            let after = stack(song, 1);
            let change_lu = Voice::of(&after).lufs() - Voice::of(song).lufs();
            assert!(change_lu.abs() < 0.1, "{change_lu:.2} LU");
            assert_eq!(after.precision, Precision::Grid10Ms);
        }
    }

    #[test]
    fn delays_stay_below_25_ms_and_pitches_within_15_cents() {
        let rate_hz = 48_000.0;
        let mut random = Random::new(1, 0);
        for _ in 0..100 {
            let delay = Delay::random(rate_hz, &mut random);
            let mut farthest_cents = 0.0_f64;
            for sample in (0..480_000).step_by(100) {
                let [now, next] = [sample, sample + 1].map(|sample| delay.samples_at(sample));
                assert!((0.0..=0.025 * rate_hz).contains(&now), "{now} samples");
                farthest_cents = farthest_cents.max((1200.0 * (1.0 + now - next).log2()).abs());
            }
            assert!((4.0..15.2).contains(&farthest_cents), "{farthest_cents} cents");
        }
    }

    #[test]
    fn a_click_comes_back_five_times_within_25_ms() {
        let rate_hz = 48_000.0;
        let mut audio = vec![0.0; 9600];
        audio[4800] = 1.0;
        let after = stack(&tone(200.0, rate_hz).with_audio(audio), 2);
        let heard: Vec<usize> = (0..9600)
            .filter(|sample| after.audio[*sample].abs() > 0.05)
            .collect();
        assert!(
            heard
                .iter()
                .all(|sample| (4800 - 602..=4800 + 602).contains(sample)),
            "{heard:?}"
        );
        // Clicks apart by more than a few samples are clicks of their own.
        let clicks = 1 + heard.windows(2).filter(|pair| pair[1] > pair[0] + 8).count();
        assert_eq!(clicks, 5, "{heard:?}");
    }

    #[test]
    fn between_samples_a_tone_is_read_as_it_would_have_been() {
        for (share, worst_db) in [(0.01, -90.0), (0.2, -90.0), (0.4, -50.0)] {
            let tone: Vec<f32> = (0..1100)
                .map(|n| (TAU * share * f64::from(n)).sin() as f32)
                .collect();
            let kernel = Kernel::new();
            let errors: Vec<f32> = (0..1000)
                .map(|step| 60.0 + 0.977 * f64::from(step))
                .map(|position| (kernel.read(&tone, position) - (TAU * share * position).sin()) as f32)
                .collect();
            let error_db = power_db(&errors) - power_db(&tone);
            assert!(error_db < worst_db, "{share} of the rate: {error_db:.1} dB");
        }
    }
}

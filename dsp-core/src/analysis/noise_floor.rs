//! The noise floor: background noise while nobody sings. Hum is as periodic as a voice and hiss as bright as a sibilant, so
//! both are recognised by level, relative to the loudest and the softest recent hops.

use crate::clock::timing::Timing;
use crate::primitives::decibels::power_from_db;
use crate::primitives::softest_power::SoftestPower;

/// Hops this far below the loudest are background whatever they contain: tails of words, bleed.
const BELOW_LOUDEST_DB: f32 = 45.0;
/// Always background: the only absolute level, far below any voice.
const BELOW_LUFS: f32 = -95.0;
/// Hops this close to the softest are background ...
const ABOVE_SOFTEST_DB: f32 = 6.0;
/// ... if they also lie this far below the loudest. A long soft note may as well, but soon sets the loudest itself.
const FLOOR_BELOW_LOUDEST_DB: f32 = 25.0;
/// No voice is louder than a sine 12 dB over full scale on one channel. Anything louder is a knock and does not raise the
/// loudest level further.
const LOUDEST_VOICE_LUFS: f32 = 9.0;
/// Decay of the loudest level while there is more than background. A verse 30 dB below the chorus is never background (that
/// needs 45 dB), and a knock on the microphone is forgotten within seconds.
const LOUDEST_DECAY_DB_PER_S: f32 = 3.0;
/// The loudest and the softest recent levels, as powers.
pub(crate) struct NoiseFloor {
    loudest: f64,
    softest: SoftestPower,
    kept_per_hop: f64,
    ratios: Ratios,
}

/// The constants above as powers.
struct Ratios {
    below_loudest: f64,
    below: f64,
    above_softest: f64,
    floor_below_loudest: f64,
    loudest_voice: f64,
}

impl NoiseFloor {
    pub fn new(timing: Timing) -> Self {
        let hop_s = timing.hop_samples as f64 / timing.sample_rate_hz;
        let mut floor = Self {
            loudest: 0.0,
            softest: SoftestPower::new(timing),
            kept_per_hop: power_from_db(-LOUDEST_DECAY_DB_PER_S * hop_s as f32),
            ratios: Ratios {
                below_loudest: power_from_db(-BELOW_LOUDEST_DB),
                below: power_from_db(BELOW_LUFS),
                above_softest: power_from_db(ABOVE_SOFTEST_DB),
                floor_below_loudest: power_from_db(-FLOOR_BELOW_LOUDEST_DB),
                loudest_voice: power_from_db(LOUDEST_VOICE_LUFS),
            },
        };
        floor.reset();
        floor
    }

    pub fn reset(&mut self) {
        self.loudest = self.ratios.below;
        self.softest.reset();
    }

    /// Aligns the spans to the song; `hop` is the number of the next hop, counted from the start of the song.
    pub fn align_spans(&mut self, hop: i64) {
        self.softest.align_spans(hop);
    }

    /// Takes the K-weighted mean square of a hop; returns true if it is nothing but background noise.
    pub fn is_background(&mut self, power: f64) -> bool {
        let softest = self.softest.update_hop(power);
        let ratios = &self.ratios;
        let floor =
            power < softest * ratios.above_softest && power < self.loudest * ratios.floor_below_loudest;
        if !floor {
            self.loudest *= self.kept_per_hop;
        }
        self.loudest = self
            .loudest
            .max(power.min(ratios.loudest_voice))
            .max(ratios.below);
        floor || power < ratios.below || power < self.loudest * ratios.below_loudest
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn noise_floor() -> (NoiseFloor, Timing) {
        let timing = Timing::new(48_000.0);
        (NoiseFloor::new(timing), timing)
    }

    /// The share of hops at `level_db` that are classed as background.
    fn share(floor: &mut NoiseFloor, timing: Timing, level_db: f32, length_ms: f32) -> f32 {
        let hops = timing.hops(length_ms);
        let power = 10f64.powf(f64::from(level_db) / 10.0);
        (0..hops).filter(|_| floor.is_background(power)).count() as f32 / hops as f32
    }

    #[test]
    fn hum_in_a_long_rest_is_background_and_the_voice_after_it_is_not() {
        let (mut floor, timing) = noise_floor();
        assert_eq!(share(&mut floor, timing, -20.0, 2000.0), 0.0);
        share(&mut floor, timing, -60.0, 300.0);
        assert_eq!(share(&mut floor, timing, -60.0, 20_000.0), 1.0);
        assert_eq!(share(&mut floor, timing, -48.0, 1000.0), 0.0);
    }

    #[test]
    fn a_softer_section_and_a_long_soft_note_are_not_background() {
        let (mut floor, timing) = noise_floor();
        share(&mut floor, timing, -20.0, 2000.0);
        share(&mut floor, timing, -80.0, 500.0);
        assert_eq!(share(&mut floor, timing, -44.0, 10_000.0), 0.0);
    }

    #[test]
    fn a_knock_hides_a_soft_voice_for_seconds_at_most() {
        let (mut floor, timing) = noise_floor();
        share(&mut floor, timing, 0.0, 20.0);
        let syllables: Vec<f32> = (0..20)
            .map(|_| {
                share(&mut floor, timing, -75.0, 150.0);
                share(&mut floor, timing, -50.0, 200.0)
            })
            .collect();
        assert_eq!((syllables[0], syllables[19]), (1.0, 0.0), "{syllables:?}");
    }
}

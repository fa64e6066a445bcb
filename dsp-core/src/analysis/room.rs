//! The room: what sounds while nobody sings. Its hum is as periodic as a voice and its hiss as bright as a sibilant, so
//! both are told by level, against the loudest and the softest of late.

use crate::clock::timing::{HOPS_PER_WINDOW, Timing};
use crate::primitives::decibels::power_from_db;

/// Hops this far under the loudest of late are quiet, whatever they hold: the tails of words, bleed.
const BELOW_LOUDEST_DB: f32 = 45.0;
/// Nothing in a recording's room lies below this; the one absolute figure, far under any voice.
const BELOW_LUFS: f32 = -95.0;
/// Hops this close to the softest of late are the room itself ...
const ABOVE_SOFTEST_DB: f32 = 6.0;
/// ... if they lie at least this far under the loudest: a long soft note does too, but is its own loudest soon.
const ROOM_BELOW_LOUDEST_DB: f32 = 25.0;
/// No voice is louder than a sine 12 dB over full scale on one channel, which is as hot as an insert is ever fed: what is,
/// is a blow, and says nothing of how loud the voice around it is.
const LOUDEST_VOICE_LUFS: f32 = 9.0;
/// How fast the loudest is forgotten while something other than the room sounds: a verse 30 dB under the chorus is heard
/// at once, since quiet lies 45 dB down, and a blow against the microphone is forgotten within seconds.
const LOUDEST_FORGOTTEN_DB_PER_S: f32 = 3.0;
/// The softest is that of 2 s: longer than a phrase goes on without a gap between words.
const SPAN_MS: f32 = 250.0;
const SPANS: usize = 8;
/// The softest is that of the smoothed level: a noise is not far above it in any hop.
const SMOOTHED_MS: f32 = 20.0;

/// The loudest and the softest of late, as powers.
pub(crate) struct Room {
    loudest: f64,
    smoothed: f64,
    /// Hops since the reset in which the window of analysis still fills with sound.
    filling_hops: usize,
    /// The softest of each span, the newest last.
    softest: [f64; SPANS],
    hops_into_span: usize,
    hops_per_span: usize,
    smoothing_decay: f64,
    kept_per_hop: f64,
    ratios: Ratios,
}

/// The levels above as powers.
struct Ratios {
    below_loudest: f64,
    below: f64,
    above_softest: f64,
    room_below_loudest: f64,
    loudest_voice: f64,
}

impl Room {
    pub fn new(timing: Timing) -> Self {
        let hop_s = timing.hop_samples as f64 / timing.sample_rate_hz;
        let mut room = Self {
            loudest: 0.0,
            smoothed: 0.0,
            filling_hops: 0,
            softest: [0.0; SPANS],
            hops_into_span: 0,
            hops_per_span: timing.hops(SPAN_MS),
            smoothing_decay: f64::from(timing.hop_decay(SMOOTHED_MS)),
            kept_per_hop: power_from_db(-LOUDEST_FORGOTTEN_DB_PER_S * hop_s as f32),
            ratios: Ratios {
                below_loudest: power_from_db(-BELOW_LOUDEST_DB),
                below: power_from_db(BELOW_LUFS),
                above_softest: power_from_db(ABOVE_SOFTEST_DB),
                room_below_loudest: power_from_db(-ROOM_BELOW_LOUDEST_DB),
                loudest_voice: power_from_db(LOUDEST_VOICE_LUFS),
            },
        };
        room.reset();
        room
    }

    pub fn reset(&mut self) {
        self.loudest = self.ratios.below;
        (self.smoothed, self.filling_hops) = (0.0, HOPS_PER_WINDOW - 1);
        self.softest = [f64::INFINITY; SPANS];
        self.hops_into_span = 0;
    }

    /// The coming hop is the `hop`th of the song: spans follow one another from there.
    pub fn lay_spans(&mut self, hop: i64) {
        self.hops_into_span = hop.rem_euclid(self.hops_per_span as i64) as usize;
    }

    /// Takes the K-weighted mean square of a hop; true where it holds nothing but the room.
    pub fn is_all(&mut self, power: f64) -> bool {
        self.smooth(power);
        let ratios = &self.ratios;
        let softest = self
            .softest
            .iter()
            .fold(f64::INFINITY, |softest, &power| softest.min(power));
        let room = power < softest * ratios.above_softest && power < self.loudest * ratios.room_below_loudest;
        if !room {
            self.loudest *= self.kept_per_hop;
        }
        self.loudest = self
            .loudest
            .max(power.min(ratios.loudest_voice))
            .max(ratios.below);
        room || power < ratios.below || power < self.loudest * ratios.below_loudest
    }

    fn smooth(&mut self, power: f64) {
        if self.filling_hops > 0 {
            // Half a window of sound reads softer than any room: playback may start within a word.
            self.filling_hops -= 1;
            self.smoothed = power;
            return;
        }
        self.smoothed = power + self.smoothing_decay * (self.smoothed - power);
        self.hops_into_span += 1;
        if self.hops_into_span == self.hops_per_span {
            self.hops_into_span = 0;
            self.softest.rotate_left(1);
            self.softest[SPANS - 1] = f64::INFINITY;
        }
        let newest = &mut self.softest[SPANS - 1];
        *newest = newest.min(self.smoothed);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn room() -> (Room, Timing) {
        let timing = Timing::new(48_000.0);
        (Room::new(timing), timing)
    }

    /// The share of hops at `level_db` that are taken for the room.
    fn share(room: &mut Room, timing: Timing, level_db: f32, length_ms: f32) -> f32 {
        let hops = timing.hops(length_ms);
        let power = 10f64.powf(f64::from(level_db) / 10.0);
        (0..hops).filter(|_| room.is_all(power)).count() as f32 / hops as f32
    }

    #[test]
    fn hum_in_a_long_rest_is_the_room_and_the_voice_after_it_is_not() {
        let (mut room, timing) = room();
        assert_eq!(share(&mut room, timing, -20.0, 2000.0), 0.0);
        share(&mut room, timing, -60.0, 300.0);
        assert_eq!(share(&mut room, timing, -60.0, 20_000.0), 1.0);
        assert_eq!(share(&mut room, timing, -48.0, 1000.0), 0.0);
    }

    #[test]
    fn a_softer_section_is_a_voice_from_its_first_word_and_a_long_soft_note_too() {
        let (mut room, timing) = room();
        share(&mut room, timing, -20.0, 2000.0);
        share(&mut room, timing, -80.0, 500.0);
        assert_eq!(share(&mut room, timing, -44.0, 10_000.0), 0.0);
    }

    #[test]
    fn a_blow_makes_it_deaf_for_seconds_at_most() {
        let (mut room, timing) = room();
        share(&mut room, timing, 0.0, 20.0);
        let syllables: Vec<f32> = (0..20)
            .map(|_| {
                share(&mut room, timing, -75.0, 150.0);
                share(&mut room, timing, -50.0, 200.0)
            })
            .collect();
        assert_eq!((syllables[0], syllables[19]), (1.0, 0.0), "{syllables:?}");
    }
}

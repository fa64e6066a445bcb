//! The evidence for a softer voice: distinguishes a softer section from what decays after a word.
//!
//! Reverberation, echoes, room noise and word ends are softer than the voice and may be periodic. A voice that sings
//! on more softly lasts longer, is clearly periodic, and begins: its level rises again from a dip, or it is steady.

use crate::clock::timing::Timing;
use crate::voice::power_window::PowerWindow;

/// Softer voiced material that confirms a softer voice. The constants were found by a search on the tuning voices; with
/// 140 ms a section 18 dB softer is known later, with 250 ms in two of three cases only after 300 ms of voice.
const CONFIRM_MS: f32 = 100.0;
/// The same for a voice without an onset: the last vowel of a word may be softer for this long.
const CONFIRM_STEADY_MS: f32 = 145.0;
/// How much of it must be clearly periodic, and the periodicity from which it is: where a voice begins. Much room noise reads
/// less; with 0.8 fewer rests are taken for a voice, but a rough one that sings on more softly is missed.
const CLEAR_MS: f32 = 70.0;
const CLEAR_PERIODICITY: f32 = 0.55;
/// The same for a voice without an onset, and the least share of its hops: a steady noise of a room with hum in it reads above
/// this in up to half of its hops, a voice in more than two thirds. Found on the tuning voices.
const STEADY_PERIODICITY: f32 = 0.75;
const STEADY_SHARE: f32 = 0.6;
/// Power ratio (9 dB) by which an onset rises from the dip before it. The level of reverberation varies by less.
const ONSET: f64 = 8.0;
/// Averaging time of the level that must rise: about a period of a low voice.
const ONSET_AVERAGE_MS: f32 = 10.0;
/// Power ratio (2 dB) within which the quarters of a steady voice lie. Reverberation of 2.5 s falls by 3 dB meanwhile.
const STEADY: f64 = 1.6;
/// After a pause of this length the evidence is forgotten hop by hop: stray hops of a rest must not add up.
const PAUSE_MS: f32 = 100.0;

/// The softer material since the last hop at the level of the voice.
pub(crate) struct SofterVoice {
    powers: PowerWindow,
    confirm_hops: usize,
    confirm_steady_hops: usize,
    clear_needed_hops: usize,
    pause_hops: usize,
    hops: usize,
    clear_hops: usize,
    very_clear_hops: usize,
    average_decay: f64,
    average_power: f64,
    dip_power: f64,
    has_onset: bool,
}

impl SofterVoice {
    pub fn new(timing: Timing) -> Self {
        let confirm_steady_hops = timing.hops(CONFIRM_STEADY_MS);
        Self {
            powers: PowerWindow::new(confirm_steady_hops),
            confirm_hops: timing.hops(CONFIRM_MS),
            confirm_steady_hops,
            clear_needed_hops: timing.hops(CLEAR_MS),
            pause_hops: timing.hops(PAUSE_MS),
            hops: 0,
            clear_hops: 0,
            very_clear_hops: 0,
            average_decay: f64::from(timing.hop_decay(ONSET_AVERAGE_MS)),
            average_power: 0.0,
            dip_power: f64::INFINITY,
            has_onset: false,
        }
    }

    /// The most powers that are kept.
    pub fn most_hops(&self) -> usize {
        self.confirm_steady_hops
    }

    /// Clears the evidence and the level.
    pub fn reset(&mut self) {
        self.average_power = 0.0;
        self.clear();
        self.dip_power = f64::INFINITY;
    }

    /// Clears the evidence.
    pub fn clear(&mut self) {
        self.powers.clear();
        (self.hops, self.clear_hops, self.very_clear_hops) = (0, 0, 0);
        (self.dip_power, self.has_onset) = (self.average_power, false);
    }

    /// Takes the power of every hop, of any class, before what it is evidence for.
    pub fn update_level(&mut self, power: f64) {
        self.average_power = power + self.average_decay * (self.average_power - power);
        self.dip_power = self.dip_power.min(self.average_power);
    }

    /// Takes a hop that is not voiced; the last voiced one was `hops_since_voice` ago.
    pub fn add_pause(&mut self, hops_since_voice: usize) {
        if hops_since_voice > self.pause_hops {
            self.forget_hop();
            if self.hops == 0 {
                self.powers.clear();
            }
        }
    }

    /// Takes a voiced hop at the level of the voice: evidence against a softer one. A loud syllable in a softer section
    /// must not undo all of it; the majority of hops decides.
    pub fn add_loud(&mut self) {
        self.forget_hop();
        (self.dip_power, self.has_onset) = (self.average_power, false);
    }

    /// Takes a softer voiced hop; returns true if a softer voice is confirmed.
    pub fn add_soft(&mut self, power: f64, periodicity: f32) -> bool {
        let is_clear = periodicity > CLEAR_PERIODICITY;
        self.has_onset |= is_clear && self.average_power > ONSET * self.dip_power;
        self.powers.push(power, usize::MAX);
        self.hops += 1;
        self.clear_hops += usize::from(is_clear);
        self.very_clear_hops += usize::from(periodicity > STEADY_PERIODICITY);
        self.hops >= self.confirm_hops
            && self.clear_hops >= self.clear_needed_hops
            && (self.has_onset || (self.hops >= self.confirm_steady_hops && self.is_steady()))
    }

    /// The newest softer powers, at most as many as confirm a voice.
    pub fn powers(&self) -> &PowerWindow {
        &self.powers
    }

    fn forget_hop(&mut self) {
        self.hops = self.hops.saturating_sub(1);
        self.clear_hops = self.clear_hops.saturating_sub(1);
        self.very_clear_hops = self.very_clear_hops.saturating_sub(1);
    }

    /// True if the newest hops are a voice that neither falls nor rises.
    fn is_steady(&self) -> bool {
        if (self.very_clear_hops as f32) < STEADY_SHARE * self.hops as f32 {
            return false;
        }
        let quarter = self.powers.len() / 4;
        let sums: [f64; 4] = std::array::from_fn(|n| {
            let hops = n * quarter..(n + 1) * quarter;
            hops.map(|hop| self.powers.at(hop)).sum()
        });
        let loudest = sums.iter().copied().fold(0.0, f64::max);
        let softest = sums.iter().copied().fold(f64::INFINITY, f64::min);
        loudest < STEADY * softest
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::primitives::decibels::power_from_lufs;

    /// The time until a voice is confirmed, if it is within a second; `level_lu` is its level at a time in ms.
    fn confirmed_after_ms(periodicity: f32, level_lu: impl Fn(f32) -> f32) -> Option<f32> {
        let mut softer = SofterVoice::new(Timing::new(48_000.0));
        softer.reset();
        softer.update_level(1.0);
        softer.add_loud();
        (1..750).map(|hops| hops as f32 * 4.0 / 3.0).find(|&ms| {
            let power = power_from_lufs(level_lu(ms));
            softer.update_level(power);
            softer.add_soft(power, periodicity)
        })
    }

    #[test]
    fn a_steady_softer_voice_is_confirmed_after_145_ms() {
        let ms = confirmed_after_ms(0.95, |_| -18.0).unwrap();
        assert!((139.0..150.0).contains(&ms), "{ms} ms");
    }

    #[test]
    fn a_steady_noise_with_hum_is_not_confirmed() {
        assert_eq!(confirmed_after_ms(0.7, |_| -18.0), None);
    }

    #[test]
    fn a_decaying_sound_is_not_confirmed() {
        for reverberation_s in [0.3, 0.6, 1.2, 2.5] {
            let decaying = |ms: f32| -12.0 - 0.06 * ms / reverberation_s;
            assert_eq!(confirmed_after_ms(0.95, decaying), None, "{reverberation_s} s");
        }
    }

    #[test]
    fn a_decaying_voice_is_confirmed_if_it_begins_anew() {
        let syllables = |ms: f32| {
            -14.0
                - if ms % 200.0 < 60.0 {
                    15.0
                } else {
                    0.05 * (ms % 200.0)
                }
        };
        assert!(confirmed_after_ms(0.95, syllables).is_some());
    }

    #[test]
    fn room_noise_with_a_vague_period_is_not_confirmed() {
        assert_eq!(confirmed_after_ms(0.5, |_| -25.0), None);
    }
}

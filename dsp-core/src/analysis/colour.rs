//! The colour of the voice: how its own vowels spread over the bands. A hop is told from the voice by how far it stands
//! above or below it in each band; hence neither a dark nor a bright microphone, nor level, matters much.

use crate::power_window::PowerWindow;
use crate::timing::Timing;

use super::bands::{Bands, ratio_db};

/// Voiced material that the colour is the mean of: long enough to hold several vowels, short enough to be forgotten
/// before playback has gone on for half a second. On labelled voices 200 ms is worse, 500 ms no better.
const MEMORY_MS: f32 = 400.0;
/// Voiced material without which no voice is known.
const HEARD_MS: f32 = 40.0;
/// Periodicity and brightness by which a hop is voiced without doubt: neither a breath nor a z. They do not depend on the
/// colour itself, or one that was once wrong would stay so.
const VOICED_FROM: f32 = 0.4;
const DARK_BELOW_DB: f32 = -7.0;
/// Where no voice is known yet, a voice of average colour is assumed (dB re the whole; the median of labelled voices) ...
const AVERAGE_DB: Bands<f32> = Bands {
    formants: -9.0,
    upper: -20.0,
    high: -27.0,
};
/// ... and that the hop lies this far under it: as sibilants do, though by a little more.
const ASSUMED_UNDER_VOICE_DB: f32 = 12.0;

/// The mean power of the voice in each band.
pub(crate) struct VoiceColour {
    formants: PowerWindow,
    upper: PowerWindow,
    high: PowerWindow,
    memory_hops: usize,
    heard_hops: usize,
}

impl VoiceColour {
    pub fn new(timing: Timing) -> Self {
        let memory_hops = timing.hops(MEMORY_MS);
        Self {
            formants: PowerWindow::new(memory_hops),
            upper: PowerWindow::new(memory_hops),
            high: PowerWindow::new(memory_hops),
            memory_hops,
            heard_hops: timing.hops(HEARD_MS),
        }
    }

    pub fn reset(&mut self) {
        self.formants.clear();
        self.upper.clear();
        self.high.clear();
    }

    /// Takes the powers of a hop, if they are the voice's. Soft edges of words count too: they are softer in every band,
    /// so that the colour stays.
    pub fn hear(&mut self, powers: &Bands<f64>, periodicity: f32) {
        if periodicity > VOICED_FROM && powers.brightness_db() < DARK_BELOW_DB {
            self.formants.push(powers.formants, self.memory_hops);
            self.upper.push(powers.upper, self.memory_hops);
            self.high.push(powers.high, self.memory_hops);
        }
    }

    /// How far each band of a hop stands above that of the voice, dB.
    pub fn stand_db(&self, powers: &Bands<f64>, total_power: f64) -> Bands<f32> {
        if self.formants.len() < self.heard_hops {
            let stand_db =
                |power, average_db| ratio_db(power, total_power) - average_db - ASSUMED_UNDER_VOICE_DB;
            Bands {
                formants: stand_db(powers.formants, AVERAGE_DB.formants),
                upper: stand_db(powers.upper, AVERAGE_DB.upper),
                high: stand_db(powers.high, AVERAGE_DB.high),
            }
        } else {
            Bands {
                formants: ratio_db(powers.formants, self.formants.mean()),
                upper: ratio_db(powers.upper, self.upper.mean()),
                high: ratio_db(powers.high, self.high.mean()),
            }
        }
    }
}

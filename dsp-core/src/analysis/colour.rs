//! The colour of the voice: how its own vowels spread over three bands. A hop is told from the voice by how far it
//! stands above or below it in each band; hence neither a dark nor a bright microphone, nor level, matters much.

use crate::decibels::db_from_power;
use crate::power_window::PowerWindow;
use crate::timing::Timing;

use super::spectrum::Spectrum;

/// The second formant and what lies about it (Peterson & Barney 1952: 840 to 2790 Hz), without the first, which s leaves
/// as often to the hum of a room as to the voice. An edge at 150 Hz lets twice as many vowels of a bright microphone be
/// taken for sibilants.
const FORMANTS_HZ: (f64, f64) = (500.0, 2800.0);
/// The peak of sh (Jongman, Wayland & Wong 2000: 3.8 kHz) and of a low whistled s; higher formants too.
const UPPER_HZ: (f64, f64) = (2800.0, 5200.0);
/// The peak of s (Jongman, Wayland & Wong 2000: 6.8 kHz), above every formant that carries power.
const HIGH_HZ: (f64, f64) = (5200.0, 14_000.0);

/// Voiced material that the colour is the mean of: long enough to hold several vowels, short enough to be forgotten
/// before playback has gone on for half a second. On labelled voices 200 ms is clearly worse, 500 ms no better.
const MEMORY_MS: f32 = 400.0;
/// Voiced material without which no voice is known.
const HEARD_MS: f32 = 40.0;
/// Edges of words, this far under the mean (-13 dB), do not count ...
const GATE: f64 = 0.05;
/// ... unless they last: then the voice itself has become softer.
const PROOF_MS: f32 = 100.0;
/// Silence of a file, where no ratio of powers says anything.
const NOTHING: f64 = 1e-13;
/// Where no voice is known yet, a voice of average colour is assumed (dB re its sum; the median of labelled voices) ...
const AVERAGE_DB: Bands<f32> = Bands {
    formants: -9.0,
    upper: -20.0,
    high: -27.0,
};
/// ... and that a hop which could be a sibilant lies this far under it: a little more than in most voices.
const ASSUMED_UNDER_VOICE_DB: f32 = 10.0;

/// One value for each band.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Bands<T> {
    pub formants: T,
    pub upper: T,
    pub high: T,
}

impl Bands<f64> {
    /// K-weighted powers.
    pub fn of(spectrum: &Spectrum) -> Self {
        let power = |(from_hz, to_hz)| spectrum.band_power(from_hz, to_hz);
        Self {
            formants: power(FORMANTS_HZ),
            upper: power(UPPER_HZ),
            high: power(HIGH_HZ),
        }
    }
}

/// The mean power of the voice in each band.
pub(crate) struct VoiceColour {
    formants: PowerWindow,
    upper: PowerWindow,
    high: PowerWindow,
    memory_hops: usize,
    heard_hops: usize,
    proof_hops: usize,
    gated_hops: usize,
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
            proof_hops: timing.hops(PROOF_MS),
            gated_hops: 0,
        }
    }

    pub fn reset(&mut self) {
        self.formants.clear();
        self.upper.clear();
        self.high.clear();
        self.gated_hops = 0;
    }

    /// Takes the powers of one voiced hop.
    pub fn push(&mut self, powers: &Bands<f64>) {
        if powers.formants < GATE * self.formants.mean() {
            self.gated_hops += 1;
            if self.gated_hops < self.proof_hops {
                return;
            }
            self.reset();
        }
        self.gated_hops = 0;
        self.formants.push(powers.formants, self.memory_hops);
        self.upper.push(powers.upper, self.memory_hops);
        self.high.push(powers.high, self.memory_hops);
    }

    /// How far each band of a hop stands above that of the voice, dB.
    pub fn stand_db(&self, powers: &Bands<f64>, total_power: f64) -> Bands<f32> {
        if self.formants.len() < self.heard_hops {
            let voice_db = db_from_power(total_power + NOTHING) + ASSUMED_UNDER_VOICE_DB;
            let stand_db =
                |power: f64, average_db: f32| db_from_power(power + NOTHING) - voice_db - average_db;
            Bands {
                formants: stand_db(powers.formants, AVERAGE_DB.formants),
                upper: stand_db(powers.upper, AVERAGE_DB.upper),
                high: stand_db(powers.high, AVERAGE_DB.high),
            }
        } else {
            let stand_db =
                |power: f64, voice: &PowerWindow| db_from_power((power + NOTHING) / (voice.mean() + NOTHING));
            Bands {
                formants: stand_db(powers.formants, &self.formants),
                upper: stand_db(powers.upper, &self.upper),
                high: stand_db(powers.high, &self.high),
            }
        }
    }
}

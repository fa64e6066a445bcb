//! The glottal source: pulses with vibrato and jitter, and the breath that leaks through.

use std::f64::consts::TAU;

use super::random::Random;

/// Rate of the vibrato, Hz: common practice for singers, 5 to 6 Hz.
const VIBRATO_HZ: f64 = 5.5;
/// Depth of the vibrato, cents to either side.
const VIBRATO_CENTS: f64 = 40.0;
/// A note is straight at first, s, and then takes this long to reach the full depth, s.
const VIBRATO_DELAY_S: f64 = 0.15;
const VIBRATO_GROWTH_S: f64 = 0.2;
/// Chance in the length of a period, share of it: common practice for healthy voices, under 1 %.
const JITTER: f64 = 0.004;
/// How fast the pitch slides to a new note, s.
const GLIDE_S: f64 = 0.03;

/// What the throat does at one moment.
#[derive(Debug, Clone, Copy)]
pub struct Effort {
    /// Above this the pulses lose a further 6 dB an octave, Hz.
    pub tilt_hz: f64,
    /// Noise of the leaking breath re the pulses, linear.
    pub aspiration: f64,
    /// Level of a vowel above 4 kHz re the whole vowel, dB: common practice for singers, -35 to -20.
    pub top_db: f64,
}

/// One sample out of the throat: the derivative of the flow, about -1 to 1.
#[derive(Debug, Clone, Copy)]
pub struct Flow {
    /// With the tilt of the effort.
    pub whole: f64,
    /// Without it: the matter of the top.
    pub top: f64,
}

/// A throat that sings without end.
pub struct Source {
    sample_rate_hz: f64,
    random: Random,
    phase: f64,
    vibrato_phase: f64,
    log_pitch: f64,
    period_error: f64,
    tilted: f64,
    breath: [f64; 2],
}

impl Source {
    /// At rest on a pitch.
    pub fn new(sample_rate_hz: f64, pitch_hz: f64, random: Random) -> Self {
        Self {
            sample_rate_hz,
            random,
            phase: 0.0,
            vibrato_phase: 0.0,
            log_pitch: pitch_hz.log2(),
            period_error: 0.0,
            tilted: 0.0,
            breath: [0.0; 2],
        }
    }

    /// The next sample.
    ///
    /// `since_s` is how long the note has been sung.
    pub fn next(&mut self, pitch_hz: f64, since_s: f64, effort: Effort) -> Flow {
        let step = self.step(pitch_hz, since_s);
        let pulse = self.pulse(step);
        let tilt = 1.0 - (-TAU * effort.tilt_hz / self.sample_rate_hz).exp();
        self.tilted += tilt * (pulse - self.tilted);
        // The breath leaks while the glottis is open: louder before the closure.
        let leak = effort.aspiration * (0.4 + 0.6 * self.phase);
        let white = self.random.noise() * (self.sample_rate_hz / 48_000.0).sqrt();
        Flow {
            whole: self.tilted + leak * self.dull(white),
            top: pulse + leak * white,
        }
    }

    /// How far the phase moves in one sample.
    fn step(&mut self, pitch_hz: f64, since_s: f64) -> f64 {
        self.log_pitch += (pitch_hz.log2() - self.log_pitch) / (GLIDE_S * self.sample_rate_hz);
        self.vibrato_phase = (self.vibrato_phase + VIBRATO_HZ / self.sample_rate_hz).fract();
        let depth = ((since_s - VIBRATO_DELAY_S) / VIBRATO_GROWTH_S).clamp(0.0, 1.0) * VIBRATO_CENTS / 1200.0;
        let pitch = (self.log_pitch + depth * (TAU * self.vibrato_phase).sin()).exp2();
        pitch * (1.0 + self.period_error) / self.sample_rate_hz
    }

    /// A falling saw whose jump is smoothed over two samples (polynomial band-limited step, Välimäki 2005):
    /// a flow derivative with a sudden closure falls by 6 dB an octave.
    fn pulse(&mut self, step: f64) -> f64 {
        self.phase += step;
        if self.phase >= 1.0 {
            self.phase -= 1.0;
            self.period_error = JITTER * self.random.noise();
        }
        let saw = 1.0 - 2.0 * self.phase;
        if self.phase < step {
            let after = self.phase / step - 1.0;
            saw - after * after
        } else if self.phase > 1.0 - step {
            let before = (self.phase - 1.0) / step + 1.0;
            saw + before * before
        } else {
            saw
        }
    }

    /// White noise made to fall by 12 dB an octave above 1.5 kHz.
    fn dull(&mut self, white: f64) -> f64 {
        const TOP_HZ: f64 = 1500.0;
        let share = 1.0 - (-TAU * TOP_HZ / self.sample_rate_hz).exp();
        self.breath[0] += share * (white - self.breath[0]);
        self.breath[1] += share * (self.breath[0] - self.breath[1]);
        self.breath[1]
    }
}

//! Smoothing of settings: the one place where a change of a parameter is smoothed.
//!
//! The table of parameters says what glides, once a control step; switches and times take effect at once, since fades
//! and ballistics follow them.

use crate::clock::timing::Timing;
use crate::parameters::{GlideKind, PARAMETERS};
use crate::settings::Settings;

/// One-pole low-passes in a row (common practice, no source). One alone starts with a corner and two with a bend, which
/// are heard as clicks on a loud tone: a fall of 48 dB throws -33 and -58 dB of a tone of 1 kHz out of 500 ... 2000 Hz,
/// three throw out -85 dB.
const POLES: usize = 3;
/// Time constant of each: a step is through to half in 12 ms and to 99 % in 38 ms.
const GLIDE_MS: f32 = 4.5;
/// Closer than this, in units or as a share, a value has arrived.
const ARRIVED: f64 = 1e-5;

fn is_at(pole: f64, to: f64) -> bool {
    (pole - to).abs() <= ARRIVED * (1.0 + to.abs())
}

/// One step of one pole, exact at its end.
fn towards(from: f64, to: f64, keep: f64) -> f64 {
    let next = to + keep * (from - to);
    if is_at(next, to) { to } else { next }
}

/// The share that a switch stands for: what glides where it is turned.
pub(crate) fn share(on: bool) -> f64 {
    f64::from(u8::from(on))
}

/// A value that glides.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Glide {
    poles: [f64; POLES],
    keep: f64,
}

impl Glide {
    pub fn new(timing: Timing, value: f64) -> Self {
        Self {
            poles: [value; POLES],
            keep: f64::from(timing.step_decay(GLIDE_MS)),
        }
    }

    /// Arrives at once.
    pub fn reset(&mut self, value: f64) {
        self.poles = [value; POLES];
    }

    /// Where it stands.
    pub fn value(&self) -> f64 {
        self.poles[POLES - 1]
    }

    /// One control step towards `target`; returns where the value stands at its end.
    pub fn step(&mut self, target: f64) -> f64 {
        if self.poles.iter().all(|&pole| pole == target) {
            return target;
        }
        self.poles.iter_mut().fold(target, |to, pole| {
            *pole = towards(*pole, to, self.keep);
            *pole
        })
    }
}

impl GlideKind {
    /// Where a value lies on the line along which it glides.
    fn place(self, value: f32) -> f64 {
        match self {
            Self::Value | Self::UnlessOff => f64::from(value),
            Self::Reciprocal => 1.0 / f64::from(value),
        }
    }

    /// The value that lies there.
    fn value(self, place: f64) -> f32 {
        match self {
            Self::Value | Self::UnlessOff => place as f32,
            Self::Reciprocal => (1.0 / place) as f32,
        }
    }

    /// Whether a value goes from one place to another at once.
    fn jumps(self, from: f64, to: f64) -> bool {
        self == Self::UnlessOff && (from == 0.0 || to == 0.0)
    }
}

/// A setting on its way.
#[derive(Debug, Clone, Copy)]
struct Moving {
    /// In the table.
    row: u16,
    kind: GlideKind,
    /// Where it is on its line.
    poles: [f64; POLES],
    to: f64,
}

impl Moving {
    /// One control step; false if it has arrived.
    fn step(&mut self, keep: f64) -> bool {
        let mut to = self.to;
        for pole in &mut self.poles {
            *pole = to + keep * (*pole - to);
            to = *pole;
        }
        !self.poles.iter().all(|&pole| is_at(pole, self.to))
    }

    /// Where it is.
    fn value(&self) -> f32 {
        self.kind.value(self.poles[POLES - 1])
    }
}

/// Settings that glide.
pub(crate) struct SettingsGlide {
    moving: Vec<Moving>,
    target: Settings,
    current: Settings,
    arrived: bool,
    keep: f64,
}

impl SettingsGlide {
    pub fn new(timing: Timing, settings: &Settings) -> Self {
        let default = Settings::default();
        let mut glide = Self {
            moving: Vec::with_capacity(PARAMETERS.len()),
            target: default,
            current: default,
            arrived: true,
            keep: f64::from(timing.step_decay(GLIDE_MS)),
        };
        glide.set(settings);
        glide.reset();
        glide
    }

    /// New targets. Those out of range are clamped, those that are no number are ignored.
    pub fn set(&mut self, settings: &Settings) {
        if *settings == self.target {
            return;
        }
        for (row, spec) in PARAMETERS.iter().enumerate() {
            let (wanted, before) = ((spec.get)(settings), (spec.get)(&self.target));
            if wanted == before {
                continue;
            }
            let value = spec.clamped(wanted, before);
            if value != before {
                (spec.set)(&mut self.target, value);
                self.turn(row, value);
            }
        }
    }

    /// Sends a row of the table to a value.
    fn turn(&mut self, row: usize, value: f32) {
        let spec = &PARAMETERS[row];
        self.arrived = false;
        let last = self
            .moving
            .iter()
            .position(|moving| usize::from(moving.row) == row);
        let last = last.map(|place| self.moving.remove(place));
        if let Some(kind) = spec.glide {
            let to = kind.place(value);
            let rest = kind.place((spec.get)(&self.current));
            let poles = last.map_or([rest; POLES], |last| last.poles);
            if poles != [to; POLES] && !kind.jumps(poles[POLES - 1], to) {
                let row = row as u16;
                self.moving.push(Moving { row, kind, poles, to });
                return;
            }
        }
        (spec.set)(&mut self.current, value);
    }

    /// Arrives at once.
    pub fn reset(&mut self) {
        self.current = self.target;
        self.moving.clear();
        self.arrived = true;
    }

    /// The settings of this step, once [`Self::step`] has been called.
    pub fn current(&self) -> &Settings {
        &self.current
    }

    /// True if no setting of the leveller is on its way.
    pub fn leveller_rests(&self) -> bool {
        self.current.leveller == self.target.leveller
    }

    /// One control step; true where it moved anything.
    pub fn step(&mut self) -> bool {
        if self.arrived {
            return false;
        }
        self.moving.retain_mut(|moving| {
            let spec = &PARAMETERS[usize::from(moving.row)];
            let moves = moving.step(self.keep);
            let value = if moves {
                moving.value()
            } else {
                (spec.get)(&self.target)
            };
            (spec.set)(&mut self.current, value);
            moves
        });
        self.arrived = self.moving.is_empty();
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_glide_arrives_exactly_and_nonsense_changes_nothing() {
        let mut glide = SettingsGlide::new(Timing::new(48_000.0), &Settings::default());
        let mut wanted = Settings::default();
        wanted.output.gain_db = -7.3;
        wanted.sibilance.from_hz = 6000.0;
        wanted.sibilance.ratio = f32::INFINITY;
        wanted.leveller.ratio = 1.0;
        glide.set(&wanted);
        (0..300).for_each(|_| {
            glide.step();
        });
        assert!(!glide.step());
        assert_eq!(*glide.current(), wanted);

        let mut nonsense = wanted;
        nonsense.output.gain_db = f32::NAN;
        nonsense.sibilance.from_hz = f32::INFINITY;
        nonsense.sibilance.range_db = 1e9;
        glide.set(&nonsense);
        glide.reset();
        wanted.sibilance.range_db = 24.0;
        assert_eq!(*glide.current(), wanted);
    }

    #[test]
    fn values_out_of_range_are_clamped_and_stops_are_kept() {
        let mut wild = Settings::default();
        wild.sibilance.ratio = f32::INFINITY;
        wild.leveller.ratio = f32::INFINITY;
        wild.leveller.knee_db = -3.0;
        wild.breath.low_cut_hz = Some(5.0);
        wild.output.gain_db = f32::NAN;
        let mut expected = Settings::default();
        expected.sibilance.ratio = f32::INFINITY;
        expected.leveller.knee_db = 0.0;
        expected.breath.low_cut_hz = Some(40.0);
        let glide = SettingsGlide::new(Timing::new(48_000.0), &wild);
        assert_eq!(*glide.current(), expected);
    }

    #[test]
    fn a_step_is_through_to_99_percent_within_40_ms_and_never_overshoots() {
        for rate_hz in [44_100.0, 48_000.0, 192_000.0] {
            let timing = Timing::new(rate_hz);
            let mut glide = Glide::new(timing, 0.0);
            let steps = timing.steps(40.0);
            let way: Vec<f64> = (0..steps).map(|_| glide.step(1.0)).collect();
            assert!(way.windows(2).all(|pair| pair[0] < pair[1] && pair[1] <= 1.0));
            assert!(way[0] < 1e-3 && way[steps - 1] > 0.99, "{}", way[steps - 1]);
            (0..steps * 4).for_each(|_| {
                glide.step(1.0);
            });
            assert_eq!(glide.step(1.0), 1.0);
        }
    }

    #[test]
    fn a_ratio_glides_to_infinity_and_back_without_a_leap() {
        let slope = |ratio: f32| 1.0 - 1.0 / ratio;
        let mut glide = SettingsGlide::new(Timing::new(48_000.0), &Settings::default());
        for ratio in [f32::INFINITY, 1.0, f32::INFINITY] {
            let mut settings = Settings::default();
            settings.sibilance.ratio = ratio;
            glide.set(&settings);
            for _ in 0..400 {
                let before = slope(glide.current().sibilance.ratio);
                glide.step();
                assert!((slope(glide.current().sibilance.ratio) - before).abs() < 0.03);
            }
            assert_eq!(glide.current().sibilance.ratio, ratio);
        }
    }
}

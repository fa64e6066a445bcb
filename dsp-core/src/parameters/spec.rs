//! What one row of the table says of a parameter.

use crate::settings::Settings;

/// The smallest step of a level: after any automation "0 dB" is exactly 0 dB, and the output is the input, bit for bit.
const LEVEL_STEP: f32 = 0.01;

/// The stages, and where their parameters appear.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stage {
    /// The leveller.
    Leveller,
    /// The sibilance stage.
    Sibilance,
    /// The voice follower.
    Follow,
    /// The breath stage.
    Breath,
    /// The end of the path.
    Output,
}

impl Stage {
    /// Every stage, in the order of the signal.
    pub const ALL: [Self; 5] = [
        Self::Leveller,
        Self::Sibilance,
        Self::Follow,
        Self::Breath,
        Self::Output,
    ];

    /// The name of the stage, and of its group of parameters in a host. It never changes.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Leveller => "Leveller",
            Self::Sibilance => "Sibilance",
            Self::Follow => "Follow",
            Self::Breath => "Breath",
            Self::Output => "Output",
        }
    }
}

/// What the values of a parameter are, hence how they read and how they are typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ParamKind {
    /// 0 is off, 1 is on.
    Switch,
    /// The index of one of these names. Songs save the index: names are reworded or appended, never reordered.
    Choice(&'static [&'static str]),
    /// A level in this unit: dB, LU or LUFS.
    Level(&'static str),
    /// A time, ms.
    Milliseconds,
    /// A frequency, Hz.
    Hertz,
    /// A frequency, Hz; 0 is off, below the range.
    HertzOrOff,
    /// A share, 0 ... 1, that reads in percent.
    Share,
    /// A ratio to one.
    Ratio,
    /// A ratio to one; infinity is above the range.
    RatioOrInfinity,
}

impl ParamKind {
    /// The one value outside the range, if there is one.
    #[must_use]
    pub const fn stop(self) -> Option<f32> {
        match self {
            Self::HertzOrOff => Some(0.0),
            Self::RatioOrInfinity => Some(f32::INFINITY),
            _ => None,
        }
    }

    /// The smallest step, if a value snaps to steps.
    #[must_use]
    pub const fn step(self) -> Option<f32> {
        match self {
            Self::Switch | Self::Choice(_) => Some(1.0),
            Self::Level(_) => Some(LEVEL_STEP),
            _ => None,
        }
    }
}

/// How a value glides when it is changed. What does not glide takes effect at once: fades and ballistics follow it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GlideKind {
    /// The value itself.
    Value,
    /// One over the value: what a ratio leaves of a dB of excess, in which an infinite ratio is a number like any other.
    Reciprocal,
    /// The value itself, but at once where it is switched on or off (0).
    UnlessOff,
}

/// A parameter. Values are in the unit of the setting; switches are 0 and 1, choices are indexes.
#[derive(Debug)]
pub struct ParamSpec {
    /// The stable id: songs save it. It never changes and is never used again.
    pub id: &'static str,
    /// The name in a host.
    pub name: &'static str,
    /// Where it belongs.
    pub stage: Stage,
    /// What its values are.
    pub kind: ParamKind,
    /// The least value; a stop may lie below ([`ParamKind::stop`]).
    pub min: f32,
    /// The greatest value; a stop may lie above.
    pub max: f32,
    /// The value in a new insert.
    pub default: f32,
    /// How it glides, if it does.
    pub glide: Option<GlideKind>,
    /// Whether a host may automate it.
    pub automatable: bool,
    /// Whether it is the bypass that a host may take for its own.
    pub is_bypass: bool,
    /// Whether only an insert with a reference voice has it.
    pub needs_reference: bool,
    /// What it is for, in plain words.
    pub help: &'static str,
    /// Reads it from the settings; 0 where it is none of them.
    pub get: fn(&Settings) -> f32,
    /// Writes it to the settings; does nothing where it is none of them.
    pub set: fn(&mut Settings, f32),
}

impl ParamSpec {
    /// The value that the parameter takes for `value`: the nearest in range, or `previous` where `value` is no number.
    pub(crate) fn clamped(&self, value: f32, previous: f32) -> f32 {
        if self.kind.stop() == Some(value) {
            value
        } else if value.is_finite() {
            value.clamp(self.min, self.max)
        } else {
            previous
        }
    }
}

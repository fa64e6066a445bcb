//! Every automatable parameter, by its id: how a value of it is set, and settings at random.

#![allow(dead_code, missing_docs)]

use siskin_dsp::{FollowSource, Listen, Settings};

/// One parameter and the ends of its range. Switches and choices read 0 and 1.
pub struct Parameter {
    pub id: &'static str,
    pub set: fn(&mut Settings, f32),
    pub range: (f32, f32),
    pub default: f32,
}

impl Parameter {
    /// `settings` with this parameter at `value`.
    pub fn at(&self, settings: &Settings, value: f32) -> Settings {
        let mut changed = *settings;
        (self.set)(&mut changed, value);
        changed
    }
}

fn flag(value: f32) -> bool {
    value >= 0.5
}

macro_rules! value {
    ($id:literal, $from:literal ..= $to:literal, $default:literal, $($field:ident).+) => {
        Parameter {
            id: $id,
            set: |settings, value| settings.$($field).+ = value,
            range: ($from, $to),
            default: $default,
        }
    };
}

macro_rules! choice {
    ($id:literal, $($field:ident).+, $low:expr, $high:expr) => {
        Parameter {
            id: $id,
            set: |settings, value| settings.$($field).+ = if flag(value) { $high } else { $low },
            range: (0.0, 1.0),
            default: 0.0,
        }
    };
}

/// All but the lookahead, which cannot be automated. Listen is there three times: once for each pair.
pub const PARAMETERS: &[Parameter] = &[
    choice!("lev_on", leveller.on, false, true),
    value!("lev_thr", -60.0..=0.0, -30.0, leveller.threshold_db),
    value!("lev_ratio", 1.0..=20.0, 4.0, leveller.ratio),
    value!("lev_knee", 0.0..=36.0, 18.0, leveller.knee_db),
    value!("lev_att", 0.1..=100.0, 4.0, leveller.attack_ms),
    value!("lev_rel", 10.0..=1000.0, 120.0, leveller.release_ms),
    value!("lev_gain", -12.0..=30.0, 0.0, leveller.makeup_db),
    choice!("sib_on", sibilance.on, false, true),
    value!("sib_prop", -24.0..=12.0, -6.0, sibilance.proportion_lu),
    Parameter {
        id: "sib_ratio",
        set: |settings, value| settings.sibilance.ratio = if value > 20.0 { f32::INFINITY } else { value },
        range: (1.0, 21.0),
        default: 6.0,
    },
    value!("sib_range", 0.0..=24.0, 12.0, sibilance.range_db),
    value!("sib_from", 2000.0..=10_000.0, 4000.0, sibilance.from_hz),
    value!("sib_reach", 0.0..=1.0, 0.25, sibilance.reach),
    value!("sib_att", 0.1..=10.0, 0.5, sibilance.attack_ms),
    value!("sib_rel", 5.0..=200.0, 30.0, sibilance.release_ms),
    value!("fol_time", 50.0..=3000.0, 400.0, follow.time_ms),
    value!("fol_start", -50.0..=-6.0, -24.0, follow.start_lufs),
    choice!(
        "fol_src",
        follow.source,
        FollowSource::Reference,
        FollowSource::ThisTrack
    ),
    choice!("br_on", breath.on, false, true),
    value!("br_prop", -40.0..=0.0, -20.0, breath.proportion_lu),
    value!("br_range", 0.0..=24.0, 12.0, breath.range_db),
    Parameter {
        id: "br_cut",
        set: |settings, value| settings.breath.low_cut_hz = (value >= 40.0).then_some(value),
        range: (39.0, 1000.0),
        default: 39.0,
    },
    value!("out_gain", -24.0..=24.0, 0.0, output.gain_db),
    choice!("listen: removed", output.listen, Listen::Output, Listen::Removed),
    choice!(
        "listen: detector",
        output.listen,
        Listen::Output,
        Listen::Detector
    ),
    choice!("listen: either", output.listen, Listen::Removed, Listen::Detector),
    choice!("bypass", output.bypass, false, true),
];

/// The parameter with this id.
pub fn parameter(id: &str) -> &'static Parameter {
    PARAMETERS
        .iter()
        .find(|parameter| parameter.id == id)
        .expect("a parameter of this id")
}

/// Random numbers from a seed.
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1)
    }

    /// 0 ... 1.
    pub fn share(&mut self) -> f32 {
        (self.next() >> 40) as f32 / (1u32 << 24) as f32
    }

    /// Any of `low ..= high`.
    pub fn between(&mut self, low: usize, high: usize) -> usize {
        low + (self.next() >> 11) as usize % (high - low + 1)
    }

    /// Any 32 bits.
    pub fn bits(&mut self) -> u32 {
        (self.next() >> 32) as u32
    }

    /// Every parameter somewhere in its range, one in four at an end of it.
    pub fn settings(&mut self) -> Settings {
        PARAMETERS
            .iter()
            .fold(Settings::default(), |settings, parameter| {
                let (low, high) = parameter.range;
                let share = match self.between(0, 7) {
                    0 => 0.0,
                    1 => 1.0,
                    _ => self.share(),
                };
                parameter.at(&settings, low + share * (high - low))
            })
    }

    fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }
}

//! Every automatable parameter, by its id: how a value of it is set, and settings at random.

#![allow(dead_code, missing_docs)]

use siskin_dsp::{PARAMETERS, ParamKind, ParamSpec, Settings};

/// A parameter between two values. Choices are there once for each pair of names, read 0 and 1.
pub struct Parameter {
    pub id: String,
    pub range: (f32, f32),
    pub default: f32,
    spec: &'static ParamSpec,
}

impl Parameter {
    /// `settings` with this parameter at `value`; beyond the range is the stop.
    pub fn at(&self, settings: &Settings, value: f32) -> Settings {
        let mut changed = *settings;
        let in_range = (self.spec.min..=self.spec.max).contains(&value);
        let value = self.spec.kind.stop().filter(|_| !in_range).unwrap_or(value);
        (self.spec.set)(&mut changed, self.choice(value));
        changed
    }

    /// The nearer end, of a switch or a choice.
    fn choice(&self, value: f32) -> f32 {
        let (low, high) = self.range;
        match self.spec.kind {
            ParamKind::Switch | ParamKind::Choice(_) if value < 0.5 * (low + high) => low,
            ParamKind::Switch | ParamKind::Choice(_) => high,
            _ => value,
        }
    }
}

/// The parameter between its ends, or between each pair of names.
fn between_ends(spec: &'static ParamSpec) -> Vec<Parameter> {
    let parameter = |id: String, range, default| Parameter {
        id,
        range,
        default,
        spec,
    };
    if let ParamKind::Choice(names) = spec.kind {
        let pairs = (0..names.len()).flat_map(|low| (low + 1..names.len()).map(move |high| (low, high)));
        return pairs
            .map(|(low, high)| {
                let id = format!("{}: {} or {}", spec.id, names[low], names[high]);
                parameter(id, (low as f32, high as f32), low as f32)
            })
            .collect();
    }
    let beyond = |value: f32| match spec.kind.stop() {
        Some(stop) if stop > spec.max => (spec.min, spec.max + 1.0, value),
        Some(_) => (spec.min - 1.0, spec.max, value.max(spec.min - 1.0)),
        None => (spec.min, spec.max, value),
    };
    let (low, high, default) = beyond(spec.default);
    vec![parameter(spec.id.to_owned(), (low, high), default)]
}

/// Every parameter that a host may automate.
pub fn parameters() -> Vec<Parameter> {
    let automatable = PARAMETERS.iter().filter(|spec| spec.automatable);
    automatable.flat_map(between_ends).collect()
}

/// The parameter with this id.
pub fn parameter(id: &str) -> Parameter {
    let spec = ParamSpec::of(id).expect("a parameter of this id");
    between_ends(spec).swap_remove(0)
}

/// Adds up to 30 dB by what it has heard for long: the leveller's own tests bound it, and it stays off in random settings.
const AUTO_MAKEUP: &str = "lev_auto";

/// Seeded random numbers.
pub struct Dice {
    state: u64,
    parameters: Vec<Parameter>,
}

impl Dice {
    pub fn new(seed: u64) -> Self {
        Self {
            state: seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1,
            parameters: parameters()
                .into_iter()
                .filter(|parameter| parameter.id != AUTO_MAKEUP)
                .collect(),
        }
    }

    /// A random number in 0 ... 1.
    pub fn share(&mut self) -> f32 {
        (self.next() >> 40) as f32 / (1u32 << 24) as f32
    }

    /// A random integer in `low ..= high`.
    pub fn between(&mut self, low: usize, high: usize) -> usize {
        low + (self.next() >> 11) as usize % (high - low + 1)
    }

    /// 32 random bits.
    pub fn bits(&mut self) -> u32 {
        (self.next() >> 32) as u32
    }

    /// Every parameter but auto makeup somewhere in its range, one in four at an end of it. Does not allocate.
    pub fn settings(&mut self) -> Settings {
        (0..self.parameters.len()).fold(Settings::default(), |settings, index| {
            let share = match self.between(0, 7) {
                0 => 0.0,
                1 => 1.0,
                _ => self.share(),
            };
            let parameter = &self.parameters[index];
            let (low, high) = parameter.range;
            parameter.at(&settings, low + share * (high - low))
        })
    }

    fn next(&mut self) -> u64 {
        self.state ^= self.state << 13;
        self.state ^= self.state >> 7;
        self.state ^= self.state << 17;
        self.state
    }
}

//! How a row of the table is written: a stage, a kind of value, and what is not as usual.

use std::ops::RangeInclusive;

use super::spec::{GlideKind, ParamKind, ParamSpec, Stage};
use crate::settings::Settings;

/// Reads and writes one parameter of the settings.
pub(super) struct Access {
    pub get: fn(&Settings) -> f32,
    pub set: fn(&mut Settings, f32),
}

impl Access {
    /// Of a parameter that is none of the settings.
    const NONE: Self = Self {
        get: |_| 0.0,
        set: |_, _| {},
    };
}

/// The access to a number.
macro_rules! number_of {
    ($($field:ident).+) => {
        Access {
            get: |settings| settings.$($field).+,
            set: |settings, value| settings.$($field).+ = value,
        }
    };
}

/// The access to a switch.
macro_rules! switch_of {
    ($($field:ident).+) => {
        Access {
            get: |settings| f32::from(u8::from(settings.$($field).+)),
            set: |settings, value| settings.$($field).+ = value > 0.5,
        }
    };
}

/// The access to a choice of an enum.
macro_rules! choice_of {
    ($($field:ident).+, $choice:ty) => {
        Access {
            get: |settings| f32::from(settings.$($field).+ as u8),
            set: |settings, value| settings.$($field).+ = <$choice>::ALL[value as usize],
        }
    };
}

pub(super) use {choice_of, number_of, switch_of};

/// New rows. What follows a row changes what is not as usual.
impl Stage {
    pub(super) const fn number(
        self,
        id: &'static str,
        name: &'static str,
        kind: ParamKind,
        range: RangeInclusive<f32>,
        default: f32,
    ) -> ParamSpec {
        ParamSpec {
            id,
            name,
            stage: self,
            kind,
            min: *range.start(),
            max: *range.end(),
            default,
            glide: None,
            automatable: true,
            is_bypass: false,
            needs_reference: false,
            help: "",
            get: Access::NONE.get,
            set: Access::NONE.set,
        }
    }

    pub(super) const fn switch(self, id: &'static str, name: &'static str, default: bool) -> ParamSpec {
        let default = if default { 1.0 } else { 0.0 };
        self.number(id, name, ParamKind::Switch, 0.0..=1.0, default)
    }

    pub(super) const fn choice(
        self,
        id: &'static str,
        name: &'static str,
        names: &'static [&'static str],
        default: usize,
    ) -> ParamSpec {
        let last = (names.len() - 1) as f32;
        self.number(id, name, ParamKind::Choice(names), 0.0..=last, default as f32)
    }
}

impl ParamSpec {
    pub(super) const fn accesses(mut self, access: Access) -> Self {
        (self.get, self.set) = (access.get, access.set);
        self
    }

    pub(super) const fn glides(mut self, glide: GlideKind) -> Self {
        self.glide = Some(glide);
        self
    }

    pub(super) const fn not_automatable(mut self) -> Self {
        self.automatable = false;
        self
    }

    pub(super) const fn bypass(mut self) -> Self {
        self.is_bypass = true;
        self
    }

    pub(super) const fn needs_reference(mut self) -> Self {
        self.needs_reference = true;
        self
    }

    pub(super) const fn help(mut self, help: &'static str) -> Self {
        self.help = help;
        self
    }
}

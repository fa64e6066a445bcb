//! The parameters of one insert, in the order of the signal, and what else a song saves of it.

use std::collections::BTreeMap;

use nice_plug::params::persist;
use nice_plug::prelude::*;
use siskin_dsp::{Channels, Lookahead, PARAMETERS, Settings};

use super::parameter::Parameter;
use super::remembered::RememberedWindow;
use crate::kind::Kind;

/// The id of the parameter that sets the latency.
const LOOKAHEAD: &str = "look";
/// The id of the parameter that links the channels.
const CHANNELS: &str = "chan";
/// By this word songs save the window.
const WINDOW: &str = "window";

/// The parameters of one insert.
pub struct InsertParams {
    parameters: Box<[Parameter]>,
    lookahead_index: usize,
    channels_index: usize,
    defaults: Settings,
    has_reference: bool,
    /// The window's size and zoom, saved with the song.
    pub window: RememberedWindow,
}

impl InsertParams {
    /// The parameters of a new insert of kind `K`.
    #[must_use]
    pub fn of<K: Kind>() -> Self {
        let has_reference = K::HAS_REFERENCE;
        let rows = PARAMETERS
            .iter()
            .filter(|spec| has_reference || !spec.needs_reference);
        let parameters: Box<[_]> = rows.map(Parameter::new).collect();
        let index_of = |id| parameters.iter().position(|parameter| parameter.id() == id);
        Self {
            lookahead_index: index_of(LOOKAHEAD).unwrap_or_default(),
            channels_index: index_of(CHANNELS).unwrap_or_default(),
            parameters,
            defaults: Settings::default(),
            has_reference,
            window: RememberedWindow::default(),
        }
    }

    /// Every parameter, in the order of the signal.
    #[must_use]
    pub fn parameters(&self) -> &[Parameter] {
        &self.parameters
    }

    /// The parameter with this id.
    #[must_use]
    pub fn parameter(&self, id: &str) -> Option<&Parameter> {
        self.parameters.iter().find(|parameter| parameter.id() == id)
    }

    /// What they set. Neither waits nor allocates.
    #[must_use]
    pub fn settings(&self) -> Settings {
        let mut settings = self.defaults;
        for parameter in &self.parameters {
            parameter.apply(&mut settings);
        }
        settings
    }

    /// The lookahead, which sets the latency. Neither waits nor allocates.
    #[must_use]
    pub fn lookahead(&self) -> Lookahead {
        Lookahead::ALL[self.parameters[self.lookahead_index].plain() as usize]
    }

    /// Whether the channels are treated as one. Neither waits nor allocates.
    #[must_use]
    pub fn channels(&self) -> Channels {
        Channels::ALL[self.parameters[self.channels_index].plain() as usize]
    }

    /// Whether there is a reference voice to follow.
    #[must_use]
    pub fn has_reference(&self) -> bool {
        self.has_reference
    }
}

// SAFETY: the framework dereferences the pointers of `param_map` as long as this object lives. They point into a boxed
// slice that is never replaced, so that no parameter moves before the object is dropped.
unsafe impl Params for InsertParams {
    fn param_map(&self) -> Vec<(String, ParamPtr, String)> {
        let row = |parameter: &Parameter| {
            let group = parameter.spec().stage.name();
            (parameter.id().to_owned(), parameter.as_ptr(), group.to_owned())
        };
        self.parameters.iter().map(row).collect()
    }

    fn serialize_fields(&self) -> BTreeMap<String, String> {
        let saved = persist::PersistentField::map(&self.window, persist::serialize_field);
        saved
            .ok()
            .map(|window| (WINDOW.to_owned(), window))
            .into_iter()
            .collect()
    }

    fn deserialize_fields(&self, saved: &BTreeMap<String, String>) {
        if let Some(Ok(window)) = saved.get(WINDOW).map(|text| persist::deserialize_field(text)) {
            persist::PersistentField::set(&self.window, window);
        }
    }
}

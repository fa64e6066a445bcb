//! The parameters of an insert, read and set in the units that a person reads.

use clack_host::events::Pckn;
use clack_host::events::event_types::ParamValueEvent;
use clack_host::events::io::EventBuffer;
use clack_host::plugin::PluginInstanceError;

use super::{Change, Event, HostError, Parameter, Plugin, parameters, text_value};

impl Plugin {
    /// Every parameter, in the plug-in's order.
    #[must_use]
    pub fn parameters(&self) -> &[Parameter] {
        &self.parameters
    }

    /// Whether the plug-in tells of a parameter `index`, which need not exist.
    ///
    /// # Errors
    ///
    /// [`HostError::Missing`] where the plug-in has no parameters.
    pub fn tells_of_parameter(&mut self, index: u32) -> Result<bool, HostError> {
        let params = self.params()?;
        Ok(parameters::is_told(params, &self.instance.plugin_handle(), index))
    }

    /// The parameter that is saved as `id`.
    ///
    /// # Errors
    ///
    /// [`HostError::UnknownParameter`].
    pub fn parameter(&self, id: &str) -> Result<&Parameter, HostError> {
        self.parameters
            .iter()
            .find(|parameter| parameter.id == id)
            .ok_or_else(|| HostError::UnknownParameter {
                id: id.into(),
                known: self
                    .parameters
                    .iter()
                    .map(|parameter| parameter.id.clone())
                    .collect(),
            })
    }

    /// The current value of a parameter, in CLAP's scale.
    ///
    /// # Errors
    ///
    /// [`HostError::UnknownParameter`].
    pub fn value(&mut self, id: &str) -> Result<f64, HostError> {
        let (params, clap_id) = (self.params()?, self.parameter(id)?.clap_id);
        params
            .get_value(&self.instance.plugin_handle(), clap_id)
            .ok_or(HostError::Missing("the value of a parameter that it lists"))
    }

    /// A value of a parameter as the plug-in writes it, with its unit.
    ///
    /// # Errors
    ///
    /// [`HostError::UnknownParameter`].
    pub fn text_of(&mut self, id: &str, value: f64) -> Result<String, HostError> {
        let (params, parameter) = (self.params()?, self.parameter(id)?.clone());
        Ok(text_value::write(
            params,
            &self.instance.plugin_handle(),
            &parameter,
            value,
        ))
    }

    /// The value, in CLAP's scale, that `text` stands for: a number in the parameter's plain unit, with or without
    /// that unit, or one of its words.
    ///
    /// # Errors
    ///
    /// [`HostError::UnknownParameter`], [`HostError::NotAValue`], [`HostError::NotAWord`],
    /// [`HostError::OutOfRange`].
    pub fn value_of(&mut self, id: &str, text: &str) -> Result<f64, HostError> {
        let (params, parameter) = (self.params()?, self.parameter(id)?.clone());
        text_value::read(params, &self.instance.plugin_handle(), &parameter, text)
    }

    /// Sets a parameter to the value that `text` stands for, as a person does between two passes.
    ///
    /// # Errors
    ///
    /// As [`Plugin::value_of`].
    pub fn set(&mut self, id: &str, text: &str) -> Result<(), HostError> {
        let value = self.value_of(id, text)?;
        let (params, clap_id) = (self.params()?, self.parameter(id)?.clap_id);
        let mut events = EventBuffer::new();
        events.push(&ParamValueEvent::new(0, clap_id, Pckn::match_all(), value));
        let mut plugin = self
            .instance
            .inactive_plugin_handle()
            .ok_or(PluginInstanceError::AlreadyActivatedPlugin)?;
        params.flush(
            &mut plugin,
            &events.as_input(),
            &mut EventBuffer::new().as_output(),
        );
        Ok(())
    }

    /// The event that sets a parameter, at input sample `sample`, to the value that `text` stands for.
    ///
    /// # Errors
    ///
    /// As [`Plugin::value_of`].
    pub fn event(&mut self, sample: usize, id: &str, text: &str) -> Result<Event, HostError> {
        Ok(Event {
            sample,
            change: Change::Value(self.value_of(id, text)?),
            parameter: self.parameter(id)?.clap_id,
        })
    }
}

//! What the host knows of the parameters, and how it moves them.

use super::Session;
use crate::hosts::EventKind;
use crate::hosts::clap::{Gesture, gestures};

impl Session {
    /// A parameter's text.
    pub fn text(&mut self, id: &str) -> anyhow::Result<String> {
        let value = self.plugin.value(id)?;
        self.plugin.text_of(id, value)
    }

    /// The number at the beginning of a parameter's text.
    ///
    /// # Panics
    ///
    /// Where the text does not begin with a number.
    pub fn number(&mut self, id: &str) -> anyhow::Result<f64> {
        let text = self.text(id)?;
        let number = text.replace('\u{2212}', "-");
        let number = number
            .split_whitespace()
            .next()
            .and_then(|number| number.parse().ok());
        Ok(number.unwrap_or_else(|| panic!("{id} reads {text}")))
    }

    /// Waits until a parameter's number is `expected`.
    pub fn expect_number(&mut self, id: &str, expected: f64) -> anyhow::Result<()> {
        let condition = format!("{id} is {expected}, now {}", self.text(id)?);
        self.wait_until(&condition, |session| Ok(session.number(id)? == expected))
    }

    /// The gestures of the editor since the last call, each with its parameter's id.
    ///
    /// # Panics
    ///
    /// Where a gesture is not complete, or the editor does not answer.
    pub fn gestures(&mut self) -> Vec<(String, Gesture)> {
        self.sync().unwrap_or_else(|error| panic!("{error:#}"));
        let complete = gestures(&std::mem::take(&mut self.edits));
        let named = |gesture: Gesture| {
            let id = self.plugin.id_of(gesture.parameter);
            (id.unwrap_or_default(), gesture)
        };
        complete
            .unwrap_or_else(|broken| panic!("{broken}"))
            .into_iter()
            .map(named)
            .collect()
    }

    /// Sets a parameter as automation does, and waits until the insert has it. The song must play.
    pub fn automate(&mut self, id: &str, text: &str) -> anyhow::Result<()> {
        let value = self.plugin.value_of(id, text)?;
        self.live
            .send(self.plugin.parameter(id)?.clap_id, EventKind::Value(value));
        self.wait_until(&format!("{id} becomes {text}"), |session| {
            let now = session.plugin.value(id)?;
            Ok((now - value).abs() < 1e-6)
        })?;
        self.sync()
    }
}

//! What the host says about its hold on each parameter: automation and controllers. It is not saved.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

/// What the host's automation does with a parameter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Automation {
    /// There is none.
    #[default]
    None,
    /// There is some.
    Present,
    /// It moves the parameter.
    Playing,
    /// It is written.
    Recording,
    /// A change by hand holds it off.
    Overridden,
}

/// What the host says about one parameter.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Indication {
    /// Its automation.
    pub automation: Automation,
    /// The controller that moves it, in the host's words, which may be empty; `None` for no controller.
    pub controller: Option<String>,
}

impl Indication {
    /// The hint in words; empty where there is nothing to say.
    pub fn hint(&self) -> String {
        let automation = match self.automation {
            Automation::None => None,
            Automation::Present => Some("The host has automation for it."),
            Automation::Playing => Some("The host's automation moves it."),
            Automation::Recording => Some("The host writes automation of it."),
            Automation::Overridden => Some("A change by hand holds off the host's automation."),
        };
        let controller = self.controller.as_ref().map(|name| match name.as_str() {
            "" => "A controller moves it.".to_owned(),
            name => format!("A controller moves it: {name}."),
        });
        let lines = automation.map(str::to_owned).into_iter().chain(controller);
        lines.collect::<Vec<_>>().join("\n")
    }
}

/// What the host says about every parameter, by its place in the order of the signal.
#[derive(Debug, Default)]
pub struct Indications(Mutex<BTreeMap<usize, Indication>>);

impl Indications {
    /// Changes what is said about a parameter.
    pub fn change(&self, parameter: usize, change: impl FnOnce(&mut Indication)) {
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        change(all.entry(parameter).or_default());
    }

    /// What is said about a parameter.
    pub fn get(&self, parameter: usize) -> Indication {
        let all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        all.get(&parameter).cloned().unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hint_says_what_holds_the_parameter() {
        let indications = Indications::default();
        assert_eq!(indications.get(3).hint(), "");
        indications.change(3, |indication| indication.automation = Automation::Overridden);
        indications.change(3, |indication| indication.controller = Some("Knob 1".to_owned()));
        assert_eq!(
            indications.get(3).hint(),
            "A change by hand holds off the host's automation.\nA controller moves it: Knob 1."
        );
        assert_eq!(indications.get(2), Indication::default());
    }
}

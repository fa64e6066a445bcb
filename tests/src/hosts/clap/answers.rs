//! What a plug-in tells its host of its parameters, along with the sound: gestures and values.

use clack_host::events::io::EventBuffer;
use clack_host::events::spaces::CoreEventSpace;
use clack_host::utils::ClapId;

/// One thing that a plug-in told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Edit {
    /// A person has taken hold of a parameter.
    Begin(ClapId),
    /// A parameter has a new value, in CLAP's scale.
    Value(ClapId, f64),
    /// A person has let go of a parameter.
    End(ClapId),
}

impl Edit {
    /// The parameter.
    #[must_use]
    pub fn parameter(&self) -> ClapId {
        match *self {
            Self::Begin(id) | Self::Value(id, _) | Self::End(id) => id,
        }
    }
}

/// The answers of a block, in order.
pub(super) fn read(events: &EventBuffer) -> Vec<Edit> {
    events
        .iter()
        .filter_map(|event| match event.as_core_event()? {
            CoreEventSpace::ParamGestureBegin(begin) => begin.param_id().map(Edit::Begin),
            CoreEventSpace::ParamGestureEnd(end) => end.param_id().map(Edit::End),
            CoreEventSpace::ParamValue(value) => value.param_id().map(|id| Edit::Value(id, value.value())),
            _ => None,
        })
        .collect()
}

/// One whole gesture: everything between taking hold of a parameter and letting go of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Gesture {
    /// The parameter.
    pub parameter: ClapId,
    /// Its values on the way, in CLAP's scale.
    pub values: Vec<f64>,
}

/// The gestures among `answers`, in the order of their ends.
///
/// # Errors
///
/// One line, where a gesture begins twice, ends without a beginning, is left open, or where a value comes outside one.
pub fn gestures(answers: &[Edit]) -> Result<Vec<Gesture>, String> {
    let (mut open, mut whole): (Vec<Gesture>, Vec<Gesture>) = (Vec::new(), Vec::new());
    for answer in answers {
        let parameter = answer.parameter();
        let held = open.iter().position(|gesture| gesture.parameter == parameter);
        match (*answer, held) {
            (Edit::Begin(_), None) => open.push(Gesture {
                parameter,
                values: Vec::new(),
            }),
            (Edit::Value(_, value), Some(held)) => open[held].values.push(value),
            (Edit::End(_), Some(held)) => whole.push(open.remove(held)),
            (Edit::Begin(_), Some(_)) => return Err(format!("{parameter:?} is taken hold of twice")),
            (Edit::Value(..), None) => return Err(format!("{parameter:?} moves while nobody holds it")),
            (Edit::End(_), None) => return Err(format!("{parameter:?} is let go of without being held")),
        }
    }
    match open.first() {
        Some(gesture) => Err(format!("{:?} is never let go of", gesture.parameter)),
        None => Ok(whole),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gestures_are_whole_or_are_told_of() {
        let [one, other] = [ClapId::new(1), ClapId::new(2)];
        let whole = [
            Edit::Begin(one),
            Edit::Value(one, 0.5),
            Edit::Begin(other),
            Edit::Value(one, 0.6),
            Edit::End(other),
            Edit::End(one),
        ];
        let found = gestures(&whole).unwrap();
        assert_eq!(found.len(), 2);
        assert_eq!(found[0].values, Vec::<f64>::new());
        assert_eq!(found[1].values, [0.5, 0.6]);
        for broken in [
            &whole[..5],
            &whole[1..],
            &[Edit::Begin(one), Edit::Begin(one)],
            &[Edit::End(one)],
        ] {
            assert!(gestures(broken).is_err(), "{broken:?}");
        }
    }
}

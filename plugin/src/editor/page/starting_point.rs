//! Applies starting points as gestures, one for each parameter that changes, so that the host can record and undo them.

use nice_plug::prelude::PluginState;

use crate::editor::model::compare::Values;
use crate::editor::widgets::gestures::ParamGestures;
use crate::params::Parameter;
use crate::params::starting_points::EXCLUDED;

/// Normalized values of a starting point; parameters that it does not name have their defaults.
pub fn values(point: &PluginState, controls: &[Parameter]) -> Values {
    let value = |control: &Parameter| {
        let named = point.params.get(control.id());
        named
            .and_then(|value| control.saved(value))
            .unwrap_or(control.default())
    };
    controls
        .iter()
        .filter(|control| !EXCLUDED.contains(&control.id()))
        .map(|control| (control.id(), value(control)))
        .collect()
}

/// Sets the values, one gesture each.
pub fn apply(
    gestures: &ParamGestures,
    controls: &[Parameter],
    values: impl IntoIterator<Item = (&'static str, f32)>,
) {
    for (id, value) in values {
        for control in controls.iter().filter(|control| control.id() == id) {
            gestures.set(control, value);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kind::Following;
    use crate::params::InsertParams;
    use crate::params::starting_points::of;

    #[test]
    fn other_parameters_have_their_defaults() {
        let params = InsertParams::of::<Following>();
        let controls = params.parameters();
        let point = of::<Following>()
            .find(|point| point.word == "backing-stack")
            .unwrap();
        let values = values(&point.state(), controls);
        assert_eq!(values.len(), 26);
        let text = |id: &str| {
            let value = values.get(id).unwrap();
            let control = controls.iter().find(|control| control.id() == id).unwrap();
            control.text(*value)
        };
        assert_eq!(text("sib_prop"), "-14.0 LU");
        assert_eq!(text("sib_reach"), "10 %");
        assert_eq!(text("br_on"), "on");
        assert_eq!(text("lev_thr"), "-30.0 dB");
    }
}

//! Completes a saved state: whatever a song holds, every parameter gets a value inside its range.
//!
//! A state carries the version of the plug-in that saved it. A parameter that it lacks, because the state is older
//! than the parameter, gets its default: the framework would leave the value of the song that was open before. A value
//! of the wrong kind gets the default too, a number outside the range the nearest end. Unknown ids are left for
//! the framework, which passes over them, so a newer song still opens.

use nice_plug::params::Param;
use nice_plug::plugin::ParamValue;
use nice_plug::prelude::PluginState;

use super::insert_params::InsertParams;
use super::parameter::AnyParam;
use super::parameter::Parameter;

/// Completes `state` in place. `defaults` are the parameters of a new insert.
pub fn complete(state: &mut PluginState, defaults: &InsertParams) {
    for parameter in defaults.parameters() {
        let saved = state.params.remove(parameter.id());
        let value = in_range(parameter, saved);
        state.params.insert(parameter.id().to_owned(), value);
    }
}

fn in_range(parameter: &Parameter, saved: Option<ParamValue>) -> ParamValue {
    match (&parameter.param, saved) {
        (AnyParam::Number(param), Some(ParamValue::F32(value))) if value.is_finite() => {
            ParamValue::F32(value.clamp(param.preview_plain(0.0), param.preview_plain(1.0)))
        }
        (AnyParam::Choice(param), Some(ParamValue::I32(index))) => {
            ParamValue::I32(index.clamp(param.preview_plain(0.0), param.preview_plain(1.0)))
        }
        (AnyParam::Switch(_), Some(ParamValue::Bool(on))) => ParamValue::Bool(on),
        _ => parameter.default_value(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kind::Following;
    use siskin_dsp::PARAMETERS;
    use std::collections::BTreeMap;

    fn completed(saved: &[(&str, ParamValue)]) -> BTreeMap<String, ParamValue> {
        let params = saved
            .iter()
            .map(|(id, value)| ((*id).to_owned(), value.clone()))
            .collect();
        let mut state = PluginState {
            version: String::new(),
            params,
            fields: BTreeMap::new(),
        };
        complete(&mut state, &InsertParams::of::<Following>());
        state.params
    }

    fn float(params: &BTreeMap<String, ParamValue>, id: &str) -> f32 {
        match params[id] {
            ParamValue::F32(value) => value,
            ref other => panic!("{id} is {other:?}"),
        }
    }

    #[test]
    fn empty_state_gets_all_defaults() {
        let params = completed(&[]);
        assert_eq!(params.len(), PARAMETERS.len());
        assert_eq!(float(&params, "sib_prop"), -6.0);
        assert!(matches!(params["look"], ParamValue::I32(2)));
        assert!(matches!(params["part"], ParamValue::I32(0)));
        assert!(matches!(params["chan"], ParamValue::I32(0)));
        assert!(matches!(params["sib_on"], ParamValue::Bool(true)));
        assert!(matches!(params["fol_src"], ParamValue::I32(0)));
    }

    #[test]
    fn saved_values_stay_and_missing_ones_get_their_defaults() {
        let params = completed(&[("sib_prop", ParamValue::F32(-9.5)), ("look", ParamValue::I32(1))]);
        assert_eq!(float(&params, "sib_prop"), -9.5);
        assert!(matches!(params["look"], ParamValue::I32(1)));
        assert_eq!(float(&params, "sib_from"), 4000.0);
    }

    #[test]
    fn values_are_clamped_and_wrong_kinds_get_the_default() {
        let params = completed(&[
            ("sib_prop", ParamValue::F32(-400.0)),
            ("out_gain", ParamValue::F32(f32::MAX)),
            ("fol_time", ParamValue::F32(f32::NAN)),
            ("fol_start", ParamValue::F32(f32::INFINITY)),
            ("sib_from", ParamValue::String("high".to_owned())),
            ("look", ParamValue::I32(99)),
            ("listen", ParamValue::I32(-1)),
            ("bypass", ParamValue::F32(1.0)),
        ]);
        let read = ["sib_prop", "out_gain", "fol_time", "fol_start", "sib_from"].map(|id| float(&params, id));
        assert_eq!(read, [-24.0, 24.0, 400.0, -24.0, 4000.0]);
        assert!(matches!(params["look"], ParamValue::I32(3)));
        assert!(matches!(params["listen"], ParamValue::I32(0)));
        assert!(matches!(params["bypass"], ParamValue::Bool(false)));
    }

    #[test]
    fn unknown_ids_are_kept() {
        let params = completed(&[("from_the_future", ParamValue::Bool(true))]);
        assert!(params.contains_key("from_the_future"));
    }
}

//! Settings that a person keeps, as a preset file holds them: a saved state without what does not depend on the voice.

use std::collections::BTreeMap;

use nice_plug::prelude::PluginState;

use super::insert_params::InsertParams;
use super::starting_points::EXCLUDED;
use super::state::complete;

/// The present settings as a state, JSON as the framework saves it; `None` where that fails.
#[must_use]
pub fn to_json(params: &InsertParams) -> Option<Vec<u8>> {
    let kept = params.parameters().iter();
    let kept = kept.filter(|parameter| !EXCLUDED.contains(&parameter.id()));
    let state = PluginState {
        version: env!("CARGO_PKG_VERSION").to_owned(),
        params: kept
            .map(|parameter| (parameter.id().to_owned(), parameter.value()))
            .collect(),
        fields: BTreeMap::new(),
    };
    serde_json::to_vec(&state).ok()
}

/// The state in a preset file, with a value in range for every parameter of `params`; `None` where it is none.
#[must_use]
pub fn from_json(json: &[u8], params: &InsertParams) -> Option<PluginState> {
    let mut state = serde_json::from_slice(json).ok()?;
    complete(&mut state, params);
    Some(state)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kind::Plain;
    use nice_plug::plugin::ParamValue;

    #[test]
    fn a_state_holds_what_depends_on_the_voice_alone() {
        let params = InsertParams::of::<Plain>();
        let json = to_json(&params).unwrap();
        let text = String::from_utf8(json.clone()).unwrap();
        assert!(text.contains("sib_prop") && !text.contains("window"), "{text}");
        assert!(
            EXCLUDED.iter().all(|id| !text.contains(&format!("\"{id}\""))),
            "{text}"
        );
        let state = from_json(&json, &params).unwrap();
        assert_eq!(state.params.len(), params.parameters().len());
        let read = from_json(br#"{"params":{"sib_prop":{"f32":-400.0}},"fields":{}}"#, &params).unwrap();
        assert!(
            matches!(read.params["sib_prop"], ParamValue::F32(-24.0)),
            "{:?}",
            read.params
        );
        assert!(from_json(b"{", &params).is_none());
    }
}

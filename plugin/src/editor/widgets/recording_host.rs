//! A host for tests that records gestures.

use std::collections::HashMap;
use std::sync::{Arc, Mutex};

use nice_plug::context::PluginApi;
use nice_plug::context::gui::{GuiContext, GuiContextInner};
use nice_plug::params::Params;
use nice_plug::params::internals::ParamPtr;
use nice_plug::prelude::PluginState;

/// Recorded gestures, line by line: "begin ID", "ID VALUE", "end ID".
pub struct RecordingHost {
    ids: HashMap<ParamPtr, String>,
    lines: Mutex<Vec<String>>,
}

impl RecordingHost {
    /// A host of `params`.
    pub fn new(params: &impl Params) -> Arc<Self> {
        let ids = params.param_map().into_iter().map(|(id, param, _)| (param, id));
        Arc::new(Self {
            ids: ids.collect(),
            lines: Mutex::default(),
        })
    }

    /// The connection to this host.
    pub fn context(self: &Arc<Self>) -> GuiContext {
        GuiContext::new(self.clone())
    }

    /// Lines recorded since the last call.
    pub fn take_lines(&self) -> Vec<String> {
        std::mem::take(&mut *self.lines.lock().unwrap())
    }

    fn record(&self, line: impl Fn(&str) -> String, param: ParamPtr) {
        self.lines.lock().unwrap().push(line(&self.ids[&param]));
    }
}

impl GuiContextInner for RecordingHost {
    fn plugin_api(&self) -> PluginApi {
        PluginApi::Clap
    }
    unsafe fn raw_begin_set_parameter(&self, param: ParamPtr) {
        self.record(|id| format!("begin {id}"), param);
    }
    unsafe fn raw_set_parameter_normalized(&self, param: ParamPtr, normalized: f32) {
        self.record(|id| format!("{id} {normalized:.2}"), param);
    }
    unsafe fn raw_end_set_parameter(&self, param: ParamPtr) {
        self.record(|id| format!("end {id}"), param);
    }
    fn get_state(&self) -> PluginState {
        unreachable!("the editor reads no state")
    }
    fn set_state(&self, _state: PluginState) {
        unreachable!("the editor sets no state")
    }
    fn request_restart(&self) {}
}

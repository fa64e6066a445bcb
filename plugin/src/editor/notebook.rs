//! A host for tests that writes down what a hand tells it.

use std::collections::HashMap;
use std::sync::{Arc, Mutex};

use nice_plug::context::PluginApi;
use nice_plug::context::gui::{GuiContext, GuiContextInner};
use nice_plug::params::Params;
use nice_plug::params::internals::ParamPtr;
use nice_plug::prelude::PluginState;

/// What was told, line by line: "begin ID", "ID VALUE", "end ID".
pub struct Notebook {
    ids: HashMap<ParamPtr, String>,
    lines: Mutex<Vec<String>>,
}

impl Notebook {
    /// An empty one for a host of `params`.
    pub fn of(params: &impl Params) -> Arc<Self> {
        let ids = params.param_map().into_iter().map(|(id, param, _)| (param, id));
        Arc::new(Self {
            ids: ids.collect(),
            lines: Mutex::default(),
        })
    }

    /// The way to this host.
    pub fn host(self: &Arc<Self>) -> GuiContext {
        GuiContext::new(self.clone())
    }

    /// What was told since this was last asked.
    pub fn read(&self) -> Vec<String> {
        std::mem::take(&mut *self.lines.lock().unwrap())
    }

    fn write(&self, line: impl Fn(&str) -> String, param: ParamPtr) {
        self.lines.lock().unwrap().push(line(&self.ids[&param]));
    }
}

impl GuiContextInner for Notebook {
    fn plugin_api(&self) -> PluginApi {
        PluginApi::Clap
    }
    unsafe fn raw_begin_set_parameter(&self, param: ParamPtr) {
        self.write(|id| format!("begin {id}"), param);
    }
    unsafe fn raw_set_parameter_normalized(&self, param: ParamPtr, normalized: f32) {
        self.write(|id| format!("{id} {normalized:.2}"), param);
    }
    unsafe fn raw_end_set_parameter(&self, param: ParamPtr) {
        self.write(|id| format!("end {id}"), param);
    }
    fn get_state(&self) -> PluginState {
        unreachable!("the editor asks for no state")
    }
    fn set_state(&self, _state: PluginState) {
        unreachable!("the editor sets no state")
    }
    fn request_restart(&self) {}
}

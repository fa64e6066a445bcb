//! The class that VST3 hosts get: the framework's, with what the host passes checked first.

use std::ptr;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use nice_plug::wrapper::vst3::Wrapper;
use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::{
    ChannelContext::IInfoListener, IAudioProcessor, IComponent, IComponentHandler, IComponentTrait,
    IEditController, IEditControllerTrait, IProcessContextRequirements, IUnitInfo, ParamID, ParamValue,
    ParameterInfo,
};
use nice_plug::wrapper::vst3::vst3::Steinberg::{
    FIDString, FUnknown, IBStream, IPlugView, IPluginBaseTrait, int32, kInvalidArgument, kResultFalse,
    kResultOk, tresult,
};
use nice_plug::wrapper::vst3::vst3::{Class, ComWrapper};

use super::component_handler::{ComponentHandlerProxy, HostCalls};
use super::context_menu::{ParamMenu, Vst3Menu};
use super::controller_values::ControllerValues;
use super::gain_reduction::IGainReductionInfo;
use super::run_loop::Registration;
use super::state::is_short_enough;
use super::window_size;
use crate::editor::MenuRequest;
use crate::formats::background;
use crate::formats::host_guard::HostGuard;
use crate::formats::link::{InsertTask, Link};
use crate::insert::Insert;
use crate::kind::Kind;

/// An insert of one kind.
pub struct Instance<K: Kind> {
    pub(super) framework: Wrapper<Insert<K>>,
    pub(super) guard: HostGuard,
    pub(super) most_samples: AtomicUsize,
    pub(super) processing: AtomicBool,
    values: ControllerValues,
    host_calls: Arc<HostCalls>,
    run_loop: Registration,
    link: Arc<Link>,
}

// MIDI and note expressions, which the framework's own class offers too, are left out: there are no notes here.
impl<K: Kind> Class for Instance<K> {
    type Interfaces = (
        IComponent,
        IEditController,
        IAudioProcessor,
        IProcessContextRequirements,
        IUnitInfo,
        IInfoListener,
        IGainReductionInfo,
    );
}

impl<K: Kind> Drop for Instance<K> {
    fn drop(&mut self) {
        self.run_loop.end();
        if let Some(editor) = self.link.editor() {
            editor.host_menu.disconnect();
            editor.size_requests.disconnect();
        }
        // SAFETY: null disconnects the host's handler.
        unsafe { self.host_calls.connect(ptr::null_mut()) };
        background::flush_background_tasks::<K>();
    }
}

// VST3's rule for the pointers below: null, or valid for the length of the call.

impl<K: Kind> Instance<K> {
    /// A new insert; `factory_context` is the host's context of the factory.
    ///
    /// # Safety
    ///
    /// `factory_context` is null or valid.
    pub unsafe fn new(factory_context: *mut FUnknown) -> Self {
        background::keep_thread::<K, _>(Wrapper::<Insert<K>>::new);
        let framework = Wrapper::<Insert<K>>::new();
        let link = Link::of_newest_insert();
        let host_calls = Arc::new(HostCalls::new(wake_by_framework(link.clone())));
        let calls = Arc::downgrade(&host_calls);
        link.on_deliver_host_calls(move || {
            if let Some(calls) = calls.upgrade() {
                calls.deliver();
            }
        });
        let proxy = ComWrapper::new(ComponentHandlerProxy(host_calls.clone()));
        if let Some(handler) = proxy.as_com_ref::<IComponentHandler>() {
            // SAFETY: the proxy is valid, and the framework counts its reference.
            unsafe { framework.setComponentHandler(handler.as_ptr()) };
        }
        connect_menu(&framework, &host_calls, &link);
        window_size::connect(&link);
        let run_loop = Registration::default();
        // SAFETY: the caller's promise.
        unsafe { run_loop.begin(factory_context, &host_calls) };
        Self {
            framework,
            guard: HostGuard::default(),
            most_samples: AtomicUsize::new(0),
            processing: AtomicBool::new(false),
            values: ControllerValues::default(),
            host_calls,
            run_loop,
            link,
        }
    }

    /// The gain of all stages at the end of the last block without makeup, dB, 0 or negative.
    pub(super) fn gain_db(&self) -> f32 {
        self.link.gain_db()
    }

    /// Asks the host's context for its run loop.
    pub(super) unsafe fn initialize(&self, context: *mut FUnknown) -> tresult {
        // SAFETY: null or valid, by VST3's rule; then the host's arguments, for the same function of the framework.
        unsafe {
            self.run_loop.begin(context, &self.host_calls);
            IPluginBaseTrait::initialize(&self.framework, context)
        }
    }

    /// Gives the host's run loop back.
    pub(super) unsafe fn terminate(&self) -> tresult {
        self.run_loop.end();
        // SAFETY: the same function of the framework.
        unsafe { IPluginBaseTrait::terminate(&self.framework) }
    }

    /// The framework keeps the proxy; the host's handler goes behind it.
    pub(super) unsafe fn set_component_handler(&self, handler: *mut IComponentHandler) -> tresult {
        // SAFETY: null or valid, by VST3's rule.
        unsafe { self.host_calls.connect(handler) };
        kResultOk
    }

    /// Notes the view, which the host wants to know where it shows a menu.
    pub(super) unsafe fn create_view(&self, name: FIDString) -> *mut IPlugView {
        // SAFETY: the host's argument, for the same function of the framework.
        let view = unsafe { self.framework.createView(name) };
        self.host_calls.view.set(view);
        view
    }

    /// The framework reads one parameter behind the last where `index` is the count.
    pub(super) unsafe fn parameter_info(&self, index: int32, info: *mut ParameterInfo) -> tresult {
        // SAFETY: the host's arguments, for the same function of the framework.
        unsafe {
            if index >= self.framework.getParameterCount() {
                return kInvalidArgument;
            }
            self.framework.getParameterInfo(index, info)
        }
    }

    /// The value that the host set last, even where no block has carried it yet.
    pub(super) unsafe fn param_normalized(&self, id: ParamID) -> ParamValue {
        self.host_calls.deliver();
        // SAFETY: numbers alone.
        let current = unsafe { self.framework.getParamNormalized(id) };
        self.values.get(id, current)
    }

    /// Keeps the value for the controller while sound runs: the framework waits for the block that carries it.
    pub(super) unsafe fn set_param_normalized(&self, id: ParamID, value: ParamValue) -> tresult {
        self.host_calls.deliver();
        // SAFETY: numbers alone.
        unsafe {
            let result = self.framework.setParamNormalized(id, value);
            if self.processing.load(Ordering::Acquire) {
                self.values.set(id, value, self.framework.getParamNormalized(id));
            }
            result
        }
    }

    /// Refuses a state that is too large; another one replaces every value.
    pub(super) unsafe fn set_state(&self, state: *mut IBStream) -> tresult {
        // SAFETY: the host's arguments, for the same function of the framework.
        unsafe {
            if !is_short_enough(state) {
                return kResultFalse;
            }
            self.values.clear();
            IComponentTrait::setState(&self.framework, state)
        }
    }
}

/// Connects the editor with the host's menu.
fn connect_menu<K: Kind>(framework: &Wrapper<Insert<K>>, calls: &Arc<HostCalls>, link: &Arc<Link>) {
    let id_at = |index| {
        // SAFETY: all zeroes are a valid description, and there is room for the answer.
        unsafe {
            let mut info: ParameterInfo = std::mem::zeroed();
            (framework.getParameterInfo(index, &raw mut info) == kResultOk).then_some(info.id)
        }
    };
    // SAFETY: numbers alone.
    let count = unsafe { framework.getParameterCount() };
    let ids: Vec<ParamID> = (0..count).filter_map(id_at).collect();
    let shown_by = Arc::downgrade(calls);
    link.on_show_host_menu(move |MenuRequest { parameter, x, y }| {
        if let (Some(calls), Some(&id)) = (shown_by.upgrade(), ids.get(parameter)) {
            calls.show_menu(ParamMenu { id, x, y });
        }
    });
    if let Some(editor) = link.editor() {
        editor.host_menu.connect(Arc::new(Vst3Menu::new(calls, link)));
    }
}

/// On Linux through the run loop of an open editor, which the framework knows.
fn wake_by_framework(link: Arc<Link>) -> impl Fn() + Send + Sync {
    move || {
        if let Some(threads) = link.threads() {
            (threads.ui)(InsertTask::DeliverHostCalls);
        }
    }
}

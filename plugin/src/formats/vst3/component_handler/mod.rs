//! The component-handler proxy: the handler that the framework keeps for the life of an insert.
//!
//! The framework (nice-plug 0.4.2) ends the program where the host replaces its handler while it is called, and calls it
//! from other threads: its background thread, and on Linux that of the editor's window. VST3 has every call on
//! the UI thread. So the framework holds this proxy; the host's handler is exchanged behind it, and a call from another
//! thread waits for the host's run loop or for the next call of the controller on the UI thread.

#[cfg(test)]
mod tests;

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::{self, ThreadId};

use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::{
    IComponentHandler, IComponentHandler3, IComponentHandlerTrait, ParamID, ParamValue,
};
use nice_plug::wrapper::vst3::vst3::Steinberg::{int32, kNotInitialized, kResultOk, tresult};
use nice_plug::wrapper::vst3::vst3::{Class, ComPtr, ComRef};

use super::context_menu::{NewestView, ParamMenu};

/// One call of the handler.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Call {
    BeginEdit(ParamID),
    PerformEdit(ParamID, ParamValue),
    EndEdit(ParamID),
    Restart(int32),
    Menu(ParamMenu),
}

/// Wakes the UI thread, which then calls [`HostCalls::deliver`].
type Wake = Box<dyn Fn() + Send + Sync>;

/// The host's handler, and the calls that wait for the UI thread.
pub struct HostCalls {
    handler: Mutex<Option<ComPtr<IComponentHandler>>>,
    ui_thread: Mutex<ThreadId>,
    waiting: Mutex<VecDeque<Call>>,
    /// The view that a menu belongs to.
    pub view: NewestView,
    wake: Wake,
    /// In place of `wake` where the host gave its run loop.
    run_loop: Mutex<Option<Wake>>,
}

/// A panic of another thread leaves these values whole.
fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl HostCalls {
    /// On the UI thread. `wake` is used until the host gives its run loop.
    pub fn new(wake: impl Fn() + Send + Sync + 'static) -> Self {
        Self {
            handler: Mutex::default(),
            ui_thread: Mutex::new(thread::current().id()),
            waiting: Mutex::default(),
            view: NewestView::default(),
            wake: Box::new(wake),
            run_loop: Mutex::default(),
        }
    }

    /// Sets the host's handler; null for none. On the UI thread.
    ///
    /// # Safety
    ///
    /// `handler` is null or valid.
    pub unsafe fn connect(&self, handler: *mut IComponentHandler) {
        *locked(&self.ui_thread) = thread::current().id();
        // SAFETY: the caller's promise.
        let handler = unsafe { ComRef::from_raw(handler) }.map(|handler| handler.to_com_ptr());
        let before = std::mem::replace(&mut *locked(&self.handler), handler);
        // Outside the lock: the last reference to the host's object may end here.
        drop(before);
    }

    /// Sets what wakes the host's run loop; `None` where the host gave none.
    #[cfg_attr(
        not(all(target_family = "unix", not(target_os = "macos"))),
        expect(dead_code, reason = "hosts have a run loop where windows are X11's")
    )]
    pub fn set_run_loop(&self, wake: Option<Wake>) {
        *locked(&self.run_loop) = wake;
    }

    /// Whether the host has menus for parameters.
    pub fn has_menus(&self) -> bool {
        let handler = locked(&self.handler).clone();
        handler.is_some_and(|handler| handler.cast::<IComponentHandler3>().is_some())
    }

    /// Has the host show a menu, on the UI thread.
    pub fn show_menu(&self, menu: ParamMenu) -> tresult {
        self.call_on_ui_thread(Call::Menu(menu))
    }

    /// Makes the calls that wait, in their order. Does nothing on another thread than the UI thread.
    pub fn deliver(&self) {
        if !self.is_ui_thread() {
            return;
        }
        loop {
            // The lock ends before the call: the host may call back.
            let next = locked(&self.waiting).pop_front();
            match next {
                Some(call) => self.call(call),
                None => return,
            };
        }
    }

    fn is_ui_thread(&self) -> bool {
        *locked(&self.ui_thread) == thread::current().id()
    }

    fn call_on_ui_thread(&self, call: Call) -> tresult {
        if self.is_ui_thread() {
            self.deliver();
            return self.call(call);
        }
        if locked(&self.handler).is_none() {
            return kNotInitialized;
        }
        let mut waiting = locked(&self.waiting);
        match (waiting.back_mut(), call) {
            (Some(Call::Restart(flags)), Call::Restart(more)) => *flags |= more,
            // A host that does not come back to its controller shall not fill the memory.
            (Some(Call::PerformEdit(id, value)), Call::PerformEdit(same, newer)) if *id == same => {
                *value = newer
            }
            _ => waiting.push_back(call),
        }
        drop(waiting);
        match &*locked(&self.run_loop) {
            Some(wake) => wake(),
            None => (self.wake)(),
        }
        kResultOk
    }

    fn call(&self, call: Call) -> tresult {
        let Some(host) = locked(&self.handler).clone() else {
            return kNotInitialized;
        };
        // SAFETY: numbers alone, to a counted handler, on the UI thread.
        unsafe {
            match call {
                Call::BeginEdit(id) => host.beginEdit(id),
                Call::PerformEdit(id, value) => host.performEdit(id, value),
                Call::EndEdit(id) => host.endEdit(id),
                Call::Restart(flags) => host.restartComponent(flags),
                Call::Menu(menu) => self.view.show_menu(&host, menu),
            }
        }
    }
}

/// The handler that the framework keeps.
pub struct ComponentHandlerProxy(pub Arc<HostCalls>);

impl Class for ComponentHandlerProxy {
    type Interfaces = (IComponentHandler,);
}

impl IComponentHandlerTrait for ComponentHandlerProxy {
    unsafe fn beginEdit(&self, id: ParamID) -> tresult {
        self.0.call_on_ui_thread(Call::BeginEdit(id))
    }

    unsafe fn performEdit(&self, id: ParamID, value: ParamValue) -> tresult {
        self.0.call_on_ui_thread(Call::PerformEdit(id, value))
    }

    unsafe fn endEdit(&self, id: ParamID) -> tresult {
        self.0.call_on_ui_thread(Call::EndEdit(id))
    }

    unsafe fn restartComponent(&self, flags: int32) -> tresult {
        self.0.call_on_ui_thread(Call::Restart(flags))
    }
}

//! The component-handler proxy: the handler that the framework keeps for the life of an insert.
//!
//! The framework calls the host from a thread of its own, and ends the program where the host replaces its handler at that
//! moment, as it does when it closes an insert. So the framework holds this proxy, and the host's handler is exchanged
//! behind it. The host is called on a counted copy, outside the lock.

use std::sync::{Mutex, PoisonError};

use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::{
    IComponentHandler, IComponentHandlerTrait, ParamID, ParamValue,
};
use nice_plug::wrapper::vst3::vst3::Steinberg::{int32, kNotInitialized, tresult};
use nice_plug::wrapper::vst3::vst3::{Class, ComPtr, ComRef};

/// Passes the framework's calls to the host's handler.
#[derive(Default)]
pub struct ComponentHandlerProxy(Mutex<Option<ComPtr<IComponentHandler>>>);

impl Class for ComponentHandlerProxy {
    type Interfaces = (IComponentHandler,);
}

impl ComponentHandlerProxy {
    /// Sets the host's handler; null for none.
    ///
    /// # Safety
    ///
    /// `handler` is null or valid.
    pub unsafe fn connect(&self, handler: *mut IComponentHandler) {
        // SAFETY: the caller's promise.
        let handler = unsafe { ComRef::from_raw(handler) }.map(|handler| handler.to_com_ptr());
        let before = std::mem::replace(
            &mut *self.0.lock().unwrap_or_else(PoisonError::into_inner),
            handler,
        );
        // Outside the lock: the last reference to the host's object may end here.
        drop(before);
    }

    fn call(&self, call: impl FnOnce(&ComPtr<IComponentHandler>) -> tresult) -> tresult {
        let host = self.0.lock().unwrap_or_else(PoisonError::into_inner).clone();
        host.as_ref().map_or(kNotInitialized, call)
    }
}

impl IComponentHandlerTrait for ComponentHandlerProxy {
    unsafe fn beginEdit(&self, id: ParamID) -> tresult {
        // SAFETY: numbers alone, to a counted handler.
        self.call(|host| unsafe { host.beginEdit(id) })
    }

    unsafe fn performEdit(&self, id: ParamID, value: ParamValue) -> tresult {
        // SAFETY: numbers alone, to a counted handler.
        self.call(|host| unsafe { host.performEdit(id, value) })
    }

    unsafe fn endEdit(&self, id: ParamID) -> tresult {
        // SAFETY: numbers alone, to a counted handler.
        self.call(|host| unsafe { host.endEdit(id) })
    }

    unsafe fn restartComponent(&self, flags: int32) -> tresult {
        // SAFETY: numbers alone, to a counted handler.
        self.call(|host| unsafe { host.restartComponent(flags) })
    }
}

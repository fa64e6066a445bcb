//! The host's ear, as the framework knows it: one that never changes.
//!
//! The framework calls the host from a thread of its own, and ends the program where the host takes its ear away at that
//! very moment, as it does when it closes an insert. So the framework keeps this one from the beginning to the end, and
//! the host's goes in and out here. A host's call runs on a copy, outside the lock.

use std::sync::{Mutex, PoisonError};

use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::{
    IComponentHandler, IComponentHandlerTrait, ParamID, ParamValue,
};
use nice_plug::wrapper::vst3::vst3::Steinberg::{int32, kNotInitialized, tresult};
use nice_plug::wrapper::vst3::vst3::{Class, ComPtr, ComRef};

/// Hands on to the host what the framework asks of it.
#[derive(Default)]
pub struct Relay(Mutex<Option<ComPtr<IComponentHandler>>>);

impl Class for Relay {
    type Interfaces = (IComponentHandler,);
}

impl Relay {
    /// Takes the host's ear, or null for none.
    ///
    /// # Safety
    ///
    /// `handler` is null or valid.
    pub unsafe fn connect(&self, handler: *mut IComponentHandler) {
        // SAFETY: says the caller.
        let handler = unsafe { ComRef::from_raw(handler) }.map(|handler| handler.to_com_ptr());
        let before = std::mem::replace(
            &mut *self.0.lock().unwrap_or_else(PoisonError::into_inner),
            handler,
        );
        // Outside the lock: the host's own object may end here.
        drop(before);
    }

    fn tell(&self, tell: impl FnOnce(&ComPtr<IComponentHandler>) -> tresult) -> tresult {
        let host = self.0.lock().unwrap_or_else(PoisonError::into_inner).clone();
        host.as_ref().map_or(kNotInitialized, tell)
    }
}

// SAFETY of what follows: numbers go to the host as they are.

impl IComponentHandlerTrait for Relay {
    unsafe fn beginEdit(&self, id: ParamID) -> tresult {
        // SAFETY: as above.
        self.tell(|host| unsafe { host.beginEdit(id) })
    }

    unsafe fn performEdit(&self, id: ParamID, value: ParamValue) -> tresult {
        // SAFETY: as above.
        self.tell(|host| unsafe { host.performEdit(id, value) })
    }

    unsafe fn endEdit(&self, id: ParamID) -> tresult {
        // SAFETY: as above.
        self.tell(|host| unsafe { host.endEdit(id) })
    }

    unsafe fn restartComponent(&self, flags: int32) -> tresult {
        // SAFETY: as above.
        self.tell(|host| unsafe { host.restartComponent(flags) })
    }
}

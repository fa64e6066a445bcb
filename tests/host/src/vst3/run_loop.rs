//! The host's run loop: descriptors that a plug-in has watched on the UI thread. Hosts on Linux give it with their context.

use std::sync::Mutex;

use vst3::Steinberg::Linux::{
    FileDescriptor, IEventHandler, IEventHandlerTrait, IRunLoopTrait, ITimerHandler, TimerInterval,
};
use vst3::Steinberg::{kInvalidArgument, kNotImplemented, kResultOk, tresult};
use vst3::{ComPtr, ComRef};

use super::handler::HostContext;
use crate::rules::Rule;
use crate::{lock, message_queue};

/// What a plug-in has watched.
#[derive(Default)]
pub struct RunLoop(Mutex<Vec<(ComPtr<IEventHandler>, FileDescriptor)>>);

impl RunLoop {
    /// Calls the handler of every descriptor that can be read; on Windows, hands out messages. On the UI thread.
    pub fn turn(&self) {
        message_queue::hand_out();
        // A copy: a handler may register and unregister.
        let watched = lock(&self.0).clone();
        for (handler, descriptor) in watched {
            if is_readable(descriptor) {
                // SAFETY: the handler is counted, and registered for this descriptor.
                unsafe { handler.onFDIsSet(descriptor) };
            }
        }
    }
}

impl HostContext {
    /// How many descriptors the plug-in has watched.
    pub fn watched(&self) -> usize {
        lock(&self.run_loop.0).len()
    }
}

impl IRunLoopTrait for HostContext {
    unsafe fn registerEventHandler(
        &self,
        handler: *mut IEventHandler,
        descriptor: FileDescriptor,
    ) -> tresult {
        self.rules
            .check("IRunLoop::registerEventHandler", Rule::MainThread);
        // SAFETY: VST3 has the plug-in pass a valid handler.
        let Some(handler) = (unsafe { ComRef::from_raw(handler) }) else {
            return kInvalidArgument;
        };
        let mut watched = lock(&self.run_loop.0);
        watched.push((handler.to_com_ptr(), descriptor));
        kResultOk
    }

    unsafe fn unregisterEventHandler(&self, handler: *mut IEventHandler) -> tresult {
        self.rules
            .check("IRunLoop::unregisterEventHandler", Rule::MainThread);
        let mut watched = lock(&self.run_loop.0);
        let before = watched.len();
        watched.retain(|(known, _)| known.as_ptr() != handler);
        if watched.len() < before {
            kResultOk
        } else {
            kInvalidArgument
        }
    }

    unsafe fn registerTimer(&self, _handler: *mut ITimerHandler, _interval_ms: TimerInterval) -> tresult {
        self.rules.check("IRunLoop::registerTimer", Rule::MainThread);
        kNotImplemented
    }

    unsafe fn unregisterTimer(&self, _handler: *mut ITimerHandler) -> tresult {
        self.rules.check("IRunLoop::unregisterTimer", Rule::MainThread);
        kNotImplemented
    }
}

#[cfg(target_os = "linux")]
fn is_readable(descriptor: FileDescriptor) -> bool {
    let mut poll = libc::pollfd {
        fd: descriptor,
        events: libc::POLLIN,
        revents: 0,
    };
    // SAFETY: one descriptor, and it does not wait.
    unsafe { libc::poll(&raw mut poll, 1, 0) == 1 }
}

#[cfg(not(target_os = "linux"))]
fn is_readable(_descriptor: FileDescriptor) -> bool {
    false
}

//! The host's run loop, which wakes the UI thread for calls that wait. Hosts on Linux give it with their context.

use std::io::{Read, Write};
use std::os::fd::AsRawFd;
use std::os::unix::net::UnixStream;
use std::sync::{Arc, Mutex, PoisonError};

use nice_plug::wrapper::vst3::vst3::Steinberg::Linux::{
    FileDescriptor, IEventHandler, IEventHandlerTrait, IRunLoop, IRunLoopTrait,
};
use nice_plug::wrapper::vst3::vst3::Steinberg::{FUnknown, kResultOk};
use nice_plug::wrapper::vst3::vst3::{Class, ComPtr, ComRef, ComWrapper};

use super::component_handler::HostCalls;

/// What the run loop calls.
struct EventHandler {
    /// A socket: some hosts watch no other descriptors.
    wakes: UnixStream,
    calls: Arc<HostCalls>,
}

impl Class for EventHandler {
    type Interfaces = (IEventHandler,);
}

impl IEventHandlerTrait for EventHandler {
    unsafe fn onFDIsSet(&self, _descriptor: FileDescriptor) {
        let mut read = [0; 64];
        while matches!((&self.wakes).read(&mut read), Ok(count) if count > 0) {}
        self.calls.deliver();
    }
}

/// An insert's registration with the host's run loop.
#[derive(Default)]
pub struct Registration(Mutex<Option<(ComPtr<IRunLoop>, ComWrapper<EventHandler>)>>);

impl Registration {
    /// Has the run loop of `context` deliver `calls`; does nothing where the context has none or one is registered.
    ///
    /// # Safety
    ///
    /// `context` is null or valid.
    pub unsafe fn begin(&self, context: *mut FUnknown, calls: &Arc<HostCalls>) {
        let mut registered = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if registered.is_none() {
            // SAFETY: the caller's promise.
            let context = unsafe { ComRef::from_raw(context) };
            *registered = context
                .and_then(|context| context.cast::<IRunLoop>())
                .and_then(|run_loop| register(run_loop, calls));
        }
    }

    /// Ends the registration.
    pub fn end(&self) {
        let registered = self.0.lock().unwrap_or_else(PoisonError::into_inner).take();
        if let Some((run_loop, handler)) = registered {
            handler.calls.set_run_loop(None);
            if let Some(events) = handler.as_com_ref::<IEventHandler>() {
                // SAFETY: `register` registered it, and nothing has unregistered it.
                unsafe { run_loop.unregisterEventHandler(events.as_ptr()) };
            }
        }
    }
}

fn register(
    run_loop: ComPtr<IRunLoop>,
    calls: &Arc<HostCalls>,
) -> Option<(ComPtr<IRunLoop>, ComWrapper<EventHandler>)> {
    let (wakes, wake) = UnixStream::pair().ok()?;
    for end in [&wakes, &wake] {
        end.set_nonblocking(true).ok()?;
    }
    let descriptor = wakes.as_raw_fd();
    let handler = ComWrapper::new(EventHandler {
        wakes,
        calls: calls.clone(),
    });
    let events = handler.as_com_ref::<IEventHandler>()?;
    // SAFETY: the handler and its descriptor live until `end` unregisters them.
    if unsafe { run_loop.registerEventHandler(events.as_ptr(), descriptor) } != kResultOk {
        return None;
    }
    // A full socket has woken the run loop already.
    calls.set_run_loop(Some(Box::new(move || drop((&wake).write(&[0])))));
    Some((run_loop, handler))
}

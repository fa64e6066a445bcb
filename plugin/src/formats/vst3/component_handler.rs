//! The component-handler proxy: the handler that the framework keeps for the life of an insert.
//!
//! The framework (nice-plug 0.4.2) ends the program where the host replaces its handler while it is called, and calls it
//! from other threads: its background thread, and on Linux that of the editor's window. VST3 has every call on
//! the UI thread. So the framework holds this proxy; the host's handler is exchanged behind it, and a call from another
//! thread waits for the host's run loop or for the next call of the controller on the UI thread.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::{self, ThreadId};

use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::{
    IComponentHandler, IComponentHandlerTrait, ParamID, ParamValue,
};
use nice_plug::wrapper::vst3::vst3::Steinberg::{int32, kNotInitialized, kResultOk, tresult};
use nice_plug::wrapper::vst3::vst3::{Class, ComPtr, ComRef};

/// One call of the handler.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Call {
    BeginEdit(ParamID),
    PerformEdit(ParamID, ParamValue),
    EndEdit(ParamID),
    Restart(int32),
}

/// Wakes the UI thread, which then calls [`HostCalls::deliver`].
type Wake = Box<dyn Fn() + Send + Sync>;

/// The host's handler, and the calls that wait for the UI thread.
pub struct HostCalls {
    handler: Mutex<Option<ComPtr<IComponentHandler>>>,
    ui_thread: Mutex<ThreadId>,
    waiting: Mutex<VecDeque<Call>>,
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

#[cfg(test)]
mod tests {
    use super::*;
    use nice_plug::wrapper::vst3::vst3::ComWrapper;
    use std::sync::atomic::{AtomicUsize, Ordering};

    /// Every call, with whether it came on the thread that made the host.
    struct Host {
        thread: ThreadId,
        calls: Arc<Mutex<Vec<(Call, bool)>>>,
    }

    impl Host {
        fn note(&self, call: Call) -> tresult {
            locked(&self.calls).push((call, thread::current().id() == self.thread));
            kResultOk
        }
    }

    impl Class for Host {
        type Interfaces = (IComponentHandler,);
    }

    impl IComponentHandlerTrait for Host {
        unsafe fn beginEdit(&self, id: ParamID) -> tresult {
            self.note(Call::BeginEdit(id))
        }

        unsafe fn performEdit(&self, id: ParamID, value: ParamValue) -> tresult {
            self.note(Call::PerformEdit(id, value))
        }

        unsafe fn endEdit(&self, id: ParamID) -> tresult {
            self.note(Call::EndEdit(id))
        }

        unsafe fn restartComponent(&self, flags: int32) -> tresult {
            self.note(Call::Restart(flags))
        }
    }

    /// An edit of parameter 7 and two restarts, on this thread.
    fn edit(proxy: &ComponentHandlerProxy) {
        // SAFETY: numbers alone.
        unsafe {
            proxy.beginEdit(7);
            proxy.performEdit(7, 0.25);
            proxy.performEdit(7, 0.5);
            proxy.endEdit(7);
            proxy.restartComponent(1);
            proxy.restartComponent(8);
        }
    }

    #[test]
    fn calls_of_other_threads_wait_for_the_ui_thread_in_their_order() {
        let calls = Arc::<Mutex<Vec<_>>>::default();
        let host = ComWrapper::new(Host {
            thread: thread::current().id(),
            calls: calls.clone(),
        });
        let wakes = Arc::new(AtomicUsize::new(0));
        let woken = wakes.clone();
        let proxy = ComponentHandlerProxy(Arc::new(HostCalls::new(move || {
            woken.fetch_add(1, Ordering::Relaxed);
        })));
        let handler = host.as_com_ref::<IComponentHandler>().unwrap();
        // SAFETY: the host's handler lives as long as this test.
        unsafe { proxy.0.connect(handler.as_ptr()) };
        thread::scope(|scope| {
            scope.spawn(|| {
                edit(&proxy);
                proxy.0.deliver();
            });
        });
        assert_eq!(*locked(&calls), []);
        assert_eq!(wakes.load(Ordering::Relaxed), 6);
        proxy.0.deliver();
        let expected = [
            Call::BeginEdit(7),
            Call::PerformEdit(7, 0.5),
            Call::EndEdit(7),
            Call::Restart(9),
        ];
        assert_eq!(*locked(&calls), expected.map(|call| (call, true)));
        locked(&calls).clear();
        edit(&proxy);
        assert_eq!(locked(&calls).len(), 6, "on the UI thread at once");
        // SAFETY: null disconnects the handler.
        unsafe { proxy.0.connect(std::ptr::null_mut()) };
        edit(&proxy);
        assert_eq!(locked(&calls).len(), 6);
    }
}

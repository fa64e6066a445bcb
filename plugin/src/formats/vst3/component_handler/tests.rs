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

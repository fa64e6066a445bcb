//! The size of the window, for which the editor may ask the host. The window is the host's: until the host sets the size,
//! nothing changes.

use std::rc::Rc;
use std::sync::{Mutex, PoisonError};

use fragile::Fragile;

/// A size of the window in the host's unit: pixels, on macOS points.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HostSize {
    /// From left to right.
    pub width: u32,
    /// From top to bottom.
    pub height: u32,
}

/// Asks the host for a size, on any thread; the host may follow later, or not at all.
type Ask = Box<dyn Fn(HostSize) + Send + Sync>;
/// Asks the host for a size on the UI thread, where the framework has the way to it.
type AskHost = Rc<dyn Fn(HostSize)>;

/// The way to the host, where its format has one.
#[derive(Default)]
pub struct SizeRequests {
    ask: Mutex<Option<Ask>>,
    /// Of the open window, on the thread that opened it.
    window: Mutex<Option<Fragile<AskHost>>>,
}

impl SizeRequests {
    /// Connects the format layer.
    pub fn connect(&self, ask: impl Fn(HostSize) + Send + Sync + 'static) {
        set(&self.ask, Some(Box::new(ask)));
    }

    /// Disconnects it, once no call of it runs: the insert ends.
    pub fn disconnect(&self) {
        set(&self.ask, None);
    }

    /// Asks for a size.
    pub fn ask(&self, size: HostSize) {
        if let Some(ask) = &*self.ask.lock().unwrap_or_else(PoisonError::into_inner) {
            ask(size);
        }
    }

    /// A window opens, whose host is asked by `ask`. On the UI thread.
    pub fn open(&self, ask: impl Fn(HostSize) + 'static) {
        set(&self.window, Some(Fragile::new(Rc::new(ask))));
    }

    /// The window closes. On the UI thread.
    pub fn close(&self) {
        set(&self.window, None);
    }

    /// Asks the host of the open window. Does nothing on another thread than the UI thread.
    pub fn ask_host(&self, size: HostSize) {
        let window = self.window.lock().unwrap_or_else(PoisonError::into_inner);
        let ask = window.as_ref().and_then(|ask| ask.try_get().ok().cloned());
        // Not under the lock: the host may close the window.
        drop(window);
        if let Some(ask) = ask {
            ask(size);
        }
    }
}

fn set<T>(place: &Mutex<Option<T>>, value: Option<T>) {
    let before = std::mem::replace(&mut *place.lock().unwrap_or_else(PoisonError::into_inner), value);
    drop(before);
}

#[cfg(test)]
mod tests {
    use std::cell::RefCell;
    use std::sync::Arc;

    use super::*;

    #[test]
    fn the_host_is_asked_on_the_thread_of_its_window_alone() {
        let requests = Arc::new(SizeRequests::default());
        let size = HostSize {
            width: 1500,
            height: 1080,
        };
        requests.ask_host(size);
        let asked = Rc::new(RefCell::new(Vec::new()));
        let host = asked.clone();
        requests.open(move |size| host.borrow_mut().push(size));
        let other = requests.clone();
        std::thread::spawn(move || other.ask_host(size)).join().unwrap();
        assert_eq!(*asked.borrow(), []);
        requests.ask_host(size);
        requests.close();
        requests.ask_host(size);
        assert_eq!(*asked.borrow(), [size]);
    }
}

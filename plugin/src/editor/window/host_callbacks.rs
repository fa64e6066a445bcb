//! The framework's way to ask the host for another size, shared with the editor.

use std::cell::RefCell;
use std::error::Error;
use std::rc::Rc;

use nice_plug::editor::HostCallbacks;
use nice_plug::editor::dpi::{PhysicalSize, Size};

use crate::editor::HostSize;

/// What the framework's window calls of its host. On the UI thread alone.
#[derive(Clone)]
pub struct SharedCallbacks(Rc<RefCell<Box<dyn HostCallbacks>>>);

impl SharedCallbacks {
    /// Shares them.
    pub fn new(callbacks: Box<dyn HostCallbacks>) -> Self {
        Self(Rc::new(RefCell::new(callbacks)))
    }

    /// Asks for a size, unless a request is being made. A host that refuses leaves everything as it is.
    pub fn ask(&self, HostSize { width, height }: HostSize) {
        if let Ok(mut callbacks) = self.0.try_borrow_mut() {
            // At a scale of 1 pixels and points are one.
            let size = Size::Physical(PhysicalSize { width, height });
            let _refused = callbacks.request_resize(size, 1.0).is_err();
        }
    }
}

impl HostCallbacks for SharedCallbacks {
    fn request_resize(&mut self, new_size: Size, scale_factor: f64) -> Result<(), Box<dyn Error>> {
        self.0.try_borrow_mut()?.request_resize(new_size, scale_factor)
    }

    fn destroyed(&mut self) {
        if let Ok(mut callbacks) = self.0.try_borrow_mut() {
            callbacks.destroyed();
        }
    }
}

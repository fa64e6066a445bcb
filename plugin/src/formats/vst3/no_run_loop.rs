//! Windows and macOS have one loop for all of a process, through which the framework wakes the UI thread.

use std::sync::Arc;

use nice_plug::wrapper::vst3::vst3::Steinberg::FUnknown;

use super::component_handler::HostCalls;

/// An insert's registration with a run loop, of which there is none.
#[derive(Default)]
pub struct Registration;

impl Registration {
    /// Does nothing.
    ///
    /// # Safety
    ///
    /// Always safe, unlike the registration on Linux.
    pub unsafe fn begin(&self, _context: *mut FUnknown, _calls: &Arc<HostCalls>) {}

    /// Does nothing.
    pub fn end(&self) {}
}

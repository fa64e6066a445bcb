//! What a plug-in asks of its host.

use std::sync::atomic::{AtomicU32, Ordering};

use vst3::Class;
use vst3::Steinberg::Vst::{IComponentHandler, IComponentHandlerTrait, ParamID, ParamValue, RestartFlags_};
use vst3::Steinberg::{int32, kResultOk, tresult};

/// What was asked since the host last looked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Asked {
    /// The latency is another one now.
    pub latency_changed: bool,
    /// Every flag of what changed, as VST3 numbers them.
    pub flags: u32,
}

/// The host's ear.
#[derive(Default)]
pub struct Handler {
    flags: AtomicU32,
}

impl Handler {
    /// What was asked; forgets it.
    pub fn take(&self) -> Asked {
        let flags = self.flags.swap(0, Ordering::AcqRel);
        Asked {
            latency_changed: flags & RestartFlags_::kLatencyChanged as u32 != 0,
            flags,
        }
    }
}

impl Class for Handler {
    type Interfaces = (IComponentHandler,);
}

impl IComponentHandlerTrait for Handler {
    unsafe fn beginEdit(&self, _id: ParamID) -> tresult {
        kResultOk
    }

    unsafe fn performEdit(&self, _id: ParamID, _value: ParamValue) -> tresult {
        kResultOk
    }

    unsafe fn endEdit(&self, _id: ParamID) -> tresult {
        kResultOk
    }

    unsafe fn restartComponent(&self, flags: int32) -> tresult {
        self.flags.fetch_or(flags as u32, Ordering::AcqRel);
        kResultOk
    }
}

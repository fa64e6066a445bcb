//! What a plug-in may call of its VST3 host: the component handler, the host's name, the editor's frame. All belong to the UI
//! thread.

use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::{Arc, Mutex};

use vst3::Steinberg::Linux::IRunLoop;
use vst3::Steinberg::Vst::{
    IComponentHandler, IComponentHandler2, IComponentHandler2Trait, IComponentHandler3,
    IComponentHandlerTrait, IEditController, IHostApplication, IHostApplicationTrait, ParamID, ParamValue,
    RestartFlags_, String128,
};
use vst3::Steinberg::{
    FIDString, IPlugFrame, IPlugFrameTrait, IPlugView, IPlugViewTrait, TBool, TUID, ViewRect, int32,
    kInvalidArgument, kNotImplemented, kResultFalse, kResultOk, tresult,
};
use vst3::{Class, ComPtr, ComRef};

use super::menu::Menus;
use super::run_loop::RunLoop;
use crate::clap::SizePx;
use crate::lock;
use crate::rules::{HostRules, Rule};

/// What was asked since the host last looked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Requests {
    /// The latency is another one now.
    pub latency_changed: bool,
    /// Every flag of what changed, as VST3 numbers them.
    pub flags: u32,
}

/// The host's component handler.
pub struct Handler {
    pub(super) rules: Arc<HostRules>,
    pub(super) menus: Arc<Menus>,
    flags: AtomicU32,
    /// Parameters that are being edited.
    held: Mutex<Vec<ParamID>>,
}

impl Handler {
    pub fn new(rules: Arc<HostRules>, controller: &ComPtr<IEditController>) -> Self {
        Self {
            rules,
            menus: Arc::new(Menus::new(controller.clone())),
            flags: AtomicU32::default(),
            held: Mutex::default(),
        }
    }

    /// What was asked; forgets it.
    pub fn take(&self) -> Requests {
        let flags = self.flags.swap(0, Ordering::AcqRel);
        Requests {
            latency_changed: flags & RestartFlags_::kLatencyChanged as u32 != 0,
            flags,
        }
    }

    fn check(&self, name: &str) -> tresult {
        self.rules.check(name, Rule::MainThread);
        kResultOk
    }

    /// Holds the callback `name` to the order of a gesture: begin, any number of values, end.
    fn check_gesture(&self, name: &str, change: impl FnOnce(&mut Vec<ParamID>) -> bool) -> tresult {
        let is_in_order = change(&mut lock(&self.held));
        if !is_in_order {
            self.rules.note(format!(
                "{name}: wants beginEdit, performEdit, endEdit in this order"
            ));
        }
        self.check(name)
    }
}

impl Class for Handler {
    type Interfaces = (IComponentHandler, IComponentHandler2, IComponentHandler3);
}

impl IComponentHandlerTrait for Handler {
    unsafe fn beginEdit(&self, id: ParamID) -> tresult {
        self.check_gesture("IComponentHandler::beginEdit", |held| {
            let is_new = !held.contains(&id);
            held.push(id);
            is_new
        })
    }

    unsafe fn performEdit(&self, id: ParamID, _value: ParamValue) -> tresult {
        self.check_gesture("IComponentHandler::performEdit", |held| held.contains(&id))
    }

    unsafe fn endEdit(&self, id: ParamID) -> tresult {
        self.check_gesture("IComponentHandler::endEdit", |held| {
            let place = held.iter().position(|&known| known == id);
            place.map(|place| held.remove(place)).is_some()
        })
    }

    unsafe fn restartComponent(&self, flags: int32) -> tresult {
        self.flags.fetch_or(flags as u32, Ordering::AcqRel);
        self.check("IComponentHandler::restartComponent")
    }
}

impl IComponentHandler2Trait for Handler {
    unsafe fn setDirty(&self, _is_dirty: TBool) -> tresult {
        self.check("IComponentHandler2::setDirty")
    }

    unsafe fn requestOpenEditor(&self, _name: FIDString) -> tresult {
        self.check("IComponentHandler2::requestOpenEditor")
    }

    unsafe fn startGroupEdit(&self) -> tresult {
        self.check("IComponentHandler2::startGroupEdit")
    }

    unsafe fn finishGroupEdit(&self) -> tresult {
        self.check("IComponentHandler2::finishGroupEdit")
    }
}

/// The context that an insert is initialised with, and the frame of its editor, which both give the run loop.
pub struct HostContext {
    pub(super) rules: Arc<HostRules>,
    pub(super) run_loop: RunLoop,
    pub(super) frame: Mutex<Frame>,
}

/// The frame of an editor.
#[derive(Debug, Default)]
pub struct Frame {
    /// Whether it takes the sizes that it is asked for; some hosts' frames keep theirs.
    pub(super) follows: bool,
    /// The sizes that it was asked for.
    pub(super) asked: Vec<SizePx>,
    /// The view that it belongs to, as a number.
    pub(super) view: usize,
}

impl Class for HostContext {
    type Interfaces = (IHostApplication, IPlugFrame, IRunLoop);
}

impl IPlugFrameTrait for HostContext {
    unsafe fn resizeView(&self, view: *mut IPlugView, size: *mut ViewRect) -> tresult {
        self.rules.check("IPlugFrame::resizeView", Rule::MainThread);
        // SAFETY: VST3 has the plug-in pass its view and a size, which are valid for the length of the call.
        let (Some(of_plugin), Some(wished)) = (unsafe { (ComRef::from_raw(view), size.as_ref()) }) else {
            return kInvalidArgument;
        };
        let follows = {
            let mut frame = lock(&self.frame);
            if view as usize != frame.view {
                self.rules
                    .note("IPlugFrame::resizeView: another view than the attached one".to_owned());
            }
            frame.asked.push(size_of_view(wished));
            frame.follows
        };
        if !follows {
            return kResultFalse;
        }
        // SAFETY: as above; the host answers with the size that it sets.
        unsafe { of_plugin.onSize(size) }
    }
}

/// The size of a view, pixels.
pub fn size_of_view(area: &ViewRect) -> SizePx {
    let [width, height] = [area.right - area.left, area.bottom - area.top];
    SizePx {
        width: u32::try_from(width).unwrap_or(0),
        height: u32::try_from(height).unwrap_or(0),
    }
}

impl IHostApplicationTrait for HostContext {
    unsafe fn getName(&self, name: *mut String128) -> tresult {
        self.rules.check("IHostApplication::getName", Rule::MainThread);
        for (index, unit) in "Siskin tests\0".encode_utf16().enumerate() {
            // SAFETY: VST3 has the plug-in pass an array of 128, and the name is shorter.
            unsafe { (*name)[index] = unit as _ };
        }
        kResultOk
    }

    unsafe fn createInstance(
        &self,
        _class: *mut TUID,
        _interface: *mut TUID,
        _object: *mut *mut std::ffi::c_void,
    ) -> tresult {
        self.rules
            .check("IHostApplication::createInstance", Rule::MainThread);
        kNotImplemented
    }
}

//! The plug-ins of the bundle, as VST3's factory gives them out.

use std::ffi::c_void;
use std::ptr;
use std::sync::{Mutex, PoisonError};

use nice_plug::wrapper::vst3::PluginInfo;
use nice_plug::wrapper::vst3::vst3::Steinberg::{
    FIDString, FUnknown, IPluginFactory, IPluginFactory2, IPluginFactory2Trait, IPluginFactory3,
    IPluginFactory3Trait, IPluginFactoryTrait, PClassInfo, PClassInfo2, PClassInfoW, PFactoryInfo, TUID,
    int32, kInvalidArgument, kResultOk, tresult,
};
use nice_plug::wrapper::vst3::vst3::{Class, ComPtr, ComRef, ComWrapper};

use super::instance::Instance;
use crate::insert::Insert;
use crate::kind::{Following, Kind, Plain};

/// The factory.
pub struct Factory {
    plug_ins: [PlugIn; 2],
    /// The host's context, which every insert may ask for the host's run loop.
    context: Mutex<Option<ComPtr<FUnknown>>>,
}

/// One plug-in: its description and its constructor.
struct PlugIn {
    info: PluginInfo,
    create: unsafe fn(*mut FUnknown, FIDString, *mut *mut c_void) -> tresult,
}

impl PlugIn {
    fn of<K: Kind>() -> Self {
        Self {
            info: PluginInfo::for_plugin::<Insert<K>>(),
            create: create::<K>,
        }
    }
}

/// A new insert, as the interface that a host asks for.
///
/// # Safety
///
/// `context` is null or valid, `interface` points to 16 bytes, `object` to room for a pointer.
unsafe fn create<K: Kind>(context: *mut FUnknown, interface: FIDString, object: *mut *mut c_void) -> tresult {
    // SAFETY: the caller's promise.
    let insert = ComWrapper::new(unsafe { Instance::<K>::new(context) });
    let Some(unknown) = insert.as_com_ref::<FUnknown>() else {
        return kInvalidArgument;
    };
    let unknown = unknown.as_ptr();
    // SAFETY: the object's own `queryInterface`; the arguments are valid by the caller's promise.
    unsafe { ((*(*unknown).vtbl).queryInterface)(unknown, interface.cast::<TUID>(), object) }
}

impl Factory {
    pub fn new() -> Self {
        Self {
            plug_ins: [PlugIn::of::<Plain>(), PlugIn::of::<Following>()],
            context: Mutex::default(),
        }
    }

    /// Writes what `describe` makes of a plug-in to `to`.
    ///
    /// # Safety
    ///
    /// `to` is null or has room.
    unsafe fn describe<T>(&self, index: int32, to: *mut T, describe: impl Fn(&PluginInfo) -> T) -> tresult {
        let plug_in = usize::try_from(index)
            .ok()
            .and_then(|index| self.plug_ins.get(index));
        match plug_in {
            Some(plug_in) if !to.is_null() => {
                // SAFETY: not null, so there is room, by the caller's promise.
                unsafe { to.write(describe(&plug_in.info)) };
                kResultOk
            }
            _ => kInvalidArgument,
        }
    }
}

impl Class for Factory {
    type Interfaces = (IPluginFactory, IPluginFactory2, IPluginFactory3);
}

// VST3's rule for the pointers below: null, or valid for the length of the call.

impl IPluginFactoryTrait for Factory {
    unsafe fn getFactoryInfo(&self, info: *mut PFactoryInfo) -> tresult {
        // SAFETY: null or room for the answer, by VST3's rule.
        unsafe { self.describe(0, info, PluginInfo::create_factory_info) }
    }

    unsafe fn countClasses(&self) -> int32 {
        self.plug_ins.len() as int32
    }

    unsafe fn getClassInfo(&self, index: int32, info: *mut PClassInfo) -> tresult {
        // SAFETY: null or room for the answer, by VST3's rule.
        unsafe { self.describe(index, info, PluginInfo::create_class_info) }
    }

    unsafe fn createInstance(
        &self,
        class: FIDString,
        interface: FIDString,
        object: *mut *mut c_void,
    ) -> tresult {
        if class.is_null() || interface.is_null() || object.is_null() {
            return kInvalidArgument;
        }
        // SAFETY: not null, and a class id has 16 bytes.
        let class = unsafe { &*class.cast::<[u8; 16]>() };
        let found = self.plug_ins.iter().find(|plug_in| plug_in.info.cid == class);
        let context = self
            .context
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone();
        let context = context.as_ref().map_or(ptr::null_mut(), ComPtr::as_ptr);
        // SAFETY: a counted context or null; an interface id of 16 bytes and room for a pointer.
        found.map_or(kInvalidArgument, |plug_in| unsafe {
            (plug_in.create)(context, interface, object)
        })
    }
}

impl IPluginFactory2Trait for Factory {
    unsafe fn getClassInfo2(&self, index: int32, info: *mut PClassInfo2) -> tresult {
        // SAFETY: null or room for the answer, by VST3's rule.
        unsafe { self.describe(index, info, PluginInfo::create_class_info_2) }
    }
}

impl IPluginFactory3Trait for Factory {
    unsafe fn getClassInfoUnicode(&self, index: int32, info: *mut PClassInfoW) -> tresult {
        // SAFETY: null or room for the answer, by VST3's rule.
        unsafe { self.describe(index, info, PluginInfo::create_class_info_unicode) }
    }

    unsafe fn setHostContext(&self, context: *mut FUnknown) -> tresult {
        // SAFETY: null or valid, by VST3's rule.
        let context = unsafe { ComRef::from_raw(context) }.map(|context| context.to_com_ptr());
        *self.context.lock().unwrap_or_else(PoisonError::into_inner) = context;
        kResultOk
    }
}

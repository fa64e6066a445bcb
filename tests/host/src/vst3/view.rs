//! What a host shows of an insert, and tells it: the editor inside a window of the host's, gain reduction, the track.

use std::ffi::CStr;
use std::sync::Arc;

use vst3::Steinberg::Vst::ChannelContext::{
    IInfoListener, IInfoListenerTrait, kChannelColorKey, kChannelNameKey,
};
use vst3::Steinberg::Vst::IAttributeList_::AttrID;
use vst3::Steinberg::Vst::{IAttributeList, IAttributeListTrait, IEditControllerTrait, TChar};
use vst3::Steinberg::{
    FUnknown, FUnknownVtbl, IPlugFrame, IPlugView, IPlugViewTrait, ViewRect, int64, kInvalidArgument,
    kPlatformTypeX11EmbedWindowID, kResultFalse, kResultOk, tresult, uint32,
};
use vst3::com_scrape_types::Unknown;
use vst3::{Class, ComPtr, ComWrapper, uid};

use super::Vst3Insert;
use super::handler::size_of_view;
use crate::clap::SizePx;
use crate::lock;
use crate::rules::{HostRules, Rule};

/// An editor; its end takes it out of its window.
pub struct Vst3View {
    view: ComPtr<IPlugView>,
}

impl Drop for Vst3View {
    fn drop(&mut self) {
        // SAFETY: the view was attached once; null takes the frame away.
        unsafe {
            self.view.removed();
            self.view.setFrame(std::ptr::null_mut());
        }
    }
}

impl Vst3Insert {
    /// Makes the editor and says how large it wishes to be.
    /// Panics where there is none.
    #[must_use]
    pub fn create_view(&mut self) -> (ComPtr<IPlugView>, SizePx) {
        // SAFETY: VST3's name for an editor, there is room for the answer, and the view is ours.
        unsafe {
            let view = self.controller.createView(c"editor".as_ptr());
            let view = ComPtr::from_raw(view).expect("no editor");
            let mut size: ViewRect = std::mem::zeroed();
            assert_eq!(view.getSize(&raw mut size), kResultOk);
            (view, size_of_view(&size))
        }
    }

    /// Has the frame of the editor take the sizes that it is asked for, or keep its own.
    pub fn follow_sizes(&mut self, follows: bool) {
        lock(&self.context().frame).follows = follows;
    }

    /// The sizes that the editor asked its frame for, after one turn of the run loop; forgets them.
    pub fn take_sizes(&mut self) -> Vec<SizePx> {
        self.take_requests();
        std::mem::take(&mut lock(&self.context().frame).asked)
    }

    /// Puts an editor into the X11 window `parent`.
    /// Panics where it refuses.
    #[must_use]
    pub fn attach(&mut self, view: ComPtr<IPlugView>, parent: u32) -> Vst3View {
        let frame = self.context().to_com_ptr::<IPlugFrame>();
        let frame = frame.expect("the class has it");
        lock(&self.context().frame).view = view.as_ptr() as usize;
        // SAFETY: the frame is counted; the window is the caller's, and outlives the view.
        unsafe {
            assert_eq!(view.setFrame(frame.as_ptr()), kResultOk);
            let attached = view.attached(parent as usize as *mut _, kPlatformTypeX11EmbedWindowID);
            assert_eq!(attached, kResultOk, "the editor refused its window");
        }
        Vst3View { view }
    }

    /// The gain that the plug-in reports for mixer strips, dB; `None` where it reports none.
    #[must_use]
    pub fn gain_reduction_db(&self) -> Option<f64> {
        let id = uid(0x8e3c_292c, 0x9592_4f9d, 0xb259_0b1e, 0x100e_4198).map(|byte| byte as u8);
        let unknown = self.controller.as_ptr().cast::<FUnknown>();
        // SAFETY: the insert lives, and what it hands over for this id has the shape of the header, with one reference.
        unsafe {
            let info = FUnknown::query_interface(unknown, &id)?.cast::<GainReductionInfo>();
            let gain_db = ((*(*info).vtbl).gain_reduction_db)(info);
            FUnknown::release(info.cast());
            Some(gain_db)
        }
    }

    /// Tells name and colour (alpha, red, green, blue) of the track; whether the plug-in took them.
    pub fn set_track(&mut self, name: &str, colour: u32) -> bool {
        let list = ComWrapper::new(Track {
            name: name.encode_utf16().chain([0]).collect(),
            colour,
            rules: Arc::clone(&self.rules),
        });
        let listener = self.controller.cast::<IInfoListener>();
        // SAFETY: the list lives as long as the call.
        listener
            .zip(list.as_com_ref::<IAttributeList>())
            .is_some_and(|(listener, list)| unsafe {
                listener.setChannelContextInfos(list.as_ptr()) == kResultOk
            })
    }
}

/// `IGainReductionInfo` of the header `ipslgainreduction.h`.
#[repr(C)]
struct GainReductionInfo {
    vtbl: *const GainReductionInfoVtbl,
}

#[repr(C)]
struct GainReductionInfoVtbl {
    _base: FUnknownVtbl,
    gain_reduction_db: unsafe extern "system" fn(*mut GainReductionInfo) -> f64,
}

/// What the host tells of a track.
struct Track {
    name: Vec<u16>,
    colour: u32,
    rules: Arc<HostRules>,
}

impl Class for Track {
    type Interfaces = (IAttributeList,);
}

/// Whether a plug-in asks for `key`.
///
/// # Safety
///
/// Both end with zero.
unsafe fn is(id: AttrID, key: AttrID) -> bool {
    // SAFETY: the caller's promise.
    unsafe { CStr::from_ptr(id) == CStr::from_ptr(key) }
}

impl IAttributeListTrait for Track {
    unsafe fn setInt(&self, _id: AttrID, _value: int64) -> tresult {
        kResultFalse
    }

    unsafe fn getInt(&self, id: AttrID, value: *mut int64) -> tresult {
        self.rules.check("IAttributeList::getInt", Rule::MainThread);
        // SAFETY: VST3 has the plug-in pass a text that ends with zero, and room for the answer.
        unsafe {
            if !is(id, kChannelColorKey) {
                return kInvalidArgument;
            }
            *value = self.colour.into();
        }
        kResultOk
    }

    unsafe fn setFloat(&self, _id: AttrID, _value: f64) -> tresult {
        kResultFalse
    }

    unsafe fn getFloat(&self, _id: AttrID, _value: *mut f64) -> tresult {
        kInvalidArgument
    }

    unsafe fn setString(&self, _id: AttrID, _string: *const TChar) -> tresult {
        kResultFalse
    }

    unsafe fn getString(&self, id: AttrID, string: *mut TChar, size_bytes: uint32) -> tresult {
        self.rules.check("IAttributeList::getString", Rule::MainThread);
        // SAFETY: VST3 has the plug-in pass a text that ends with zero, and room for `size_bytes`.
        unsafe {
            let room = size_bytes as usize / size_of::<TChar>();
            if !is(id, kChannelNameKey) || self.name.len() > room {
                return kInvalidArgument;
            }
            std::ptr::copy_nonoverlapping(self.name.as_ptr().cast(), string, self.name.len());
        }
        kResultOk
    }

    unsafe fn setBinary(&self, _id: AttrID, _data: *const std::ffi::c_void, _size_bytes: uint32) -> tresult {
        kResultFalse
    }

    unsafe fn getBinary(
        &self,
        _id: AttrID,
        _data: *mut *const std::ffi::c_void,
        _size_bytes: *mut uint32,
    ) -> tresult {
        kInvalidArgument
    }
}

//! `IGainReductionInfo`: what the stages take away, for the mixer strips of hosts. It is no part of VST3: some hosts ask for
//! this extension, which its makers have put into the public domain (header `ipslgainreduction.h`).

use nice_plug::wrapper::vst3::vst3::Steinberg::{FUnknown, FUnknownVtbl, TUID};
use nice_plug::wrapper::vst3::vst3::com_scrape_types::{Construct, Guid, Header, Inherits, Unknown, Wrapper};
use nice_plug::wrapper::vst3::vst3::{Interface, uid};

use super::instance::Instance;
use crate::kind::Kind;

/// The interface, as a host calls it.
#[repr(C)]
pub struct IGainReductionInfo {
    vtbl: *const GainReductionInfoVtbl,
}

/// Its functions, in the order of the header.
#[repr(C)]
pub struct GainReductionInfoVtbl {
    base: FUnknownVtbl,
    gain_reduction_db: unsafe extern "system" fn(*mut IGainReductionInfo) -> f64,
}

impl Unknown for IGainReductionInfo {
    unsafe fn query_interface(this: *mut Self, iid: &Guid) -> Option<*mut std::ffi::c_void> {
        // SAFETY: an `IGainReductionInfo` begins with an `FUnknown`.
        unsafe { FUnknown::query_interface(this.cast(), iid) }
    }

    unsafe fn add_ref(this: *mut Self) -> usize {
        // SAFETY: as in `query_interface`.
        unsafe { FUnknown::add_ref(this.cast()) }
    }

    unsafe fn release(this: *mut Self) -> usize {
        // SAFETY: as in `query_interface`.
        unsafe { FUnknown::release(this.cast()) }
    }
}

// SAFETY: the table of functions begins with that of `FUnknown`.
unsafe impl Inherits<FUnknown> for IGainReductionInfo {}

// SAFETY: the struct is a pointer to its table of functions, and `inherits` names what the table begins with.
unsafe impl Interface for IGainReductionInfo {
    type Vtbl = GainReductionInfoVtbl;

    const IID: Guid = bytes(uid(0x8e3c_292c, 0x9592_4f9d, 0xb259_0b1e, 0x100e_4198));

    fn inherits(iid: &Guid) -> bool {
        iid == &Self::IID || FUnknown::inherits(iid)
    }
}

// SAFETY: the object points to a whole table, whose function finds the insert at `OFFSET`, as that of `FUnknown` does.
unsafe impl<K: Kind, W, const OFFSET: isize> Construct<Instance<K>, W, OFFSET> for IGainReductionInfo
where
    W: Wrapper<Instance<K>>,
{
    const OBJ: Self = Self {
        vtbl: &GainReductionInfoVtbl {
            base: FUnknown::make_vtbl::<Instance<K>, W, OFFSET>(),
            gain_reduction_db: gain_reduction_db::<K, W, OFFSET>,
        },
    };
}

/// An id as unsigned bytes.
const fn bytes(id: TUID) -> Guid {
    let mut bytes = [0; 16];
    let mut index = 0;
    while index < bytes.len() {
        bytes[index] = id[index] as u8;
        index += 1;
    }
    bytes
}

/// The gain in dB, 0 or negative, without makeup.
unsafe extern "system" fn gain_reduction_db<K: Kind, W: Wrapper<Instance<K>>, const OFFSET: isize>(
    this: *mut IGainReductionInfo,
) -> f64 {
    // SAFETY: `this` lies at `OFFSET` in the header of an insert, which lives while a host holds a reference to it.
    unsafe {
        let header = this.byte_offset(-OFFSET).cast::<Header<Instance<K>>>();
        f64::from((*W::data_from_header(header)).gain_db())
    }
}

//! What needs no guard goes to the framework as it comes: groups of parameters, and what a host tells of the track.

use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::{
    BusDirection, CString, ChannelContext::IInfoListenerTrait, IAttributeList,
    IProcessContextRequirementsTrait, IUnitInfoTrait, MediaType, ProgramListID, ProgramListInfo, String128,
    UnitID, UnitInfo,
};
use nice_plug::wrapper::vst3::vst3::Steinberg::{IBStream, int16, int32, tresult, uint32};

use super::guarded::Guarded;
use crate::kind::Kind;

// SAFETY of what follows: whatever a host passes goes on as it is, to the function that the host meant.

impl<K: Kind> IProcessContextRequirementsTrait for Guarded<K> {
    unsafe fn getProcessContextRequirements(&self) -> uint32 {
        // SAFETY: as above.
        unsafe { IProcessContextRequirementsTrait::getProcessContextRequirements(&self.framework) }
    }
}

impl<K: Kind> IUnitInfoTrait for Guarded<K> {
    unsafe fn getUnitCount(&self) -> int32 {
        // SAFETY: as above.
        unsafe { IUnitInfoTrait::getUnitCount(&self.framework) }
    }

    unsafe fn getUnitInfo(&self, unit_index: int32, info: *mut UnitInfo) -> tresult {
        // SAFETY: as above.
        unsafe { IUnitInfoTrait::getUnitInfo(&self.framework, unit_index, info) }
    }

    unsafe fn getProgramListCount(&self) -> int32 {
        // SAFETY: as above.
        unsafe { IUnitInfoTrait::getProgramListCount(&self.framework) }
    }

    unsafe fn getProgramListInfo(&self, list_index: int32, info: *mut ProgramListInfo) -> tresult {
        // SAFETY: as above.
        unsafe { IUnitInfoTrait::getProgramListInfo(&self.framework, list_index, info) }
    }

    unsafe fn getProgramName(
        &self,
        list_id: ProgramListID,
        program_index: int32,
        name: *mut String128,
    ) -> tresult {
        // SAFETY: as above.
        unsafe { IUnitInfoTrait::getProgramName(&self.framework, list_id, program_index, name) }
    }

    unsafe fn getProgramInfo(
        &self,
        list_id: ProgramListID,
        program_index: int32,
        attribute_id: CString,
        attribute_value: *mut String128,
    ) -> tresult {
        // SAFETY: as above.
        unsafe {
            IUnitInfoTrait::getProgramInfo(
                &self.framework,
                list_id,
                program_index,
                attribute_id,
                attribute_value,
            )
        }
    }

    unsafe fn hasProgramPitchNames(&self, list_id: ProgramListID, program_index: int32) -> tresult {
        // SAFETY: as above.
        unsafe { IUnitInfoTrait::hasProgramPitchNames(&self.framework, list_id, program_index) }
    }

    unsafe fn getProgramPitchName(
        &self,
        list_id: ProgramListID,
        program_index: int32,
        midi_pitch: int16,
        name: *mut String128,
    ) -> tresult {
        // SAFETY: as above.
        unsafe {
            IUnitInfoTrait::getProgramPitchName(&self.framework, list_id, program_index, midi_pitch, name)
        }
    }

    unsafe fn getSelectedUnit(&self) -> UnitID {
        // SAFETY: as above.
        unsafe { IUnitInfoTrait::getSelectedUnit(&self.framework) }
    }

    unsafe fn selectUnit(&self, unit_id: UnitID) -> tresult {
        // SAFETY: as above.
        unsafe { IUnitInfoTrait::selectUnit(&self.framework, unit_id) }
    }

    unsafe fn getUnitByBus(
        &self,
        media: MediaType,
        dir: BusDirection,
        bus_index: int32,
        channel: int32,
        unit_id: *mut UnitID,
    ) -> tresult {
        // SAFETY: as above.
        unsafe { IUnitInfoTrait::getUnitByBus(&self.framework, media, dir, bus_index, channel, unit_id) }
    }

    unsafe fn setUnitProgramData(
        &self,
        list_or_unit_id: int32,
        program_index: int32,
        data: *mut IBStream,
    ) -> tresult {
        // SAFETY: as above.
        unsafe { IUnitInfoTrait::setUnitProgramData(&self.framework, list_or_unit_id, program_index, data) }
    }
}

impl<K: Kind> IInfoListenerTrait for Guarded<K> {
    unsafe fn setChannelContextInfos(&self, list: *mut IAttributeList) -> tresult {
        // SAFETY: as above.
        unsafe { IInfoListenerTrait::setChannelContextInfos(&self.framework, list) }
    }
}

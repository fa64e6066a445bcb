//! What needs no guard goes to the framework as it comes: the insert, its parameters and its sound.

use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::{
    BusDirection, BusInfo, IAudioProcessorTrait, IComponentHandler, IComponentTrait, IEditControllerTrait,
    IoMode, MediaType, ParamID, ParamValue, ParameterInfo, ProcessData, ProcessSetup, RoutingInfo,
    SpeakerArrangement, String128, TChar,
};
use nice_plug::wrapper::vst3::vst3::Steinberg::{
    FIDString, FUnknown, IBStream, IPlugView, IPluginBaseTrait, TBool, TUID, int32, kInvalidArgument,
    kResultOk, tresult, uint32,
};

use super::guarded::Guarded;
use crate::kind::Kind;

// SAFETY of what follows: whatever a host passes goes on as it is, to the function that the host meant.

impl<K: Kind> IPluginBaseTrait for Guarded<K> {
    unsafe fn initialize(&self, context: *mut FUnknown) -> tresult {
        // SAFETY: as above.
        unsafe { IPluginBaseTrait::initialize(&self.framework, context) }
    }

    unsafe fn terminate(&self) -> tresult {
        // SAFETY: as above.
        unsafe { IPluginBaseTrait::terminate(&self.framework) }
    }
}

impl<K: Kind> IComponentTrait for Guarded<K> {
    unsafe fn getControllerClassId(&self, class_id: *mut TUID) -> tresult {
        // SAFETY: as above.
        unsafe { IComponentTrait::getControllerClassId(&self.framework, class_id) }
    }

    unsafe fn setIoMode(&self, mode: IoMode) -> tresult {
        // SAFETY: as above.
        unsafe { IComponentTrait::setIoMode(&self.framework, mode) }
    }

    unsafe fn getBusCount(&self, media: MediaType, dir: BusDirection) -> int32 {
        // SAFETY: as above.
        unsafe { IComponentTrait::getBusCount(&self.framework, media, dir) }
    }

    unsafe fn getBusInfo(
        &self,
        media: MediaType,
        dir: BusDirection,
        index: int32,
        bus: *mut BusInfo,
    ) -> tresult {
        // SAFETY: as above.
        unsafe { IComponentTrait::getBusInfo(&self.framework, media, dir, index, bus) }
    }

    unsafe fn getRoutingInfo(&self, in_info: *mut RoutingInfo, out_info: *mut RoutingInfo) -> tresult {
        // SAFETY: as above.
        unsafe { IComponentTrait::getRoutingInfo(&self.framework, in_info, out_info) }
    }

    unsafe fn activateBus(&self, media: MediaType, dir: BusDirection, index: int32, state: TBool) -> tresult {
        // SAFETY: as above.
        unsafe { IComponentTrait::activateBus(&self.framework, media, dir, index, state) }
    }

    unsafe fn setActive(&self, state: TBool) -> tresult {
        // SAFETY: as above.
        unsafe { self.activate(state) }
    }

    unsafe fn setState(&self, state: *mut IBStream) -> tresult {
        // SAFETY: as above.
        unsafe { IComponentTrait::setState(&self.framework, state) }
    }

    unsafe fn getState(&self, state: *mut IBStream) -> tresult {
        // SAFETY: as above.
        unsafe { IComponentTrait::getState(&self.framework, state) }
    }
}

impl<K: Kind> IEditControllerTrait for Guarded<K> {
    unsafe fn setComponentState(&self, state: *mut IBStream) -> tresult {
        // SAFETY: as above.
        unsafe { IEditControllerTrait::setComponentState(&self.framework, state) }
    }

    unsafe fn setState(&self, state: *mut IBStream) -> tresult {
        // SAFETY: as above.
        unsafe { IEditControllerTrait::setState(&self.framework, state) }
    }

    unsafe fn getState(&self, state: *mut IBStream) -> tresult {
        // SAFETY: as above.
        unsafe { IEditControllerTrait::getState(&self.framework, state) }
    }

    unsafe fn getParameterCount(&self) -> int32 {
        // SAFETY: as above.
        unsafe { IEditControllerTrait::getParameterCount(&self.framework) }
    }

    unsafe fn getParameterInfo(&self, param_index: int32, info: *mut ParameterInfo) -> tresult {
        // The framework looks at one parameter more than there are.
        // SAFETY: as above.
        if param_index >= unsafe { self.getParameterCount() } {
            return kInvalidArgument;
        }
        // SAFETY: as above.
        unsafe { IEditControllerTrait::getParameterInfo(&self.framework, param_index, info) }
    }

    unsafe fn getParamStringByValue(
        &self,
        id: ParamID,
        value_normalized: ParamValue,
        string: *mut String128,
    ) -> tresult {
        // SAFETY: as above.
        unsafe { IEditControllerTrait::getParamStringByValue(&self.framework, id, value_normalized, string) }
    }

    unsafe fn getParamValueByString(
        &self,
        id: ParamID,
        string: *mut TChar,
        value_normalized: *mut ParamValue,
    ) -> tresult {
        // SAFETY: as above.
        unsafe { IEditControllerTrait::getParamValueByString(&self.framework, id, string, value_normalized) }
    }

    unsafe fn normalizedParamToPlain(&self, id: ParamID, value_normalized: ParamValue) -> ParamValue {
        // SAFETY: as above.
        unsafe { IEditControllerTrait::normalizedParamToPlain(&self.framework, id, value_normalized) }
    }

    unsafe fn plainParamToNormalized(&self, id: ParamID, plain_value: ParamValue) -> ParamValue {
        // SAFETY: as above.
        unsafe { IEditControllerTrait::plainParamToNormalized(&self.framework, id, plain_value) }
    }

    unsafe fn getParamNormalized(&self, id: ParamID) -> ParamValue {
        // SAFETY: as above.
        unsafe { IEditControllerTrait::getParamNormalized(&self.framework, id) }
    }

    unsafe fn setParamNormalized(&self, id: ParamID, value: ParamValue) -> tresult {
        // SAFETY: as above.
        unsafe { IEditControllerTrait::setParamNormalized(&self.framework, id, value) }
    }

    unsafe fn setComponentHandler(&self, handler: *mut IComponentHandler) -> tresult {
        // SAFETY: as above.
        unsafe { self.relay.connect(handler) };
        kResultOk
    }

    unsafe fn createView(&self, name: FIDString) -> *mut IPlugView {
        // SAFETY: as above.
        unsafe { IEditControllerTrait::createView(&self.framework, name) }
    }
}

impl<K: Kind> IAudioProcessorTrait for Guarded<K> {
    unsafe fn setBusArrangements(
        &self,
        inputs: *mut SpeakerArrangement,
        num_ins: int32,
        outputs: *mut SpeakerArrangement,
        num_outs: int32,
    ) -> tresult {
        // SAFETY: as above.
        unsafe { self.arrange(inputs, num_ins, outputs, num_outs) }
    }

    unsafe fn getBusArrangement(
        &self,
        dir: BusDirection,
        index: int32,
        arr: *mut SpeakerArrangement,
    ) -> tresult {
        // SAFETY: as above.
        unsafe { IAudioProcessorTrait::getBusArrangement(&self.framework, dir, index, arr) }
    }

    unsafe fn canProcessSampleSize(&self, symbolic_sample_size: int32) -> tresult {
        // SAFETY: as above.
        unsafe { IAudioProcessorTrait::canProcessSampleSize(&self.framework, symbolic_sample_size) }
    }

    unsafe fn getLatencySamples(&self) -> uint32 {
        // SAFETY: as above.
        unsafe { IAudioProcessorTrait::getLatencySamples(&self.framework) }
    }

    unsafe fn setupProcessing(&self, setup: *mut ProcessSetup) -> tresult {
        // SAFETY: as above.
        unsafe { self.set_up(setup) }
    }

    unsafe fn setProcessing(&self, state: TBool) -> tresult {
        // SAFETY: as above.
        unsafe { IAudioProcessorTrait::setProcessing(&self.framework, state) }
    }

    unsafe fn process(&self, data: *mut ProcessData) -> tresult {
        // SAFETY: as above.
        unsafe { self.run(data) }
    }

    unsafe fn getTailSamples(&self) -> uint32 {
        // SAFETY: as above.
        unsafe { IAudioProcessorTrait::getTailSamples(&self.framework) }
    }
}

//! The interfaces of a VST3 insert: calls that need no check go to the framework unchanged, the others to [`Instance`].

use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::ChannelContext::IInfoListenerTrait;
use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::{
    BusDirection, BusInfo, CString, IAttributeList, IAudioProcessorTrait, IComponentHandler, IComponentTrait,
    IEditControllerTrait, IProcessContextRequirementsTrait, IUnitInfoTrait, IoMode, MediaType, ParamID,
    ParamValue, ParameterInfo, ProcessData, ProcessSetup, ProgramListID, ProgramListInfo, RoutingInfo,
    SpeakerArrangement, String128, TChar, UnitID, UnitInfo,
};
use nice_plug::wrapper::vst3::vst3::Steinberg::{
    FIDString, FUnknown, IBStream, IPlugView, IPluginBaseTrait, TBool, TUID, int16, int32, tresult, uint32,
};

use super::instance::Instance;
use crate::kind::Kind;

/// Implements interfaces. `fn name(arguments) -> result;` calls the framework, `=> method` at its end a method of
/// [`Instance`] with the same arguments.
macro_rules! forward {
    ($($interface:ident { $(fn $name:ident($($argument:ident: $type:ty),*) -> $result:ty $(=> $method:ident)?;)* })*) => {
        $(impl<K: Kind> $interface for Instance<K> {
            $(unsafe fn $name(&self, $($argument: $type),*) -> $result {
                // SAFETY: what a host passes to this function of the interface goes on to the same function.
                unsafe { forward!(@call self, $interface, $name, ($($argument),*), $($method)?) }
            })*
        })*
    };
    (@call $self:ident, $interface:ident, $name:ident, ($($argument:ident),*),) => {
        $interface::$name(&$self.framework, $($argument),*)
    };
    (@call $self:ident, $interface:ident, $name:ident, ($($argument:ident),*), $method:ident) => {
        $self.$method($($argument),*)
    };
}

forward! {
    IPluginBaseTrait {
        fn initialize(context: *mut FUnknown) -> tresult => initialize;
        fn terminate() -> tresult => terminate;
    }

    IComponentTrait {
        fn getControllerClassId(class_id: *mut TUID) -> tresult;
        fn setIoMode(mode: IoMode) -> tresult;
        fn getBusCount(media: MediaType, direction: BusDirection) -> int32;
        fn getBusInfo(media: MediaType, direction: BusDirection, index: int32, bus: *mut BusInfo) -> tresult;
        fn getRoutingInfo(input: *mut RoutingInfo, output: *mut RoutingInfo) -> tresult;
        fn activateBus(media: MediaType, direction: BusDirection, index: int32, state: TBool) -> tresult;
        fn setActive(state: TBool) -> tresult => set_active;
        fn setState(state: *mut IBStream) -> tresult => set_state;
        fn getState(state: *mut IBStream) -> tresult;
    }

    IEditControllerTrait {
        fn setComponentState(state: *mut IBStream) -> tresult;
        fn setState(state: *mut IBStream) -> tresult;
        fn getState(state: *mut IBStream) -> tresult;
        fn getParameterCount() -> int32;
        fn getParameterInfo(index: int32, info: *mut ParameterInfo) -> tresult => parameter_info;
        fn getParamStringByValue(id: ParamID, normalized: ParamValue, string: *mut String128) -> tresult;
        fn getParamValueByString(id: ParamID, string: *mut TChar, normalized: *mut ParamValue) -> tresult;
        fn normalizedParamToPlain(id: ParamID, normalized: ParamValue) -> ParamValue;
        fn plainParamToNormalized(id: ParamID, plain: ParamValue) -> ParamValue;
        fn getParamNormalized(id: ParamID) -> ParamValue => param_normalized;
        fn setParamNormalized(id: ParamID, normalized: ParamValue) -> tresult => set_param_normalized;
        fn setComponentHandler(handler: *mut IComponentHandler) -> tresult => set_component_handler;
        fn createView(name: FIDString) -> *mut IPlugView => create_view;
    }

    IAudioProcessorTrait {
        fn setBusArrangements(
            inputs: *mut SpeakerArrangement,
            input_count: int32,
            outputs: *mut SpeakerArrangement,
            output_count: int32
        ) -> tresult => set_bus_arrangements;
        fn getBusArrangement(direction: BusDirection, index: int32, arrangement: *mut SpeakerArrangement) -> tresult;
        fn canProcessSampleSize(sample_size: int32) -> tresult => can_process_sample_size;
        fn getLatencySamples() -> uint32;
        fn setupProcessing(setup: *mut ProcessSetup) -> tresult => setup_processing;
        fn setProcessing(state: TBool) -> tresult => set_processing;
        fn process(data: *mut ProcessData) -> tresult => process_block;
        fn getTailSamples() -> uint32;
    }

    IProcessContextRequirementsTrait {
        fn getProcessContextRequirements() -> uint32;
    }

    IUnitInfoTrait {
        fn getUnitCount() -> int32;
        fn getUnitInfo(index: int32, info: *mut UnitInfo) -> tresult;
        fn getProgramListCount() -> int32;
        fn getProgramListInfo(index: int32, info: *mut ProgramListInfo) -> tresult;
        fn getProgramName(list: ProgramListID, program: int32, name: *mut String128) -> tresult;
        fn getProgramInfo(list: ProgramListID, program: int32, attribute: CString, value: *mut String128) -> tresult;
        fn hasProgramPitchNames(list: ProgramListID, program: int32) -> tresult;
        fn getProgramPitchName(list: ProgramListID, program: int32, pitch: int16, name: *mut String128) -> tresult;
        fn getSelectedUnit() -> UnitID;
        fn selectUnit(unit: UnitID) -> tresult;
        fn getUnitByBus(
            media: MediaType,
            direction: BusDirection,
            bus: int32,
            channel: int32,
            unit: *mut UnitID
        ) -> tresult;
        fn setUnitProgramData(list_or_unit: int32, program: int32, data: *mut IBStream) -> tresult;
    }

    IInfoListenerTrait {
        fn setChannelContextInfos(list: *mut IAttributeList) -> tresult;
    }
}

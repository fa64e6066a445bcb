//! Changes of parameters in a block, as VST3 hands them over: a queue for each parameter.

use vst3::Steinberg::Vst::{
    IParamValueQueue, IParamValueQueueTrait, IParameterChanges, IParameterChangesTrait, ParamID, ParamValue,
};
use vst3::Steinberg::{int32, kInvalidArgument, kResultOk, tresult};
use vst3::{Class, ComWrapper};

use crate::hosts::clap::{Said, Told};

/// The changes of one block.
pub struct Changes(Vec<ComWrapper<Queue>>);

/// The changes of one parameter.
struct Queue {
    parameter: ParamID,
    points: Vec<(int32, ParamValue)>,
}

impl Changes {
    /// The values that are told; what only CLAP knows is left out.
    pub fn new(told: &[Told]) -> Self {
        let mut queues: Vec<Queue> = Vec::new();
        for told in told {
            let Said::Value(value) = told.said else { continue };
            let point = (told.sample as int32, value);
            match queues.iter_mut().find(|queue| queue.parameter == told.parameter) {
                Some(queue) => queue.points.push(point),
                None => queues.push(Queue {
                    parameter: told.parameter,
                    points: vec![point],
                }),
            }
        }
        Self(queues.into_iter().map(ComWrapper::new).collect())
    }
}

impl Class for Changes {
    type Interfaces = (IParameterChanges,);
}

impl Class for Queue {
    type Interfaces = (IParamValueQueue,);
}

impl IParameterChangesTrait for Changes {
    unsafe fn getParameterCount(&self) -> int32 {
        self.0.len() as int32
    }

    unsafe fn getParameterData(&self, index: int32) -> *mut IParamValueQueue {
        usize::try_from(index)
            .ok()
            .and_then(|index| self.0.get(index)?.as_com_ref::<IParamValueQueue>())
            .map_or(std::ptr::null_mut(), |queue| queue.as_ptr())
    }

    unsafe fn addParameterData(&self, _id: *const ParamID, _index: *mut int32) -> *mut IParamValueQueue {
        std::ptr::null_mut()
    }
}

impl IParamValueQueueTrait for Queue {
    unsafe fn getParameterId(&self) -> ParamID {
        self.parameter
    }

    unsafe fn getPointCount(&self) -> int32 {
        self.points.len() as int32
    }

    unsafe fn getPoint(&self, index: int32, sample: *mut int32, value: *mut ParamValue) -> tresult {
        let point = usize::try_from(index)
            .ok()
            .and_then(|index| self.points.get(index));
        let Some(&(at, to)) = point else {
            return kInvalidArgument;
        };
        // SAFETY: the plug-in asks with room for the answers.
        unsafe {
            *sample = at;
            *value = to;
        }
        kResultOk
    }

    unsafe fn addPoint(&self, _sample: int32, _value: ParamValue, _index: *mut int32) -> tresult {
        kInvalidArgument
    }
}

//! Changes of parameters in a block, as VST3 hands them over: a queue for each parameter. Only the audio thread may read
//! them.

use std::sync::Arc;

use vst3::Steinberg::Vst::{
    IParamValueQueue, IParamValueQueueTrait, IParameterChanges, IParameterChangesTrait, ParamID, ParamValue,
};
use vst3::Steinberg::{int32, kInvalidArgument, kResultOk, tresult};
use vst3::{Class, ComWrapper};

use crate::rules::{HostRules, Rule};
use crate::{EventKind, ParamEvent};

/// The changes of one block.
pub struct Changes {
    rules: Arc<HostRules>,
    queues: Vec<ComWrapper<Queue>>,
}

/// The changes of one parameter.
struct Queue {
    rules: Arc<HostRules>,
    parameter: ParamID,
    points: Vec<(int32, ParamValue)>,
}

impl Changes {
    /// The values among `events`; what only CLAP has is left out.
    pub fn new(events: &[ParamEvent], rules: &Arc<HostRules>) -> Self {
        let mut queues: Vec<Queue> = Vec::new();
        for event in events {
            let EventKind::Value(value) = event.kind else {
                continue;
            };
            let point = (event.sample as int32, value);
            match queues.iter_mut().find(|queue| queue.parameter == event.parameter) {
                Some(queue) => queue.points.push(point),
                None => queues.push(Queue {
                    rules: Arc::clone(rules),
                    parameter: event.parameter,
                    points: vec![point],
                }),
            }
        }
        Self {
            rules: Arc::clone(rules),
            queues: queues.into_iter().map(ComWrapper::new).collect(),
        }
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
        self.rules
            .check("IParameterChanges::getParameterCount", Rule::AudioThread);
        self.queues.len() as int32
    }

    unsafe fn getParameterData(&self, index: int32) -> *mut IParamValueQueue {
        self.rules
            .check("IParameterChanges::getParameterData", Rule::AudioThread);
        usize::try_from(index)
            .ok()
            .and_then(|index| self.queues.get(index)?.as_com_ref::<IParamValueQueue>())
            .map_or(std::ptr::null_mut(), |queue| queue.as_ptr())
    }

    unsafe fn addParameterData(&self, _id: *const ParamID, _index: *mut int32) -> *mut IParamValueQueue {
        self.rules
            .note("IParameterChanges::addParameterData: on the list that the plug-in reads".to_owned());
        std::ptr::null_mut()
    }
}

impl IParamValueQueueTrait for Queue {
    unsafe fn getParameterId(&self) -> ParamID {
        self.rules
            .check("IParamValueQueue::getParameterId", Rule::AudioThread);
        self.parameter
    }

    unsafe fn getPointCount(&self) -> int32 {
        self.rules
            .check("IParamValueQueue::getPointCount", Rule::AudioThread);
        self.points.len() as int32
    }

    unsafe fn getPoint(&self, index: int32, sample: *mut int32, value: *mut ParamValue) -> tresult {
        self.rules.check("IParamValueQueue::getPoint", Rule::AudioThread);
        let index = usize::try_from(index).ok();
        let Some(&(at, to)) = index.and_then(|index| self.points.get(index)) else {
            return kInvalidArgument;
        };
        // SAFETY: VST3 has the plug-in pass room for both answers.
        unsafe {
            *sample = at;
            *value = to;
        }
        kResultOk
    }

    unsafe fn addPoint(&self, _sample: int32, _value: ParamValue, _index: *mut int32) -> tresult {
        self.rules
            .note("IParamValueQueue::addPoint: on a queue that the plug-in reads".to_owned());
        kInvalidArgument
    }
}

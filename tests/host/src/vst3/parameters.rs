//! Parameters, their groups and their texts.

use vst3::Steinberg::Vst::{
    IEditControllerTrait, IUnitInfo, IUnitInfoTrait, ParameterInfo, ParameterInfo_::ParameterFlags_,
    String128, UnitInfo,
};
use vst3::Steinberg::kResultOk;

use super::{Vst3Insert, wide_text};

/// One parameter, as VST3 describes it.
#[derive(Debug, Clone, PartialEq)]
pub struct Vst3Parameter {
    /// The number that VST3 addresses it by.
    pub id: u32,
    /// The name that a person reads.
    pub title: String,
    /// How many steps lie between its ends; 0 is a continuous one.
    pub steps: i32,
    /// The value of a new insert, 0 to 1.
    pub default: f64,
    /// The number of its group.
    pub unit: i32,
    /// Whether a host may automate it.
    pub can_automate: bool,
    /// Whether it is the bypass.
    pub is_bypass: bool,
    /// Every flag, as VST3 numbers them.
    pub flags: i32,
}

/// A group of parameters.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unit {
    /// Its number.
    pub id: i32,
    /// The number of the group that it lies in.
    pub parent: i32,
    /// The name that a person reads.
    pub name: String,
}

impl Vst3Insert {
    /// The number of the parameter with this title. Panics where there is none.
    pub fn number_of(&self, title: &str) -> u32 {
        let mut parameters = self.parameters().into_iter();
        let found = parameters.find(|parameter| parameter.title == title);
        found.expect("a parameter of this title").id
    }

    /// Parameter `index`, if there is one.
    pub fn parameter(&self, index: i32) -> Option<Vst3Parameter> {
        // SAFETY: numbers and texts, all of which may be zero; there is room for the answer.
        let info = unsafe {
            let mut info: ParameterInfo = std::mem::zeroed();
            (self.controller.getParameterInfo(index, &raw mut info) == kResultOk).then_some(info)
        }?;
        Some(Vst3Parameter {
            id: info.id,
            title: wide_text(&info.title.map(|unit| unit as u16)),
            steps: info.stepCount,
            default: info.defaultNormalizedValue,
            unit: info.unitId,
            can_automate: info.flags & ParameterFlags_::kCanAutomate as i32 != 0,
            is_bypass: info.flags & ParameterFlags_::kIsBypass as i32 != 0,
            flags: info.flags,
        })
    }

    /// Every parameter.
    pub fn parameters(&self) -> Vec<Vst3Parameter> {
        // SAFETY: a question without an argument.
        let count = unsafe { self.controller.getParameterCount() };
        (0..count).filter_map(|index| self.parameter(index)).collect()
    }

    /// Every group.
    pub fn units(&self) -> Vec<Unit> {
        let Some(units) = self.controller.cast::<IUnitInfo>() else {
            return Vec::new();
        };
        let unit = |index| {
            // SAFETY: numbers and texts, all of which may be zero; there is room for the answer.
            let info = unsafe {
                let mut info: UnitInfo = std::mem::zeroed();
                (units.getUnitInfo(index, &raw mut info) == kResultOk).then_some(info)
            }?;
            Some(Unit {
                id: info.id,
                parent: info.parentUnitId,
                name: wide_text(&info.name.map(|unit| unit as u16)),
            })
        };
        // SAFETY: a question without an argument.
        (0..unsafe { units.getUnitCount() }).filter_map(unit).collect()
    }

    /// A value as the plug-in writes it; `None` where it knows no such parameter.
    pub fn text_of(&self, id: u32, value: f64) -> Option<String> {
        let mut text: String128 = [0; 128];
        // SAFETY: there is room for the answer.
        let result = unsafe { self.controller.getParamStringByValue(id, value, &raw mut text) };
        (result == kResultOk).then(|| wide_text(&text.map(|unit| unit as u16)))
    }

    /// The value that a text stands for; `None` where there is none.
    pub fn value_of(&self, id: u32, text: &str) -> Option<f64> {
        let mut text: Vec<_> = text.encode_utf16().chain([0]).map(|unit| unit as _).collect();
        let mut value = 0.0;
        // SAFETY: the text ends with zero, and there is room for the answer.
        let result = unsafe {
            self.controller
                .getParamValueByString(id, text.as_mut_ptr(), &raw mut value)
        };
        (result == kResultOk).then_some(value)
    }

    /// The value of a parameter, 0 to 1.
    pub fn value(&self, id: u32) -> f64 {
        // SAFETY: numbers only.
        unsafe { self.controller.getParamNormalized(id) }
    }

    /// Sets a parameter without sound, as a host's own knob does; whether the plug-in took it.
    pub fn set(&mut self, id: u32, value: f64) -> bool {
        // SAFETY: numbers only.
        unsafe { self.controller.setParamNormalized(id, value) == kResultOk }
    }
}

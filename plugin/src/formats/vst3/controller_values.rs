//! Values that a host gave to the controller and the processor has not yet received.
//!
//! While sound runs the framework (nice-plug 0.4.2) ignores `setParamNormalized`, because the value also comes with a block,
//! and `getParamNormalized` reads the processor's value. VST3 has the controller return what it was told.

use std::sync::{Mutex, PoisonError};

use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::{ParamID, ParamValue};

/// One value on its way.
struct Pending {
    id: ParamID,
    told: ParamValue,
    /// The processor's value when the host told the new one.
    replaced: ParamValue,
}

/// The values of one insert.
#[derive(Default)]
pub struct ControllerValues(Mutex<Vec<Pending>>);

impl ControllerValues {
    /// The host set `id` to `told`; `current` is the processor's value after that.
    pub fn set(&self, id: ParamID, told: ParamValue, current: ParamValue) {
        let mut pending = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        pending.retain(|value| value.id != id);
        // The framework keeps values in 32 bits, a stepped one at its step.
        if (told - current).abs() > f64::from(f32::EPSILON) {
            pending.push(Pending {
                id,
                told,
                replaced: current,
            });
        }
    }

    /// The controller's value of `id`, where `current` is the processor's. A new value of the processor replaces a told one.
    pub fn get(&self, id: ParamID, current: ParamValue) -> ParamValue {
        let mut pending = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        pending.retain(|value| value.id != id || value.replaced == current);
        pending
            .iter()
            .find(|value| value.id == id)
            .map_or(current, |value| value.told)
    }

    /// Forgets every told value: a state was loaded.
    pub fn clear(&self) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).clear();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn told_value_is_returned_until_the_processor_has_another() {
        let values = ControllerValues::default();
        values.set(1, 0.75, 0.25);
        assert_eq!(values.get(1, 0.25), 0.75);
        assert_eq!(values.get(2, 0.25), 0.25);
        assert_eq!(values.get(1, 0.5), 0.5);
        assert_eq!(
            values.get(1, 0.25),
            0.25,
            "the processor's value stays the answer"
        );
    }

    #[test]
    fn accepted_value_and_state_leave_nothing_pending() {
        let values = ControllerValues::default();
        values.set(1, 0.1, f64::from(0.1_f32));
        assert_eq!(values.get(1, f64::from(0.1_f32)), f64::from(0.1_f32));
        values.set(1, 0.75, 0.25);
        values.clear();
        assert_eq!(values.get(1, 0.25), 0.25);
    }
}

//! What a stage receives once per hop.

use crate::analysis::Spectrum;
use crate::report::Class;

/// The analysed hop of the input.
#[derive(Debug, Clone, Copy)]
pub(crate) struct HopInput<'a> {
    pub class: Class,
    pub spectrum: &'a Spectrum,
    /// Power gain of the leveller, makeup included: levels are compared at its output.
    pub leveller_power_gain: f64,
}

//! What a stage receives once per hop.

use crate::analysis::Spectrum;
use crate::report::Class;

/// The analysed hop of the input.
#[derive(Debug, Clone, Copy)]
pub(crate) struct HopInput<'a> {
    pub class: Class,
    pub spectrum: &'a Spectrum,
    /// Power gain from the spectrum to where levels are compared: the leveller's output, of all sides.
    pub power_gain: f64,
}

//! Pages of eight parameters for hardware controllers, in the order in which a mixer reaches for them.

use nice_plug::prelude::{RemoteControlsContext, RemoteControlsSection};
use siskin_dsp::Stage;

use crate::params::InsertParams;

/// The name of each page, and the stages whose parameters are on it: at most eight together.
const PAGES: [(&str, &[Stage]); 4] = [
    ("Sibilance", &[Stage::Sibilance]),
    ("Leveller", &[Stage::Leveller]),
    ("Follow and Breath", &[Stage::Follow, Stage::Breath]),
    ("Output", &[Stage::Output]),
];

/// Defines the pages of an insert called `name`.
pub fn define(name: &str, params: &InsertParams, context: &mut impl RemoteControlsContext) {
    context.add_section(name, |section| {
        for (page_name, stages) in PAGES {
            section.add_page(page_name, |page| {
                let all = params.parameters().iter();
                for parameter in all.filter(|parameter| stages.contains(&parameter.spec().stage)) {
                    parameter.add_to(page);
                }
            });
        }
    });
}

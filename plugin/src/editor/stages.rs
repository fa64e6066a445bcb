//! The stages below the pictures, each with its heading and its controls.

use egui::{Align2, Stroke, Ui};
use siskin_dsp::Settings;

use super::desk::Desk;
use super::layout::{Layout, STAGES};
use super::{cell, palette, typeface};

/// Draws every stage.
pub fn show(ui: &mut Ui, desk: &mut Desk<'_>, layout: &Layout, settings: &Settings) {
    for (name, area) in layout.headings() {
        ui.painter().text(
            area.left_center(),
            Align2::LEFT_CENTER,
            name,
            typeface::heading(),
            typeface::ink(is_live(name, settings)),
        );
        ui.painter().hline(
            area.x_range(),
            area.bottom() - 1.0,
            Stroke::new(1.0, palette::EDGE),
        );
    }
    for control in desk.controls {
        let id = control.id;
        let Some(place) = layout.cell(id) else { continue };
        let stage = stage_of(id);
        let name = name_in(stage, control.knob.title());
        let live = is_live(stage, settings) || id.ends_with("_on");
        cell::cell(ui, desk, control, &place, (&name, live));
    }
}

fn stage_of(id: &str) -> &'static str {
    let stage = STAGES.iter().find(|(_, ids)| ids.contains(&id));
    stage.map_or("", |(name, _)| name)
}

/// Whether a stage does anything.
fn is_live(stage: &str, settings: &Settings) -> bool {
    match stage {
        "Leveller" => settings.leveller.on,
        "Sibilance" => settings.sibilance.on,
        "Breath" => settings.breath.on,
        _ => true,
    }
}

/// "Leveller threshold" under the heading "Leveller" reads "Threshold"; a stage's own switch needs no name.
fn name_in(stage: &str, name: &str) -> String {
    match name.strip_prefix(stage).map(str::trim_start) {
        Some("") if stage == "Follow" => "Follow time".to_owned(),
        Some("") => String::new(),
        Some(rest) => rest[..1].to_uppercase() + &rest[1..],
        None => name.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::editor::layout::FIRST_SIZE;
    use crate::params::{Controls, FollowParams, FollowParamsWithSource, InsertParams};

    #[test]
    fn every_parameter_has_its_place_in_the_order_of_the_signal() {
        let placed = |has_source| -> Vec<&'static str> {
            let layout = Layout::new(FIRST_SIZE, has_source);
            layout.cells().map(|(id, _)| id).collect()
        };
        let ids = |params: &dyn Controls| -> Vec<&'static str> {
            params.controls().iter().map(|control| control.id).collect()
        };
        assert_eq!(placed(false), ids(&InsertParams::<FollowParams>::default()));
        assert_eq!(
            placed(true),
            ids(&InsertParams::<FollowParamsWithSource>::default())
        );
    }

    #[test]
    fn a_name_does_not_repeat_its_heading() {
        assert_eq!(name_in("Leveller", "Leveller auto makeup"), "Auto makeup");
        assert_eq!(name_in("Leveller", "Leveller"), "");
        assert_eq!(name_in("Sibilance", "Reach"), "Reach");
        assert_eq!(name_in("Follow", "Follow"), "Follow time");
        assert_eq!(stage_of("br_cut"), "Breath");
    }
}

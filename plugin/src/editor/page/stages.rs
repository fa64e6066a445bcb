//! The stages below the pictures: headings and controls.

use egui::{Align2, Stroke, Ui};
use siskin_dsp::Settings;
use siskin_editor_layout::Layout;

use crate::editor::widgets::control::{self, Label};
use crate::editor::widgets::ui_context::UiContext;
use crate::editor::widgets::{palette, typeface};

/// Draws all stages.
pub fn show(ui: &mut Ui, context: &mut UiContext<'_>, layout: &Layout, settings: &Settings) {
    let colours = palette::of(ui.ctx());
    for (name, area) in layout.headings() {
        ui.painter().text(
            area.left_center(),
            Align2::LEFT_CENTER,
            name,
            typeface::heading(),
            colours.text(is_live(name, settings)),
        );
        ui.painter().hline(
            area.x_range(),
            area.bottom() - 1.0,
            Stroke::new(1.0, colours.edge),
        );
    }
    for control in context.controls {
        let id = control.id();
        let Some(cell) = layout.cell(id) else { continue };
        let stage = control.spec().stage.name();
        let name = short_name(stage, control.spec().name);
        let live = is_live(stage, settings) || id.ends_with("_on");
        control::show(ui, context, control, &cell, Label { name: &name, live });
    }
}

/// Whether a stage is on.
fn is_live(stage: &str, settings: &Settings) -> bool {
    match stage {
        "Leveller" => settings.leveller.on,
        "Sibilance" => settings.sibilance.on,
        "Breath" => settings.breath.on,
        _ => true,
    }
}

/// The name without the stage's: "Leveller threshold" reads "Threshold" under the heading "Leveller". A stage's switch has no
/// name.
fn short_name(stage: &str, name: &str) -> String {
    match name.strip_prefix(stage).map(str::trim_start) {
        Some("") if stage == "Follow" => name.to_owned(),
        Some("") => String::new(),
        Some(rest) => rest[..1].to_uppercase() + &rest[1..],
        None => name.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kind::{Following, Plain};
    use crate::params::InsertParams;
    use siskin_editor_layout::FIRST_SIZE;

    #[test]
    fn every_parameter_has_a_cell_in_signal_order() {
        let cells = |has_source| -> Vec<&'static str> {
            let layout = Layout::new(FIRST_SIZE, has_source);
            layout.cells().map(|(id, _)| id).collect()
        };
        let ids = |params: &InsertParams| -> Vec<&'static str> {
            params.parameters().iter().map(|control| control.id()).collect()
        };
        assert_eq!(cells(false), ids(&InsertParams::of::<Plain>()));
        assert_eq!(cells(true), ids(&InsertParams::of::<Following>()));
    }

    #[test]
    fn a_name_does_not_repeat_its_heading() {
        assert_eq!(short_name("Leveller", "Leveller auto makeup"), "Auto makeup");
        assert_eq!(short_name("Leveller", "Leveller"), "");
        assert_eq!(short_name("Sibilance", "Reach"), "Reach");
        assert_eq!(short_name("Follow", "Follow"), "Follow");
    }
}

//! A row for one parameter: its name, its value, and a track to drag. Double-click resets; a click on the value types.

use egui::{
    Align2, CursorIcon, FontId, Id, Key, Rect, Response, RichText, Sense, TextEdit, Ui, UiBuilder, pos2, vec2,
};
use nice_plug::prelude::*;

use super::look;
use crate::params::{Control, Knob};

/// The height of a row, points.
const ROW_HEIGHT: f32 = 33.0;
/// The height of the line with name and value, points.
const TEXT_HEIGHT: f32 = 18.0;
/// The height of a track, points.
const TRACK_HEIGHT: f32 = 7.0;
/// The width kept for a value, points.
const VALUE_WIDTH: f32 = 84.0;
/// Below a row of choices and between two of them, points.
const STEPS_GAP: f32 = 5.0;
const CHOICE_GAP: f32 = 3.0;
/// How much finer a drag with Shift is.
const FINE: f32 = 0.1;

/// Draws the row of `control`. `stage` is the name of its group, which the row's name need not repeat.
pub fn row(ui: &mut Ui, setter: &ParamSetter<'_>, control: &Control<'_>, stage: &str) {
    match control.knob {
        Knob::Value(param) => slider(ui, setter, param, control.id, stage),
        Knob::Choice(param) => steps(ui, setter, param, stage),
        Knob::Switch(param) => steps(ui, setter, param, stage),
    }
}

/// "Leveller threshold" under the heading "Leveller" reads "Threshold"; the switch "Leveller" reads "On".
fn name_in(stage: &str, name: &str) -> String {
    match name.strip_prefix(stage).map(str::trim_start) {
        Some("") if stage == "Follow" => "Follow time".to_owned(),
        Some("") => "On".to_owned(),
        Some(rest) => rest[..1].to_uppercase() + &rest[1..],
        None => name.to_owned(),
    }
}

/// One whole gesture of the host.
fn set_at_once<P: Param>(setter: &ParamSetter<'_>, param: &P, normalized: f32) {
    setter.begin_set_parameter(param);
    setter.set_parameter_normalized(param, normalized);
    setter.end_set_parameter(param);
}

fn slider(ui: &mut Ui, setter: &ParamSetter<'_>, param: &FloatParam, id: &str, stage: &str) {
    let (area, _) = ui.allocate_exact_size(vec2(ui.available_width(), ROW_HEIGHT), Sense::hover());
    let id = ui.scope_id().with(id);
    let text = Rect::from_min_size(area.min, vec2(area.width(), TEXT_HEIGHT));
    let value = Rect::from_min_max(pos2(text.right() - VALUE_WIDTH, text.top()), text.max);
    let track = Rect::from_min_size(
        pos2(area.left(), text.bottom() + 1.0),
        vec2(area.width(), TRACK_HEIGHT),
    );
    let grip = Rect::from_min_max(text.min, pos2(area.right(), track.bottom() + 2.0));
    let response = ui
        .interact(grip, id, Sense::click_and_drag())
        .on_hover_cursor(CursorIcon::ResizeHorizontal);
    drag(ui, setter, param, &response, track.width());
    name(ui, text, &name_in(stage, param.name()));
    value_text(ui, setter, param, value, id.with("value"));
    let set = param.modulated_normalized_value().clamp(0.0, 1.0);
    let filled = Rect::from_min_size(track.min, vec2(track.width() * set, track.height()));
    ui.painter().rect_filled(track, 2.0, look::WELL);
    let ink = if response.hovered() || response.dragged() {
        look::VOICE
    } else {
        look::VOICE.gamma_multiply(0.75)
    };
    ui.painter().rect_filled(filled, 2.0, ink);
}

/// A drag moves the value by as much as the pointer; the whole drag is one gesture.
fn drag<P: Param>(ui: &Ui, setter: &ParamSetter<'_>, param: &P, response: &Response, width: f32) {
    let position = response.id.with("position");
    if response.double_clicked() {
        set_at_once(setter, param, param.default_normalized_value());
    }
    if response.drag_started() {
        setter.begin_set_parameter(param);
        let start = param.unmodulated_normalized_value();
        ui.data_mut(|data| data.insert_temp(position, start));
    }
    if response.dragged() && response.drag_delta().x != 0.0 {
        let fine = if ui.input(|input| input.modifiers.shift) {
            FINE
        } else {
            1.0
        };
        let moved = response.drag_delta().x / width.max(1.0) * fine;
        let at = ui.data(|data| data.get_temp(position).unwrap_or(0.0f32)) + moved;
        ui.data_mut(|data| data.insert_temp(position, at));
        setter.set_parameter_normalized(param, at.clamp(0.0, 1.0));
    }
    if response.drag_stopped() {
        setter.end_set_parameter(param);
    }
}

/// The value in words; a click turns it into an empty field to type into. What cannot be read changes nothing.
fn value_text<P: Param>(ui: &mut Ui, setter: &ParamSetter<'_>, param: &P, area: Rect, id: Id) {
    let shown = param.normalized_value_to_string(param.modulated_normalized_value(), true);
    let Some(mut typed) = ui.data(|data| data.get_temp::<String>(id)) else {
        let response = ui
            .interact(area, id, Sense::click())
            .on_hover_cursor(CursorIcon::Text);
        let font = FontId::proportional(look::TEXT_SIZE);
        ui.painter()
            .text(area.right_center(), Align2::RIGHT_CENTER, &shown, font, look::INK);
        if response.clicked() {
            ui.data_mut(|data| data.insert_temp(id, String::new()));
        }
        return;
    };
    let entry = TextEdit::singleline(&mut typed)
        .hint_text(shown)
        .id(id.with("field"))
        .font(FontId::proportional(look::TEXT_SIZE));
    // A child, so that the field lies over the row and moves nothing below it.
    let response = ui.new_child(UiBuilder::new().max_rect(area)).put(area, entry);
    let first = id.with("first");
    if !ui.data(|data| data.get_temp::<bool>(first).unwrap_or(false)) {
        response.request_focus();
        ui.data_mut(|data| data.insert_temp(first, true));
    }
    let (enter, escape) = ui.input(|input| (input.key_pressed(Key::Enter), input.key_pressed(Key::Escape)));
    if enter && let Some(normalized) = param.string_to_normalized_value(&typed) {
        set_at_once(setter, param, normalized);
    }
    if enter || escape || response.lost_focus() {
        ui.data_mut(|data| {
            data.remove::<String>(id);
            data.remove::<bool>(first);
        });
    } else {
        ui.data_mut(|data| data.insert_temp(id, typed));
    }
}

/// A parameter with few values: all of them to see, one click to choose.
fn steps<P: Param>(ui: &mut Ui, setter: &ParamSetter<'_>, param: &P, stage: &str) {
    let named = ui
        .label(RichText::new(name_in(stage, param.name())).size(look::TEXT_SIZE))
        .interact(Sense::click());
    if named.double_clicked() {
        set_at_once(setter, param, param.default_normalized_value());
    }
    ui.horizontal(|ui| {
        let last = param.step_count().unwrap_or(1);
        (0..=last).for_each(|step| choice(ui, setter, param, step as f32 / last as f32));
    });
    ui.add_space(STEPS_GAP);
}

/// The switch of a stage, for a layout that runs from the right to the left.
pub fn switch(ui: &mut Ui, setter: &ParamSetter<'_>, param: &BoolParam) {
    [1.0, 0.0]
        .into_iter()
        .for_each(|normalized| choice(ui, setter, param, normalized));
}

/// One value of a parameter with few.
fn choice<P: Param>(ui: &mut Ui, setter: &ParamSetter<'_>, param: &P, normalized: f32) {
    ui.spacing_mut().item_spacing.x = CHOICE_GAP;
    let text = param.normalized_value_to_string(normalized, true);
    let now = param.modulated_normalized_value();
    let chosen = text == param.normalized_value_to_string(now, true);
    if ui.selectable_label(chosen, text).clicked() && !chosen {
        set_at_once(setter, param, normalized);
    }
}

fn name(ui: &Ui, area: Rect, text: &str) {
    let font = FontId::proportional(look::TEXT_SIZE);
    ui.painter()
        .text(area.left_center(), Align2::LEFT_CENTER, text, font, look::INK);
}

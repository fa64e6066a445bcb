//! The stream: the last eight seconds, moving from right to left, with the threshold to take hold of.

mod column;
mod draw;
pub mod history;
mod lanes;
mod read;
mod sibilant;
pub mod tally;

use egui::{Align2, CursorIcon, Id, PointerButton, Pos2, Response, Sense, Shape, Stroke, Ui, pos2};
use siskin_dsp::{HopReport, SibilanceSettings};

use super::desk::{Desk, fine};
use super::layout::{BOTTOM_LUFS, Stream as Place, TOP_LUFS};
use super::typing::{self, Typing};
use super::{cell, marks, palette, tips, typeface};
use crate::params::Control;
use history::{History, Sibilant};
use tally::Tally;

/// What the threshold's line sets.
const PROPORTION: &str = "sib_prop";
/// So close to the line the pointer takes hold of it, points.
const GRAB_POINTS: f32 = 7.0;

/// The past, and a frozen copy of it while a person reads.
#[derive(Default)]
pub struct Stream {
    live: History,
    frozen: Option<History>,
    /// Whether the drag that goes on took hold of the threshold.
    holds_line: bool,
}

impl Stream {
    /// Takes the next report; gives the sibilant that has ended with it, if one has.
    pub fn push(&mut self, report: &HopReport, hop_s: f32, settings: &SibilanceSettings) -> Option<Sibilant> {
        self.live.push(report, hop_s, settings)
    }

    /// Whether it stands still.
    pub fn is_frozen(&self) -> bool {
        self.frozen.is_some()
    }

    /// Stands still, or runs on.
    pub fn toggle(&mut self) {
        self.frozen = match self.frozen {
            Some(_) => None,
            None => Some(self.live.clone()),
        };
    }

    /// The tally of what is seen.
    pub fn tally(&self, settings: &SibilanceSettings) -> Option<Tally> {
        Tally::of(&self.seen().counted(), settings.range_db)
    }

    fn seen(&self) -> &History {
        self.frozen.as_ref().unwrap_or(&self.live)
    }

    /// Draws all of it and does what a person does with it. `threshold_lufs` is the threshold now.
    pub fn show(
        &mut self,
        ui: &mut Ui,
        desk: &mut Desk<'_>,
        place: &Place,
        threshold_lufs: f32,
        settings: &SibilanceSettings,
    ) {
        let plot = ui.interact(place.plot, Id::unique("stream"), Sense::click_and_drag());
        let pointer = plot.hover_pos();
        let past = self.seen();
        draw::sheet(ui, place);
        draw::past(ui, place, past);
        lanes::breaths(ui, place, past);
        lanes::leveller(ui, place, past);
        read::line(ui, place, past, pointer, self.is_frozen());
        read::tally(ui, place, self.tally(settings).as_ref(), settings.on);
        self.take_hold(ui, desk, (&plot, pointer), place, threshold_lufs);
        handle(ui, desk, place, threshold_lufs);
        ui.interact(place.reading, Id::unique("stream tip"), Sense::hover())
            .on_hover_text(tips::of_button("stream"));
    }

    /// A click freezes; a drag that begins at the threshold's line moves it.
    fn take_hold(
        &mut self,
        ui: &Ui,
        desk: &mut Desk<'_>,
        (plot, pointer): (&Response, Option<Pos2>),
        place: &Place,
        threshold_lufs: f32,
    ) {
        let near = |at: Pos2| (at.y - place.y(threshold_lufs)).abs() < GRAB_POINTS;
        let Some(control) = desk.control(PROPORTION) else {
            return;
        };
        if plot.drag_started_by(PointerButton::Primary) {
            let pressed_at = ui.input(|input| input.pointer.press_origin());
            self.holds_line = pressed_at.is_some_and(near);
        }
        if self.holds_line && plot.dragged_by(PointerButton::Primary) {
            drag(ui, desk, control, place, plot);
        }
        if plot.clicked_by(PointerButton::Primary) {
            self.toggle();
        }
        if plot.double_clicked_by(PointerButton::Primary) && pointer.is_some_and(near) {
            desk.hand.reset(control);
        }
        if pointer.is_some_and(near) {
            ui.ctx().set_cursor_icon(CursorIcon::ResizeVertical);
        }
    }
}

/// What the flag is, over it or, at the top, under it.
fn word_beside(ui: &Ui, place: &Place, grip: egui::Rect) {
    let above = grip.top() - 14.0 > place.handle.top();
    let y = if above {
        grip.top() - 8.0
    } else {
        grip.bottom() + 8.0
    };
    let at = pos2(grip.right() - 2.0, y);
    ui.painter().text(
        at,
        Align2::RIGHT_CENTER,
        "Proportion",
        typeface::small(),
        palette::THRESHOLD,
    );
}

/// Up is more.
fn drag(ui: &Ui, desk: &mut Desk<'_>, control: &Control<'_>, place: &Place, response: &Response) {
    // The whole travel of Proportion, LU, is what the parameter's own texts say of its ends.
    let travel_lu = travel_lu(control);
    let up_lu = -place.lu_down(response.drag_delta().y) * fine(ui);
    desk.hand.drag(control, up_lu / travel_lu);
}

fn travel_lu(control: &Control<'_>) -> f32 {
    let read = |normalized| crate::readout::read_level(&control.knob.text(normalized));
    match (read(0.0), read(1.0)) {
        (Some(least), Some(most)) if most > least => most - least,
        _ => TOP_LUFS - BOTTOM_LUFS,
    }
}

/// The flag at the right end of the threshold's line: Proportion, to drag, to type, to reset.
fn handle(ui: &mut Ui, desk: &mut Desk<'_>, place: &Place, threshold_lufs: f32) {
    let Some(control) = desk.control(PROPORTION) else {
        return;
    };
    let grip = place.grip(threshold_lufs);
    let response = ui.interact(
        place.handle,
        cell::id(PROPORTION, "stream"),
        Sense::click_and_drag(),
    );
    if response.dragged_by(PointerButton::Primary) {
        drag(ui, desk, control, place, &response);
    }
    if response.hovered() {
        ui.ctx().set_cursor_icon(CursorIcon::ResizeVertical);
    }
    let (tip, back) = (pos2(grip.left(), place.y(threshold_lufs)), grip.left() + 9.0);
    let flag = vec![
        tip,
        pos2(back, grip.top()),
        grip.right_top(),
        grip.right_bottom(),
        pos2(back, grip.bottom()),
    ];
    let lit = response.hovered() || response.dragged();
    let fill = if lit { palette::INK } else { palette::THRESHOLD };
    ui.painter().add(Shape::convex_polygon(flag, fill, Stroke::NONE));
    word_beside(ui, place, grip);
    let value = grip.with_min_x(back);
    if !typing::field(ui, desk, control, "stream", value) {
        let text = control.knob.text(control.knob.heard());
        let at = pos2(grip.right() - 6.0, grip.center().y);
        ui.painter()
            .text(at, Align2::RIGHT_CENTER, text, typeface::strong(), palette::SHEET);
        let on_flag = response.interact_pointer_pos().is_none_or(|at| grip.contains(at));
        if response.clicked() && on_flag {
            *desk.typing = Some(Typing::of(PROPORTION, "stream"));
        }
    }
    if response.has_focus() {
        marks::focus(ui.painter(), grip.expand(3.0));
    }
    marks::bring_into_view(ui, grip, &response);
    desk.wheel_and_keys(ui, control, &response);
    cell::menu(desk, control, &response);
    cell::tip(response, control);
}

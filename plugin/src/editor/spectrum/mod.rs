//! The picture of frequencies: the voice now, the last sibilant, the edge of detection, and the reduction as it is applied.

mod draw;
mod held;

use egui::{CursorIcon, Id, PointerButton, Pos2, Sense, Ui};
use siskin_dsp::{HopReport, SibilanceSettings};

use super::desk::{Desk, fine};
use super::layout::Spectrum as Place;
use super::stream::history::Sibilant;
use super::tips;
use crate::params::Control;
use crate::telemetry::SpectrumFrame;
use held::Held;

/// What the edge sets.
const FROM: &str = "sib_from";
/// So close to the edge the pointer takes hold of it, points.
const GRAB_POINTS: f32 = 9.0;
/// Less than this of reduction is none, dB.
const SEEN_DB: f32 = 0.1;

/// What was heard, and the curve of the reduction.
#[derive(Default)]
pub struct Spectrum {
    held: Held,
    /// Depth, dB, and edge, Hz, as they are now ...
    now: (f32, f32),
    /// ... and at the deepest moment of the last sibilant.
    last: (f32, f32),
    holds_edge: bool,
}

/// The curve that is drawn: whether it is applied at this moment, its depth, dB, and its edge, Hz.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Curve {
    applied_now: bool,
    shape: (f32, f32),
}

impl Spectrum {
    /// Takes a report.
    pub fn hear(&mut self, report: &HopReport) {
        self.now = (report.sibilance_depth_db, report.edge_hz);
    }

    /// Takes a sibilant that has ended.
    pub fn hear_sibilant(&mut self, sibilant: &Sibilant) {
        self.last = sibilant.curve;
    }

    /// Takes a spectrum.
    pub fn hear_spectrum(&mut self, frame: &SpectrumFrame) {
        self.held.hear(frame);
    }

    fn curve(&self) -> Curve {
        let applied_now = self.now.0 < -SEEN_DB;
        Curve {
            applied_now,
            shape: if applied_now { self.now } else { self.last },
        }
    }

    /// Draws all of it; a drag of the edge sets Detect from.
    pub fn show(
        &mut self,
        ui: &mut Ui,
        desk: &mut Desk<'_>,
        place: &Place,
        settings: &SibilanceSettings,
        sample_rate_hz: f32,
    ) {
        let response = ui.interact(place.plot, Id::unique("spectrum"), Sense::click_and_drag());
        let edge = place.x(settings.from_hz);
        let near = |at: Pos2| (at.x - edge).abs() < GRAB_POINTS;
        let hovered_edge = response.hover_pos().is_some_and(near);
        draw::sheet(ui, place);
        draw::curves(ui, place, &self.held);
        draw::reduction(ui, place, self.curve(), settings, sample_rate_hz);
        draw::edge(ui, place, settings.from_hz, hovered_edge || self.holds_edge);
        draw::reading(ui, place, response.hover_pos(), self.curve());
        if hovered_edge || self.holds_edge {
            ui.ctx().set_cursor_icon(CursorIcon::ResizeHorizontal);
        }
        let Some(control) = desk.control(FROM) else { return };
        if response.drag_started_by(PointerButton::Primary) {
            let pressed_at = ui.input(|input| input.pointer.press_origin());
            self.holds_edge = pressed_at.is_some_and(near);
        }
        if self.holds_edge && response.dragged_by(PointerButton::Primary) {
            let along = response.drag_delta().x * fine(ui);
            let to_hz = place.hz(edge + along);
            desk.hand
                .drag(control, travelled(control, settings.from_hz, to_hz));
        }
        self.holds_edge &= response.dragged();
        if response.double_clicked() && hovered_edge {
            desk.hand.reset(control);
        }
        if hovered_edge {
            desk.wheel_and_keys(ui, control, &response);
        }
        ui.interact(place.reading, Id::unique("spectrum tip"), Sense::hover())
            .on_hover_text(tips::of_button("spectrum"));
    }
}

/// The way from one frequency to another along the parameter's own travel.
fn travelled(control: &Control<'_>, from_hz: f32, to_hz: f32) -> f32 {
    let read = |hz: f32| control.knob.read(&format!("{hz} Hz"));
    match (read(from_hz), read(to_hz)) {
        (Some(from), Some(to)) => to - from,
        _ => 0.0,
    }
}

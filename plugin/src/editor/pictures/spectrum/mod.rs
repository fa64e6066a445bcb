//! The spectrum: voice, last sibilant, lower edge of detection, and the reduction over frequency.

mod draw;

use egui::{CursorIcon, Id, PointerButton, Pos2, Response, Sense, Ui};
use siskin_dsp::{HopReport, SibilanceSettings};
use siskin_editor_layout::Spectrum as Area;

use crate::editor::model::history::Sibilant;
use crate::editor::model::spectra::HeldSpectra;
use crate::editor::widgets::tips;
use crate::editor::widgets::ui_context::UiContext;
use crate::params::Parameter;
use crate::telemetry::SpectrumFrame;
use draw::ReductionCurve;

/// The parameter that the edge sets.
const DETECT_FROM: &str = "sib_from";
/// Closer than this the pointer grabs the edge, points.
const GRAB_POINTS: f32 = 9.0;
/// Smaller reductions count as none, dB.
const MIN_SHOWN_DB: f32 = 0.1;

/// Spectra and reduction curves.
#[derive(Default)]
pub struct Spectrum {
    spectra: HeldSpectra,
    /// Depth, dB, and edge, Hz, of the last report.
    current: (f32, f32),
    /// Depth, dB, and edge, Hz, at the lowest gain of the last sibilant.
    last_sibilant: (f32, f32),
    drags_edge: bool,
}

impl Spectrum {
    /// Adds a report.
    pub fn add_report(&mut self, report: &HopReport) {
        self.current = (report.sibilance_shelf_gain_db, report.edge_hz);
    }

    /// Adds a sibilant that has ended.
    pub fn add_sibilant(&mut self, sibilant: &Sibilant) {
        self.last_sibilant = sibilant.curve;
    }

    /// Adds a spectrum.
    pub fn add_spectrum(&mut self, frame: &SpectrumFrame) {
        self.spectra.add(frame);
    }

    fn curve(&self) -> ReductionCurve {
        let is_current = self.current.0 < -MIN_SHOWN_DB;
        let shape = if is_current {
            self.current
        } else {
            self.last_sibilant
        };
        ReductionCurve { is_current, shape }
    }

    /// Draws the picture; a drag of the edge sets Detect from.
    pub fn show(
        &mut self,
        ui: &mut Ui,
        context: &mut UiContext<'_>,
        area: &Area,
        settings: &SibilanceSettings,
        sample_rate_hz: f32,
    ) {
        let response = ui.interact(area.plot, Id::unique("spectrum"), Sense::click_and_drag());
        let edge_x = area.x(settings.from_hz);
        let near = |at: Pos2| (at.x - edge_x).abs() < GRAB_POINTS;
        let hovers_edge = response.hover_pos().is_some_and(near);
        let is_active = hovers_edge || self.drags_edge;
        draw::grid(ui, area);
        draw::curves(ui, area, &self.spectra);
        draw::reduction(ui, area, self.curve(), settings, sample_rate_hz);
        draw::edge(ui, area, settings.from_hz, is_active);
        draw::readout(ui, area, response.hover_pos(), self.curve());
        if is_active {
            ui.ctx().set_cursor_icon(CursorIcon::ResizeHorizontal);
        }
        if response.drag_started_by(PointerButton::Primary) {
            let pressed_at = ui.input(|input| input.pointer.press_origin());
            self.drags_edge = pressed_at.is_some_and(near);
        }
        if let Some(control) = context.control(DETECT_FROM) {
            self.handle_edge(context, control, area, settings.from_hz, &response);
            if response.double_clicked() && hovers_edge {
                context.gestures.reset(control);
            }
            if hovers_edge {
                context.wheel_and_keys(ui, control, &response);
            }
        }
        self.drags_edge &= response.dragged();
        ui.interact(area.readout, Id::unique("spectrum tip"), Sense::hover())
            .on_hover_text(tips::for_element("spectrum"));
    }

    /// Moves the edge with the pointer.
    fn handle_edge(
        &self,
        context: &mut UiContext<'_>,
        control: &Parameter,
        area: &Area,
        from_hz: f32,
        response: &Response,
    ) {
        if self.drags_edge && response.dragged_by(PointerButton::Primary) {
            let along = response.drag_delta().x;
            let to_hz = area.hz(area.x(from_hz) + along);
            context
                .gestures
                .drag(control, normalized_distance(control, from_hz, to_hz));
        }
    }
}

/// Distance between two frequencies in the parameter's normalized range.
fn normalized_distance(control: &Parameter, from_hz: f32, to_hz: f32) -> f32 {
    let read = |hz: f32| control.read(&format!("{hz} Hz"));
    match (read(from_hz), read(to_hz)) {
        (Some(from), Some(to)) => to - from,
        _ => 0.0,
    }
}

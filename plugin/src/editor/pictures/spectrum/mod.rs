//! The spectrum: voice, last sibilant, lower edge of detection, and the reduction over frequency.

mod draw;
mod readout;

use egui::{CursorIcon, Id, PointerButton, Pos2, Response, Sense, Ui};
use siskin_dsp::{HopReport, Settings};
use siskin_editor_layout::Spectrum as Area;

use super::timeline::across;
use crate::editor::model::history::Sibilant;
use crate::editor::model::spectra::HeldSpectra;
use crate::editor::widgets::ui_context::UiContext;
use crate::editor::widgets::{palette, tips};
use crate::params::Parameter;
use crate::telemetry::SpectrumFrame;
use draw::{Curves, ReductionCurve};

/// The parameter that the edge sets.
const DETECT_FROM: &str = "sib_from";
/// Closer than this the pointer grabs the edge, points.
const GRAB_POINTS: f32 = 9.0;
/// Smaller reductions count as none, dB.
const MIN_SHOWN_DB: f32 = 0.1;

/// Spectra and reduction curves, and a copy of them while the picture is frozen.
#[derive(Default)]
pub struct Spectrum {
    live: Shown,
    frozen: Option<Shown>,
    drags_edge: bool,
}

/// What is shown.
#[derive(Clone, Default)]
struct Shown {
    spectra: HeldSpectra,
    /// Depth, dB, and edge, Hz, of the last report.
    current: (f32, f32),
    /// Depth, dB, and edge, Hz, at the lowest gain of the last sibilant.
    last_sibilant: (f32, f32),
}

impl Shown {
    /// The curve that is applied now, or that of the last sibilant; with `pointed` that of this sibilant.
    fn curve(&self, pointed: Option<&Sibilant>) -> ReductionCurve {
        let is_current = pointed.is_none() && self.current.0 < -MIN_SHOWN_DB;
        let past = pointed.map_or(self.last_sibilant, |sibilant| sibilant.curve);
        ReductionCurve {
            is_current,
            shape: if is_current { self.current } else { past },
        }
    }

    /// The spectra; with `pointed` that of this sibilant.
    fn curves(&self, pointed: Option<&Sibilant>) -> Curves<'_> {
        Curves {
            voice: self.spectra.voice.as_ref(),
            sibilant: match pointed {
                Some(sibilant) => self.spectra.sibilant(sibilant.from_s),
                None => self.spectra.last_sibilant(),
            },
        }
    }
}

impl Spectrum {
    /// Adds a report.
    pub fn add_report(&mut self, report: &HopReport) {
        self.live.current = (report.sibilance_shelf_gain_db, report.edge_hz);
    }

    /// Adds a sibilant that has ended.
    pub fn add_sibilant(&mut self, sibilant: &Sibilant) {
        self.live.last_sibilant = sibilant.curve;
    }

    /// Adds a spectrum. `sibilant_from_s` is when the current or the last sibilant began.
    pub fn add_spectrum(&mut self, frame: &SpectrumFrame, sibilant_from_s: Option<f64>) {
        self.live.spectra.add(frame, sibilant_from_s);
    }

    /// Freezes the picture, or lets it run.
    pub fn set_frozen(&mut self, frozen: bool) {
        if frozen != self.frozen.is_some() {
            self.frozen = frozen.then(|| self.live.clone());
        }
    }

    /// Draws the picture; a drag of the edge sets Detect from. `pointed` is the sibilant at the pointer in the timeline.
    pub fn show(
        &mut self,
        ui: &mut Ui,
        context: &mut UiContext<'_>,
        area: &Area,
        (settings, sample_rate_hz): (&Settings, f32),
        pointed: Option<&Sibilant>,
    ) {
        let response = ui.interact(area.plot, Id::unique("spectrum"), Sense::click_and_drag());
        let sibilance = &settings.sibilance;
        let edge_x = area.x(sibilance.from_hz);
        let near = |at: Pos2| (at.x - edge_x).abs() < GRAB_POINTS;
        let hovers_edge = response.hover_pos().is_some_and(near);
        let is_active = hovers_edge || self.drags_edge;
        let colours = &palette::of_sound(ui.ctx(), settings.output.bypass);
        let shown = self.frozen.as_ref().unwrap_or(&self.live);
        let (curves, curve) = (shown.curves(pointed), shown.curve(pointed));
        draw::grid(ui, area);
        draw::curves(ui, area, curves, colours);
        draw::reduction(ui, area, curve, sibilance, sample_rate_hz, colours);
        draw::edge(ui, area, sibilance.from_hz, is_active, colours);
        readout::legend(ui, area, pointed.is_some(), curve, colours);
        if let Some(pointer) = response.hover_pos() {
            let heard = (sibilance, sample_rate_hz);
            readout::values(ui, area, pointer, (curves, curve), heard, colours);
        }
        if settings.output.bypass {
            across(ui, area.plot, "Bypassed");
        }
        if is_active {
            ui.ctx().set_cursor_icon(CursorIcon::ResizeHorizontal);
        }
        if response.drag_started_by(PointerButton::Primary) {
            let pressed_at = ui.input(|input| input.pointer.press_origin());
            self.drags_edge = pressed_at.is_some_and(near);
        }
        if let Some(control) = context.control(DETECT_FROM) {
            self.handle_edge(context, control, area, sibilance.from_hz, &response);
            if response.double_clicked() && hovers_edge {
                context.gestures.reset(control);
            }
            if hovers_edge {
                context.wheel_and_keys(ui, control, &response);
            }
        }
        self.drags_edge &= response.dragged();
        ui.interact(area.legend, Id::unique("spectrum tip"), Sense::hover())
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

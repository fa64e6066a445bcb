//! The window from top to bottom: status, numbers, trace, then one block a stage in the order of the signal.

use std::sync::Arc;
use std::time::Duration;

use egui::{Align, Color32, Context, Frame, Layout, Margin, RichText, ScrollArea, Ui, Vec2};
use nice_plug::context::gui::GuiContext;
use nice_plug::prelude::ParamSetter;
use nice_plug_egui::NiceEguiApp;
use nice_plug_egui::baseview::HandlerError;
use siskin_dsp::HopReport;

use super::trace::Trace;
use super::window::Window;
use super::{look, row, status};
use crate::params::{Control, FollowGroup, Group, InsertParams, Knob};
use crate::settings::settings;
use crate::telemetry::TelemetryReader;

/// Time between frames: 30 a second.
const FRAME: Duration = Duration::from_millis(33);
/// The height of the tallest column, points; the trace takes what is left of the window.
const STAGES_HEIGHT: f32 = 345.0;
/// The least height of the trace, points; the stages then scroll.
const LEAST_TRACE_HEIGHT: f32 = 90.0;
/// Which groups stand above one another, from left to right.
const COLUMNS: [&[usize]; 4] = [&[0], &[1], &[2, 3], &[4]];
/// The least width of a column, points.
const LEAST_COLUMN_WIDTH: f32 = 190.0;
/// Between columns and below a stage, points.
const COLUMN_GAP: f32 = 22.0;
const STAGE_GAP: f32 = 12.0;
/// The cell of a number, points.
const NUMBER_SIZE: Vec2 = Vec2::new(126.0, 34.0);

/// The editor's own state.
pub struct App<F: FollowGroup> {
    name: &'static str,
    params: Arc<InsertParams<F>>,
    window: Arc<Window>,
    telemetry: TelemetryReader,
    host: Option<GuiContext>,
    trace: Trace,
    last: Option<HopReport>,
    /// The last sibilant that was heard, which a person reads longer than it sounds.
    last_sibilance_lufs: f32,
}

impl<F: FollowGroup> App<F> {
    pub(super) fn new(
        name: &'static str,
        params: Arc<InsertParams<F>>,
        window: Arc<Window>,
        telemetry: TelemetryReader,
    ) -> Self {
        Self {
            name,
            params,
            window,
            telemetry,
            host: None,
            trace: Trace::default(),
            last: None,
            last_sibilance_lufs: f32::NEG_INFINITY,
        }
    }

    fn listen(&mut self) {
        while let Some(report) = self.telemetry.read() {
            self.trace.push(report);
            if report.sibilance_lufs > -100.0 {
                self.last_sibilance_lufs = report.sibilance_lufs;
            }
            self.last = Some(report);
        }
    }

    fn head(&self, ui: &mut Ui) {
        let settings = settings(&self.params);
        let words = status::words(
            &settings,
            self.last.as_ref(),
            self.params.follow.source().is_some(),
        );
        ui.horizontal_wrapped(|ui| {
            ui.label(RichText::new(self.name).size(look::HEADING_SIZE).strong());
            ui.add_space(8.0);
            ui.label(RichText::new(words.join(" \u{00b7} ")).color(look::FAINT));
        });
    }

    fn numbers(&self, ui: &mut Ui) {
        let report = self.last.unwrap_or_default();
        let level = |lufs: f32| status::lufs(self.last.map_or(f32::NEG_INFINITY, |_| lufs));
        ui.horizontal_wrapped(|ui| {
            number(ui, "Voice level", &level(report.voice_lufs), look::VOICE);
            number(
                ui,
                "Adaptive threshold",
                &level(report.threshold_lufs),
                look::THRESHOLD,
            );
            number(
                ui,
                "Last sibilant",
                &level(self.last_sibilance_lufs),
                look::SIBILANCE,
            );
            for (stage, gain_db) in [
                ("Sibilance reduction", report.sibilance_gain_db),
                ("Breath reduction", report.breath_gain_db),
                ("Leveller reduction", report.leveller_gain_db),
            ] {
                number(ui, stage, &status::reduction(gain_db), look::REDUCTION);
            }
            if self.params.leveller.auto_makeup.value() {
                // Whoever wants it fixed reads it here and sets it by hand.
                let makeup = crate::readout::level(report.leveller_makeup_db, "dB");
                number(ui, "Leveller makeup", &makeup, look::VOICE);
            }
        });
    }

    fn stages(&self, ui: &mut Ui, setter: &ParamSetter<'_>) {
        let groups = self.params.groups();
        ui.spacing_mut().item_spacing.x = COLUMN_GAP;
        let fit = (ui.available_width() / LEAST_COLUMN_WIDTH) as usize;
        if fit >= COLUMNS.len() {
            ui.columns(COLUMNS.len(), |columns| {
                for (ui, stack) in columns.iter_mut().zip(COLUMNS) {
                    stack.iter().for_each(|&index| stage(ui, setter, &groups[index]));
                }
            });
        } else {
            ui.columns(2, |columns| {
                for (index, stack) in COLUMNS.iter().enumerate() {
                    stack
                        .iter()
                        .for_each(|&group| stage(&mut columns[index % 2], setter, &groups[group]));
                }
            });
        }
    }
}

impl<F: FollowGroup> NiceEguiApp for App<F> {
    fn build(
        &mut self,
        context: Context,
        host: GuiContext,
        _frame: &mut nice_plug_egui::Frame,
    ) -> Result<(), HandlerError> {
        look::dress(&context);
        self.telemetry.clear();
        self.trace = Trace::default();
        self.window.remember_host(host.clone());
        self.host = Some(host);
        Ok(())
    }

    fn ui(&mut self, ui: &mut Ui, _frame: &mut nice_plug_egui::Frame) {
        ui.ctx().request_repaint_after(FRAME);
        self.listen();
        let Some(host) = self.host.clone() else { return };
        let setter = host.param_setter();
        Frame::new()
            .fill(look::PAPER)
            .inner_margin(Margin::same(12))
            .show(ui, |ui| {
                ui.set_min_size(ui.available_size());
                self.head(ui);
                self.numbers(ui);
                ui.add_space(4.0);
                let left = ui.available_height() - STAGES_HEIGHT;
                self.trace.draw(ui, left.max(LEAST_TRACE_HEIGHT));
                ui.add_space(8.0);
                ScrollArea::vertical()
                    .auto_shrink(false)
                    .show(ui, |ui| self.stages(ui, &setter));
            });
    }
}

/// A number under its name; the cells wrap where the window is narrow.
fn number(ui: &mut Ui, name: &str, value: &str, ink: Color32) {
    ui.allocate_ui(NUMBER_SIZE, |ui| {
        ui.vertical(|ui| {
            ui.set_min_size(NUMBER_SIZE);
            ui.spacing_mut().item_spacing.y = 1.0;
            ui.label(RichText::new(name).size(look::SMALL_SIZE).color(look::FAINT));
            ui.label(RichText::new(value).color(ink).monospace());
        });
    });
}

/// A heading, with the stage's own switch beside it where it has one, then its rows.
fn stage(ui: &mut Ui, setter: &ParamSetter<'_>, group: &Group<'_>) {
    let mut controls = group.controls.as_slice();
    ui.horizontal(|ui| {
        ui.label(RichText::new(group.name).size(look::HEADING_SIZE).strong());
        if let Some((
            Control {
                knob: Knob::Switch(switch),
                ..
            },
            rest,
        )) = controls.split_first()
        {
            controls = rest;
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                row::switch(ui, setter, switch)
            });
        }
    });
    ui.separator();
    for control in controls {
        row::row(ui, setter, control, group.name);
    }
    ui.add_space(STAGE_GAP);
}

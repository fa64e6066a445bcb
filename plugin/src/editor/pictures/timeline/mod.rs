//! The timeline: the last eight seconds, moving from right to left, with the threshold to drag.

mod draw;
mod handle;
mod lanes;
mod legend;
mod readout;

use egui::{CursorIcon, Id, PointerButton, Pos2, Response, Sense, Ui};
use siskin_dsp::{HopReport, Settings, SibilanceSettings};
use siskin_editor_layout::Timeline as Area;

use crate::editor::model::history::{History, Sibilant};
use crate::editor::model::tally::Tally;
use crate::editor::widgets::ui_context::UiContext;
use crate::editor::widgets::{palette, tips};

pub use legend::{across, tally_mark};

/// Closer than this the pointer grabs the threshold line, points.
const GRAB_POINTS: f32 = 7.0;

/// The history, and a copy of it while the picture is frozen.
#[derive(Default)]
pub struct Timeline {
    live: History,
    frozen: Option<History>,
    /// The sibilant of the song that is chosen, in one line.
    pub chosen: Option<String>,
    /// Whether the current drag began on the threshold line.
    drags_threshold: bool,
}

impl Timeline {
    /// Adds a report; returns the sibilant that ended with it, if any.
    pub fn push(&mut self, report: &HopReport, hop_s: f32, settings: &SibilanceSettings) -> Option<Sibilant> {
        self.live.push(report, hop_s, settings)
    }

    /// Whether the picture is frozen.
    pub fn is_frozen(&self) -> bool {
        self.frozen.is_some()
    }

    /// Freezes the picture, or lets it run.
    pub fn toggle_freeze(&mut self) {
        self.frozen = match self.frozen {
            Some(_) => None,
            None => Some(self.live.clone()),
        };
    }

    /// Tally of the visible history.
    pub fn tally(&self, settings: &Settings) -> Option<Tally> {
        Tally::new(&self.visible().counted(), settings)
    }

    /// When the current or the last sibilant began, seconds since the window opened.
    pub fn last_sibilant_from_s(&self) -> Option<f64> {
        self.live.last_sibilant_from_s()
    }

    /// The sibilant at the pointer, while the picture is frozen.
    pub fn pointed(&self, ui: &Ui, area: &Area) -> Option<Sibilant> {
        let frozen = self.frozen.as_ref()?;
        let pointer = ui.input(|input| input.pointer.hover_pos())?;
        let pointed = frozen.sibilant(area.ago_s(pointer.x)).copied();
        pointed.filter(|_| area.plot.contains(pointer))
    }

    fn visible(&self) -> &History {
        self.frozen.as_ref().unwrap_or(&self.live)
    }

    /// Draws the picture and handles its input. `threshold_lufs` is the current threshold.
    pub fn show(
        &mut self,
        ui: &mut Ui,
        context: &mut UiContext<'_>,
        area: &Area,
        threshold_lufs: f32,
        settings: &Settings,
    ) {
        let plot = ui.interact(area.plot, Id::unique("timeline"), Sense::click_and_drag());
        let history = self.visible();
        let colours = &palette::of_sound(ui.ctx(), settings.output.bypass);
        draw::grid(ui, area);
        draw::history(ui, area, history, colours);
        lanes::reduction(ui, area, history, colours);
        lanes::breaths(ui, area, history, colours);
        lanes::leveller(ui, area, history, colours);
        if settings.output.bypass {
            across(ui, area.plot, "Bypassed");
        }
        legend::plot(ui, area, self.is_frozen(), colours);
        self.show_text(ui, area, settings, plot.hover_pos());
        self.handle_plot(ui, context, &plot, area, threshold_lufs);
        handle::show(ui, context, area, threshold_lufs, colours);
        for (part, name) in [(area.legend, "timeline"), (area.tally, "tally")] {
            ui.interact(part, Id::unique(("tip", name)), Sense::hover())
                .on_hover_text(tips::for_element(name));
        }
    }

    /// Draws the tally, and below it the values at the pointer or the legend of the tally's marks.
    fn show_text(&self, ui: &Ui, area: &Area, settings: &Settings, pointer: Option<Pos2>) {
        let colours = &palette::of_sound(ui.ctx(), settings.output.bypass);
        let rest = readout::tally(ui, area, self.tally(settings).as_ref(), colours);
        let mut end = readout::values(ui, area, self.visible(), pointer);
        if pointer.is_none() {
            end = match (&self.chosen, rest) {
                (Some(chosen), _) => readout::line(ui, area, chosen, colours.ink),
                (None, Some(rest)) => readout::line(ui, area, &rest, colours.secondary_ink),
                (None, None) => end,
            };
        }
        legend::tally(ui, area, end, colours);
    }

    /// A click freezes; a drag that begins on the threshold line moves the threshold.
    fn handle_plot(
        &mut self,
        ui: &Ui,
        context: &mut UiContext<'_>,
        plot: &Response,
        area: &Area,
        threshold_lufs: f32,
    ) {
        let near = |at: Pos2| (at.y - area.y(threshold_lufs)).abs() < GRAB_POINTS;
        let hovers_line = plot.hover_pos().is_some_and(near);
        let Some(control) = context.control(handle::PROPORTION) else {
            return;
        };
        if plot.drag_started_by(PointerButton::Primary) {
            let pressed_at = ui.input(|input| input.pointer.press_origin());
            self.drags_threshold = pressed_at.is_some_and(near);
        }
        if self.drags_threshold && plot.dragged_by(PointerButton::Primary) {
            handle::drag(context, control, area, plot);
        }
        if plot.clicked_by(PointerButton::Primary) {
            self.toggle_freeze();
        }
        if plot.double_clicked_by(PointerButton::Primary) && hovers_line {
            context.gestures.reset(control);
        }
        if hovers_line {
            ui.ctx().set_cursor_icon(CursorIcon::ResizeVertical);
        }
    }
}

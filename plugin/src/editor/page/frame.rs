//! One frame of an open window: read reports, handle keys, draw the page from top to bottom.

use std::sync::Arc;

use egui::scroll_area::{DragScroll, ScrollSource};
use egui::{ScrollArea, Sense, Ui};
use nice_plug::context::gui::GuiContext;
use siskin_dsp::Settings;
use siskin_editor_layout::Layout;

use super::menus::{self, MenuChoice};
use super::monitor::Monitor;
use super::own_points::OwnPoints;
use super::proposal_panel::{self, ProposalAnswer};
use super::toolbar::{self, Action};
use super::{plain_list, song_panel, stages, status, zoom};
use crate::editor::model::compare::current_values;
use crate::editor::model::context::EditorContext;
use crate::editor::pictures::readings;
use crate::editor::widgets::gestures::ParamGestures;
use crate::editor::widgets::ui_context::{Menu, TextEntry, UiContext, Wheel};
use crate::editor::widgets::{ids, marks, palette};
use crate::params::{InsertParams, Parameter};

/// Sample rate that is assumed before the insert is activated, Hz.
const DEFAULT_SAMPLE_RATE_HZ: f32 = 48_000.0;

/// Where Tab begins: the setting that matters most.
const PROPORTION: &str = "sib_prop";

/// State of the page while its window is open.
pub struct Page {
    pub(super) gestures: ParamGestures,
    pub(super) monitor: Monitor,
    pub(super) text_entry: Option<TextEntry>,
    menu: Option<Menu>,
    wheel: Wheel,
    pub(super) shows_list: bool,
    /// Whether the panel of the song takes the place of the stages.
    pub(super) shows_song: bool,
    pub(super) own_points: OwnPoints,
    /// Whether the last frame showed the panel of a proposal.
    showed_proposal: bool,
}

impl Page {
    /// A page that has received nothing yet.
    pub fn new(host: GuiContext, params: Arc<InsertParams>) -> Self {
        Self {
            gestures: ParamGestures::new(host, params),
            monitor: Monitor::default(),
            text_entry: None,
            menu: None,
            wheel: Wheel::default(),
            shows_list: false,
            shows_song: false,
            own_points: OwnPoints::default(),
            showed_proposal: false,
        }
    }

    /// Whether a value is being typed.
    pub fn is_typing(&self) -> bool {
        self.text_entry.is_some() || self.own_points.is_typing()
    }

    /// Draws one frame.
    pub fn frame(&mut self, ui: &mut Ui, editor: &EditorContext) {
        let params = editor.params.clone();
        let controls = params.parameters();
        let settings = params.settings();
        self.gestures.begin_frame(ui.input(|input| input.modifiers.shift));
        palette::apply(ui.ctx(), params.window.scheme());
        self.read_reports(editor, &settings, controls);
        self.run_shortcuts(ui, editor, controls);
        if self.menu.is_none() && !self.is_typing() {
            let view = if self.shows_list { "list" } else { "timeline" };
            ids::begin_tab_at(ui, PROPORTION, view);
        }
        self.draw(ui, editor, controls, &settings);
        if !ui.input(|input| input.pointer.any_down()) {
            self.gestures.end_drag();
        }
    }

    fn read_reports(&mut self, editor: &EditorContext, settings: &Settings, controls: &[Parameter]) {
        if let Ok(mut telemetry) = editor.telemetry.lock() {
            let values = current_values(controls);
            self.monitor
                .poll(&mut telemetry, &mut editor.session.compare(), settings, &values);
        }
        self.monitor.song.update(&editor.notes);
        self.monitor.timeline.chosen = self.monitor.song.reading();
    }

    /// Draws the page, which scrolls where the window is smaller, then the panels over it.
    fn draw(&mut self, ui: &mut Ui, editor: &EditorContext, controls: &[Parameter], settings: &Settings) {
        let window = ui.ctx().content_rect().size();
        self.wheel.begin_frame(ui);
        let page = Layout::new(window, editor.params.has_reference());
        let scrolled = ScrollArea::both()
            .auto_shrink(false)
            .content_margin(0)
            .scroll_source(ScrollSource {
                drag: DragScroll::Never,
                ..ScrollSource::default()
            })
            .show(ui, |ui| {
                let (area, _) = ui.allocate_exact_size(page.page, Sense::hover());
                let layout = page.translated(area.min.to_vec2());
                let action = self.draw_page(ui, editor, controls, settings, &layout);
                (layout, action)
            });
        let hidden_below =
            scrolled.content_size.y - scrolled.state.clamped_offset().y - scrolled.inner_rect.height();
        if hidden_below > 1.0 {
            marks::more_below(ui.painter(), scrolled.inner_rect);
        }
        let (layout, action) = scrolled.inner;
        self.wheel.end_frame(ui);
        if let Some(action) = action {
            self.run(action, editor, controls);
        }
        self.draw_overlays(ui, editor, controls, &layout);
    }

    /// Draws toolbar and status line, then pictures and stages or the plain list.
    fn draw_page(
        &mut self,
        ui: &mut Ui,
        editor: &EditorContext,
        controls: &[Parameter],
        settings: &Settings,
        layout: &Layout,
    ) -> Option<Action> {
        let comparison = self.comparison(editor, controls);
        self.draw_status(ui, editor, settings, layout, comparison);
        self.scroll_to_proposal(ui, layout);
        let shows_song = self.shows_song;
        let (mut context, monitor) = self.split(editor, controls);
        let context = &mut context;
        let title = editor.session.title(editor.name);
        let chosen = editor.session.chosen_name(&current_values(controls));
        let toolbar = toolbar::Toolbar {
            title: &title,
            chosen: chosen.as_deref(),
            track_colour: editor.session.track_colour(),
            comparison,
            is_proposing: monitor.proposal.is_some(),
            shows_list: context.view == "list",
            shows_song,
        };
        let action = toolbar::show(ui, context, layout, &toolbar);
        if toolbar.shows_list {
            plain_list::show(ui, context, layout);
        } else {
            pictures(ui, context, monitor, layout, (settings, sample_rate_hz(editor)));
            let (song, strip) = (&layout.song, &mut monitor.song);
            if shows_song || !song.is_folded {
                strip.show(ui, song, settings.output.bypass);
            }
            if shows_song {
                song_panel::show(ui, context, song, strip, &editor.notes);
            } else {
                stages::show(ui, context, layout, settings);
            }
        }
        action
    }

    /// Scrolls to the panel of a proposal that has just opened.
    fn scroll_to_proposal(&mut self, ui: &Ui, layout: &Layout) {
        let shows = self.monitor.proposal.is_some();
        if shows && !self.showed_proposal {
            ui.scroll_to_rect(layout.proposal(), None);
        }
        self.showed_proposal = shows;
    }

    fn draw_status(
        &self,
        ui: &Ui,
        editor: &EditorContext,
        settings: &Settings,
        layout: &Layout,
        comparison: toolbar::Comparison,
    ) {
        let tally = self.monitor.timeline.tally(settings);
        let state = status::State {
            settings,
            lookahead: editor.params.lookahead(),
            report: self.monitor.last.as_ref(),
            running: self.monitor.is_running(),
            clipped: self.monitor.has_clipped(),
            has_source: editor.params.has_reference(),
            frozen: self.monitor.timeline.is_frozen(),
            comparison: comparison.text(),
            tally: tally.as_ref(),
        };
        status::show(ui, layout, &status::messages(&state));
    }

    /// Draws the proposal and the open menu.
    fn draw_overlays(&mut self, ui: &Ui, editor: &EditorContext, controls: &[Parameter], layout: &Layout) {
        if let Some(proposal) = &self.monitor.proposal
            && let Some(answer) = proposal_panel::show(ui, layout, proposal)
        {
            if let ProposalAnswer::Apply(proposal) = answer {
                proposal_panel::apply(&self.gestures, controls, &proposal);
            }
            self.monitor.proposal = None;
        }
        self.own_points.show(ui, layout, editor);
        let shows_points = self.menu == Some(Menu::StartingPoints);
        self.own_points.read(editor.name, shows_points);
        let own = std::mem::take(&mut self.own_points.listed);
        let (mut context, _) = self.split(editor, controls);
        let chosen = menus::show(ui, &mut context, layout, (&editor.starting_points, &own));
        self.own_points.listed = own;
        if let Some(choice) = chosen {
            self.run_choice(ui, choice, editor);
        }
    }

    fn run_choice(&mut self, ui: &Ui, choice: MenuChoice, editor: &EditorContext) {
        match choice {
            MenuChoice::StartingPoint(index) => {
                if let Some(point) = editor.starting_points.get(index) {
                    self.begin_with(point.name, &point.state(), editor);
                }
            }
            MenuChoice::OwnPoint(index) => self.begin_with_own(index, editor),
            MenuChoice::KeepAs => self.own_points.ask_for_name(),
            MenuChoice::Zoom(percent) => {
                editor.params.window.set_zoom_percent(percent);
                zoom::ask_for_size(ui.ctx(), &editor.session.size_requests, percent);
                zoom::set(ui.ctx(), percent);
            }
            MenuChoice::HostMenu(request) => editor.session.host_menu.show(request),
        }
    }
}

impl Page {
    /// The context of the widgets, and the monitor beside it.
    fn split<'a>(
        &'a mut self,
        editor: &'a EditorContext,
        controls: &'a [Parameter],
    ) -> (UiContext<'a>, &'a mut Monitor) {
        let context = UiContext {
            controls,
            gestures: &mut self.gestures,
            text_entry: &mut self.text_entry,
            menu: &mut self.menu,
            wheel: &mut self.wheel,
            offers_host_menu: editor.session.host_menu.is_offered(),
            indications: &editor.session.indications,
            view: if self.shows_list { "list" } else { "cell" },
        };
        (context, &mut self.monitor)
    }
}

/// Draws the two pictures and the readings.
fn pictures(
    ui: &mut Ui,
    context: &mut UiContext<'_>,
    monitor: &mut Monitor,
    layout: &Layout,
    (settings, sample_rate_hz): (&Settings, f32),
) {
    let threshold_lufs = monitor.threshold_lufs(settings);
    let timeline = &layout.timeline;
    monitor
        .timeline
        .show(ui, context, timeline, threshold_lufs, settings);
    let pointed = monitor.timeline.pointed(ui, timeline);
    monitor.spectrum.set_frozen(monitor.timeline.is_frozen());
    monitor.spectrum.show(
        ui,
        context,
        &layout.spectrum,
        (settings, sample_rate_hz),
        pointed.as_ref(),
    );
    readings::show(ui, &layout.readings, &mut monitor.readings, settings);
}

fn sample_rate_hz(editor: &EditorContext) -> f32 {
    let clock = editor
        .telemetry
        .lock()
        .ok()
        .and_then(|telemetry| telemetry.clock());
    clock.map_or(DEFAULT_SAMPLE_RATE_HZ, |(sample_rate_hz, _)| sample_rate_hz)
}

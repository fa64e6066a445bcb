//! An open window: what it has heard, the hand of the person, and the page from top to bottom.

use std::sync::Arc;

use egui::scroll_area::{DragScroll, ScrollSource};
use egui::{Context, Rgba, ScrollArea, Sense, Ui, Vec2};
use nice_plug::context::gui::GuiContext;
use nice_plug_egui::baseview::HandlerError;
use nice_plug_egui::{Frame, Key, KeyCapture, NiceEguiApp};
use siskin_dsp::Settings;

use super::acts::values;
use super::bar::{self, Press};
use super::desk::{Desk, Menu, Wheel};
use super::hand::Hand;
use super::heard::{CLIP_TOLD, Heard};
use super::layout::Layout;
use super::menus::{self, Chosen};
use super::proposal::{self, Answer};
use super::shell::Made;
use super::typing::Typing;
use super::watch::Watch;
use super::{list, palette, stages, start, status, typeface, zoom};
use crate::params::{Control, Controls};

/// Samples a second that are taken for true before an insert was activated.
const NO_RATE_HZ: f32 = 48_000.0;

/// The window, before and after it is built.
pub struct App {
    made: Arc<Made>,
    open: Option<Open>,
}

/// What there is while it is open.
pub struct Open {
    pub(super) hand: Hand,
    pub(super) heard: Heard,
    pub(super) typing: Option<Typing>,
    menu: Option<Menu>,
    wheel: Wheel,
    pub(super) list: bool,
    zoom: f32,
    size_px: Option<Vec2>,
    /// Ends with the window.
    watch: Option<Watch>,
}

impl App {
    pub(super) fn new(made: Arc<Made>) -> Self {
        Self { made, open: None }
    }
}

impl NiceEguiApp for App {
    fn build(&mut self, context: Context, host: GuiContext, frame: &mut Frame) -> Result<(), HandlerError> {
        typeface::dress(&context);
        let [red, green, blue, _] = palette::PAPER.to_array().map(|value| f32::from(value) / 255.0);
        frame.set_clear_color(Rgba::from_rgb(red, green, blue));
        if let Ok(mut telemetry) = self.made.telemetry.lock() {
            telemetry.clear();
        }
        self.open = Some(Open::new(&context, host, self.made.params.clone()));
        Ok(())
    }

    fn ui(&mut self, ui: &mut Ui, frame: &mut Frame) {
        let Some(open) = &mut self.open else { return };
        open.watch(ui.ctx(), &self.made);
        open.remember_size(ui.ctx(), frame, &self.made);
        open.capture_keys(frame);
        open.frame(ui, &self.made);
    }
}

impl Open {
    /// A window that has heard nothing yet.
    pub(super) fn new(context: &Context, host: GuiContext, params: Arc<dyn Controls>) -> Self {
        Self {
            hand: Hand::new(host, params),
            heard: Heard::default(),
            typing: None,
            menu: None,
            wheel: Wheel::default(),
            list: false,
            zoom: context.zoom_factor(),
            size_px: None,
            watch: None,
        }
    }

    /// Watches from the first frame on: a frame that is asked for before the window is on the screen leaves it blank for
    /// ever on X11 (baseview 0.4.2).
    fn watch(&mut self, context: &Context, made: &Made) {
        if self.watch.is_none() {
            let ticks = made.telemetry.lock().ok().map(|telemetry| telemetry.ticks());
            let changes = made.window.changes.clone();
            self.watch = ticks.map(|ticks| Watch::begin(context.clone(), ticks, changes));
        }
    }

    /// One frame: hear, obey, draw.
    pub(super) fn frame(&mut self, ui: &mut Ui, made: &Made) {
        let params = made.params.clone();
        let controls = params.controls();
        let settings = params.settings();
        self.listen(made, &settings, &controls);
        self.obey_keys(ui, made, &controls);
        self.page(ui, made, &controls, &settings);
        if !ui.input(|input| input.pointer.any_down()) {
            self.hand.let_go();
        }
    }

    /// The size and the zoom, once a person has changed them.
    fn remember_size(&mut self, context: &Context, frame: &Frame, made: &Made) {
        let size = frame.baseview_window().size();
        let scale = size.scale_factor as f32;
        let size_px = Vec2::new(size.physical.width as f32, size.physical.height as f32) / scale;
        made.window.set_scale(scale);
        self.zoom = zoom::keep_size(context, self.zoom, size_px);
        if self
            .size_px
            .replace(size_px)
            .is_some_and(|before| before != size_px)
        {
            let [width, height] = [size_px.x, size_px.y].map(|side| side.round() as u32);
            made.params.window().set_size_px(width, height);
        }
    }

    /// The space bar starts and stops the song: it is the host's, unless something is typed.
    fn capture_keys(&self, frame: &mut Frame) {
        frame.set_key_capture(if self.typing.is_some() {
            KeyCapture::CaptureAll
        } else {
            KeyCapture::IgnoreKeys(vec![Key::Character(" ".to_owned())])
        });
    }

    /// What the audio thread has told since the last frame.
    fn listen(&mut self, made: &Made, settings: &Settings, controls: &[Control<'_>]) {
        if let Ok(mut telemetry) = made.telemetry.lock() {
            let now = values(controls);
            self.heard
                .listen(&mut telemetry, &mut made.window.compare(), (settings, &now));
        }
    }

    /// The page, which scrolls where the window is smaller, and what lies over it.
    fn page(&mut self, ui: &mut Ui, made: &Made, controls: &[Control<'_>], settings: &Settings) {
        let window = ui.ctx().content_rect().size();
        self.wheel.begin(ui);
        let page = Layout::new(window, made.params.has_source());
        let scrolled = ScrollArea::both()
            .auto_shrink(false)
            .content_margin(0)
            .scroll_source(ScrollSource {
                drag: DragScroll::Never,
                ..ScrollSource::default()
            })
            .show(ui, |ui| {
                let (area, _) = ui.allocate_exact_size(page.page, Sense::hover());
                let layout = page.moved(area.min.to_vec2());
                let pressed = self.parts(ui, made, controls, settings, &layout);
                (layout, pressed)
            });
        let (layout, pressed) = scrolled.inner;
        self.wheel.end(ui);
        if let Some(press) = pressed {
            self.press(press, made, controls);
        }
        self.over_the_page(ui, made, controls, &layout);
    }

    /// Head, state, pictures, stages; or the plain list in their place.
    fn parts(
        &mut self,
        ui: &mut Ui,
        made: &Made,
        controls: &[Control<'_>],
        settings: &Settings,
        layout: &Layout,
    ) -> Option<Press> {
        let two = self.two(made, controls);
        self.state(ui, made, settings, layout);
        let desk = &mut Desk {
            controls,
            hand: &mut self.hand,
            typing: &mut self.typing,
            menu: &mut self.menu,
            wheel: &mut self.wheel,
            place: if self.list { "list" } else { "cell" },
        };
        let pressed = bar::show(ui, desk, layout, made.name, &self.heard, two, self.list);
        if self.list {
            list::show(ui, desk, layout);
        } else {
            let threshold_lufs = self.heard.threshold_lufs(settings);
            let heard = &mut self.heard;
            let rate_hz = sample_rate_hz(made);
            heard
                .stream
                .show(ui, desk, &layout.stream, threshold_lufs, &settings.sibilance);
            heard
                .spectrum
                .show(ui, desk, &layout.spectrum, &settings.sibilance, rate_hz);
            stages::show(ui, desk, layout, settings);
        }
        pressed
    }

    /// The state in words.
    fn state(&self, ui: &Ui, made: &Made, settings: &Settings, layout: &Layout) {
        let tally = self.heard.stream.tally(&settings.sibilance);
        let state = status::State {
            settings,
            report: self.heard.last.as_ref(),
            running: self.heard.is_running(),
            clipped: self.heard.has_clipped(),
            has_source: made.params.has_source(),
            frozen: self.heard.stream.is_frozen(),
            tally: tally.as_ref(),
        };
        if state.clipped {
            // The word goes, whether or not the song still plays.
            ui.ctx().request_repaint_after(CLIP_TOLD);
        }
        status::show(ui, layout, &status::words(&state));
    }

    /// The proposal and the menus.
    fn over_the_page(&mut self, ui: &Ui, made: &Made, controls: &[Control<'_>], layout: &Layout) {
        if let Some(listener) = &self.heard.listener
            && let Some(answer) = proposal::show(ui, layout, listener)
        {
            if let Answer::Take(proposal) = answer {
                proposal::take(&self.hand, controls, &proposal);
            }
            self.heard.listener = None;
        }
        let desk = &mut Desk {
            controls,
            hand: &mut self.hand,
            typing: &mut self.typing,
            menu: &mut self.menu,
            wheel: &mut self.wheel,
            place: if self.list { "list" } else { "cell" },
        };
        match menus::show(ui, desk, layout, &made.starting_points) {
            Some(Chosen::Start(index)) => {
                let point = made.starting_points.get(index);
                let values = point.map(|point| start::values(point, controls));
                start::apply(&self.hand, controls, values.into_iter().flatten());
            }
            Some(Chosen::Zoom(percent)) => bar::choose_zoom(ui, made.params.window(), percent),
            None => {}
        }
    }
}

fn sample_rate_hz(made: &Made) -> f32 {
    let clock = made.telemetry.lock().ok().and_then(|telemetry| telemetry.clock());
    clock.map_or(NO_RATE_HZ, |(sample_rate_hz, _)| sample_rate_hz)
}

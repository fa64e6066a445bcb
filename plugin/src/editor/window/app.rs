//! The application inside the framework's window.

use std::sync::Arc;

use egui::{Context, Ui, Vec2};
use nice_plug::context::gui::GuiContext;
use nice_plug_egui::baseview::HandlerError;
use nice_plug_egui::{Frame, Key, KeyCapture, NiceEguiApp};

use super::keyboard_focus::KeyboardFocus;
use super::repaint::{News, RepaintThread};
use crate::editor::model::context::EditorContext;
use crate::editor::page::frame::Page;
use crate::editor::page::zoom;
use crate::editor::widgets::{palette, typeface};

/// The application, before and after its window is built.
pub struct App {
    editor: Arc<EditorContext>,
    open: Option<OpenWindow>,
}

/// State of an open window.
struct OpenWindow {
    page: Page,
    zoom: f32,
    size_px: Option<Vec2>,
    keyboard_focus: KeyboardFocus,
    /// Stops with the window.
    repaint: Option<RepaintThread>,
}

impl App {
    /// An application without a window.
    pub fn new(editor: Arc<EditorContext>) -> Self {
        Self { editor, open: None }
    }
}

impl NiceEguiApp for App {
    fn build(&mut self, context: Context, host: GuiContext, frame: &mut Frame) -> Result<(), HandlerError> {
        typeface::install(&context);
        self.editor.params.window.keep_chosen_scheme();
        palette::begin(&context, self.editor.params.window.scheme());
        frame.set_clear_color(palette::background(&context));
        if let Ok(mut telemetry) = self.editor.telemetry.lock() {
            telemetry.clear();
        }
        self.open = Some(OpenWindow {
            page: Page::new(host, self.editor.params.clone()),
            zoom: context.zoom_factor(),
            size_px: None,
            keyboard_focus: KeyboardFocus::default(),
            repaint: None,
        });
        Ok(())
    }

    fn ui(&mut self, ui: &mut Ui, frame: &mut Frame) {
        let Some(open) = &mut self.open else { return };
        open.start_repaint_thread(ui.ctx(), &self.editor);
        open.save_size(ui.ctx(), frame, &self.editor);
        open.capture_keys(frame);
        open.page.frame(ui, &self.editor);
        open.keyboard_focus.hold(ui.ctx(), frame);
        frame.set_clear_color(palette::background(ui.ctx()));
    }
}

impl OpenWindow {
    /// Starts in the first frame: a repaint request before the window is on the screen leaves it blank forever on X11
    /// (baseview 0.4.2).
    fn start_repaint_thread(&mut self, context: &Context, editor: &EditorContext) {
        if self.repaint.is_none() {
            let ticks = editor.telemetry.lock().ok().map(|telemetry| telemetry.ticks());
            let news = ticks.map(|ticks| News {
                ticks,
                changes: editor.session.changes.clone(),
                notes: editor.notes.changes(),
            });
            self.repaint = news.map(|news| RepaintThread::start(context.clone(), news));
        }
    }

    /// Saves the size once it differs from the one the window opened with.
    fn save_size(&mut self, context: &Context, frame: &Frame, editor: &EditorContext) {
        let size = frame.baseview_window().size();
        let scale = size.scale_factor as f32;
        let size_px = Vec2::new(size.physical.width as f32, size.physical.height as f32) / scale;
        editor.session.set_scale(scale);
        self.zoom = zoom::keep_size(context, self.zoom, size_px);
        if self
            .size_px
            .replace(size_px)
            .is_some_and(|before| before != size_px)
        {
            let [width, height] = [size_px.x, size_px.y].map(|side| side.round() as u32);
            editor.params.window.set_size_px(width, height);
        }
    }

    /// Leaves the space bar to the host, where it starts and stops playback, unless a value is being typed.
    fn capture_keys(&self, frame: &mut Frame) {
        frame.set_key_capture(if self.page.is_typing() {
            KeyCapture::CaptureAll
        } else {
            KeyCapture::IgnoreKeys(vec![Key::Character(" ".to_owned())])
        });
    }
}

//! The editor as the host sees it.
//!
//! Wraps the framework's editor, whose size and zoom cannot be saved with a song: each opening creates a new one from the
//! saved size and zoom, and changes are written back.

use std::cell::Cell;
use std::error::Error;
use std::sync::Arc;
use std::time::Duration;

use egui::Color32;
use nice_plug::context::gui::GuiContext;
use nice_plug::editor::dpi::{LogicalSize, NativeSize};
use nice_plug::editor::{
    Editor, EditorHandle, HostMethods, Modifiers, ParentWindowHandle, ResizeHint, SpawnedEditor,
    VirtualKeyCode,
};
use nice_plug::prelude::{TrackColor, TrackInfo};
use nice_plug_egui::{
    EguiEditor, EguiEditorHandle, EguiEditorState, EguiNiceSettings, GlConfig, GraphicsConfig,
    RepaintNotifier, create_egui_editor,
};

use siskin_editor_layout::{FIRST_SIZE, LEAST_SIZE};

use super::app::App;
use super::host_callbacks::SharedCallbacks;
use crate::editor::model::context::EditorContext;
use crate::editor::model::session::OpenGuard;
use crate::editor::page::zoom;

/// Interval of the framework's repaint poll: practically never, see `repaint`.
const FRAMEWORK_POLL_INTERVAL: Duration = Duration::from_secs(3600);

/// The editor of an insert.
pub struct InsertEditor(Arc<EditorContext>);

/// An open editor.
pub struct OpenEditor {
    inner: EguiEditorHandle,
    editor: Arc<EditorContext>,
    /// The scale of its screen that the host has told, if any.
    suggested_scale: Cell<Option<f64>>,
    _guard: OpenGuard,
}

impl InsertEditor {
    /// The editor of an insert, closed.
    pub fn new(editor: Arc<EditorContext>) -> Self {
        Self(editor)
    }

    fn framework(&self) -> Option<EguiEditor<App>> {
        let zoom = zoom::saved(&self.0.params.window);
        let size = size_px(&self.0);
        // The framework expects points and multiplies them by the zoom.
        let points = LogicalSize {
            width: size.width / zoom,
            height: size.height / zoom,
        };
        let least = LogicalSize {
            width: LEAST_SIZE.x,
            height: LEAST_SIZE.y,
        };
        let settings = EguiNiceSettings::new()
            .with_tile(self.0.session.title(self.0.name))
            .with_graphics_config(GraphicsConfig {
                // Dithering costs time at every pixel, and the page has no gradients.
                dithering: false,
                // Flat shapes in order need neither depth nor stencil.
                gl_config: GlConfig {
                    depth_bits: 0,
                    stencil_bits: 0,
                    ..GlConfig::default()
                },
                ..GraphicsConfig::default()
            })
            .with_resize_hint(ResizeHint::resizable().with_min_logical_size(least))
            .with_repaint_poll_interval(FRAMEWORK_POLL_INTERVAL);
        create_egui_editor(
            EguiEditorState::from_size(points, zoom),
            RepaintNotifier::default(),
            settings,
            App::new(self.0.clone()),
        )
    }
}

impl Editor for InsertEditor {
    type Handle = OpenEditor;

    fn spawn(
        &self,
        parent: Option<ParentWindowHandle>,
        wait_for_parent: bool,
        fallback_scale_factor: Option<f64>,
        gui_context: GuiContext,
        host: Option<HostMethods>,
    ) -> Result<SpawnedEditor<OpenEditor>, Box<dyn Error>> {
        #[cfg(target_os = "linux")]
        super::graphics_library::keep_loaded();
        let framework = self.framework().ok_or("the framework could not make an editor")?;
        let guard = self.0.session.open(gui_context.clone());
        let (host, callbacks) = host.map(shared).unzip();
        // The scale comes afterwards: a window on X11 that is made with it does not take it for its first size
        // (baseview 0.4.2).
        let SpawnedEditor { handle, window } =
            framework.spawn(parent, wait_for_parent, None, gui_context, host)?;
        self.0.session.host_menu.look();
        if let Some(callbacks) = callbacks {
            self.0.session.size_requests.open(move |size| callbacks.ask(size));
        }
        let handle = OpenEditor {
            inner: handle,
            editor: self.0.clone(),
            suggested_scale: Cell::new(None),
            _guard: guard,
        };
        match fallback_scale_factor {
            Some(scale) => handle.set_fallback_scale_factor(scale, &window)?,
            None => handle.read_scale(&window),
        }
        Ok(SpawnedEditor { handle, window })
    }

    fn size(&self) -> NativeSize<u32> {
        let scale = self.0.session.scale();
        NativeSize::from_size(size_px(&self.0).into(), f64::from(scale))
    }

    fn track_info_updated(&self, info: TrackInfo) {
        // How transparent a host's colour is says nothing of the track.
        let colour = info.color().map(TrackColor::rgba);
        let colour = colour.map(|(red, green, blue, _)| Color32::from_rgb(red, green, blue));
        self.0.session.set_track(info.name(), colour);
    }

    fn resize_hint(&self) -> ResizeHint {
        ResizeHint::resizable().with_min_logical_size(LogicalSize {
            width: LEAST_SIZE.x,
            height: LEAST_SIZE.y,
        })
    }
}

/// The host's methods for the framework, and a share of its callbacks.
fn shared(host: HostMethods) -> (HostMethods, SharedCallbacks) {
    let callbacks = SharedCallbacks::new(host.callbacks);
    let host = HostMethods {
        callbacks: Box::new(callbacks.clone()),
        ..host
    };
    (host, callbacks)
}

/// The size to open with, pixels at a scale of 1.
fn size_px(editor: &EditorContext) -> LogicalSize<f32> {
    let (width, height) = match editor.params.window.size_px() {
        Some((width, height)) => (width as f32, height as f32),
        None => FIRST_SIZE.into(),
    };
    LogicalSize { width, height }
}

impl Drop for OpenEditor {
    fn drop(&mut self) {
        self.editor.session.size_requests.close();
    }
}

impl OpenEditor {
    /// Notes the scale of a window that has its first size: hosts ask for the size before the window has drawn a frame.
    fn read_scale(&self, window: &FrameworkWindow) {
        let size = window.size();
        let scale = if cfg!(target_os = "linux") {
            // Here the framework tells the scale that it began with (baseview 0.4.2).
            size.physical.width as f32 / size_px(&self.editor).width
        } else {
            size.scale_factor as f32
        };
        self.editor.session.set_scale(scale);
    }
}

type Framework = EguiEditorHandle;
type FrameworkWindow = <Framework as EditorHandle>::Window;
type FrameworkError = <Framework as EditorHandle>::Error;

/// Forwards everything to the framework's editor and counts changes.
impl EditorHandle for OpenEditor {
    type Window = FrameworkWindow;
    type Error = FrameworkError;

    fn run_until_closed(window: Self::Window) -> Result<(), Self::Error> {
        Framework::run_until_closed(window)
    }

    fn set_parent(&self, parent: ParentWindowHandle, window: &Self::Window) -> Result<(), Self::Error> {
        self.inner.set_parent(parent, window)?;
        // On Windows the window is made only now, and has forgotten what the host told (baseview 0.4.2).
        if let Some(scale) = self.suggested_scale.get().filter(|_| cfg!(windows)) {
            self.inner.set_fallback_scale_factor(scale, window)?;
        }
        Ok(())
    }

    fn show(&self, window: &Self::Window) -> Result<(), Self::Error> {
        self.editor.session.changes.increment();
        self.inner.show(window)
    }

    fn hide(&self, window: &Self::Window) -> Result<(), Self::Error> {
        self.inner.hide(window)
    }

    fn set_size(&self, new_size: NativeSize<u32>, window: &Self::Window) -> Result<(), Self::Error> {
        // Saved at once: the host may ask for the size before the window has drawn a frame.
        let scale = if cfg!(target_os = "macos") {
            1.0
        } else {
            self.editor.session.scale()
        };
        let [width, height] =
            [new_size.width, new_size.height].map(|side| (side as f32 / scale).round() as u32);
        self.editor.params.window.set_size_px(width, height);
        self.inner.set_size(new_size, window)
    }

    fn host_main_thread_callback(&self, window: &Self::Window) {
        self.inner.host_main_thread_callback(window);
    }

    fn adjust_size(&self, new_size: NativeSize<u32>, window: &Self::Window) -> Option<NativeSize<u32>> {
        self.inner.adjust_size(new_size, window)
    }

    fn set_fallback_scale_factor(&self, scale_factor: f64, window: &Self::Window) -> Result<(), Self::Error> {
        self.suggested_scale.set(Some(scale_factor));
        self.inner.set_fallback_scale_factor(scale_factor, window)?;
        self.read_scale(window);
        Ok(())
    }

    fn on_virtual_key_from_host(&self, key: VirtualKeyCode, is_down: bool, modifiers: Modifiers) -> bool {
        self.inner.on_virtual_key_from_host(key, is_down, modifiers)
    }

    fn state_changed(&self) {
        self.editor.session.changes.increment();
    }

    fn param_value_changed(&self, _id: &str, _normalized_value: f32) {
        self.editor.session.changes.increment();
    }

    fn param_modulation_changed(&self, _id: &str, _modulation_offset: f32) {
        self.editor.session.changes.increment();
    }
}

//! The editor as the host sees it: opens a window of the remembered size and zoom, and tells the host its size.
//!
//! Around the framework's editor, whose size cannot be saved with a song: each opening makes a new one from what the song
//! remembers, and what the person then makes of it is written back there.

use std::error::Error;
use std::sync::{Arc, Mutex};

use nice_plug::context::gui::GuiContext;
use nice_plug::editor::dpi::{LogicalSize, NativeSize};
use nice_plug::editor::{
    Editor, EditorHandle, HostMethods, Modifiers, ParentWindowHandle, ResizeHint, SpawnedEditor,
    VirtualKeyCode,
};
use nice_plug_egui::{
    EguiEditor, EguiEditorHandle, EguiEditorState, EguiNiceSettings, GlConfig, GraphicsConfig,
    RepaintNotifier, create_egui_editor,
};

use super::app::App;
use super::window::{Opened, Window};
use super::{POLL_INTERVAL, layout, zoom};
use crate::params::Controls;
use crate::starting_points::StartingPoint;
use crate::telemetry::TelemetryReader;

/// What every opening of the window is made from.
pub struct Made {
    /// The name of the insert.
    pub name: &'static str,
    /// Its parameters.
    pub params: Arc<dyn Controls>,
    /// What outlives the window.
    pub window: Arc<Window>,
    /// What the audio thread tells.
    pub telemetry: Mutex<TelemetryReader>,
    /// Settings to begin with.
    pub starting_points: Vec<StartingPoint>,
}

/// The editor of an insert.
pub struct InsertEditor(pub(super) Arc<Made>);

/// An open editor.
pub struct OpenEditor {
    inner: EguiEditorHandle,
    made: Arc<Made>,
    _opened: Opened,
}

impl InsertEditor {
    /// The size to open with, pixels at a scale of 1.
    fn size_px(&self) -> LogicalSize<f32> {
        let (width, height) = match self.0.params.window().size_px() {
            Some((width, height)) => (width as f32, height as f32),
            None => layout::FIRST_SIZE.into(),
        };
        LogicalSize { width, height }
    }

    fn framework(&self) -> Option<EguiEditor<App>> {
        let zoom = zoom::remembered(self.0.params.window());
        let size = self.size_px();
        // The framework takes points and multiplies them by the zoom.
        let points = LogicalSize {
            width: size.width / zoom,
            height: size.height / zoom,
        };
        let least = LogicalSize {
            width: layout::LEAST_SIZE.x,
            height: layout::LEAST_SIZE.y,
        };
        let settings = EguiNiceSettings::new()
            .with_tile(self.0.name)
            .with_graphics_config(GraphicsConfig {
                // Noise against banding, for a page without gradients, would cost at every pixel.
                dithering: false,
                // Flat shapes, drawn in order: neither depth nor stencil is looked at.
                gl_config: GlConfig {
                    depth_bits: 0,
                    stencil_bits: 0,
                    ..GlConfig::default()
                },
                ..GraphicsConfig::default()
            })
            .with_resize_hint(ResizeHint::resizable().with_min_logical_size(least))
            .with_repaint_poll_interval(POLL_INTERVAL);
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
        let framework = self.framework().ok_or("the framework could not make an editor")?;
        let opened = self.0.window.open(gui_context.clone());
        let SpawnedEditor { handle, window } =
            framework.spawn(parent, wait_for_parent, fallback_scale_factor, gui_context, host)?;
        let handle = OpenEditor {
            inner: handle,
            made: self.0.clone(),
            _opened: opened,
        };
        Ok(SpawnedEditor { handle, window })
    }

    fn size(&self) -> NativeSize<u32> {
        let scale = self.0.window.scale();
        NativeSize::from_size(self.size_px().into(), f64::from(scale))
    }

    fn resize_hint(&self) -> ResizeHint {
        ResizeHint::resizable().with_min_logical_size(LogicalSize {
            width: layout::LEAST_SIZE.x,
            height: layout::LEAST_SIZE.y,
        })
    }
}

type Framework = EguiEditorHandle;
type FrameworkWindow = <Framework as EditorHandle>::Window;
type FrameworkError = <Framework as EditorHandle>::Error;

/// Hands all on to the framework's, and counts what changes.
impl EditorHandle for OpenEditor {
    type Window = FrameworkWindow;
    type Error = FrameworkError;

    fn run_until_closed(window: Self::Window) -> Result<(), Self::Error> {
        Framework::run_until_closed(window)
    }

    fn set_parent(&self, parent: ParentWindowHandle, window: &Self::Window) -> Result<(), Self::Error> {
        self.inner.set_parent(parent, window)
    }

    fn show(&self, window: &Self::Window) -> Result<(), Self::Error> {
        self.made.window.changes.count();
        self.inner.show(window)
    }

    fn hide(&self, window: &Self::Window) -> Result<(), Self::Error> {
        self.inner.hide(window)
    }

    fn set_size(&self, new_size: NativeSize<u32>, window: &Self::Window) -> Result<(), Self::Error> {
        // The host may ask for the size before the window has drawn with it.
        let scale = if cfg!(target_os = "macos") {
            1.0
        } else {
            self.made.window.scale()
        };
        let [width, height] =
            [new_size.width, new_size.height].map(|side| (side as f32 / scale).round() as u32);
        self.made.params.window().set_size_px(width, height);
        self.inner.set_size(new_size, window)
    }

    fn host_main_thread_callback(&self, window: &Self::Window) {
        self.inner.host_main_thread_callback(window);
    }

    fn adjust_size(&self, new_size: NativeSize<u32>, window: &Self::Window) -> Option<NativeSize<u32>> {
        self.inner.adjust_size(new_size, window)
    }

    fn set_fallback_scale_factor(&self, scale_factor: f64, window: &Self::Window) -> Result<(), Self::Error> {
        self.inner.set_fallback_scale_factor(scale_factor, window)
    }

    fn on_virtual_key_from_host(&self, key: VirtualKeyCode, is_down: bool, modifiers: Modifiers) -> bool {
        self.inner.on_virtual_key_from_host(key, is_down, modifiers)
    }

    fn state_changed(&self) {
        self.made.window.changes.count();
    }

    fn param_value_changed(&self, _id: &str, _normalized_value: f32) {
        self.made.window.changes.count();
    }

    fn param_modulation_changed(&self, _id: &str, _modulation_offset: f32) {
        self.made.window.changes.count();
    }
}

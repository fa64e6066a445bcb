//! The editor: every parameter in the order of the signal, and what the stages do, in words, numbers and a trace.

mod app;
mod keys;
#[allow(dead_code, unused_imports)]
mod layout;
mod look;
mod row;
mod status;
mod trace;
mod window;

use std::sync::Arc;
use std::time::Duration;

use nice_plug::prelude::ResizeHint;
use nice_plug_egui::{EguiEditor, EguiNiceSettings, RepaintNotifier, create_egui_editor};

use crate::params::{FollowGroup, InsertParams};
use crate::telemetry::TelemetryReader;

use app::App;
pub use window::{EditorTask, ListenReturn, Window};

/// The editor of an insert.
pub type InsertEditor<F> = EguiEditor<App<F>>;

/// A notifier that is polled between `create` and `show` leaves the window blank for ever on X11 (baseview 0.4.2), so
/// it is polled hardly ever and the window asks for its own next frame instead.
const POLL_INTERVAL: Duration = Duration::from_secs(3600);

/// The editor of an insert named `name`.
pub fn create<F: FollowGroup>(
    name: &'static str,
    params: Arc<InsertParams<F>>,
    window: Arc<Window>,
    telemetry: TelemetryReader,
) -> Option<InsertEditor<F>> {
    let settings = EguiNiceSettings::new()
        .with_tile(name)
        .with_resize_hint(ResizeHint::resizable().with_min_logical_size(window::LEAST_SIZE))
        .with_repaint_poll_interval(POLL_INTERVAL);
    let state = window.state.clone();
    create_egui_editor(
        state,
        RepaintNotifier::default(),
        settings,
        App::new(name, params, window, telemetry),
    )
}

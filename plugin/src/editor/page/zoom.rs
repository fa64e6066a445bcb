//! Zoom: more pixels per point. The host is asked for a window that shows as much as before; where it keeps its window, the
//! page is laid out anew. Only the host resizes the window: hosts ignore a plug-in that resizes itself, follow it partly, or
//! fight it without end.

use egui::{Context, Vec2, ViewportCommand};
use siskin_editor_layout::LEAST_SIZE;

use crate::editor::model::host_size::{HostSize, SizeRequests};
use crate::params::RememberedWindow;

/// The zooms of the menu, percent.
pub const PERCENT: [u32; 5] = [100, 125, 150, 175, 200];

/// The zoom saved with the song, as a factor.
pub fn saved(window: &RememberedWindow) -> f32 {
    factor(window.zoom_percent().unwrap_or(PERCENT[0]))
}

/// A percentage as a factor.
pub fn factor(percent: u32) -> f32 {
    percent as f32 / 100.0
}

/// Sets the zoom from the next frame on.
pub fn set(context: &Context, percent: u32) {
    context.set_zoom_factor(factor(percent));
}

/// Units of the host's sizes and positions per point: pixels, on macOS points of the screen.
pub fn host_units_per_point(context: &Context) -> f32 {
    if cfg!(target_os = "macos") {
        context.zoom_factor()
    } else {
        context.pixels_per_point()
    }
}

/// Asks the host for a window that shows as much at the new zoom as it shows now.
pub fn ask_for_size(context: &Context, requests: &SizeRequests, percent: u32) {
    let units = host_units_per_point(context);
    let growth = factor(percent) / context.zoom_factor();
    let least = LEAST_SIZE * units / context.zoom_factor();
    let size = (context.content_rect().size() * units * growth).max(least);
    if growth != 1.0 {
        let [width, height] = [size.x, size.y].map(|side| side.round() as u32);
        requests.ask(HostSize { width, height });
    }
}

/// Keeps the window's size when the zoom changes, since the framework would resize it. `size_px` is the size at a scale of 1.
/// Returns the zoom of this frame.
pub fn keep_size(context: &Context, before: f32, size_px: Vec2) -> f32 {
    let now = context.zoom_factor();
    if now != before {
        context.send_viewport_cmd(ViewportCommand::InnerSize(size_px / now));
    }
    now
}

//! Zoom: more pixels per point in a window of the same size. Only the host resizes the window: hosts ignore a plug-in that
//! resizes itself, follow it partly, or fight it without end.

use egui::{Context, Vec2, ViewportCommand};

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

/// Keeps the window's size when the zoom changes, since the framework would resize it. `size_px` is the size at a scale of 1.
/// Returns the zoom of this frame.
pub fn keep_size(context: &Context, before: f32, size_px: Vec2) -> f32 {
    let now = context.zoom_factor();
    if now != before {
        context.send_viewport_cmd(ViewportCommand::InnerSize(size_px / now));
    }
    now
}

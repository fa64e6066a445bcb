//! Zoom: more pixels a point, in the window as it is. The window's size is the host's affair: a plug-in that resizes
//! itself is ignored or followed halfway by some hosts and fought without end by others.

use egui::{Context, Vec2, ViewportCommand};

use crate::params::RememberedWindow;

/// The zooms to choose from.
pub const PERCENT: [u32; 5] = [100, 125, 150, 175, 200];

/// The remembered zoom, as a factor.
pub fn remembered(window: &RememberedWindow) -> f32 {
    factor(window.zoom_percent().unwrap_or(PERCENT[0]))
}

/// A percentage as a factor.
pub fn factor(percent: u32) -> f32 {
    percent as f32 / 100.0
}

/// Draws with a zoom from the next frame on.
pub fn set(context: &Context, percent: u32) {
    context.set_zoom_factor(factor(percent));
}

/// The framework answers a new zoom by resizing the window; in the frame in which it takes hold it is told to keep the
/// size that the window has. `size_px` is that size at a scale of 1; gives the zoom of this frame.
pub fn keep_size(context: &Context, before: f32, size_px: Vec2) -> f32 {
    let now = context.zoom_factor();
    if now != before {
        context.send_viewport_cmd(ViewportCommand::InnerSize(size_px / now));
    }
    now
}

//! Colours and sizes: dark grey paper, one warm and one cool ink.

use egui::style::ScrollStyle;
use egui::{Color32, Context, CornerRadius, Stroke, Visuals};

/// The window.
pub const PAPER: Color32 = Color32::from_rgb(0x24, 0x26, 0x29);
/// Behind the trace and the tracks of the sliders.
pub const WELL: Color32 = Color32::from_rgb(0x1a, 0x1b, 0x1e);
/// Names and numbers.
pub const INK: Color32 = Color32::from_rgb(0xe2, 0xe0, 0xda);
/// What is said in passing.
pub const FAINT: Color32 = Color32::from_rgb(0x9a, 0x9a, 0x96);
/// Lines of a grid.
pub const LINE: Color32 = Color32::from_rgb(0x3a, 0x3c, 0x40);
/// The voice, and what is set.
pub const VOICE: Color32 = Color32::from_rgb(0x7f, 0xa6, 0x9c);
/// The threshold.
pub const THRESHOLD: Color32 = Color32::from_rgb(0xd8, 0xd3, 0xc4);
/// Sibilants.
pub const SIBILANCE: Color32 = Color32::from_rgb(0xd9, 0xa1, 0x5b);
/// Reduction.
pub const REDUCTION: Color32 = Color32::from_rgb(0xb8, 0x6b, 0x5e);

/// The size of names and values, points.
pub const TEXT_SIZE: f32 = 13.0;
/// The size of what explains a number, points.
pub const SMALL_SIZE: f32 = 11.0;
/// The size of headings, points.
pub const HEADING_SIZE: f32 = 15.0;

/// Dresses the window.
pub fn dress(context: &Context) {
    let mut visuals = Visuals::dark();
    visuals.panel_fill = PAPER;
    visuals.extreme_bg_color = WELL;
    visuals.override_text_color = Some(INK);
    visuals.selection.bg_fill = VOICE.gamma_multiply(0.5);
    visuals.selection.stroke = Stroke::new(1.0, VOICE);
    for widget in [
        &mut visuals.widgets.inactive,
        &mut visuals.widgets.hovered,
        &mut visuals.widgets.active,
        &mut visuals.widgets.open,
    ] {
        widget.corner_radius = CornerRadius::same(2);
    }
    context.set_visuals(visuals);
    // A bar beside the rows and not above them.
    context.all_styles_mut(|style| style.spacing.scroll = ScrollStyle::solid());
}

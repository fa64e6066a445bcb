//! The colours of a window: one of the two schemes of the crate `siskin-editor-layout`.

use egui::{Context, Rgba, Theme};

use crate::params::Scheme;

pub use siskin_editor_layout::palette::{DARK, LIGHT, Palette};

/// The colours of the window's scheme.
pub fn of(context: &Context) -> &'static Palette {
    match context.theme() {
        Theme::Light => &LIGHT,
        Theme::Dark => &DARK,
    }
}

/// The colours of a picture, which are grey while the insert is bypassed.
pub fn of_sound(context: &Context, bypassed: bool) -> Palette {
    let colours = of(context);
    if bypassed { colours.greyed() } else { *colours }
}

/// Sets the scheme of a window that draws its first frame later. A repaint request before the window is on the screen leaves
/// it blank forever on X11 (baseview 0.4.2).
pub fn begin(context: &Context, scheme: Scheme) {
    context.set_theme(theme(scheme));
}

/// Shows a scheme, which the host may have loaded with a song.
pub fn apply(context: &Context, scheme: Scheme) {
    if context.theme() != theme(scheme) {
        context.set_theme(theme(scheme));
        // What the framework draws by itself has the new colours from the next frame on.
        context.request_repaint();
    }
}

fn theme(scheme: Scheme) -> Theme {
    match scheme {
        Scheme::Light => Theme::Light,
        Scheme::Dark => Theme::Dark,
    }
}

/// The colour behind everything.
pub fn background(context: &Context) -> Rgba {
    let [red, green, blue, _] = of(context).paper.to_array().map(|value| f32::from(value) / 255.0);
    Rgba::from_rgb(red, green, blue)
}

//! Fonts and egui style. Noto Sans, regular and bold (SIL Open Font License 1.1), is part of the binary: egui has none.

use std::sync::Arc;

use egui::style::ScrollStyle;
use egui::{Color32, Context, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Stroke, Visuals};

use super::palette;

/// Size of names and values, points.
const TEXT_POINTS: f32 = 12.5;
/// Size of scales and legends, points.
const SMALL_POINTS: f32 = 11.0;
/// Size of headings, points.
const HEADING_POINTS: f32 = 14.0;
/// Family name of the bold font.
const BOLD: &str = "bold";

/// Names and values.
pub fn text() -> FontId {
    FontId::proportional(TEXT_POINTS)
}

/// Selected choices and important values.
pub fn strong() -> FontId {
    FontId::new(TEXT_POINTS, FontFamily::Name(BOLD.into()))
}

/// Scales and legends.
pub fn small() -> FontId {
    FontId::proportional(SMALL_POINTS)
}

/// Headings.
pub fn heading() -> FontId {
    FontId::new(HEADING_POINTS, FontFamily::Name(BOLD.into()))
}

/// Fonts of the binary.
fn fonts() -> FontDefinitions {
    let mut fonts = FontDefinitions::empty();
    for (name, bytes) in [("regular", notosans::REGULAR_TTF), (BOLD, notosans::BOLD_TTF)] {
        fonts
            .font_data
            .insert(name.to_owned(), Arc::new(FontData::from_static(bytes)));
    }
    for (family, font) in [
        (FontFamily::Proportional, "regular"),
        (FontFamily::Monospace, "regular"),
        (FontFamily::Name(BOLD.into()), BOLD),
    ] {
        fonts.families.insert(family, vec![font.to_owned()]);
    }
    fonts
}

/// Sets fonts and style of a window.
pub fn install(context: &Context) {
    context.set_fonts(fonts());
    let mut visuals = Visuals::light();
    visuals.panel_fill = palette::PAPER;
    visuals.window_fill = palette::SURFACE;
    visuals.window_stroke = Stroke::new(1.0, palette::EDGE);
    visuals.extreme_bg_color = palette::SURFACE;
    visuals.override_text_color = Some(palette::INK);
    visuals.selection.bg_fill = palette::HOVER;
    visuals.selection.stroke = Stroke::new(1.0, palette::INK);
    visuals.popup_shadow = egui::Shadow::NONE;
    for widget in [
        &mut visuals.widgets.noninteractive,
        &mut visuals.widgets.inactive,
        &mut visuals.widgets.hovered,
        &mut visuals.widgets.active,
    ] {
        widget.corner_radius = CornerRadius::same(2);
        widget.bg_fill = palette::HOVER;
        widget.fg_stroke = Stroke::new(1.0, palette::INK);
    }
    visuals.text_cursor.stroke = Stroke::new(1.5, palette::INK);
    context.set_visuals(visuals);
    context.all_styles_mut(|style| {
        style.spacing.scroll = ScrollStyle::floating();
        // A blinking cursor would repaint the window twice a second.
        style.visuals.text_cursor.blink = false;
        style.text_styles.values_mut().for_each(|font| *font = text());
        style.animation_time = 0.0;
    });
}

/// Text colour of something that is on, or off.
pub fn text_color(live: bool) -> Color32 {
    if live {
        palette::INK
    } else {
        palette::SECONDARY_INK
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fonts_have_every_character_the_editor_shows() {
        let context = Context::default();
        install(&context);
        let mut missing = String::new();
        let mut output = context.run_ui(egui::RawInput::default(), |ui| {
            ui.ctx().fonts_mut(|fonts| {
                let shown =
                    (' '..='~').chain("\u{b7}\u{2013}\u{2019}\u{201c}\u{201d}\u{2026}\u{b5}\u{4e2d}".chars());
                for sign in shown {
                    if [text(), strong()].iter().any(|font| !fonts.has_glyph(font, sign)) {
                        missing.push(sign);
                    }
                }
            });
        });
        output.textures_delta.clear();
        assert_eq!(missing, "\u{4e2d}", "only the character that Noto Sans lacks");
    }
}

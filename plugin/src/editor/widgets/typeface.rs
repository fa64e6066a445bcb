//! Fonts and egui style. Noto Sans, regular and bold (SIL Open Font License 1.1), is part of the binary: egui has none.

use std::sync::Arc;

use egui::style::ScrollStyle;
use egui::text::{LayoutJob, TextWrapping};
use egui::{
    Color32, Context, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Galley, Painter, Stroke,
    Theme, Visuals,
};

use super::palette::{self, Palette};

/// Size of everything that may hold a digit, points. Digits of Noto Sans are 714/1000 em high (OS/2 cap height), so these are
/// 10 pixels high at 100 %.
const TEXT_POINTS: f32 = 14.1;
/// Size of words without digits: legends, buttons, names of lanes, points.
const SMALL_POINTS: f32 = 12.5;
/// Size of headings, points.
const HEADING_POINTS: f32 = 15.0;
/// Size of a word across a picture, points.
const ACROSS_POINTS: f32 = 22.0;
/// Family name of the bold font.
const BOLD: &str = "bold";

/// Names, values and scales.
pub fn text() -> FontId {
    FontId::proportional(TEXT_POINTS)
}

/// Selected choices and important values.
pub fn strong() -> FontId {
    FontId::new(TEXT_POINTS, FontFamily::Name(BOLD.into()))
}

/// Words without digits: legends, buttons, names of lanes.
pub fn small() -> FontId {
    FontId::proportional(SMALL_POINTS)
}

/// Small where the text has no digit.
pub fn small_without_digits(text: &str) -> FontId {
    if text.contains(|sign: char| sign.is_ascii_digit()) {
        self::text()
    } else {
        small()
    }
}

/// Headings.
pub fn heading() -> FontId {
    FontId::new(HEADING_POINTS, FontFamily::Name(BOLD.into()))
}

/// A word across a picture.
pub fn across() -> FontId {
    FontId::new(ACROSS_POINTS, FontFamily::Name(BOLD.into()))
}

/// A text in one line, which ends in an ellipsis where it is longer than `width`, points.
pub fn one_line(painter: &Painter, text: &str, font: FontId, ink: Color32, width: f32) -> Arc<Galley> {
    let mut line = LayoutJob::simple_singleline(text.to_owned(), font, ink);
    line.wrap = TextWrapping::truncate_at_width(width);
    painter.layout_job(line)
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

/// Sets fonts and style of a window, for both schemes.
pub fn install(context: &Context) {
    context.set_fonts(fonts());
    context.set_visuals_of(Theme::Light, visuals(Visuals::light(), &palette::LIGHT));
    context.set_visuals_of(Theme::Dark, visuals(Visuals::dark(), &palette::DARK));
    context.set_theme(Theme::Light);
    context.all_styles_mut(|style| {
        style.spacing.scroll = ScrollStyle {
            // Visible wherever there is more, not only under the pointer.
            dormant_handle_opacity: 1.0,
            ..ScrollStyle::floating()
        };
        // A blinking cursor would repaint the window twice a second.
        style.visuals.text_cursor.blink = false;
        style.text_styles.values_mut().for_each(|font| *font = text());
        style.animation_time = 0.0;
    });
}

/// What the framework draws by itself, in the colours of a scheme.
fn visuals(mut visuals: Visuals, colours: &Palette) -> Visuals {
    visuals.panel_fill = colours.paper;
    visuals.window_fill = colours.surface;
    visuals.window_stroke = Stroke::new(1.0, colours.edge);
    visuals.extreme_bg_color = colours.surface;
    visuals.override_text_color = Some(colours.ink);
    visuals.selection.bg_fill = colours.hover;
    visuals.selection.stroke = Stroke::new(1.0, colours.ink);
    visuals.popup_shadow = egui::Shadow::NONE;
    for widget in [
        &mut visuals.widgets.noninteractive,
        &mut visuals.widgets.inactive,
        &mut visuals.widgets.hovered,
        &mut visuals.widgets.active,
    ] {
        widget.corner_radius = CornerRadius::same(2);
        widget.bg_fill = colours.hover;
        widget.fg_stroke = Stroke::new(1.0, colours.ink);
    }
    visuals.text_cursor.stroke = Stroke::new(1.5, colours.ink);
    visuals
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

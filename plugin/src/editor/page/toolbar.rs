//! The title row and the row of buttons.

use egui::text::{LayoutJob, TextWrapping};
use egui::{Align2, Ui};
use siskin_editor_layout::Layout;

use super::zoom;
use crate::editor::widgets::button::{ButtonState, button};
use crate::editor::widgets::ui_context::{Menu, UiContext};
use crate::editor::widgets::{ids, typeface};
use crate::params::RememberedWindow;

/// What a button asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Action {
    /// Start listening for a proposal, or cancel.
    Propose,
    /// Switch to setting 0 or 1.
    Setting(usize),
    /// Copy the active setting to the other.
    Copy,
    /// Make both settings equally loud.
    EqualLoudness,
    /// Switch between pictures and plain list.
    List,
}

/// State of the two settings that are compared.
#[derive(Debug, Clone, Copy)]
pub struct Comparison {
    /// Index of the active setting, 0 or 1.
    pub active: usize,
    /// Whether the other setting is different.
    pub differs: bool,
    /// Whether the loudness of both is known.
    pub can_equalize: bool,
}

/// What the toolbar shows.
#[derive(Debug, Clone, Copy)]
pub struct Toolbar<'a> {
    /// Name of the insert.
    pub title: &'a str,
    /// The two settings.
    pub comparison: Comparison,
    /// Whether the editor listens for a proposal or shows one.
    pub is_proposing: bool,
    /// Whether the plain list is shown.
    pub shows_list: bool,
}

/// Draws the toolbar; returns the action of the button that was pressed.
pub fn show(ui: &Ui, context: &mut UiContext<'_>, layout: &Layout, toolbar: &Toolbar<'_>) -> Option<Action> {
    title(ui, layout, toolbar.title);
    title_buttons(ui, context, layout, toolbar.shows_list).or_else(|| buttons(ui, context, layout, toolbar))
}

/// A track's name may be longer than its place.
fn title(ui: &Ui, layout: &Layout, title: &str) {
    let color = typeface::text_color(true);
    let mut text = LayoutJob::simple_singleline(title.to_owned(), typeface::heading(), color);
    text.wrap = TextWrapping::truncate_at_width(layout.title.width());
    let text = ui.painter().layout_job(text);
    let area = Align2::LEFT_CENTER.anchor_size(layout.title.left_center(), text.size());
    ui.painter().galley(area.min, text, color);
}

fn title_buttons(ui: &Ui, context: &mut UiContext<'_>, layout: &Layout, shows_list: bool) -> Option<Action> {
    let percent = format!("{:.0} %", ui.ctx().zoom_factor() * 100.0);
    if let Some(area) = layout.button("zoom")
        && button(
            ui,
            area,
            ("zoom", &percent),
            menu_button_state(context, Menu::Zoom),
        )
    {
        toggle_menu(ui, context, Menu::Zoom);
    }
    let (text, state) = if shows_list {
        ("Pictures", ButtonState::Selected)
    } else {
        ("Plain list", ButtonState::Normal)
    };
    let area = layout.button("list")?;
    button(ui, area, ("list", text), state).then_some(Action::List)
}

fn buttons(ui: &Ui, context: &mut UiContext<'_>, layout: &Layout, toolbar: &Toolbar<'_>) -> Option<Action> {
    let mut action = None;
    let comparison = toolbar.comparison;
    let pressed = |name: &str, text: &str, state: ButtonState| {
        let area = layout.button(name);
        area.is_some_and(|area| button(ui, area, (name, text), state))
    };
    let start_state = menu_button_state(context, Menu::StartingPoints);
    if pressed("start", "Begin with ...", start_state) {
        toggle_menu(ui, context, Menu::StartingPoints);
    }
    if pressed("propose", "Propose", selected(toolbar.is_proposing)) {
        action = Some(Action::Propose);
    }
    for (index, name) in ["setting_1", "setting_2"].into_iter().enumerate() {
        let state = selected(comparison.active == index);
        if pressed(name, &(index + 1).to_string(), state) {
            action = Some(Action::Setting(index));
        }
    }
    let copy = format!("{} to {}", comparison.active + 1, 2 - comparison.active);
    if pressed("copy", &copy, enabled(comparison.differs)) {
        action = Some(Action::Copy);
    }
    let equal_state = enabled(comparison.can_equalize);
    if pressed("equal", "Equal loudness", equal_state) && comparison.can_equalize {
        action = Some(Action::EqualLoudness);
    }
    action
}

fn selected(selected: bool) -> ButtonState {
    if selected {
        ButtonState::Selected
    } else {
        ButtonState::Normal
    }
}

fn enabled(enabled: bool) -> ButtonState {
    if enabled {
        ButtonState::Normal
    } else {
        ButtonState::Disabled
    }
}

fn menu_button_state(context: &UiContext<'_>, menu: Menu) -> ButtonState {
    selected(*context.menu == Some(menu))
}

fn toggle_menu(ui: &Ui, context: &mut UiContext<'_>, menu: Menu) {
    if *context.menu == Some(menu) {
        *context.menu = None;
    } else {
        *context.menu = Some(menu);
        ids::focus_first_menu_item(ui);
    }
}

/// Saves the zoom and applies it from the next frame on.
pub fn set_zoom(ui: &Ui, window: &RememberedWindow, percent: u32) {
    window.set_zoom_percent(percent);
    zoom::set(ui.ctx(), percent);
}

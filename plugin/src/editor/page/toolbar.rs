//! The title row and the row of buttons.

use egui::{Align2, Color32, Theme, Ui};
use siskin_editor_layout::Layout;

use crate::editor::widgets::button::{ButtonState, button};
use crate::editor::widgets::ui_context::{Menu, UiContext};
use crate::editor::widgets::{ids, marks, palette, typeface};
use crate::params::Scheme;

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
    /// Switch between the stages and the panel of the song.
    Song,
    /// Switch to the other scheme of colours.
    Scheme(Scheme),
}

/// State of the two settings that are compared.
#[derive(Debug, Clone, Copy)]
pub struct Comparison {
    /// Index of the active setting, 0 or 1.
    pub active: usize,
    /// Whether the other setting is different.
    pub differs: bool,
    /// How much louder the active setting is, LU, where the loudness of both is known.
    pub louder_lu: Option<f32>,
}

/// Differences below this are not heard and not told, LU: the last digit that is shown.
const EQUAL_LU: f32 = 0.1;

impl Comparison {
    /// Number of the louder setting, 1 or 2, and by how much it is louder, LU, where it is.
    fn louder(&self) -> Option<(usize, f32)> {
        let louder_lu = self.louder_lu.filter(|lu| lu.abs() >= EQUAL_LU)?;
        let index = if louder_lu > 0.0 {
            self.active
        } else {
            1 - self.active
        };
        Some((index + 1, louder_lu.abs()))
    }

    /// Text of the button that makes both equally loud: what it turns down, and by how much.
    fn equal_text(&self) -> String {
        match self.louder() {
            Some((number, lu)) => format!("Turn {number} down {lu:.1}"),
            None => "Equal loudness".to_owned(),
        }
    }

    /// The difference in loudness, where both are known and differ otherwise.
    pub fn text(&self) -> Option<String> {
        match self.louder() {
            Some((number, lu)) => Some(format!("{number} is {lu:.1} LU louder than {}", 3 - number)),
            None => (self.louder_lu.is_some() && self.differs).then(|| "1 and 2 are equally loud".to_owned()),
        }
    }
}

/// What the toolbar shows.
#[derive(Debug, Clone, Copy)]
pub struct Toolbar<'a> {
    /// Name of the insert.
    pub title: &'a str,
    /// Name of the starting point that was chosen, until something changes.
    pub chosen: Option<&'a str>,
    /// Colour of the host's track, where the host tells it.
    pub track_colour: Option<Color32>,
    /// The two settings.
    pub comparison: Comparison,
    /// Whether the editor listens for a proposal or shows one.
    pub is_proposing: bool,
    /// Whether the plain list is shown.
    pub shows_list: bool,
    /// Whether the panel of the song is shown.
    pub shows_song: bool,
}

/// Draws the toolbar; returns the action of the button that was pressed.
pub fn show(ui: &Ui, context: &mut UiContext<'_>, layout: &Layout, toolbar: &Toolbar<'_>) -> Option<Action> {
    title(ui, layout, toolbar.title);
    if let Some(colour) = toolbar.track_colour {
        marks::track(ui.painter(), layout.title, colour);
    }
    title_buttons(ui, context, layout, toolbar).or_else(|| buttons(ui, context, layout, toolbar))
}

/// A track's name may be longer than its place.
fn title(ui: &Ui, layout: &Layout, title: &str) {
    let colours = palette::of(ui.ctx());
    let color = colours.text(true);
    let text = typeface::one_line(
        ui.painter(),
        title,
        typeface::heading(),
        color,
        layout.title.width(),
    );
    let area = Align2::LEFT_CENTER.anchor_size(layout.title.left_center(), text.size());
    ui.painter().galley(area.min, text, color);
}

fn title_buttons(
    ui: &Ui,
    context: &mut UiContext<'_>,
    layout: &Layout,
    toolbar: &Toolbar<'_>,
) -> Option<Action> {
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
    let shows_song = toolbar.shows_song && !toolbar.shows_list;
    if let Some(area) = layout.button("song")
        && button(ui, area, ("song", "Song"), selected(shows_song))
    {
        return Some(Action::Song);
    }
    let (text, state) = if toolbar.shows_list {
        ("Pictures", ButtonState::Selected)
    } else {
        ("Plain list", ButtonState::Normal)
    };
    let (other, name) = match ui.ctx().theme() {
        Theme::Light => (Scheme::Dark, "Dark"),
        Theme::Dark => (Scheme::Light, "Light"),
    };
    if let Some(area) = layout.button("scheme")
        && button(ui, area, ("scheme", name), ButtonState::Normal)
    {
        return Some(Action::Scheme(other));
    }
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
    let start = toolbar.chosen.unwrap_or("Begin with ...");
    if pressed("start", start, start_state) {
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
    let can_equalize = comparison.louder().is_some();
    if pressed("equal", &comparison.equal_text(), enabled(can_equalize)) && can_equalize {
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_button_says_what_it_turns_down_and_by_how_much() {
        let comparison = |active, louder_lu| Comparison {
            active,
            differs: true,
            louder_lu,
        };
        let texts = |active, lu| {
            let comparison = comparison(active, Some(lu));
            (comparison.equal_text(), comparison.text().unwrap_or_default())
        };
        let (button, text) = texts(0, -1.26);
        assert_eq!(
            (button.as_str(), text.as_str()),
            ("Turn 2 down 1.3", "2 is 1.3 LU louder than 1")
        );
        let (button, text) = texts(1, -1.26);
        assert_eq!(
            (button.as_str(), text.as_str()),
            ("Turn 1 down 1.3", "1 is 1.3 LU louder than 2")
        );
        let (button, text) = texts(1, 0.04);
        assert_eq!(
            (button.as_str(), text.as_str()),
            ("Equal loudness", "1 and 2 are equally loud")
        );
        assert_eq!(comparison(0, None).text(), None);
    }
}

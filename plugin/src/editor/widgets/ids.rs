//! Ids of widgets that other widgets give keyboard focus to.

use egui::{Id, Ui};

/// Id of a control in one of the views that show it: `cell`, `list` or `timeline`.
pub fn control(control: &str, view: &str) -> Id {
    Id::unique((control, view))
}

/// Id of an item of the open menu.
pub fn menu_item(index: usize) -> Id {
    Id::unique(("menu item", index))
}

/// Gives keyboard focus to the first item of the menu that has just opened.
pub fn focus_first_menu_item(ui: &Ui) {
    ui.memory_mut(|memory| memory.request_focus(menu_item(0)));
}

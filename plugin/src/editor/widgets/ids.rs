//! Ids of widgets that other widgets give keyboard focus to.

use egui::{FocusDirection, Id, Key, Ui};

/// Id of a control in one of the views that show it: `cell`, `list` or `timeline`.
pub fn control(control: &str, view: &str) -> Id {
    Id::unique((control, view))
}

/// Gives keyboard focus to a control in one of its views if Tab is pressed where nothing has it yet.
pub fn begin_tab_at(ui: &Ui, control: &str, view: &str) {
    let is_tab = ui.input(|input| input.key_pressed(Key::Tab) && !input.modifiers.shift);
    if is_tab && ui.memory(|memory| memory.focused().is_none()) {
        ui.memory_mut(|memory| {
            // Otherwise Tab would go on from there at once.
            memory.move_focus(FocusDirection::None);
            memory.request_focus(self::control(control, view));
        });
    }
}

/// Id of an item of the open menu.
pub fn menu_item(index: usize) -> Id {
    Id::unique(("menu item", index))
}

/// Gives keyboard focus to the first item of the menu that has just opened.
pub fn focus_first_menu_item(ui: &Ui) {
    ui.memory_mut(|memory| memory.request_focus(menu_item(0)));
}

//! The head of the page and the bar of buttons.

use egui::{Align2, Ui};

use super::button::{Stands, button};
use super::desk::{Desk, Menu};
use super::heard::Heard;
use super::layout::Layout;
use super::{menus, typeface, zoom};

/// What a person asks for by a button.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Press {
    /// Listen for a proposal, or stop.
    Propose,
    /// Go to setting 0 or 1.
    Setting(usize),
    /// Copy the setting that is heard to the other.
    Copy,
    /// Make both as loud.
    Equal,
    /// To the plain list, and back.
    List,
}

/// How the two settings stand.
#[derive(Debug, Clone, Copy)]
pub struct Two {
    /// 0 or 1: the one that is heard.
    pub heard: usize,
    /// Whether the other is different.
    pub differ: bool,
    /// Whether both can be made as loud.
    pub comparable: bool,
}

/// Draws both; gives what was asked for.
pub fn show(
    ui: &Ui,
    desk: &mut Desk<'_>,
    layout: &Layout,
    name: &str,
    heard: &Heard,
    two: Two,
    list: bool,
) -> Option<Press> {
    ui.painter().text(
        layout.title.left_center(),
        Align2::LEFT_CENTER,
        name,
        typeface::heading(),
        typeface::ink(true),
    );
    head(ui, desk, layout, list).or_else(|| buttons(ui, desk, layout, heard.listener.is_some(), two))
}

fn head(ui: &Ui, desk: &mut Desk<'_>, layout: &Layout, list: bool) -> Option<Press> {
    let percent = format!("{:.0} %", ui.ctx().zoom_factor() * 100.0);
    if let Some(area) = layout.button("zoom")
        && button(ui, area, ("zoom", &percent), open(desk, Menu::Zoom))
    {
        toggle(ui, desk, Menu::Zoom);
    }
    let (text, stands) = if list {
        ("Pictures", Stands::Chosen)
    } else {
        ("Plain list", Stands::Up)
    };
    let area = layout.button("list")?;
    button(ui, area, ("list", text), stands).then_some(Press::List)
}

fn buttons(ui: &Ui, desk: &mut Desk<'_>, layout: &Layout, proposing: bool, two: Two) -> Option<Press> {
    let mut pressed = None;
    let at = |name: &str, text: &str, stands: Stands| {
        let area = layout.button(name);
        area.is_some_and(|area| button(ui, area, (name, text), stands))
    };
    if at("start", "Begin with ...", open(desk, Menu::Start)) {
        toggle(ui, desk, Menu::Start);
    }
    let chosen = |chosen: bool| if chosen { Stands::Chosen } else { Stands::Up };
    let useful = |useful: bool| if useful { Stands::Up } else { Stands::Idle };
    if at("propose", "Propose", chosen(proposing)) {
        pressed = Some(Press::Propose);
    }
    for (index, name) in ["setting_1", "setting_2"].into_iter().enumerate() {
        if at(name, &(index + 1).to_string(), chosen(two.heard == index)) {
            pressed = Some(Press::Setting(index));
        }
    }
    let copy = format!("{} to {}", two.heard + 1, 2 - two.heard);
    if at("copy", &copy, useful(two.differ)) {
        pressed = Some(Press::Copy);
    }
    if at("equal", "Equal loudness", useful(two.comparable)) && two.comparable {
        pressed = Some(Press::Equal);
    }
    pressed
}

fn open(desk: &Desk<'_>, menu: Menu) -> Stands {
    if *desk.menu == Some(menu) {
        Stands::Chosen
    } else {
        Stands::Up
    }
}

fn toggle(ui: &Ui, desk: &mut Desk<'_>, menu: Menu) {
    if *desk.menu == Some(menu) {
        *desk.menu = None;
    } else {
        *desk.menu = Some(menu);
        menus::focus_first(ui);
    }
}

/// The zoom that was chosen takes hold in the next frame and is remembered.
pub fn choose_zoom(ui: &Ui, window: &crate::params::RememberedWindow, percent: u32) {
    window.set_zoom_percent(percent);
    zoom::set(ui.ctx(), percent);
}

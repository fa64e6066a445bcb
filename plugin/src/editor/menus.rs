//! Menus: starting points, zooms, and what can be done with one control.

use egui::{Align2, Area, Id, Order, Pos2, Rect, Sense, Stroke, StrokeKind, Ui, pos2};

use super::desk::{Desk, Menu};
use super::layout::{CONTROL_MENU_WIDTH, Layout, menu};
use super::{marks, palette, typeface, typing::Typing, zoom};
use crate::starting_points::StartingPoint;

/// What was chosen from a menu that is not about one control.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Chosen {
    /// The starting point at this index.
    Start(usize),
    /// This zoom, percent.
    Zoom(u32),
}

/// Draws the menu that is open; gives what was chosen. A click elsewhere or Escape closes it.
pub fn show(ui: &Ui, desk: &mut Desk<'_>, layout: &Layout, points: &[StartingPoint]) -> Option<Chosen> {
    let open = (*desk.menu)?;
    let percents = zoom::PERCENT.map(|percent| format!("{percent} %"));
    let (areas, words) = lines(ui, open, layout, (points, &percents));
    let anchor = match open {
        Menu::Start => layout.button("start"),
        Menu::Zoom => layout.button("zoom"),
        Menu::Control(..) => None,
    };
    let picked = items(ui, &areas, &words);
    let away = ui.input(|input| {
        let pressed_at = input
            .pointer
            .primary_pressed()
            .then(|| input.pointer.interact_pos())
            .flatten();
        let escape = input.key_pressed(egui::Key::Escape);
        // The button that has opened it closes it by itself.
        let mut inside = areas.iter().chain(&anchor);
        escape || pressed_at.is_some_and(|at| !inside.any(|area| area.contains(at)))
    });
    if picked.is_some() || away {
        *desk.menu = None;
    }
    choose(ui, desk, open, picked?)
}

/// Where the lines of a menu stand, and each one's word and tip.
fn lines<'a>(
    ui: &Ui,
    open: Menu,
    layout: &Layout,
    (points, percents): (&'a [StartingPoint], &'a [String]),
) -> (Vec<Rect>, Vec<(&'a str, &'a str)>) {
    match open {
        Menu::Start => (
            layout.start_menu(points.len()),
            points.iter().map(|point| (point.name, point.purpose)).collect(),
        ),
        Menu::Zoom => (
            layout.zoom_menu(percents.len()),
            percents.iter().map(|text| (text.as_str(), "")).collect(),
        ),
        Menu::Control(_, at) => (
            menu(within(ui, at), CONTROL_MENU_WIDTH, 3),
            vec![
                ("Set to its default", ""),
                ("Type a value", ""),
                (
                    "Copy its id",
                    "The id by which hosts, songs and commands know it.",
                ),
            ],
        ),
    }
}

fn choose(ui: &Ui, desk: &mut Desk<'_>, open: Menu, picked: usize) -> Option<Chosen> {
    match open {
        Menu::Start => return Some(Chosen::Start(picked)),
        Menu::Zoom => return zoom::PERCENT.get(picked).copied().map(Chosen::Zoom),
        Menu::Control(id, _) => {
            let control = desk.control(id)?;
            match picked {
                0 => desk.hand.reset(control),
                1 => *desk.typing = Some(Typing::of(control.id, desk.place)),
                _ => ui.ctx().copy_text(id.to_owned()),
            }
        }
    }
    None
}

/// A menu under the pointer stays in the window.
fn within(ui: &Ui, at: Pos2) -> Pos2 {
    let window = ui.ctx().content_rect();
    let size = menu(Pos2::ZERO, CONTROL_MENU_WIDTH, 3)
        .iter()
        .fold(Rect::NOTHING, |all, item| all.union(*item))
        .size();
    pos2(
        at.x.min(window.right() - size.x - 2.0).max(0.0),
        at.y.min(window.bottom() - size.y - 2.0).max(0.0),
    )
}

/// Draws the items over the page; gives the index of the one that was picked.
fn items(ui: &Ui, areas: &[Rect], words: &[(&str, &str)]) -> Option<usize> {
    let all = areas.iter().fold(Rect::NOTHING, |all, item| all.union(*item));
    let shown = Area::new(Id::unique("menu"))
        .order(Order::Foreground)
        .fixed_pos(all.min)
        .constrain(false)
        .show(ui.ctx(), |ui| {
            ui.allocate_rect(all, Sense::hover());
            ui.painter().rect_filled(all, 2.0, palette::SHEET);
            let mut picked = None;
            for (index, (area, (word, tip))) in areas.iter().zip(words).enumerate() {
                let response = ui.interact(*area, Id::unique(("menu item", index)), Sense::click());
                if response.hovered() {
                    ui.painter().rect_filled(area.shrink(1.0), 1.0, palette::SHADE);
                }
                if response.has_focus() {
                    marks::focus(ui.painter(), area.shrink(1.0));
                }
                let at = pos2(area.left() + 8.0, area.center().y);
                ui.painter()
                    .text(at, Align2::LEFT_CENTER, word, typeface::text(), palette::INK);
                if response.clicked() {
                    picked = Some(index);
                }
                if !tip.is_empty() {
                    response.on_hover_text(*tip);
                }
            }
            let edge = Stroke::new(1.0, palette::EDGE);
            ui.painter().rect_stroke(all, 2.0, edge, StrokeKind::Inside);
            picked
        });
    shown.inner
}

/// Gives the keyboard the first item of a menu that it has opened.
pub fn focus_first(ui: &Ui) {
    ui.memory_mut(|memory| memory.request_focus(Id::unique(("menu item", 0usize))));
}

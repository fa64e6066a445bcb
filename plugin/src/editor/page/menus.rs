//! Menus: starting points, zooms, and the actions of one control.

use egui::{Align2, Area, Id, Order, Pos2, Rect, Sense, Stroke, StrokeKind, Ui, pos2};
use siskin_editor_layout::{CONTROL_MENU_WIDTH, Layout, menu};
use siskin_presets::Own;

use super::zoom;
use crate::editor::model::host_menu::MenuRequest;
use crate::editor::widgets::ui_context::{Menu, TextEntry, UiContext};
use crate::editor::widgets::{ids, marks, palette, typeface};
use crate::params::starting_points::StartingPoint;

/// Tooltip of the item that keeps settings.
const KEEP_TIP: &str = "Writes the present settings to a preset file of your own, where hosts and this menu find them. Listen, \
                        Bypass and Lookahead are left out.";

/// A choice that does not concern a single control.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MenuChoice {
    /// The starting point at this index.
    StartingPoint(usize),
    /// A person's own starting point at this index.
    OwnPoint(usize),
    /// A name for the present settings.
    KeepAs,
    /// Zoom, percent.
    Zoom(u32),
    /// The host's menu for a control.
    HostMenu(MenuRequest),
}

/// A line of a menu and its tooltip, which may be empty.
struct MenuItem<'a> {
    text: &'a str,
    tip: &'a str,
}

/// Draws the open menu; returns the choice. A click elsewhere or Escape closes it.
pub fn show(
    ui: &Ui,
    context: &mut UiContext<'_>,
    layout: &Layout,
    (points, own): (&[StartingPoint], &[Own]),
) -> Option<MenuChoice> {
    let open = (*context.menu)?;
    let percents = zoom::PERCENT.map(|percent| format!("{percent} %"));
    let (areas, items) = items(ui, context, open, (layout, points, own, &percents));
    let anchor = match open {
        Menu::StartingPoints => layout.button("start"),
        Menu::Zoom => layout.button("zoom"),
        Menu::Control(..) => None,
    };
    let picked = draw(ui, &areas, &items);
    let dismissed = ui.input(|input| {
        let pressed_at = input
            .pointer
            .primary_pressed()
            .then(|| input.pointer.interact_pos())
            .flatten();
        let escape = input.key_pressed(egui::Key::Escape);
        // The button that opened the menu closes it itself.
        let mut inside = areas.iter().chain(&anchor);
        escape || pressed_at.is_some_and(|at| !inside.any(|area| area.contains(at)))
    });
    if picked.is_some() || dismissed {
        *context.menu = None;
    }
    choose(ui, context, open, picked?, [points.len(), own.len()])
}

/// Places and texts of a menu's items.
fn items<'a>(
    ui: &Ui,
    context: &UiContext<'_>,
    open: Menu,
    (layout, points, own, percents): (&Layout, &'a [StartingPoint], &'a [Own], &'a [String]),
) -> (Vec<Rect>, Vec<MenuItem<'a>>) {
    let item = |text, tip| MenuItem { text, tip };
    match open {
        Menu::StartingPoints => (
            layout.start_menu(points.len() + own.len() + 1),
            points
                .iter()
                .map(|point| item(point.name, point.purpose))
                .chain(own.iter().map(|own| item(&own.name, "Your own.")))
                .chain([item("Keep as ...", KEEP_TIP)])
                .collect(),
        ),
        Menu::Zoom => (
            layout.zoom_menu(percents.len()),
            percents.iter().map(|text| item(text, "")).collect(),
        ),
        Menu::Control(_, at) => {
            let mut items = vec![
                item("Reset to default", ""),
                item("Type a value", ""),
                item("Copy id", "The parameter's id in hosts, songs and commands."),
            ];
            if context.offers_host_menu {
                items.push(item("Host menu", "What the host offers for this parameter."));
            }
            (control_menu(ui, at, items.len()), items)
        }
    }
}

fn choose(
    ui: &Ui,
    context: &mut UiContext<'_>,
    open: Menu,
    picked: usize,
    [points, own]: [usize; 2],
) -> Option<MenuChoice> {
    match open {
        Menu::StartingPoints => {
            return Some(match picked.checked_sub(points) {
                None => MenuChoice::StartingPoint(picked),
                Some(picked) if picked < own => MenuChoice::OwnPoint(picked),
                Some(_) => MenuChoice::KeepAs,
            });
        }
        Menu::Zoom => return zoom::PERCENT.get(picked).copied().map(MenuChoice::Zoom),
        Menu::Control(id, at) => {
            let control = context.control(id)?;
            match picked {
                0 => context.gestures.reset(control),
                1 => *context.text_entry = Some(TextEntry::new(control.id(), context.view)),
                2 => ui.ctx().copy_text(id.to_owned()),
                _ => {
                    return Some(MenuChoice::HostMenu(host_menu_request(
                        ui,
                        context.index(id)?,
                        at,
                    )));
                }
            }
        }
    }
    None
}

/// The host's menu in place of the control's.
fn host_menu_request(ui: &Ui, parameter: usize, at: Pos2) -> MenuRequest {
    let unit = zoom::host_units_per_point(ui.ctx());
    let [x, y] = [at.x, at.y].map(|points| (points * unit).round() as i32);
    MenuRequest { parameter, x, y }
}

/// Items of a control's menu, moved so that all of it is visible.
fn control_menu(ui: &Ui, at: Pos2, count: usize) -> Vec<Rect> {
    let window = ui.ctx().content_rect();
    let size = menu(Pos2::ZERO, CONTROL_MENU_WIDTH, count)
        .iter()
        .fold(Rect::NOTHING, |all, item| all.union(*item))
        .size();
    let inside = pos2(
        at.x.min(window.right() - size.x - 2.0).max(0.0),
        at.y.min(window.bottom() - size.y - 2.0).max(0.0),
    );
    menu(inside, CONTROL_MENU_WIDTH, count)
}

/// Draws the items over the page; returns the index of the one that was picked.
fn draw(ui: &Ui, areas: &[Rect], items: &[MenuItem<'_>]) -> Option<usize> {
    let colours = palette::of(ui.ctx());
    let all = areas.iter().fold(Rect::NOTHING, |all, item| all.union(*item));
    let shown = Area::new(Id::unique("menu"))
        .order(Order::Foreground)
        .fixed_pos(all.min)
        .constrain(false)
        .show(ui.ctx(), |ui| {
            ui.allocate_rect(all, Sense::hover());
            ui.painter().rect_filled(all, 2.0, colours.surface);
            let mut picked = None;
            for (index, (area, item)) in areas.iter().zip(items).enumerate() {
                if draw_item(ui, *area, index, item) {
                    picked = Some(index);
                }
            }
            let edge = Stroke::new(1.0, colours.edge);
            ui.painter().rect_stroke(all, 2.0, edge, StrokeKind::Inside);
            picked
        });
    shown.inner
}

/// Draws an item; returns whether it was picked.
fn draw_item(ui: &Ui, area: Rect, index: usize, item: &MenuItem<'_>) -> bool {
    let colours = palette::of(ui.ctx());
    let response = ui.interact(area, ids::menu_item(index), Sense::click());
    if response.hovered() {
        ui.painter().rect_filled(area.shrink(1.0), 1.0, colours.hover);
    }
    if response.has_focus() {
        marks::focus(ui.painter(), area.shrink(1.0));
    }
    let at = pos2(area.left() + 8.0, area.center().y);
    ui.painter()
        .text(at, Align2::LEFT_CENTER, item.text, typeface::text(), colours.ink);
    let picked = response.clicked();
    if !item.tip.is_empty() {
        response.on_hover_text(item.tip);
    }
    picked
}

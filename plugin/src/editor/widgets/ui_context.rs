//! What every widget works with: controls, gestures, the value being typed, the open menu.

use egui::{Pos2, Response, Ui};

use super::gestures::ParamGestures;
use super::ids;
use crate::editor::model::indications::{Indication, Indications};
use crate::params::Parameter;

/// With Shift, drags, steps and wheel move a value by this fraction.
pub const FINE: f32 = 0.1;
/// One wheel notch or arrow key, as a fraction of the parameter's travel.
const STEP: f32 = 0.01;
/// Steps per page key.
const PAGE_STEPS: f32 = 10.0;
/// Points of a smooth wheel per notch: common practice, no source.
const POINTS_PER_NOTCH: f32 = 50.0;

/// The menu that is open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Menu {
    /// Starting points.
    StartingPoints,
    /// Zooms.
    Zoom,
    /// Menu of one control, by its id, with its upper left corner.
    Control(&'static str, Pos2),
}

/// A value that is being typed.
#[derive(Debug, Clone, PartialEq)]
pub struct TextEntry {
    id: &'static str,
    view: &'static str,
    /// The text so far.
    pub text: String,
    /// Whether the field has yet to ask for keyboard focus.
    pub needs_focus: bool,
    /// What the control takes, after a text that it does not take.
    pub refusal: Option<String>,
}

impl TextEntry {
    /// An empty entry for a control, in one of the views that show it.
    pub fn new(id: &'static str, view: &'static str) -> Self {
        Self {
            id,
            view,
            text: String::new(),
            needs_focus: true,
            refusal: None,
        }
    }

    /// Whether it belongs to this control in this view.
    pub fn is_for(&self, id: &str, view: &str) -> bool {
        self.id == id && self.view == view
    }
}

/// What widgets work with.
pub struct UiContext<'a> {
    /// Every control.
    pub controls: &'a [Parameter],
    /// Gestures to the host.
    pub gestures: &'a mut ParamGestures,
    /// The value that is being typed.
    pub text_entry: &'a mut Option<TextEntry>,
    /// The open menu.
    pub menu: &'a mut Option<Menu>,
    /// What the wheel does.
    pub wheel: &'a mut Wheel,
    /// Whether the host has a menu for a control.
    pub offers_host_menu: bool,
    /// What the host says about its hold on each parameter.
    pub indications: &'a Indications,
    /// The view in which a value is typed after "Type a value": `cell` or `list`.
    pub view: &'static str,
}

/// Whether the wheel scrolls the page or turns a control. While it scrolls, a control that moves under the pointer is
/// left alone until the pointer moves.
#[derive(Debug, Clone, Copy, Default)]
pub struct Wheel {
    scrolling_at: Option<Pos2>,
    used: bool,
}

impl Wheel {
    /// Begins a frame.
    pub fn begin_frame(&mut self, ui: &Ui) {
        self.used = false;
        if self.scrolling_at != ui.input(|input| input.pointer.hover_pos()) {
            self.scrolling_at = None;
        }
    }

    /// Ends a frame: a wheel that no control used has scrolled the page.
    pub fn end_frame(&mut self, ui: &Ui) {
        let (notches, at) = ui.input(|input| (wheel_notches(input), input.pointer.hover_pos()));
        if notches != 0.0 && !self.used {
            self.scrolling_at = at;
        }
    }
}

impl<'a> UiContext<'a> {
    /// The control with this id.
    pub fn control(&self, id: &str) -> Option<&'a Parameter> {
        self.controls.iter().find(|control| control.id() == id)
    }

    /// The place of the control with this id in the order of the signal.
    pub fn index(&self, id: &str) -> Option<usize> {
        self.controls.iter().position(|control| control.id() == id)
    }

    /// What the host says about a control.
    pub fn indication(&self, control: &Parameter) -> Indication {
        let index = self.index(control.id());
        index.map_or_else(Indication::default, |index| self.indications.get(index))
    }

    /// Notches of the wheel over a widget that takes them, so that the page does not scroll.
    pub fn wheel_over(&mut self, ui: &Ui, response: &Response) -> f32 {
        if !response.hovered() || self.wheel.scrolling_at.is_some() {
            return 0.0;
        }
        self.wheel.used = true;
        take_wheel(ui)
    }

    /// Handles wheel and keys on a control, the same in every view. The wheel changes numbers only.
    pub fn wheel_and_keys(&mut self, ui: &Ui, control: &Parameter, response: &Response) {
        let step = control.steps().map_or(STEP, |steps| 1.0 / steps as f32);
        let is_number = control.steps().is_none();
        let fine = if is_number { fine_factor(ui) } else { 1.0 };
        // A switch that flips while the page scrolls can change the level by 30 dB.
        if is_number {
            let notches = self.wheel_over(ui, response);
            if notches != 0.0 {
                self.gestures.nudge(control, notches * step * fine);
            }
        }
        if !response.has_focus() || self.text_entry.is_some() {
            return;
        }
        lock_arrows(ui, response);
        let steps = pressed_steps(ui);
        if steps != 0.0 {
            self.gestures.nudge(control, steps * step * fine);
        }
        if pressed(ui, egui::Key::Delete) || pressed(ui, egui::Key::Backspace) {
            self.gestures.reset(control);
        }
        if pressed(ui, egui::Key::M) {
            *self.menu = Some(Menu::Control(control.id(), response.rect.left_bottom()));
            ids::focus_first_menu_item(ui);
        }
    }
}

/// Factor on drags, steps and wheel: smaller while Shift is held.
pub fn fine_factor(ui: &Ui) -> f32 {
    if ui.input(|input| input.modifiers.shift) {
        FINE
    } else {
        1.0
    }
}

fn pressed(ui: &Ui, key: egui::Key) -> bool {
    ui.input(|input| input.key_pressed(key))
}

/// Steps asked for by arrow and page keys.
fn pressed_steps(ui: &Ui) -> f32 {
    let count = |key| ui.input(|input| input.num_presses(key)) as f32;
    use egui::Key::{ArrowDown, ArrowLeft, ArrowRight, ArrowUp, PageDown, PageUp};
    count(ArrowUp) + count(ArrowRight) - count(ArrowDown) - count(ArrowLeft)
        + PAGE_STEPS * (count(PageUp) - count(PageDown))
}

/// Makes arrows change the value instead of moving the focus.
fn lock_arrows(ui: &Ui, response: &Response) {
    let filter = egui::EventFilter {
        horizontal_arrows: true,
        vertical_arrows: true,
        ..egui::EventFilter::default()
    };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, filter));
}

/// Wheel notches of this frame; keeps the page from scrolling.
fn take_wheel(ui: &Ui) -> f32 {
    ui.input_mut(|input| {
        input.smooth_scroll_delta = egui::Vec2::ZERO;
        wheel_notches(input)
    })
}

/// Wheel notches of this frame.
fn wheel_notches(input: &egui::InputState) -> f32 {
    let notches = |event: &egui::Event| match event {
        // Some systems report the wheel as horizontal while Shift is held.
        egui::Event::MouseWheel { unit, delta, .. } => match unit {
            egui::MouseWheelUnit::Point => (delta.x + delta.y) / POINTS_PER_NOTCH,
            _ => delta.x + delta.y,
        },
        _ => 0.0,
    };
    input.events.iter().map(notches).sum()
}

//! What every part of the page works with: the controls, the hand, what is being typed, which menu is open.

use egui::{Pos2, Response, Ui};

use super::hand::Hand;
use super::typing::Typing;
use crate::params::Control;

/// The fine hand: with Shift a drag, a step, a wheel moves by so much of what it moves otherwise.
const FINE: f32 = 0.1;
/// One notch of the wheel or one press of an arrow, of the whole travel.
const STEP: f32 = 0.01;
/// What a page key moves, small steps.
const PAGE_STEPS: f32 = 10.0;
/// Points of a smooth wheel that count as one notch: what toolkits commonly take a line for.
const POINTS_A_NOTCH: f32 = 50.0;

/// A menu that is open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Menu {
    /// Starting points.
    Start,
    /// Zooms.
    Zoom,
    /// Of one control, under the pointer.
    Control(&'static str, Pos2),
}

/// What the parts work with.
pub struct Desk<'a> {
    /// Every control.
    pub controls: &'a [Control<'a>],
    /// The hand.
    pub hand: &'a mut Hand,
    /// What is being typed.
    pub typing: &'a mut Option<Typing>,
    /// Which menu is open.
    pub menu: &'a mut Option<Menu>,
    /// The wheel.
    pub wheel: &'a mut Wheel,
    /// Where a control's value is typed that is asked for by a menu: "cell", or "list" in the plain list.
    pub place: &'static str,
}

/// Whose the wheel is: while it scrolls the page, a control that comes to lie under the pointer leaves it alone, until
/// the pointer moves.
#[derive(Debug, Clone, Copy, Default)]
pub struct Wheel {
    scrolls_at: Option<Pos2>,
    taken: bool,
}

impl Wheel {
    /// Begins a frame.
    pub fn begin(&mut self, ui: &Ui) {
        self.taken = false;
        if self.scrolls_at != ui.input(|input| input.pointer.hover_pos()) {
            self.scrolls_at = None;
        }
    }

    /// Ends a frame: a wheel that nothing has taken has scrolled the page.
    pub fn end(&mut self, ui: &Ui) {
        let (turned, at) = ui.input(|input| (turned(input) != 0.0, input.pointer.hover_pos()));
        if turned && !self.taken {
            self.scrolls_at = at;
        }
    }
}

impl<'a> Desk<'a> {
    /// The control of that id.
    pub fn control(&self, id: &str) -> Option<&'a Control<'a>> {
        self.controls.iter().find(|control| control.id == id)
    }

    /// Wheel and keys on a control, the same wherever it is shown.
    pub fn wheel_and_keys(&mut self, ui: &Ui, control: &Control<'_>, response: &Response) {
        let step = control.knob.steps().map_or(STEP, |steps| 1.0 / steps as f32);
        let fine = if control.knob.steps().is_none() {
            fine(ui)
        } else {
            1.0
        };
        if response.hovered() && self.wheel.scrolls_at.is_none() {
            self.wheel.taken = true;
            let notches = take_wheel(ui);
            if notches != 0.0 {
                self.hand.nudge(control, notches * step * fine);
            }
        }
        if !response.has_focus() || self.typing.is_some() {
            return;
        }
        lock_arrows(ui, response);
        let steps = pressed_steps(ui);
        if steps != 0.0 {
            self.hand.nudge(control, steps * step * fine);
        }
        if pressed(ui, egui::Key::Delete) || pressed(ui, egui::Key::Backspace) {
            self.hand.reset(control);
        }
        if pressed(ui, egui::Key::M) {
            *self.menu = Some(Menu::Control(control.id, response.rect.left_bottom()));
            super::menus::focus_first(ui);
        }
    }
}

/// How much of a movement counts.
pub fn fine(ui: &Ui) -> f32 {
    if ui.input(|input| input.modifiers.shift) {
        FINE
    } else {
        1.0
    }
}

fn pressed(ui: &Ui, key: egui::Key) -> bool {
    ui.input(|input| input.key_pressed(key))
}

/// Steps that the arrow and page keys ask for.
fn pressed_steps(ui: &Ui) -> f32 {
    let count = |key| ui.input(|input| input.num_presses(key)) as f32;
    use egui::Key::{ArrowDown, ArrowLeft, ArrowRight, ArrowUp, PageDown, PageUp};
    count(ArrowUp) + count(ArrowRight) - count(ArrowDown) - count(ArrowLeft)
        + PAGE_STEPS * (count(PageUp) - count(PageDown))
}

/// Arrows move the value and not the focus.
fn lock_arrows(ui: &Ui, response: &Response) {
    let filter = egui::EventFilter {
        horizontal_arrows: true,
        vertical_arrows: true,
        ..egui::EventFilter::default()
    };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, filter));
}

/// Notches that the wheel has turned in this frame; what moves a value does not scroll the page.
fn take_wheel(ui: &Ui) -> f32 {
    ui.input_mut(|input| {
        input.smooth_scroll_delta = egui::Vec2::ZERO;
        turned(input)
    })
}

/// Notches that the wheel has turned in this frame.
fn turned(input: &egui::InputState) -> f32 {
    let notches = |event: &egui::Event| match event {
        // With Shift some systems turn the wheel sideways.
        egui::Event::MouseWheel { unit, delta, .. } => match unit {
            egui::MouseWheelUnit::Point => (delta.x + delta.y) / POINTS_A_NOTCH,
            _ => delta.x + delta.y,
        },
        _ => 0.0,
    };
    input.events.iter().map(notches).sum()
}

//! The panel in which a proposal grows and is shown, over the stream; it changes nothing before it is taken.

use egui::{Align2, Area, Id, Order, Rect, Sense, Stroke, StrokeKind, Ui, pos2, vec2};

use super::button::{Stands, button};
use super::hand::Hand;
use super::layout::Layout;
use super::propose::{Listener, Proposal};
use super::{palette, typeface};
use crate::params::Control;

/// What a person did with it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Answer {
    /// Set what it says.
    Take(Proposal),
    /// Set nothing.
    Leave,
}

/// Draws the panel; gives the person's answer.
pub fn show(ui: &Ui, layout: &Layout, listener: &Listener) -> Option<Answer> {
    let panel = layout.proposal();
    let [take, leave] = layout.take_and_leave();
    let proposal = listener.proposal();
    let shown = Area::new(Id::unique("proposal"))
        .order(Order::Middle)
        .fixed_pos(panel.min)
        .constrain(false)
        .show(ui.ctx(), |ui| {
            ui.allocate_rect(panel, Sense::click());
            ui.painter().rect_filled(panel, 3.0, palette::PAPER);
            let edge = Stroke::new(1.5, palette::INK);
            ui.painter().rect_stroke(panel, 3.0, edge, StrokeKind::Inside);
            match &proposal {
                Some(proposal) => words(ui, panel, proposal),
                None => progress(ui, panel, listener),
            }
            let stands = if proposal.is_some() {
                Stands::Up
            } else {
                Stands::Idle
            };
            let taken = button(ui, take, ("take", "Take it"), stands);
            let left = button(ui, leave, ("leave", "Leave it"), Stands::Up);
            (taken, left)
        });
    let (taken, left) = shown.inner;
    let escape = ui.input(|input| input.key_pressed(egui::Key::Escape));
    if left || escape {
        return Some(Answer::Leave);
    }
    proposal.filter(|_| taken).map(Answer::Take)
}

fn line(ui: &Ui, panel: Rect, index: usize, text: &str, strong: bool) {
    let at = pos2(panel.left() + 12.0, panel.top() + 18.0 + 19.0 * index as f32);
    let font = if strong {
        typeface::strong()
    } else {
        typeface::text()
    };
    ui.painter()
        .text(at, Align2::LEFT_CENTER, text, font, palette::INK);
}

fn words(ui: &Ui, panel: Rect, proposal: &Proposal) {
    for (index, text) in proposal.words().iter().enumerate() {
        line(ui, panel, index, text, index >= 2);
    }
}

fn progress(ui: &Ui, panel: Rect, listener: &Listener) {
    line(
        ui,
        panel,
        0,
        "Listening to the singing; nothing changes meanwhile.",
        true,
    );
    line(ui, panel, 1, &listener.waits_for(), false);
    let bar = Rect::from_min_size(panel.min + vec2(12.0, 52.0), vec2(panel.width() - 24.0, 10.0));
    let heard = bar.with_max_x(bar.left() + bar.width() * listener.progress());
    ui.painter().rect_filled(heard, 1.0, palette::VOICE);
    ui.painter()
        .rect_stroke(bar, 1.0, Stroke::new(1.0, palette::EDGE), StrokeKind::Inside);
}

/// Sets what is proposed, as one gesture each.
pub fn take(hand: &Hand, controls: &[Control<'_>], proposal: &Proposal) {
    let texts = [
        ("sib_prop", format!("{} LU", proposal.proportion_lu)),
        ("sib_from", format!("{} Hz", proposal.from_hz)),
    ];
    for (id, text) in texts {
        for control in controls.iter().filter(|control| control.id == id) {
            if let Some(normalized) = control.knob.read(&text) {
                hand.set(control, normalized);
            }
        }
    }
}

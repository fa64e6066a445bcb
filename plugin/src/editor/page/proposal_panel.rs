//! The panel over the timeline that shows the progress of a proposal, then the proposal. Nothing changes before it is
//! applied.

use egui::{Align2, Area, Id, Order, Rect, Sense, Stroke, StrokeKind, Ui, pos2, vec2};
use siskin_editor_layout::Layout;

use crate::editor::model::proposal::{Proposal, ProposalListener};
use crate::editor::widgets::button::{ButtonState, button};
use crate::editor::widgets::gestures::ParamGestures;
use crate::editor::widgets::{palette, typeface};
use crate::params::Parameter;

/// The user's answer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ProposalAnswer {
    /// Set the proposed values.
    Apply(Proposal),
    /// Change nothing.
    Cancel,
}

/// Draws the panel; returns the answer.
pub fn show(ui: &Ui, layout: &Layout, listener: &ProposalListener) -> Option<ProposalAnswer> {
    let panel = layout.proposal();
    let [apply, cancel] = layout.proposal_buttons();
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
                Some(proposal) => draw_proposal(ui, panel, proposal),
                None => draw_progress(ui, panel, listener),
            }
            let apply_state = if proposal.is_some() {
                ButtonState::Normal
            } else {
                ButtonState::Disabled
            };
            let applied = button(ui, apply, ("apply", "Apply"), apply_state);
            let cancelled = button(ui, cancel, ("cancel", "Cancel"), ButtonState::Normal);
            (applied, cancelled)
        });
    let (applied, cancelled) = shown.inner;
    if cancelled || ui.input(|input| input.key_pressed(egui::Key::Escape)) {
        return Some(ProposalAnswer::Cancel);
    }
    proposal.filter(|_| applied).map(ProposalAnswer::Apply)
}

fn draw_line(ui: &Ui, panel: Rect, index: usize, text: &str, strong: bool) {
    let at = pos2(panel.left() + 12.0, panel.top() + 18.0 + 19.0 * index as f32);
    let font = if strong {
        typeface::strong()
    } else {
        typeface::text()
    };
    ui.painter()
        .text(at, Align2::LEFT_CENTER, text, font, palette::INK);
}

fn draw_proposal(ui: &Ui, panel: Rect, proposal: &Proposal) {
    for (index, text) in proposal.text().iter().enumerate() {
        draw_line(ui, panel, index, text, index >= 2);
    }
}

fn draw_progress(ui: &Ui, panel: Rect, listener: &ProposalListener) {
    draw_line(ui, panel, 0, "Listening. Nothing changes until you apply.", true);
    draw_line(ui, panel, 1, &listener.progress_text(), false);
    let bar = Rect::from_min_size(panel.min + vec2(12.0, 52.0), vec2(panel.width() - 24.0, 10.0));
    let done = bar.with_max_x(bar.left() + bar.width() * listener.progress());
    ui.painter().rect_filled(done, 1.0, palette::VOICE);
    ui.painter()
        .rect_stroke(bar, 1.0, Stroke::new(1.0, palette::EDGE), StrokeKind::Inside);
}

/// Sets the proposed values, one gesture each.
pub fn apply(gestures: &ParamGestures, controls: &[Parameter], proposal: &Proposal) {
    let texts = [
        (
            "sib_prop",
            Some(format!("{} LU", proposal.proportion.proportion_lu)),
        ),
        ("sib_from", proposal.from_hz.map(|hz| format!("{hz} Hz"))),
    ];
    for (id, text) in texts.into_iter().filter_map(|(id, text)| Some((id, text?))) {
        for control in controls.iter().filter(|control| control.id() == id) {
            if let Some(normalized) = control.read(&text) {
                gestures.set(control, normalized);
            }
        }
    }
}

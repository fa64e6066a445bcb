//! The panel beside the timeline that shows the progress of a proposal, then the proposal. Nothing changes before it is
//! applied.

use egui::{Area, Id, Order, Rect, Sense, Stroke, StrokeKind, Ui, pos2, vec2};
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
    let colours = palette::of(ui.ctx());
    let panel = layout.proposal();
    let [apply, cancel] = layout.proposal_buttons();
    let proposal = listener.proposal();
    let shown = Area::new(Id::unique("proposal"))
        .order(Order::Middle)
        .fixed_pos(panel.min)
        .constrain(false)
        .show(ui.ctx(), |ui| {
            ui.allocate_rect(panel, Sense::click());
            ui.painter().rect_filled(panel, 3.0, colours.paper);
            let edge = Stroke::new(1.5, colours.ink);
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

/// Draws lines of text, each as high as it needs to be; returns where they end.
fn draw_lines<'a>(ui: &Ui, panel: Rect, lines: impl IntoIterator<Item = (&'a str, bool)>) -> f32 {
    const GAP: f32 = 4.0;
    let colours = palette::of(ui.ctx());
    let painter = ui.painter_at(panel);
    let mut at = panel.left_top() + vec2(12.0, 9.0);
    for (text, is_strong) in lines {
        let font = if is_strong {
            typeface::strong()
        } else {
            typeface::text()
        };
        let text = painter.layout(text.to_owned(), font, colours.ink, panel.right() - 12.0 - at.x);
        let height = text.size().y;
        painter.galley(at, text, colours.ink);
        at.y += height + GAP;
    }
    at.y
}

fn draw_proposal(ui: &Ui, panel: Rect, proposal: &Proposal) {
    let lines = proposal.text();
    let lines = lines.iter().enumerate();
    draw_lines(ui, panel, lines.map(|(index, text)| (text.as_str(), index >= 2)));
}

fn draw_progress(ui: &Ui, panel: Rect, listener: &ProposalListener) {
    let colours = palette::of(ui.ctx());
    let progress = listener.progress_text();
    let lines = [
        ("Listening. Nothing changes until you apply.", true),
        (progress.as_str(), false),
    ];
    let top = draw_lines(ui, panel, lines) + 4.0;
    let bar = Rect::from_min_size(pos2(panel.left() + 12.0, top), vec2(panel.width() - 24.0, 10.0));
    let done = bar.with_max_x(bar.left() + bar.width() * listener.progress());
    ui.painter().rect_filled(done, 1.0, colours.voice);
    ui.painter()
        .rect_stroke(bar, 1.0, Stroke::new(1.0, colours.edge), StrokeKind::Inside);
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

//! The status line: warnings first, then states that are easily forgotten.

#[cfg(test)]
mod tests;

use egui::{Align2, Id, Rect, Sense, Ui, pos2};
use siskin_dsp::{FollowSource, HopReport, Listen, Lookahead, Part, Settings};
use siskin_editor_layout::Layout;

use crate::editor::model::tally::Tally;
use crate::editor::widgets::{marks, palette, typeface};

/// Width of a warning's mark, points.
const MARK_WIDTH: f32 = 14.0;

/// What the messages depend on.
#[derive(Debug, Clone)]
pub struct State<'a> {
    /// The settings.
    pub settings: &'a Settings,
    /// The lookahead.
    pub lookahead: Lookahead,
    /// The last report.
    pub report: Option<&'a HopReport>,
    /// Whether reports still arrive.
    pub running: bool,
    /// Whether the input has clipped within the last seconds.
    pub clipped: bool,
    /// Whether the insert has a side-chain for a reference voice.
    pub has_source: bool,
    /// Whether the timeline is frozen.
    pub frozen: bool,
    /// The difference in loudness between the two settings, as text.
    pub comparison: Option<String>,
    /// Tally of the last sibilants.
    pub tally: Option<&'a Tally>,
}

/// How much a message matters; the most important comes first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// The output is not what it should be.
    Warning,
    /// A setting deserves a look.
    Cue,
    /// A state that is easily forgotten.
    Remark,
}

/// A message of the status line.
#[derive(Debug, Clone, PartialEq)]
pub struct Message {
    /// The text.
    pub text: String,
    /// How much it matters.
    pub weight: Weight,
}

fn message(weight: Weight, text: &str) -> Message {
    let text = text.to_owned();
    Message { text, weight }
}

fn warning(text: &str) -> Message {
    message(Weight::Warning, text)
}

fn cue(text: &str) -> Message {
    message(Weight::Cue, text)
}

fn remark(text: &str) -> Message {
    message(Weight::Remark, text)
}

/// All messages, the most important first.
pub fn messages(state: &State<'_>) -> Vec<Message> {
    let mut messages = Vec::new();
    messages.extend(output_messages(state));
    messages.extend(part_messages(state));
    match state.report {
        Some(report) => messages.extend(input_messages(state, report)),
        None => messages.push(remark("No input")),
    }
    messages.extend(stage_messages(state));
    messages.sort_by_key(|message| message.weight);
    messages
}

fn input_messages(state: &State<'_>, report: &HopReport) -> Vec<Message> {
    let stopped = (!state.running).then(|| remark("No input"));
    let voiceless = (!report.voice_detected).then(|| remark("No voice yet: using Start level"));
    let source = state.settings.follow.source;
    let source = state
        .has_source
        .then(|| source_message(source, report.follows_reference));
    let comparison = state.comparison.as_deref().map(remark);
    [stopped, voiceless, source, comparison]
        .into_iter()
        .flatten()
        .collect()
}

fn output_messages(state: &State<'_>) -> Vec<Message> {
    let output = &state.settings.output;
    let listens = match output.listen {
        Listen::Output => None,
        Listen::Removed => Some(warning("Listening to Removed")),
        Listen::Detector => Some(warning("Listening to Detector")),
    };
    let bypassed = output.bypass.then(|| warning("Bypassed"));
    let clips = state
        .clipped
        .then(|| warning("Input clips: turn the track down before this insert"));
    let frozen = state.frozen.then(|| remark("Picture frozen"));
    [bypassed, listens, clips, frozen].into_iter().flatten().collect()
}

fn source_message(source: FollowSource, follows_reference: bool) -> Message {
    match (source, follows_reference) {
        (FollowSource::Reference, true) => remark("Following the reference voice"),
        (FollowSource::Reference, false) => {
            warning("Reference voice silent or not connected: following this track")
        }
        (FollowSource::ThisTrack, _) => remark("Following this track"),
    }
}

/// What is heard of the track, and whether its breaths are cut late.
fn part_messages(state: &State<'_>) -> Vec<Message> {
    let part = match state.settings.output.part {
        Part::Whole => return Vec::new(),
        Part::Voice => remark("You hear the voice without its breaths"),
        Part::Breaths => remark("You hear the breaths alone"),
    };
    let is_late = !state.lookahead.keeps_hops();
    let late = is_late.then(|| cue("Breath begins late at this lookahead: 300 ms takes it whole"));
    [late, Some(part)].into_iter().flatten().collect()
}

fn stage_messages(state: &State<'_>) -> Vec<Message> {
    let settings = state.settings;
    let works = settings.sibilance.on && !settings.output.bypass;
    let tally = state.tally.filter(|_| works);
    let limited = tally.is_some_and(|tally| tally.is_range_limit_frequent());
    let range = limited.then(|| cue("Range limits many sibilants: raise Range or Proportion"));
    // A double's sibilants are meant to lie far below the lead's voice.
    let follows_itself = state.report.is_some_and(|report| !report.follows_reference);
    let is_lisp = follows_itself && tally.is_some_and(|tally| tally.is_lisp());
    let lisp = is_lisp.then(|| cue("Sibilants far below a natural voice: raise Proportion or lower Range"));
    let leveller = (!settings.leveller.on).then(|| remark("Leveller off"));
    let sibilance = (!settings.sibilance.on).then(|| remark("Sibilance off"));
    [range, lisp, leveller, sibilance].into_iter().flatten().collect()
}

/// Draws the messages, warnings and cues with a mark; those that do not fit are in the tooltip.
pub fn show(ui: &Ui, layout: &Layout, messages: &[Message]) {
    let colours = palette::of(ui.ctx());
    let area = layout.status;
    let painter = ui.painter_at(area);
    let mut x = area.left();
    for (index, message) in messages.iter().enumerate() {
        let (font, ink) = match message.weight {
            Weight::Warning => (typeface::strong(), colours.warning),
            Weight::Cue => (typeface::text(), colours.ink),
            Weight::Remark => (typeface::text(), colours.secondary_ink),
        };
        let galley = painter.layout_no_wrap(message.text.clone(), font, ink);
        let is_remark = message.weight == Weight::Remark;
        let mark = if is_remark { 0.0 } else { MARK_WIDTH };
        if x + mark + galley.size().x > area.right() && index > 0 {
            draw_more(ui, area, x, messages);
            return;
        }
        let mark_at = pos2(x + 5.0, area.center().y + 1.0);
        match message.weight {
            Weight::Warning => marks::warning(&painter, mark_at),
            Weight::Cue => marks::cue(&painter, mark_at),
            Weight::Remark if index > 0 => {
                let dot = pos2(x - 8.0, area.center().y);
                painter.text(dot, Align2::CENTER_CENTER, "\u{b7}", typeface::strong(), ink);
            }
            Weight::Remark => {}
        }
        let top = area.center().y - 0.5 * galley.size().y;
        let right = x + mark + galley.size().x;
        painter.galley(pos2(x + mark, top), galley, ink);
        x = right + 16.0;
    }
}

/// Draws an ellipsis and puts all messages into the tooltip.
fn draw_more(ui: &Ui, area: Rect, x: f32, messages: &[Message]) {
    let colours = palette::of(ui.ctx());
    let at = pos2((x - 8.0).min(area.right() - 12.0), area.center().y);
    ui.painter_at(area).text(
        at,
        Align2::LEFT_CENTER,
        "\u{2026}",
        typeface::strong(),
        colours.ink,
    );
    let all: Vec<_> = messages.iter().map(|message| message.text.as_str()).collect();
    ui.interact(area, Id::unique("status"), Sense::hover())
        .on_hover_text(all.join("\n"));
}

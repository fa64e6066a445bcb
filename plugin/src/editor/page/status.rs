//! The status line: warnings first, then states that are easily forgotten.

use egui::{Align2, Id, Rect, Sense, Ui, pos2};
use siskin_dsp::{FollowSource, HopReport, Listen, Settings};
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

/// A message of the status line.
#[derive(Debug, Clone, PartialEq)]
pub struct Message {
    /// The text.
    pub text: String,
    /// Whether it is a warning.
    pub is_warning: bool,
}

fn warning(text: &str) -> Message {
    Message {
        text: text.to_owned(),
        is_warning: true,
    }
}

fn remark(text: &str) -> Message {
    Message {
        text: text.to_owned(),
        is_warning: false,
    }
}

/// All messages, warnings first.
pub fn messages(state: &State<'_>) -> Vec<Message> {
    let mut messages = Vec::new();
    messages.extend(output_messages(state));
    let Some(report) = state.report else {
        messages.push(remark("No input yet"));
        messages.extend(stage_messages(state));
        return messages;
    };
    if !state.running {
        messages.push(remark("No input"));
    }
    if !report.voice_detected {
        messages.push(remark("No voice yet: using Start level"));
    }
    if state.has_source {
        let source = state.settings.follow.source;
        messages.push(source_message(source, report.follows_reference));
    }
    messages.extend(state.comparison.as_deref().map(remark));
    messages.extend(stage_messages(state));
    messages.sort_by_key(|message| !message.is_warning);
    messages
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

fn stage_messages(state: &State<'_>) -> Vec<Message> {
    let settings = state.settings;
    let often = state
        .tally
        .is_some_and(|tally| settings.sibilance.on && tally.is_range_limit_frequent());
    let range = often.then(|| warning("Range limit reached often: raise Range or Proportion"));
    let leveller = (!settings.leveller.on).then(|| remark("Leveller off"));
    let sibilance = (!settings.sibilance.on).then(|| remark("Sibilance off"));
    [range, leveller, sibilance].into_iter().flatten().collect()
}

/// Draws the messages, each warning with its mark; those that do not fit are in the tooltip.
pub fn show(ui: &Ui, layout: &Layout, messages: &[Message]) {
    let area = layout.status;
    let painter = ui.painter_at(area);
    let mut x = area.left();
    for (index, message) in messages.iter().enumerate() {
        let (font, ink) = if message.is_warning {
            (typeface::strong(), palette::WARNING)
        } else {
            (typeface::text(), palette::SECONDARY_INK)
        };
        let galley = painter.layout_no_wrap(message.text.clone(), font, ink);
        let mark = if message.is_warning { MARK_WIDTH } else { 0.0 };
        if x + mark + galley.size().x > area.right() && index > 0 {
            draw_more(ui, area, x, messages);
            return;
        }
        if message.is_warning {
            marks::warning(&painter, pos2(x + 5.0, area.center().y + 1.0));
        } else if index > 0 {
            let dot = pos2(x - 8.0, area.center().y);
            painter.text(dot, Align2::CENTER_CENTER, "\u{b7}", typeface::strong(), ink);
        }
        let top = area.center().y - 0.5 * galley.size().y;
        let right = x + mark + galley.size().x;
        painter.galley(pos2(x + mark, top), galley, ink);
        x = right + 16.0;
    }
}

/// Draws an ellipsis and puts all messages into the tooltip.
fn draw_more(ui: &Ui, area: Rect, x: f32, messages: &[Message]) {
    let at = pos2((x - 8.0).min(area.right() - 12.0), area.center().y);
    ui.painter_at(area).text(
        at,
        Align2::LEFT_CENTER,
        "\u{2026}",
        typeface::strong(),
        palette::INK,
    );
    let all: Vec<_> = messages.iter().map(|message| message.text.as_str()).collect();
    ui.interact(area, Id::unique("status"), Sense::hover())
        .on_hover_text(all.join("\n"));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(change: impl FnOnce(&mut Settings, &mut HopReport), has_source: bool) -> Vec<String> {
        let (mut settings, mut report) = (Settings::default(), HopReport::default());
        settings.leveller.on = true;
        report.voice_detected = true;
        change(&mut settings, &mut report);
        let state = State {
            settings: &settings,
            report: Some(&report),
            running: true,
            clipped: report.input_peak > 1.0,
            has_source,
            frozen: false,
            comparison: None,
            tally: None,
        };
        messages(&state).into_iter().map(|message| message.text).collect()
    }

    #[test]
    fn each_state_has_its_message() {
        assert_eq!(texts(|_, _| {}, false), Vec::<String>::new());
        let one = |change: fn(&mut Settings, &mut HopReport), part: &str| {
            let texts = texts(change, false);
            assert_eq!(texts.len(), 1, "{texts:?}");
            assert!(texts[0].contains(part), "{texts:?}");
        };
        one(|settings, _| settings.output.bypass = true, "Bypassed");
        one(|settings, _| settings.output.listen = Listen::Removed, "Removed");
        one(
            |settings, _| settings.output.listen = Listen::Detector,
            "Detector",
        );
        one(|settings, _| settings.leveller.on = false, "Leveller off");
        one(|settings, _| settings.sibilance.on = false, "Sibilance off");
        one(|_, report| report.voice_detected = false, "No voice yet");
        one(|_, report| report.input_peak = 1.2, "clips");
    }

    #[test]
    fn the_followed_voice_is_named() {
        assert!(texts(|_, _| {}, true)[0].contains("silent or not connected"));
        assert_eq!(
            texts(|_, report| report.follows_reference = true, true),
            ["Following the reference voice"]
        );
        let own = texts(
            |settings, _| settings.follow.source = FollowSource::ThisTrack,
            true,
        );
        assert_eq!(own, ["Following this track"]);
    }

    #[test]
    fn missing_input_and_frequent_range_limit_are_reported() {
        let settings = Settings::default();
        let tally = Tally {
            outcomes: vec![crate::editor::model::tally::Outcome::Above; 6],
            output_lu: 0.0,
            target_lu: 0.0,
            at_range: 5,
        };
        let state = State {
            settings: &settings,
            report: None,
            running: false,
            clipped: false,
            has_source: false,
            frozen: true,
            comparison: None,
            tally: Some(&tally),
        };
        let joined = |state: &State<'_>| {
            let messages = messages(state);
            messages
                .iter()
                .map(|message| message.text.as_str())
                .collect::<Vec<_>>()
                .join("; ")
        };
        let before = joined(&state);
        assert!(
            before.contains("No input yet") && before.contains("Range"),
            "{before}"
        );
        assert!(before.contains("frozen"), "{before}");
        let report = HopReport::default();
        let after = joined(&State {
            report: Some(&report),
            comparison: Some("2 is 1.3 LU louder than 1".to_owned()),
            ..state
        });
        assert!(
            after.contains("No input") && after.contains("2 is 1.3 LU louder"),
            "{after}"
        );
    }

    #[test]
    fn warnings_come_first() {
        let settings = Settings::default();
        let report = HopReport::default();
        let messages = messages(&State {
            settings: &settings,
            report: Some(&report),
            running: true,
            clipped: true,
            has_source: true,
            frozen: false,
            comparison: None,
            tally: None,
        });
        let warnings: Vec<bool> = messages.iter().map(|message| message.is_warning).collect();
        assert!(warnings.windows(2).all(|pair| pair[0] >= pair[1]), "{messages:?}");
        assert!(warnings[0] && !warnings[warnings.len() - 1]);
    }
}

//! Text of the timeline: values at the pointer, tally.

use egui::{Align2, Color32, Pos2, Stroke, Ui, pos2};
use siskin_dsp::Class;
use siskin_editor_layout::{TALLY, Timeline};

use super::legend;
use crate::editor::model::history::{Column, History};
use crate::editor::model::tally::Tally;
use crate::editor::widgets::palette::{self, Palette};
use crate::editor::widgets::typeface;
use crate::params::readout::level;

/// Softer levels are shown as a dash, LUFS.
const SILENCE_LUFS: f32 = -100.0;
/// Smaller reductions are not listed, dB.
const MIN_LISTED_DB: f32 = 0.05;

/// Draws the values at the pointer below the tally; returns where they end.
pub fn values(ui: &Ui, area: &Timeline, history: &History, pointer: Option<Pos2>) -> f32 {
    let left = area.values.left();
    let Some(pointer) = pointer else { return left };
    let ago_s = area.ago_s(pointer.x);
    let Some(text) = texts(history, ago_s) else {
        return left;
    };
    let colours = palette::of(ui.ctx());
    let x = pointer.x.round() + 0.5;
    let painter = ui.painter();
    painter.vline(x, area.plot.y_range(), Stroke::new(1.0, colours.ink));
    let place = format!("{ago_s:.1} s ago, {}", lufs(area.lufs(pointer.y)));
    let place = painter.layout_no_wrap(place, typeface::text(), colours.ink);
    let on_the_left = x + place.size().x + 8.0 > area.plot.right();
    let at = if on_the_left {
        x - 4.0 - place.size().x
    } else {
        x + 4.0
    };
    let corner = pos2(at, area.plot.top());
    let ground = egui::Rect::from_min_size(corner, place.size());
    painter.rect_filled(ground, 0.0, colours.paper);
    painter.galley(corner, place, colours.ink);
    let at = area.values.left_center();
    let drawn = ui
        .painter_at(area.values)
        .text(at, Align2::LEFT_CENTER, text, typeface::text(), colours.ink);
    drawn.right() + 10.0
}

/// A level, or a dash for silence.
fn lufs(level_lufs: f32) -> String {
    if level_lufs > SILENCE_LUFS {
        level(level_lufs, "LUFS")
    } else {
        "\u{2013}".to_owned()
    }
}

/// How much a gain of 0 or less takes away, as text.
fn reduced(gain_db: f32) -> String {
    level((-gain_db).max(0.0), "dB")
}

/// The values `ago_s` seconds ago, as text.
fn texts(history: &History, ago_s: f32) -> Option<String> {
    let mut column = *history.column(ago_s)?;
    let mut parts = vec![
        format!("voice {}", lufs(column.voice_lufs)),
        format!("threshold {}", lufs(column.threshold_lufs)),
    ];
    let mut sound = |name: &str, level_lufs: f32, output_lufs: f32| {
        parts.push(format!("{name} {}", lufs(level_lufs)));
        parts.push(format!("reduced {}", reduced(output_lufs - level_lufs)));
    };
    match (history.sibilant(ago_s), history.breath(ago_s)) {
        (Some(sibilant), _) => sound("sibilant", sibilant.level_lufs, sibilant.output_lufs),
        (None, Some(breath)) => {
            sound("breath", breath.level_lufs, breath.output_lufs);
            // Said already, of the whole breath.
            column.breath_gain_db = 0.0;
        }
        (None, None) => parts.push(class_name(column.class).to_owned()),
    }
    // The unit of the levels stands once.
    let mut levels = 0;
    for part in parts.iter_mut().rev() {
        if let Some(number) = part.strip_suffix(" LUFS") {
            levels += 1;
            if levels > 1 {
                *part = number.to_owned();
            }
        }
    }
    parts.extend(other_gains(&column));
    Some(parts.join("  "))
}

fn class_name(class: Class) -> &'static str {
    match class {
        Class::Quiet => "silence",
        Class::Voice => "voice",
        // Not confirmed as a breath, or not yet.
        Class::Breath => "noise",
        Class::Sibilant => "sibilant",
    }
}

/// Gains of breath stage and leveller, where they are not 0 dB.
fn other_gains(column: &Column) -> impl Iterator<Item = String> {
    let taken = |name: &str, gain_db: f32| {
        (gain_db < -MIN_LISTED_DB).then(|| format!("{name} reduced {}", reduced(gain_db)))
    };
    let makeup = (column.makeup_db != 0.0).then(|| format!("makeup {}", level(column.makeup_db, "dB")));
    [
        taken("breath", column.breath_gain_db),
        taken("leveller", column.leveller_gain_db),
        makeup,
    ]
    .into_iter()
    .flatten()
}

/// Draws the tally: a mark for each of the last sibilants, and as much of the text as there is room for. Returns what did
/// not fit.
pub fn tally(ui: &Ui, area: &Timeline, tally: Option<&Tally>, colours: &Palette) -> Option<String> {
    let painter = ui.painter_at(area.tally);
    let at = area.tally.left_center();
    let font = typeface::text();
    let Some(tally) = tally else {
        let text = "No sibilants yet";
        painter.text(at, Align2::LEFT_CENTER, text, font, colours.ink);
        return None;
    };
    let first = TALLY.saturating_sub(tally.outcomes.len());
    for (index, outcome) in tally.outcomes.iter().enumerate() {
        let mark = area.tally_mark(first + index);
        painter.add(legend::tally_mark(mark, *outcome, colours));
    }
    let (text, reason) = (tally.text(), tally.reason.clone());
    let whole = format!("{text} {reason}");
    let whole_width = painter
        .layout_no_wrap(whole.clone(), font.clone(), colours.ink)
        .size()
        .x;
    let fits = at.x + whole_width + 8.0 < area.tally_mark(0).x;
    let shown = if fits { whole } else { text };
    painter.text(at, Align2::LEFT_CENTER, shown, font, colours.ink);
    (!fits).then_some(reason)
}

/// Draws a line below the tally: the chosen sibilant, or what did not fit into the tally's line; returns where it ends.
pub fn line(ui: &Ui, area: &Timeline, text: &str, ink: Color32) -> f32 {
    let at = area.values.left_center();
    let drawn = ui
        .painter_at(area.values)
        .text(at, Align2::LEFT_CENTER, text, typeface::text(), ink);
    drawn.right() + 10.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use siskin_dsp::{HopReport, SibilanceSettings};

    #[test]
    fn numbers_carry_their_units() {
        assert_eq!([lufs(-23.04), lufs(-120.0)], ["-23.0 LUFS", "\u{2013}"]);
        assert_eq!([reduced(-6.0), reduced(0.01)], ["6.0 dB", "0.0 dB"]);
    }

    #[test]
    fn a_sibilant_is_read_with_its_reduction_and_one_unit_of_levels() {
        let mut history = History::default();
        let report = HopReport {
            class: Class::Sibilant,
            voice_lufs: -20.0,
            threshold_lufs: -26.0,
            sibilance_lufs: -18.0,
            sibilance_gain_db: -5.3,
            breath_gain_db: -2.0,
            ..HopReport::default()
        };
        for _ in 0..200 {
            history.push(&report, 0.001, &SibilanceSettings::default());
        }
        assert_eq!(
            texts(&history, 0.05).unwrap(),
            "voice -20.0  threshold -26.0  sibilant -18.0 LUFS  reduced 5.3 dB  breath reduced 2.0 dB"
        );
        assert_eq!(texts(&history, 7.0), None);
        let breath = HopReport {
            class: Class::Breath,
            is_breath: true,
            level_lufs: -43.0,
            ..report
        };
        for _ in 0..200 {
            history.push(&breath, 0.001, &SibilanceSettings::default());
        }
        assert_eq!(
            texts(&history, 0.05).unwrap(),
            "voice -20.0  threshold -26.0  breath -43.0 LUFS  reduced 2.0 dB"
        );
    }
}

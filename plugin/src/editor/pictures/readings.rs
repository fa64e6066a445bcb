//! The readings: reductions and peaks as numbers, ruled like a ledger.

use egui::{Align2, Id, Rect, Sense, Stroke, Ui, pos2};
use siskin_dsp::Settings;
use siskin_editor_layout::Readings as Area;

use crate::editor::model::readings::{Reading, Readings};
use crate::editor::widgets::palette::{self, Palette};
use crate::editor::widgets::{marks, tips, typeface};
use crate::params::readout::level;

/// Places of the right edges of the two columns of numbers and of the unit, from the right, points.
const NOW_FROM_RIGHT: f32 = 92.0;
const MOST_FROM_RIGHT: f32 = 40.0;
/// Peaks from which on samples clip, dBFS.
const FULL_SCALE_DBFS: f32 = 0.0;
/// Softer peaks are shown as a dash, dBFS.
const SILENCE_DBFS: f32 = -100.0;

/// One row of numbers.
struct Row<'a> {
    name: &'a str,
    now: String,
    most: String,
    unit: &'a str,
    /// Whether the stage works, or the sound is there.
    is_live: bool,
    is_warning: bool,
}

/// Draws the readings; a click begins the greatest values anew.
pub fn show(ui: &Ui, area: &Area, readings: &mut Readings, settings: &Settings) {
    let colours = palette::of(ui.ctx());
    let response = ui.interact(area.frame, Id::unique("readings"), Sense::click());
    if response.hovered() {
        ui.painter().rect_filled(area.frame, 3.0, colours.hover);
    }
    marks::edge(ui.painter(), area.frame);
    let head = area.head();
    for (text, x, align) in [
        ("readings", head.left(), Align2::LEFT_CENTER),
        ("now", head.right() - NOW_FROM_RIGHT, Align2::RIGHT_CENTER),
        ("most", head.right() - MOST_FROM_RIGHT, Align2::RIGHT_CENTER),
    ] {
        let at = pos2(x, head.center().y);
        ui.painter()
            .text(at, align, text, typeface::small(), colours.secondary_ink);
    }
    for (index, row) in rows(readings, settings).iter().enumerate() {
        draw(ui, area.row(index), row, colours);
    }
    if response.has_focus() {
        marks::focus(ui.painter(), area.frame);
    }
    marks::scroll_to_focused(ui, area.frame, &response);
    if response.clicked() {
        readings.reset();
    }
    response.on_hover_text(tips::for_element("readings"));
}

fn rows(readings: &Readings, settings: &Settings) -> Vec<Row<'static>> {
    let stages = [
        ("Sibilance", settings.sibilance.on),
        ("Breath", settings.breath.on),
        ("Leveller", settings.leveller.on),
    ];
    let reduction = |((name, is_on), reading): ((&'static str, bool), Reading)| {
        let is_live = is_on && !settings.output.bypass;
        let [now, most] = [reading.now(), reading.greatest()].map(|db| number(-db));
        Row {
            name,
            now: if is_live { now } else { DASH.to_owned() },
            most,
            unit: "dB",
            is_live,
            is_warning: false,
        }
    };
    let peak = |(name, reading): (&'static str, Reading)| {
        let [now, most] = [reading.now(), reading.greatest()].map(peak_text);
        Row {
            name,
            is_live: reading.greatest() > SILENCE_DBFS,
            is_warning: reading.greatest() >= FULL_SCALE_DBFS,
            now,
            most,
            unit: "dBFS",
        }
    };
    let reductions = stages.into_iter().zip(readings.reductions_db).map(reduction);
    let names = ["Input", "Output"];
    reductions
        .chain(names.into_iter().zip(readings.peaks_dbfs).map(peak))
        .collect()
}

const DASH: &str = "\u{2013}";

fn number(db: f32) -> String {
    let text = level(db, "");
    text.trim_end().to_owned()
}

fn peak_text(dbfs: f32) -> String {
    if dbfs > SILENCE_DBFS {
        number(dbfs)
    } else {
        DASH.to_owned()
    }
}

fn draw(ui: &Ui, area: Rect, row: &Row<'_>, colours: &Palette) {
    let painter = ui.painter();
    painter.hline(area.x_range(), area.top(), Stroke::new(1.0, colours.grid));
    let y = area.center().y;
    let ink = colours.text(row.is_live);
    let at = |from_right: f32| pos2(area.right() - from_right, y);
    let name = area.left_center();
    painter.text(name, Align2::LEFT_CENTER, row.name, typeface::small(), ink);
    let now = at(NOW_FROM_RIGHT);
    painter.text(now, Align2::RIGHT_CENTER, &row.now, typeface::strong(), ink);
    let most_ink = if row.is_warning { colours.warning } else { ink };
    if row.is_warning {
        marks::warning(painter, at(MOST_FROM_RIGHT + 44.0));
    }
    let most = at(MOST_FROM_RIGHT);
    painter.text(most, Align2::RIGHT_CENTER, &row.most, typeface::text(), most_ink);
    let unit = at(MOST_FROM_RIGHT - 6.0);
    let font = typeface::small();
    painter.text(unit, Align2::LEFT_CENTER, row.unit, font, colours.secondary_ink);
}

#[cfg(test)]
mod tests {
    use super::*;
    use siskin_dsp::HopReport;

    #[test]
    fn rows_tell_reductions_and_peaks_and_what_is_off() {
        let mut readings = Readings::default();
        let report = HopReport {
            sibilance_gain_db: -5.26,
            leveller_gain_db: -12.0,
            input_peak: 1.0,
            ..HopReport::default()
        };
        readings.add(&report, 0.001);
        let mut settings = Settings::default();
        let texts = |settings: &Settings| -> Vec<String> {
            let row = |row: &Row<'_>| format!("{} {} {} {}", row.name, row.now, row.most, row.unit);
            rows(&readings, settings).iter().map(row).collect()
        };
        let dash = DASH;
        assert_eq!(
            texts(&settings),
            [
                "Sibilance -5.3 -5.3 dB".to_owned(),
                format!("Breath {dash} 0.0 dB"),
                format!("Leveller {dash} -12.0 dB"),
                "Input 0.0 0.0 dBFS".to_owned(),
                format!("Output {dash} {dash} dBFS"),
            ]
        );
        assert!(rows(&readings, &settings)[3].is_warning, "the input clips");
        settings.output.bypass = true;
        assert_eq!(texts(&settings)[0], format!("Sibilance {dash} -5.3 dB"));
    }
}

//! The state of the insert in words: first what should be looked at, then what a person may have forgotten.

use egui::{Align2, Id, Rect, Sense, Ui, pos2};
use siskin_dsp::{FollowSource, HopReport, Listen, Settings};

use super::layout::Layout;
use super::stream::tally::Tally;
use super::{marks, palette, typeface};

/// The room for a warning's mark, points.
const MARK_WIDTH: f32 = 14.0;
/// Below this a level is read as silence, LUFS.
const SILENCE_LUFS: f32 = -100.0;

/// All that the words hang on.
#[derive(Debug, Clone, Copy)]
pub struct State<'a> {
    /// What is set.
    pub settings: &'a Settings,
    /// The last report.
    pub report: Option<&'a HopReport>,
    /// Whether reports still come.
    pub running: bool,
    /// Whether the input has clipped a moment ago.
    pub clipped: bool,
    /// Whether there is a reference voice to follow.
    pub has_source: bool,
    /// Whether the stream stands still.
    pub frozen: bool,
    /// The last sibilants.
    pub tally: Option<&'a Tally>,
}

/// One state in words.
#[derive(Debug, Clone, PartialEq)]
pub struct Words {
    /// The words.
    pub text: String,
    /// Whether a person should look at it.
    pub warns: bool,
}

fn warning(text: &str) -> Words {
    Words {
        text: text.to_owned(),
        warns: true,
    }
}

fn remark(text: &str) -> Words {
    Words {
        text: text.to_owned(),
        warns: false,
    }
}

/// Every state that is worth a word, what should be looked at first.
pub fn words(state: &State<'_>) -> Vec<Words> {
    let mut words = Vec::new();
    words.extend(of_output(state));
    let Some(report) = state.report else {
        words.push(remark("no sound has come yet"));
        words.extend(of_stages(state));
        return words;
    };
    if !state.running {
        words.push(remark("no sound comes now"));
    }
    if !report.voice_heard {
        words.push(remark("no voice heard yet: Start level holds"));
    }
    if state.has_source {
        words.push(of_source(state.settings.follow.source, report.follows_reference));
    }
    words.extend(of_stages(state));
    words.sort_by_key(|word| !word.warns);
    words
}

fn of_output(state: &State<'_>) -> Vec<Words> {
    let output = &state.settings.output;
    let listens = match output.listen {
        Listen::Output => None,
        Listen::Removed => Some(warning("you hear what is removed")),
        Listen::Detector => Some(warning("you hear the detector")),
    };
    let bypassed = output
        .bypass
        .then(|| warning("bypassed: you hear the untouched voice"));
    let clips = state
        .clipped
        .then(|| warning("the input clips: turn it down before this insert"));
    let frozen = state
        .frozen
        .then(|| remark("the picture is frozen, the sound goes on"));
    [bypassed, listens, clips, frozen].into_iter().flatten().collect()
}

fn of_source(source: FollowSource, follows_reference: bool) -> Words {
    match (source, follows_reference) {
        (FollowSource::Reference, true) => remark("follows the reference voice"),
        (FollowSource::Reference, false) => {
            warning("reference voice silent or not connected: follows this track")
        }
        (FollowSource::ThisTrack, _) => remark("follows this track"),
    }
}

fn of_stages(state: &State<'_>) -> Vec<Words> {
    let settings = state.settings;
    let often = state
        .tally
        .is_some_and(|tally| settings.sibilance.on && tally.often_at_range());
    let range = often.then(|| warning("Range ends many reductions: more Range, or a higher Proportion"));
    let leveller = (!settings.leveller.on).then(|| remark("leveller off"));
    let sibilance = (!settings.sibilance.on).then(|| remark("sibilance off"));
    [range, leveller, sibilance].into_iter().flatten().collect()
}

/// Draws the words, each warning behind its mark; what does not fit is read in the tip.
pub fn show(ui: &Ui, layout: &Layout, words: &[Words]) {
    let area = layout.status;
    let painter = ui.painter_at(area);
    let mut x = area.left();
    for (index, word) in words.iter().enumerate() {
        let (font, ink) = if word.warns {
            (typeface::strong(), palette::WARNING)
        } else {
            (typeface::text(), palette::FAINT)
        };
        let galley = painter.layout_no_wrap(word.text.clone(), font, ink);
        let mark = if word.warns { MARK_WIDTH } else { 0.0 };
        if x + mark + galley.size().x > area.right() && index > 0 {
            rest(ui, area, x, words);
            return;
        }
        if word.warns {
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

/// Three dots where words do not fit, and all of them in the tip.
fn rest(ui: &Ui, area: Rect, x: f32, words: &[Words]) {
    let at = pos2((x - 8.0).min(area.right() - 12.0), area.center().y);
    ui.painter_at(area).text(
        at,
        Align2::LEFT_CENTER,
        "\u{2026}",
        typeface::strong(),
        palette::INK,
    );
    let all: Vec<_> = words.iter().map(|word| word.text.as_str()).collect();
    ui.interact(area, Id::unique("status"), Sense::hover())
        .on_hover_text(all.join("\n"));
}

/// A level, or a dash in silence.
pub fn lufs(level: f32) -> String {
    if level > SILENCE_LUFS {
        crate::readout::level(level, "LUFS")
    } else {
        "\u{2013}".to_owned()
    }
}

/// A reduction: "-6.0 dB", never positive.
pub fn reduction(gain_db: f32) -> String {
    crate::readout::level(gain_db.min(0.0), "dB")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(change: impl FnOnce(&mut Settings, &mut HopReport), has_source: bool) -> Vec<String> {
        let (mut settings, mut report) = (Settings::default(), HopReport::default());
        settings.leveller.on = true;
        report.voice_heard = true;
        change(&mut settings, &mut report);
        let state = State {
            settings: &settings,
            report: Some(&report),
            running: true,
            clipped: report.input_peak > 1.0,
            has_source,
            frozen: false,
            tally: None,
        };
        words(&state).into_iter().map(|word| word.text).collect()
    }

    #[test]
    fn says_nothing_where_nothing_is_amiss_and_one_thing_for_each_that_is() {
        assert_eq!(texts(|_, _| {}, false), Vec::<String>::new());
        let one = |change: fn(&mut Settings, &mut HopReport), part: &str| {
            let texts = texts(change, false);
            assert_eq!(texts.len(), 1, "{texts:?}");
            assert!(texts[0].contains(part), "{texts:?}");
        };
        one(|settings, _| settings.output.bypass = true, "bypassed");
        one(|settings, _| settings.output.listen = Listen::Removed, "removed");
        one(
            |settings, _| settings.output.listen = Listen::Detector,
            "detector",
        );
        one(|settings, _| settings.leveller.on = false, "leveller off");
        one(|settings, _| settings.sibilance.on = false, "sibilance off");
        one(|_, report| report.voice_heard = false, "no voice heard yet");
        one(|_, report| report.input_peak = 1.2, "clips");
    }

    #[test]
    fn says_whose_voice_is_followed() {
        assert!(texts(|_, _| {}, true)[0].contains("silent or not connected"));
        assert_eq!(
            texts(|_, report| report.follows_reference = true, true),
            ["follows the reference voice"]
        );
        let own = texts(
            |settings, _| settings.follow.source = FollowSource::ThisTrack,
            true,
        );
        assert_eq!(own, ["follows this track"]);
    }

    #[test]
    fn says_that_nothing_has_come_or_comes_and_that_range_is_short() {
        let settings = Settings::default();
        let tally = Tally {
            dots: vec![super::super::stream::tally::Left::Above; 6],
            left_lu: 0.0,
            asked_lu: 0.0,
            at_range: 5,
        };
        let state = State {
            settings: &settings,
            report: None,
            running: false,
            clipped: false,
            has_source: false,
            frozen: true,
            tally: Some(&tally),
        };
        let joined = |state: &State<'_>| {
            let words = words(state);
            words
                .iter()
                .map(|word| word.text.as_str())
                .collect::<Vec<_>>()
                .join("; ")
        };
        let before = joined(&state);
        assert!(
            before.contains("no sound has come yet") && before.contains("Range"),
            "{before}"
        );
        assert!(before.contains("frozen"), "{before}");
        let report = HopReport::default();
        let after = joined(&State {
            report: Some(&report),
            ..state
        });
        assert!(after.contains("no sound comes now"), "{after}");
    }

    #[test]
    fn what_should_be_looked_at_comes_first() {
        let settings = Settings::default();
        let report = HopReport::default();
        let words = words(&State {
            settings: &settings,
            report: Some(&report),
            running: true,
            clipped: true,
            has_source: true,
            frozen: false,
            tally: None,
        });
        let warns: Vec<bool> = words.iter().map(|word| word.warns).collect();
        assert!(warns.windows(2).all(|pair| pair[0] >= pair[1]), "{words:?}");
        assert!(warns[0] && !warns[warns.len() - 1]);
    }

    #[test]
    fn numbers_carry_their_units() {
        assert_eq!([lufs(-23.04), lufs(-120.0)], ["-23.0 LUFS", "\u{2013}"]);
        assert_eq!([reduction(-6.0), reduction(-0.01)], ["-6.0 dB", "0.0 dB"]);
    }
}

//! The figures for a program.

use serde_json::{Value, json};
use siskin_tests::measurement::figures::detector::{CLASSES, Figures, SOUNDS, Share};

use super::rows::{Chapter, Row};
use super::table::name;
use super::verdicts::verdicts;

/// All figures and goals.
pub fn text(chapters: &[Chapter]) -> String {
    let conditions: Vec<Value> = chapters.iter().map(chapter).collect();
    let goals: Vec<Value> = verdicts(chapters)
        .into_iter()
        .map(|verdict| {
            json!({
                "goal": verdict.goal,
                "measured": verdict.measured,
                "met": verdict.met,
                "published": verdict.published,
            })
        })
        .collect();
    let value = json!({ "conditions": conditions, "goals": goals });
    format!("{value:#}\n")
}

fn chapter(chapter: &Chapter) -> Value {
    let rows: Vec<Value> = chapter.rows().map(row).collect();
    json!({
        "condition": chapter.condition.map_or("clean", |condition| condition.name()),
        "rows": rows,
    })
}

fn share(share: Share) -> Value {
    json!({ "events": share.whole, "percent": share.percent() })
}

fn row(row: &Row) -> Value {
    let figures = &row.figures;
    let (sibilants, weak, breaths) = (&figures.sibilants, &figures.weak_fricatives, &figures.breaths);
    let (onsets, voice) = (&figures.onsets, &figures.voice_level);
    let at_sibilants = voice.at_sibilants_lu();
    json!({
        "name": row.name,
        "takes": figures.recordings,
        "duration_s": figures.duration_s,
        "s_sh_ch_recalled": share(sibilants.unvoiced),
        "strong_z_zh_j_recalled": share(sibilants.voiced),
        "both_recalled": share(sibilants.both()),
        "elided": sibilants.elided,
        "weak_z_zh_j": sibilants.weak_voiced,
        "false_events": figures.false_events.events,
        "false_events_per_minute": figures.false_events.per_minute(),
        "f_th_h_called_sibilant": share(weak.unvoiced_called),
        "f_th_h_reduced": share(weak.unvoiced_reduced),
        "v_dh_called_sibilant": share(weak.voiced_called),
        "v_dh_reduced": share(weak.voiced_reduced),
        "breaths_called_breath": share(breaths.called_breath),
        "breaths_called_sibilant": share(breaths.called_sibilant),
        "breath_precision": share(breaths.precision),
        "onsets": onsets.errors_ms.len(),
        "without_onset": onsets.without,
        "onset_signed_median_ms": onsets.signed_median_ms(),
        "onset_median_ms": onsets.absolute_quantile_ms(0.5),
        "onset_95th_percentile_ms": onsets.absolute_quantile_ms(0.95),
        "voice_level_recordings": voice.of_recordings_lu.len(),
        "voice_level_mean_error_lu": voice.mean_of_recordings_lu(),
        "voice_level_signed_mean_error_lu": voice.signed_mean_of_recordings_lu(),
        "voice_level_worst_error_lu": voice.worst_of_recordings_lu(),
        "voice_level_at_sibilants_mean_lu": at_sibilants.map(|(mean_lu, _)| mean_lu),
        "voice_level_at_sibilants_deviation_lu": at_sibilants.map(|(_, deviation_lu)| deviation_lu),
        "confusion_percent": confusion(figures),
    })
}

fn confusion(figures: &Figures) -> Value {
    let rows = SOUNDS.into_iter().zip(figures.confusion.percent());
    rows.map(|(sound, percent)| {
        let classes = percent.map(|percent| {
            let named = CLASSES.iter().zip(percent);
            named
                .map(|(class, share)| (format!("{class:?}"), json!(share)))
                .collect::<serde_json::Map<_, _>>()
        });
        (name(sound).to_owned(), json!(classes))
    })
    .collect::<serde_json::Map<_, _>>()
    .into()
}

//! The columns of a chapter's table, in one place for the terminal and for the page.

use siskin_tests::measurement::figures::detector::{Figures, Share};

/// One column.
pub struct Column {
    /// Its head, on two lines.
    pub head: [&'static str; 2],
    /// What stands in a row.
    pub cell: fn(&Figures) -> String,
}

/// What stands where there is nothing to measure.
const NOTHING: &str = "-";

/// All of them. A share is in percent, with the number of events in brackets.
pub const COLUMNS: &[Column] = &[
    Column {
        head: ["", "minutes"],
        cell: |figures| format!("{:.1}", figures.duration_s / 60.0),
    },
    Column {
        head: ["s sh ch", "recalled"],
        cell: |figures| share(figures.sibilants.unvoiced),
    },
    Column {
        head: ["strong z zh j", "recalled"],
        cell: |figures| share(figures.sibilants.voiced),
    },
    Column {
        head: ["both", "recalled"],
        cell: |figures| share(figures.sibilants.both()),
    },
    Column {
        head: ["false", "per min"],
        cell: |figures| number(figures.false_events.per_minute(), 2),
    },
    Column {
        head: ["f th h", "reduced"],
        cell: |figures| share(figures.weak_fricatives.unvoiced_reduced),
    },
    Column {
        head: ["breaths", "heard"],
        cell: |figures| share(figures.breaths.called_breath),
    },
    Column {
        head: ["breaths", "as sibilant"],
        cell: |figures| share(figures.breaths.called_sibilant),
    },
    Column {
        head: ["breaths", "precision"],
        cell: |figures| share(figures.breaths.precision),
    },
    Column {
        head: ["onset, ms", "median"],
        cell: |figures| number(figures.onsets.absolute_quantile_ms(0.5), 1),
    },
    Column {
        head: ["onset, ms", "95 %"],
        cell: |figures| number(figures.onsets.absolute_quantile_ms(0.95), 1),
    },
    Column {
        head: ["voice", "LU"],
        cell: |figures| number(figures.voice_level.mean_of_recordings_lu(), 2),
    },
];

/// A share in percent with the number of events.
fn share(share: Share) -> String {
    share.percent().map_or(NOTHING.to_owned(), |percent| {
        format!("{percent:.1} ({})", share.whole)
    })
}

fn number(value: Option<impl Into<f64>>, digits: usize) -> String {
    value.map_or(NOTHING.to_owned(), |value| format!("{:.digits$}", value.into()))
}

/// What the columns leave out, one line each.
pub fn asides(figures: &Figures) -> Vec<String> {
    let weak = &figures.weak_fricatives;
    let of = |share: Share| {
        share.percent().map_or("none".to_owned(), |percent| {
            format!("{percent:.1} % of {}", share.whole)
        })
    };
    let mut asides = vec![
        format!(
            "not counted: {} s sh ch more than 30 LU under the voice (elided), {} z zh j more than 12 LU under it (weak)",
            figures.sibilants.elided, figures.sibilants.weak_voiced
        ),
        format!(
            "called sibilant, reduced or not: f th h {}, v dh {}; v dh reduced: {}",
            of(weak.unvoiced_called),
            of(weak.voiced_called),
            of(weak.voiced_reduced)
        ),
    ];
    if let Some(median_ms) = figures.onsets.signed_median_ms() {
        asides.push(format!(
            "onsets: {} read, signed median {median_ms:+.1} ms; {} s sh ch have none of their own",
            figures.onsets.errors_ms.len(),
            figures.onsets.without
        ));
    }
    let voice = &figures.voice_level;
    if let (Some(mean_lu), Some(worst_lu)) = (
        voice.signed_mean_of_recordings_lu(),
        voice.worst_of_recordings_lu(),
    ) {
        asides.push(format!(
            "voice level against ebur128: {} recordings, signed mean {mean_lu:+.2} LU, the worst off by {worst_lu:.2} LU",
            voice.of_recordings_lu.len()
        ));
    }
    if let Some((mean_lu, deviation_lu)) = voice.at_sibilants_lu() {
        asides.push(format!(
            "voice level at sibilants against the vowels within 1 s: {mean_lu:+.2} LU, standard deviation {deviation_lu:.2} LU"
        ));
    }
    asides
}

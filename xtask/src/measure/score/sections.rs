//! The figures put together, by source, and by half of the voices: real, synthetic and all; and as tables.

use siskin_tests::measurement::figures::detector::{CLASSES, Figures, SOUNDS, Share};
use siskin_tests::measurement::voices::conditions::Condition;
use siskin_tests::measurement::voices::corpus::{Half, Origin};

use super::takes::{Scored, Take, title};
use super::verdicts::verdicts;
use crate::report::table::{Cell, Table};
use crate::report::{self, Section};

type Column = (&'static str, fn(&Figures) -> Cell);

/// Heads and cells. A share is in percent, with the number of events in brackets.
#[rustfmt::skip]
const COLUMNS: &[Column] = &[
    ("minutes", |figures| Cell::figure(figures.duration_s / 60.0, 1)),
    ("s sh ch\nrecalled", |figures| share(figures.sibilants.unvoiced)),
    ("strong z zh j\nrecalled", |figures| share(figures.sibilants.voiced)),
    ("both\nrecalled", |figures| share(figures.sibilants.both())),
    ("false\nper min", |figures| number(figures.false_events.per_minute(), 2)),
    ("f th h\nreduced", |figures| share(figures.weak_fricatives.unvoiced_reduced)),
    ("breaths\nheard", |figures| share(figures.breaths.called_breath)),
    ("breaths\nas sibilant", |figures| share(figures.breaths.called_sibilant)),
    ("breaths\nprecision", |figures| share(figures.breaths.precision)),
    ("onset, ms\nmedian", |figures| number(figures.onsets.absolute_quantile_ms(0.5), 1)),
    ("onset, ms\n95 %", |figures| number(figures.onsets.absolute_quantile_ms(0.95), 1)),
    ("voice\nLU", |figures| number(figures.voice_level.mean_of_recordings_lu(), 2)),
];

/// A section a chapter and one for its confusion matrix, then the goals.
pub fn sections(chapters: &[Chapter]) -> Vec<Section> {
    let sections = chapters
        .iter()
        .flat_map(|chapter| [figures(chapter), confusion(chapter)]);
    sections.chain([report::goals(&verdicts(chapters))]).collect()
}

fn figures(chapter: &Chapter) -> Section {
    let heads = std::iter::once("source").chain(COLUMNS.iter().map(|(head, _)| *head));
    let row = |row: &Row| {
        let cells = COLUMNS.iter().map(|(_, cell)| cell(&row.figures));
        std::iter::once(Cell::words(&row.name)).chain(cells).collect()
    };
    let table = Table::new(heads).with_rows(chapter.rows().map(row));
    Section::new(title(chapter.condition), table).with_notes(asides(&chapter.all.figures))
}

fn confusion(chapter: &Chapter) -> Section {
    let classes = CLASSES.iter().map(|class| format!("{class:?}"));
    let rows = SOUNDS.into_iter().zip(chapter.all.figures.confusion.percent());
    let rows = rows.filter_map(|(sound, percent)| {
        let cells = percent?.map(|share| Cell::figure(share, 1));
        Some(std::iter::once(Cell::words(sound.name())).chain(cells).collect())
    });
    let table = Table::new(std::iter::once("label".to_owned()).chain(classes)).with_rows(rows);
    let title = format!(
        "{}: hops of all by label, percent of the row",
        title(chapter.condition)
    );
    Section::new(title, table)
}

/// A share in percent with the number of events.
fn share(share: Share) -> Cell {
    share.percent().map_or_else(Cell::nothing, |percent| {
        Cell::written(percent, format!("{percent:.1} ({})", share.whole))
    })
}

fn number(value: Option<impl Into<f64>>, digits: usize) -> Cell {
    value.map_or_else(Cell::nothing, |value| Cell::figure(value, digits))
}

/// What the columns leave out, one line each.
fn asides(figures: &Figures) -> Vec<String> {
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

/// Figures of some voices.
#[derive(Debug, Clone)]
pub struct Row {
    pub name: String,
    pub figures: Figures,
}

/// All figures under one condition.
#[derive(Debug, Clone)]
pub struct Chapter {
    /// None is the clean voice.
    pub condition: Option<Condition>,
    /// In the order of the corpus.
    pub sources: Vec<Row>,
    /// Voices that thresholds may be searched on: real, synthetic, all.
    pub tuning: [Row; 3],
    /// Test voices, which the goals speak of.
    pub real: Row,
    pub synthetic: Row,
    pub all: Row,
}

impl Chapter {
    /// Every row that holds a recording, the sums last.
    pub fn rows(&self) -> impl Iterator<Item = &Row> {
        let sums = [&self.real, &self.synthetic, &self.all];
        let rows = self.sources.iter().chain(&self.tuning).chain(sums);
        rows.filter(|row| row.figures.recordings > 0)
    }
}

/// One chapter a condition, in order.
pub fn chapters(scored: &[Scored<'_>]) -> Vec<Chapter> {
    scored
        .chunk_by(|one, two| one.take.condition == two.take.condition)
        .map(chapter)
        .collect()
}

fn chapter(scored: &[Scored<'_>]) -> Chapter {
    let mut sources: Vec<&str> = Vec::new();
    for source in scored.iter().map(|scored| scored.take.recording.source.as_str()) {
        if !sources.contains(&source) {
            sources.push(source);
        }
    }
    let half = |half, name, is_asked: fn(Origin) -> bool| {
        let belongs = |take: &Take<'_>| Half::of(take.recording) == half && is_asked(take.recording.origin);
        row(&format!("{}, {name}", half.name()), scored, belongs)
    };
    let [tuning, test] = [Half::Tuning, Half::Test].map(|of| {
        [
            half(of, "real", |origin| origin == Origin::Real),
            half(of, "synthetic", |origin| origin == Origin::Synthetic),
            half(of, "all", |_| true),
        ]
    });
    let [real, synthetic, all] = test;
    Chapter {
        condition: scored[0].take.condition,
        sources: sources
            .into_iter()
            .map(|source| row(source, scored, |take| take.recording.source == source))
            .collect(),
        tuning,
        real,
        synthetic,
        all,
    }
}

fn row(name: &str, scored: &[Scored<'_>], belongs: impl Fn(&Take<'_>) -> bool) -> Row {
    let those = scored.iter().filter(|scored| belongs(&scored.take));
    Row {
        name: name.to_owned(),
        figures: those.map(|scored| scored.score.figures.clone()).sum(),
    }
}

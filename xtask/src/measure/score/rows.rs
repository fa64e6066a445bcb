//! The figures put together: by source, and by half of the voices: real, synthetic and all.

use siskin_tests::measurement::figures::detector::Figures;
use siskin_tests::measurement::voices::conditions::Condition;
use siskin_tests::measurement::voices::corpus::{Half, Origin};

use super::takes::{Scored, Take};

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

//! The figures put together: by source, real, synthetic and all.

use siskin_tests::measurement::figures::detector::Figures;
use siskin_tests::measurement::voices::conditions::Condition;
use siskin_tests::measurement::voices::corpus::Origin;

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
    pub real: Row,
    pub synthetic: Row,
    pub all: Row,
}

impl Chapter {
    /// Every row that holds a recording, the sums last.
    pub fn rows(&self) -> impl Iterator<Item = &Row> {
        let sums = [&self.real, &self.synthetic, &self.all];
        let rows = self.sources.iter().chain(sums);
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
    let of_origin = |name, origin| row(name, scored, |take| take.recording.origin == origin);
    Chapter {
        condition: scored[0].take.condition,
        sources: sources
            .into_iter()
            .map(|source| row(source, scored, |take| take.recording.source == source))
            .collect(),
        real: of_origin("real", Origin::Real),
        synthetic: of_origin("synthetic", Origin::Synthetic),
        all: row("all", scored, |_| true),
    }
}

fn row(name: &str, scored: &[Scored<'_>], belongs: impl Fn(&Take<'_>) -> bool) -> Row {
    let those = scored.iter().filter(|scored| belongs(&scored.take));
    Row {
        name: name.to_owned(),
        figures: those.map(|scored| scored.score.figures.clone()).sum(),
    }
}

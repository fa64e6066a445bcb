//! One self-contained page: the tables, the goals, and the worst cases to look at.

use anyhow::Result;
use rayon::prelude::*;
use siskin_tests::measurement::figures::detector::{Case, Hearing};

use super::picture;
use super::takes::{self, Scored, Take};
use crate::report::html::{self, escaped};
use crate::report::{self, Section};

/// Cases that a person will look at in one go.
const MOST_CASES: usize = 60;

/// The page: the tables, then the worst cases.
pub fn page(sections: &[Section], scored: &[Scored<'_>]) -> Result<String> {
    let (cases, count) = worst(scored);
    let pictures: Vec<String> = cases.par_iter().map(figure).collect::<Result<_>>()?;
    let body = format!(
        "<h1>Detector accuracy</h1><p>Labelled voices through the engine. Shares are in percent, with the number of \
events in brackets.</p>{}<h2>The worst cases</h2><p>The worst {} stretches, of {count} cases in all. Above the \
spectrogram the labels, below it what was detected: S sibilant (tall), B breath, V voice (low), blank quiet; then the \
gain of the sibilance stage, dB. The case is framed.</p>{}",
        report::html(sections),
        cases.len(),
        pictures.concat()
    );
    Ok(html::page("Siskin: detector accuracy", &body))
}

/// The worst cases of all takes, each stretch of a voice once, and how many there are in all.
fn worst<'a>(scored: &'a [Scored<'a>]) -> (Vec<Shown<'a>>, usize) {
    let mut cases: Vec<(&Take<'_>, &Case)> = scored
        .iter()
        .flat_map(|scored| scored.score.cases.iter().map(|case| (&scored.take, case)))
        .collect();
    cases.sort_by(|one, two| two.1.severity_db.total_cmp(&one.1.severity_db));
    let mut shown: Vec<Shown<'_>> = Vec::new();
    for &(take, case) in &cases {
        match shown.iter().position(|shown| shown.is_at(take, case)) {
            Some(place) => shown[place].alike += 1,
            None if shown.len() < MOST_CASES => shown.push(Shown { take, case, alike: 0 }),
            None => {}
        }
    }
    (shown, cases.len())
}

/// A case that is drawn.
struct Shown<'a> {
    take: &'a Take<'a>,
    case: &'a Case,
    /// Further cases on the same stretch of the same voice, at another rate or under another condition.
    alike: usize,
}

impl Shown<'_> {
    fn is_at(&self, take: &Take<'_>, case: &Case) -> bool {
        let seconds = |take: &Take<'_>, sample: usize| sample as f64 / take.sample_rate_hz;
        let (own, other) = (&self.case.span, &case.span);
        self.take.recording.name == take.recording.name
            && seconds(self.take, own.start) < seconds(take, other.end)
            && seconds(take, other.start) < seconds(self.take, own.end)
    }
}

/// One case: where, what, and the picture. The take is performed again, since sounds are not kept.
fn figure(shown: &Shown<'_>) -> Result<String> {
    let Shown { take, case, alike } = shown;
    let recording = take.perform();
    let hearing = Hearing::of(&recording);
    let second = |sample: usize| sample as f64 / recording.sample_rate_hz;
    let condition = takes::name(take.condition);
    let alike = match alike {
        0 => String::new(),
        alike => format!("; {alike} more on the same stretch at other rates or under other conditions"),
    };
    Ok(format!(
        "<figure><figcaption><strong>{}</strong> {}, {:.2} to {:.2} s, at {} Hz, {condition}{alike}</figcaption>{}</figure>",
        escaped(&case.to_string()),
        escaped(&recording.name),
        second(case.span.start),
        second(case.span.end),
        recording.sample_rate_hz,
        picture::draw(&recording, &hearing, case)?
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use siskin_tests::measurement::figures::detector::{Mishap, Score};
    use siskin_tests::measurement::voices::corpus::from_song;
    use siskin_tests::measurement::voices::singer::sing;

    #[test]
    fn one_stretch_is_shown_once_however_often_it_fails() {
        let song = from_song(&sing(48_000.0, 1));
        let failed = |sample_rate_hz: f64, second: f64, severity_db| Scored {
            take: Take {
                recording: &song,
                condition: None,
                sample_rate_hz,
                seed: 1,
            },
            score: Score {
                cases: vec![Case {
                    mishap: Mishap::SibilantMissed,
                    symbol: "<s>".into(),
                    span: (second * sample_rate_hz) as usize..((second + 0.1) * sample_rate_hz) as usize,
                    severity_db,
                }],
                ..Score::default()
            },
        };
        let scored = [
            failed(48_000.0, 1.0, 3.0),
            failed(44_100.0, 1.05, 5.0),
            failed(44_100.0, 2.0, 4.0),
        ];
        let (shown, count) = worst(&scored);
        assert_eq!((shown.len(), count), (2, 3));
        assert_eq!((shown[0].case.severity_db, shown[0].alike), (5.0, 1));
        assert_eq!((shown[1].case.severity_db, shown[1].alike), (4.0, 0));
        let figure = figure(&shown[0]).unwrap();
        assert!(figure.contains("&lt;s&gt;") && !figure.contains("<s>"));
        assert!(figure.contains("1.05 to 1.15 s, at 44100 Hz, clean; 1 more"));
        assert!(figure.contains("data:image/png") && figure.matches("<rect").count() > 4);
    }
}

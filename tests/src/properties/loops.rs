//! The same four bars again and again.

use std::ops::Range;

use siskin_dsp::Settings;

use super::findings::Findings;
use super::lisp::reductions_db;
use super::play::{Layout, Play};
use super::quantity::Quantity;
use super::voice::{RATE_HZ, Voice};
use crate::measure::residual_db;

/// Four bars of four beats at 120 per minute, samples: 8 s and a whole number of hops, so that every pass falls on the
/// grid alike.
const ON_GRID_SAMPLES: usize = 384_000;
/// The same at 117 per minute: each pass falls on the grid otherwise.
const OFF_GRID_SAMPLES: usize = 393_846;
const PASSES: usize = 10;
/// Where the loop begins, as a share of what the voice has room for.
const SHARE: f64 = 0.4;

/// Loops of four bars of what lasts so long: passes 3 to 10 against pass 2, which is the first that begins
/// after what the loop ends with.
#[must_use]
pub fn loops(voice: &Voice) -> Findings {
    let mut findings = Findings::default();
    let length = voice.levelled.len();
    let on_grid = (ON_GRID_SAMPLES, Quantity::LoopDifference);
    let off_grid = (OFF_GRID_SAMPLES, Quantity::LoopOffGridDifference);
    for (bars, quantity) in [on_grid, off_grid] {
        if bars > length {
            break;
        }
        let start = (SHARE * (length - bars) as f64) as usize;
        one_loop(voice, (&(start..start + bars), quantity), &mut findings);
    }
    findings
}

fn one_loop(voice: &Voice, (bars, quantity): (&Range<usize>, Quantity), findings: &mut Findings) {
    let given = Layout::Scaled.lay(&voice.levelled[bars.clone()].repeat(PASSES));
    let played = Play::new(RATE_HZ, &given, &Settings::default()).run();
    let length = bars.len();
    let inside = voice.sibilants().into_iter();
    let inside = inside.filter(|span| span.start >= bars.start && span.end <= bars.end);
    let inside: Vec<_> = inside
        .map(|span| span.start - bars.start..span.end - bars.start)
        .collect();
    for (before, after) in given.iter().zip(&played.audio) {
        let reductions_db = |pass: usize| -> Vec<f32> {
            let moved = |sample: usize| sample + pass * length;
            let spans: Vec<_> = inside
                .iter()
                .map(|span| moved(span.start)..moved(span.end))
                .collect();
            reductions_db(before, after, &spans).collect()
        };
        let of = |pass: usize| &after[pass * length..(pass + 1) * length];
        let second = reductions_db(1);
        for pass in 2..PASSES {
            let differences = reductions_db(pass);
            let differences = differences.iter().zip(&second).map(|(one, two)| one - two);
            findings.note(quantity, &voice.line, differences);
            if quantity == Quantity::LoopDifference {
                let residual_db = residual_db(of(1), of(pass));
                findings.note_one(Quantity::LoopResidual, &voice.line, residual_db);
            }
        }
    }
}

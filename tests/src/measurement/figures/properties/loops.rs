//! The same four bars again and again.

use siskin_dsp::Settings;

use super::defaults::RATE_HZ;
use super::findings::Findings;
use super::lisp::reductions_db;
use super::play::{Layout, Play};
use super::quantity::Quantity;
use super::voice::Voice;
use crate::measurement::levels::residual_db;

/// Four bars of four beats at 117 per minute, samples: no whole number of hops, as nearly every loop.
const BARS_SAMPLES: usize = 393_846;
const PASSES: usize = 10;
/// Where the loop begins, as a share of what the voice has room for.
const SHARE: f64 = 0.4;

/// Loops of four bars of what lasts so long, in a host that reports its position and in one that does not: passes 3 to
/// 10 against pass 2, which is the first that begins after what the loop ends with.
pub fn loops(voice: &Voice) -> Findings {
    let mut findings = Findings::default();
    if let Some(room) = voice.levelled.len().checked_sub(BARS_SAMPLES) {
        let start = (SHARE * room as f64) as usize;
        let host_positions: Vec<(usize, i64)> = (0..PASSES)
            .map(|pass| (pass * BARS_SAMPLES, start as i64))
            .collect();
        for (positions, quantity) in [
            (&host_positions[..], Quantity::LoopDifference),
            (&[][..], Quantity::NoPositionLoopDifference),
        ] {
            one_loop(voice, (start, positions), quantity, &mut findings);
        }
    }
    findings
}

fn one_loop(
    voice: &Voice,
    (start, positions): (usize, &[(usize, i64)]),
    quantity: Quantity,
    findings: &mut Findings,
) {
    let bars = start..start + BARS_SAMPLES;
    let given = Layout::Scaled.lay(&voice.levelled[bars.clone()].repeat(PASSES));
    let settings = Settings::default();
    let play = Play::new(RATE_HZ, &given, &settings);
    let played = Play { positions, ..play }.run();
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

//! Blocks as a random host hands them over.

use super::random::Random;
use super::subject::Subject;
use crate::hosts::built::SISKIN_FOLLOW;
use crate::hosts::{Bus, EventKind, HostBlock, Insert, ParamEvent, Transport};

/// Events in a block at most.
const MOST_EVENTS: usize = 24;

/// The next block for an insert.
pub fn next(subject: &mut Subject, random: &mut Random, most_samples: usize) -> HostBlock {
    let samples = 1 + random.below(most_samples);
    let sound = subject.sounds.next(random, subject.channels, samples);
    let mut block = HostBlock::new(&sound);
    block.in_place = random.once_in(3);
    if sound.iter().flatten().all(|&sample| sample == 0.0) && random.once_in(2) {
        block.inputs[0].constant_mask = (1 << subject.channels) - 1;
    }
    if subject.name == SISKIN_FOLLOW {
        block.inputs.extend(side_chain(subject, random, samples));
    }
    if random.once_in(2) {
        block.events = events(subject, random, samples);
        let is_modulation = |event: &ParamEvent| matches!(event.kind, EventKind::Modulation(_));
        subject.is_modulated |= block.events.iter().any(is_modulation);
    }
    block.transport = (!random.once_in(3)).then(|| Transport {
        playing: !random.once_in(4),
        position_s: random.share() * 1000.0,
        tempo_bpm: 1.0 + random.share() * 998.0,
        metre: random
            .once_in(2)
            .then(|| (random.below(20) as u16, random.below(20) as u16)),
        loop_s: random.once_in(3).then(|| (random.share(), 1.0 + random.share())),
    });
    block
}

/// A side-chain, or one that is left out in a way that hosts have.
fn side_chain(subject: &mut Subject, random: &mut Random, samples: usize) -> Option<Bus> {
    let channels = match random.below(8) {
        0 => return None,
        1 => None,
        2 => Some(Vec::new()),
        3 => Some(vec![None, None]),
        4 => Some(vec![subject.sounds.next(random, 1, samples).pop()]),
        _ => return Some(Bus::new(&subject.sounds.next(random, 2, samples))),
    };
    Some(Bus::of(channels))
}

fn events(subject: &Subject, random: &mut Random, samples: usize) -> Vec<ParamEvent> {
    let is_clap = matches!(subject.insert, Insert::Clap(_));
    let mut events: Vec<ParamEvent> = (0..1 + random.below(MOST_EVENTS))
        .map(|_| {
            let known = random.of(&subject.parameters).clone();
            let value = random.share() * known.highest;
            let kind = match random.below(8) {
                0 if is_clap => EventKind::Modulation(value - known.highest / 2.0),
                1 if is_clap => EventKind::ForeignValue(value),
                2 => EventKind::Value(*random.of(&[0.0, known.highest])),
                _ => EventKind::Value(value),
            };
            // A lookahead is not automated, yet a person may turn it while sound runs.
            let is_heard = known.is_automatable || random.once_in(50);
            ParamEvent {
                sample: random.below(samples) as u32,
                parameter: if is_heard && !random.once_in(100) {
                    known.number
                } else {
                    random.next_u64() as u32
                },
                kind,
            }
        })
        .collect();
    events.sort_by_key(|event| event.sample);
    events
}

/// Whether a block held numbers so large that there is no bound to what they become.
pub fn is_unbounded(block: &HostBlock) -> bool {
    let sound = block.inputs.iter().flat_map(Bus::sound);
    sound
        .flatten()
        .any(|sample| !sample.is_finite() || sample.abs() > 1e6)
}

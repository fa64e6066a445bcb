//! Blocks as a host may hand them over.

use super::dice::Dice;
use super::world::{Format, Subject};
use crate::hosts::built::SISKIN_FOLLOW;
use crate::hosts::clap::{Bus, Handed, Place, Said, Told};

/// Events in a block at most.
const MOST_EVENTS: usize = 24;

/// The next block for an insert.
pub fn next(subject: &mut Subject, dice: &mut Dice, most_samples: usize) -> Handed {
    let samples = 1 + dice.below(most_samples);
    let sound = subject.sounds.next(dice, subject.channels, samples);
    let mut block = Handed::new(&sound);
    block.in_place = dice.once_in(3);
    if sound.iter().flatten().all(|&sample| sample == 0.0) && dice.once_in(2) {
        block.inputs[0].constant_mask = (1 << subject.channels) - 1;
    }
    if subject.name == SISKIN_FOLLOW {
        block.inputs.extend(side_chain(subject, dice, samples));
    }
    if dice.once_in(2) {
        block.told = events(subject, dice, samples);
        let is_modulation = |told: &Told| matches!(told.said, Said::Modulation(_));
        subject.is_modulated |= block.told.iter().any(is_modulation);
    }
    block.place = (!dice.once_in(3)).then(|| Place {
        playing: !dice.once_in(4),
        seconds: dice.share() * 1000.0,
        tempo: 1.0 + dice.share() * 998.0,
        looping: dice.once_in(3).then(|| (dice.share(), 1.0 + dice.share())),
    });
    block
}

/// There, or not in one of the ways in which hosts leave it out.
fn side_chain(subject: &mut Subject, dice: &mut Dice, samples: usize) -> Option<Bus> {
    let channels = match dice.below(8) {
        0 => return None,
        1 => None,
        2 => Some(Vec::new()),
        3 => Some(vec![None, None]),
        4 => Some(vec![subject.sounds.next(dice, 1, samples).pop()]),
        _ => return Some(Bus::new(&subject.sounds.next(dice, 2, samples))),
    };
    Some(Bus {
        channels,
        constant_mask: 0,
    })
}

fn events(subject: &Subject, dice: &mut Dice, samples: usize) -> Vec<Told> {
    let is_clap = matches!(subject.format, Format::Clap(_));
    let mut told: Vec<Told> = (0..1 + dice.below(MOST_EVENTS))
        .map(|_| {
            let known = dice.of(&subject.parameters).clone();
            let value = dice.share() * known.highest;
            let said = match dice.below(8) {
                0 if is_clap => Said::Modulation(value - known.highest / 2.0),
                1 if is_clap => Said::ForeignValue(value),
                2 => Said::Value(*dice.of(&[0.0, known.highest])),
                _ => Said::Value(value),
            };
            // A lookahead is not automated, yet a person may turn it while sound runs.
            let is_heard = known.is_automatable || dice.once_in(50);
            Told {
                sample: dice.below(samples) as u32,
                parameter: if is_heard && !dice.once_in(100) {
                    known.number
                } else {
                    dice.throw() as u32
                },
                said,
            }
        })
        .collect();
    told.sort_by_key(|told| told.sample);
    told
}

/// Whether a block held numbers so large that there is no bound to what they become.
pub fn is_beyond(block: &Handed) -> bool {
    let sound = block.inputs.iter().flat_map(Bus::sound);
    sound
        .flatten()
        .any(|sample| !sample.is_finite() || sample.abs() > 1e6)
}

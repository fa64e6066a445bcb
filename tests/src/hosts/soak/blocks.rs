//! Blocks as a random host hands them over, of hostile and ordinary sound.

use super::random::Random;
use super::subject::Subject;
use crate::hosts::built::SISKIN_FOLLOW;
use crate::hosts::{Bus, EventKind, HostBlock, Insert, ParamEvent, Transport};
use crate::measurement::voices::signals::phrases;

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

/// A sound of one kind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Kind {
    /// Nothing.
    Silence,
    /// Phrases that hold what a voice makes an insert do.
    Voice,
    /// White noise.
    Noise,
    /// A constant.
    Constant,
    /// A square wave at full scale and 24 dB above.
    Square,
    /// Single samples.
    Clicks,
    /// Numbers too small to be normal.
    Denormals,
    /// Numbers that are none, and infinite ones, among others.
    NoNumbers,
}

/// Every kind, the usual ones more often.
const KINDS: [Kind; 11] = [
    Kind::Silence,
    Kind::Voice,
    Kind::Voice,
    Kind::Voice,
    Kind::Voice,
    Kind::Noise,
    Kind::Constant,
    Kind::Square,
    Kind::Clicks,
    Kind::Denormals,
    Kind::NoNumbers,
];

/// Sounds, block after block.
#[derive(Debug, Clone)]
pub struct Sounds {
    voice: Vec<f32>,
    at: usize,
}

impl Sounds {
    /// Sounds for one insert.
    pub fn new(random: &mut Random) -> Self {
        Self {
            voice: phrases(48_000.0, 96_000, random.next_u64(), 0.3, 0.9),
            at: random.below(96_000),
        }
    }

    /// The next `samples` samples of each of `channels` channels, of some kind.
    pub fn next(&mut self, random: &mut Random, channels: usize, samples: usize) -> Vec<Vec<f32>> {
        let kind = *random.of(&KINDS);
        let gain = 10.0_f32.powf((random.share() * 48.0 - 36.0) as f32 / 20.0);
        self.at += samples;
        (0..channels)
            .map(|channel| {
                (0..samples)
                    .map(|sample| gain * self.sample(random, kind, self.at + sample + 331 * channel))
                    .collect()
            })
            .collect()
    }

    fn sample(&self, random: &mut Random, kind: Kind, at: usize) -> f32 {
        match kind {
            Kind::Silence => 0.0,
            Kind::Voice => self.voice[at % self.voice.len()],
            Kind::Noise => random.share() as f32 * 2.0 - 1.0,
            Kind::Constant => 0.5,
            Kind::Square if at % 100 < 50 => 16.0,
            Kind::Square => -16.0,
            Kind::Clicks if at.is_multiple_of(997) => 1.0,
            Kind::Clicks => 0.0,
            Kind::Denormals => f32::from_bits((random.next_u64() & 0x807F_FFFF) as u32),
            Kind::NoNumbers => *random.of(&[
                f32::NAN,
                f32::INFINITY,
                f32::NEG_INFINITY,
                1.0,
                -0.0,
                f32::MAX,
                0.1,
            ]),
        }
    }
}

//! What a random host does next, within the rules of the formats, and what must hold after it.

use anyhow::{Result, bail, ensure};

use super::blocks;
use super::random::Random;
use super::subject::Subject;
use crate::hosts::InsertParameter;
use crate::hosts::{HostBlock, Insert, ProcessStatus, UNWRITTEN};

/// Rates that songs have, and some that they hardly have.
const RATES_HZ: [f64; 8] = [
    44_100.0, 48_000.0, 48_000.0, 88_200.0, 96_000.0, 44_056.0, 44_123.45, 192_000.0,
];
const LONGEST_BLOCKS: [usize; 8] = [1, 16, 64, 128, 512, 480, 1024, 8192];
/// Until a filter has let go of the largest number that there is: 640 dB of a low cut at 40 Hz and 192 kHz, in closed form.
const DECAY_SAMPLES: usize = 100_000;
/// States that an insert's host remembers.
const MOST_STATES: usize = 4;

/// One action on one insert: which it was, or what does not hold.
pub fn act(subject: &mut Subject, random: &mut Random) -> Result<&'static str> {
    match subject.most_samples {
        None => act_while_inactive(subject, random),
        Some(most_samples) => act_while_active(subject, random, most_samples),
    }
}

fn act_while_inactive(subject: &mut Subject, random: &mut Random) -> Result<&'static str> {
    match random.below(7) {
        0 => subject.arrange(1 + random.below(2)).map(|()| "arrange"),
        1 => set(subject, random).map(|()| "set"),
        2 => save(subject, random).map(|()| "save"),
        3 => load(subject, random).map(|()| "load"),
        4 => read(subject, random).map(|()| "read"),
        _ => subject
            .activate(*random.of(&RATES_HZ), *random.of(&LONGEST_BLOCKS))
            .map(|()| "activate"),
    }
}

fn act_while_active(subject: &mut Subject, random: &mut Random, most_samples: usize) -> Result<&'static str> {
    match random.below(20) {
        0 => subject.insert.forget(random.once_in(2)).map(|()| "forget"),
        1 => set(subject, random).map(|()| "set"),
        2 => save(subject, random).map(|()| "save"),
        3 => load(subject, random).map(|()| "load"),
        4 => read(subject, random).map(|()| "read"),
        5 => {
            subject.deactivate();
            Ok("deactivate")
        }
        6 => {
            if subject.insert.wants_restart() {
                subject.deactivate();
                subject.activate(*random.of(&RATES_HZ), *random.of(&LONGEST_BLOCKS))?;
            }
            Ok("restart")
        }
        7 => play_and_save(subject, random, most_samples).map(|()| "play and save"),
        _ => play(subject, random, most_samples).map(|()| "play"),
    }
}

/// While sound runs a VST3 host sends values with it, too.
fn set(subject: &mut Subject, random: &mut Random) -> Result<()> {
    let InsertParameter { number, highest, .. } = *random.of(&subject.parameters);
    subject.insert.set(number, random.share() * highest)
}

/// A state is what it says: it loads, and saves as the same bytes.
fn save(subject: &mut Subject, random: &mut Random) -> Result<()> {
    let state = subject.insert.save_state()?;
    ensure!(subject.insert.save_state()? == state, "two saves differ");
    ensure!(
        !String::from_utf8_lossy(&state).contains("null"),
        "a saved value is no number",
    );
    if subject.states.len() == MOST_STATES {
        subject.states.swap_remove(random.below(MOST_STATES));
    }
    subject.states.push(state);
    Ok(())
}

fn load(subject: &mut Subject, random: &mut Random) -> Result<()> {
    if subject.states.is_empty() {
        return Ok(());
    }
    let state = random.of(&subject.states).clone();
    if random.once_in(3) {
        let before = subject.insert.save_state()?;
        let broken = broken(state, random);
        if !subject.insert.load_state(&broken) {
            ensure!(
                subject.insert.save_state()? == before,
                "a refused state changed something",
            );
        }
        return Ok(());
    }
    ensure!(subject.insert.load_state(&state), "its own state refused");
    let saved = subject.insert.save_state()?;
    if saved != state && !subject.is_modulated {
        let [saved, state] = [saved, state].map(|bytes| String::from_utf8_lossy(&bytes).into_owned());
        bail!("a loaded state saves otherwise: {state} as {saved}");
    }
    Ok(())
}

fn broken(mut state: Vec<u8>, random: &mut Random) -> Vec<u8> {
    match random.below(4) {
        0 => state.truncate(random.below(state.len())),
        1 => {
            let at = random.below(state.len());
            state[at] ^= 1 << random.below(8);
        }
        2 => state = (0..random.below(4096)).map(|_| random.next_u64() as u8).collect(),
        _ => {
            let (from, to) = (random.below(state.len()), random.below(state.len()));
            state.copy_within(from.min(to)..from.max(to), 0);
        }
    }
    state
}

/// Every question that a host may ask at any time.
fn read(subject: &mut Subject, random: &mut Random) -> Result<()> {
    let InsertParameter { number, highest, .. } = *random.of(&subject.parameters);
    let value = random.share() * highest;
    let text = subject.insert.text_of(number, value)?;
    subject.insert.value_of(number, &text)?;
    if let Insert::Vst3(insert) = &subject.insert {
        ensure!(insert.tail_samples() < 100_000, "a tail of seconds");
    }
    ensure!(subject.insert.value(number)?.is_finite(), "a value is no number");
    ensure!(
        subject.insert.latency_samples()? < 100_000,
        "a latency of seconds",
    );
    Ok(())
}

fn play(subject: &mut Subject, random: &mut Random, most_samples: usize) -> Result<()> {
    let mut played: Vec<_> = (0..1 + random.below(6))
        .map(|_| blocks::next(subject, random, most_samples))
        .collect();
    let before = played.clone();
    let statuses = subject.insert.process_all(&mut played)?;
    for ((block, before), status) in played.iter().zip(&before).zip(statuses) {
        subject.since_unbounded_samples = if blocks::is_unbounded(before) {
            0
        } else {
            subject.since_unbounded_samples.saturating_add(before.samples)
        };
        let is_bounded = subject.since_unbounded_samples > DECAY_SAMPLES;
        ensure!(status != ProcessStatus::Refused, "a block was refused");
        ensure!(block.in_place || same_bits(before, block), "an input was changed");
        for sample in block.output().iter().flatten() {
            ensure!(sample.is_finite(), "no number came out");
            ensure!(*sample != UNWRITTEN, "a sample was left out");
            // 16 with a gain of 12 dB went in; 84 dB is all that the settings can add.
            let is_too_loud = sample.abs() > 64.0 * 15_850.0 * 2.0;
            ensure!(!(is_bounded && is_too_loud), "too loud");
        }
    }
    Ok(())
}

fn same_bits(one: &HostBlock, other: &HostBlock) -> bool {
    let bits = |block: &HostBlock| -> Vec<u32> {
        block.inputs[0]
            .sound()
            .iter()
            .flatten()
            .map(|sample| sample.to_bits())
            .collect()
    };
    bits(one) == bits(other)
}

/// The main thread saves while the audio thread processes.
fn play_and_save(subject: &mut Subject, random: &mut Random, most_samples: usize) -> Result<()> {
    let mut blocks: Vec<_> = (0..4)
        .map(|_| blocks::next(subject, random, most_samples))
        .collect();
    subject.since_unbounded_samples = 0;
    let mut saved = true;
    let statuses = match &mut subject.insert {
        Insert::Clap(plugin) => {
            plugin.process_while(&mut blocks, |plugin| saved &= plugin.save_state().is_ok())?
        }
        Insert::Vst3(insert) => {
            insert.process_while(&mut blocks, |insert| saved &= insert.save_state().is_some())
        }
    };
    ensure!(saved, "state not saved while sound runs");
    ensure!(!statuses.contains(&ProcessStatus::Refused), "a block was refused");
    Ok(())
}

//! What a host does next, within the rules of the formats, and what must hold after it.

use super::blocks;
use super::dice::Dice;
use super::world::{Format, Known, Subject, expect, told};
use crate::hosts::clap::{Answer, ClapId, UNTOUCHED};

/// Rates that songs have, and some that they hardly have.
const RATES_HZ: [f64; 8] = [
    44_100.0, 48_000.0, 48_000.0, 88_200.0, 96_000.0, 44_056.0, 44_123.45, 192_000.0,
];
const LONGEST_BLOCKS: [usize; 8] = [1, 16, 64, 128, 512, 480, 1024, 8192];
/// Until a filter has let go of the largest number that there is: 640 dB of a low cut at 40 Hz and 192 kHz, in closed form.
const RUNG_OFF_SAMPLES: usize = 100_000;
/// States that an insert's host remembers.
const MOST_STATES: usize = 4;

/// One act on one insert; tells what it was.
///
/// # Errors
///
/// What does not hold.
pub fn act(subject: &mut Subject, dice: &mut Dice) -> Result<&'static str, String> {
    match subject.most_samples {
        None => act_at_rest(subject, dice),
        Some(most_samples) => act_in_sound(subject, dice, most_samples),
    }
}

fn act_at_rest(subject: &mut Subject, dice: &mut Dice) -> Result<&'static str, String> {
    match dice.below(7) {
        0 => subject.arrange(1 + dice.below(2)).map(|()| "arrange"),
        1 => set(subject, dice).map(|()| "set"),
        2 => save(subject, dice).map(|()| "save"),
        3 => load(subject, dice).map(|()| "load"),
        4 => read(subject, dice).map(|()| "read"),
        _ => subject
            .activate(*dice.of(&RATES_HZ), *dice.of(&LONGEST_BLOCKS))
            .map(|()| "activate"),
    }
}

fn act_in_sound(subject: &mut Subject, dice: &mut Dice, most_samples: usize) -> Result<&'static str, String> {
    match dice.below(20) {
        0 => subject.format.forget(dice.once_in(2)).map(|()| "forget"),
        1 => set(subject, dice).map(|()| "set"),
        2 => save(subject, dice).map(|()| "save"),
        3 => load(subject, dice).map(|()| "load"),
        4 => read(subject, dice).map(|()| "read"),
        5 => {
            subject.deactivate();
            Ok("deactivate")
        }
        6 => restart_if_asked(subject, dice).map(|()| "restart"),
        7 => play_meanwhile(subject, dice, most_samples).map(|()| "play and save"),
        _ => play(subject, dice, most_samples).map(|()| "play"),
    }
}

fn set(subject: &mut Subject, dice: &mut Dice) -> Result<(), String> {
    let Known { number, highest, .. } = *dice.of(&subject.parameters);
    let share = dice.share();
    match &mut subject.format {
        Format::Clap(session) => session.flush(ClapId::new(number), share * highest).map_err(told),
        // While sound runs a VST3 host sends values with it.
        Format::Vst3(insert) => expect(insert.set(number, share), "value refused"),
    }
}

/// A state is what it says: it loads, and saves as the same bytes.
fn save(subject: &mut Subject, dice: &mut Dice) -> Result<(), String> {
    let state = subject.format.save_state()?;
    expect(subject.format.save_state()? == state, "two saves differ")?;
    expect(
        !String::from_utf8_lossy(&state).contains("null"),
        "a saved value is no number",
    )?;
    if subject.states.len() == MOST_STATES {
        subject.states.swap_remove(dice.below(MOST_STATES));
    }
    subject.states.push(state);
    Ok(())
}

fn load(subject: &mut Subject, dice: &mut Dice) -> Result<(), String> {
    if subject.states.is_empty() {
        return Ok(());
    }
    let state = dice.of(&subject.states).clone();
    if dice.once_in(3) {
        let before = subject.format.save_state()?;
        let broken = broken(state, dice);
        if !subject.format.load_state(&broken) {
            expect(
                subject.format.save_state()? == before,
                "a refused state changed something",
            )?;
        }
        return Ok(());
    }
    expect(subject.format.load_state(&state), "its own state refused")?;
    let saved = subject.format.save_state()?;
    if saved != state && !subject.is_modulated {
        let [saved, state] = [saved, state].map(|bytes| String::from_utf8_lossy(&bytes).into_owned());
        return Err(format!("a loaded state saves otherwise: {state} as {saved}"));
    }
    Ok(())
}

fn broken(mut state: Vec<u8>, dice: &mut Dice) -> Vec<u8> {
    match dice.below(4) {
        0 => state.truncate(dice.below(state.len())),
        1 => {
            let at = dice.below(state.len());
            state[at] ^= 1 << dice.below(8);
        }
        2 => state = (0..dice.below(4096)).map(|_| dice.throw() as u8).collect(),
        _ => {
            let (from, to) = (dice.below(state.len()), dice.below(state.len()));
            state.copy_within(from.min(to)..from.max(to), 0);
        }
    }
    state
}

/// Every question that a host may ask at any time.
fn read(subject: &mut Subject, dice: &mut Dice) -> Result<(), String> {
    let Known { number, highest, .. } = *dice.of(&subject.parameters);
    let value = dice.share() * highest;
    match &mut subject.format {
        Format::Clap(session) => {
            let found = session
                .parameters()
                .iter()
                .find(|parameter| parameter.clap_id.get() == number);
            let id = found.ok_or("a parameter is gone")?.id.clone();
            let text = session.text_of(&id, value).map_err(told)?;
            session.value_of(&id, &text).map_err(told)?;
            expect(
                session.value(&id).map_err(told)?.is_finite(),
                "a value is no number",
            )?;
            session.latency_samples().map_err(told)?;
        }
        Format::Vst3(insert) => {
            let text = insert.text_of(number, value).ok_or("no text")?;
            insert.value_of(number, &text).ok_or("its own text is not read")?;
            expect(insert.value(number).is_finite(), "a value is no number")?;
            expect(
                insert.latency_samples().max(insert.tail_samples()) < 100_000,
                "a latency of seconds",
            )?;
        }
    }
    Ok(())
}

fn restart_if_asked(subject: &mut Subject, dice: &mut Dice) -> Result<(), String> {
    let is_asked = match &mut subject.format {
        Format::Clap(session) => session.wants_restart(),
        Format::Vst3(insert) => insert.take_asked().latency_changed,
    };
    if is_asked {
        subject.deactivate();
        subject.activate(*dice.of(&RATES_HZ), *dice.of(&LONGEST_BLOCKS))?;
    }
    Ok(())
}

fn play(subject: &mut Subject, dice: &mut Dice, most_samples: usize) -> Result<(), String> {
    let mut given: Vec<_> = (0..1 + dice.below(6))
        .map(|_| blocks::next(subject, dice, most_samples))
        .collect();
    let before = given.clone();
    let answers = subject.format.process_all(&mut given)?;
    for ((block, before), answer) in given.iter().zip(&before).zip(answers) {
        subject.since_beyond_samples = if blocks::is_beyond(before) {
            0
        } else {
            subject.since_beyond_samples.saturating_add(before.samples)
        };
        let is_bounded = subject.since_beyond_samples > RUNG_OFF_SAMPLES;
        expect(answer != Answer::Refused, "a block was refused")?;
        expect(block.in_place || same_bits(before, block), "an input was changed")?;
        for sample in block.output().iter().flatten() {
            expect(sample.is_finite(), "no number came out")?;
            expect(*sample != UNTOUCHED, "a sample was left out")?;
            // 16 with a gain of 12 dB went in; 84 dB is all that the settings can add.
            let is_too_loud = sample.abs() > 64.0 * 15_850.0 * 2.0;
            expect(!(is_bounded && is_too_loud), "too loud")?;
        }
    }
    Ok(())
}

fn same_bits(one: &crate::hosts::clap::Handed, other: &crate::hosts::clap::Handed) -> bool {
    let bits = |block: &crate::hosts::clap::Handed| -> Vec<u32> {
        block.inputs[0]
            .sound()
            .iter()
            .flatten()
            .map(|sample| sample.to_bits())
            .collect()
    };
    bits(one) == bits(other)
}

/// The main thread saves while the audio thread processes (CLAP; a VST3 host here has no second hand).
fn play_meanwhile(subject: &mut Subject, dice: &mut Dice, most_samples: usize) -> Result<(), String> {
    let mut given: Vec<_> = (0..4)
        .map(|_| blocks::next(subject, dice, most_samples))
        .collect();
    let Format::Clap(session) = &mut subject.format else {
        return play(subject, dice, most_samples);
    };
    let mut saved = true;
    subject.since_beyond_samples = 0;
    let answers = session
        .process_while(&mut given, |plugin| saved &= plugin.save_state().is_ok())
        .map_err(told)?;
    expect(saved, "state not saved while sound runs")?;
    expect(!answers.contains(&Answer::Refused), "a block was refused")
}

//! Siskin Follow: a double, a backing stack and a breath track keep their proportion to the lead.

use std::ops::Range;

use siskin_dsp::Settings;

use super::defaults::{RATE_HZ, from_hz};
use super::findings::Findings;
use super::play::{Play, Played};
use super::quantity::Quantity;
use super::tracks::{Track, breaths, double, stack};
use super::voice::Voice;
use crate::measurement::levels::{asked_reduction_db, band_lufs, read_sibilants};
use crate::measurement::voices::conditions::scaled;

/// By how much the track's own level is moved, dB.
const MOVES_DB: [f64; 2] = [-12.0, 12.0];
/// Under the lead, LU, as a double sits; and a range of which a double 12 dB up uses all but a third, dB: Range is the most
/// at any frequency, so that less than Range arrives in the band.
const PROPORTION_LU: f32 = -9.0;
const RANGE_DB: f32 = 24.0;
/// A mono sound in both channels of a track, as loud as before: ITU-R BS.1770-5 adds the channels' powers.
const HALF_POWER: f32 = std::f32::consts::FRAC_1_SQRT_2;
/// What one of two such channels lacks, dB.
const HALF_POWER_DB: f32 = 3.010_3;
/// How far the side-chain lies off, samples at 48 kHz: 10 and 50 ms.
const SHIFTS: [(isize, Quantity); 4] = [
    (-480, Quantity::Misaligned10Ms),
    (480, Quantity::Misaligned10Ms),
    (-2400, Quantity::Misaligned50Ms),
    (2400, Quantity::Misaligned50Ms),
];

/// A mono sound in both channels.
pub fn both_channels(sound: &[f32]) -> Vec<Vec<f32>> {
    vec![sound.iter().map(|sample| HALF_POWER * sample).collect(); 2]
}

/// Settings for a double or a stack.
pub fn sibilance_settings() -> Settings {
    let mut settings = Settings::default();
    settings.sibilance.proportion_lu = PROPORTION_LU;
    settings.sibilance.range_db = RANGE_DB;
    settings
}

fn follow(track: &[f32], lead: &[f32], settings: &Settings) -> Played {
    let (voice, mut reference) = (both_channels(track), both_channels(lead));
    reference
        .iter_mut()
        .for_each(|channel| channel.resize(track.len(), 0.0));
    Play {
        reference: &reference,
        reference_channels: 2,
        ..Play::new(RATE_HZ, &voice, settings)
    }
    .run()
}

/// Level of the lead's labelled vowels about each event, LUFS; those that begin before the lead was heard, or
/// without a vowel within 1 s, are left out.
fn against_lead(lead: &Voice, events: &[Range<usize>]) -> Vec<(Range<usize>, f32)> {
    let settled = lead.heard_after(0);
    let readings = read_sibilants(&lead.levelled, RATE_HZ, events, &lead.vowels(), from_hz());
    readings
        .into_iter()
        .filter(|reading| reading.span.start > settled && reading.voice_lufs.is_finite())
        .map(|reading| (reading.span, reading.voice_lufs))
        .collect()
}

/// How far each event of each channel comes out from what its level before and the lead's voice ask, LU.
///
/// `reads_from_hz` is the lower edge of the band that counts, `asked_db` what is to be taken at an excess over the lead's
/// voice, LU.
pub fn errors_lu(
    lead: &Voice,
    (before, after): (&[f32], &[Vec<f32>]),
    events: &[Range<usize>],
    (reads_from_hz, asked_db): (f64, impl Fn(f32) -> f32),
) -> Vec<f32> {
    let (spans, voice_lufs): (Vec<_>, Vec<_>) = against_lead(lead, events).into_iter().unzip();
    let level = |audio: &[f32]| band_lufs(audio, RATE_HZ, &spans, reads_from_hz);
    let asked = level(before)
        .into_iter()
        .zip(voice_lufs)
        .map(|(before, voice)| before - asked_db(before - voice));
    let asked: Vec<f32> = asked.collect();
    let channels = after
        .iter()
        .flat_map(|channel| level(channel).into_iter().zip(&asked));
    channels
        .map(|(after, asked)| after + HALF_POWER_DB - asked)
        .collect()
}

/// What a double or a stack is asked to lose at an excess over the lead's voice, LU.
pub fn sibilant_asked_db(over_voice_lu: f32) -> f32 {
    let ratio = Settings::default().sibilance.ratio;
    asked_reduction_db(over_voice_lu - PROPORTION_LU, ratio, RANGE_DB)
}

/// Double and stack at two levels of their own, with the lead's levelled voice on the side-chain.
pub fn sibilants(lead: &Voice) -> Findings {
    let mut findings = Findings::default();
    for (quantity, track) in [
        (Quantity::DoubleError, double(lead)),
        (Quantity::StackError, stack(lead)),
    ] {
        for move_db in MOVES_DB {
            let before = scaled(&track.audio, move_db);
            let after = follow(&before, &lead.levelled, &sibilance_settings()).audio;
            let rule = (from_hz(), sibilant_asked_db);
            findings.note(
                quantity,
                &lead.line,
                errors_lu(lead, (&before, &after), &track.events, rule),
            );
        }
    }
    findings
}

/// A breath track at two levels of its own.
pub fn breath_track(lead: &Voice) -> Findings {
    let mut findings = Findings::default();
    let Track { audio, events } = breaths(lead);
    if events.is_empty() {
        return findings;
    }
    let mut settings = Settings::default();
    settings.sibilance.on = false;
    settings.breath.on = true;
    settings.breath.range_db = RANGE_DB;
    let asked_db = |over_voice_lu: f32| {
        (over_voice_lu - settings.breath.proportion_lu).clamp(0.0, settings.breath.range_db)
    };
    for move_db in MOVES_DB {
        let before = scaled(&audio, move_db);
        let after = follow(&before, &lead.levelled, &settings).audio;
        let errors = errors_lu(lead, (&before, &after), &events, (0.0, asked_db));
        findings.note(Quantity::BreathError, &lead.line, errors);
    }
    findings
}

/// A side-chain that is early or late: how far each sibilant of the double comes out from where it did in step. Of the
/// singers alone, whose doubles are other singers: it is printed and not judged.
pub fn misaligned(lead: &Voice) -> Findings {
    let mut findings = Findings::default();
    if lead.seed.is_none() {
        return findings;
    }
    let Track { audio, events } = double(lead);
    let settled = lead.heard_after(0);
    let events: Vec<_> = events.into_iter().filter(|span| span.start > settled).collect();
    let levels = |reference: &[f32]| {
        let after = follow(&audio, reference, &sibilance_settings()).audio;
        band_lufs(&after[0], RATE_HZ, &events, from_hz())
    };
    let in_step = levels(&lead.levelled);
    for (shift, quantity) in SHIFTS {
        let off = levels(&shifted(&lead.levelled, shift));
        let changes = off.iter().zip(&in_step).map(|(off, in_step)| off - in_step);
        findings.note(quantity, &lead.line, changes.filter(|change| change.is_finite()));
    }
    findings
}

/// A sound later by `shift` samples, or earlier where that is negative; silence fills the gap.
fn shifted(sound: &[f32], shift: isize) -> Vec<f32> {
    let late = std::iter::repeat_n(0.0, shift.max(0) as usize);
    let early = (-shift).max(0) as usize;
    let mut shifted: Vec<f32> = late
        .chain(sound.iter().skip(early).copied())
        .take(sound.len())
        .collect();
    shifted.resize(sound.len(), 0.0);
    shifted
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sound_is_moved_either_way() {
        assert_eq!(shifted(&[1.0, 2.0, 3.0], 1), [0.0, 1.0, 2.0]);
        assert_eq!(shifted(&[1.0, 2.0, 3.0], -2), [3.0, 0.0, 0.0]);
    }
}

//! In time: the reduction is in place when the sibilant comes, and gone when it has passed.

use std::ops::Range;

use siskin_dsp::{Lookahead, Settings};

use super::defaults::{RATE_HZ, from_hz};
use super::findings::Findings;
use super::play::{Layout, Play};
use super::quantity::Quantity;
use super::voice::Voice;
use crate::measurement::levels::{Energies, above, k_weighted};
use crate::measurement::voices::corpus::{Phone, Sound};

/// A sibilant that is shorter once its rise is cut out has no steady middle, s.
const SHORTEST_S: f64 = 0.06;
/// The level of a sibilant has risen where 2 ms of it hold this share of its mean power: all but 1 dB.
const RISEN_S: f64 = 0.002;
const RISEN_POWER: f64 = 0.8;
/// So far under the voice that every sibilant has much to lose, LU: of a reduction of 3 dB a tenth is less than what a
/// millisecond of noise says about its level.
const PROPORTION_LU: f32 = -12.0;
/// Smaller reductions are not worth being in time for, dB.
const SMALLEST_DB: f32 = 3.0;

/// Shares reached 1 ms after the onset, and what is left 20 ms after the end.
///
/// A sibilant that fades in asks for its reduction bit by bit: whether that comes in time shows only where the sibilant
/// does all at once. So its rise is cut out of the sound. Reach is 100 %: then the gain can be read from the sound
/// itself, as out over in, millisecond by millisecond. Exact labels only; s, sh and ch only.
pub fn onset(voice: &Voice) -> Findings {
    in_time(
        voice,
        Lookahead::Long,
        [Quantity::OnsetStanding, Quantity::OnsetLeft],
    )
}

/// The same with 300 ms of lookahead.
pub fn mixing(voice: &Voice) -> Findings {
    let quantities = [Quantity::MixingOnsetStanding, Quantity::MixingOnsetLeft];
    in_time(voice, Lookahead::Mixing, quantities)
}

fn in_time(voice: &Voice, lookahead: Lookahead, [of_onset, of_end]: [Quantity; 2]) -> Findings {
    let mut findings = Findings::default();
    if !voice.is_exact() {
        return findings;
    }
    let mut settings = Settings::default();
    settings.sibilance.reach = 1.0;
    settings.sibilance.proportion_lu = PROPORTION_LU;
    let abrupt = Abrupt::of(voice);
    let given = Layout::Scaled.lay(&abrupt.audio);
    let play = Play {
        lookahead,
        ..Play::new(RATE_HZ, &given, &settings)
    };
    let played = play.run();
    for (before, after) in given.iter().zip(&played.audio) {
        let gains = Gains {
            before: Energies::new(before),
            after: Energies::new(after),
        };
        for event in &abrupt.events {
            let standing = standing_percent(&gains, &event.span);
            findings.note(of_onset, &voice.line, standing);
            if event.is_followed_by_voice {
                let left_db = -gains.db(&ms(event.span.end, 20.0, 30.0));
                findings.note_one(of_end, &voice.line, left_db);
            }
        }
    }
    findings
}

/// A voice whose sibilants come all at once.
struct Abrupt {
    audio: Vec<f32>,
    events: Vec<Event>,
}

struct Event {
    span: Range<usize>,
    /// Whether the next 40 ms hold no sibilant, and no stop whose burst may be taken for one.
    is_followed_by_voice: bool,
}

impl Abrupt {
    fn of(voice: &Voice) -> Self {
        let band = Energies::new(&above(&k_weighted(&voice.levelled, RATE_HZ), RATE_HZ, from_hz()));
        let settled = voice.heard_after(0);
        let mut abrupt = Self {
            audio: Vec::new(),
            events: Vec::new(),
        };
        let mut copied = 0;
        for (index, phone) in voice.raw.phones.iter().enumerate() {
            let shortest = (SHORTEST_S * RATE_HZ) as usize;
            let is_meant = phone.sound == Sound::Sibilant && phone.span.start > settled;
            let risen = risen(&band, &phone.span).filter(|risen| risen + shortest <= phone.span.end);
            let Some(risen) = risen.filter(|_| is_meant) else {
                continue;
            };
            abrupt.audio.extend(&voice.levelled[copied..phone.span.start]);
            let start = abrupt.audio.len();
            abrupt.audio.extend(&voice.levelled[risen..phone.span.end]);
            copied = phone.span.end;
            abrupt.events.push(Event {
                span: start..abrupt.audio.len(),
                is_followed_by_voice: is_followed_by_voice(&voice.raw.phones[index + 1..], copied),
            });
        }
        abrupt.audio.extend(&voice.levelled[copied..]);
        abrupt
    }
}

/// The sample at which a sibilant has come to its level.
fn risen(band: &Energies, label: &Range<usize>) -> Option<usize> {
    let enough = RISEN_POWER * band.power(label);
    let length = (RISEN_S * RATE_HZ) as usize;
    label
        .clone()
        .find(|sample| band.power(&(*sample..sample + length)) >= enough)
}

/// The gain of any stretch.
struct Gains {
    before: Energies,
    after: Energies,
}

impl Gains {
    fn db(&self, span: &Range<usize>) -> f32 {
        (10.0 * (self.after.energy(span) / self.before.energy(span)).log10()) as f32
    }
}

/// The samples from and to so many ms after a sample.
fn ms(sample: usize, from_ms: f64, to_ms: f64) -> Range<usize> {
    let after = |ms: f64| sample + (1e-3 * ms * RATE_HZ) as usize;
    after(from_ms)..after(to_ms)
}

/// The reduction from 1 to 2 ms after the onset, percent of the mean from 20 ms after the onset to 10 ms before the end.
fn standing_percent(gains: &Gains, span: &Range<usize>) -> Option<f32> {
    let middle = ms(span.start, 20.0, 20.0).start..span.end - (0.01 * RATE_HZ) as usize;
    let standing_db = gains.db(&middle);
    (standing_db <= -SMALLEST_DB).then(|| 100.0 * gains.db(&ms(span.start, 1.0, 2.0)) / standing_db)
}

/// Whether the next 40 ms hold no sibilant, and no stop whose burst may be taken for one.
fn is_followed_by_voice(next: &[Phone], end: usize) -> bool {
    let near = next
        .iter()
        .take_while(|phone| phone.span.start < end + (0.04 * RATE_HZ) as usize);
    let mut near = near.peekable();
    near.peek().is_some() && near.all(|phone| phone.sound.is_voice())
}

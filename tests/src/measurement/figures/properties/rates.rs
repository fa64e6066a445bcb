//! The same sound at other sample rates.

use siskin_dsp::{Lookahead, Settings};

use super::defaults::{RATE_HZ, from_hz};
use super::findings::Findings;
use super::play::{Layout, Play};
use super::quantity::Quantity;
use super::voice::Voice;
use crate::measurement::levels::band_lufs;
use crate::measurement::voices::corpus::resample::resampled;

/// The rates that are held against 48 kHz, Hz. The first is the narrowest: all others are made from it, so that none
/// contains what another lacks.
const RATES_HZ: [f64; 4] = [44_100.0, 88_200.0, 96_000.0, 192_000.0];
/// How much of a voice is played at each rate, s: each costs as much as its rate says.
const LONGEST_S: f64 = 30.0;

/// Measured reductions of sibilants at each rate less those at 48 kHz, dB.
pub fn rates(voice: &Voice) -> Findings {
    at_rates(voice, Lookahead::Long, Quantity::RateDifference)
}

/// The same with 300 ms of lookahead.
pub fn mixing(voice: &Voice) -> Findings {
    at_rates(voice, Lookahead::Mixing, Quantity::MixingRateDifference)
}

fn at_rates(voice: &Voice, lookahead: Lookahead, quantity: Quantity) -> Findings {
    // A song's loud end is heard as well as its soft beginning.
    let longest = (LONGEST_S * RATE_HZ) as usize;
    let middle = voice.levelled.len() / 2;
    let stretch = middle.saturating_sub(longest / 2)..voice.levelled.len().min(middle + longest / 2);
    let source = resampled(&voice.levelled[stretch.clone()], RATE_HZ, RATES_HZ[0]);
    let settled = voice.heard_after(stretch.start);
    let mut sibilants = voice.sibilants_after(settled);
    sibilants.retain(|span| span.end <= stretch.end);

    let reductions_db = |rate_hz: f64| -> Vec<f32> {
        let given = Layout::Mono.lay(&resampled(&source, RATES_HZ[0], rate_hz));
        let settings = Settings::default();
        let play = Play {
            lookahead,
            ..Play::new(rate_hz, &given, &settings)
        };
        let after = play.run().audio;
        let at_rate = |sample: usize| ((sample - stretch.start) as f64 * rate_hz / RATE_HZ).round() as usize;
        let spans: Vec<_> = sibilants
            .iter()
            .map(|span| at_rate(span.start)..at_rate(span.end))
            .collect();
        let levels = [&given[0], &after[0]].map(|audio| band_lufs(audio, rate_hz, &spans, from_hz()));
        levels[0]
            .iter()
            .zip(&levels[1])
            .map(|(before, after)| before - after)
            .collect()
    };
    let at_48_khz = reductions_db(RATE_HZ);
    let mut findings = Findings::default();
    for rate_hz in RATES_HZ {
        let differences = reductions_db(rate_hz);
        let differences = differences.iter().zip(&at_48_khz).map(|(one, other)| one - other);
        findings.note(quantity, &voice.line, differences.filter(|db| db.is_finite()));
    }
    findings
}

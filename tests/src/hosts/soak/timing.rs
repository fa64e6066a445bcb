//! How long blocks take on a bad day: hostile sound, automation of everything, states, in blocks of one size.

use std::time::Duration;

use super::dice::Dice;
use super::sounds::Sounds;
use crate::hosts::clap::{BlockTime, Bundle, Handed, HostError, Told};

/// How blocks come.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// The plug-in.
    pub name: &'static str,
    /// Sample rate in Hz.
    pub sample_rate_hz: f64,
    /// Samples of every block.
    pub block: usize,
    /// Seconds of sound.
    pub seconds: f64,
}

/// What blocks took.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Times {
    /// Blocks that were timed.
    pub blocks: usize,
    /// Half of them took no longer.
    pub median: Duration,
    /// All but one in a thousand took no longer.
    pub p999: Duration,
    /// All but one in ten thousand took no longer.
    pub p9999: Duration,
    /// None took longer.
    pub worst: Duration,
}

impl Times {
    fn of(mut times: Vec<Duration>) -> Self {
        times.sort_unstable();
        let at = |share: f64| times[((times.len() - 1) as f64 * share).round() as usize];
        Self {
            blocks: times.len(),
            median: at(0.5),
            p999: at(0.999),
            p9999: at(0.9999),
            worst: at(1.0),
        }
    }

    /// How much longer the worst but one in ten thousand is than the median.
    #[must_use]
    pub fn ratio(&self) -> f64 {
        self.p9999.as_secs_f64() / self.median.as_secs_f64()
    }
}

/// Plays `load` and times every block; `progress` hears of the seconds that are played. Returns the time on the clock and
/// that of the processor alone, which other programs do not lengthen.
///
/// # Errors
///
/// Where the plug-in does not play.
pub fn measure(bundle: &Bundle, load: &Load, mut progress: impl FnMut(f64)) -> Result<[Times; 2], HostError> {
    let mut dice = Dice::new(1);
    let mut session = bundle.plugin(load.name)?.session();
    let inputs = session.inputs()?;
    let parameters: Vec<_> = session
        .parameters()
        .iter()
        .filter(|parameter| parameter.is_automatable())
        .cloned()
        .collect();
    session.activate(load.sample_rate_hz, load.block)?;
    let mut sounds = Sounds::new(&mut dice);
    let mut times: Vec<BlockTime> = Vec::new();
    let mut played = 0.0;
    while played < load.seconds {
        let mut given: Vec<Handed> = (0..(4096 / load.block).max(1))
            .map(|_| {
                let mut block = Handed::new(&sounds.next(&mut dice, inputs[0].channels, load.block));
                for port in &inputs[1..] {
                    let sound = sounds.next(&mut dice, port.channels, load.block);
                    block.inputs.push(crate::hosts::clap::Bus::new(&sound));
                }
                let mut told: Vec<Told> = (0..dice.below(4))
                    .map(|_| {
                        let parameter = dice.of(&parameters).clone();
                        let sample = dice.below(load.block) as u32;
                        Told::value(sample, parameter.clap_id, dice.share() * parameter.highest)
                    })
                    .collect();
                told.sort_by_key(|told| told.sample);
                block.told = told;
                block
            })
            .collect();
        let timed = session.process_timed(&mut given)?;
        played += (timed.len() * load.block) as f64 / load.sample_rate_hz;
        times.extend(timed.into_iter().map(|(_, time)| time));
        progress(played);
    }
    Ok([
        Times::of(times.iter().map(|time| time.wall).collect()),
        Times::of(times.iter().map(|time| time.processor).collect()),
    ])
}

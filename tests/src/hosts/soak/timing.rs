//! How long blocks take under hostile sound, automation of everything, states, in blocks of one size.

use std::time::Duration;

use anyhow::Result;

use super::blocks::Sounds;
use super::random::Random;
use crate::hosts::clap::Bundle;
use crate::hosts::{BlockTime, Bus, HostBlock, ParamEvent};

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
    pub fn ratio(&self) -> f64 {
        self.p9999.as_secs_f64() / self.median.as_secs_f64()
    }
}

/// Plays `load` and times every block; `progress` gets the seconds that are played. Returns the time on the clock and
/// that of the processor alone, which other programs do not lengthen.
pub fn measure(bundle: &Bundle, load: &Load, mut progress: impl FnMut(f64)) -> Result<[Times; 2]> {
    let mut random = Random::new(1);
    let mut plugin = bundle.plugin(load.name)?;
    let inputs = plugin.inputs()?;
    let parameters: Vec<_> = plugin
        .parameters()
        .iter()
        .filter(|parameter| parameter.is_automatable())
        .cloned()
        .collect();
    plugin.activate(load.sample_rate_hz, load.block)?;
    let mut sounds = Sounds::new(&mut random);
    let mut times: Vec<BlockTime> = Vec::new();
    let mut played = 0.0;
    while played < load.seconds {
        let mut given: Vec<HostBlock> = (0..(4096 / load.block).max(1))
            .map(|_| {
                let mut block = HostBlock::new(&sounds.next(&mut random, inputs[0].channels, load.block));
                for port in &inputs[1..] {
                    let sound = sounds.next(&mut random, port.channels, load.block);
                    block.inputs.push(Bus::new(&sound));
                }
                let mut events: Vec<ParamEvent> = (0..random.below(4))
                    .map(|_| {
                        let parameter = random.of(&parameters).clone();
                        let sample = random.below(load.block) as u32;
                        ParamEvent::value(sample, parameter.clap_id, random.share() * parameter.highest)
                    })
                    .collect();
                events.sort_by_key(|event| event.sample);
                block.events = events;
                block
            })
            .collect();
        let timed = plugin.process_timed(&mut given)?;
        played += (timed.len() * load.block) as f64 / load.sample_rate_hz;
        times.extend(timed.into_iter().map(|(_, time)| time));
        progress(played);
    }
    Ok([
        Times::of(times.iter().map(|time| time.wall).collect()),
        Times::of(times.iter().map(|time| time.processor).collect()),
    ])
}

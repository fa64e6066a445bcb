//! How flat the load is: the longest block against the usual one.

use std::time::{Duration, Instant};

use super::clock::instant_overhead;
use super::engine::{EngineLoad, Player, Setting};
use super::sounds::Sounds;

/// Samples of a block: few, so that what is done once a hop cannot hide.
const BLOCK: usize = 32;
/// Times that the same sound is played: what interrupts a block interrupts another one the next time.
const RUNS: usize = 60;

/// What blocks of 32 samples take when nothing interrupts them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WorstBlock {
    /// Blocks that were looked at.
    pub blocks: usize,
    /// Half of them take no longer, ns.
    pub median_ns: f64,
    /// All but one in a hundred take no longer, ns.
    pub p99_ns: f64,
    /// None takes longer, ns.
    pub worst_ns: f64,
    /// When the worst one begins, s.
    pub worst_at_s: f64,
}

impl WorstBlock {
    /// The worst over the median.
    pub fn ratio(&self) -> f64 {
        self.worst_ns / self.median_ns
    }
}

/// Times every block of verse, middle and chorus, sibilants and breaths among them. An engine after a reset does the same
/// work bit for bit, so the least of several runs is what a block takes; the clock's own time is taken off.
/// `progress` is called for each run.
pub fn worst_block(sounds: &Sounds, channels: usize, mut progress: impl FnMut()) -> WorstBlock {
    let load = EngineLoad {
        sample_rate_hz: sounds.sample_rate_hz,
        block: BLOCK,
        ..EngineLoad::new(channels, Setting::AllOn)
    };
    let mut player = Player::new(&load, &sounds.song);
    let mut least = vec![Duration::MAX; player.blocks()];
    let overhead = instant_overhead();
    for _ in 0..RUNS {
        player.engine.reset();
        for (block, least) in least.iter_mut().enumerate() {
            let began = Instant::now();
            player.play(block);
            *least = began.elapsed().saturating_sub(overhead).min(*least);
        }
        progress();
    }
    let ns = |time: Duration| time.as_secs_f64() * 1e9;
    let worst = (0..least.len()).max_by_key(|&block| least[block]).unwrap_or(0);
    let mut sorted = least;
    sorted.sort_unstable();
    let at = |share: f64| ns(sorted[((sorted.len() - 1) as f64 * share) as usize]);
    WorstBlock {
        blocks: sorted.len(),
        median_ns: at(0.5),
        p99_ns: at(0.99),
        worst_ns: at(1.0),
        worst_at_s: (worst * BLOCK) as f64 / sounds.sample_rate_hz,
    }
}

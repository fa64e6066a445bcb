//! One pass of the engine that a tool may count the instructions of, alike in every run.

use std::hint::black_box;
use std::sync::Arc;

use siskin_dsp::{Channels, Lookahead};

use super::engine::{EngineLoad, Player, Setting};
use super::sounds::Stereo;

/// Frames of a counted pass: 2 s at 48 kHz, a whole number of blocks of 512 and of 32.
pub const FRAMES: usize = 187 * 512;
/// The function in which callgrind collects.
pub const COUNTED_FUNCTION: &str = "*siskin_counted_pass*";

/// What is counted, at 48 kHz.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Counted {
    /// 1 or 2.
    pub channels: usize,
    /// Whether they are heard as one.
    pub link: Channels,
    /// How the engine is set.
    pub setting: Setting,
    /// Samples of every block.
    pub block: usize,
    /// How far it listens ahead.
    pub lookahead: Lookahead,
}

/// Plays the first [`FRAMES`] of `sound` once without being counted, then once within [`COUNTED_FUNCTION`].
pub fn count(counted: Counted, sound: Stereo) {
    let load = EngineLoad {
        block: counted.block,
        link: counted.link,
        lookahead: counted.lookahead,
        ..EngineLoad::new(counted.channels, counted.setting)
    };
    let mut player = Player::new(&load, &Arc::new(sound));
    (0..player.blocks()).for_each(|block| player.play(block));
    player.engine.reset();
    siskin_counted_pass(&mut player);
}

#[inline(never)]
fn siskin_counted_pass(player: &mut Player) {
    for block in 0..FRAMES / player.block() {
        player.play(block);
    }
    black_box(player);
}

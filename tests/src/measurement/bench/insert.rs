//! The built CLAP bundle in the host, in process: parameters with their smoothing, telemetry and all.

use std::time::Duration;

use anyhow::Result;

use super::clock::processor_overhead;
use super::contest::{Entry, piece_blocks};
use super::engine::Setting;
use super::sounds::Sounds;
use crate::hosts::built::{SISKIN, SISKIN_FOLLOW};
use crate::hosts::clap::{Bundle, Plugin};
use crate::hosts::fixtures::with_lead;
use crate::hosts::{HostBlock, ParamEvent, blocks};
use crate::measurement::null::ALL_ON;

/// One way to drive an insert, in blocks of 512 at 48 kHz, with the song.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct InsertLoad {
    /// 1 or 2; Siskin Follow takes 2.
    pub channels: usize,
    /// How it is set.
    pub setting: Setting,
    /// Whether four parameters move in each block.
    pub automated: bool,
    /// Whether it is Siskin Follow, with the other singer on its side-chain.
    pub follow: bool,
}

/// Samples of a block.
const BLOCK: usize = 512;
/// What moves: gains and corners that glide, and what the shelf is made of.
const MOVING: [&str; 4] = ["sib_prop", "out_gain", "sib_from", "sib_reach"];

impl InsertLoad {
    /// Without automation, Siskin.
    pub fn new(channels: usize, setting: Setting) -> Self {
        Self {
            channels,
            setting,
            automated: false,
            follow: false,
        }
    }

    fn plug_in(&self) -> &'static str {
        if self.follow { SISKIN_FOLLOW } else { SISKIN }
    }

    /// For a person, and unique.
    pub fn name(&self) -> String {
        let plug_in = self.plug_in();
        let channels = if self.channels == 1 { "mono" } else { "stereo" };
        let automated = if self.automated {
            ", four parameters automated"
        } else {
            ""
        };
        format!(
            "CLAP {plug_in}, {channels}, 48 kHz, block {BLOCK}, {}, song{automated}",
            self.setting.name()
        )
    }

    /// An active insert.
    pub fn insert(&self, bundle: &Bundle) -> Result<Plugin> {
        let mut plugin = bundle.plugin(self.plug_in())?;
        plugin.select_channels(self.channels)?;
        if self.setting == Setting::AllOn {
            for (id, value) in ALL_ON {
                plugin.set(id, value)?;
            }
        }
        plugin.activate(48_000.0, BLOCK)?;
        Ok(plugin)
    }

    /// It against the clock: the time inside `process`. `sounds` are those of 48 kHz.
    pub fn entry<'a>(&self, bundle: &Bundle, sounds: &Sounds) -> Result<Entry<'a>> {
        let mut plugin = self.insert(bundle)?;
        let mut played = self.blocks(&plugin, sounds);
        let overhead = processor_overhead();
        Ok(Entry {
            name: self.name(),
            frames: played.iter().map(|block| block.samples).sum(),
            sample_rate_hz: sounds.sample_rate_hz,
            run: Box::new(move || {
                plugin.reset()?;
                let timed = plugin.process_timed(&mut played)?;
                let inside: Vec<Duration> = timed
                    .iter()
                    .map(|(_, time)| time.processor.saturating_sub(overhead))
                    .collect();
                let pieces = inside.chunks(piece_blocks(48_000.0, BLOCK));
                Ok(pieces.map(|piece| piece.iter().sum()).collect())
            }),
        })
    }

    fn blocks(&self, plugin: &Plugin, sounds: &Sounds) -> Vec<HostBlock> {
        let [one, other] = &*sounds.song;
        let given = blocks(&sounds.song[..self.channels], &[BLOCK]);
        let mut given = with_lead(self.plug_in(), given, &[other.clone(), one.clone()]);
        if self.automated {
            let parameters = plugin.parameters();
            let moving = MOVING.map(|id| parameters.iter().find(|parameter| parameter.id == id));
            for (index, block) in given.iter_mut().enumerate() {
                let events = moving.iter().flatten().enumerate().map(|(turn, parameter)| {
                    let share = ((index * 7 + turn * 3) % 11) as f64 / 10.0;
                    ParamEvent::value((turn * 100) as u32, parameter.clap_id, share * parameter.highest)
                });
                block.events = events.collect();
            }
        }
        given
    }
}

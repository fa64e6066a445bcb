//! The engine alone, as a plug-in drives it.

use std::hint::black_box;
use std::sync::Arc;

use siskin_dsp::{Channels, Engine, EngineConfig, Lookahead, Settings};

use super::clock::of_processor;
use super::contest::{Entry, piece_blocks};
use super::sounds::{Sounds, Stereo};

/// How the engine is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Setting {
    /// A new insert.
    AsNew,
    /// Leveller with auto makeup, sibilance, breath with a low cut, output gain.
    AllOn,
}

impl Setting {
    /// For a person.
    pub fn name(self) -> &'static str {
        match self {
            Self::AsNew => "as new",
            Self::AllOn => "all on",
        }
    }

    /// As the engine takes it.
    pub fn settings(self) -> Settings {
        match self {
            Self::AsNew => Settings::default(),
            Self::AllOn => Settings::all_on(),
        }
    }
}

/// One way to drive the engine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EngineLoad {
    /// Sample rate, Hz.
    pub sample_rate_hz: f64,
    /// 1 or 2.
    pub channels: usize,
    /// Whether they are heard as one.
    pub link: Channels,
    /// Samples of every block.
    pub block: usize,
    /// How it is set.
    pub setting: Setting,
    /// Whether it follows a reference voice, as many channels as the voice.
    pub reference: bool,
    /// How many engines take their blocks in turn; together they play what one would play alone.
    pub instances: usize,
    /// How often the song is played without a reset.
    pub times: usize,
    /// How far it listens ahead; no part of its name.
    pub lookahead: Lookahead,
}

impl EngineLoad {
    /// At 48 kHz in blocks of 512 with 5 ms of lookahead: one engine, the song, once.
    pub fn new(channels: usize, setting: Setting) -> Self {
        Self {
            sample_rate_hz: 48_000.0,
            channels,
            link: Channels::Linked,
            block: 512,
            setting,
            reference: false,
            instances: 1,
            times: 1,
            lookahead: Lookahead::Long,
        }
    }

    /// For a person, and unique among loads of one lookahead.
    pub fn name(&self) -> String {
        let channels = if self.channels == 1 { "mono" } else { "stereo" };
        let mut name = format!(
            "engine, {channels}, {} kHz, block {}, {}, song",
            self.sample_rate_hz / 1e3,
            self.block,
            self.setting.name()
        );
        if self.reference {
            name.push_str(", with a reference");
        }
        if self.instances > 1 {
            name.push_str(&format!(", {} in turn", self.instances));
        }
        if self.times > 1 {
            name.push_str(&format!(", {} times", self.times));
        }
        name
    }

    /// An engine that is ready for it.
    pub fn engine(&self) -> Engine {
        let config = EngineConfig {
            sample_rate_hz: self.sample_rate_hz,
            channels: self.channels,
            link: self.link,
            reference_channels: if self.reference { self.channels } else { 0 },
            lookahead: self.lookahead,
        };
        Engine::new(config, &self.setting.settings())
    }

    /// It against the clock. `sounds` are those of its sample rate.
    pub fn entry<'a>(&self, sounds: &Sounds) -> Entry<'a> {
        let sound = Arc::clone(&sounds.song);
        let load = *self;
        let mut players: Vec<Player> = (0..self.instances).map(|_| Player::new(&load, &sound)).collect();
        // Each engine is at another place of the sound.
        let apart = self.times * sound[0].len() / self.block / self.instances;
        let turns: Vec<usize> = (0..apart).collect();
        let in_piece = piece_blocks(self.sample_rate_hz, self.block).div_ceil(self.instances);
        Entry {
            name: self.name(),
            frames: apart * self.block * self.instances,
            sample_rate_hz: self.sample_rate_hz,
            run: Box::new(move || {
                players.iter_mut().for_each(|player| player.engine.reset());
                let pieces = turns.chunks(in_piece).map(|turns| {
                    of_processor(|| {
                        for turn in turns {
                            for (index, player) in players.iter_mut().enumerate() {
                                player.play(turn + index * apart);
                            }
                        }
                    })
                });
                Ok(pieces.collect())
            }),
        }
    }
}

/// An engine, its sound and its buffer.
pub(super) struct Player {
    pub engine: Engine,
    sound: Arc<Stereo>,
    channels: usize,
    block: usize,
    reference: bool,
    work: Stereo,
}

impl Player {
    pub fn new(load: &EngineLoad, sound: &Arc<Stereo>) -> Self {
        Self {
            engine: load.engine(),
            sound: Arc::clone(sound),
            channels: load.channels,
            block: load.block,
            reference: load.reference,
            work: [vec![0.0; load.block], vec![0.0; load.block]],
        }
    }

    /// Samples of a block.
    pub fn block(&self) -> usize {
        self.block
    }

    /// Whole blocks of the sound.
    pub fn blocks(&self) -> usize {
        self.sound[0].len() / self.block
    }

    /// Plays block `index`, from the beginning again after the last. The block is copied first, as a host does.
    pub fn play(&mut self, index: usize) {
        let start = index % self.blocks() * self.block;
        for (work, channel) in self.work.iter_mut().zip(self.sound.iter()).take(self.channels) {
            work.copy_from_slice(&channel[start..start + self.block]);
        }
        self.process(start);
        black_box(&self.work);
    }

    fn process(&mut self, start: usize) {
        let [left, right] = &mut self.work;
        let mut views = [left.as_mut_slice(), right.as_mut_slice()];
        // The reference is the other singer.
        let [one, other] = &*self.sound;
        let reference = [other, one].map(|channel| &channel[start..start + self.block]);
        let reference = if self.reference {
            &reference[..self.channels]
        } else {
            &[]
        };
        self.engine
            .process(&mut views[..self.channels], reference, &mut |report| {
                black_box(report);
            });
    }
}

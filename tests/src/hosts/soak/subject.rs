//! An insert of a random host, and what its host has to remember.

use anyhow::Result;

use super::blocks::Sounds;
use super::random::Random;
use crate::hosts::Insert;
use crate::hosts::InsertParameter;
use crate::hosts::built::{SISKIN, SISKIN_FOLLOW};
use crate::hosts::clap::Bundle;
use crate::hosts::vst3::Module;

/// The bundles under test.
pub struct Bundles {
    /// The CLAP side.
    pub clap: Bundle,
    /// The VST3 side.
    pub vst3: Module,
}

/// An insert and what its host remembers about it.
pub struct Subject {
    /// The insert.
    pub insert: Insert,
    /// The name of its plug-in.
    pub name: &'static str,
    /// Its parameters.
    pub parameters: Vec<InsertParameter>,
    /// Channels of its main ports.
    pub channels: usize,
    /// The longest block while it is active.
    pub most_samples: Option<usize>,
    /// What is sent through it.
    pub sounds: Sounds,
    /// States that it has saved.
    pub states: Vec<Vec<u8>>,
    /// Samples since one that was so large that what follows has no bound.
    pub since_unbounded_samples: usize,
    /// Whether anything was modulated: at an end of a range that hides new values from the saved state (a known flaw of
    /// the framework).
    pub is_modulated: bool,
}

impl Subject {
    /// A new insert.
    pub fn new(bundles: &Bundles, random: &mut Random) -> Result<Self> {
        let name = *random.of(&[SISKIN, SISKIN_FOLLOW]);
        let insert = if random.once_in(2) {
            Insert::Clap(bundles.clap.plugin(name)?)
        } else {
            Insert::Vst3(bundles.vst3.insert(name))
        };
        Ok(Self {
            parameters: insert.parameters(),
            insert,
            name,
            channels: 2,
            most_samples: None,
            sounds: Sounds::new(random),
            states: Vec::new(),
            since_unbounded_samples: usize::MAX,
            is_modulated: false,
        })
    }

    /// Chooses mono or stereo, which only Siskin offers, while it is not active.
    pub fn arrange(&mut self, channels: usize) -> Result<()> {
        if self.name == SISKIN {
            self.insert.arrange(channels)?;
            self.channels = channels;
        }
        Ok(())
    }

    /// Makes it ready for sound.
    pub fn activate(&mut self, sample_rate_hz: f64, most_samples: usize) -> Result<()> {
        self.insert.activate(sample_rate_hz, most_samples)?;
        self.most_samples = Some(most_samples);
        Ok(())
    }

    /// Ends sound.
    pub fn deactivate(&mut self) {
        self.insert.deactivate();
        self.most_samples = None;
    }
}

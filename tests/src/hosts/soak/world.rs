//! Inserts in either format, and the rules under which a host may call them.

use super::dice::Dice;
use super::sounds::Sounds;
use crate::hosts::built::{SISKIN, SISKIN_FOLLOW};
use crate::hosts::clap::{Answer, Bundle, Handed, HostError, Session};
use crate::hosts::vst3::{Module, Setup, Vst3Insert};

/// Speakers of one and of two channels, a bit each.
const SPEAKERS: [u64; 2] = [0x8_0000, 0b11];

/// The bundles under test.
pub struct World {
    /// The CLAP side.
    pub clap: Bundle,
    /// The VST3 side.
    pub vst3: Module,
}

/// A parameter as a host knows it.
#[derive(Debug, Clone)]
pub struct Known {
    /// Its number, the same in both formats.
    pub number: u32,
    /// The top of its range in this format; the bottom is 0.
    pub highest: f64,
    /// Whether a host may change it while sound runs.
    pub is_automatable: bool,
}

/// One of the two formats.
pub enum Format {
    /// An insert of the CLAP bundle.
    Clap(Session),
    /// An insert of the VST3 bundle.
    Vst3(Vst3Insert),
}

/// An insert and what its host knows of it.
pub struct Subject {
    /// The insert.
    pub format: Format,
    /// The name of its plug-in.
    pub name: &'static str,
    /// Its parameters.
    pub parameters: Vec<Known>,
    /// Channels of its main ports.
    pub channels: usize,
    /// The longest block while it is active.
    pub most_samples: Option<usize>,
    /// What is sent through it.
    pub sounds: Sounds,
    /// States that it has saved.
    pub states: Vec<Vec<u8>>,
    /// Samples since there was one so large that there is no bound to what it becomes.
    pub since_beyond_samples: usize,
    /// Whether anything was modulated: at an end of a range that hides new values from the saved state (a known flaw of
    /// the framework).
    pub is_modulated: bool,
}

impl Subject {
    /// A new insert.
    ///
    /// # Errors
    ///
    /// Where it cannot be made.
    pub fn new(world: &World, dice: &mut Dice) -> Result<Self, HostError> {
        let name = *dice.of(&[SISKIN, SISKIN_FOLLOW]);
        let format = if dice.once_in(2) {
            Format::Clap(world.clap.plugin(name)?.session())
        } else {
            Format::Vst3(world.vst3.insert(name))
        };
        Ok(Self {
            parameters: format.parameters(),
            format,
            name,
            channels: 2,
            most_samples: None,
            sounds: Sounds::new(dice),
            states: Vec::new(),
            since_beyond_samples: usize::MAX,
            is_modulated: false,
        })
    }

    /// Chooses mono or stereo, which only Siskin offers, while it is not active.
    ///
    /// # Errors
    ///
    /// Where it refuses.
    pub fn arrange(&mut self, channels: usize) -> Result<(), String> {
        if self.name != SISKIN {
            return Ok(());
        }
        let speakers = SPEAKERS[channels - 1];
        match &mut self.format {
            Format::Clap(session) => session.select_channels(channels).map_err(told)?,
            Format::Vst3(insert) => expect(insert.arrange(&[speakers], &[speakers]), "arrangement refused")?,
        }
        self.channels = channels;
        Ok(())
    }

    /// Makes it ready for sound.
    ///
    /// # Errors
    ///
    /// Where it refuses.
    pub fn activate(&mut self, sample_rate_hz: f64, most_samples: usize) -> Result<(), String> {
        match &mut self.format {
            Format::Clap(session) => session.activate(sample_rate_hz, most_samples).map_err(told)?,
            Format::Vst3(insert) => {
                let setup = Setup {
                    sample_rate_hz,
                    most_samples,
                    offline: most_samples.is_multiple_of(2),
                };
                let is_ready = insert.set_up(setup) && insert.set_active(true) && insert.set_processing(true);
                expect(is_ready, "activation refused")?;
            }
        }
        self.most_samples = Some(most_samples);
        Ok(())
    }

    /// Ends sound.
    pub fn deactivate(&mut self) {
        match &mut self.format {
            Format::Clap(session) => session.deactivate(),
            Format::Vst3(insert) => {
                insert.set_processing(false);
                insert.set_active(false);
            }
        }
        self.most_samples = None;
    }
}

impl Format {
    fn parameters(&self) -> Vec<Known> {
        match self {
            Self::Clap(session) => session
                .parameters()
                .iter()
                .map(|parameter| Known {
                    number: parameter.clap_id.get(),
                    highest: parameter.highest,
                    is_automatable: parameter.is_automatable(),
                })
                .collect(),
            Self::Vst3(insert) => insert
                .parameters()
                .into_iter()
                .map(|parameter| Known {
                    number: parameter.id,
                    highest: 1.0,
                    is_automatable: parameter.can_automate,
                })
                .collect(),
        }
    }

    /// Hands blocks over.
    ///
    /// # Errors
    ///
    /// Where it does not take them.
    pub fn process_all(&mut self, blocks: &mut [Handed]) -> Result<Vec<Answer>, String> {
        match self {
            Self::Clap(session) => session.process_all(blocks).map_err(told),
            Self::Vst3(insert) => Ok(insert.process_all(blocks)),
        }
    }

    /// Forgets all sound: a reset, or stop and start.
    ///
    /// # Errors
    ///
    /// Where it refuses.
    pub fn forget(&mut self, by_reset: bool) -> Result<(), String> {
        match self {
            Self::Clap(session) if by_reset => session.reset().map_err(told),
            Self::Clap(session) => session.stop().and_then(|()| session.start()).map_err(told),
            Self::Vst3(insert) => expect(
                insert.set_processing(false) && insert.set_processing(true),
                "stop and start refused",
            ),
        }
    }

    /// The state, as a song keeps it.
    ///
    /// # Errors
    ///
    /// Where it is not saved.
    pub fn save_state(&mut self) -> Result<Vec<u8>, String> {
        match self {
            Self::Clap(session) => session.save_state().map_err(told),
            Self::Vst3(insert) => insert.save_state().ok_or_else(|| "state not saved".to_owned()),
        }
    }

    /// Whether it takes a state.
    pub fn load_state(&mut self, bytes: &[u8]) -> bool {
        match self {
            Self::Clap(session) => session.load_state(bytes).is_ok(),
            Self::Vst3(insert) => insert.load_state(bytes),
        }
    }
}

/// What an error says.
pub fn told(error: HostError) -> String {
    error.to_string()
}

/// An error that says `otherwise` where something does not hold.
pub fn expect(holds: bool, otherwise: &str) -> Result<(), String> {
    if holds { Ok(()) } else { Err(otherwise.to_owned()) }
}

//! An insert in either format, driven alike.

use anyhow::{Context, Result, ensure};

use super::clap::{Plugin, state_from_json};
use super::rules::HostRules;
use super::vst3::{Setup, Vst3Insert};
use super::{HostBlock, ParamEvent, ProcessStatus};

/// Speakers of one and of two channels, a bit each.
const SPEAKERS: [u64; 2] = [0x8_0000, 0b11];

/// An insert of the CLAP bundle or of the VST3 bundle. An error says in one line what the plug-in refused.
pub enum Insert {
    /// In CLAP.
    Clap(Plugin),
    /// In VST3.
    Vst3(Vst3Insert),
}

/// A parameter as the host of a format sees it.
#[derive(Debug, Clone, PartialEq)]
pub struct InsertParameter {
    /// Its number, the same in both formats.
    pub number: u32,
    /// The top of its range in this format; the bottom is 0.
    pub highest: f64,
    /// Whether a host may change it while sound runs.
    pub is_automatable: bool,
}

fn ensured(holds: bool, what: &str) -> Result<()> {
    ensure!(holds, "{what} refused");
    Ok(())
}

fn id_of(plugin: &Plugin, number: u32) -> Result<String> {
    plugin.id_of(number).context("no such parameter")
}

impl Insert {
    /// "CLAP" or "VST3".
    pub fn format(&self) -> &'static str {
        match self {
            Self::Clap(_) => "CLAP",
            Self::Vst3(_) => "VST3",
        }
    }

    /// The rules for its callbacks.
    pub fn rules(&self) -> &HostRules {
        match self {
            Self::Clap(plugin) => plugin.rules(),
            Self::Vst3(insert) => insert.rules(),
        }
    }

    /// Every parameter.
    pub fn parameters(&self) -> Vec<InsertParameter> {
        match self {
            Self::Clap(plugin) => plugin
                .parameters()
                .iter()
                .map(|parameter| InsertParameter {
                    number: parameter.clap_id,
                    highest: parameter.highest,
                    is_automatable: parameter.is_automatable(),
                })
                .collect(),
            Self::Vst3(insert) => insert
                .parameters()
                .into_iter()
                .map(|parameter| InsertParameter {
                    number: parameter.id,
                    highest: 1.0,
                    is_automatable: parameter.can_automate,
                })
                .collect(),
        }
    }

    /// The value of a parameter, in the format's scale.
    pub fn value(&mut self, number: u32) -> Result<f64> {
        match self {
            Self::Clap(plugin) => plugin.value(&id_of(plugin, number)?),
            Self::Vst3(insert) => Ok(insert.value(number)),
        }
    }

    /// A value as the plug-in writes it.
    pub fn text_of(&mut self, number: u32, value: f64) -> Result<String> {
        match self {
            Self::Clap(plugin) => plugin.text_of(&id_of(plugin, number)?, value),
            Self::Vst3(insert) => insert.text_of(number, value).context("no text"),
        }
    }

    /// The value that a text stands for.
    pub fn value_of(&mut self, number: u32, text: &str) -> Result<f64> {
        match self {
            Self::Clap(plugin) => plugin.value_of(&id_of(plugin, number)?, text),
            Self::Vst3(insert) => insert.value_of(number, text).context("not a value"),
        }
    }

    /// Sets a value, in the format's scale, without a block: CLAP's flush, or VST3's controller.
    pub fn set(&mut self, number: u32, value: f64) -> Result<()> {
        match self {
            Self::Clap(plugin) => plugin.flush(&[ParamEvent::value(0, number, value)]).map(drop),
            Self::Vst3(insert) => ensured(insert.set(number, value), "value"),
        }
    }

    /// Chooses the layout of `channels` main channels, 1 or 2, with stereo side-chains; only while it is not active.
    pub fn arrange(&mut self, channels: usize) -> Result<()> {
        match self {
            Self::Clap(plugin) => plugin.select_channels(channels),
            Self::Vst3(insert) => {
                let mut inputs = vec![SPEAKERS[1]; insert.buses(true).len()];
                inputs[0] = SPEAKERS[channels - 1];
                ensured(insert.arrange(&inputs, &inputs[..1]), "arrangement")
            }
        }
    }

    /// Makes it ready for blocks of at most `most_samples`.
    pub fn activate(&mut self, sample_rate_hz: f64, most_samples: usize) -> Result<()> {
        match self {
            Self::Clap(plugin) => plugin.activate(sample_rate_hz, most_samples),
            Self::Vst3(insert) => {
                let setup = Setup {
                    sample_rate_hz,
                    most_samples,
                    offline: most_samples.is_multiple_of(2),
                };
                let is_ready = insert.set_up(setup) && insert.set_active(true) && insert.set_processing(true);
                ensured(is_ready, "activation")
            }
        }
    }

    /// Stops processing and deactivates.
    pub fn deactivate(&mut self) {
        match self {
            Self::Clap(plugin) => plugin.deactivate(),
            Self::Vst3(insert) => {
                insert.deactivate();
            }
        }
    }

    /// Whether it has asked to be restarted, since its latency is another one.
    pub fn wants_restart(&mut self) -> bool {
        match self {
            Self::Clap(plugin) => plugin.serve_requests(),
            Self::Vst3(insert) => insert.take_requests().latency_changed,
        }
    }

    /// Returns once it has asked to be restarted. CLAP's insert asks at once, and VST3's through the framework's background
    /// thread, which is waited for however long it takes. Panics where CLAP's has not asked.
    pub fn wait_for_restart(&mut self) {
        while !self.wants_restart() {
            assert!(matches!(self, Self::Vst3(_)), "no restart was asked for");
            std::thread::yield_now();
        }
    }

    /// The latency that it reports now, in samples.
    pub fn latency_samples(&mut self) -> Result<usize> {
        match self {
            Self::Clap(plugin) => plugin.latency_samples(),
            Self::Vst3(insert) => Ok(insert.latency_samples() as usize),
        }
    }

    /// How long it sounds on after its input has fallen silent, in samples; only while it is active.
    pub fn tail_samples(&mut self) -> Result<usize> {
        match self {
            Self::Clap(plugin) => plugin.tail_samples().map(|samples| samples as usize),
            Self::Vst3(insert) => Ok(insert.tail_samples() as usize),
        }
    }

    /// Hands blocks over on the audio thread.
    pub fn process_all(&mut self, blocks: &mut [HostBlock]) -> Result<Vec<ProcessStatus>> {
        match self {
            Self::Clap(plugin) => plugin.process_all(blocks),
            Self::Vst3(insert) => Ok(insert.process_all(blocks)),
        }
    }

    /// Hands one block over on the audio thread.
    pub fn process(&mut self, block: &mut HostBlock) -> Result<ProcessStatus> {
        self.process_all(std::slice::from_mut(block))
            .map(|statuses| statuses[0])
    }

    /// Forgets all sound: by CLAP's reset, or by stop and start.
    pub fn forget(&mut self, by_reset: bool) -> Result<()> {
        match self {
            Self::Clap(plugin) if by_reset => plugin.reset(),
            Self::Clap(plugin) => plugin.stop().and_then(|()| plugin.start()),
            Self::Vst3(insert) => {
                let is_new = insert.set_processing(false) && insert.set_processing(true);
                ensured(is_new, "stop and start")
            }
        }
    }

    /// The state as a song keeps it: CLAP's has a frame around the JSON that is VST3's.
    pub fn save_state(&mut self) -> Result<Vec<u8>> {
        match self {
            Self::Clap(plugin) => plugin.save_state(),
            Self::Vst3(insert) => insert.save_state().context("state not saved"),
        }
    }

    /// Whether it takes a state as a song keeps it.
    pub fn load_state(&mut self, bytes: &[u8]) -> bool {
        match self {
            Self::Clap(plugin) => plugin.load_state(bytes).is_ok(),
            Self::Vst3(insert) => insert.load_state(bytes),
        }
    }

    /// The JSON of its state.
    pub fn save_json(&mut self) -> Result<Vec<u8>> {
        let mut state = self.save_state()?;
        match self {
            Self::Clap(_) => Ok(state.split_off(8)),
            Self::Vst3(_) => Ok(state),
        }
    }

    /// Whether it takes the JSON of a state.
    pub fn load_json(&mut self, json: &[u8]) -> bool {
        match self {
            Self::Clap(_) => self.load_state(&state_from_json(json)),
            Self::Vst3(_) => self.load_state(json),
        }
    }
}

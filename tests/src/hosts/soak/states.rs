//! Mutated states and preset files, loaded as hosts load them: each is refused and changes nothing, or is taken whole.

use anyhow::{Context, Result, ensure};

use super::Soak;
use super::mutation::mutated;
use super::random::Random;
use crate::hosts::built::{SISKIN, SISKIN_FOLLOW};
use crate::hosts::clap::state_from_json;
use crate::hosts::{Bus, HostBlock, Insert, InsertParameter, ProcessStatus};
use siskin_presets::{read_preset, write_preset};

/// The rate at which half of the inserts are active, in Hz.
const RATE_HZ: f64 = 48_000.0;
/// The length of a block after a state, samples.
const BLOCK: usize = 64;
/// How often a block follows a state that was taken: the sound of states is tested elsewhere.
const BLOCK_EVERY: usize = 16;

/// What became of states.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Tally {
    /// All.
    pub states: u64,
    /// Those that the plug-in took.
    pub taken: u64,
    /// Preset files without a state that a host would find.
    pub unreadable: u64,
}

/// One insert and the state that is mutated.
struct Target {
    insert: Insert,
    name: &'static str,
    parameters: Vec<InsertParameter>,
    /// JSON of a state with every parameter.
    json: Vec<u8>,
    is_active: bool,
}

/// Inserts of both plug-ins in both formats, active and not.
pub struct States {
    targets: Vec<Target>,
    tally: Tally,
}

impl Soak {
    /// Inserts to load mutated states into.
    pub fn states(&self) -> Result<States> {
        let mut targets = Vec::new();
        for name in [SISKIN, SISKIN_FOLLOW] {
            for is_active in [false, true] {
                let clap = Insert::Clap(self.0.clap.plugin(name)?);
                for insert in [clap, Insert::Vst3(self.0.vst3.insert(name))] {
                    targets.push(Target::new(insert, name, is_active)?);
                }
            }
        }
        Ok(States {
            targets,
            tally: Tally::default(),
        })
    }
}

/// The state as a song saves it whose window has another size and zoom than a new one: a text with JSON of its own.
fn with_window(json: &[u8]) -> Result<Vec<u8>> {
    let mut state: serde_json::Value = serde_json::from_slice(json)?;
    state["fields"]["window"] = r#"{"height":800,"scheme":1,"width":1234,"zoom_percent":150}"#.into();
    Ok(serde_json::to_vec(&state)?)
}

impl States {
    /// Loads the state of a seed into the insert of that seed; an error says what does not hold.
    pub fn load(&mut self, seed: u64) -> Result<()> {
        let mut random = Random::new(seed);
        let index = random.below(self.targets.len());
        let target = &mut self.targets[index];
        let loaded = target.load(&mut random, &mut self.tally);
        loaded.with_context(|| format!("seed {seed}, {} {}", target.insert.format(), target.name))
    }

    /// What became of the states so far.
    #[must_use]
    pub fn tally(&self) -> Tally {
        self.tally
    }
}

impl Target {
    fn new(mut insert: Insert, name: &'static str, is_active: bool) -> Result<Self> {
        if is_active {
            insert.activate(RATE_HZ, BLOCK)?;
        }
        Ok(Self {
            parameters: insert.parameters(),
            json: with_window(&insert.save_json()?)?,
            insert,
            name,
            is_active,
        })
    }

    fn load(&mut self, random: &mut Random, tally: &mut Tally) -> Result<()> {
        tally.states += 1;
        let Some(state) = self.mutated_state(random) else {
            tally.unreadable += 1;
            return Ok(());
        };
        let before = self.insert.save_state()?;
        let taken = self.insert.load_state(&state);
        // The host comes round to what a state asks of it: another latency, new values.
        self.insert.wants_restart();
        if !taken {
            ensure!(
                self.insert.save_state()? == before,
                "a refused state changed something"
            );
            return Ok(());
        }
        tally.taken += 1;
        self.check()?;
        if self.is_active && random.once_in(BLOCK_EVERY) {
            self.play()?;
        }
        Ok(())
    }

    /// A state as the format has it; `None` for a preset file in which a host would find none.
    fn mutated_state(&self, random: &mut Random) -> Option<Vec<u8>> {
        let is_frame_whole = !random.once_in(4);
        match &self.insert {
            Insert::Clap(_) if is_frame_whole => Some(state_from_json(&mutated(self.json.clone(), random))),
            Insert::Clap(_) => Some(mutated(state_from_json(&self.json), random)),
            Insert::Vst3(_) if random.once_in(2) => Some(mutated(self.json.clone(), random)),
            Insert::Vst3(_) if is_frame_whole => {
                let file = write_preset(self.name, &mutated(self.json.clone(), random))?;
                read_preset(&file).map(<[u8]>::to_vec)
            }
            Insert::Vst3(_) => {
                let file = mutated(write_preset(self.name, &self.json)?, random);
                read_preset(&file).map(<[u8]>::to_vec)
            }
        }
    }

    /// A state that was taken has left every value in its range, and saves as one that loads as the same.
    fn check(&mut self) -> Result<()> {
        for InsertParameter { number, highest, .. } in &self.parameters {
            let value = self.insert.value(*number)?;
            ensure!((0.0..=*highest).contains(&value), "parameter {number} is {value}");
        }
        let saved = self.insert.save_state()?;
        ensure!(
            self.insert.load_state(&saved),
            "the state after a mutated one is refused"
        );
        ensure!(
            self.insert.save_state()? == saved,
            "the state after a mutated one saves otherwise"
        );
        Ok(())
    }

    fn play(&mut self) -> Result<()> {
        let sound = vec![vec![0.25; BLOCK]; 2];
        let mut block = HostBlock::new(&sound);
        if self.name == SISKIN_FOLLOW {
            block.inputs.push(Bus::new(&sound));
        }
        let status = self.insert.process(&mut block)?;
        ensure!(status != ProcessStatus::Refused, "a block is refused");
        let output = block.output();
        ensure!(
            output.iter().flatten().all(|sample| sample.is_finite()),
            "a sample is no number"
        );
        Ok(())
    }
}

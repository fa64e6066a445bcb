//! The measurement: the contest, then what is measured on its own.

use std::path::Path;

use anyhow::{Context, Result};
use indicatif::ProgressBar;
use siskin_tests::hosts::clap::Bundle;
use siskin_tests::measurement::bench::stages;
use siskin_tests::measurement::bench::{
    Entry, InsertLoad, Pedalboard, Setting, Sounds, Timed, WorstBlock, contest, engine_bytes, insert_bytes,
    stack_entry, worst_block,
};

use super::entries::{self, MAIN_RATE_HZ, PEERS, RATES_HZ};
use super::instructions::{self, Instructions};
use crate::report::progress;

/// Everything that one run measured.
pub struct Measured {
    /// The contest.
    pub timed: Vec<Timed>,
    /// Blocks of 32 samples, by channels.
    pub worst: [WorstBlock; 2],
    /// What is measured and how many bytes an instance holds.
    pub memory: Vec<(String, f64)>,
    /// Instructions of the engine; empty where they cannot be counted.
    pub instructions: Vec<Instructions>,
    /// Why they cannot, if so.
    pub not_counted: Option<String>,
}

impl Measured {
    /// Measures; takes some minutes, and shows how far it is.
    pub fn of(bundle: &Bundle, vst3: &Path, python: &Path, rounds: usize) -> Result<Self> {
        let steps = RATES_HZ.len() + rounds + 2;
        let bar = progress::counting(steps as u64)?;
        let sounds = RATES_HZ.map(|rate_hz| {
            bar.set_message(format!("singing at {} kHz", rate_hz / 1e3));
            let sounds = Sounds::sing(rate_hz);
            bar.inc(1);
            sounds
        });
        let main = sounds
            .iter()
            .find(|sounds| sounds.sample_rate_hz == MAIN_RATE_HZ)
            .context("the main rate is one of the rates")?;
        // Before anything else leaves holes in the memory that is held.
        let memory = memory(bundle)?;
        let timed = race(bundle, vst3, python, &sounds, main, rounds, &bar)?;
        bar.set_message("blocks of 32 samples, one by one");
        let worst = [1, 2].map(|channels| worst_block(main, channels, || bar.tick()));
        bar.inc(1);
        bar.set_message("instructions, under valgrind");
        let counted = instructions::count(&main.song);
        bar.finish_and_clear();
        let (instructions, not_counted) = match counted {
            Ok(instructions) => (instructions, None),
            Err(why) => (Vec::new(), Some(format!("{why:#}"))),
        };
        Ok(Self {
            timed,
            worst,
            memory,
            instructions,
            not_counted,
        })
    }

    /// The entry of that name.
    pub fn entry(&self, name: &str) -> Option<&Timed> {
        self.timed.iter().find(|timed| timed.name == name)
    }

    /// Nanoseconds a frame or call of the entry of that name; no number where there is none.
    pub fn ns(&self, name: &str) -> f64 {
        self.entry(name).map_or(f64::NAN, |timed| timed.ns)
    }

    /// What the stages that an engine of `channels` channels needs take by themselves, ns a frame.
    pub fn bound_ns(&self, channels: usize, setting: Setting) -> f64 {
        let stages = stages::bound(setting).into_iter();
        stages.map(|stage| self.ns(&stages::name(stage, channels))).sum()
    }
}

fn race(
    bundle: &Bundle,
    vst3: &Path,
    python: &Path,
    sounds: &[Sounds],
    main: &Sounds,
    rounds: usize,
    bar: &ProgressBar,
) -> Result<Vec<Timed>> {
    let of_rate = |rate_hz: f64| sounds.iter().find(|sounds| sounds.sample_rate_hz == rate_hz);
    let mut racing: Vec<Entry<'_>> = entries::engines()
        .iter()
        .filter_map(|load| Some(load.entry(of_rate(load.sample_rate_hz)?)))
        .collect();
    for load in entries::inserts() {
        racing.push(load.entry(bundle, main)?);
    }
    let folder = tempfile::tempdir().context("there is no folder for temporary files")?;
    let mut all_on = InsertLoad::new(2, Setting::AllOn).insert(bundle)?;
    let pedalboard = Pedalboard::start(python, vst3, &mut all_on, main, folder.path())?;
    racing.extend(PEERS.map(|(peer, channels)| Pedalboard::entry(&pedalboard, peer, channels)));
    racing.push(stack_entry(main));
    for channels in [1, 2] {
        racing.extend(stages::entries(channels, main));
    }
    bar.set_message("warming up");
    contest(racing, rounds, |round| {
        bar.set_message(format!("round {round} of {rounds}"));
        bar.inc(1);
    })
}

fn memory(bundle: &Bundle) -> Result<Vec<(String, f64)>> {
    let mut memory = Vec::new();
    for channels in [1, 2] {
        let name = format!("engine, {}, 48 kHz", ["mono", "stereo"][channels - 1]);
        memory.extend(engine_bytes(channels, Setting::AllOn).map(|bytes| (name, bytes)));
    }
    for (channels, follow) in [(1, false), (2, false), (2, true)] {
        let load = InsertLoad {
            follow,
            ..InsertLoad::new(channels, Setting::AllOn)
        };
        let bytes = insert_bytes(bundle, load)?;
        memory.extend(bytes.map(|bytes| (load.name(), bytes)));
    }
    Ok(memory)
}

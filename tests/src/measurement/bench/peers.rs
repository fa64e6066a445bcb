//! What else a mixer could put there, on the same samples in the same contest.

use std::cell::RefCell;
use std::hint::black_box;
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::rc::Rc;
use std::sync::Arc;
use std::time::Duration;

use anyhow::{Context, Result, ensure};
use siskin_presets::write_preset;

use super::clock::of_processor;
use super::contest::{Entry, PIECE_S};
use super::engine::Setting;
use super::sounds::Sounds;
use crate::hosts::built::SISKIN;
use crate::hosts::clap::{Plugin, state_as_json};
use crate::measurement::levels::above;
use crate::measurement::models::{FixedStack, levelled_hard};

const SCRIPT: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/python/bench_peers.py");

/// What has the C library keep the memory of a piece for the next one (mallopt(3)). New pages from the system for every piece of
/// the output would cost everything that plays in stereo some 4 ns a frame, which is none of its work.
const KEPT_MEMORY: [&str; 2] = ["MALLOC_MMAP_THRESHOLD_", "MALLOC_TRIM_THRESHOLD_"];
const KEPT_BYTES: &str = "268435456";

/// Python was not started, or fell silent.
const NOT_RUN: &str = "pedalboard did not run in the tests' Python; run: cargo xtask test --setup";

/// What pedalboard plays.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Peer {
    /// One general-purpose compressor.
    OneCompressor,
    /// Three in a row.
    ThreeCompressors,
    /// Siskin's own VST3 bundle: the same host for both.
    Siskin(Setting),
}

impl Peer {
    /// For a person, and unique.
    pub fn name(self, channels: usize) -> String {
        let (what, _) = self.words();
        let channels = if channels == 1 { "mono" } else { "stereo" };
        format!("pedalboard: {what}, {channels}, 48 kHz, block 512, song")
    }

    fn words(self) -> (&'static str, &'static str) {
        match self {
            Self::OneCompressor => ("one Compressor", "one"),
            Self::ThreeCompressors => ("three Compressors in a row", "three"),
            Self::Siskin(Setting::AsNew) => ("Siskin (VST3) as new", "siskin"),
            Self::Siskin(Setting::AllOn) => ("Siskin (VST3) all on", "siskin-all-on"),
        }
    }
}

/// A Python process that holds the sound and plays on request.
pub struct Pedalboard {
    child: Child,
    asked: ChildStdin,
    answers: BufReader<ChildStdout>,
    frames: usize,
    sample_rate_hz: f64,
}

impl Pedalboard {
    /// Starts it with `sounds`, those of 48 kHz. `all_on` is an insert with every stage on; `folder` is one for passing files.
    pub fn start(
        python: &Path,
        vst3: &Path,
        all_on: &mut Plugin,
        sounds: &Sounds,
        folder: &Path,
    ) -> Result<Rc<RefCell<Self>>> {
        let state = state_as_json(&all_on.save_state()?).context("the insert saves no JSON")?;
        let preset = write_preset(SISKIN, state.to_string().as_bytes()).context("Siskin has no presets")?;
        let all_on = folder.join("all-on.vstpreset");
        std::fs::write(&all_on, preset).context(NOT_RUN)?;
        let sound = Arc::clone(&sounds.song);
        let path = folder.join("song.f32");
        let bytes: Vec<u8> = sound
            .iter()
            .flatten()
            .flat_map(|sample| sample.to_le_bytes())
            .collect();
        std::fs::write(&path, bytes).context(NOT_RUN)?;
        let mut child = Command::new(python)
            .arg(SCRIPT)
            .args([path.as_path(), vst3, &all_on])
            .args([sounds.sample_rate_hz, PIECE_S].map(|number| number.to_string()))
            .envs(KEPT_MEMORY.map(|variable| (variable, KEPT_BYTES)))
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .context(NOT_RUN)?;
        Ok(Rc::new(RefCell::new(Self {
            asked: child.stdin.take().context(NOT_RUN)?,
            answers: BufReader::new(child.stdout.take().context(NOT_RUN)?),
            child,
            frames: sound[0].len(),
            sample_rate_hz: sounds.sample_rate_hz,
        })))
    }

    /// `peer` on `channels` channels against the clock.
    pub fn entry<'a>(this: &Rc<RefCell<Self>>, peer: Peer, channels: usize) -> Entry<'a> {
        let Self {
            frames,
            sample_rate_hz,
            ..
        } = *this.borrow();
        let this = Rc::clone(this);
        Entry {
            name: peer.name(channels),
            frames,
            sample_rate_hz,
            run: Box::new(move || this.borrow_mut().play(peer, channels)),
        }
    }

    /// Plays the song once; the process reports how much of the processor's time each piece took.
    fn play(&mut self, peer: Peer, channels: usize) -> Result<Vec<Duration>> {
        let (_, word) = peer.words();
        writeln!(self.asked, "{word} {channels}").context(NOT_RUN)?;
        self.asked.flush().context(NOT_RUN)?;
        let mut line = String::new();
        self.answers.read_line(&mut line).context(NOT_RUN)?;
        let pieces = line
            .split_whitespace()
            .map(|nanos| Ok(Duration::from_nanos(nanos.parse()?)));
        let pieces: Vec<Duration> = pieces.collect::<Result<_>>().context(NOT_RUN)?;
        ensure!(!pieces.is_empty(), NOT_RUN);
        Ok(pieces)
    }
}

impl Drop for Pedalboard {
    fn drop(&mut self) {
        // The process ends with its input; where it is gone already nothing is left to do.
        let _ = self.asked.write_all(b"end\n");
        let _ = self.asked.flush();
        let _ = self.child.wait();
    }
}

/// The practice that one insert replaces, as the demo has it: a stage with a fixed threshold, the textbook compressor and
/// the boost, a stage with a fixed threshold; mono. Plain code for the sake of being right, of no particular speed.
pub fn stack_entry<'a>(sounds: &Sounds) -> Entry<'a> {
    let sound = Arc::clone(&sounds.song);
    let rate_hz = sounds.sample_rate_hz;
    // About where a mixer would put them: what they take away does not change what they cost.
    let threshold_db = |voice: &[f32]| band_db(voice, rate_hz) - 6.0;
    let stack = FixedStack {
        first_threshold_db: threshold_db(&sound[0]),
        last_threshold_db: threshold_db(&levelled_hard(&sound[0], rate_hz)),
        offset_db: -6.0,
    };
    Entry {
        name: STACK.to_owned(),
        frames: sound[0].len(),
        sample_rate_hz: rate_hz,
        run: Box::new(move || {
            let pieces = sound[0].chunks((PIECE_S * rate_hz) as usize);
            let pieces = pieces.map(|piece| {
                of_processor(|| {
                    black_box(stack.whole(black_box(piece), rate_hz));
                })
            });
            Ok(pieces.collect())
        }),
    }
}

/// The name of [`stack_entry`].
pub const STACK: &str = "two fixed stages and a compressor (the demo's), mono, 48 kHz, song";

/// Mean level above 4 kHz, dBFS.
fn band_db(voice: &[f32], rate_hz: f64) -> f64 {
    let band = above(voice, rate_hz, 4000.0);
    let power = band.iter().map(|&sample| f64::from(sample).powi(2)).sum::<f64>() / band.len() as f64;
    10.0 * power.log10()
}

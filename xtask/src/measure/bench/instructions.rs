//! Instructions a frame, counted by valgrind in a process of its own: the same number in every run.

use std::path::Path;
use std::process::Command;

use anyhow::{Context, Result, bail, ensure};
use siskin_dsp::{Channels, Lookahead};
use siskin_tests::measurement::bench::{COUNTED_FRAMES, COUNTED_FUNCTION, Counted, Setting, count as play};

/// What was counted.
pub struct Instructions {
    /// What was played.
    pub counted: Counted,
    /// Instructions a frame.
    pub a_frame: f64,
}

/// Blocks in which the engine is counted, samples, its lookahead, and how its channels are heard.
const PASSES: [(usize, Lookahead, Channels); 5] = [
    (512, Lookahead::Long, Channels::Linked),
    (32, Lookahead::Long, Channels::Linked),
    (512, Lookahead::Mixing, Channels::Linked),
    (512, Lookahead::Long, Channels::Apart),
    (512, Lookahead::Mixing, Channels::Apart),
];

/// Counts the engine, mono and stereo, as new and with all on, in blocks of 512 also with the lookahead for mixing and, in
/// stereo, with channels apart.
///
/// # Errors
///
/// Where valgrind is missing or does not count.
pub fn count(sound: &[Vec<f32>; 2]) -> Result<Vec<Instructions>> {
    let version = Command::new("valgrind").arg("--version").output();
    ensure!(
        version.is_ok_and(|version| version.status.success()),
        "instructions are not counted without valgrind (Debian: apt-get install valgrind)"
    );
    let folder = tempfile::tempdir().context("there is no folder for temporary files")?;
    let path = folder.path().join("song.f32");
    let bytes: Vec<u8> = sound
        .iter()
        .flat_map(|channel| &channel[..COUNTED_FRAMES])
        .flat_map(|sample| sample.to_le_bytes())
        .collect();
    std::fs::write(&path, bytes).with_context(|| format!("cannot write {}", path.display()))?;
    let mut all = Vec::new();
    for setting in [Setting::AsNew, Setting::AllOn] {
        for channels in [1, 2] {
            // One channel cannot be apart.
            let passes = PASSES
                .into_iter()
                .filter(|(.., link)| channels > 1 || *link == Channels::Linked);
            for (block, lookahead, link) in passes {
                let counted = Counted {
                    channels,
                    link,
                    setting,
                    block,
                    lookahead,
                };
                let a_frame = instructions(counted, &path)? as f64 / COUNTED_FRAMES as f64;
                all.push(Instructions { counted, a_frame });
            }
        }
    }
    Ok(all)
}

/// Plays `counted` under valgrind, and reads what it wrote.
fn instructions(counted: Counted, sound: &Path) -> Result<u64> {
    let written = sound.with_file_name("callgrind.out");
    let this = std::env::current_exe().context("this program cannot find itself")?;
    let output = Command::new("valgrind")
        .arg("--tool=callgrind")
        .arg(format!("--callgrind-out-file={}", written.display()))
        .arg(format!("--toggle-collect={COUNTED_FUNCTION}"))
        .arg(this)
        .args(["bench", "--counted"])
        .args([counted.channels.to_string(), counted.block.to_string()])
        .args([counted.setting.name(), &(counted.lookahead as usize).to_string()])
        .arg((counted.link as usize).to_string())
        .arg(sound)
        .output()
        .context("valgrind cannot be started")?;
    if !output.status.success() {
        bail!(
            "valgrind failed: {}",
            String::from_utf8_lossy(&output.stderr).trim()
        );
    }
    let text = std::fs::read_to_string(&written).context("valgrind wrote nothing")?;
    let total = text.lines().find_map(|line| line.strip_prefix("totals: "));
    let total: u64 = total
        .and_then(|total| total.trim().parse().ok())
        .context("valgrind printed no total")?;
    ensure!(
        total > 0,
        "valgrind counted nothing: {COUNTED_FUNCTION} was not found"
    );
    Ok(total)
}

/// In the process that is counted.
///
/// # Errors
///
/// Words that [`instructions`] did not write, a file that cannot be read.
pub fn play_counted(words: &[String]) -> Result<()> {
    let [channels, block, setting, lookahead, link, path] = words else {
        bail!("--counted takes channels, block, setting, indices of lookahead and link, and file");
    };
    let setting = [Setting::AsNew, Setting::AllOn]
        .into_iter()
        .find(|known| known.name() == setting)
        .context("no such setting")?;
    let bytes = std::fs::read(path).with_context(|| format!("cannot read {path}"))?;
    let samples: Vec<f32> = bytes
        .as_chunks::<4>()
        .0
        .iter()
        .map(|&sample| f32::from_le_bytes(sample))
        .collect();
    ensure!(samples.len() == 2 * COUNTED_FRAMES, "{path} is no sound for this");
    let (left, right) = samples.split_at(COUNTED_FRAMES);
    let counted = Counted {
        channels: channels.parse()?,
        block: block.parse()?,
        setting,
        lookahead: *Lookahead::ALL
            .get(lookahead.parse::<usize>()?)
            .context("no such lookahead")?,
        link: *Channels::ALL
            .get(link.parse::<usize>()?)
            .context("no such link")?,
    };
    play(counted, [left.to_vec(), right.to_vec()]);
    Ok(())
}

//! The sound of a track as scripts that the page loads.

use std::fs;
use std::path::Path;

use anyhow::{Context, Result};
use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;

use super::{FOLDER, Part, Rendering, Sound, Track};

/// Length of a block, s: a wait of a moment at most, and few files.
const BLOCK_S: usize = 10;
/// The largest sample of 16 bits.
const FULL_SCALE: f32 = 32_767.0;

/// Writes the sound of a track beside the page in `page_folder`, and gives what the page is told of it. All sounds have one
/// length and as many channels. Fails where a file cannot be written.
pub fn write_blocks(
    page_folder: &Path,
    (id, name): (&str, &str),
    rate_hz: u32,
    mut sounds: Vec<Sound>,
    sections: Vec<Part>,
) -> Result<Track> {
    let folder = page_folder.join(FOLDER);
    fs::create_dir_all(&folder).with_context(|| format!("cannot make the folder {}", folder.display()))?;
    let [channels, samples] = sounds.first().map_or([0; 2], |sound| sound.size);
    let block_samples = BLOCK_S * rate_hz as usize;
    let renderings = renderings(&sounds);
    for index in 0..samples.div_ceil(block_samples) {
        let path = folder.join(format!("{id}-{index}.js"));
        let texts = sounds.iter_mut().zip(&renderings).map(|(sound, rendering)| {
            let channels = (sound.next)(block_samples)?;
            Ok(format!("\"{}\",", encoded(&channels, rendering.scale)))
        });
        let script = format!("soundBlock([{}]);\n", texts.collect::<Result<String>>()?);
        fs::write(&path, script).with_context(|| format!("cannot write {}", path.display()))?;
    }
    Ok(Track {
        id: id.to_owned(),
        name: name.to_owned(),
        rate_hz,
        channels,
        samples,
        block_samples,
        renderings,
        sections,
    })
}

fn renderings(sounds: &[Sound]) -> Vec<Rendering> {
    let audible = sounds.iter().map(|sound| sound.loudness_lufs);
    let softest_lufs = audible
        .filter(|loudness| loudness.is_finite())
        .fold(f32::INFINITY, f32::min);
    let rendering = |sound: &Sound| {
        let down_db = (softest_lufs - sound.loudness_lufs).min(0.0);
        Rendering {
            name: sound.name.to_owned(),
            scale: sound.peak.max(1.0),
            equal_gain: 10f32.powf(if down_db.is_finite() { down_db } else { 0.0 } / 20.0),
        }
    };
    sounds.iter().map(rendering).collect()
}

/// Samples of 16 bits, channel by channel within each frame.
fn encoded(channels: &[Vec<f32>], scale: f32) -> String {
    let frames = channels.first().map_or(0, Vec::len);
    let mut bytes = Vec::with_capacity(2 * frames * channels.len());
    for frame in 0..frames {
        for channel in channels {
            let sample = (channel[frame] / scale * FULL_SCALE).round() as i16;
            bytes.extend(sample.to_le_bytes());
        }
    }
    BASE64_STANDARD.encode(bytes)
}

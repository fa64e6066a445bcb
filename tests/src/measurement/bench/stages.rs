//! The engine's stages, each alone. The sum of those that it needs is the bound that the engine is held against.

use std::hint::black_box;
use std::sync::Arc;

use siskin_dsp::stages_alone::{StageAlone, stages_alone};

use super::clock::of_processor;
use super::contest::{Entry, piece_blocks};
use super::engine::Setting;
use super::sounds::Sounds;

/// Samples that a stage is given at a time.
const BLOCK: usize = 512;
const RATE_HZ: f64 = 48_000.0;

/// What an engine must do at least, whatever it is given: the shelf at rest and everything that never rests.
const ALWAYS: [&str; 7] = [
    "sanitise and round",
    "input level",
    "periodicity",
    "spectrum",
    "band powers",
    "delay",
    "shelf, at rest",
];
/// What is needed besides with all stages on.
const ALL_ON: [&str; 3] = ["leveller", "low cut", "moving gain"];

/// The stages whose times together bound an engine's from below.
pub fn bound(setting: Setting) -> Vec<&'static str> {
    match setting {
        Setting::AsNew => ALWAYS.to_vec(),
        Setting::AllOn => ALWAYS.into_iter().chain(ALL_ON).collect(),
    }
}

/// The names of all stages, in the order of the signal.
pub fn stages() -> Vec<&'static str> {
    stages_alone(1, RATE_HZ).iter().map(|stage| stage.name).collect()
}

/// The name of a stage in a contest.
pub fn name(stage: &str, channels: usize) -> String {
    let channels = if channels == 1 { "mono" } else { "stereo" };
    format!("alone, {channels}: {stage}")
}

/// Each stage alone on the song, for 1 or 2 channels; `sounds` are those of 48 kHz.
pub fn entries<'a>(channels: usize, sounds: &Sounds) -> Vec<Entry<'a>> {
    stages_alone(channels, RATE_HZ)
        .into_iter()
        .map(|stage| entry(stage, channels, sounds))
        .collect()
}

fn entry<'a>(mut stage: StageAlone, channels: usize, sounds: &Sounds) -> Entry<'a> {
    let sound = Arc::clone(&sounds.song);
    let blocks: Vec<usize> = (0..sound[0].len() / BLOCK).collect();
    let mut buffers = [[0f32; BLOCK]; 2];
    Entry {
        name: name(stage.name, channels),
        frames: blocks.len() * BLOCK,
        sample_rate_hz: RATE_HZ,
        run: Box::new(move || {
            let mut play = |block: &usize| {
                for (buffer, channel) in buffers.iter_mut().zip(sound.iter()) {
                    buffer.copy_from_slice(&channel[block * BLOCK..][..BLOCK]);
                }
                let [left, right] = &mut buffers;
                stage.process(&mut [&mut left[..], &mut right[..]][..channels]);
                black_box(&mut buffers);
            };
            let pieces = blocks.chunks(piece_blocks(RATE_HZ, BLOCK));
            Ok(pieces
                .map(|blocks| of_processor(|| blocks.iter().for_each(&mut play)))
                .collect())
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bound_names_stages_that_exist() {
        let known = stages();
        for stage in bound(Setting::AllOn) {
            assert!(known.contains(&stage), "{stage}");
        }
    }
}

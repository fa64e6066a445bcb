//! The engine's stages, each alone, beside the kernels of the limit that do what it must do.

use std::hint::black_box;

use siskin_dsp::stages_alone::{StageAlone, stages_alone};

use super::clock::of_processor;
use super::contest::{Entry, Unit, piece_blocks};
use super::sounds::{Sounds, Stretch};

/// Samples that a stage is given at a time.
const BLOCK: usize = 512;
const RATE_HZ: f64 = 48_000.0;

/// The kernels that a stage must do, by their names; none where they are not counted apart.
#[must_use]
pub fn kernels_of(stage: &str) -> &'static [&'static str] {
    match stage {
        "made safe, rounded, peaks" => &["made safe, peaks in and out"],
        "levels, K-weighted and plain" => &["K-weighting, two biquads, two mean squares"],
        "period" => &[
            "low band for the period, an eighth of the rate",
            "correlation at 81 lags",
        ],
        "spectrum" => &["window, transform, powers"],
        "bands" => &["sums over 128 bins"],
        "delay" => &["delay"],
        "shelf, 12 dB down" => &["shelf, two state-variable sections"],
        "low cut" => &["low cut, one state-variable section"],
        _ => &[],
    }
}

/// The names of all stages, in the order of the signal.
#[must_use]
pub fn stages() -> Vec<&'static str> {
    stages_alone(1, RATE_HZ).iter().map(|stage| stage.name).collect()
}

/// The name under which a stage stands in a contest.
#[must_use]
pub fn name(stage: &str, channels: usize) -> String {
    let channels = if channels == 1 { "mono" } else { "stereo" };
    format!("alone, {channels}: {stage}")
}

/// Each stage alone on the song, for 1 or 2 channels; `sounds` are those of 48 kHz.
#[must_use]
pub fn entries<'a>(channels: usize, sounds: &Sounds) -> Vec<Entry<'a>> {
    stages_alone(channels, RATE_HZ)
        .into_iter()
        .map(|stage| entry(stage, channels, sounds))
        .collect()
}

fn entry<'a>(mut stage: StageAlone, channels: usize, sounds: &Sounds) -> Entry<'a> {
    let sound = sounds.stretch(Stretch::Song);
    let blocks: Vec<usize> = (0..sound[0].len() / BLOCK).collect();
    let mut buffers = [[0f32; BLOCK]; 2];
    Entry {
        name: name(stage.name, channels),
        unit: Unit::Frame,
        units: blocks.len() * BLOCK,
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
    use super::super::limit;
    use super::*;

    #[test]
    fn every_kernel_that_a_stage_names_is_one() {
        let known = limit::names();
        let named: Vec<_> = stages().into_iter().flat_map(kernels_of).collect();
        assert!(named.len() > 6);
        for kernel in named {
            assert!(known.contains(kernel), "{kernel}");
        }
    }
}

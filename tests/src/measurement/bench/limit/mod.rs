//! What must be done for each sample, step and hop, each as a kernel that does nothing else, in a tight loop, in the most
//! natural fast form; at 48 kHz, as the engine has it: a step of 16 samples, a hop of 64, a window of 256.
//!
//! The sum of the kernels is the bound to which the engine is compared. They keep its precision (filters and gains in
//! 64 bits, spectra in 32) and use no intrinsics. They are no part of the engine and sound like nothing.

mod filters;
mod hops;
mod samples;

use std::hint::black_box;
use std::sync::Arc;

use super::clock::of_processor;
use super::contest::{Entry, Unit, piece_blocks};
use super::sounds::{Sounds, Stereo, Stretch};

/// Samples that a kernel is given at a time: they stay in the nearest cache, as those of a host's block do.
const BLOCK: usize = 512;
/// Samples of a control step, a hop and a window of analysis at 48 kHz.
const STEP: usize = 16;
const HOP: usize = 64;
const WINDOW: usize = 256;
/// Numbers in 32 bits that are worked on side by side.
const LANES: usize = 8;

/// One thing that must be done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Kernel {
    /// For a person.
    pub name: &'static str,
    /// How often it is done.
    pub per: &'static str,
    /// Whether a new insert needs it, with leveller and breath off.
    pub as_new: bool,
}

/// Does its work on the block that begins at a sample of the sound.
type Work<'a> = Box<dyn FnMut(&Stereo, usize) + 'a>;

/// The kernels, and how they stand in a contest, for `channels` channels (1 or 2); `sounds` are those of 48 kHz.
#[must_use]
pub fn kernels<'a>(channels: usize, sounds: &Sounds) -> Vec<(Kernel, Entry<'a>)> {
    let sound = sounds.stretch(Stretch::Song);
    let works = if channels == 1 { works::<1>() } else { works::<2>() };
    works
        .into_iter()
        .map(|(kernel, work)| (kernel, entry(kernel, channels, Arc::clone(&sound), work)))
        .collect()
}

/// The names of all kernels.
#[must_use]
pub fn names() -> Vec<&'static str> {
    works::<1>().into_iter().map(|(kernel, _)| kernel.name).collect()
}

/// The name under which a kernel stands in a contest.
#[must_use]
pub fn name(kernel: Kernel, channels: usize) -> String {
    let channels = if channels == 1 { "mono" } else { "stereo" };
    format!("limit, {channels}, per {}: {}", kernel.per, kernel.name)
}

fn entry<'a>(kernel: Kernel, channels: usize, sound: Arc<Stereo>, mut work: Work<'a>) -> Entry<'a> {
    let blocks: Vec<usize> = (0..sound[0].len() / BLOCK).collect();
    Entry {
        name: name(kernel, channels),
        unit: Unit::Frame,
        units: blocks.len() * BLOCK,
        sample_rate_hz: 48_000.0,
        run: Box::new(move || {
            let pieces = blocks.chunks(piece_blocks(48_000.0, BLOCK));
            let pieces = pieces.map(|blocks| {
                of_processor(|| {
                    blocks
                        .iter()
                        .for_each(|block| work(black_box(&sound), block * BLOCK));
                })
            });
            Ok(pieces.collect())
        }),
    }
}

fn works<'a, const CHANNELS: usize>() -> Vec<(Kernel, Work<'a>)> {
    let sample = |name, as_new, work| {
        let per = "sample";
        (Kernel { name, per, as_new }, work)
    };
    let other = |name, per, as_new, work| (Kernel { name, per, as_new }, work);
    vec![
        sample(
            "made safe, peaks in and out",
            true,
            samples::safe_and_peaks::<CHANNELS>(),
        ),
        sample(
            "K-weighting, two biquads, two mean squares",
            true,
            filters::k_weighting::<CHANNELS>(),
        ),
        sample(
            "low band for the period, an eighth of the rate",
            true,
            samples::decimation::<CHANNELS>(),
        ),
        sample("delay", true, samples::delay::<CHANNELS>()),
        sample(
            "shelf, two state-variable sections",
            true,
            filters::shelf::<CHANNELS>(),
        ),
        sample(
            "low cut, one state-variable section",
            false,
            filters::low_cut::<CHANNELS>(),
        ),
        sample(
            "three gains that move on a parabola",
            false,
            samples::gains::<CHANNELS>(),
        ),
        other("six exponentials", "step", false, hops::exponentials()),
        other(
            "window, transform, powers",
            "hop",
            true,
            hops::spectrum::<CHANNELS>(),
        ),
        other("correlation at 81 lags", "hop", true, hops::correlation()),
        other("sums over 128 bins", "hop", true, hops::band_sums()),
        other("twelve logarithms", "hop", true, hops::logarithms()),
    ]
}

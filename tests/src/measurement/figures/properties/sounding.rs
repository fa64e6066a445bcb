//! Where within its label a sibilant sounds.
//!
//! Sibilance level is the level while a sibilant is present. An aligner's label holds some of the neighbours too, on its grid
//! of 10 ms and beyond, and a label of a diphone voice the silence of a stop: over the whole of it a sibilant reads
//! softer than it is, by 3 dB where it fills half.

use std::ops::Range;

use super::defaults::{RATE_HZ, from_hz};
use crate::measurement::levels::{above, k_weighted};

/// Power is read over so much, samples at 48 kHz: 5 ms.
const BLOCK_SAMPLES: usize = 240;
/// A block within this ratio of powers (-10 dB) of the mean of the label belongs to the sibilant: the relative gate
/// of ITU-R BS.1770-5, within the label.
const GATE: f64 = 0.1;

/// The labels cut down to where they sound, from the first to the last block that passes the gate.
pub fn sounding(audio: &[f32], labels: &[Range<usize>]) -> Vec<Range<usize>> {
    let band = above(&k_weighted(audio, RATE_HZ), RATE_HZ, from_hz());
    labels.iter().map(|label| cut(&band, label)).collect()
}

fn cut(band: &[f32], label: &Range<usize>) -> Range<usize> {
    let label = label.start.min(band.len())..label.end.min(band.len());
    let power = |block: &Range<usize>| {
        let samples = &band[block.clone()];
        let sum: f64 = samples.iter().map(|&x| f64::from(x) * f64::from(x)).sum();
        sum / samples.len().max(1) as f64
    };
    let gate = GATE * power(&label);
    let blocks = label.clone().step_by(BLOCK_SAMPLES);
    let blocks = blocks.map(|start| start..(start + BLOCK_SAMPLES).min(label.end));
    let mut heard = blocks.filter(|block| power(block) > gate);
    let Some(first) = heard.next() else { return label };
    let end = heard.next_back().map_or(first.end, |last| last.end);
    first.start..end
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::signals::noise;

    #[test]
    fn what_lies_around_a_sibilant_is_cut_off_and_what_fills_its_label_is_not() {
        let mut audio = vec![0.0; 48_000];
        let sounds = 10_000..14_080;
        for (sample, noise) in audio[sounds.clone()].iter_mut().zip(noise(1)) {
            *sample = noise;
        }
        let wide = 7000..17_000;
        let [cut, whole] = &sounding(&audio, &[wide, sounds.clone()])[..] else {
            panic!("one range for each label");
        };
        let near = |one: usize, other: usize| one.abs_diff(other) <= BLOCK_SAMPLES;
        assert!(
            near(cut.start, sounds.start) && near(cut.end, sounds.end),
            "{cut:?}"
        );
        assert_eq!(*whole, sounds);
    }

    #[test]
    fn silence_keeps_its_label() {
        assert_eq!(
            sounding(&[0.0; 1000], &[100..900, 900..2000]),
            [100..900, 900..1000]
        );
    }
}

//! Applies gains to every channel.

use wide::{f32x4, f64x4};

use crate::control::ramp::{LANES, Ramp};
use crate::primitives::denormal::{Peak, flushed_output};
use crate::primitives::frame::Frame;

/// Multiplies frames; the first is sample `index` of the step. A constant gain of 1 leaves every bit unchanged.
pub(crate) fn apply(gain: &Ramp, frames: &mut [Frame], index: usize) {
    if gain.rests_at(1.0) {
        return;
    }
    if let Some(gain) = gain.rest() {
        let (fours, last) = frames.as_chunks_mut::<4>();
        fours
            .iter_mut()
            .for_each(|four| *four = four.map(|frame| frame * gain));
        last.iter_mut().for_each(|frame| *frame *= Frame::splat(gain));
        return;
    }
    gain.with_each(frames, index, |frame, gain| *frame *= Frame::splat(gain));
}

/// Multiplies samples, one slice per channel (one or two) of the same length, by two gains in one pass; the first sample is
/// sample `index` of the step. Equals, to the bit, [`apply`] of both to frames.
///
/// `between` gets what lies between the two, in both lanes if there is one channel; `peak` gets the result.
pub(crate) fn apply_both(
    [first, second]: [&Ramp; 2],
    audio: &mut [&mut [f32]],
    index: usize,
    between: &mut [Frame],
    peak: &mut Peak,
) {
    match second.rest() {
        Some(rest) => multiply((first, |_| f64x4::splat(rest)), audio, index, between, peak),
        None => multiply(
            (first, |places| second.at_places(places)),
            audio,
            index,
            between,
            peak,
        ),
    }
}

/// The second gain is a function of the places in the step.
fn multiply(
    gains: (&Ramp, impl Fn(f64x4) -> f64x4 + Copy),
    audio: &mut [&mut [f32]],
    index: usize,
    between: &mut [Frame],
    peak: &mut Peak,
) {
    let (first, second) = gains;
    let mut places = Ramp::places(index);
    let mut products = |four: &mut [f32; LANES], [first, second]: [f64x4; 2]| {
        let product = f64x4::new(four.map(f64::from)) * first;
        let rounded = (product * second).to_array().map(|sample| sample as f32);
        let rounded = flushed_output(f32x4::new(rounded));
        peak.add(rounded);
        *four = rounded.to_array();
        product.to_array()
    };
    let (frames, last_frames) = between.as_chunks_mut();
    match audio {
        [mono] => {
            for (four, frames) in mono.as_chunks_mut().0.iter_mut().zip(frames) {
                let product = products(four, [first.at_places(places), second(places)]);
                *frames = product.map(Frame::splat);
                places += LANES as f64;
            }
        }
        [left, right] => {
            let fours = left.as_chunks_mut().0.iter_mut().zip(right.as_chunks_mut().0);
            for ((left, right), frames) in fours.zip(frames) {
                let gains = [first.at_places(places), second(places)];
                let (left, right) = (products(left, gains), products(right, gains));
                *frames = std::array::from_fn(|n| Frame::new([left[n], right[n]]));
                places += LANES as f64;
            }
        }
        _ => {}
    }
    if !last_frames.is_empty() {
        multiply_last(gains, audio, index, last_frames, peak);
    }
}

/// The same for less than [`LANES`] samples, those at the end of `audio`.
fn multiply_last(
    gains: (&Ramp, impl Fn(f64x4) -> f64x4 + Copy),
    audio: &mut [&mut [f32]],
    index: usize,
    between: &mut [Frame],
    peak: &mut Peak,
) {
    let (mut copies, mut frames) = ([[0.0; LANES]; 2], [Frame::ZERO; LANES]);
    let [left, right] = &mut copies;
    let copies = &mut [&mut left[..], &mut right[..]][..audio.len()];
    let mut before = 0;
    for (copy, channel) in copies.iter_mut().zip(&*audio) {
        before = channel.len() - between.len();
        copy[..between.len()].copy_from_slice(&channel[before..]);
    }
    multiply(gains, copies, index + before, &mut frames, peak);
    for (copy, channel) in copies.iter().zip(audio) {
        channel[before..].copy_from_slice(&copy[..between.len()]);
    }
    between.copy_from_slice(&frames[..between.len()]);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::primitives::frame::{load, store};
    use crate::test_signals::white_noise;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn both_at_once_equal_one_after_the_other(
            targets in prop::collection::vec((0f64..8.0, 0f64..8.0), 1..4), rests: bool, channels in 1usize..3,
            length in 1usize..40, index in 0usize..9, loudness in -32i32..4, seed in 1u32..1000,
        ) {
            let (mut gain, mut second) = (Ramp::resting(1.0), Ramp::resting(targets[0].1));
            for (target, second_target) in targets {
                gain.continue_to(target, 48);
                second.continue_to(if rests { second.target() } else { second_target }, 48);
            }
            let mut audio: Vec<Vec<f32>> = (0..channels)
                .map(|channel| white_noise(length, seed + 1000 * channel as u32))
                .collect();
            audio.iter_mut().flatten().for_each(|sample| *sample *= 10f32.powi(loudness));
            let (mut plain, mut peak, mut plain_peak) = (audio.clone(), Peak::default(), Peak::default());
            let (mut between, mut frames) = (vec![Frame::ZERO; length], vec![Frame::ZERO; length]);
            let mut slices: Vec<&mut [f32]> = audio.iter_mut().map(Vec::as_mut_slice).collect();
            apply_both([&gain, &second], &mut slices, index, &mut between, &mut peak);

            let mut slices: Vec<&mut [f32]> = plain.iter_mut().map(Vec::as_mut_slice).collect();
            load(&mut frames, &slices);
            apply(&gain, &mut frames, index);
            for (between, frame) in between.iter().zip(&frames) {
                let (between, frame) = (between.to_array(), frame.to_array());
                prop_assert_eq!(&between[..channels], &frame[..channels]);
            }
            apply(&second, &mut frames, index);
            store(&frames, &mut slices, &mut plain_peak);
            prop_assert_eq!(audio, plain);
            prop_assert_eq!(peak.magnitude(), plain_peak.magnitude());
        }
    }
}

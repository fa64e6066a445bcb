//! The signal between the stages: both channels of a sample side by side in double precision. One pass of a filter serves
//! both channels, and the signal is rounded once, at the end.

use wide::{f32x4, f64x2};

use crate::primitives::denormal::{Peak, flushed_output};

/// One sample of the left and the right channel. The right one is 0 if the voice is mono.
pub(crate) type Frame = f64x2;

/// Fills frames from one slice per channel (one or two) of the same length.
pub(crate) fn load(frames: &mut [Frame], audio: &[&mut [f32]]) {
    match audio {
        [mono] => {
            for (frame, &sample) in frames.iter_mut().zip(mono.iter()) {
                *frame = Frame::new([f64::from(sample), 0.0]);
            }
        }
        [left, right] => {
            for ((frame, &left), &right) in frames.iter_mut().zip(left.iter()).zip(right.iter()) {
                *frame = Frame::new([f64::from(left), f64::from(right)]);
            }
        }
        _ => {}
    }
}

/// Takes the right channel from other frames.
pub(crate) fn take_right(frames: &mut [Frame], right: &[Frame]) {
    for (frame, right) in frames.iter_mut().zip(right) {
        *frame = Frame::new([frame.as_array()[0], right.as_array()[1]]);
    }
}

/// Rounds frames into one slice per channel (one or two) of the same length; `peak` takes the result.
pub(crate) fn store(frames: &[Frame], audio: &mut [&mut [f32]], peak: &mut Peak) {
    match audio {
        [mono] => store_lane::<0>(frames, mono, peak),
        [left, right] => {
            store_lane::<0>(frames, left, peak);
            store_lane::<1>(frames, right, peak);
        }
        _ => {}
    }
}

fn store_lane<const LANE: usize>(frames: &[Frame], samples: &mut [f32], peak: &mut Peak) {
    let mut rounded = |frames: [Frame; 4]| {
        let four = flushed_output(f32x4::new(frames.map(|frame| frame.as_array()[LANE] as f32)));
        peak.add(four);
        four.to_array()
    };
    let ((frames, last_frames), (fours, rest)) = (frames.as_chunks(), samples.as_chunks_mut());
    for (four, frames) in fours.iter_mut().zip(frames) {
        *four = rounded(*frames);
    }
    if !rest.is_empty() {
        let mut last = [Frame::ZERO; 4];
        last[..rest.len()].copy_from_slice(last_frames);
        rest.copy_from_slice(&rounded(last)[..rest.len()]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn samples_survive_a_round_trip_and_inaudible_ones_become_zero() {
        let (mut left, mut right) = (
            [1.5, -0.0, f32::MIN_POSITIVE, 1e-31],
            [f32::MAX, -1e-20, 0.25, -3.0],
        );
        let mut frames = [Frame::ZERO; 4];
        load(&mut frames, &[&mut left, &mut right]);
        let (mut left_out, mut right_out) = ([9.0; 4], [9.0; 4]);
        store(
            &frames,
            &mut [&mut left_out, &mut right_out],
            &mut Peak::default(),
        );
        assert_eq!(left_out, [1.5, 0.0, 0.0, 0.0]);
        assert_eq!(right_out, right);
        load(&mut frames, &[&mut right]);
        store(&frames, &mut [&mut left_out], &mut Peak::default());
        assert_eq!(left_out, right);
        assert!(frames.iter().all(|frame| frame.to_array()[1] == 0.0));
    }
}

//! The high shelf that reduces sibilants: 24 dB per octave, minimum phase, no change at 0 dB.
//!
//! Two state-variable sections with the poles of a fourth-order Butterworth filter (the same as scipy's `butter`) and zeros at
//! the same angles, further out. The power gain is `(1 + (gain w^4)^2) / (1 + w^8)`, where `w` is the warped frequency
//! relative to the corner. It is monotonic in the depth at every frequency, and the poles do not move with the depth. The
//! slope is steep so that frequencies below the edge are left alone.

use super::shelf_shape::{MovingShelf, SECTIONS, ShelfFilter, ShelfShape};
use crate::primitives::frame::Frame;
use crate::primitives::frame_history::FrameHistory;
use crate::primitives::state_variable::FilterState;

/// The filter. While the shelf changes nothing it sleeps: it only records its input, and filters the recording when it wakes.
#[derive(Debug, Clone)]
pub(crate) struct Shelf {
    sections: [FilterState; SECTIONS],
    history: FrameHistory,
    /// The shape while it sleeps; `None` while it is awake.
    asleep: Option<ShelfShape>,
}

impl Shelf {
    /// A shelf that can sleep if its state depends on no more than `history_frames` frames.
    pub fn new(history_frames: usize) -> Self {
        Self {
            sections: [FilterState::default(); SECTIONS],
            history: FrameHistory::new(history_frames),
            asleep: None,
        }
    }

    pub fn reset(&mut self) {
        self.sections = [FilterState::default(); SECTIONS];
        self.history.reset();
        self.asleep = None;
    }

    /// Filters frames; the first is sample `index` of the step. Every bit is unchanged while the shelf changes nothing.
    pub fn process(&mut self, frames: &mut [Frame], shelf: &MovingShelf, index: usize) {
        if self.sleeps(shelf) {
            self.history.push(frames);
            return;
        }
        self.wake();
        self.history.push(frames);
        if shelf.is_identity() {
            advance(&mut self.sections, frames.iter().copied(), &shelf.to);
            return;
        }
        // A local copy stays in registers.
        let mut memory = self.sections;
        let (pairs, last) = frames.as_chunks_mut::<2>();
        let place_of_last = index + 2 * pairs.len();
        for (pair, [first, second]) in pairs.iter_mut().enumerate() {
            let filters = shelf.filters_at(index + 2 * pair);
            *first = filters[0].process(&mut memory, *first);
            *second = filters[1].process(&mut memory, *second);
        }
        for frame in last {
            *frame = shelf.filters_at(place_of_last)[0].process(&mut memory, *frame);
        }
        self.sections = memory;
    }

    /// True if the shelf sleeps, which it does while it changes nothing. If the corner moves during sleep, the recording is
    /// filtered with the last corner.
    pub fn sleeps(&mut self, shelf: &MovingShelf) -> bool {
        if !shelf.is_identity() {
            return false;
        }
        let sleeps = self.asleep == Some(shelf.to) || shelf.to.remembered_samples() <= self.history.len();
        if sleeps {
            self.asleep = Some(shelf.to);
        }
        sleeps
    }

    /// What the shelf has recorded.
    pub fn history(&mut self) -> &mut FrameHistory {
        &mut self.history
    }

    /// Filters the recorded input, as far as the state depends on it.
    fn wake(&mut self) {
        let Some(shape) = self.asleep.take() else { return };
        let (older, newer) = self.history.last(shape.remembered_samples());
        let mut recorded = older.iter().chain(newer).copied();
        if let Some(first) = recorded.next() {
            self.sections = [FilterState::settled_at(first); SECTIONS];
        }
        advance(&mut self.sections, recorded, &shape);
    }

    /// Sets negligible state to zero.
    pub fn flush_denormals(&mut self) {
        self.sections.iter_mut().for_each(FilterState::flush_denormals);
    }
}

impl ShelfFilter {
    /// Filters one frame.
    fn process(&self, memory: &mut [FilterState; SECTIONS], x: Frame) -> Frame {
        let sections = memory.iter_mut().zip(&self.sections).zip(self.bands);
        sections.fold(x, |x, ((memory, integrators), gain)| {
            let (band, low) = memory.process_moving(integrators, x);
            low + (x - low) * self.square + band * gain
        }) * self.plain
    }
}

/// Updates the state of both sections by frames that they do not change.
fn advance(memory: &mut [FilterState; SECTIONS], frames: impl Iterator<Item = Frame>, shape: &ShelfShape) {
    let sections = shape.sections();
    for frame in frames {
        for (memory, integrators) in memory.iter_mut().zip(&sections) {
            memory.advance(integrators, frame);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::primitives::state_variable::warped;
    use crate::stages::sibilance::shelf_shape::shelf_power_gain;
    use crate::test_signals::response_db;

    const RATE_HZ: f64 = 48_000.0;

    fn shape(corner_hz: f64, gain_db: f64) -> ShelfShape {
        ShelfShape {
            warped_corner: warped(corner_hz, RATE_HZ),
            root: 10f64.powf(gain_db / 80.0),
            plain: 1.0,
        }
    }

    fn measured_db(shape: &ShelfShape, frequency_hz: f64) -> f64 {
        let resting = MovingShelf {
            from: *shape,
            to: *shape,
            step_samples: 16,
        };
        let (mut memory, [filter, _]) = ([FilterState::default(); SECTIONS], resting.filters_at(0));
        response_db(frequency_hz, RATE_HZ, |x| filter.process(&mut memory, x))
    }

    // scipy.signal 1.17.1: butter(4, 6000, fs=48000), low and high. The two are power complementary, so a shelf is the
    // low-pass and a share of the high-pass: |low|^2 + gain^2 |high|^2.
    #[test]
    fn the_shelf_matches_scipys_butterworth_filter() {
        let table = [
            (
                -6.0,
                [
                    (3000.0, -0.0092),
                    (4500.0, -0.2559),
                    (6000.0, -2.0371),
                    (8000.0, -5.2244),
                    (12_000.0, -5.9888),
                ],
            ),
            (
                -12.0,
                [
                    (3000.0, -0.0115),
                    (4500.0, -0.3226),
                    (6000.0, -2.7446),
                    (8000.0, -9.0468),
                    (12_000.0, -11.9445),
                ],
            ),
            (
                -24.0,
                [
                    (3000.0, -0.0122),
                    (4500.0, -0.3438),
                    (6000.0, -2.993),
                    (8000.0, -11.5922),
                    (12_000.0, -23.1485),
                ],
            ),
        ];
        for (gain_db, readings) in table {
            for (frequency_hz, scipy_db) in readings {
                let db = measured_db(&shape(6000.0, gain_db), frequency_hz);
                assert!(
                    (db - scipy_db).abs() < 2e-3,
                    "{db} dB at {frequency_hz} Hz, {gain_db} dB"
                );
            }
        }
    }

    #[test]
    fn sleeping_does_not_change_the_output() {
        let tone = |n: usize| {
            let phase = std::f64::consts::TAU * n as f64 / RATE_HZ;
            Frame::new([
                (3000.0 * phase).sin(),
                0.3 * (9000.0 * phase).sin() + 0.5 * (200.0 * phase).sin(),
            ])
        };
        for corner_hz in [1500.0, 2800.0, 6000.0] {
            let rest = MovingShelf {
                from: shape(corner_hz, 0.0),
                to: shape(corner_hz, 0.0),
                step_samples: 16,
            };
            let falling = MovingShelf {
                to: shape(corner_hz, -12.0),
                ..rest
            };
            let (mut sleeper, mut waker) = (Shelf::new(256), Shelf::new(0));
            for step in 0..200 {
                let mut frames: Vec<Frame> = (0..16).map(|n| tone(16 * step + n)).collect();
                let mut others = frames.clone();
                let moving = if step % 50 == 49 { &falling } else { &rest };
                sleeper.process(&mut frames, moving, 0);
                waker.process(&mut others, moving, 0);
                assert_eq!(sleeper.asleep.is_some(), step % 50 != 49);
                assert!(waker.asleep.is_none());
                for (slept, woke) in frames.iter().zip(&others) {
                    let difference = (*slept - *woke).abs().to_array();
                    assert!(
                        difference.iter().all(|x| *x < 1e-7),
                        "{difference:?} at {corner_hz} Hz"
                    );
                }
            }
        }
    }

    #[test]
    fn the_closed_form_matches_the_filter() {
        for (corner_hz, gain_db) in [(2000.0, -12.0), (5600.0, -24.0), (300.0, -3.0)] {
            for frequency_hz in [1000.0, 4000.0, 9000.0, 15_000.0] {
                let ratio = warped(frequency_hz, RATE_HZ) / warped(corner_hz, RATE_HZ);
                let predicted = shelf_power_gain(ratio as f32, 10f32.powf(gain_db as f32 / 10.0));
                let measured_db = measured_db(&shape(corner_hz, gain_db), frequency_hz);
                let predicted_db = f64::from(10.0 * predicted.log10());
                assert!((predicted_db - measured_db).abs() < 0.02, "{frequency_hz} Hz");
            }
        }
    }
}

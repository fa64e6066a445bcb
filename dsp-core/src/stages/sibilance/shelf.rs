//! The high shelf of the reduction: 24 dB per octave, minimum phase, the identity at 0 dB.
//!
//! Two state-variable sections with the poles of a fourth-order Butterworth filter (scipy's `butter` gives the same)
//! and zeros at the same angles, further out. Its power gain is `(1 + (gain w^4)^2) / (1 + w^8)`, where `w` is the
//! warped frequency over the corner: deeper is deeper at every frequency, and the poles stand still while the depth
//! moves. Steep, so that a reduction of the band above its edge leaves what lies below the edge alone.

use crate::primitives::frame::Frame;
use crate::primitives::past::Past;
use crate::primitives::state_variable::{Integrators, Memory};

/// Damping `1/Q` of the two sections: `2 sin(pi/8)` and `2 cos(pi/8)`.
const DAMPING: [f64; 2] = [0.765_366_864_730_179_6, 1.847_759_065_022_573_5];
/// What fell by this much is forgotten: 150 dB.
const FORGOTTEN_NEPERS: f64 = 17.3;
/// Sections.
const SECTIONS: usize = DAMPING.len();

/// One state of the shelf, as plain numbers that may be interpolated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ShelfShape {
    /// `tan(pi f / fs)` of the corner.
    pub warped_corner: f64,
    /// Fourth root of the gain far above the corner, `10^(gain_db / 80)`; 1 is no shelf.
    pub root: f64,
    /// Gain at every frequency.
    pub plain: f64,
}

impl ShelfShape {
    /// True where nothing is changed.
    pub fn is_identity(&self) -> bool {
        self.root == 1.0 && self.plain == 1.0
    }

    /// A point on the straight line from `self` to `to`.
    fn towards(&self, to: &Self, share: f64) -> Self {
        let line = |from: f64, to: f64| from + (to - from) * share;
        Self {
            warped_corner: line(self.warped_corner, to.warped_corner),
            root: line(self.root, to.root),
            plain: line(self.plain, to.plain),
        }
    }

    /// How long ago a sample must be for the memory to have forgotten it: the slower section keeps
    /// `exp(-DAMPING[0] * warped_corner)` of it from one sample to the next.
    fn remembered_samples(&self) -> usize {
        (FORGOTTEN_NEPERS / (DAMPING[0] * self.warped_corner)).ceil() as usize
    }

    fn sections(&self) -> [Integrators; SECTIONS] {
        DAMPING.map(|damping| Integrators::new(self.warped_corner, damping))
    }
}

/// Power gain of a shelf where the frequency is `warped_ratio` = `tan(pi f/fs) / tan(pi fc/fs)` times the corner;
/// `power_gain` is the one far above the corner.
pub(crate) fn shelf_power_gain(warped_ratio: f32, power_gain: f32) -> f32 {
    let (left, shelved) = shelf_shares(warped_ratio);
    left + power_gain * shelved
}

/// The shares of the power at a frequency that a shelf leaves and that it takes down; they add up to 1.
pub(crate) fn shelf_shares(warped_ratio: f32) -> (f32, f32) {
    let eighth = warped_ratio.powi(8).min(f32::MAX * 1e-3);
    let left = 1.0 / (1.0 + eighth);
    (left, eighth * left)
}

/// The shelf over one step: its shape moves in a straight line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct MovingShelf {
    pub from: ShelfShape,
    pub to: ShelfShape,
    /// Samples in a step.
    pub step_samples: usize,
}

impl MovingShelf {
    fn is_identity(&self) -> bool {
        self.from.is_identity() && self.to.is_identity() && self.from.warped_corner == self.to.warped_corner
    }

    /// The shape when `share` of the step is over.
    fn at(&self, share: f64) -> ShelfShape {
        self.from.towards(&self.to, share)
    }
}

/// The memory of both sections. At rest it sleeps: it keeps what it would have heard, and hears it when it is woken.
#[derive(Debug, Clone)]
pub(crate) struct Shelf {
    sections: [Memory; SECTIONS],
    past: Past,
    /// The shape in which it sleeps.
    asleep: Option<ShelfShape>,
}

impl Shelf {
    /// A shelf that sleeps where `past_frames` hold all that its memory would know.
    pub fn new(past_frames: usize) -> Self {
        Self {
            sections: [Memory::default(); SECTIONS],
            past: Past::new(past_frames),
            asleep: None,
        }
    }

    pub fn reset(&mut self) {
        self.sections = [Memory::default(); SECTIONS];
        self.past.reset();
        self.asleep = None;
    }

    /// Filters frames that start at `index` within a step; at rest every bit stays.
    pub fn process(&mut self, frames: &mut [Frame], shelf: &MovingShelf, index: usize) {
        if shelf.is_identity() {
            self.rest(frames, &shelf.to);
            return;
        }
        self.wake();
        self.past.push(frames);
        // By value, to stay in registers.
        let mut memory = self.sections;
        let per_sample = 1.0 / shelf.step_samples as f64;
        let shapes = (index..).map(|index| shelf.at(f64::from(index as u32 + 1) * per_sample));
        if shelf.from.warped_corner == shelf.to.warped_corner {
            let sections = shelf.to.sections();
            for (frame, shape) in frames.iter_mut().zip(shapes) {
                *frame = filter(&mut memory, &shape, &sections, *frame);
            }
        } else {
            for (frame, shape) in frames.iter_mut().zip(shapes) {
                *frame = filter(&mut memory, &shape, &shape.sections(), *frame);
            }
        }
        self.sections = memory;
    }

    fn rest(&mut self, frames: &[Frame], shape: &ShelfShape) {
        if self.asleep != Some(*shape) {
            // Where the corner moves in its sleep, what it will have heard is what its last corner would have.
            if shape.remembered_samples() <= self.past.len() {
                self.asleep = Some(*shape);
            } else {
                self.wake();
                follow(&mut self.sections, frames.iter().copied(), shape);
            }
        }
        self.past.push(frames);
    }

    /// Lets the memory hear what it slept through, as far as it would still know it.
    fn wake(&mut self) {
        let Some(shape) = self.asleep.take() else { return };
        let (older, newer) = self.past.last(shape.remembered_samples());
        let mut heard = older.iter().chain(newer).copied();
        if let Some(first) = heard.next() {
            self.sections = [Memory::settled_at(first); SECTIONS];
        }
        follow(&mut self.sections, heard, &shape);
    }

    pub fn flush_denormals(&mut self) {
        self.sections.iter_mut().for_each(Memory::flush_denormals);
    }
}

fn filter(
    memory: &mut [Memory; SECTIONS],
    shape: &ShelfShape,
    sections: &[Integrators; SECTIONS],
    x: Frame,
) -> Frame {
    let (root, square) = (shape.root, shape.root * shape.root);
    let mut y = x;
    for ((memory, integrators), damping) in memory.iter_mut().zip(sections).zip(DAMPING) {
        let (band, low) = memory.process(integrators, y);
        y = y * square + band * (damping * (root - square)) + low * (1.0 - square);
    }
    y * shape.plain
}

/// Both sections hear the sound itself where neither changes it.
fn follow(memory: &mut [Memory; SECTIONS], frames: impl Iterator<Item = Frame>, shape: &ShelfShape) {
    let sections = shape.sections();
    for frame in frames {
        for (memory, integrators) in memory.iter_mut().zip(&sections) {
            memory.follow(integrators, frame);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::primitives::state_variable::warped;

    const RATE_HZ: f64 = 48_000.0;

    fn shape(corner_hz: f64, gain_db: f64) -> ShelfShape {
        ShelfShape {
            warped_corner: warped(corner_hz, RATE_HZ),
            root: 10f64.powf(gain_db / 80.0),
            plain: 1.0,
        }
    }

    fn measured_db(shape: &ShelfShape, frequency_hz: f64) -> f64 {
        let mut memory = [Memory::default(); SECTIONS];
        let (mut real, mut imaginary) = (0.0, 0.0);
        let sections = shape.sections();
        for n in 0..8192 {
            let x = Frame::splat(if n == 0 { 1.0 } else { 0.0 });
            let y = filter(&mut memory, shape, &sections, x).to_array()[1];
            let phase = std::f64::consts::TAU * frequency_hz * f64::from(n) / RATE_HZ;
            real += y * phase.cos();
            imaginary += y * phase.sin();
        }
        10.0 * (real * real + imaginary * imaginary).log10()
    }

    // scipy.signal 1.17.1: butter(4, 6000, fs=48000), low and high. The two are power complementary, so a shelf is the
    // low-pass and a share of the high-pass: |low|^2 + gain^2 |high|^2.
    #[test]
    fn the_shelf_is_scipys_butterworth_filter_with_a_share_of_its_high_pass() {
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
    fn a_shelf_that_slept_sounds_as_one_that_stayed_awake() {
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
    fn the_predicted_shelf_is_the_measured_one() {
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

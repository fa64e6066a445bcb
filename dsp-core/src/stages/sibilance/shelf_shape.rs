//! The shape of the shelf: its parameters, its power gain in closed form, and its movement over a control step.

use wide::f64x2;

use crate::primitives::state_variable::Integrators;

/// Damping `1/Q` of the two sections: `2 sin(pi/8)` and `2 cos(pi/8)`.
pub(super) const DAMPING: [f64; 2] = [0.765_366_864_730_179_6, 1.847_759_065_022_573_5];
/// Number of sections.
pub(super) const SECTIONS: usize = DAMPING.len();
/// Decay after which a sample no longer matters: 150 dB.
const NEGLIGIBLE_NEPERS: f64 = 17.3;

/// The parameters of the shelf; they may be interpolated linearly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ShelfShape {
    /// `tan(pi f / fs)` of the corner.
    pub warped_corner: f64,
    /// Fourth root of the gain far above the corner, `10^(gain_db / 80)`; 1 means no shelf.
    pub root: f64,
    /// Gain at every frequency.
    pub plain: f64,
}

impl ShelfShape {
    /// True if the shelf changes nothing.
    pub fn is_identity(&self) -> bool {
        self.root == 1.0 && self.plain == 1.0
    }

    /// Samples after which the filter state no longer depends on a sample: the slower section decays by
    /// `exp(-DAMPING[0] * warped_corner)` per sample.
    pub(super) fn remembered_samples(&self) -> usize {
        (NEGLIGIBLE_NEPERS / (DAMPING[0] * self.warped_corner)).ceil() as usize
    }

    /// The two sections of the filter.
    pub(super) fn sections(&self) -> [Integrators; SECTIONS] {
        DAMPING.map(|damping| Integrators::new(self.warped_corner, damping))
    }
}

/// Power gain of a shelf at `warped_ratio` = `tan(pi f/fs) / tan(pi fc/fs)`, the frequency relative to the corner. `power_gain`
/// is the gain far above the corner.
pub(crate) fn shelf_power_gain(warped_ratio: f32, power_gain: f32) -> f32 {
    let (left, shelved) = shelf_shares(warped_ratio);
    left + power_gain * shelved
}

/// The shares of the power at a frequency that a shelf leaves and that it reduces; they add up to 1.
pub(crate) fn shelf_shares(warped_ratio: f32) -> (f32, f32) {
    let eighth = warped_ratio.powi(8).min(f32::MAX * 1e-3);
    let left = 1.0 / (1.0 + eighth);
    (left, eighth * left)
}

/// The coefficients of the filter at one sample.
pub(super) struct ShelfFilter {
    pub sections: [Integrators; SECTIONS],
    /// Gain of the band-pass of each section.
    pub bands: [f64; SECTIONS],
    /// Gain of what is above the low-pass of each section, a square root of the gain far above the corner.
    pub square: f64,
    /// Gain at every frequency.
    pub plain: f64,
}

/// The shelf over one control step: its parameters move linearly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct MovingShelf {
    pub from: ShelfShape,
    pub to: ShelfShape,
    /// Samples per step.
    pub step_samples: usize,
}

impl MovingShelf {
    pub(super) fn is_identity(&self) -> bool {
        self.from.is_identity() && self.to.is_identity() && self.from.warped_corner == self.to.warped_corner
    }

    /// The filter at two samples of the step in a row, the first of which is sample `index`: computed in lanes.
    pub(super) fn filters_at(&self, index: usize) -> [ShelfFilter; 2] {
        let samples = f64x2::new([1.0, 2.0]) + f64::from(index as u32);
        let share = samples * (1.0 / self.step_samples as f64);
        let line = |from: f64, to: f64| from + (to - from) * share;
        let warped_corner = line(self.from.warped_corner, self.to.warped_corner);
        let root = line(self.from.root, self.to.root);
        let square = root * root;
        let sections = DAMPING.map(|damping| Integrators::pair(warped_corner, damping));
        let bands = DAMPING.map(|damping| ((root - square) * damping).to_array());
        let (square, plain) = (square.to_array(), line(self.from.plain, self.to.plain).to_array());
        std::array::from_fn(|sample| ShelfFilter {
            sections: sections.map(|pair| pair[sample]),
            bands: bands.map(|pair| pair[sample]),
            square: square[sample],
            plain: plain[sample],
        })
    }
}

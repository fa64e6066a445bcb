//! The two pictures: their parts and scales.

use emath::{Pos2, Rect, Vec2, pos2, vec2};

/// Top of the level scale, LUFS.
pub const TOP_LUFS: f32 = 0.0;
/// Bottom of the level scale, LUFS.
pub const BOTTOM_LUFS: f32 = -60.0;
/// Lower end of the frequency scale, Hz.
pub const LOWEST_HZ: f32 = 100.0;
/// Upper end of the frequency scale, Hz.
pub const HIGHEST_HZ: f32 = 20_000.0;
/// Duration of the timeline, seconds.
pub const PAST_S: f32 = 8.0;
/// Sibilants in the tally.
pub const TALLY: usize = 20;

/// Height of a legend above a plot, points.
const LEGEND_HEIGHT: f32 = 20.0;
/// Height of the line of values below a plot, points.
const VALUES_HEIGHT: f32 = 18.0;
/// Width of the scale left of a picture, points.
pub(crate) const SCALE_WIDTH: f32 = 40.0;
/// Width of the handle right of the timeline, points.
pub(crate) const HANDLE_WIDTH: f32 = 90.0;
const HANDLE_HEIGHT: f32 = 22.0;
const REDUCTION_LANE_HEIGHT: f32 = 26.0;
const BREATH_LANE_HEIGHT: f32 = 15.0;
const LEVELLER_LANE_HEIGHT: f32 = 26.0;
const LANE_GAP: f32 = 3.0;
const TALLY_HEIGHT: f32 = 20.0;
/// Height of the frequencies below the spectrum, points.
const FREQUENCIES_HEIGHT: f32 = 20.0;
/// Readings: the reduction of three stages, and two peaks.
pub const READINGS: usize = 5;
const READINGS_HEAD: f32 = 18.0;
const READING_HEIGHT: f32 = 17.5;
/// Height of the readings, points.
pub(crate) const READINGS_HEIGHT: f32 = READINGS_HEAD + READING_HEIGHT * READINGS as f32 + 4.0;

/// Picture of the last seconds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Timeline {
    /// Frame of the picture.
    pub frame: Rect,
    /// Legend.
    pub legend: Rect,
    /// Voice, threshold and sibilants; the right edge is the present.
    pub plot: Rect,
    /// Lane of the sibilance stage's reduction.
    pub reduction: Rect,
    /// Lane of breaths.
    pub breaths: Rect,
    /// Lane of the leveller's gain.
    pub leveller: Rect,
    /// Right of the plot: a vertical drag sets Proportion.
    pub handle: Rect,
    /// Tally of the last sibilants.
    pub tally: Rect,
    /// Legend of the tally's marks, or values at the pointer.
    pub values: Rect,
}

/// Picture of frequencies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spectrum {
    /// Frame of the picture.
    pub frame: Rect,
    /// Legend.
    pub legend: Rect,
    /// Spectra and reduction curve.
    pub plot: Rect,
    /// Values at the pointer.
    pub values: Rect,
}

/// The readings: numbers at a glance. A click on them begins the greatest values anew.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Readings {
    /// Frame of the table.
    pub frame: Rect,
}

impl Readings {
    pub(crate) fn translated(&self, by: Vec2) -> Self {
        let frame = self.frame.translate(by);
        Self { frame }
    }

    /// Names of the columns.
    #[must_use]
    pub fn head(&self) -> Rect {
        let inside = self.frame.shrink2(vec2(8.0, 0.0));
        inside.with_max_y(inside.top() + READINGS_HEAD)
    }

    /// Row `index`: reductions of sibilance, breath and leveller, peaks of input and output.
    #[must_use]
    pub fn row(&self, index: usize) -> Rect {
        let head = self.head();
        let top = head.bottom() + READING_HEIGHT * index as f32;
        Rect::from_min_size(pos2(head.left(), top), vec2(head.width(), READING_HEIGHT))
    }
}

impl Timeline {
    pub(crate) fn translated(&self, by: Vec2) -> Self {
        Self {
            frame: self.frame.translate(by),
            legend: self.legend.translate(by),
            plot: self.plot.translate(by),
            reduction: self.reduction.translate(by),
            breaths: self.breaths.translate(by),
            leveller: self.leveller.translate(by),
            handle: self.handle.translate(by),
            tally: self.tally.translate(by),
            values: self.values.translate(by),
        }
    }

    /// Vertical position of a level, LUFS.
    #[must_use]
    pub fn y(&self, lufs: f32) -> f32 {
        let down = (TOP_LUFS - lufs) / (TOP_LUFS - BOTTOM_LUFS);
        self.plot.top() + self.plot.height() * down.clamp(0.0, 1.0)
    }

    /// Level, LUFS, at a vertical position.
    #[must_use]
    pub fn lufs(&self, y: f32) -> f32 {
        TOP_LUFS - (y - self.plot.top()) / self.plot.height() * (TOP_LUFS - BOTTOM_LUFS)
    }

    /// Level difference, LU, of a distance of `points` downwards.
    #[must_use]
    pub fn lu_down(&self, points: f32) -> f32 {
        points / self.plot.height() * (TOP_LUFS - BOTTOM_LUFS)
    }

    /// Horizontal position of the time `ago_s` seconds ago.
    #[must_use]
    pub fn x(&self, ago_s: f32) -> f32 {
        self.plot.right() - self.plot.width() * ago_s / PAST_S
    }

    /// Seconds ago at a horizontal position.
    #[must_use]
    pub fn ago_s(&self, x: f32) -> f32 {
        (self.plot.right() - x) / self.plot.width() * PAST_S
    }

    /// Flag of the threshold at a level, LUFS.
    #[must_use]
    pub fn flag(&self, lufs: f32) -> Rect {
        let half = 0.5 * HANDLE_HEIGHT;
        let y = self
            .y(lufs)
            .clamp(self.handle.top() + half, self.handle.bottom() - half);
        Rect::from_min_size(
            pos2(self.handle.left(), y - half),
            vec2(self.handle.width() - 5.0, HANDLE_HEIGHT),
        )
    }

    /// Centre of the tally mark `index`; 0 is the oldest.
    #[must_use]
    pub fn tally_mark(&self, index: usize) -> Pos2 {
        let step = 8.0;
        let first = self.tally.right() - step * (TALLY as f32 - 0.5);
        pos2(first + step * index as f32, self.tally.center().y)
    }
}

impl Spectrum {
    pub(crate) fn translated(&self, by: Vec2) -> Self {
        Self {
            frame: self.frame.translate(by),
            legend: self.legend.translate(by),
            plot: self.plot.translate(by),
            values: self.values.translate(by),
        }
    }

    /// Horizontal position of a frequency, Hz.
    #[must_use]
    pub fn x(&self, hz: f32) -> f32 {
        let along = (hz.max(1.0) / LOWEST_HZ).ln() / (HIGHEST_HZ / LOWEST_HZ).ln();
        self.plot.left() + self.plot.width() * along.clamp(0.0, 1.0)
    }

    /// Frequency, Hz, at a horizontal position.
    #[must_use]
    pub fn hz(&self, x: f32) -> f32 {
        let along = (x - self.plot.left()) / self.plot.width();
        LOWEST_HZ * (HIGHEST_HZ / LOWEST_HZ).powf(along)
    }
}

pub(crate) fn timeline(frame: Rect) -> Timeline {
    let (left, right) = (frame.left() + SCALE_WIDTH, frame.right() - HANDLE_WIDTH);
    let across = |top: f32, height: f32| Rect::from_min_max(pos2(left, top), pos2(right, top + height));
    let whole = |top: f32, height: f32| {
        Rect::from_min_size(pos2(frame.left() + 8.0, top), vec2(frame.width() - 16.0, height))
    };
    let values = whole(frame.bottom() - VALUES_HEIGHT - 2.0, VALUES_HEIGHT);
    let tally = whole(values.top() - TALLY_HEIGHT, TALLY_HEIGHT);
    let above = |below: Rect, height: f32| across(below.top() - LANE_GAP - height, height);
    let leveller = above(tally, LEVELLER_LANE_HEIGHT);
    let breaths = above(leveller, BREATH_LANE_HEIGHT);
    let reduction = above(breaths, REDUCTION_LANE_HEIGHT);
    let legend = whole(frame.top() + 2.0, LEGEND_HEIGHT);
    let plot = across(legend.bottom(), reduction.top() - LANE_GAP - legend.bottom());
    Timeline {
        frame,
        legend,
        plot,
        reduction,
        breaths,
        leveller,
        handle: Rect::from_min_max(plot.right_top(), pos2(frame.right(), plot.bottom())),
        tally,
        values,
    }
}

pub(crate) fn spectrum(frame: Rect) -> Spectrum {
    let inside = frame.shrink2(vec2(8.0, 2.0));
    let legend = inside.with_max_y(inside.top() + LEGEND_HEIGHT);
    let values = inside.with_min_y(inside.bottom() - VALUES_HEIGHT);
    Spectrum {
        frame,
        legend,
        plot: Rect::from_min_max(
            pos2(frame.left() + SCALE_WIDTH, legend.bottom() + 2.0),
            pos2(frame.right() - 10.0, values.top() - FREQUENCIES_HEIGHT),
        ),
        values,
    }
}

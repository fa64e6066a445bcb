//! The song: a strip of the whole song, and the panel of its sections and of what is left to do.

use emath::{Pos2, Rect, Vec2, pos2, vec2};

use super::pictures::{HANDLE_WIDTH, SCALE_WIDTH};
use super::{BOTTOM_LUFS, BUTTON_HEIGHT, GAP, TOP_LUFS};

/// Height of the strip, points.
pub(crate) const STRIP_HEIGHT: f32 = 48.0;
/// Height of the lane of sibilants at the foot of the strip, points.
const LANE_HEIGHT: f32 = 17.0;
/// Furthest that the lane shows a sibilant from what was asked, LU.
const FURTHEST_LU: f32 = 8.0;
/// Height of headings, of heads of columns and of rows, points.
const HEADING_HEIGHT: f32 = 24.0;
const HEAD_HEIGHT: f32 = 18.0;
const ROW_HEIGHT: f32 = 18.0;
/// Width of the list of sections beside the list of sibilants, points.
const SECTIONS_WIDTH: f32 = 520.0;
const LISTS_GAP: f32 = 24.0;
/// Sections above the list of sibilants, where they are above one another.
const SECTIONS_ABOVE: usize = 6;
const BUTTON_WIDTH: f32 = 60.0;

/// A list with a heading, heads of columns, and rows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct List {
    /// The whole list.
    pub area: Rect,
}

impl List {
    /// Heading, ruled below.
    #[must_use]
    pub fn heading(&self) -> Rect {
        self.area.with_max_y(self.area.top() + HEADING_HEIGHT)
    }

    /// Heads of the columns.
    #[must_use]
    pub fn head(&self) -> Rect {
        let top = self.heading().bottom();
        self.area.with_min_y(top).with_max_y(top + HEAD_HEIGHT)
    }

    /// Rows that there is room for.
    #[must_use]
    pub fn rows(&self) -> usize {
        ((self.area.bottom() - self.head().bottom()) / ROW_HEIGHT).max(0.0) as usize
    }

    /// Row `index`.
    #[must_use]
    pub fn row(&self, index: usize) -> Rect {
        let top = self.head().bottom() + ROW_HEIGHT * index as f32;
        Rect::from_min_size(pos2(self.area.left(), top), vec2(self.area.width(), ROW_HEIGHT))
    }

    /// Button `index` at the right end of the heading, from the right.
    #[must_use]
    pub fn button(&self, index: usize) -> Rect {
        let right = self.area.right() - (BUTTON_WIDTH + 6.0) * index as f32;
        let top = self.area.top() - 3.0;
        Rect::from_min_size(pos2(right - BUTTON_WIDTH, top), vec2(BUTTON_WIDTH, BUTTON_HEIGHT))
    }

    fn translated(&self, by: Vec2) -> Self {
        let area = self.area.translate(by);
        Self { area }
    }
}

/// Places of what is known of the song.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Song {
    /// Whether the strip is shown with the panel only: the page is narrow or low.
    pub is_folded: bool,
    /// Frame of the strip.
    pub frame: Rect,
    /// Voice, threshold and sections.
    pub plot: Rect,
    /// Sibilants: the middle is what was asked.
    pub lane: Rect,
    /// Right of the strip: the position.
    pub position: Rect,
    /// The sections.
    pub sections: List,
    /// What is left to do by hand.
    pub left_to_do: List,
}

impl Song {
    pub(crate) fn translated(&self, by: Vec2) -> Self {
        Self {
            is_folded: self.is_folded,
            frame: self.frame.translate(by),
            plot: self.plot.translate(by),
            lane: self.lane.translate(by),
            position: self.position.translate(by),
            sections: self.sections.translated(by),
            left_to_do: self.left_to_do.translated(by),
        }
    }

    /// Horizontal position of a time, where the strip shows the song from `span_s.0` to `span_s.1`, seconds.
    #[must_use]
    pub fn x(&self, seconds: f64, span_s: (f64, f64)) -> f32 {
        let along = ((seconds - span_s.0) / (span_s.1 - span_s.0)).clamp(0.0, 1.0);
        self.plot.left() + self.plot.width() * along as f32
    }

    /// Time, seconds, at a horizontal position.
    #[must_use]
    pub fn seconds(&self, x: f32, span_s: (f64, f64)) -> f64 {
        let along = f64::from((x - self.plot.left()) / self.plot.width()).clamp(0.0, 1.0);
        span_s.0 + along * (span_s.1 - span_s.0)
    }

    /// Vertical position of a level, LUFS.
    #[must_use]
    pub fn y(&self, lufs: f32) -> f32 {
        let down = (TOP_LUFS - lufs) / (TOP_LUFS - BOTTOM_LUFS);
        self.plot.top() + self.plot.height() * down.clamp(0.0, 1.0)
    }

    /// Vertical position in the lane of a sibilant that leaves `off_lu` from what was asked.
    #[must_use]
    pub fn off_y(&self, off_lu: f32) -> f32 {
        let up = off_lu.clamp(-FURTHEST_LU, FURTHEST_LU) / FURTHEST_LU;
        self.lane.center().y - up * 0.5 * self.lane.height()
    }
}

/// The strip in `frame`, and the panel in the place of the stages.
pub(crate) fn song(frame: Rect, panel: Rect, is_folded: bool, wide: bool) -> Song {
    let (left, right) = (frame.left() + SCALE_WIDTH, frame.right() - HANDLE_WIDTH);
    let inside = Rect::from_x_y_ranges(left..=right, frame.top() + 2.0..=frame.bottom() - 2.0);
    let lane = inside.with_min_y(inside.bottom() - LANE_HEIGHT);
    let (sections, left_to_do) = lists(panel, wide);
    Song {
        is_folded,
        frame,
        plot: inside.with_max_y(lane.top()),
        lane,
        position: Rect::from_x_y_ranges(right..=frame.right(), frame.y_range()),
        sections: List { area: sections },
        left_to_do: List { area: left_to_do },
    }
}

fn lists(panel: Rect, wide: bool) -> (Rect, Rect) {
    if wide {
        let between = panel.left() + SECTIONS_WIDTH;
        return (panel.with_max_x(between), panel.with_min_x(between + LISTS_GAP));
    }
    let sections_height = HEADING_HEIGHT + HEAD_HEIGHT + ROW_HEIGHT * SECTIONS_ABOVE as f32;
    let between = panel.top() + sections_height;
    (panel.with_max_y(between), panel.with_min_y(between + GAP))
}

/// The frame of a strip that begins at `at`.
pub(crate) fn strip_frame(at: Pos2, width: f32) -> Rect {
    Rect::from_min_size(at, vec2(width, STRIP_HEIGHT))
}

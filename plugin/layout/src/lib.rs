//! Geometry and colours of the editor. Positions are in points, from the window's size alone. Drawing uses them, and so do
//! reports and the tests that move a pointer through a real window.
//!
//! At a zoom of 150 % a window of 1500 x 1080 pixels is laid out as 1000 x 720 points: the point (x, y) is at the pixel
//! (1.5 x, 1.5 y). What does not fit scrolls; positions are those at the top of the page.

pub mod palette;
mod pictures;
mod song;
mod stages;
#[cfg(test)]
mod tests;

use emath::{Align2, Pos2, Rect, Vec2, pos2, vec2};

pub use pictures::{
    BOTTOM_LUFS, HIGHEST_HZ, LOWEST_HZ, PAST_S, READINGS, Readings, Spectrum, TALLY, TOP_LUFS, Timeline,
};
use pictures::{READINGS_HEIGHT, spectrum, timeline};
pub use song::{List, Song};
use song::{STRIP_HEIGHT, song, strip_frame};
pub use stages::Cell;
use stages::stages;

/// Size of a new window.
pub const FIRST_SIZE: Vec2 = Vec2::new(1000.0, 720.0);
/// Minimum size of a window.
pub const LEAST_SIZE: Vec2 = Vec2::new(480.0, 320.0);

/// Minimum width of the page, below which it scrolls sideways: never at 200 % in a window of the first width.
const LEAST_PAGE_WIDTH: f32 = 480.0;
/// Narrower pages have the pictures above one another, the stages between them, in fewer columns.
const WIDE_FROM: f32 = 760.0;
const MARGIN: f32 = 14.0;
const GAP: f32 = 8.0;
const HEAD_HEIGHT: f32 = 24.0;
const BUTTON_HEIGHT: f32 = 24.0;
const BUTTON_GAP: f32 = 6.0;
const STATUS_HEIGHT: f32 = 18.0;
/// Minimum height of the timeline, and of the spectrum with the readings below it: 80 points of plot.
const LEAST_TIMELINE_HEIGHT: f32 = 226.0;
const LEAST_SPECTRUM_HEIGHT: f32 = 270.0;
/// Width of the readings beside the spectrum.
const READINGS_WIDTH: f32 = 212.0;
/// Fraction of the width for the timeline beside the spectrum.
const STREAM_SHARE: f32 = 0.67;
const LIST_ROW_HEIGHT: f32 = 20.0;
const MENU_ITEM_HEIGHT: f32 = 24.0;
const PROPOSAL_HEIGHT: f32 = 216.0;
const KEEP_PANEL_SIZE: Vec2 = Vec2::new(376.0, 96.0);

/// Buttons of the toolbar from left to right, with widths; `true` puts a gap before the button.
const BAR: [(&str, f32, bool); 6] = [
    ("start", 98.0, false),
    ("propose", 72.0, false),
    ("setting_1", 30.0, true),
    ("setting_2", 30.0, false),
    ("copy", 54.0, false),
    ("equal", 116.0, false),
];
/// Buttons of the title row from right to left, with widths.
const HEAD: [(&str, f32); 4] = [("zoom", 58.0), ("scheme", 54.0), ("list", 88.0), ("song", 54.0)];

/// Places of everything on the page.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// Size of the page; larger than the window where it scrolls.
    pub page: Vec2,
    /// Name of the insert.
    pub title: Rect,
    /// Status line.
    pub status: Rect,
    /// Picture of the last seconds.
    pub timeline: Timeline,
    /// Picture of frequencies.
    pub spectrum: Spectrum,
    /// Reductions and peaks as numbers.
    pub readings: Readings,
    /// The whole song: the strip, and the panel that is shown in place of the stages.
    pub song: Song,
    /// Plain list, shown instead of pictures and stages.
    pub list: Rect,
    buttons: Vec<(&'static str, Rect)>,
    headings: Vec<(&'static str, Rect)>,
    cells: Vec<(&'static str, Cell)>,
}

impl Layout {
    /// The layout for a window of `window` points; `has_source` for Siskin Follow.
    #[must_use]
    pub fn new(window: Vec2, has_source: bool) -> Self {
        let width = window.x.max(LEAST_PAGE_WIDTH) - 2.0 * MARGIN;
        let wide = width + 2.0 * MARGIN >= WIDE_FROM;
        let top = pos2(MARGIN, MARGIN);
        let (buttons, title) = head_and_bar(top, width);
        let status_top = top.y + HEAD_HEIGHT + 4.0 + BUTTON_HEIGHT + 5.0;
        let status = Rect::from_min_size(pos2(MARGIN, status_top), vec2(width, STATUS_HEIGHT));
        let pictures_top = status.bottom() + 5.0;
        let stages_height = stages(pos2(0.0, 0.0), width, wide, has_source).2;
        let left = window.y - pictures_top - stages_height - MARGIN;
        let has_strip = wide && left - 2.0 * GAP - STRIP_HEIGHT >= LEAST_SPECTRUM_HEIGHT;
        let strip_height = if has_strip { STRIP_HEIGHT + GAP } else { 0.0 };
        let height = height_of_pictures(left - strip_height, wide);
        let strip_top = pictures_top + height + GAP;
        let stages_top = strip_top + strip_height;
        let below_stages = stages_top + stages_height;
        let timeline_at = pos2(MARGIN, pictures_top);
        let (timeline, spectrum, readings) = if wide {
            pictures_abreast(timeline_at, width, height)
        } else {
            pictures_apart(timeline_at, width, height, below_stages + GAP)
        };
        let (headings, cells, _) = stages(pos2(MARGIN, stages_top), width, wide, has_source);
        let bottom = below_stages.max(readings.frame.bottom());
        let page = vec2(width + 2.0 * MARGIN, bottom + MARGIN);
        // Where it is folded, the strip takes the upper end of the panel.
        let folded = strip_frame(pos2(MARGIN, stages_top), width);
        let panel_top = if has_strip {
            stages_top
        } else {
            folded.bottom() + GAP
        };
        let panel = Rect::from_x_y_ranges(MARGIN..=MARGIN + width, panel_top..=below_stages);
        let strip = strip_frame(pos2(MARGIN, strip_top), width);
        Self {
            page,
            title,
            status,
            timeline,
            spectrum,
            readings,
            song: song(if has_strip { strip } else { folded }, panel, !has_strip, wide),
            list: Rect::from_min_max(
                pos2(MARGIN, pictures_top),
                pos2(MARGIN + width, page.y.max(window.y) - MARGIN),
            ),
            buttons,
            headings,
            cells,
        }
    }

    /// The same layout, moved, as after scrolling.
    #[must_use]
    pub fn translated(mut self, by: Vec2) -> Self {
        let areas = [&mut self.title, &mut self.status, &mut self.list];
        areas.into_iter().for_each(|area| *area = area.translate(by));
        for (_, area) in self.buttons.iter_mut().chain(&mut self.headings) {
            *area = area.translate(by);
        }
        self.cells
            .iter_mut()
            .for_each(|(_, cell)| *cell = cell.translated(by));
        self.timeline = self.timeline.translated(by);
        self.spectrum = self.spectrum.translated(by);
        self.readings = self.readings.translated(by);
        self.song = self.song.translated(by);
        self
    }

    /// Place of a control, by its parameter's id.
    #[must_use]
    pub fn cell(&self, id: &str) -> Option<Cell> {
        self.cells
            .iter()
            .find(|(name, _)| *name == id)
            .map(|(_, cell)| *cell)
    }

    /// Place of a button: `start`, `propose`, `setting_1`, `setting_2`, `copy`, `equal`, `zoom`, `scheme`, `list`, `song`.
    #[must_use]
    pub fn button(&self, name: &str) -> Option<Rect> {
        self.buttons
            .iter()
            .find(|(button, _)| *button == name)
            .map(|(_, area)| *area)
    }

    /// Names of the stages and places of their headings.
    pub fn headings(&self) -> impl Iterator<Item = (&'static str, Rect)> {
        self.headings.iter().copied()
    }

    /// Ids and places of all controls, in signal order.
    pub fn cells(&self) -> impl Iterator<Item = (&'static str, Cell)> {
        self.cells.iter().copied()
    }

    /// Place of row `index` of the plain list.
    #[must_use]
    pub fn list_row(&self, index: usize) -> Rect {
        let top = self.list.top() + (index + 1) as f32 * LIST_ROW_HEIGHT;
        Rect::from_min_size(
            pos2(self.list.left(), top),
            vec2(self.list.width(), LIST_ROW_HEIGHT),
        )
    }

    /// Panel of a proposal: beside or below the sibilants that it is about.
    #[must_use]
    pub fn proposal(&self) -> Rect {
        let Rect { max, .. } = self.timeline.frame;
        let of_spectrum = self.spectrum.frame;
        if of_spectrum.left() > max.x {
            let free = of_spectrum.union(self.readings.frame).shrink(4.0);
            free.with_max_y(free.bottom().min(free.top() + PROPOSAL_HEIGHT))
        } else {
            let top = max.y + GAP;
            Rect::from_x_y_ranges(of_spectrum.left()..=max.x, top..=top + PROPOSAL_HEIGHT)
                .shrink2(vec2(4.0, 0.0))
        }
    }

    /// Buttons of the proposal: apply, cancel.
    #[must_use]
    pub fn proposal_buttons(&self) -> [Rect; 2] {
        let panel = self.proposal();
        let size = vec2(96.0, BUTTON_HEIGHT);
        let top = panel.bottom() - BUTTON_HEIGHT - 8.0;
        [10.0, 10.0 + 96.0 + BUTTON_GAP].map(|left| Rect::from_min_size(pos2(panel.left() + left, top), size))
    }
}

/// Items of a menu of `count` lines, `width` wide, with its upper left corner at `at`.
#[must_use]
pub fn menu(at: Pos2, width: f32, count: usize) -> Vec<Rect> {
    let item = |index| at + vec2(0.0, MENU_ITEM_HEIGHT * index as f32);
    (0..count)
        .map(|index| Rect::from_min_size(item(index), vec2(width, MENU_ITEM_HEIGHT)))
        .collect()
}

/// The tab at the lower edge of a window whose page goes on below.
#[must_use]
pub fn more_below(window: Rect) -> Rect {
    Align2::CENTER_BOTTOM.align_size_within_rect(vec2(100.0, 18.0), window)
}

/// Width of the menu of starting points.
pub const START_MENU_WIDTH: f32 = 150.0;
/// Width of the menu of zooms.
pub const ZOOM_MENU_WIDTH: f32 = 76.0;
/// Width of the menu of a control.
pub const CONTROL_MENU_WIDTH: f32 = 196.0;

impl Layout {
    /// Items of the menu of starting points, below its button and the status line.
    #[must_use]
    pub fn start_menu(&self, count: usize) -> Vec<Rect> {
        let button = self.button("start").unwrap_or(Rect::ZERO);
        let at = pos2(button.left(), self.status.bottom() + 2.0);
        menu(at, START_MENU_WIDTH, count)
    }

    /// Panel in which a name is typed, in place of the menu of starting points.
    #[must_use]
    pub fn keep_panel(&self) -> Rect {
        let button = self.button("start").unwrap_or(Rect::ZERO);
        Rect::from_min_size(pos2(button.left(), self.status.bottom() + 2.0), KEEP_PANEL_SIZE)
    }

    /// Items of the menu of zooms (100, 125, 150, 175, 200 %), right-aligned with its button.
    #[must_use]
    pub fn zoom_menu(&self, count: usize) -> Vec<Rect> {
        let button = self.button("zoom").unwrap_or(Rect::ZERO);
        menu(
            pos2(button.right() - ZOOM_MENU_WIDTH, button.bottom() + 2.0),
            ZOOM_MENU_WIDTH,
            count,
        )
    }
}

fn head_and_bar(top: Pos2, width: f32) -> (Vec<(&'static str, Rect)>, Rect) {
    let mut buttons = Vec::new();
    let mut right = top.x + width;
    for (name, button_width) in HEAD {
        let left = right - button_width;
        buttons.push((
            name,
            Rect::from_min_size(pos2(left, top.y), vec2(button_width, BUTTON_HEIGHT)),
        ));
        right = left - BUTTON_GAP;
    }
    let title = Rect::from_min_max(top, pos2(right, top.y + HEAD_HEIGHT));
    let bar_top = top.y + HEAD_HEIGHT + 4.0;
    let mut left = top.x;
    for (name, button_width, gap) in BAR {
        left += if gap { 3.0 * BUTTON_GAP } else { 0.0 };
        buttons.push((
            name,
            Rect::from_min_size(pos2(left, bar_top), vec2(button_width, BUTTON_HEIGHT)),
        ));
        left += button_width + BUTTON_GAP;
    }
    (buttons, title)
}

/// Height of each picture where they have `left` points above one another, wide ones beside each other.
fn height_of_pictures(left: f32, wide: bool) -> f32 {
    let (rows, least) = if wide {
        (1.0, LEAST_SPECTRUM_HEIGHT)
    } else {
        (2.0, LEAST_TIMELINE_HEIGHT)
    };
    ((left - GAP * rows) / rows).max(least).round()
}

/// The timeline, right of it the spectrum above the readings.
fn pictures_abreast(at: Pos2, width: f32, height: f32) -> (Timeline, Spectrum, Readings) {
    let frame = Rect::from_min_size(at, vec2((width * STREAM_SHARE).round(), height));
    let beside = Rect::from_min_max(
        pos2(frame.right() + GAP, at.y),
        pos2(at.x + width, frame.bottom()),
    );
    let readings_top = beside.bottom() - READINGS_HEIGHT;
    let readings = Readings {
        frame: beside.with_min_y(readings_top),
    };
    let of_spectrum = beside.with_max_y(readings_top - GAP);
    (timeline(frame), spectrum(of_spectrum), readings)
}

/// The timeline, and from `lower_top` on the spectrum and the readings side by side.
fn pictures_apart(at: Pos2, width: f32, height: f32, lower_top: f32) -> (Timeline, Spectrum, Readings) {
    let frame = Rect::from_min_size(at, vec2(width, height));
    let lower = Rect::from_min_size(pos2(at.x, lower_top), vec2(width, height));
    let readings_left = lower.right() - READINGS_WIDTH;
    let readings = Readings {
        frame: lower.with_min_x(readings_left),
    };
    let of_spectrum = lower.with_max_x(readings_left - GAP);
    (timeline(frame), spectrum(of_spectrum), readings)
}

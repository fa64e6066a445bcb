//! The stages below the pictures: a heading for each stage, a cell for each control.

use emath::{Pos2, Rect, Vec2, pos2, vec2};
use siskin_dsp::{PARAMETERS, ParamKind, ParamSpec, Stage};

use super::GAP;

const COLUMN_GAP: f32 = 24.0;
const HEADING_HEIGHT: f32 = 24.0;
const ROW_HEIGHT: f32 = 34.0;
const NAME_HEIGHT: f32 = 17.0;
const TRACK_HEIGHT: f32 = 13.0;
const VALUE_WIDTH: f32 = 84.0;
const SWITCH_WIDTH: f32 = 84.0;
/// Choices are lower than a track, so that they do not touch the name, points.
const CHOICE_DROP: f32 = 2.5;
/// Gap below controls with choices.
const CHOICE_GAP: f32 = 6.0;
/// Width of three columns that are as wide as four on the narrowest wide page; narrower pages have two.
const THREE_COLUMNS_WIDTH: f32 = 543.0;
/// Stages of each column.
const WIDE_COLUMNS: &[&[Stage]] = &[
    &[Stage::Leveller],
    &[Stage::Sibilance],
    &[Stage::Follow, Stage::Breath],
    &[Stage::Output],
];
/// Proportion and what belongs to it are at the top of a column: a low window shows them without scrolling.
const NARROW_COLUMNS: &[&[Stage]] = &[
    &[Stage::Leveller, Stage::Follow],
    &[Stage::Sibilance],
    &[Stage::Breath, Stage::Output],
];
const NARROWEST_COLUMNS: &[&[Stage]] = &[
    &[Stage::Leveller, Stage::Output],
    &[Stage::Sibilance, Stage::Follow, Stage::Breath],
];

/// Place of a control.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cell {
    /// The whole cell.
    pub area: Rect,
    /// Name.
    pub name: Rect,
    /// Value; a click opens the text field.
    pub value: Rect,
    /// Track of a number, or choices.
    pub track: Rect,
}

impl Cell {
    pub(crate) fn translated(&self, by: Vec2) -> Self {
        Self {
            area: self.area.translate(by),
            name: self.name.translate(by),
            value: self.value.translate(by),
            track: self.track.translate(by),
        }
    }

    /// Place of choice `index` of `count`; switches have two, off and on.
    #[must_use]
    pub fn choice(&self, index: usize, count: usize) -> Rect {
        let width = self.track.width() / count.max(1) as f32;
        let left = self.track.left() + width * index as f32;
        Rect::from_min_size(pos2(left, self.track.top()), vec2(width, self.track.height()))
    }
}

pub(crate) type Named<T> = Vec<(&'static str, T)>;

/// Headings and cells from `top` on, and their height.
pub(crate) fn stages(top: Pos2, width: f32, wide: bool, has_source: bool) -> (Named<Rect>, Named<Cell>, f32) {
    let columns = if wide {
        WIDE_COLUMNS
    } else if width >= THREE_COLUMNS_WIDTH {
        NARROW_COLUMNS
    } else {
        NARROWEST_COLUMNS
    };
    let count = columns.len() as f32;
    let column_width = ((width - COLUMN_GAP * (count - 1.0)) / count).floor();
    let (mut headings, mut cells, mut height) = (Vec::new(), Vec::new(), 0f32);
    for (column, stack) in columns.iter().enumerate() {
        let left = top.x + (column_width + COLUMN_GAP) * column as f32;
        let mut y = top.y;
        for (index, stage) in stack.iter().enumerate() {
            y += if index > 0 { GAP } else { 0.0 };
            let heading = Rect::from_min_size(pos2(left, y), vec2(column_width, HEADING_HEIGHT));
            headings.push((stage.name(), heading));
            y += HEADING_HEIGHT;
            for spec in stage
                .parameters()
                .filter(|spec| has_source || !spec.needs_reference)
            {
                if is_stage_switch(spec) {
                    cells.push((spec.id, switch(heading)));
                } else {
                    let drop = if is_choice(spec) { CHOICE_DROP } else { 0.0 };
                    cells.push((spec.id, row(pos2(left, y), column_width, drop)));
                    y += ROW_HEIGHT + if is_choice(spec) { CHOICE_GAP } else { 0.0 };
                }
            }
        }
        height = height.max(y - top.y);
    }
    cells.sort_by_key(|(id, _)| PARAMETERS.iter().position(|spec| spec.id == *id));
    (headings, cells, height)
}

/// Whether it switches its whole stage: it is in the heading.
fn is_stage_switch(spec: &ParamSpec) -> bool {
    spec.id.ends_with("_on")
}

fn is_choice(spec: &ParamSpec) -> bool {
    matches!(spec.kind, ParamKind::Switch | ParamKind::Choice(_))
}

fn switch(heading: Rect) -> Cell {
    let area = heading.with_min_x(heading.right() - SWITCH_WIDTH);
    Cell {
        area,
        name: heading.with_max_x(area.left()),
        value: area,
        track: area.shrink2(vec2(0.0, 3.0)),
    }
}

/// A row with its track `drop` points below the name.
fn row(at: Pos2, width: f32, drop: f32) -> Cell {
    let area = Rect::from_min_size(at, vec2(width, ROW_HEIGHT));
    let text = Rect::from_min_size(at + vec2(0.0, 1.0), vec2(width, NAME_HEIGHT));
    Cell {
        area,
        name: text.with_max_x(text.right() - VALUE_WIDTH),
        value: text.with_min_x(text.right() - VALUE_WIDTH),
        track: Rect::from_min_size(pos2(at.x, text.bottom() + drop), vec2(width, TRACK_HEIGHT)),
    }
}
